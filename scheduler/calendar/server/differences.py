"""What is to be done on a server so that it holds the plan: put, remove, and what is left to the person. Pure."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass

from scheduler.calendar.server.resources import EventThere, Resource, Times, times_text


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedByHand:
    """An event of ours that a person put elsewhere: when it was sent for, when it is now (None: can't be told)."""

    uid: str
    now: Times | None
    withdrawn: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """`puts` pairs each resource with what is there (None: nothing); `removals` are ours and wanted no more.

    `moved` are events that a person moved, `deleted` those that were there and are not any more, or are called off;
    they are in neither list, unless they may be overwritten.
    """

    puts: tuple[tuple[Resource, EventThere | None], ...]
    removals: tuple[EventThere, ...]
    moved: tuple[MovedByHand, ...]
    deleted: tuple[str, ...]
    unchanged: int


def changes(
    wanted: Mapping[str, Resource],
    there: Iterable[EventThere],
    own: Callable[[EventThere], bool],
    known: Mapping[str, Collection[Times]],
    overwrite: bool = False,
    had: Collection[str] = (),
) -> Changes:
    """Compare the plan's events with those on the server.

    `own` tells our events from foreign ones; what is foreign is in none of the lists. `known` are times of an event
    that are no news: where it was handed out before, should some program have dropped its mark, and where a person
    put it, should the plan have followed. `overwrite`: treat what a person moved or deleted like anything else (it
    is named all the same). `had` are the events that were put there before: of these one that is gone was deleted,
    unless all are gone: then the calendar was emptied, and is filled anew. One that was called off there is like one
    that was deleted.
    """
    ours = {one.uid: one for one in there if own(one)}
    gone = {uid for uid in had if uid not in ours} if ours else set()
    deleted = sorted(uid for uid in wanted if uid in gone or (uid in ours and ours[uid].cancelled))
    puts: list[tuple[Resource, EventThere | None]] = []
    moved: list[MovedByHand] = []
    unchanged = 0
    for uid, resource in sorted(wanted.items()):
        one = ours.get(uid)
        if uid in deleted and not overwrite:
            continue
        if one is not None and one.times != resource.times and _moved(one, known.get(uid, ())):
            moved.append(MovedByHand(uid=uid, now=one.times, withdrawn=False))
            if not overwrite:
                continue
        here = one is not None and one.times == resource.times and one.sent_digest == resource.digest
        if here and uid not in deleted:
            unchanged += 1
        else:
            puts.append((resource, one))
    removals = []
    for uid, one in sorted(ours.items()):
        if uid in wanted:
            continue
        if _moved(one, known.get(uid, ())):
            moved.append(MovedByHand(uid=uid, now=one.times, withdrawn=True))
            if not overwrite:
                continue
        removals.append(one)
    return Changes(
        puts=tuple(puts),
        removals=tuple(removals),
        moved=tuple(moved),
        deleted=tuple(deleted),
        unchanged=unchanged,
    )


def _moved(one: EventThere, known: Collection[Times]) -> bool:
    """Whether an event is where nobody but a person can have put it."""
    if one.times is None:
        return True
    return one.times not in known and times_text(one.times) != one.sent_times
