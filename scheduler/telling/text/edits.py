"""What an edit of the job file did to the plan: which work is new, which is gone, and where the end has moved to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import islice
from typing import TypeAlias

from scheduler.model.moves import Edit, WorkEdit
from scheduler.model.plan import Plan, PlannedStep
from scheduler.telling.text.sheet import Line, Sheet
from scheduler.telling.views.index import Book
from scheduler.telling.wording import one_line

Pace: TypeAlias = tuple[str, bool]
"""What a pace is learned of: a kind of work, and whether the minutes are a person's own."""

MOST = 8
"""Steps that are named, of many that an edit has changed."""


def what_was_edited(before: Plan, after: Plan, kinds: Mapping[str, Pace]) -> Edit:
    """Compare the plan handed out before an edit with the one after it. What the record called for is no edit, nor is
    a pace that was learned in the meantime; `kinds` are the kinds of work of the steps, by id."""
    old = {step.id: step for step in before.steps if step.added is None}
    new = {step.id: step for step in after.steps if step.added is None}
    former = {each.name for each in after.former}
    paces = _paces(before), _paces(after)
    edited = []
    for name, step in {**old, **new}.items():
        was, now = _labour(old.get(name)), _labour(new.get(name))
        if was is not None and now is not None and name in kinds:
            was = _at_todays_pace(was, now, *(pace.get(kinds[name], 1.0) for pace in paces))
        if name not in former:
            edited.append((new.get(name, step), was, now))
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


def _paces(plan: Plan) -> dict[Pace, float]:
    return {(each.of, each.by_hand): each.factor for each in plan.learned if each.about == "pace"}


def _at_todays_pace(was: int, now: int, then: float, today: float) -> int:
    """The minutes that a step took before, at the pace of today; both were rounded to whole minutes."""
    paced = round(was * today / then)
    return now if then != today and abs(paced - now) <= 1 else paced


def edit_text(edit: Edit, after: Plan, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """The same in words; times by the zone and the clock of the plan `after`."""
    book = Book(after)
    sheet, tell = Sheet(width, ascii), book.words.tell
    heading = tell("edit.since", day=book.face.date(edit.since))
    if edit.work:
        sheet.points(f"{heading}:", (*_changes(book, edit), tell("edit.in all", sum=_sum(book, edit))))
    else:
        sheet.add(Line(f"{heading}: {_sum(book, edit)}."))
    return sheet.text(colour)


def _labour(step: PlannedStep | None) -> int | None:
    return None if step is None else step.labour


def _changes(book: Book, edit: Edit) -> Iterator[str]:
    tell = book.words.tell
    for each in islice(edit.work, MOST):
        if each.before is None:
            yield tell("edit.new", step=each.title, length=_long(book, each.after))
        elif each.after is None:
            yield tell("edit.gone", step=each.title, length=_long(book, each.before))
        else:
            more = each.after - each.before
            kind = "edit.more" if more > 0 else "edit.less"
            yield f"{each.title}: {tell(kind, length=_long(book, abs(more)))}"
    if len(edit.work) > MOST:
        yield tell("edit.others", steps=book.words.counted("more step", len(edit.work) - MOST))


def _sum(book: Book, edit: Edit) -> str:
    tell = book.words.tell
    more = sum((each.after or 0) - (each.before or 0) for each in edit.work)
    kind = "edit.more work" if more > 0 else "edit.less work"
    work = tell(kind, length=_long(book, abs(more))) if more else book.words.of("edit", "as much")
    now = book.face.moment(edit.finish_after, year=True)
    if edit.finish_after == edit.finish_before:
        return tell("edit.end stays", work=work, now=now)
    return tell("edit.end moves", work=work, now=now, was=book.face.moment(edit.finish_before, year=True))


def _long(book: Book, minutes: int | None) -> str:
    return book.words.length(minutes or 0, days=False)
