"""What the tool says when something is wrong: what, where, and what would be right, in words of the trade.

The rules are held over every message in the source (`tests.messages` lists them, to be read), and over what wild and
damaged files bring to light when they are read.
"""

from __future__ import annotations

import re
import string
from functools import cache
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest

from scheduler.errors import Fault, InputError, TackfreeError
from scheduler.telling.words.sentences import sentences_in
from scheduler.wallclock import WEEKDAYS
from tests.bench.fuzzkinds import kinds
from tests.messages import Message, messages, sentences
from tests.reading.wrongjobs import CHECKS, SHAPE, VALUES
from tests.support.english import left_in

JARGON = re.compile(
    r"\b(None|NoneType|NaN|dict|str|int|float|bool|boolean|tuple|fields?|valid|invalid|validat\w+|model|schema|pars\w+"
    r"|JSON\w*|YAML|Expecting|objects?|null|[a-z]*exceptions?|mappings?|sequences?|scalars?|tokens?|regex|index"
    r"|types?|strings?|integers?|delimiter|arguments?|undefined|\w+Error|traceback|stdin|stdout|stderr|argv|utf8)\b"
)
"""Words of whoever writes the program; whoever plans a room reads none of them."""
ALLOWED = {
    "there is no schema called “‹name›”",  # the command is called so, for those who set up an editor
    "this event has a rule of exceptions (EXRULE), given up by the calendar standard (RFC 5545)",
}
REMEDIES = (
    *(
        "write",
        "name",
        "check",
        "take",
        "leave",
        "keep",
        "export",
        "give",
        "add",
        "put",
        "make",
        "see",
        "call",
        "set",
    ),
    *(
        "move",
        "mend",
        "save",
        "follow",
        "change",
        "say",
        "install",
        "record",
        "wait",
        "rename",
        "close",
        "begin",
        "let",
        "have",
        "try",
    ),
    *("base", "split", "use", "ask", "raise", "allow", "run", "look", "choose", "indent", "heat", "spell"),
    *("did you mean", "known are", "if ", "in a copied folder", "nothing is to be recorded"),
)
"""What a remedy begins with: something to do, a name to take, or that nothing is to be done."""
FACTS = (
    "months are 01 to 12",
    "a note has",
    "tackfree dry lists",
    "it is for",
    "air lies between",
    "air, ",
    "there are ceil, max and min",
    "no step can wait for itself",
    "for the whole day write",
    "‹",
)
"""Remedies that say what there is to choose from; ‹…› is filled in with one of these when it runs."""
SENTENCES = ("say_error", "how_to_say", "COMMANDS")
"""What says whole sentences."""
WITH_REMEDY = {
    *(
        "Fault",
        "wrong_input",
        "UnclearQuantityError",
        "UnwrittenError",
        "fault",
        "_fault",
        "amiss",
        "add",
        "refuse",
        "unclear",
        "refused",
        "failed",
    ),
    *("_stop", "Complaint"),
}


def own_words(text: str) -> str:
    """The text without what is quoted, and without what is filled in."""
    return re.sub(r"`[^`]*`|“[^”]*”|‹[^›]*›|\"[^\"]*\"", "…", text)


def faults_of(message: Message) -> list[str]:
    """What is wrong with a message itself."""
    says, remedy = message.says.strip("\n"), message.remedy or ""
    wrong = []
    for part in (says, remedy):
        if JARGON.search(own_words(part)) and part not in ALLOWED:
            wrong.append("a word of programmers")
        if "\n" in part or re.search(r"\S  ", part):
            wrong.append("more than one line, or two blanks")
        if message.kind not in SENTENCES and part.endswith((".", ";", ":", ",", " ")):
            wrong.append("another end than the others have")
    if message.kind in WITH_REMEDY and not remedy:
        wrong.append("no remedy")
    if remedy and message.kind in WITH_REMEDY and not remedy.startswith((*REMEDIES, *FACTS)):
        wrong.append("a remedy that says nothing to do")
    if message.kind not in SENTENCES and re.match(r"[A-Z][a-z]", says):
        wrong.append("a capital in the middle of a line")
    return wrong


@pytest.mark.long
def test_every_message_keeps_the_rules() -> None:
    """Plain words, one line, no full stop at its end, and what would be right."""
    wrong = [f"{', '.join(faults)}: {message}" for message in messages() if (faults := faults_of(message))]
    assert not wrong, "\n".join(wrong)


