"""A refusal put into words: that no plan is possible, in the language of the job and by its clock."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scheduler.errors import Fault, printable
from scheduler.model.refusal import NoPlanError
from scheduler.telling.words import Words, words_of


@dataclass(frozen=True, slots=True)
class Refused:
    """Which step (or none), which rule, what would make a plan possible, in words.

    `entries` are those of the job file that cannot hold together: of one set, or of several that are each too much.
    None of a set can be left out of it. `cautions` is what to beware of in following the remedy. `lines` is all that
    is said, as a person reads it, and `short` the rule and the remedy in one line.
    """

    step: str
    rule: str
    remedy: str
    entries: tuple[tuple[Fault, ...], ...]
    cautions: tuple[str, ...]
    short: str
    lines: tuple[str, ...]


def refused(error: NoPlanError) -> Refused:
    """What stands in the way of a plan, as its person is told."""
    refusal, words = error.refusal, words_of(error.job)
    step = words.quoted(refusal.step) if refusal.step else ""
    rule, remedy = words.say(refusal.rule), words.say(refusal.remedy)
    entries = tuple(tuple(Fault(each.place, words.say(each.said)) for each in one) for one in refusal.sets)
    short = printable(f"{step}: {rule}; {remedy}" if step else f"{rule}; {remedy}")
    told = [*_lines(short, step, remedy, entries, words)]
    told += (words.tell("refused.beware", caution=caution) for caution in refusal.cautions)
    return Refused(step, rule, remedy, entries, refusal.cautions, short, tuple(told))


def _lines(short: str, step: str, remedy: str, entries: tuple[tuple[Fault, ...], ...], words: Words) -> Iterator[str]:
    """The rule and its remedy, each entry with its place in the file."""
    head = words.tell("refused")
    if not entries:
        yield f"{head} {short}"
        return
    sets = list(_sets(entries, words))
    if step:
        yield f"{head} {short}"
        yield from sets
    else:
        yield f"{head} {sets[0]}"
        yield from sets[1:]
        yield f"{remedy[:1].upper()}{remedy[1:]}."


def _sets(entries: tuple[tuple[Fault, ...], ...], words: Words) -> Iterator[str]:
    for number, faults in enumerate(entries):
        yield words.tell("refused.nor these" if number else "refused.these")
        yield from (f"  {fault}" for fault in faults)
