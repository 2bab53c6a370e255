"""A refusal put into words: the error that says that no plan is possible, in the language of the job."""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.errors import Fault, NoPlanError
from scheduler.model.job import Job
from scheduler.model.refusal import Refusal
from scheduler.telling.words import Words, words_of


def no_plan(refusal: Refusal, job: Job) -> NoPlanError:
    """The error of a refusal, said in the language of the job and by its clock."""
    words = words_of(job)
    step = words.quoted(refusal.step) if refusal.step else ""
    rule, remedy = words.say(refusal.rule), words.say(refusal.remedy)
    sets = tuple(tuple(Fault(each.place, words.say(each.said)) for each in one) for one in refusal.sets)
    error = NoPlanError(step, rule, remedy, entries=sets, cautions=refusal.cautions)
    error.lines = tuple(_lines(error, words))
    return error


def _lines(error: NoPlanError, words: Words) -> Iterator[str]:
    """The rule and its remedy, each entry with its place in the file, each caution."""
    head = words.tell("refused")
    if not error.entries:
        yield f"{head} {error}"
    else:
        sets = list(_sets(error, words))
        if error.step:
            yield f"{head} {error}"
            yield from sets
        else:
            yield f"{head} {sets[0]}"
            yield from sets[1:]
            yield f"{error.remedy[:1].upper()}{error.remedy[1:]}."
    yield from (words.tell("refused.beware", caution=caution) for caution in error.cautions)


def _sets(error: NoPlanError, words: Words) -> Iterator[str]:
    for number, entries in enumerate(error.entries):
        yield words.tell("refused.nor these" if number else "refused.these")
        yield from (f"  {fault}" for fault in entries)
