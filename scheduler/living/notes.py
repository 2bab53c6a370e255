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
    Skipped,
    Undone,
)
from scheduler.model.job import Item
from scheduler.planning.encode import there_from
from scheduler.telling.dates import face_of
from scheduler.telling.words import words_of
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
        case Did(step=step) | Left(step=step) | Skipped(step=step):
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
    plan, job, tell = site.kept.plan, shlex.quote(str(site.files.job)), words_of(site.job).tell
    if plan is not None and plan.job != site.job.name:
        names = tell("notes.other name", was=plan.job, now=site.job.name)
        if is_copy(site.kept, site.files):
            yield names + tell("notes.copy", diary=site.files.diary.name, plan=site.files.plan.name)
        elif site.entries:
            yield names + tell("notes.goes on")
    renamings = [entry.event for entry in site.recognised if isinstance(entry.event, Renamed)]
    if renamings:
        names = ", ".join(tell("notes.is now", old=event.old, new=event.new) for event in renamings)
        yield tell("notes.carried over", names=names, job=job)
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
            yield words_of(site.job).tell(
                "notes.left behind", file=path.name, diary=site.files.diary.name, stem=stem, plan=site.files.plan.name
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


def notes(site: Site, entries: Sequence[Entry], now: int) -> tuple[str, ...]:
    """What is missing by the record, may be a slip, cannot pause, is overdue: a sentence each, none of them twice."""
    return tuple(dict.fromkeys(_notes(site, entries, now)))


def _notes(site: Site, entries: Sequence[Entry], now: int) -> Iterator[str]:
    words = words_of(site.job)
    for entry in entries:
        if isinstance(entry.event, Late | Arrived | Ordered):
            yield from _needed_by_none(site, entry.event)
        if not isinstance(entry.event, Did | Left):
            continue
        yield from _other_than_planned(site, entry, entry.event)
        task = site.graph.task(entry.event.step)
        for item in site.standing.job.items:
            if item.id in task.needs and item.arrived is None:
                title = words.quoted(item.title)
                yield words.tell("notes.not there", item=title, job=site.files.job, id=item.id)
        if isinstance(entry.event, Left) and entry.event.left > max(task.work.high, task.work.planned):
            yield words.tell(
                "notes.long",
                step=words.quoted(task.title),
                planned=words.length(task.work.planned, days=False),
                left=words.length(entry.event.left, days=False),
                command=how_to_take_back(site, [entry]),
            )
        if isinstance(entry.event, Left) and task.smallest_piece is None:
            yield words.tell("notes.one piece", step=words.quoted(task.title))
    told = {entry.event.item for entry in entries if isinstance(entry.event, Late)}
    yield from _overdue(site, now, told)


def _needed_by_none(site: Site, event: Late | Arrived | Ordered) -> Iterator[str]:
    """Why nothing moves with what is on order, if no step waits for it."""
    name = event.thing if isinstance(event, Ordered) else event.item
    needs = (*(task.needs for task in site.graph.tasks), *(visit.needs for visit in site.graph.visits))
    if name in site.item_titles and not any(name in each for each in needs):
        words = words_of(site.job)
        yield words.tell("notes.needed by none", item=words.quoted(site.item_titles[name]), id=name)


def out_of_order(site: Site, entries: Sequence[Entry]) -> Iterator[str]:
    """A sentence for each step that by these entries ended before one did that it follows: a slip, as a rule."""
    words, done = words_of(site.job), site.standing.done
    moment = words.names.face.moment
    fresh = {entry.event.step for entry in entries if isinstance(entry.event, Did)}
    for link in site.graph.links:
        before, after = done.get(link.before), done.get(link.after)
        if before and after and {link.before, link.after} & fresh and after[-1].end < before[-1].end:
            yield words.tell(
                "notes.out of order",
                then=words.quoted(site.titles[link.after]),
                first=words.quoted(site.titles[link.before]),
                ended=moment(after[-1].end),
                before=moment(before[-1].end),
            )


def _other_than_planned(site: Site, entry: Entry, event: Did | Left) -> Iterator[str]:
    """Where a step counts as ended just now though it was planned for a day before: how to say that it ended then."""
    zone, words = ZoneInfo(site.job.zone), words_of(site.job)
    if isinstance(event, Left) or event.pieces[-1].end != entry.at:
        return
    before = [plan[-1].end for plan in as_planned(site.kept, event.step)]
    before = [end for end in before if local_date(end, zone) < local_date(entry.at, zone)]
    if before:
        at = f"{to_datetime(before[-1], zone):%Y-%m-%dT%H:%M}"
        yield words.tell(
            "notes.just now",
            step=words.quoted(site.titles[event.step]),
            planned=words.names.face.moment(before[-1]),
            command=f"tackfree did {shlex.quote(str(site.files.job))} {event.step} --at {at}",
        )


def _overdue(site: Site, now: int, told: Collection[str]) -> Iterator[str]:
    """Items that were to be there by now, of which nobody has said that they are; less those `told` of just now."""
    zone, words = ZoneInfo(site.job.zone), words_of(site.job)
    face = face_of(site.job.zone, site.job.clock24, site.job.language)
    for item in site.standing.job.items:
        if item.id not in told and _waits(site, item, now) and item.arrived is None and there_from(item, zone) <= now:
            yield words.tell(
                "notes.overdue",
                item=words.quoted(item.title),
                expected=None if item.expected is None else face.date_of(item.expected),
                today=face.date_of(local_date(now, zone)),
                job=site.files.job,
                id=item.id,
            )


def _waits(site: Site, item: Item, now: int) -> bool:
    """Whether a step that needs the item has not begun, or an appointment that does is ahead."""
    recorded = {*site.standing.done, *site.standing.begun}
    ahead = any(item.id in visit.needs and visit.start > now for visit in site.graph.visits)
    return ahead or any(item.id in task.needs and task.id not in recorded for task in site.graph.tasks)
