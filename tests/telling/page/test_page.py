"""The page as a file: it asks nothing of anybody, lets nothing in, and has what there is to say in every language."""

from __future__ import annotations

import base64
import hashlib
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

import scheduler.telling.page
from scheduler.model.asides import Asides
from scheduler.model.beware import Beware
from scheduler.model.message import as_written
from scheduler.model.page import PageFacts
from scheduler.model.plan import Plan
from scheduler.telling.page import LANGUAGES, page
from scheduler.telling.page.tongue import Tongue, phrases
from tests.support.plans import at, hobby_room, plan, step, unheard
from tests.telling.page.pages import EXAMPLES, SECTIONS, everything, example

VOID = {"meta", "input", "link", "br"}
HOSTILE = (
    "</title></style><script>window.hit=1</script>",
    '"><img src=x onerror="window.hit=1">',
    "{{ 7 * 7 }} {% set x = 1 %}",
    "';alert(1)//<svg onload=alert(1)>",
    "<!-- ]]> &lt; \u202egnihtyna \x00\x1b[31m",
)


class Tags(HTMLParser):
    """Every tag with its attributes, and whether all are closed in turn."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.words: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open[-1] == tag, (self.open[-3:], tag, self.getpos())
        self.open.pop()

    def handle_data(self, data: str) -> None:
        self.words.append(data)


@pytest.fixture(scope="module")
def full() -> str:
    return page(*everything())


def test_every_tag_is_closed(full: str) -> None:
    assert Tags(full).open == []


def test_ids_are_unique_and_every_link_leads_somewhere(full: str) -> None:
    for text in (full, *(page(*example(name)) for name in EXAMPLES)):
        tags = Tags(text).found
        ids = [value for _, attrs in tags if (value := attrs.get("id"))]
        assert len(ids) == len(set(ids))
        for _, attrs in tags:
            for name in ("href", "aria-labelledby"):
                target = attrs.get(name)
                if target:
                    assert target.removeprefix("#") in ids, target


def test_nothing_in_the_file_points_outside(full: str) -> None:
    """No src, no link, no import, no address but those of the page itself."""
    for tag, attrs in Tags(full).found:
        assert tag not in ("link", "img", "iframe", "object", "embed", "form", "base", "audio", "video"), tag
        assert "src" not in attrs and "action" not in attrs and "style" not in attrs
        assert (attrs.get("href") or "#").startswith("#")
        assert not [name for name in attrs if name.startswith("on")]
    assert not re.search(r"https?:|@import|url\((?!#)", full)


def test_the_policy_lets_in_the_style_and_the_script_of_the_page_and_nothing_else(full: str) -> None:
    """CSP level 3, section 2.3.1: a hash source is the base64 of the SHA-256 of the text of the element."""
    policy = next(a["content"] for tag, a in Tags(full).found if a.get("http-equiv") == "Content-Security-Policy")
    assert policy is not None
    wanted = [("default-src", "'none'"), ("base-uri", "'none'"), ("form-action", "'none'")]
    for kind, element in (("style", "style"), ("script", "script")):
        (inside,) = re.findall(rf"<{element}>(.*?)</{element}>", full, re.S)
        digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        wanted.append((f"{kind}-src", f"'sha256-{digest}'"))
    assert sorted(tuple(part.split()) for part in policy.split("; ")) == sorted(wanted)


@pytest.mark.parametrize("text", HOSTILE)
def test_what_a_job_file_says_stays_text(text: str) -> None:
    """Titles, rooms, materials, cautions, items, warnings: not one brings in a tag, an attribute or a template."""
    made, facts = everything()
    tame, evil = (Tags(page(*_with(made, facts, words))) for words in ("tame", text))
    kinds = [Counter(tag for tag, _ in tags.found if tag != "text") for tags in (tame, evil)]
    assert kinds[0] == kinds[1]
    names = [{name for _, attrs in tags.found for name in attrs} for tags in (tame, evil)]
    assert names[0] == names[1]
    said = "".join(evil.words)
    assert ("49" in said) == ("49" in "".join(tame.words))
    assert not {"\x00", "\x1b", "\u202e"} & set(said)


def _with(made: Plan, facts: PageFacts, text: str) -> tuple[Plan, PageFacts]:
    """The same plan with this text wherever a person's own words can stand."""

    def films(film: object) -> object:
        return film and replace(film, material_title=text, limits_said=text)  # type: ignore[type-var]

    steps = tuple(
        replace(
            each,
            title=text,
            room_title=text,
            held=as_written(text),
            cautions=tuple(Beware(text, text, text, text) for _ in each.cautions),
            takes=tuple((text, count) for _, count in each.takes),
            film=films(each.film),  # type: ignore[arg-type]
        )
        for each in made.steps
    )
    evil = replace(
        made,
        job=text,
        job_id=text,
        steps=steps,
        items=tuple(replace(item, title=text) for item in made.items),
        warnings=tuple(as_written(text) for _ in made.warnings),
    )
    assert facts.moves and facts.odds and facts.leeway
    moves = replace(facts.moves, moved=tuple(replace(move, title=text) for move in facts.moves.moved))
    shopping = tuple(replace(buy, name=text, quantity=text) for buy in facts.shopping)
    sources = tuple(
        replace(film, title=text, source=text, stages=tuple(replace(s, source=text) for s in film.stages))
        for film in facts.films
    )
    air = tuple(replace(room, title=text) for room in facts.air)
    return evil, replace(facts, moves=moves, shopping=shopping, films=sources, air=air)


