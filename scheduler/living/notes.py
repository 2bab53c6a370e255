"""What a person should be told about the diary: of an entry that may not be all of it, or may be a slip; of what was
recorded under another name; and how an entry is taken back."""

from __future__ import annotations

import shlex
from collections.abc import Collection, Iterator, Sequence
from zoneinfo import ZoneInfo

from scheduler.diary.passed import as_planned
from scheduler.living.renaming import how_to_carry_over
from scheduler.living.site import Site, is_copy
from scheduler.model.diary import (
    Arrived,
    Bought,
    Did,
    Entry,
    Event,
    Felt,
    Kind,
    Late,
    Left,
    Lost,
    Ordered,
    Renamed,
    Undone,
)
from scheduler.model.job import Item
from scheduler.planning.encode import there_from
from scheduler.telling.wording import Clockface, length_words
from scheduler.wallclock import local_date, to_datetime


def how_to_take_back(site: Site, entries: Sequence[Entry]) -> str:
    """The command that takes back the newest of some entries; empty if they only take others back."""
    job = shlex.quote(str(site.files.job))
    for entry in reversed(entries):
        if not isinstance(entry.event, Undone):
            return f"tackfree {_undoing(site, entry.event, job)} --undo"
    return ""


def _undoing(site: Site, event: Event, job: str) -> str:
    """The command that takes back an entry about that, without the option."""
    match event:
        case Did(step=step) | Left(step=step):
            said = f"did {job} {step}"
        case Felt(step=step, stage=stage):
            said = f"felt {job} {step} {stage}"
        case Lost(span=span):
            said = f"lost {job} {local_date(span.start, ZoneInfo(site.job.zone))}"
        case Late(item=item):
            said = f"late {job} {item}"
        case Arrived(item=item):
            said = f"arrived {job} {item}"
        case Ordered(thing=thing):
            said = f"ordered {job} {thing}"
        case Bought(thing=thing):
            said = f"bought {job} {thing}"
        case _:
            said = f"diary {job}"
    return said


def carried_over(site: Site, *, all_of_it: bool) -> Iterator[str]:
    """Lines about what was recorded under names that the job file has changed since.

    What the plan handed out last has as such is passed over unless `all_of_it` is wanted.
    """
    plan, job = site.kept.plan, shlex.quote(str(site.files.job))
    if plan is not None and plan.job != site.job.name:
        names = f"The record was begun for “{plan.job}”; the job is called “{site.job.name}” now"
        if is_copy(site.kept, site.files):
            away = f"{site.files.diary.name} and {site.files.plan.name}"
            yield f"{names}, and this folder is a copy. To begin it anew, move {away} away."
        elif site.entries:
            yield f"{names}, and the record goes on with it."
    renamings = [entry.event for entry in site.recognised if isinstance(entry.event, Renamed)]
    if renamings:
        names = ", ".join(f"`{event.old}` is `{event.new}` now" for event in renamings)
        yield (
            f"Carried over, as nothing but the name has changed: {names}. "
            f"If that is wrong: tackfree diary {job} --undo"
        )
    yield from _left_behind(site)
    lost = [about for about in site.lost_names if all_of_it or _newly_lost(site, *about)]
    taken = {*site.standing.done, *site.standing.begun}
    yield from how_to_carry_over(lost, site.kept, site.job, site.graph, taken, job)


def _left_behind(site: Site) -> Iterator[str]:
    """A diary that lies beside a job without one, and whose own job file is not there: was that one renamed?"""
    if site.record.lines or site.kept.plan is not None:
        return
    ending = ".diary.jsonl"
    for path in sorted(site.files.job.absolute().parent.glob(f"*{ending}")):
        stem = path.name.removesuffix(ending)
        if not path.with_name(f"{stem}{site.files.job.suffix}").exists():
            yield (
                f"{path.name} lies here without its job file. If it is the record of this job, call it "
                f"{site.files.diary.name}, and {stem}.plan.json {site.files.plan.name}"
            )


def _newly_lost(site: Site, kind: Kind, name: str) -> bool:
    """Whether the plan handed out last still had a step, an item or a room; of none, anything is new."""
    plan = site.kept.plan
    if plan is None:
        return True
    had = {
        "step": [step.id for step in plan.steps],
        "item": [*(item.item for item in plan.items), *(visit.appointment for visit in plan.visits)],
        "room": [step.room for step in plan.steps],
    }
    return name in had[kind]


