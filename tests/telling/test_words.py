"""What a stage finds out is a record, and its sentence stands in the file of each language, under the same name."""

from __future__ import annotations

import ast
import html
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from string import Formatter
from zoneinfo import ZoneInfo

import pytest

import scheduler
from scheduler.cli.paging import Lang
from scheduler.model.asides import Asides
from scheduler.model.diary import EVENTS, Did, fields_of
from scheduler.model.message import as_written, message
from scheduler.model.page import DaysAway, Live, PageFacts, Recent
from scheduler.model.plan import Plan
from scheduler.model.tradewords import LANGUAGES
from scheduler.pipeline import read
from scheduler.telling.dates import LANGUAGES as SPOKEN
from scheduler.telling.dates import LocalFace
from scheduler.telling.page import page
from scheduler.telling.page.tongue import phrases
from scheduler.telling.text.diary import Teller
from scheduler.telling.views.index import Book
from scheduler.telling.words import PATTERNS, en
from tests.support.plans import at, hobby_room, spans, unheard
from tests.telling.page.pages import ROOT, everything
from tests.telling.page.test_page import _with
from tests.telling.page.test_picture import VISIT

PACKAGE = Path(scheduler.__file__).parent
MAKING = (
    *("planning", "solver", "verifying", "worktime", "pipeline.py"),
    *("drying/advice.py", "drying/air.py", "drying/ranges.py", "drying/spoiling.py", "drying/table.py"),
    *("expanding/hindsight.py", "living/broken.py", "living/held.py"),
)
"""Where messages are made: what stands here makes no sentence."""


def files() -> Iterator[Path]:
    for name in MAKING:
        path = PACKAGE / name
        yield from [path] if path.is_file() else sorted(path.rglob("*.py"))


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


@cache
def made() -> tuple[tuple[str, frozenset[str]], ...]:
    """Each kind of message that is named in the source, with the names of the values that are handed to it."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(parsed(path)):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "message" and node.args:
                names = frozenset(each.arg or "**" for each in node.keywords)
                found += [(kind, names) for kind in _kinds(node.args[0])]
    return tuple(found)


def _kinds(named: ast.expr) -> Iterator[str]:
    """The kinds that the first argument of a message may name; what ends in a value names all of that family."""
    inside = {each for node in ast.walk(named) if isinstance(node, ast.JoinedStr) for each in node.values}
    for node in ast.walk(named):
        if isinstance(node, ast.JoinedStr) and isinstance(node.values[0], ast.Constant):
            head = str(node.values[0].value)
            yield from (kind for kind in PATTERNS["en"] if kind.startswith(head))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value and node not in inside:
            yield node.value


def values(pattern: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(pattern) if name}


def test_a_language_is_there_whole_or_not_at_all() -> None:
    """What a page, a terminal and a calendar say, and in which languages a job can be told: the same."""
    assert set(PATTERNS) == set(LANGUAGES) == set(SPOKEN) == {each.value for each in Lang}
    assert {tuple(others) for others in phrases().values()} == {tuple(set(LANGUAGES) - {"en"})}


@pytest.mark.parametrize("lang", sorted(PATTERNS))
def test_every_message_has_its_words_in_every_language(lang: str) -> None:
    """A stage that finds out something new needs one new line in the file of each language."""
    kinds = {kind for kind, _ in made()}
    assert not kinds - PATTERNS[lang].keys()


@pytest.mark.parametrize("lang", sorted(PATTERNS))
def test_the_languages_tell_the_same_things(lang: str) -> None:
    """The same kinds, each with the same values: no language leaves out the moment or the step."""
    english = {kind: values(pattern) for kind, pattern in PATTERNS["en"].items()}
    assert {kind: values(pattern) for kind, pattern in PATTERNS[lang].items()} == english


def test_no_pattern_asks_for_a_value_that_nobody_hands_over() -> None:
    """Of every message that the source makes with its values by name; `**` hands over more, unseen."""
    handed: dict[str, set[str]] = {}
    for kind, names in made():
        handed.setdefault(kind, set()).update(names)
    more = {"root", "wait", "until"}  # handed over by `**`
    left = {k: values(PATTERNS["en"][k]) - names - more for k, names in handed.items() if "**" not in names}
    assert not {kind: names for kind, names in left.items() if names}


@pytest.mark.parametrize("lang", sorted(set(PATTERNS) - {"en"}))
def test_a_page_holds_no_english_sentence_of_ours(lang: str) -> None:
    """Of every message that can stand on a page, no three words in a row are those of the English one."""
    for kind, ours in PATTERNS[lang].items():
        if lang not in LANGUAGES and kind in en.AIR:
            continue  # of its air a job is told in a whole language alone
        english = PATTERNS["en"][kind]
        words = re.sub(r"`[^`]*`|{[^}]*}|tackfree [a-z]+[ A-Z]*", "|", english).split()
        for run in zip(*(words[place:] for place in range(3)), strict=False):
            assert "|" in "".join(run) or " ".join(run) not in ours, (kind, run)


def test_a_german_page_tells_in_german_what_held_a_step() -> None:
    """The reason, the note below the step and what dries, with the household's dates; titles stay as written."""
    made = hobby_room()
    shelves = replace(made.step("put-up-the-shelves"), held=message("held.hands", step="hang-the-doors"))
    made = replace(made, steps=tuple(shelves if each.id == shelves.id else each for each in made.steps))
    text = html.unescape(page(made, lang="de"))
    assert "Bis dahin ist niemand frei: „Hang the doors“ kommt zuerst." in text
    assert "nicht anfassen" in text
    for english in ("hands off", "waits for", "part 1 of 2", "is busy", "It follows"):
        assert english not in text