def test_a_section_is_there_when_there_is_data_for_it(full: str) -> None:
    """And is not there when there is none."""
    for name in SECTIONS:
        assert f'id="{name}"' in full, name
    bare = page(hobby_room())
    for name in ("changed", "shopping", "leeway", "odds"):
        assert f'id="{name}"' not in bare, name


def test_leeway_and_odds_are_linked_at_the_top_where_they_are_there(full: str) -> None:
    """A page of many screens: what is far down is found from the list at the top, and no link leads nowhere."""
    for name in ("leeway", "odds"):
        assert f'href="#{name}"' in full, name
        assert f'href="#{name}"' not in page(hobby_room()), name


def test_a_plan_with_nothing_to_do_has_a_page() -> None:
    text = page(plan())
    assert "There is nothing to do." in text
    assert Tags(text).open == []


def test_a_plan_that_is_all_done_says_since_when() -> None:
    text = page(plan(step("one", "2027-01-04 09:00 10:00", state="done")))
    assert re.search(
        r"Done since</span>\s*<strong>Monday 4 January 2027, 10:00", text.replace("\N{NO-BREAK SPACE}", " ")
    )


def test_the_card_at_the_top_says_what_is_to_be_done_and_by_when_it_is_done(full: str) -> None:
    """The first session is on Saturday 16 January, with the sanding at 09:00; the doors are to be ordered."""
    words = _words(full.split("<nav", maxsplit=1)[0])
    for said in (
        "Next: Sat 16 Jan 08:45–16:55",
        "09:00 Sand the filler",
        "Drying, and out of use until nothing",
        "order: Doors, two, primed by Fri 8 Jan",
        "Done as planned Sat 23 Jan",
        "Since the last plan: The end moves from",
    ):
        assert said in words, said


def test_the_next_session_in_full_says_what_to_keep_clear_of(full: str) -> None:
    """The primer rolled until 16:40 on Saturday may be touched from 18:20; dust flies from 09:00 to 11:30."""
    words = _words(full.split('id="picture"', maxsplit=1)[0])
    for said in (
        "Done on Saturday 23 January 2027, 12:00",
        "50 % by Saturday 23 January 2027; 80 % by Saturday 30 January 2027",
        "The next session in full Saturday 16 January, 08:45–16:55",
        "acrylic primer",
        "dust: stay out, doors shut 09:00–11:30",
        "hands off: Prime the walls until Saturday 16 January, 18:20",
    ):
        assert said in words, said


def _words(html: str) -> str:
    """What stands between the tags of the body, blanks as one."""
    return " ".join(
        re.sub(r"<[^>]*>", " ", html.partition("<body")[2] or html).replace("\N{NO-BREAK SPACE}", " ").split()
    )


def card_of(made: Plan, **beside: Any) -> str:
    """The words of the card at the top."""
    return _words(page(made, PageFacts(asides=Asides(**beside))).split("<nav", maxsplit=1)[0])


def test_what_is_urgent_comes_before_the_session() -> None:
    """Doors that were due on Friday 8 January, a promise missed by a week, a Saturday of which nobody has told."""
    said = card_of(seen("2027-01-09 09:00"), promised=date(2027, 1, 16), unrecorded=unheard("2027-01-02 09:00 12:00"))
    assert "Order now: Doors, two, primed That was due by Fri 8 Jan. It comes Fri 22 Jan." in said
    assert "Promise missed by 7 days Promised by Sat 16 Jan." in said
    assert "Not recorded: Sat 2 Jan" in said
    assert "tackfree did . --session --at 2027-01-02" in said and "tackfree lost . 2027-01-02" in said
    assert said.index("Not recorded") < said.index("Next:")


def seen(moment: str, *done: str) -> Plan:
    """The small plan at a moment at which these steps are done."""
    steps = tuple(replace(each, state="done") if each.id in done else each for each in hobby_room().steps)
    return replace(hobby_room(), as_of=at(moment), steps=steps)