def notes(site: Site, entries: Sequence[Entry], now: int) -> Iterator[str]:
    """One sentence each: what is missing by the record, what may be a slip, what cannot pause, what is overdue."""
    for entry in entries:
        if isinstance(entry.event, Late | Arrived | Ordered):
            yield from _needed_by_none(site, entry.event)
        if not isinstance(entry.event, Did | Left):
            continue
        yield from _other_than_planned(site, entry, entry.event)
        task = site.graph.task(entry.event.step)
        for item in site.standing.job.items:
            if item.id in task.needs and item.arrived is None:
                yield f"“{item.title}” is not recorded as there: tackfree arrived {site.files.job} {item.id}"
        if isinstance(entry.event, Left) and entry.event.left > max(task.work.high, task.work.planned):
            lengths = [length_words(minutes, days=False) for minutes in (task.work.planned, entry.event.left)]
            yield (
                f"“{task.title}” takes {lengths[0]} by the job, and {lengths[1]} are recorded as left. If that is "
                f"a slip, say it once more with the right length, or take it back: {how_to_take_back(site, [entry])}"
            )
        if isinstance(entry.event, Left) and task.smallest_piece is None:
            yield f"“{task.title}” is work in one piece (a wet edge, say): look at the joint before going on."
    told = {entry.event.item for entry in entries if isinstance(entry.event, Late)}
    yield from _overdue(site, now, told)


def _needed_by_none(site: Site, event: Late | Arrived | Ordered) -> Iterator[str]:
    """Why nothing moves with what is on order, if no step waits for it."""
    name = event.thing if isinstance(event, Ordered) else event.item
    needs = (*(task.needs for task in site.graph.tasks), *(visit.needs for visit in site.graph.visits))
    if name in site.item_titles and not any(name in each for each in needs):
        yield f"No step needs “{site.item_titles[name]}”, so none waits for it. Where one does: `needs: [{name}]`."


def out_of_order(site: Site, entries: Sequence[Entry]) -> Iterator[str]:
    """A sentence for each step that by these entries ended before one did that it follows: a slip, as a rule."""
    face, done = Clockface(ZoneInfo(site.job.zone), site.job.clock24), site.standing.done
    fresh = {entry.event.step for entry in entries if isinstance(entry.event, Did)}
    for link in site.graph.links:
        before, after = done.get(link.before), done.get(link.after)
        if before and after and {link.before, link.after} & fresh and after[-1].end < before[-1].end:
            first, then = site.titles[link.before], site.titles[link.after]
            yield (
                f"By this “{then}” ended {face.moment(after[-1].end)}, before “{first}” did "
                f"({face.moment(before[-1].end)}), and it comes after that."
            )


def _other_than_planned(site: Site, entry: Entry, event: Did | Left) -> Iterator[str]:
    """Where a step counts as ended just now though it was planned for a day before: how to say that it ended then."""
    zone = ZoneInfo(site.job.zone)
    face = Clockface(zone, site.job.clock24)
    if isinstance(event, Left) or event.pieces[-1].end != entry.at:
        return
    before = [plan[-1].end for plan in as_planned(site.kept, event.step)]
    before = [end for end in before if local_date(end, zone) < local_date(entry.at, zone)]
    if before:
        at = f"{to_datetime(before[-1], zone):%Y-%m-%dT%H:%M}"
        yield (
            f"“{site.titles[event.step]}” counts as ended just now. It was to end {face.moment(before[-1])}; "
            f"if it did: tackfree did {shlex.quote(str(site.files.job))} {event.step} --at {at}"
        )


def _overdue(site: Site, now: int, told: Collection[str]) -> Iterator[str]:
    """Items that were to be there by now, of which nobody has said that they are; less those `told` of just now."""
    zone = ZoneInfo(site.job.zone)
    for item in site.standing.job.items:
        if item.id not in told and _waits(site, item, now) and item.arrived is None and there_from(item, zone) <= now:
            yield (
                f"“{item.title}” was expected {item.expected} and the plan takes it as there on "
                f"{local_date(now, zone)}. If it is: tackfree arrived {site.files.job} {item.id}; "
                f"if not: tackfree late {site.files.job} {item.id} DATE"
            )


def _waits(site: Site, item: Item, now: int) -> bool:
    """Whether a step that needs the item has not begun, or an appointment that does is ahead."""
    recorded = {*site.standing.done, *site.standing.begun}
    ahead = any(item.id in visit.needs and visit.start > now for visit in site.graph.visits)
    return ahead or any(item.id in task.needs and task.id not in recorded for task in site.graph.tasks)
