"""The questions, and the file that comes of them, in German: asked, answered, read back and written."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import pytest

from scheduler.reading import read_job_text
from scheduler.reading.starters.answers import FLOOR, KINDS, REPAINT, Answers
from scheduler.reading.starters.jobtext import job_text
from scheduler.reading.starters.questions import QUESTIONS, Question, answered, named, questions_of, understood
from scheduler.reading.starters.readback import MORE, read_back, read_more
from scheduler.reading.starters.typed import PARTS, TIMES, as_typed, shown
from scheduler.telling.words.sentences import sentences_in
from scheduler.units import UnclearQuantityError
from tests.support.english import left_of

GERMAN = {**sentences_in("de"), **sentences_in("de", "starter")}
BEGIN = Answers(
    zone="Europe/Berlin", us=False, today=date(2026, 12, 1), room="Kinderzimmer", language="de", words=GERMAN
)
EVERY = [(kind,) for kind in KINDS] + [(REPAINT, FLOOR)]


def asked(kinds: tuple[str, ...], begin: Answers = BEGIN) -> Iterator[tuple[Question, Answers]]:
    """Each question that is asked of such work, and what is known then; Enter answers it."""
    so_far = replace(begin, kind=kinds[0], kinds=kinds)
    for question in questions_of(kinds)[1:]:
        if question.asks(so_far):
            yield question, so_far
        so_far = answered(question, "", so_far)


@pytest.mark.parametrize("kinds", EVERY, ids=" and ".join)
def test_what_enter_stands_for_is_read_as_it_is_shown(kinds: tuple[str, ...]) -> None:
    """It is shown in German; whoever types it so says the same."""
    for question, so_far in asked(kinds):
        usual = question.usual(so_far)
        typed = shown(usual, "de", *question.of)
        assert understood(question, typed, so_far).casefold() == usual.casefold()
        assert replace(answered(question, typed, so_far), room="") == replace(answered(question, "", so_far), room="")


@pytest.mark.parametrize("kinds", EVERY, ids=" and ".join)
def test_nothing_is_left_in_english(kinds: tuple[str, ...]) -> None:
    """No question, no choice, no line that reads the answers back, no note and no title in the file."""
    left = set()
    for question, so_far in asked(kinds):
        left |= {each for text in (question.asks(so_far), *question.listed(so_far)) for each in left_of(text, GERMAN)}
        last = answered(question, "", so_far)
    words = _Heard(GERMAN)
    whole = replace(named(last), words=words, order=(("Fliesen", date(2027, 2, 1)),))
    left |= {each for line in (*read_back(whole), MORE) for each in left_of(line, GERMAN)}
    text = job_text(whole)
    left |= words.unknown
    assert not {each for each in left if each != "Fliesen" and each not in GERMAN.values()}
    assert not re.search(r"# .*\b(?:the|and|is|of|are)\b", re.sub(r"`[^`]*`", "", text))


class _Heard(dict[str, str]):
    """Sentences of a language, and which others it was asked for."""

    unknown: set[str]

    def __init__(self, known: dict[str, str]) -> None:
        super().__init__(known)
        self.unknown = set()

    def get(self, key: str, default: str | None = None) -> str:  # type: ignore[override]
        """As a dict does."""
        if key and key not in self and " und " not in key:
            self.unknown.add(key)
        return super().get(key, default or key)


def test_the_first_question_is_answered_by_words_of_its_list() -> None:
    """In German as well, and by several at once."""
    first = QUESTIONS[0]
    assert answered(first, "Tapete, Klickboden", BEGIN).kinds == ("wallpaper to paint", "floor of planks")
    assert answered(first, "raum und 3", BEGIN).kinds == (REPAINT, FLOOR)
    assert not {each for text in (first.asks(BEGIN), *first.listed(BEGIN)) for each in left_of(text, GERMAN)}


def test_a_job_answered_in_german() -> None:
    """Decimals with a comma, walls, parts, hours, helpers and what is on order, as people type them in Germany."""
    typed = {
        "How large": "4,20 m x 3,1 m x 2,5 m",
        "Which doors": "1 Tür, 2 Fenster auf Ostwand",
        "What is painted": "Wände und Decke, waschen",
        "Which primer": "Haftgrund",
        "Which colours": "Wände tannengrün, Decke weiß",
        "When can": "samstags 9 bis 17 Uhr, Dienstag und Donnerstag abends",
        "How many people": "1, 2 am Samstag",
        "Is anything": "Farbe in 2 Wochen",
        "From which": "nächsten Montag",
        "When is it to be quiet": "21:00 bis 7:00",
    }
    so_far = replace(BEGIN, kind=REPAINT, kinds=(REPAINT,))
    for question in QUESTIONS[1:]:
        text = next((answer for asks, answer in typed.items() if question.asks(so_far).startswith(asks)), "")
        so_far = answered(question, text, so_far)
    so_far = read_more("3 Löcher; keine Pause, Wände gelb", named(so_far))
    assert (so_far.length, so_far.width, so_far.height) == (4.2, 3.1, 2.5)
    assert [hole.wall for hole in so_far.holes] == ["south wall", "east wall", "east wall"]
    assert so_far.parts == ("walls", "ceiling", "wash")
    assert so_far.material == "acrylic bonding primer"
    assert so_far.colours == (("gelb", "walls"), ("weiß", "ceiling"))
    assert [(each.days, each.start, each.end, each.people) for each in so_far.hours] == [
        ((5,), 540, 1020, 2),
        ((1, 3), 1110, 1260, 1),
    ]
    assert so_far.order == (("Farbe", date(2026, 12, 15)),)
    assert (so_far.start, so_far.quiet, so_far.pause, so_far.patches) == (date(2026, 12, 7), (1260, 420), None, 3)
    job = read_job_text(job_text(so_far), "job.yaml")
    assert (job.language, job.name) == ("de", "Neu streichen: Kinderzimmer")


def test_an_answer_that_is_wrong_is_quoted_as_it_was_typed() -> None:
    """What was turned to be read is turned back to be told."""
    question = next(each for each in QUESTIONS if each.asks(BEGIN).startswith("When can"))
    with pytest.raises(UnclearQuantityError) as caught:
        answered(question, "Samstag 9:00 bis 9:30", BEGIN)
    said = BEGIN.say(as_typed(caught.value.message, "de", *question.of))
    assert said == "`9:00 bis 9:30` ist weniger als eine Stunde"


def test_names_are_left_alone() -> None:
    """A room, a colour or an item may be called as a word is that would be turned elsewhere."""
    room = QUESTIONS[-1]
    assert answered(room, "Wand und Tür", BEGIN).room == "Wand und Tür"
    assert shown("on east wall", "en", TIMES, PARTS) == "on east wall"