def test_no_words_are_left_that_nobody_says() -> None:
    """A pattern is the words of a message, or of a value of one: `held.stage.recoat` of `{stage:held.stage}`."""
    kinds = {kind for kind, _ in made()}
    tables = {how for pattern in PATTERNS["en"].values() for _, _, how, _ in Formatter().parse(pattern) if how}
    named = {
        node.value
        for path in PACKAGE.rglob("*.py")
        if path.parent.name != "words" or path.name == "__init__.py"
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    left = [kind for kind in PATTERNS["en"] if not {kind, kind.rpartition(".")[0]} & (kinds | named | tables)]
    assert left == []


def test_no_stage_makes_a_sentence() -> None:
    """A text with blanks and a value filled in, or with a full stop, is a sentence: it belongs to the words."""
    found = []
    for path in files():
        for node in _spoken(parsed(path)):
            found.append(f"{path.relative_to(PACKAGE)}:{node.lineno}: {ast.unparse(node)}")
    assert found == []


def _spoken(tree: ast.Module) -> Iterator[ast.expr]:
    """The texts of a module that read like sentences, but for docstrings, errors, and what errors say."""
    apart: set[ast.AST] = set()
    parts = {each for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for each in node.values}
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            apart.add(node.value)
        elif isinstance(node, ast.Raise | ast.Assert) or _is_fault(node):
            apart |= set(ast.walk(node))
    for node in ast.walk(tree):
        if node in apart:
            continue
        if isinstance(node, ast.Constant) and node not in parts and ". " in f"{node.value} ":
            yield node
        if isinstance(node, ast.JoinedStr):
            words = [each.value for each in node.values if isinstance(each, ast.Constant)]
            if any(len(str(word).split()) > 1 for word in words):
                yield node


def _is_fault(node: ast.AST) -> bool:
    if not isinstance(node, ast.Call):
        return False
    name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    return name in ("Fault", "wrong_input")


def test_a_title_stays_what_the_person_wrote() -> None:
    """Braces in a title are no part of a pattern; a step that the plan has not is called as it stands."""
    book = Book(hobby_room())
    assert book.say(as_written("{step:step} {0}")) == "{step:step} {0}"
    assert book.say(message("held.hands", step="{nobody}")) == ("You are doing “{nobody}” until then.")


ENGLISH = frozenset((
    "the", "and", "of", "until", "days", "day", "done", "with", "from", "is", "not", "to", "after", "before", "has",
    "it", "for", "by", "people", "person", "week", "weeks", "step", "steps", "more", "hours", "than", "at", "or",
    "when", "what", "wet", "keep", "time", "this", "next", "hands", "two", "one", "common", "source", "said", "ready",
    "first", "then", "are", "be", "can", "you", "your", "room", "coat", "film", "left", "there", "later", "earlier",
    "undone", "took", "comes", "nothing", "break", "clear",
))  # fmt: skip
"""Words of English that German has not (it has `in`, `an`, `so`, `die`, `war`, `hat`, `bald`)."""

SECRET = "Qqq"
"""What a person wrote, and what the profiles call things: not English, and not ours to translate."""


def shown(text: str) -> Iterator[str]:
    """What somebody reads or hears of a page: its texts and its labels; commands are the same in every language."""
    plain = re.sub(r"<(script|style|code)\b.*?</\1>", "", text, flags=re.DOTALL)
    yield from re.findall(r'(?:aria-label|title)="([^"]*)"', plain)
    for words in re.findall(r'data-words="([^"]*)"', plain):
        yield from map(str, json.loads(html.unescape(words)).values())
    yield from re.split(r"<[^>]+>", plain)


def test_no_english_is_left_on_a_german_page() -> None:
    """All of its own words, in every state: before it begins, in a session, late against a promise, finished; with
    every section there is, and served, with what was recorded last."""
    made, facts = secret_page()
    sand = next(step.id for step in made.steps)
    done = tuple(replace(step, state="done") for step in made.steps)
    begun = tuple(replace(step, state="done") if step.id == sand else step for step in made.steps)
    late = Asides(promised=date(2027, 1, 16), unrecorded=unheard("2027-01-02 09:00 12:00"))
    visit = replace(VISIT, title=SECRET, rooms=())
    recorded = Live(recent=(Recent(line=1, at=made.as_of, said=SECRET),))
    away = (DaysAway(first=date(2027, 1, 18), last=date(2027, 1, 19)),)
    states = (
        (made, facts),
        (replace(made, as_of=at("2027-01-16 11:30"), steps=begun), replace(facts, asides=late, live=recorded)),
        (replace(made, as_of=at("2027-01-24 09:00"), steps=done), replace(facts, asides=late)),
        (replace(made, visits=(visit,)), replace(facts, away=away)),
    )
    for state in states:
        for words in shown(page(*state, "de")):
            stray = ENGLISH & set(re.findall(r"[a-zäöüß]+", html.unescape(words).lower()))
            assert not stray, words.strip()


def secret_page() -> tuple[Plan, PageFacts]:
    """The small plan with all that a person, or a profile, may have called something replaced."""
    made, facts = _with(*everything(), SECRET)
    assert facts.moves and facts.odds and facts.leeway
    items = tuple(replace(each, item=SECRET) for each in made.items)
    gone = tuple((SECRET, SECRET, SECRET) for _ in facts.moves.gone)
    new = tuple((SECRET, SECRET, SECRET) for _ in facts.moves.new)
    return replace(made, items=items), replace(
        facts,
        moves=replace(facts.moves, gone=gone, new=new),
        odds=replace(facts.odds, assumed=(), spread=((SECRET, 0.4),)),
        leeway=replace(facts.leeway, found=tuple(replace(each, title=SECRET) for each in facts.leeway.found)),
    )


def test_what_was_recorded_is_told_in_the_language_of_the_page() -> None:
    """Nothing of it is English: neither that it is done nor the day."""
    zone = ZoneInfo("Europe/Berlin")
    job = read(ROOT / "examples" / "flat")[0]
    teller = Teller(job, {"sand": SECRET}, face=LocalFace(zone, True, "de"), lang="de")
    piece = spans("2027-01-09 09:00 10:30")[0]
    assert teller.says(Did(step="sand", pieces=(piece,), took=90)).startswith("Qqq: fertig Samstag")


@pytest.mark.parametrize("lang", sorted(PATTERNS))
@pytest.mark.parametrize("name", sorted(EVENTS))
def test_every_kind_of_event_is_told_by_the_names_of_its_fields(name: str, lang: str) -> None:
    """`diary.` and its name is what it says; as a cause, what the others have is said. Each asks for fields of its
    own alone, and for none of another event."""
    own = {field.name for field in fields_of(name)}
    if name == "undone":
        return  # what it takes back is told instead
    assert f"diary.{name}" in PATTERNS[lang]
    for table in ("diary", "because", "cause"):
        for kind in (f"{table}.{name}", f"{table}.not {name}"):
            assert values(PATTERNS[lang].get(kind, "")) <= own, kind


def test_every_sentence_that_is_asked_for_by_name_stands_in_the_words() -> None:
    """A name that stands nowhere would end a command in the middle, and only there."""
    asked = {
        (path.name, key)
        for path in PACKAGE.rglob("*.py")
        if "words" not in path.relative_to(PACKAGE).parts
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") in {"sentence", "progress"}
        for argument in node.args[:2]
        for part in ast.walk(argument)
        if isinstance(part, ast.Constant) and isinstance(key := part.value, str)
    }
    assert len(asked) > 40
    assert {(name, key) for name, key in asked if key not in PATTERNS["en"]} == set()
