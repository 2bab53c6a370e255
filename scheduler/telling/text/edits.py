"""What an edit of the job file did to the plan: which work is new, which is gone, and where the end has moved to."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from scheduler.model.moves import Edit, WorkEdit
from scheduler.model.plan import Plan, PlannedStep
from scheduler.telling.text.sheet import Line, Sheet
from scheduler.telling.views.index import Book
from scheduler.telling.wording import Clockface, counted, length_words, one_line

MOST = 8
"""Steps that are named, of many that an edit has changed."""


def what_was_edited(before: Plan, after: Plan) -> Edit:
    """Compare the plan handed out before an edit with the one after it. What the record called for is no edit."""
    old = {step.id: step for step in before.steps if step.added is None}
    new = {step.id: step for step in after.steps if step.added is None}
    former = {each.name for each in after.former}
    edited = [
        (new.get(name, step), _labour(old.get(name)), _labour(new.get(name)))
        for name, step in {**old, **new}.items()
        if name not in former
    ]
    return Edit(
        since=before.as_of,
        work=tuple(
            WorkEdit(title=one_line(step.title), before=was, after=now)
            for step, was, now in edited
            if was != now and step.state == "planned"
        ),
        finish_before=before.finish,
        finish_after=after.finish,
    )


def edit_text(edit: Edit, after: Plan, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """The same in words; times by the zone and the clock of the plan `after`."""
    face = Book(after).face
    sheet = Sheet(width, ascii)
    heading = f"The job file has changed since the plan of {face.date(edit.since)}"
    if edit.work:
        sheet.points(f"{heading}:", (*_changes(edit), f"in all {_sum(edit, face)}."))
    else:
        sheet.add(Line(f"{heading}: {_sum(edit, face)}."))
    return sheet.text(colour)


def _labour(step: PlannedStep | None) -> int | None:
    return None if step is None else step.labour


def _changes(edit: Edit) -> Iterator[str]:
    for each in islice(edit.work, MOST):
        if each.before is None:
            yield f"new: {each.title} ({_long(each.after)})"
        elif each.after is None:
            yield f"no longer: {each.title} ({_long(each.before)})"
        else:
            yield f"{each.title}: {_more(each.after - each.before)}"
    if len(edit.work) > MOST:
        yield f"and {counted(len(edit.work) - MOST, 'more step')}"


def _sum(edit: Edit, face: Clockface) -> str:
    more = sum((each.after or 0) - (each.before or 0) for each in edit.work)
    work = f"{_long(abs(more))} {'more' if more > 0 else 'less'} work" if more else "the same amount of work"
    now = face.moment(edit.finish_after, year=True)
    if edit.finish_after == edit.finish_before:
        return f"{work}; the end stays on {now}"
    return f"{work}; the end moves to {now}, from {face.moment(edit.finish_before, year=True)}"


def _more(minutes: int) -> str:
    return f"{_long(abs(minutes))} {'more' if minutes > 0 else 'less'}"


def _long(minutes: int | None) -> str:
    return length_words(minutes or 0, days=False)
