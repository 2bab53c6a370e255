"""The questions of `starter` on a terminal: each answer is read at once, and asked for again if it can't be."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from scheduler.cli.shared import language_of, say_error, sentence, today_for, typed, width
from scheduler.model.facts import Facts
from scheduler.model.refusal import NoPlanError
from scheduler.model.tradewords import ENGLISH
from scheduler.units import UnclearQuantityError

if TYPE_CHECKING:
    from scheduler.reading.starters.answers import Answers
    from scheduler.reading.starters.questions import Question

_QUICK = 1
"""Effort of the trial: any plan at all will do."""


def asked(begin: Answers) -> tuple[Answers, str]:
    """The answers of the person at the terminal, and why no plan fits them if they leave it at that.

    Raises EOFError and KeyboardInterrupt when they stop.
    """
    from scheduler.reading.starters.questions import QUESTIONS, named, questions_of

    print(_wrapped(sentence("starter.questions", count=len(QUESTIONS))))
    answers = _answer(QUESTIONS[0], "1  ", begin)  # how many there are goes by what is to be done
    number, questions = 2, questions_of(answers.kinds)[1:]
    for place, question in enumerate(questions):
        if question.asks(answers):
            left = _left(questions[place:], answers)
            answers = _answer(question, f"{number}/{number - 1 + left}  ", answers)
            number += 1
    print()
    fitted, why = _fitted(named(answers))
    told = _read_back(fitted)
    return told, why if told == fitted else no_plan(told)


def _left(questions: tuple[Question, ...], so_far: Answers) -> int:
    """How many questions are put yet, if each gets its usual answer."""
    from scheduler.reading.starters.questions import answered

    count = 0
    for question in questions:
        count += bool(question.asks(so_far))
        so_far = answered(question, "", so_far)
    return count


def _read_back(answers: Answers) -> Answers:
    """The answers as they were understood, and what is put right then; Enter, or no more input, is a yes."""
    from scheduler.reading.starters.readback import MORE, read_back, read_more
    from scheduler.reading.starters.typed import PARTS, TIMES

    while True:
        for line in read_back(answers):
            print(_wrapped(answers.say(line), "  ", "    "))
        print(_wrapped(answers.say(MORE)))
        try:
            text = typed("> ")
            if not text:
                return answers
            answers = read_more(text, answers)
        except EOFError:
            return answers
        except UnclearQuantityError as error:
            say_error(_wrapped(_unclear(error, answers, (TIMES, PARTS)), "  ", "  "))


def _answer(question: Question, mark: str, so_far: Answers) -> Answers:
    """Ask until the answer can be read."""
    from scheduler.reading.starters.questions import LONGEST, answered
    from scheduler.reading.starters.typed import shown

    print("\n" + _wrapped(so_far.say(question.asks(so_far)), mark))
    for number, line in enumerate(question.listed(so_far), 1):
        print(_wrapped(so_far.say(line), f"  {number}  ", "     "))
    usual = shown(question.usual(so_far), so_far.language, *question.of)
    print(_wrapped(f"[{usual}]", "  ", "   "))
    while True:
        text = typed("> ")
        try:
            if not text.isprintable() or len(text) > LONGEST:
                raise UnclearQuantityError("this can't be read", "write it in a line of plain letters")
            return answered(question, text, so_far)
        except UnclearQuantityError as error:
            say_error(_wrapped(_unclear(error, so_far, question.of), "  ", "  "))


def _unclear(error: UnclearQuantityError, so_far: Answers, of: tuple[str, ...]) -> str:
    """What is wrong with an answer, in a sentence; `of` is what it may be made of."""
    from scheduler.reading.starters.typed import as_typed

    message, hint = (so_far.say(as_typed(each, so_far.language, *of)) for each in (error.message, error.hint))
    return f"{message}; {hint}."


def _fitted(answers: Answers) -> tuple[Answers, str]:
    """The answers, with other hours if no plan fits into those that were given; Enter keeps them as they are."""
    from scheduler.reading.starters.questions import HOURS, answered

    why = no_plan(answers)
    while why:
        say_error(_wrapped(sentence("starter.no hours", why=why)))
        print(_wrapped(sentence("starter.other hours")))
        text = typed("> ")
        if not text:
            break
        try:
            answers = answered(HOURS[0], text, answers)
        except UnclearQuantityError as error:
            say_error(_wrapped(_unclear(error, answers, HOURS[0].of), "  ", "  "))
            continue
        answers = _answer(HOURS[1], "", answers)
        why = no_plan(answers)
    return answers, why


def no_plan(answers: Answers) -> str:
    """Why no plan is possible for the file of these answers, or nothing: it is tried on a copy."""
    from scheduler.pipeline import Wish, make_plan, read
    from scheduler.reading.starters.jobtext import job_text
    from scheduler.telling.refused import refused

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "job.yaml"
        file.write_text(job_text(answers), encoding="utf-8")
        job, trade = read(file)
    try:
        make_plan(job, trade, Facts(now=job.start), Wish(effort=_QUICK))
    except NoPlanError as error:
        return refused(error).short
    return ""


def _wrapped(text: str, first: str = "", rest: str = "") -> str:
    from scheduler.telling.wording import wrap

    return "\n".join(wrap(text, width(), first, rest))


def beginning(folder: Path, zone: ZoneInfo, as_of: str | None) -> Answers:
    """What is known before the first question: the zone, the day, and the room, by the name of the folder."""
    from scheduler.reading.starters.answers import Answers
    from scheduler.telling.words.sentences import sentences_in

    language = language_of(None)
    return Answers(
        zone=zone.key,
        us=_in_feet(zone.key),
        today=today_for(zone, as_of),
        room=folder.resolve().name,
        language=language,
        words={} if language == ENGLISH else {**sentences_in(language), **sentences_in(language, "starter")},
    )


def _in_feet(zone: str) -> bool:
    """Whether feet are usual in the country of the zone; where a machine keeps the time of no country, too."""
    from scheduler.reading.zonenames import in_fahrenheit

    return in_fahrenheit(zone) or zone in ("UTC", "Etc/UTC")
