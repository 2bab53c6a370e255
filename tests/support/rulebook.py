"""The rules of the trade, held against a plan a second time: from the job, the task graph and the film clocks alone.

Written apart from the planner and from its verifier, and sharing nothing with either: work hours come from the rules
on the wall, a film is integrated along its table here. Unlike the verifier it judges what is recorded as well: what
the past broke has to be told, what lies ahead must break nothing that can still be kept.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from itertools import pairwise
from math import ceil
from zoneinfo import ZoneInfo

from scheduler.model.basics import Span
from scheduler.model.clock import FilmClocks, StageClock
from scheduler.model.facts import Facts
from scheduler.model.graph import ColourOrder, Link, Task, TaskGraph
from scheduler.model.job import Job
from scheduler.model.plan import Plan, PlannedStep
from scheduler.wallclock import DAY, NEVER, at_local, local_date

FORGIVEN = 1e-5
"""Reference minutes: sums of floats differ in the last digits by the order in which they were made."""


@dataclass(frozen=True, slots=True)
class Breach:
    """A rule that is broken at a step. `other` is the step on the other side of it ("" if none).

    `past`: all that breaks it is recorded, so that no plan can mend it. `waits`: it is what is left of a step that
    was begun; it may go on at once if waiting would spoil it, but that has to be told.
    """

    rule: str
    step: str
    other: str
    said: str
    past: bool = False
    waits: bool = False


@dataclass(frozen=True, slots=True)
class _Hours:
    start: int
    end: int
    people: int
    quiet: bool
    first: int
    last: int


class Week:
    """Who is there when: the rules of work hours, day by day, less what is lost."""

    def __init__(self, job: Job, lost: Sequence[Span] = ()) -> None:
        self.job, self.lost, self.zone = job, sorted(lost), ZoneInfo(job.zone)
        self._days: dict[date, list[_Hours]] = {}

    def around(self, span: Span) -> list[_Hours]:
        """The hours that share a minute with a span."""
        day, last = local_date(span.start, self.zone), local_date(span.end, self.zone)
        found: list[_Hours] = []
        while day <= last:
            found += [each for each in self.on(day) if each.start < span.end and span.start < each.end]
            day += timedelta(days=1)
        return found

    def on(self, day: date) -> list[_Hours]:
        """The hours of a day; `first` and `last` bound what set-up and clear-up leave of the session."""
        if day not in self._days:
            self._days[day] = list(self._of(day))
        return self._days[day]

    def _of(self, day: date) -> Iterator[_Hours]:
        job = self.job
        if any(away.first <= day <= away.last for away in job.away):
            return
        rules = [rule for rule in job.hours if rule.holds_on(day)]
        breaks = [self._clock(day, *each) for rule in rules for each in rule.breaks]
        quiet = []
        for rule in job.quiet:
            for begun in (day - timedelta(days=1), day):
                if begun.weekday() in rule.weekdays:
                    quiet.append(self._clock(begun, rule.start, rule.end + (DAY if rule.end <= rule.start else 0)))
        shifts = [
            (self._clock(day, rule.start, rule.end), [self._clock(day, *each) for each in rule.breaks], rule)
            for rule in rules
        ]
        edges = {edge for span in (*breaks, *quiet, *self.lost) for edge in span}
        edges |= {edge for span, _, _ in shifts for edge in span}
        ordered = sorted(edges)
        stretch: list[tuple[int, int, int, bool]] = []
        for start, end in pairwise(ordered):
            there = [
                rule
                for span, pauses, rule in shifts
                if span.start <= start < span.end and not any(p.start <= start < p.end for p in pauses)
            ]
            if not there or any(gone.start <= start < gone.end for gone in self.lost):
                continue
            gap = Span(stretch[-1][1], start) if stretch else None
            if gap and gap.minutes and not any(b.start <= gap.start and gap.end <= b.end for b in breaks):
                yield from self._session(stretch)
                stretch = []
            hushed = any(rule.quiet for rule in there) or any(q.start <= start < q.end for q in quiet)
            stretch.append((start, end, max(rule.people for rule in there), hushed))
        yield from self._session(stretch)

    def _session(self, stretch: Sequence[tuple[int, int, int, bool]]) -> Iterator[_Hours]:
        minutes = [minute for start, end, _, _ in stretch for minute in range(start, end)]
        if len(minutes) > self.job.set_up + self.job.clear_up:
            first, last = minutes[self.job.set_up], minutes[len(minutes) - 1 - self.job.clear_up] + 1
            for start, end, people, quiet in stretch:
                yield _Hours(start, end, people, quiet, first, last)

    def _clock(self, day: date, start: int, end: int) -> Span:
        return Span(at_local(day, start, self.zone), at_local(day, end, self.zone))


def ripe(stage: StageClock, end: int) -> int:
    """The first whole minute at which a film laid by `end` has made the amount of a stage; NEVER if it never has."""
    left = stage.amount - FORGIVEN
    knots, progress = stage.clock.knots, stage.clock.progress
    at = max(end, knots[0])
    if left <= 0:
        return end
    for i in range(bisect_right(knots, at), len(knots)):
        speed = (progress[i] - progress[i - 1]) / (knots[i] - knots[i - 1])
        if speed * (knots[i] - at) >= left and speed > 0:
            return at + ceil(left / speed)
        left -= speed * (knots[i] - at)
        at = knots[i]
    return NEVER


@dataclass(frozen=True, kw_only=True)
class Rulebook:
    """A plan, and all that it is held against. `lost` are the hours recorded as such."""

    plan: Plan
    job: Job
    graph: TaskGraph
    films: Mapping[str, FilmClocks]
    facts: Facts
    week: Week

    def breaches(self) -> list[Breach]:
        """Everything that is broken, by the past or by the plan."""
        return [
            *self._facts(),
            *self._whole(),
            *self._labour(),
            *self._hours(),
            *self._people(),
            *self._links(),
            *self._remedies(),
            *self._dust(),
            *self._wiped(),
            *self._closed(),
            *self._air(),
            *self._items(),
            *self._things(),
        ]

    # --- What there is

    @cached_property
    def tasks(self) -> dict[str, Task]:
        return {task.id: task for task in self.graph.tasks}

    @cached_property
    def steps(self) -> dict[str, PlannedStep]:
        return {step.id: step for step in self.plan.steps if step.pieces and step.id in self.tasks}

    @cached_property
    def extras(self) -> dict[str, list[int]]:
        """Minutes that an answer to a choice may add to a task."""
        found: dict[str, list[int]] = defaultdict(list)
        for choice in self.graph.choices:
            for option in choice.options:
                for name, more in option.extra:
                    found[name].append(more.planned)
        return found

    def recorded(self, name: str) -> tuple[Span, ...]:
        if name in self.facts.done:
            return self.facts.done[name]
        return self.facts.begun[name][0] if name in self.facts.begun else ()

    def ahead(self, name: str) -> tuple[Span, ...]:
        """The pieces that the plan decided on."""
        if name in self.facts.done or name not in self.steps:
            return ()
        return self.steps[name].pieces[len(self.recorded(name)) :]

    def idle(self, name: str) -> bool:
        return not self.tasks[name].work.planned and not any(self.extras.get(name, ()))

    def ends(self, name: str, trail: frozenset[str] = frozenset()) -> int | None:
        """When a step is over; one without any work, when all that it follows lets it be. None: it is not planned."""
        if name in self.steps:
            return self.steps[name].end
        if name in trail or name not in self.tasks or self.tasks[name].remedy_of or not self.idle(name):
            return None
        ends = [self.job.start]
        for link in self.into[name]:
            before = self.ends(link.before, trail | {name})
            if before is not None:
                ends.append(self._from(link, before))
        return max(ends)

    @cached_property
    def into(self) -> dict[str, list[Link]]:
        found: dict[str, list[Link]] = defaultdict(list)
        for link in self.graph.links:
            found[link.after].append(link)
        return found

    def stage(self, name: str, stage: str, end: int) -> int | None:
        clocks = self.films.get(name)
        return ripe(clocks.stages[stage], end) if clocks and stage in clocks.stages else None

    def _from(self, link: Link, end: int) -> int:
        at = self.stage(link.before, link.stage, end) if link.stage else end
        return min((end if at is None else at) + link.wait, NEVER)

    # --- What is recorded

    def _facts(self) -> Iterator[Breach]:
        for name, pieces in self.facts.done.items():
            step = self.steps.get(name)
            if step is None or step.state != "done" or step.pieces != pieces:
                yield Breach("fact changed", name, "", "is done, and the plan says otherwise")
        for name, (so_far, left) in self.facts.begun.items():
            step = self.steps.get(name)
            if step is None or step.state != "under way" or step.pieces[: len(so_far)] != so_far:
                yield Breach("fact changed", name, "", "is under way, and the plan says otherwise")
            elif (given := sum(piece.minutes for piece in self.ahead(name))) != left:
                yield Breach("fact changed", name, "", f"has {left} minutes left and is given {given}")
        for step in self.plan.steps:
            if step.state == "done" and step.id not in self.facts.done:
                yield Breach("fact changed", step.id, "", "is said to be done")

    # --- What is to be done

    def _whole(self) -> Iterator[Breach]:
        for name, task in self.tasks.items():
            if name not in self.steps and not task.remedy_of and task.work.planned:
                yield Breach("step left out", name, "", "is not in the plan")
        for step in self.plan.steps:
            if step.id not in self.tasks:
                yield Breach("step made up", step.id, "", "is in the plan and not in the job")
        last = max((step.end for step in self.plan.steps if step.pieces), default=None)
        if last is not None and last != self.plan.finish:
            yield Breach("finish", "", "", f"the finish is told as {self.plan.finish}, the last piece ends {last}")

    def _labour(self) -> Iterator[Breach]:
        for name, task in self.tasks.items():
            pieces = self.ahead(name)
            if not pieces:
                continue
            given = sum(piece.minutes for piece in pieces)
            if name not in self.facts.begun:
                sums = {0}
                for more in self.extras.get(name, ()):
                    sums |= {other + more for other in sums}
                slack = len(self.extras.get(name, ()))  # estimates may be rounded up each by itself, or together
                if not any(0 <= task.work.planned + more - given <= slack for more in sums):
                    yield Breach("labour", name, "", f"is given {given} minutes, it takes {task.work.planned}")
            if task.smallest_piece is None and len(pieces) > 1:
                yield Breach("one piece", name, "", "cannot pause and does")
            if task.smallest_piece is not None and min(p.minutes for p in pieces) < min(task.smallest_piece, given):
                yield Breach("smallest piece", name, "", "has a piece that is too short")
            for one, other in zip(self.steps[name].pieces, pieces[1:], strict=False):
                if other.start < one.end and one in pieces:
                    yield Breach("pieces in order", name, "", "overlaps itself")

    # --- When it may be done

    def _hours(self) -> Iterator[Breach]:
        now = max(self.facts.now, self.job.start)
        for name, task in self.tasks.items():
            for piece in self.ahead(name):
                if piece.start < self.facts.now:
                    yield Breach("before now", name, "", "is planned for the past")
                elif piece.start < now:
                    yield Breach("before the start", name, "", "is planned for before the job begins")
                minute = piece.start
                for hours in self.week.around(piece):
                    minute = hours.end if hours.start <= minute < hours.end else minute
                    if piece.start < hours.first or piece.end > hours.last:
                        yield Breach("set-up and clear-up", name, "", "takes the time of set-up or clear-up")
                    if hours.quiet and task.noisy:
                        yield Breach("quiet hours", name, "", "is noisy in quiet hours")
                if minute < piece.end:
                    yield Breach("work hours", name, "", "is planned for when nobody is there")

    def _people(self) -> Iterator[Breach]:
        pieces = sorted((piece, name) for name in self.steps for piece in self.ahead(name))
        for piece, name in pieces:
            busy = sum(self.tasks[other].people for each, other in pieces if each.start <= piece.start < each.end)
            there = min((hours.people for hours in self.week.around(Span(piece.start, piece.start + 1))), default=0)
            if busy > there:
                yield Breach("people", name, "", f"{busy} are wanted and {there} are there")
            for hours in self.week.around(piece):
                if self.tasks[name].people > hours.people:
                    yield Breach("people", name, "", f"takes more than the {hours.people} that are there")

    # --- What follows what

    def _links(self) -> Iterator[Breach]:
        for link in self.graph.links:
            yield from self._link(link)
        chosen = [self._chosen(choice.options) for choice in self.graph.choices]
        for option in chosen:
            for link in option.links:
                yield from self._link(link)
        yield from self._past_facts((*self.graph.links, *(link for option in chosen for link in option.links)))

    def _chosen(self, options: tuple[ColourOrder, ColourOrder]) -> ColourOrder:
        """The answer to a choice: the side that was begun first, by the record; before that the one kept best."""
        begun = [
            (self.recorded(each.leader)[0].start, at) for at, each in enumerate(options) if self.recorded(each.leader)
        ]
        if begun:
            return options[min(begun)[1]]

        def broken(option: ColourOrder) -> tuple[int, int]:
            found = [breach for link in option.links for breach in self._link(link)]
            found += self._past_facts((*self.graph.links, *option.links))
            return sum(not breach.past for breach in found), len(found)

        return min(options, key=broken)

    def _link(self, link: Link) -> Iterator[Breach]:
        after, end = self.steps.get(link.after), self.ends(link.before)
        if after is None or end is None:
            return
        ready = self._from(link, end)
        recorded, ahead = self.recorded(link.after), self.ahead(link.after)
        before = link.before
        if recorded:
            if self._added(link) or self._wiped_since(link):
                pass
            elif self._not_begun_by(before, recorded[-1].end):
                yield Breach("out of turn", link.after, before, "was done before what it follows", past=True)
            elif link.stage and recorded[0].start < ready:
                said = f"was begun {ready - recorded[0].start} min before the film under it was at {link.stage}"
                yield Breach("links", link.after, before, said, past=True)
            task = self.tasks[link.after]
            stands = task.wet or task.film is not None or task.smallest_piece is None
            if ahead and ahead[0].start < ready and not (stands and self._added(link)):
                yield Breach("order kept", link.after, before, "goes on before what it follows is ready", waits=True)
        elif after.start < ready:
            yield Breach("links", link.after, before, "starts before what it follows is ready")
        yield from self._window(link, after, end, ready)

    def _added(self, link: Link) -> bool:
        """Whether what is followed was added for what the record tells, after the follower was done."""
        task = self.tasks[link.before]
        return task.added is not None and task.remedy_of is None and not self.recorded(link.before)

    def _wiped_since(self, link: Link) -> bool:
        """Whether dust that came after its wipe-down was wiped up by another one."""
        dusty, wipe = self.tasks[link.before], self.tasks[link.after]
        return (dusty.dusty and wipe.wipes and link.before in self.facts.done) and any(
            self.tasks[name].wipes and pieces[0].start >= self.facts.done[link.before][-1].end
            for name, pieces in self.facts.done.items()
            if name in self.tasks and self.tasks[name].room == dusty.room
        )

    def _not_begun_by(self, name: str, minute: int) -> bool:
        """Whether a step that has something to be done was not even begun by then."""
        return name in self.steps and (not self.recorded(name) or self.recorded(name)[0].start >= minute)

    def _window(self, link: Link, after: PlannedStep, end: int, ready: int) -> Iterator[Breach]:
        closes = self._closes(link, end)
        if after.start <= closes:
            return
        mend = self.steps.get(link.remedy) if link.remedy else None
        if mend is not None and mend.end <= after.start and (self.recorded(mend.id) or mend.start >= ready):
            return
        gone = bool(self.recorded(link.after)) or (link.before in self.facts.done and closes < self.facts.now)
        yield Breach("windows kept", link.after, link.before, "comes after its window", past=gone)

    def _closes(self, link: Link, end: int) -> int:
        """When the window of a link ends; NEVER if it has none. A step without any work begins no window."""
        if link.before not in self.steps:
            return NEVER
        until = self.stage(link.before, link.until, end) if link.until else None
        return min(NEVER if until is None else until, NEVER if link.within is None else end + link.within)

    def _remedies(self) -> Iterator[Breach]:
        """A remedy is planned only where its window is missed, or ends with the very minute."""
        links = [*self.graph.links, *(link for each in self.graph.choices for o in each.options for link in o.links)]
        for name in self.steps:
            if not self.tasks[name].remedy_of or self.recorded(name):
                continue
            mends = [link for link in links if link.remedy == name and not self.recorded(link.after)]
            if not any(
                link.after in self.steps
                and (end := self.ends(link.before)) is not None
                and self.steps[link.after].start >= self._closes(link, end)
                for link in mends
            ):
                yield Breach("remedies needed", name, "", "mends a window that is not missed")

    def _past_facts(self, links: Sequence[Link]) -> Iterator[Breach]:
        """What comes after a step by way of steps that were done out of turn waits for it all the same."""
        out: dict[str, list[str]] = defaultdict(list)
        for link in links:
            out[link.before].append(link.after)
        for link in links:
            end = self.ends(link.before)
            if link.before in self.facts.done or end is None or not self.recorded(link.after):
                continue
            ready, reach, seen = self._from(link, end), [link.after], {link.after}
            while reach:
                name = reach.pop()
                if not self.recorded(name) and name in self.steps:
                    if self.steps[name].start < ready:
                        said = "does not wait for what comes before what was done out of turn"
                        yield Breach("order kept", name, link.before, said)
                    continue
                new = set(out[name]) - seen
                seen |= new
                reach += new

    # --- What the room allows

    def _inside(self, room: str) -> list[PlannedStep]:
        return [step for step in self.steps.values() if self.tasks[step.id].room == room]

    def _met(self, rule: str, held: PlannedStep, stage: str, others: Iterator[PlannedStep]) -> Iterator[Breach]:
        """What runs while a step, or its film until a stage, must not be met. What ran is judged by the work on it
        that is recorded: what is left of it is yet to come.
        """
        whole = Span(held.start, max(held.end, self.stage(held.id, stage, held.end) or 0))
        worked = self.recorded(held.id)
        laid = (
            Span(held.start, max(worked[-1].end, self.stage(held.id, stage, worked[-1].end) or 0)) if worked else None
        )
        for other in others:
            if any(piece.start < whole.end and whole.start < piece.end for piece in self.ahead(other.id)):
                yield Breach(rule, other.id, held.id, "runs where it must not")
            elif laid and any(p.start < laid.end and laid.start < p.end for p in self.recorded(other.id)):
                yield Breach(rule, other.id, held.id, "ran where it must not", past=True)

    def _dust(self) -> Iterator[Breach]:
        for wet in self.steps.values():
            task = self.tasks[wet.id]
            if not task.wet:
                continue
            dusty = (step for step in self._inside(task.room) if self.tasks[step.id].dusty and step.id != wet.id)
            yield from self._met("dust and wet film", wet, "dust_free", dusty)

    def _wiped(self) -> Iterator[Breach]:
        for wet in self.steps.values():
            task = self.tasks[wet.id]
            if not task.wet or task.wipes:
                continue
            inside = [step for step in self._inside(task.room) if step.id != wet.id]
            wipes = [step for step in inside if self.tasks[step.id].wipes and step.end <= wet.start]
            for dusty in inside:
                fell = [piece for piece in dusty.pieces if self.tasks[dusty.id].dusty and piece.end <= wet.start]
                if not fell or any(step.start >= fell[-1].end or step.id == dusty.id for step in wipes):
                    continue
                past = bool(self.recorded(wet.id))
                yield Breach("wiped before wet", wet.id, dusty.id, "comes over dust", past=past)

    def _closed(self) -> Iterator[Breach]:
        for name, stage in self.graph.closed.items():
            if name in self.steps:
                others = (other for other in self._inside(self.tasks[name].room) if other.id != name)
                yield from self._met("closed rooms", self.steps[name], stage, others)

    def _air(self) -> Iterator[Breach]:
        for step in self.steps.values():
            clocks = self.films.get(step.id)
            if clocks is None or clocks.fit is None:
                continue
            worked = self.recorded(step.id)  # what is left of it is laid in an air of its own
            end = worked[-1].end if worked else step.end
            held = self.stage(step.id, clocks.hold_until, end) if clocks.hold_until else end
            held = end if held is None else held
            if not any(span.start <= step.start and held <= span.end for span in clocks.fit):
                said = "is laid in air that is not fit for it"
                yield Breach("air limits", step.id, "", said, past=bool(worked))

    def _items(self) -> Iterator[Breach]:
        there = {item.id: item.arrived or item.expected for item in self.job.items}
        for name, step in self.steps.items():
            for need in self.tasks[name].needs:
                day = there.get(need)
                if day is not None and step.start < at_local(day, 0, self.week.zone):
                    past = bool(self.recorded(name))
                    yield Breach("items there", name, "", f"needs {need}, which comes later", past=past)

    def _things(self) -> Iterator[Breach]:
        counts = {thing.id: thing.count for thing in self.job.things}
        users: dict[str, list[tuple[Span, int, str]]] = defaultdict(list)
        for name in self.steps:
            for thing, number in self.tasks[name].takes:
                users[thing] += [(piece, number, name) for piece in self.ahead(name)]
        for thing, uses in users.items():
            for piece, _, name in uses:
                if sum(n for other, n, _ in uses if other.start <= piece.start < other.end) > counts.get(thing, 0):
                    yield Breach("things shared", name, "", f"takes more of “{thing}” than there is")
