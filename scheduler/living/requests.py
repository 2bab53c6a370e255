"""From what a person says happened to the event that the diary keeps: names, times and hours filled in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby
from zoneinfo import ZoneInfo

import networkx as nx

from scheduler.diary.kept import Passed
from scheduler.diary.naming import named
from scheduler.diary.passed import as_planned, happened
from scheduler.diary.pieces import worked
from scheduler.errors import InputError, wrong_input
from scheduler.living.renaming import asked_for
from scheduler.living.site import Site
from scheduler.living.spent import Spent, parts_of, with_spent
from scheduler.model.basics import Span
from scheduler.model.diary import (
    Air,
    Arrived,
    Bought,
    Did,
    Entry,
    Event,
    Late,
    Left,
    Lost,
    Ordered,
    Renamed,
    Skipped,
    Undone,
    living,
)
from scheduler.model.graph import Task
from scheduler.model.hours import Window
from scheduler.model.names import slug
from scheduler.model.network import network_in
from scheduler.model.shopping import Lot
from scheduler.model.spans import union, without
from scheduler.told import told
from scheduler.wallclock import DAY, NEVER, at_local, local_date
from scheduler.worktime import windows

_DECIMALS = 6
"""Of amounts in the diary."""
_LONG_AGO = 28 * DAY
"""After so long nobody remembers what an earlier plan had."""


@dataclass(frozen=True, slots=True)
class When:
    """A moment as a person named it: a minute, or (if `minute` is None) a day of which they named no hour."""

    day: date
    minute: int | None


def open_step(site: Site, step: str) -> str:
    """The id of the step that is meant: by its id any step; by a part of its title one that is not done and that the
    plan has, if there is any of that name. Raises InputError."""
    if slug(step) in site.titles:
        return slug(step)
    planned = {each.id for each in site.kept.plan.steps} if site.kept.plan is not None else set()
    idle = {task.id for task in site.graph.tasks if task.remedy_of and task.id not in planned}
    ahead = {name: title for name, title in site.titles.items() if name not in {*site.standing.done, *idle}}
    try:
        return named(step, ahead, "step", "STEP")
    except InputError:
        fits = any(slug(step) in name or slug(step) in slug(title) for name, title in ahead.items())
        return named(step, ahead if fits else site.titles, "step", "STEP")


def session_done(site: Site, now: int, day: date | None, but: Sequence[str]) -> list[Did | Left | Skipped]:
    """The session that has just been, or is on, took place as planned, and all of a `day` if one is named; less the
    steps `but`, of which that is recorded. Raises InputError if there is none of which nothing is recorded."""
    zone = ZoneInfo(site.job.zone)
    passed = site.passed(now)
    meant = passed[-1:] if day is None else [each for each in passed if local_date(each.span.start, zone) == day]
    if not meant:
        said = "no session of the plan has passed unrecorded"
        if day is not None:
            said = told("no session of {day} has passed unrecorded", day=day)
        raise wrong_input("--session", said, "name the steps that are done")
    return _took_place_but(site, now, meant, but)


def session_at(site: Site, now: int, minute: int, but: Sequence[str]) -> list[Did | Left | Skipped]:
    """The same of the session that was on at a minute."""
    meant = [each for each in site.passed(now) if each.span.start <= minute < each.span.end]
    if not meant:
        said = told("no session of {day} has passed unrecorded", day=local_date(minute, ZoneInfo(site.job.zone)))
        raise wrong_input("--session", said, "name the steps that are done")
    return _took_place_but(site, now, meant, but)


def _took_place_but(site: Site, now: int, meant: Sequence[Passed], but: Sequence[str]) -> list[Did | Left | Skipped]:
    within = {name: site.titles[name] for session in meant for name in session.steps}
    less = {named(step, within, "step", "--but") for step in but}
    found: list[Did | Left | Skipped] = []
    for session in meant:
        steps = {name: pieces for name, pieces in session.steps.items() if name not in less}
        ends = tuple(name for name in session.ends if name not in less)
        if steps:
            events = took_place(site, replace(session, steps=steps, ends=ends))
            found += events
            site = site.with_entries([Entry(line=0, at=now, event=event) for event in events])
    if not found:
        raise wrong_input("--but", "nothing of the session is left", "see `tackfree lost` if nobody worked")
    idle = [Skipped(step=name, span=each.span) for each in meant for name in each.steps if name in less]
    return [*found, *idle]


def took_place(site: Site, session: Passed) -> list[Did | Left]:
    """What is to be recorded if a session took place as planned."""
    return list(happened(session, site.standing, _labour(site)))


def _labour(site: Site) -> Mapping[str, int]:
    """The minutes that each step takes in all, as the plan handed out has it; where it has learned that a kind of
    work takes longer, as it had them before: a session that has passed may be of that time."""
    tasks = {task.id: task for task in site.graph.tasks}
    labour = {name: task.work.planned for name, task in tasks.items()}
    if site.kept.plan is not None:
        slower = {
            (each.of, each.by_hand): max(1.0, each.factor) for each in site.kept.plan.learned if each.about == "pace"
        }
        for step in site.kept.plan.steps:
            if step.state == "planned" and step.id in tasks:
                factor = slower.get((tasks[step.id].kind, tasks[step.id].by_hand), 1.0)
                labour[step.id] = round(step.labour / factor)
    return labour


def did_all(site: Site, now: int, steps: Sequence[str], at: When | None) -> list[Event]:
    """These steps were finished, each as `did` says; of two in a row the first one before the second.

    What is named in one breath did not end in one moment: at the minute that is named the last of them ended, and the
    others as planned, as far as the plan in force has them end by then. Raises InputError.
    """
    order = {task.id: at for at, task in enumerate(site.graph.tasks)}
    names = sorted((named(step, site.titles, "step", "STEP") for step in steps), key=lambda name: order[name])
    several = len(names) > 1
    planned = {name: _planned_by(site, name, at) if several and at is not None else at for name in names}
    if at is not None and at.minute is not None:
        planned[max(names, key=lambda name: ((planned[name] or at).minute or 0, order[name]))] = at
    found: list[Event] = []
    for name in reversed(names):
        when = planned[name]
        events = did(site, now, name, when, None, in_turn=at is None or several, several=several)
        found[:0] = events
        site = site.with_entries([Entry(line=0, at=now, event=event) for event in events])
    return found


def _planned_by(site: Site, step: str, at: When) -> When:
    """When the plan in force has a step end, if no later than the minute that was named; else what was named."""
    plans = list(as_planned(site.kept, step))
    if at.minute is None or not plans or plans[-1][-1].end > at.minute:
        return at
    end = plans[-1][-1].end
    return When(local_date(end, ZoneInfo(site.job.zone)), end)


def did(
    site: Site,
    now: int,
    step: str,
    at: When | None,
    left: int | None,
    *,
    in_turn: bool = False,
    several: bool = False,
    said: Spent | None = None,
) -> list[Event]:
    """A step was finished, or begun with `left` minutes still to do: the entry, after those that it takes back.

    Without `at` it ended when the plan in force has it end, if that has passed and the record of what it follows has
    not overtaken it; or as an earlier plan had it, if no hours have come since; else just now. So does what was to
    end on another day, said of one step in the middle of a session: when in doubt, later. A day alone means when the
    plan has it end on that day, else the end of that day's hours. `in_turn`: not later than the record has what comes
    after it begin on the same day; `several`: it was named with others. What is said of the
    same moment again, or of an earlier one than is recorded, is a correction: it takes the place of what is recorded.
    So does any time, or any work left, of a step that is recorded as done. `said` is how long the person says it
    took; of a step that is recorded as done, it ended when it is recorded to have. Raises InputError.
    """
    task = site.graph.task(named(step, site.titles, "step", "STEP"))
    if said is not None and at is None and left is None and task.id in site.standing.done:
        known = site.standing.done[task.id][-1].end
        at = When(local_date(known, ZoneInfo(site.job.zone)), known)
    plans = list(as_planned(site.kept, task.id))
    end = _end(site, now, task.id, at, plans, whole=left is None, several=several)
    mistaken = [] if at is None and left is None else list(_corrected(site, task.id, end))
    if mistaken:
        answer = site.kept.before_line(mistaken[0].line)
        plans = [answer.pieces[task.id]] if answer is not None and task.id in answer.pieces else []
    undone = [Undone(line=entry.line) for entry in mistaken]
    site = site.with_entries([Entry(line=0, at=now, event=event) for event in undone])
    event = _event(site, now, task, at, left, plans, in_turn, said, several)
    return [*undone, event if said is None else with_spent(site, task, event, said)]


def _corrected(site: Site, step: str, end: int) -> Iterator[Entry]:
    """The entries about a step that one about that moment puts right."""
    for entry in living(site.entries):
        match entry.event:
            case Did(step=name) if name == step:
                yield entry
            case Left(step=name, pieces=pieces) if name == step and pieces[-1].end >= end:
                yield entry


def _event(
    site: Site,
    now: int,
    task: Task,
    at: When | None,
    left: int | None,
    plans: Sequence[tuple[Span, ...]],
    in_turn: bool,
    said: Spent | None,
    several: bool,
) -> Did | Left:
    """The entry for a step of which only what is right is recorded; `plans` are the pieces that it was to have."""
    recorded, rest = site.standing.begun.get(task.id, ((), None))
    labour = plans[-1] if plans else ()
    minutes = sum(span.minutes for span in labour) or task.work.planned
    if rest is not None:
        minutes = sum(span.minutes for span in recorded) + rest
    if not minutes:
        raise wrong_input("STEP", told("`{id}` has no work of its own", id=task.id), "nothing is to be recorded")
    end = _end(site, now, task.id, at, plans, whole=left is None, several=several)
    if in_turn:
        so_far = recorded[-1].end if recorded else 0
        end = min([end, *(begun for begun in _begun_after(site, task.id, end) if begun > so_far)])
    planned = next((plan for plan in plans if plan[-1].end == end), labour)
    took = said.took if said is not None else None
    if took is not None:
        minutes, planned = took, parts_of(planned, took)
    return _worked(site, task, end, minutes, planned, recorded, left, took)


def _worked(
    site: Site,
    task: Task,
    end: int,
    minutes: int,
    planned: Sequence[Span],
    recorded: Sequence[Span],
    left: int | None,
    took: int | None,
) -> Did | Left:
    if left is not None and took is None:
        # How long it took so far is what the plan gave it by then; else what is missing from its work.
        so_far = sum(max(0, min(span.end, end) - span.start) for span in planned)
        minutes = so_far or max(1, minutes - left)
    hours = hours_around(site, end)
    pieces = worked(
        end,
        minutes,
        planned=planned,
        recorded=recorded,
        windows=hours,
        can_pause=task.smallest_piece is not None,
        since=max(_over_before(site, task.id, end), default=0),
    )
    return Did(step=task.id, pieces=pieces) if left is None else Left(step=task.id, pieces=pieces, left=left)


def _end(
    site: Site,
    now: int,
    step: str,
    at: When | None,
    plans: Sequence[Sequence[Span]],
    *,
    whole: bool,
    several: bool = False,
) -> int:
    """When the work ended, or was left. No plan is taken that the record of what it follows has overtaken."""
    since = max(_over_before(site, step), default=0)
    plans = [plan for plan in plans if plan[-1].start >= since]
    if at is None:
        if not whole:
            return now
        return next(
            (plan[-1].end for plan in reversed(plans) if _just_past(site, step, plan, now, several=several)), now
        )
    if at.minute is not None:
        return at.minute
    zone = ZoneInfo(site.job.zone)
    day = Span(at_local(at.day, 0, zone), at_local(at.day, DAY, zone))
    ends = [plan[-1].end for plan in plans if day.start < plan[-1].end <= day.end]
    ends += [max(group.work_end for group in session) for session in sessions_on(site, at.day)[-1:]]
    if not ends:
        raise wrong_input(
            "--at", told("{day} has no work hours", day=at.day), "say the time as well, such as `2027-01-16 16:40`"
        )
    return min(ends[0], now) if day.start < now else ends[0]


def _just_past(site: Site, step: str, plan: Sequence[Span], now: int, *, several: bool) -> bool:
    """Whether a step may be taken as done when a plan handed out had it end.

    On the same day it may. The plan in force is to be trusted as well, unless somebody stands at work on another day
    and names one step; an earlier plan only if no day with hours of work has come since.
    """
    end, zone = plan[-1].end, ZoneInfo(site.job.zone)
    today, day = local_date(now, zone), local_date(end, zone)
    if end > now or day == today:
        return end <= now
    in_force = next((each.pieces for each in site.kept.plan.steps if each.id == step), ()) if site.kept.plan else ()
    if tuple(plan) == in_force:
        return several or not any(window.start < now <= window.end for window in hours_around(site, now))
    since = at_local(day, DAY, zone)
    return now - since < _LONG_AGO and not windows(site.standing.job, Span(since, now), zone, site.standing.lost)


def _over_before(site: Site, step: str, minute: int = NEVER) -> Iterator[int]:
    """When what a step follows was over, by the record, before a minute."""
    done = site.standing.done
    ends = (done[name][-1].end for name in network_in(site.graph).predecessors(step) if name in done)
    return (end for end in ends if end < minute)


def _begun_after(site: Site, step: str, minute: int) -> Iterator[int]:
    """When what comes after a step was begun, by the record, up to a minute and on the same day."""
    zone = ZoneInfo(site.job.zone)
    recorded = {**site.standing.done, **{name: pieces for name, (pieces, _) in site.standing.begun.items()}}
    for name in recorded.keys() & nx.descendants(network_in(site.graph), step):
        start = recorded[name][0].start
        if start < minute and local_date(start, zone) == local_date(minute, zone):
            yield start


def late(site: Site, item: str, expected: date) -> Late:
    """An item, or an appointment, comes on that day."""
    return Late(item=_comes(site, item), expected=expected)


def arrived(site: Site, item: str, on: date, *, told: bool) -> list[Event]:
    """An item came on that day. `told`: the person named the day, which then puts right another that is recorded."""
    name = _item(site, item)
    mistaken = [
        entry.line
        for entry in living(site.entries)
        if isinstance(entry.event, Arrived) and entry.event.item == name and entry.event.on != on
    ]
    return [*(Undone(line=line) for line in mistaken if told), Arrived(item=name, on=on)]


def bought(site: Site, now: int, name: str, on: date) -> list[Event]:
    """A thing of the list is in the house since that day, as much of it as is needed; an item on order came."""
    lots = _lots(site, now)
    thing = _thing(site, name, lots)
    if thing in site.item_titles:
        return arrived(site, thing, on, told=True)
    needed = [lot.whole for lot in lots if lot.name == thing]
    amount = None if len(needed) != 1 or needed[0] is None else round(needed[0], _DECIMALS)
    mistaken = _told_before(site, thing, on, Bought)
    return [*mistaken, Bought(thing=thing, on=on, amount=amount)]


def ordered(site: Site, now: int, name: str, on: date, comes: date | None) -> list[Event]:
    """A thing of the list, or an item on order, was ordered on that day, and an item comes on another."""
    thing = _thing(site, name, _lots(site, now))
    if comes is not None and thing not in site.item_titles:
        hint = "put it under `on order` in the job file if work has to wait for it"
        raise wrong_input("--comes", told("`{thing}` is no item on order", thing=thing), hint)
    news = [] if comes is None else [late(site, thing, comes)]
    return [*_told_before(site, thing, on, Ordered), Ordered(thing=thing, on=on), *news]


def whole_list(site: Site, now: int) -> list[str]:
    """All that is to be bought by the list, by name."""
    return [lot.name for lot in _lots(site, now) if not lot.enough and not lot.begun and lot.on_order is None]


def _lots(site: Site, now: int) -> Sequence[Lot]:
    from scheduler.living.buying import on_the_list  # of use to nobody who records a step

    return on_the_list(site, now).lots


def _thing(site: Site, name: str, lots: Sequence[Lot]) -> str:
    """A thing of the list or an item on order, by its name or a part of it. Raises InputError."""
    return named(name, {**{lot.name: lot.title for lot in lots}, **site.item_titles}, "thing to buy", "THING")


def _told_before(site: Site, thing: str, on: date, kind: type[Ordered] | type[Bought]) -> list[Undone]:
    """What takes back that it was on another day: what is said again puts that right."""
    return [
        Undone(line=entry.line)
        for entry in living(site.entries)
        if isinstance(entry.event, kind) and entry.event.thing == thing and entry.event.on != on
    ]


def lost(site: Site, now: int, day: date, number: int | None) -> list[Lost]:
    """A day, or the session of that number on it (counted from 1), on which nobody works.

    If work is recorded in these hours, what comes after that work is lost. Raises InputError for hours that are none.
    """
    sessions = sessions_on(site, day)
    if not sessions:
        raise wrong_input(
            "DAY", told("nobody works on {day} anyway", day=day), "see `hours` and `away` in the job file"
        )
    if number is not None and not 1 <= number <= len(sessions):
        some = "one session" if len(sessions) == 1 else told("{sessions} sessions", sessions=len(sessions))
        raise wrong_input(
            "--session",
            told("{day} has {some}", day=day, some=some),
            told("name one from 1 to {sessions}", sessions=len(sessions)),
        )
    taken = sessions if number is None else [sessions[number - 1]]
    return idle_hours(site, now, Span(taken[0][0].start, taken[-1][-1].end))


def idle_hours(site: Site, now: int, span: Span) -> list[Lost]:
    """Of these hours all in which nobody worked by the record: those after the last work, and those before it in
    which work was planned that nobody has recorded. All of them if there are none such: then somebody must be wrong.
    """
    stand = site.standing
    recorded = [*stand.done.values(), *(pieces for pieces, _ in stand.begun.values())]
    work = union(piece for pieces in recorded for piece in pieces)
    last = max((piece.end for piece in work if span.start <= piece.start < span.end), default=span.start)
    missed = [piece for session in site.passed(now) for pieces in session.steps.values() for piece in pieces]
    idle = [
        hours
        for hours in without([span], union((*work, *stand.lost)))
        if hours.start >= last or any(piece.start < hours.end and hours.start < piece.end for piece in missed)
    ]
    return [Lost(span=hours) for hours in idle or [span]]


def air(site: Site, room: str | None, minute: int, temp: float, humidity: float) -> Air:
    """A reading of the air in a room; without a name, in the only one."""
    rooms = {each.id: each.title for each in site.job.rooms}
    if room is None and len(rooms) > 1:
        raise wrong_input(
            "--room", "the job has more than one room", told("name one of {names}", names=", ".join(rooms))
        )
    name = next(iter(rooms)) if room is None else named(room, rooms, "room", "--room")
    return Air(room=name, minute=minute, temp=temp, humidity=humidity)


def renamed(site: Site, pairs: Sequence[str]) -> list[Renamed]:
    """What the job file calls otherwise now, from one OLD=NEW or more."""
    found: list[Renamed] = []
    for pair in pairs:
        found += asked_for(pair, site.lost_names, site.known)
    taken = {*site.standing.done, *site.standing.begun}
    for event in found:
        if event.kind == "step" and event.new in taken:
            said = told(
                "`{new}` is recorded itself, so it can't be what `{old}` is called now", new=event.new, old=event.old
            )
            raise wrong_input("--renamed", said, told("take that back first: `did … {new} --undo`", new=event.new))
    return found


def hours_around(site: Site, minute: int) -> tuple[Window, ...]:
    """The work hours of the days around a moment, those included that are recorded as lost."""
    return windows(site.standing.job, Span(minute - 2 * DAY, minute + DAY), ZoneInfo(site.job.zone))


def sessions_on(site: Site, day: date) -> list[list[Window]]:
    """The windows of each session of a day, those included that are recorded as lost."""
    noon = at_local(day, DAY // 2, ZoneInfo(site.job.zone))
    found = [window for window in hours_around(site, noon) if window.day == day]
    return [list(group) for _, group in groupby(found, key=lambda window: window.session)]


def _comes(site: Site, name: str) -> str:
    """What is to come: an item on order, or somebody by appointment."""
    visits = {visit.id: visit.title for visit in site.job.appointments}
    kind = "item on order or appointment" if visits else "item on order"
    return named(name, {**site.item_titles, **visits}, kind, "ITEM")


def _item(site: Site, name: str) -> str:
    return named(name, site.item_titles, "item on order", "ITEM")
