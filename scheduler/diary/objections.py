"""What speaks against an entry: the record may say many things, but not two that cannot both be. Pure."""

from __future__ import annotations

from datetime import date, timedelta
from zoneinfo import ZoneInfo

from scheduler.diary.standing import Standing
from scheduler.errors import wrong_input
from scheduler.model.basics import Span
from scheduler.model.diary import Air, Arrived, Bought, Did, Event, Felt, Late, Left, Lost, Ordered
from scheduler.model.job import Item
from scheduler.told import told
from scheduler.wallclock import DAY, local_date, to_datetime


def object_to(event: Event, standing: Standing, now: int) -> None:
    """Raises InputError if an event contradicts what is known by now, with what would have to be taken back first."""
    match event:
        case Did(step=step, pieces=pieces) | Left(step=step, pieces=pieces):
            _work(step, pieces, standing, now)
        case Felt():
            _felt(event, standing, now)
        case Late():
            items = {item.id: item for item in standing.job.items}
            _late(event, items.get(event.item), local_date(now, ZoneInfo(standing.job.zone)))
        case Arrived():
            _arrived(event, _item(standing, event.item), local_date(now, ZoneInfo(standing.job.zone)))
        case Ordered(thing=thing, on=on) | Bought(thing=thing, on=on):
            known = standing.ordered.get(thing) if isinstance(event, Ordered) else _bought(thing, standing)
            _told_once(thing, on, known, standing, now)
        case Lost(span=span):
            _lost(span, standing)
        case Air(minute=minute):
            _not_to_come(minute, standing, now, "record it once it is read")


def _work(step: str, pieces: tuple[Span, ...], standing: Standing, now: int) -> None:
    if step in standing.done:
        when = _said(standing.done[step][-1].end, standing)
        hint = "if it ended at another time, say which (`--at`); if it is not done, take that back with `--undo`"
        raise wrong_input("STEP", told("`{step}` is done already, since {when}", step=step, when=when), hint)
    _not_to_come(pieces[-1].end, standing, now, "record it when it is done")
    if pieces[0].start < standing.job.start - 366 * DAY:
        raise wrong_input(
            "--at",
            told("{said} is long before the job begins", said=_said(pieces[0].start, standing)),
            "check the year",
        )
    for lost in standing.lost:
        if any(piece.start < lost.end and lost.start < piece.end for piece in pieces):
            day = local_date(lost.start, ZoneInfo(standing.job.zone))
            raise wrong_input(
                "--at",
                told("{day} is recorded as lost", day=day),
                told("take that back first: `lost … {day} --undo`", day=day),
            )


def _not_to_come(minute: int, standing: Standing, now: int, hint: str) -> None:
    if minute > now:
        zone = ZoneInfo(standing.job.zone)
        if local_date(minute, zone) == local_date(now, zone):
            before = to_datetime(minute, zone) - timedelta(days=1)  # on the clock on the wall
            hint = told(
                "{hint}; if it was the day before, say the day, too: `{before}`",
                hint=hint,
                before=f"{before:%Y-%m-%d %H:%M}",
            )
        raise wrong_input("--at", told("{said} is still to come", said=_said(minute, standing)), hint)


def _felt(event: Felt, standing: Standing, now: int) -> None:
    _not_to_come(event.minute, standing, now, "record it once you have looked")
    if event.step not in standing.done:
        hint = told("record first when it was laid: `did … {step} --at …`", step=event.step)
        raise wrong_input(
            "STEP", told("`{step}` is not recorded as done, so its film is not laid", step=event.step), hint
        )
    end = standing.done[event.step][-1].end
    if event.minute <= end:
        said = told(
            "the film of `{step}` was laid by {said}, and that is no later",
            step=event.step,
            said=_said(end, standing),
        )
        raise wrong_input("--at", said, "name the time at which you looked; if it was laid sooner, say so with `did`")
    if any(
        (look.step, look.stage, look.minute, look.reached) == (event.step, event.stage, event.minute, event.reached)
        for look in standing.looks
    ):
        raise wrong_input("STAGE", "that is recorded already", "nothing is to be recorded")


def _late(event: Late, item: Item | None, today: date) -> None:
    """`item` is None for an appointment."""
    if item is not None and item.arrived is not None:
        raise wrong_input(
            "ITEM",
            told("`{id}` is there, since {arrived}", id=item.id, arrived=item.arrived),
            "take that back first with `--undo`",
        )
    if event.expected < today:
        hint = "name the day on which it comes"
        if item is not None:
            hint = told(
                "{hint}; if it is there: `arrived … {item} --at {day}`", hint=hint, item=item.id, day=event.expected
            )
        raise wrong_input("DATE", told("{expected} has passed", expected=event.expected), hint)


def _arrived(event: Arrived, item: Item, today: date) -> None:
    if item.arrived is not None:
        raise wrong_input(
            "ITEM",
            told("`{id}` is there already, since {arrived}", id=item.id, arrived=item.arrived),
            "nothing is to be recorded",
        )
    if event.on > today:
        raise wrong_input(
            "--at",
            told("{on} is still to come", on=event.on),
            told("if it comes then: `late … {id} {on}`", id=item.id, on=event.on),
        )


def _bought(thing: str, standing: Standing) -> date | None:
    """Since when as much of a thing as is needed is in the house; of some of it more can be bought."""
    known = standing.bought.get(thing)
    return known.on if known is not None and known.amount is None else None


def _told_once(thing: str, on: date, known: date | None, standing: Standing, now: int) -> None:
    if known == on:
        raise wrong_input(
            "THING",
            told("`{thing}` is recorded already, {known}", thing=thing, known=known),
            "nothing is to be recorded",
        )
    if on > local_date(now, ZoneInfo(standing.job.zone)):
        raise wrong_input("--at", told("{on} is still to come", on=on), "record it then")


def _lost(span: Span, standing: Standing) -> None:
    if any(lost.start <= span.start and span.end <= lost.end for lost in standing.lost):
        raise wrong_input("DAY", "that is recorded as lost already", "nothing is to be recorded")
    done = {**standing.done, **{step: pieces for step, (pieces, _) in standing.begun.items()}}
    for step, pieces in done.items():
        if any(piece.start < span.end and span.start < piece.end for piece in pieces):
            hint = told("if that is wrong: `did … {step} --undo`", step=step)
            raise wrong_input("DAY", told("`{step}` was worked on in these hours, by the record", step=step), hint)


def _item(standing: Standing, name: str) -> Item:
    return next(item for item in standing.job.items if item.id == name)


def _said(minute: int, standing: Standing) -> str:
    return f"{to_datetime(minute, ZoneInfo(standing.job.zone)):%Y-%m-%d %H:%M}"