def test_the_list_is_whole() -> None:
    """Each room that reads or plans has messages in it, and one of each kind is found where it stands."""
    found = messages()
    rooms = {message.file.split("/")[1] for message in found}
    assert rooms >= {"calendar", "cli", "diary", "expanding", "living", "model", "reading", "telling", "units.py"}
    assert len(found) > 400
    said = {str(message).partition(": ")[2] for message in found}
    for line in (
        "this file is empty; begin it with `job: ` and a name",  # a fault, plainly
        '`‹name›` is missing in this line; write `"‹name›": …`',  # handed on by a helper of its class
        "`dust_free` is missing among the stages; "
        "add it, or write `exposed: false` if no dust can reach it, as behind a panel",  # by a rule of profiles
        "the room is dusty before it and nothing wipes the room down in time",  # out of a table
        "no method is called `‹call.method›`; ‹_meant(call.method, methods)›",  # gathered by another module
    ):
        assert line in said, line


@pytest.mark.parametrize(
    ("says", "remedy", "wrong"),
    [
        ("expected str, got NoneType", "write one", "a word of programmers"),
        ("this is wrong", "", "no remedy"),
        ("this is wrong.", "write one", "another end than the others have"),
        ("this is  wrong", "write one", "more than one line, or two blanks"),
        ("this is\nwrong", "write one", "more than one line, or two blanks"),
        ("This is wrong", "write one", "a capital in the middle of a line"),
        ("this is wrong", "that was all", "a remedy that says nothing to do"),
    ],
)
def test_the_rules_can_fail(says: str, remedy: str, wrong: str) -> None:
    """A message that breaks a rule is found."""
    assert faults_of(Message("x.py", 1, "Fault", says, remedy)) == [wrong]
    assert not faults_of(Message("x.py", 1, "Fault", "`None` stands here", "write a name"))


@cache
def brought_to_light() -> tuple[frozenset[str], tuple[Fault, ...]]:
    """What some hundred wild and damaged files bring, less their places; and the faults among it."""
    random = Random(3)
    said: set[str] = set()
    found: list[Fault] = []
    for kind in kinds():
        for _ in range(8 if kind.name != "job planned" else 2):
            with TemporaryDirectory() as folder:
                file = Path(folder) / kind.file
                file.parent.mkdir(parents=True, exist_ok=True)
                file.write_bytes(kind.write(random))
                try:
                    kind.reads(file)
                except InputError as error:
                    found += error.faults
                except TackfreeError as error:
                    said.add(str(error))
    return frozenset(said | {f"{fault.message}; {fault.hint}" for fault in found}), tuple(found)


@pytest.mark.long
def test_what_comes_to_light_keeps_the_rules() -> None:
    """Filled in as well: no word of programmers outside of quotes, one end, one line."""
    found = {case[2] for table in (SHAPE, VALUES, CHECKS) for case in table.values()} | brought_to_light()[0]
    assert len(found) > 120, "too few to say anything"
    wrong = [
        said
        for said in sorted(found)
        if JARGON.search(own_words(said)) or said.endswith((".", "; ")) or "None" in own_words(said)
    ]
    assert not wrong, "\n".join(wrong)


def test_what_comes_to_light_can_be_said_in_german() -> None:
    """What is filled in as well, be it a word of ours or a sentence: nothing of it is left in English."""
    assert not left_in(brought_to_light()[1])


def test_each_sentence_has_its_german() -> None:
    """With the same values filled in, none more and none less."""
    german = {**sentences_in("de"), **sentences_in("de", "starter"), **sentences_in("de", "help")}
    said = {**sentences(), **dict.fromkeys(WEEKDAYS, "scheduler/wallclock.py")}  # what faults say of days
    missing = [f"{where}: {text}" for text, where in said.items() if text not in german]
    assert not missing, "\n".join(missing)
    other = [text for text, said in german.items() if _filled_in(text) != _filled_in(said)]
    assert not other, "\n".join(other)


def _filled_in(text: str) -> set[str]:
    try:
        return {name for _, name, _, _ in string.Formatter().parse(text) if name}
    except ValueError:
        return set()  # a sentence in which nothing is filled in may hold a `{` of its own


def test_the_list_of_sentences_is_whole() -> None:
    """One of each kind is found: a plain fault, one filled in, a remedy, a rule of profiles, a table, a word."""
    assert sentences().keys() >= {
        "a quote is opened and never closed",
        "no {what} is called `{name}`",
        "write one such as `13 ft 2 in`, `3.9 m`",
        "`dust_free` is missing among the stages",
        "a tab stands here",
        "item on order",
    }
