"""Which event of a calendar is which of those that were handed out, and where it stood when. Pure.

A calendar that was filled by hand, or by a program that gives names of its own, holds our events under other UIDs:
these are known by their titles.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from scheduler.calendar.events import is_of, moment_of
from scheduler.model.ledger import EventState, Exported, Ledger
from scheduler.reading.returned import Returned

Stand = Literal["here", "older", "elsewhere"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Recognised:
    """What a calendar holds of what was handed out.

    `events` are those events by our UIDs; `copies` are more of the same; `strange` are of this job, and not known.
    """

    events: Mapping[str, Returned]
    copies: tuple[tuple[str, Returned], ...]
    strange: tuple[Returned, ...]


def titles_of(ledger: Ledger) -> frozenset[str]:
    """All that events were ever called."""
    return frozenset(
        state.summary for entry in ledger.entries if not entry.retired for state in (*entry.earlier, entry.state)
    )


def recognise(job: str, ledger: Ledger, returned: Iterable[Returned]) -> Recognised:
    """Tell the events of a calendar apart: by UID, the others by title, of several of one title by when they are."""
    entries = ledger.by_uid()
    found = {each.uid: each for each in returned if each.uid in entries}
    others = [each for each in returned if each.uid not in entries]
    strange = tuple(each for each in others if is_of(job, each.uid))
    pairs = sorted(
        (
            (rank, away, entry.event.uid, each.uid, each)
            for each in others
            if not each.cancelled and not is_of(job, each.uid)
            for entry in ledger.entries
            if not entry.retired and each.summary in {state.summary for state in (*entry.earlier, entry.state)}
            for rank, away in [_apart(entry, each)]
        ),
        key=lambda pair: pair[:4],
    )
    taken: set[str] = set()
    for *_, uid, name, each in pairs:
        if uid not in found and name not in taken:
            found[uid] = each
            taken.add(name)
    copies: dict[str, tuple[str, Returned]] = {}
    for *_, uid, name, each in pairs:
        if name not in taken:
            copies.setdefault(name, (uid, each))
    return Recognised(events=found, copies=tuple(copies.values()), strange=strange)


def stand(entry: Exported, back: Returned) -> Stand:
    """Whether an event stands where it was handed out last, where it was handed out before, or where nobody but a
    person can have put it.

    Who puts it back by hand to where it was once leaves a higher SEQUENCE than any that was handed out.
    """
    if back.times == (entry.event.start, entry.event.end):
        return "here"
    states = [state for state in entry.earlier if not state.withdrawn]
    if back.sequence <= entry.sequence and any((state.start, state.end) == back.times for state in states):
        return "older"
    # Of what an earlier tackfree told, only the last state is known; what is of an older version may be any of them.
    forgotten = entry.since > 0 and not entry.earlier
    return "older" if forgotten and back.sequence < entry.since else "elsewhere"


def edition_of(ledger: Ledger, found: Recognised) -> int:
    """The last edition of the calendar that can be in there: some event stands where only that one, or an older one,
    has it."""
    last = ledger.edition
    for uid, entry in ledger.by_uid().items():
        back = found.events.get(uid)
        if back is None or stand(entry, back) != "older":
            continue
        states = (*entry.earlier, entry.state)
        newest = max((n for n, state in enumerate(states) if (state.start, state.end) == back.times), default=None)
        last = last if newest is None else min(last, states[newest + 1].edition - 1)
    return last


def as_states(found: Recognised) -> dict[str, EventState]:
    """What stands in there, by our UIDs, and under their own what is there twice or not known."""
    events = {**found.events, **{f"copy {each.uid}": each for _, each in found.copies}}
    events |= {each.uid: each for each in found.strange}
    return {
        name: EventState(
            edition=0, start=each.times[0], end=each.times[1], summary=each.summary, sequence=each.sequence
        )
        for name, each in events.items()
        if each.times is not None and not each.cancelled
    }


def _apart(entry: Exported, each: Returned) -> tuple[int, int]:
    """How well an event under another UID fits: whether it stands where this one does or did, else how far away.
    Where nobody handed it out, it is rather one that the plan still has than one that was withdrawn."""
    if each.times is None or isinstance(each.times[0], date) != isinstance(entry.event.start, date):
        return 4, 0
    known = [(state.start, state.end) for state in (entry.state, *reversed(entry.earlier))]
    if each.times in known:
        return (1 if entry.withdrawn else 0), known.index(each.times)
    return (3 if entry.withdrawn else 2), abs(moment_of(each.times[0]) - moment_of(entry.event.start))
