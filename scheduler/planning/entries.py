"""What of a job file restricts, entry by entry: for the solver as numbers, for a person as what it asks and where."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from scheduler.errors import Place
from scheduler.model.basics import OPEN_UNTIL, POT_LIFE
from scheduler.model.clock import FilmClocks
from scheduler.model.graph import Link, Task
from scheduler.model.job import Job, Room
from scheduler.model.message import Message, Value, message
from scheduler.model.refusal import AskedFor
from scheduler.planning.encode import NOISE, PEOPLE, THINGS, Lowered, there_from
from scheduler.solver.infeasible_subset import HOURS, Restriction
from scheduler.solver.problem import Problem


@dataclass(frozen=True, slots=True)
class Restricting:
    """All that a job file asks for, as entries; `asked` tells some of them where they stand. `films` are the dry
    clocks of what each step lays."""

    job: Job
    lowered: Lowered
    links: tuple[Link, ...]
    lost: bool
    films: Mapping[str, FilmClocks]

    def entries(self) -> list[Restriction]:
        """Every entry that restricts, in the order of the steps; `lost` asks for hours that were lost or taken."""
        found = list(self._hours())
        for i, task in enumerate(self.lowered.tasks):
            activity = self.lowered.problem.activities[i]
            if activity.minutes and not activity.optional and not activity.fixed:
                found += self._of_step(i, task)
        found += self._of_links()
        found += self._of_items()
        return found

    def asked(self, entries: tuple[Restriction, ...]) -> tuple[AskedFor, ...]:
        """Each entry: where it stands, and what it asks for; in the order of the file."""
        told = [entry for entry in entries if self._adds(entry, entries)]
        said = [AskedFor(self._place(entry), self._said(entry)) for entry in told]
        return tuple(sorted(said, key=lambda each: (each.place.file, each.place.line, each.place.column)))

    def _hours(self) -> Iterator[Restriction]:
        for number, rule in enumerate(self.job.hours):
            if rule.last is not None:
                yield Restriction("until", other=number)
        for number in range(len(self.job.away)):
            yield Restriction("away", other=number)
        if self.lost:
            yield Restriction("lost")

    def _of_step(self, i: int, task: Task) -> Iterator[Restriction]:
        problem, activity = self.lowered.problem, self.lowered.problem.activities[i]
        yield Restriction("work", i)
        yield Restriction("piece", i)
        if activity.demand[PEOPLE] > 1:
            yield Restriction("people", i, PEOPLE)
        if activity.demand[NOISE]:
            yield Restriction("noise", i, NOISE)
        for number, amount in enumerate(activity.demand[THINGS:], start=THINGS):
            if amount:
                yield Restriction("room" if number in self.lowered.leave else "thing", i, number)
        for thing in dict.fromkeys(hold.thing for hold in problem.holds if hold.taker == i):
            yield Restriction("keep", i, thing)
        if activity.fit is not None:
            yield Restriction("air", i)
        if any(i in soil.soils for soil in problem.soils):
            yield Restriction("dusty", i)
        if any(i in soil.wants_clean for soil in problem.soils) or any(b.by == i for b in problem.barriers):
            yield Restriction("wet", i)

    def _of_links(self) -> Iterator[Restriction]:
        number = {task.id: i for i, task in enumerate(self.lowered.tasks)}
        there = {(wait.before, wait.after): wait for wait in self.lowered.problem.waits}
        strict = {(w.before, w.after) for w in self.lowered.problem.waits if w.until is not None and w.remedy is None}
        for before, after in dict.fromkeys((number[link.before], number[link.after]) for link in self.links):
            if (before, after) in there:
                yield Restriction("follow", after, before)
            if (before, after) in strict:
                yield Restriction("limit", after, before)

    def _of_items(self) -> Iterator[Restriction]:
        zone = ZoneInfo(self.job.zone)
        begin = _begin(self.lowered.problem)
        there = {item.id: there_from(item, zone) for item in self.job.items}
        for number, item in enumerate(self.job.items):
            freed = tuple(
                (i, max([begin, *(there[name] for name in task.needs if name != item.id)]))
                for i, task in enumerate(self.lowered.tasks)
                if item.id in task.needs and self.lowered.problem.activities[i].minutes
            )
            if freed:
                yield Restriction("item", other=number, freed=freed)

    def _place(self, entry: Restriction) -> Place:
        """Where it stands; the file as a whole for what stands nowhere by itself."""
        job, kind = self.job, entry.kind
        found: Place | None = None
        if kind == "until":
            found = job.hours[entry.other].last_place
        elif kind == "away":
            found = job.away[entry.other].place
        elif kind == "item":
            found = job.items[entry.other].place
        elif kind == "air":
            found = self._room(entry).air_place
        elif kind in PAIRED:
            link = self._link(entry)
            found = (link.limit_place if kind == "limit" else None) or link.place
        elif kind != "lost":
            places = {step.id: step.part_places for step in job.steps}.get(self._task(entry).id, {})
            found = next((places[key] for key in _KEYS[kind] if key in places), None)
        if found is None and entry.activity >= 0:
            found = self._task(entry).place
        return found or Place(job.place.file if job.place is not None else "")

    def _said(self, entry: Restriction) -> Message:
        if entry.kind in HOURS:
            return self._said_of_hours(entry)
        if entry.kind == "item":
            item = self.job.items[entry.other]
            day = item.arrived or item.expected
            return message("asked.item", item=item.title, day=str(day)) if day else unknown_when(item.title)
        if entry.kind in PAIRED:
            return self._said_of_follow(entry)
        return self._said_of_step(entry)

    def _said_of_hours(self, entry: Restriction) -> Message:
        if entry.kind == "until":
            return message("asked.until", day=str(self.job.hours[entry.other].last))
        if entry.kind == "away":
            away = self.job.away[entry.other]
            return message("asked.away", first=str(away.first), last=str(away.last))
        return message("asked.lost")

    def _said_of_follow(self, entry: Restriction) -> Message:
        pair: dict[str, Value] = {"task": self._task(entry).title, "other": self.lowered.tasks[entry.other].title}
        link = self._link(entry)
        if entry.kind == "follow":
            stage = message("asked.follow.stage", stage=link.stage) if link.stage else message("asked.follow.plain")
            later = message("asked.follow.later", wait=link.wait) if link.wait else None
            return message("asked.follow", stage=stage, later=later, **pair)
        if link.within is None:
            ends = {OPEN_UNTIL: "asked.open time", POT_LIFE: "asked.pot life"}
            return message(ends.get(link.until or "", "asked.window"), **pair)
        return message("asked.within", within=link.within, **pair)

    def _said_of_step(self, entry: Restriction) -> Message:
        task, activity = self._task(entry), self.lowered.problem.activities[entry.activity]
        least = activity.smallest
        if entry.kind == "piece" and least is not None and least < activity.minutes:
            return message("asked.step.pieces", task=task.title, least=least)
        more: dict[str, Value | None] = {}
        if entry.kind == "work":
            more = {"length": activity.minutes}
        elif entry.kind == "people":
            more = {"people": activity.demand[PEOPLE]}
        elif entry.kind == "thing":
            more = {"count": activity.demand[entry.other], "thing": self.job.things[entry.other - THINGS].id}
        elif entry.kind == "keep":
            thing = self.lowered.kept[entry.other]
            until = until_told(task, thing.id, self.lowered)
            more = {"count": dict(task.takes)[thing.id], "thing": thing.title or thing.id, "until": until}
        elif entry.kind == "room":
            more = {"room": task.room}
        elif entry.kind == "air":
            more = {"room": self._room(entry).title, "limits": film_air(self.films[task.id])}
        return message(f"asked.step.{entry.kind}", task=task.title, **more)

    def _room(self, entry: Restriction) -> Room:
        film = self._task(entry).film
        return next(room for room in self.job.rooms if film is not None and room.id == film.room)

    def _task(self, entry: Restriction) -> Task:
        return self.lowered.tasks[entry.activity]

    def _link(self, entry: Restriction) -> Link:
        before, after = self.lowered.tasks[entry.other].id, self._task(entry).id
        pair = [link for link in self.links if (link.before, link.after) == (before, after)]
        limited = [link for link in pair if link.within is not None or link.until is not None]
        return limited[0] if entry.kind == "limit" and limited else pair[0]

    def _adds(self, entry: Restriction, entries: tuple[Restriction, ...]) -> bool:
        """Whether an entry says anything beside the others of a set: no mere order beside its own `within`, nor that
        there is a step where others speak of it and its pieces are not in the way.
        """
        if entry.kind == "work":
            others = [each for each in entries if each.kind != "work"]
            named = {i for each in others for i in (each.activity, each.other if each.kind in PAIRED else -1)}
            return entry.activity not in named or Restriction("piece", entry.activity) in others
        if entry.kind == "follow":
            link = self._link(entry)
            return bool(link.wait or link.stage) or Restriction("limit", entry.activity, entry.other) not in entries
        return True


def what_helps(entries: tuple[Restriction, ...]) -> tuple[Message, ...]:
    """What a person could change so that these hold together: three ways at most, the first that help."""
    kinds = {entry.kind for entry in entries}
    return tuple(message(f"helps.{kind}") for kind in CURABLE if kind in kinds)[:3]


def film_air(film: FilmClocks) -> Value:
    """The air that a film asks for."""
    return film.air or film.limits_said


def unknown_when(item: str) -> Message:
    """That nobody knows when a thing on order comes, by its title."""
    return message("asked.no date", item=item)


def until_told(task: Task, thing: str, lowered: Lowered) -> Message | None:
    """Until when a task keeps a thing; None if while it works."""
    for keep in task.keeps:
        if keep.thing == thing:
            if keep.stage is not None:
                return message("asked.until stage", stage=keep.stage)
            if keep.step is not None:
                named = {each.id: each.title for each in lowered.tasks}
                named |= {visit.id: visit.title for visit in lowered.visits}
                return message("asked.until begins" if keep.at_start else "asked.until done", task=named[keep.step])
            return message("asked.until then", length=keep.minutes)
    return None


PAIRED = ("follow", "limit")
"""Kinds of entries that are about two steps."""

CURABLE = (
    "limit",
    "piece",
    "item",
    "until",
    "away",
    "lost",
    "people",
    "thing",
    "keep",
    "room",
    "noise",
    "air",
    "dusty",
    "work",
    "follow",
)
"""Kinds of entries that can be changed, what is done most easily first."""

_KEYS = {
    "work": ("work",),
    "piece": ("pause", "lays", "work"),
    "people": ("people",),
    "noise": ("kind",),
    "room": ("room",),
    "dusty": ("kind",),
    "wet": ("lays", "kind"),
    "thing": ("takes",),
    "keep": ("takes",),
}


def _begin(problem: Problem) -> int:
    return min(activity.release for activity in problem.activities)