def test_in_a_session_what_is_done_is_folded_and_the_step_under_way_comes_first() -> None:
    """At 11:30 the sanding is done; the priming is at 14:00, with its caution in full beside it."""
    text = page(seen("2027-01-16 11:30", "sand-the-filler")).split("<nav", maxsplit=1)[0]
    assert "Now: Sat 16 Jan" in _words(text)
    fold, rest = text.split('<details class="past">')[1].split("</details>", maxsplit=1)
    assert "Sand the filler" in fold
    assert "14:00 Prime the walls Open the windows; solvent-free does not mean fume-free." in _words(rest)


def test_what_is_wet_tonight_has_its_times_and_its_air() -> None:
    """Rolled until 16:40: dry to the touch 18:20, to be gone over on Sunday 06:40; so long for the air."""
    said = card_of(seen("2027-01-16 17:10", "sand-the-filler", "prime-the-walls"))
    assert "Prime the walls hands off until 18:20 next on it from Sun 06:40" in said
    assert "Air in Hobby room 50 to 90 °F and below 85 % humidity Sun 06:40" in said


def test_a_finished_job_says_since_when_and_asks_for_nothing() -> None:
    over = seen("2027-01-24 09:00", *(each.id for each in hobby_room().steps))
    said = card_of(over)
    assert "Done since Sat 23 Jan, 12:00 Cured through: Sun 14 Feb, 11:00" in said
    assert "buy" not in said and "Next" not in said


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Iterator[set[str]]:
    """Every phrase that a page asks for."""
    found: set[str] = set()
    original = Tongue.__call__

    def hear(self: Tongue, phrase: str, **values: object) -> str:
        found.add(phrase)
        return original(self, phrase, **values)

    monkeypatch.setattr(Tongue, "__call__", hear)
    yield found


def test_every_phrase_of_the_page_is_there_in_every_language(asked: set[str]) -> None:
    """A page with every section, and one with nothing to do, ask for no phrase that stands in English only."""
    done = step("one", "2027-01-04 09:00 10:00", state="done")
    page(*everything(), "de")
    page(plan(), None, "de")
    page(plan(done), None, "de")
    missing = {phrase for phrase in asked if set(phrases().get(phrase, {})) != set(LANGUAGES) - {"en"}}
    assert missing == set()


def test_a_translation_names_what_its_english_names() -> None:
    """{moment} and the like stand in every language of a phrase."""
    for phrase, others in phrases().items():
        for said in others.values():
            assert sorted(re.findall(r"\{\w+\}", said)) == sorted(re.findall(r"\{\w+\}", phrase)), said


def test_dates_are_in_the_language_of_the_household() -> None:
    text = page(*everything(), "de")
    assert '<html lang="de">' in text
    assert "Samstag, 16. Januar" in text.replace("\N{NO-BREAK SPACE}", " ")
    assert not re.search(r"\b(Saturday|Sunday) \d+ January", text.replace("\N{NO-BREAK SPACE}", " "))


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_weighs_no_more_than_it_may(name: str) -> None:
    """300 kB for the hobby room, which has 60 steps; the others are smaller."""
    assert len(page(*example(name)).encode()) <= 300_000


def test_the_same_plan_gives_the_same_page() -> None:
    assert page(*everything()) == page(*everything())


def test_the_odds_have_axes_and_what_several_causes_share_is_named() -> None:
    """60 % by 23 January and 90 % by the 30th: levels at the left, days below, the curve true to both. Of the spread
    40 % comes from the doors: the other 60 % are of several together, and chance."""
    made, facts = everything()
    text = page(made, facts)
    (figure,) = re.findall(r'<figure class="curve"><figcaption><b>Chance of being done.*?</svg>', text, re.S)
    assert re.findall(r"<text[^>]*>([^<]*)<", figure) == ["0 %", "50 %", "80 %", "95 %", "Sat 23 Jan", "Sat 30 Jan"]
    (curve,) = re.findall(r'class="curveline" d="M([^"]*)"', figure)
    points = [tuple(map(float, point.split())) for point in curve.split("L")]
    heights = {round((160 - y) / 150, 2) for _, y in points}
    assert heights == {0.6, 0.9}
    assert "what several of these do together, and chance" in text
    assert re.search(r"and chance</th><td>60 %", text)


def test_a_style_asks_for_no_colour_that_nobody_defines() -> None:
    """Of the file and of the page that is served: a variable without a value would leave a mark unseen."""
    styles = "".join(file.read_text("utf-8") for file in Path(scheduler.telling.page.__file__).parent.glob("*/*.css"))
    asked, given = (set(re.findall(form, styles)) for form in (r"var\((--\w+)\)", r"(--\w+):"))
    assert asked == given
