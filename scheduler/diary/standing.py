"""How a job stands by its diary: what is done, what is under way, what comes when, which hours are lost. Pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from zoneinfo import ZoneInfo

from scheduler.model.basics import Span
from scheduler.model.diary import (
    Air,
    Arrived,
    Bought,
    Did,
    Entry,
    Felt,
    Kind,
    Late,
    Left,
    Lost,
    Ordered,
    Skipped,
    living,
    name_in,
)
from scheduler.model.facts import Facts
from scheduler.model.job import Appointment, Item, Job, Reading, Room
from scheduler.model.learned import Look, Took
from scheduler.wallclock import same_time

Begun = tuple[tuple[Span, ...], int]
"""The pieces of a step so far, and the minutes of work left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """The job as it stands: `job` with what the diary says of deliveries and air, and what has happened so far.

    `lost` are hours in which nobody works, `bought` and `ordered` what is in the house or has been ordered, by its
    name (see `Lot.name`). Of several entries about one thing the newest holds. `recorded`: whether any entry holds.
    `took` are the minutes that a person said of steps, `looks` how films felt; `skipped` are the sessions that took
    place without a step that the plan had in them, by step.
    """

    job: Job
    done: Mapping[str, tuple[Span, ...]]
    begun: Mapping[str, Begun]
    lost: tuple[Span, ...]
    recorded: bool = False
    bought: Mapping[str, Bought] = field(default_factory=dict)
    ordered: Mapping[str, date] = field(default_factory=dict)
    took: Mapping[str, Took] = field(default_factory=dict)
    looks: tuple[Look, ...] = ()
    skipped: Mapping[str, tuple[Span, ...]] = field(default_factory=dict)

    def facts(self, now: int, steps: Collection[str], before: Mapping[str, tuple[Span, ...]] | None = None) -> Facts:
        """What the planner must take as given at `now` of the steps that the job has; `before` are the pieces of the
        plan handed out."""
        return Facts(
            now=now,
            done={name: pieces for name, pieces in self.done.items() if name in steps},
            begun={name: begun for name, begun in self.begun.items() if name in steps},
            before=before or {},
            recorded=self.recorded,
            took={name: took for name, took in self.took.items() if name in steps},
            looks=tuple(look for look in self.looks if look.step in steps),
        )

    @property
    def last(self) -> int | None:
        """The minute of the last thing that is known to have happened; None if nothing has."""
        ends = [pieces[-1].end for pieces in self.done.values()]
        ends += [pieces[-1].end for pieces, _ in self.begun.values()]
        ends += [look.minute for look in self.looks]
        return max(ends, default=None)


def standing(job: Job, entries: Sequence[Entry]) -> Standing:
    """How a job stands after these entries. Items and rooms that the job does not know are
    passed over (see `strangers`); what was done stays in it, also of a step that the job has no longer."""
    done: dict[str, tuple[Span, ...]] = {}
    begun: dict[str, Begun] = {}
    lost: list[Span] = []
    bought: dict[str, Bought] = {}
    ordered: dict[str, date] = {}
    took: dict[str, Took] = {}
    looks: dict[tuple[str, str, int], Look] = {}
    holding = living(tuple(entries))
    for entry in holding:
        match entry.event:
            case Did(step=step, pieces=pieces, took=minutes):
                done[step] = pieces
                begun.pop(step, None)
                _say(took, step, minutes, whole=True)
            case Left(step=step, pieces=pieces, left=left, took=minutes):
                begun[step] = (pieces, left)
                done.pop(step, None)
                _say(took, step, minutes, whole=False)
            case Felt(step=step, stage=stage, minute=minute, reached=reached):
                looks[step, stage, minute] = Look(step=step, stage=stage, minute=minute, reached=reached)
            case Lost(span=span):
                lost.append(span)
            case Bought(thing=thing):
                bought[thing] = entry.event
            case Ordered(thing=thing, on=on):
                ordered[thing] = on
    return Standing(
        job=_known_better(job, holding),
        done=done,
        begun=begun,
        lost=tuple(lost),
        recorded=bool(holding),
        bought=bought,
        ordered=ordered,
        took=took,
        looks=tuple(looks[key] for key in sorted(looks)),
        skipped=_skipped(holding),
    )


def _known_better(job: Job, holding: Sequence[Entry]) -> Job:
    """The job with what entries say of its items on order, its appointments and the air of its rooms."""
    items, rooms = {item.id: item for item in job.items}, {room.id: room for room in job.rooms}
    for entry in holding:
        match entry.event:
            case Ordered(thing=name, on=on) if name in items:
                items[name] = replace(items[name], ordered=on)
            case Late(item=name) | Arrived(item=name) as news if name in items:
                items[name] = _told(items[name], news)
            case Air(room=name) as air if name in rooms:
                rooms[name] = _measured(rooms[name], air)
    visits = _appointments(job, holding)
    return replace(job, items=tuple(items.values()), rooms=tuple(rooms.values()), appointments=visits)


def _skipped(entries: Iterable[Entry]) -> Mapping[str, tuple[Span, ...]]:
    """The sessions that took place without a step, by step."""
    found: dict[str, tuple[Span, ...]] = {}
    for event in (entry.event for entry in entries if isinstance(entry.event, Skipped)):
        found[event.step] = (*found.get(event.step, ()), event.span)
    return found


def _say(took: dict[str, Took], step: str, minutes: int | None, *, whole: bool) -> None:
    """What the newest entry about a step says of its minutes. If nothing, it took no less than was said before."""
    if step in took and took[step].whole:
        del took[step]
    if minutes is not None:
        took[step] = Took(minutes=minutes, whole=whole)


def strangers(entries: Sequence[Entry], known: Mapping[Kind, Collection[str]]) -> tuple[tuple[Kind, str], ...]:
    """What entries that hold are about and is not among what is `known`, in the order in which it is named first."""
    named = (name_in(entry.event) for entry in living(tuple(entries)))
    return tuple(dict.fromkeys(about for about in named if about is not None and about[1] not in known[about[0]]))


def _told(item: Item, news: Late | Arrived) -> Item:
    """The item after news of it. The range for the odds is dropped where the new day lies outside of it.

    What a shop names another day for has been ordered: how long the shop takes tells nobody any more when to order.
    """
    if isinstance(news, Arrived):
        return replace(item, arrived=news.on)
    fits = item.early is not None and item.late is not None and item.early <= news.expected <= item.late
    early, late = (item.early, item.late) if fits else (None, None)
    return replace(item, expected=news.expected, arrived=None, early=early, late=late, lead_days=None)


def _appointments(job: Job, holding: Iterable[Entry]) -> tuple[Appointment, ...]:
    """The appointments of a job, each on the day that was named last."""
    days = {entry.event.item: entry.event.expected for entry in holding if isinstance(entry.event, Late)}
    zone = ZoneInfo(job.zone)
    return tuple(_put_off(visit, days[visit.id], zone) if visit.id in days else visit for visit in job.appointments)


def _put_off(visit: Appointment, day: date, zone: ZoneInfo) -> Appointment:
    """An appointment at its time of day, on another day."""
    start = same_time(visit.start, day, zone)
    return replace(visit, start=start, end=start + visit.end - visit.start)


def _measured(room: Room, air: Air) -> Room:
    reading = Reading(minute=air.minute, temp=air.temp, humidity=air.humidity)
    others = tuple(known for known in room.readings if known.minute != reading.minute)
    return replace(room, readings=tuple(sorted((*others, reading), key=lambda known: known.minute)))
