"""Histories: what may be recorded of a job, in any order and at any time, and what has to hold after each record."""

from __future__ import annotations

import json
import re
import shlex
import signal
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from types import FrameType
from unittest.mock import patch
from zoneinfo import ZoneInfo

import icalendar

from scheduler.cli import recording
from scheduler.errors import InputError
from scheduler.living import memory
from scheduler.living.change import ChangeResult, Clock, Handing, Request, change, hand_out, opened
from scheduler.living.paging import page_facts
from scheduler.living.site import Site, replan
from scheduler.model.basics import Span
from scheduler.model.clock import FilmClocks
from scheduler.model.diary import living
from scheduler.model.plan import Plan
from scheduler.model.refusal import NoPlanError
from scheduler.pipeline import Made, Wish, read
from scheduler.telling.machine.plan import plan_json
from scheduler.telling.page import page
from scheduler.verifying import verify
from scheduler.wallclock import DAY, local_date, to_datetime
from tests.support.rulebook import Breach, Rulebook, Week
from tests.support.told import breaks, in_words

ABOUT = {"late": ("item", "date"), "arrived": ("item",), "lost": ("day",), "felt": ("step", "stage")}
"""What the arguments of a command are called."""
_ORDER = ("out of order", "stage not reached", "wait not kept")
TOLD_AS = {
    "out of turn": _ORDER,
    "links": _ORDER,
    "order kept": _ORDER,
    "windows kept": ("missed window", "windows kept"),
    "dust and wet film": ("dust over wet film",),
    "wiped before wet": ("wet over dust",),
    "closed rooms": ("closed room",),
    "air limits": ("outside air limits",),
    "items there": ("item not there yet",),
}
"""Under which names a plan tells that a rule of the rulebook is broken."""


@dataclass(frozen=True, slots=True)
class Said:
    """One record as it is said to the tool: the command, what it is about, and its options.

    `now`: what time it is, as told with --as-of; None: nobody tells, and the job lies in the future.
    """

    command: str
    names: tuple[str, ...]
    options: Mapping[str, str | int | bool] = field(default_factory=dict)
    now: int | None = None

    def request(self) -> Request:
        """What the command itself makes of its arguments."""
        ask: Callable[..., Request] = getattr(recording, self.command).__wrapped__
        about = dict(zip(ABOUT[self.command], self.names, strict=False)) if self.command != "did" else {}
        return ask(**({"step": list(self.names)} if self.command == "did" else about), **self.options)

    def shell(self, job: str, zone: ZoneInfo) -> str:
        """The same as a line for a shell."""
        words = ["tackfree", self.command, job, *self.names]
        for name, value in self.options.items():
            flag = f"--{name.replace('_', '-')}"
            words += [flag] if value is True else [flag, str(value)]
        if self.now is not None:
            words += ["--as-of", local(self.now, zone)]
        return shlex.join(words)


@dataclass(frozen=True, slots=True)
class Failure:
    """What was wrong: a kind, which does not name the case, and the case."""

    kind: str
    said: str
    at: int = 0


def local(minute: int, zone: ZoneInfo) -> str:
    """A moment with its offset, as every command reads it."""
    return f"{to_datetime(minute, zone).isoformat(timespec='minutes')}"


class TooLongError(Exception):
    """Patience is at its end."""


@contextmanager
def at_most(seconds: float) -> Iterator[None]:
    """Raises TooLongError in the block after so many seconds of work."""

    def ring(number: int, frame: FrameType | None) -> None:
        raise TooLongError(f"more than {seconds:.0f} s of work")

    before = signal.signal(signal.SIGVTALRM, ring)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


# --- Living ----------------------------------------------------------------------------------------------------


@dataclass
class Story:
    """A job in a folder and what is done to it, record by record."""

    file: Path
    effort: int
    first: int
    told: bool

    def __post_init__(self) -> None:
        self._job = read(self.file)

    def begin(self) -> None:
        """Hand out the ordinary plan."""
        with self._read_once(), opened(self.file, self._clock(self.first), keep=True) as (site, now):
            wish = Wish(effort=self.effort)
            begun = time.process_time()
            made = replan(site, now, wish)
            self.ordinary = time.process_time() - begun
            hand_out(site, made, now, Handing(), wish=wish)
        self.plan = made.plan
        self.site = replace(site, kept=replace(site.kept, plan=made.plan, answer=made.answer, effort=self.effort))

    def record(self, said: Said, ics: Path | None = None) -> ChangeResult:
        """As the command does it. Raises what it raises."""
        handing = Handing() if ics is None else Handing(ics=ics)
        with self._read_once():
            return change(self.file, said.request(), self._clock(said.now), handing=handing)

    def again(self, now: int) -> Plan:
        """What `tackfree plan` says at that moment, nothing being recorded."""
        with (
            self._read_once(),
            opened(self.file, Clock(of=lambda _: now, shows=lambda _: now, told=False), keep=False) as (site, moment),
        ):
            return replan(site, moment).plan

    def _read_once(self) -> AbstractContextManager[object]:
        """The job file stays as it is, so it need not be read again for each record."""
        return patch.object(memory, "read", lambda _: self._job)

    def _clock(self, now: int | None) -> Clock:
        told = now is not None and self.told
        moment = self.first if now is None else now
        return Clock(of=lambda job: moment, shows=lambda job: moment, told=told)

    @property
    def zone(self) -> ZoneInfo:
        """The zone of the job."""
        return ZoneInfo(self.site.job.zone)

    @property
    def diary(self) -> list[dict[str, object]]:
        """The lines of the diary as they stand in its file."""
        found = self.file.parent / "job.diary.jsonl"
        return [json.loads(line) for line in found.read_text("utf-8").splitlines()] if found.exists() else []


# --- What may be said -------------------------------------------------------------------------------------------


class Teller:
    """Draws one record after another for a job as it stands."""

    def __init__(self, random: Random, told: bool) -> None:
        self.random, self.told = random, told
        self.last: Said | None = None

    def next(self, site: Site, plan: Plan, now: int) -> Said:
        """Something that a person might say at that moment; it may be refused."""
        random = self.random
        says = random.choice(
            (
                *("planned", "planned", "planned", "next", "next", "any", "any", "wet", "left", "left", "left"),
                *("night", "early", "several", "undo", "undo", "late", "arrived", "lost", "again", "day", "remedy"),
                *("took", "took", "felt", "felt"),
            )
        )
        made = getattr(self, f"_{says}")(site, plan, now)
        self.last = made if made is not None else self.last
        return made if made is not None else self._any(site, plan, now)

    def _said(self, command: str, *names: str, now: int, **options: str | int | bool) -> Said:
        return Said(command, names, options, now if self.told else None)

    def _open(self, site: Site, plan: Plan) -> list[str]:
        return [s.id for s in plan.steps if s.id not in site.standing.done and s.pieces]

    def _until(self, moment: int, now: int) -> int:
        """The moment, or an earlier one: nothing can be recorded that is still to come."""
        return min(moment, now) if self.told else moment

    def _moment(self, site: Site, now: int) -> int:
        """Any time of the last days, by day or by night."""
        base = now if self.told else (site.standing.last or site.job.start) + self.random.choice((60, DAY, 3 * DAY))
        return base - self.random.choice((0, 5, 31, 45, 60, 90, 180, 600, DAY, 2 * DAY + 77, 6 * DAY))

    def _at(self, site: Site, minute: int) -> str:
        return local(minute, ZoneInfo(site.job.zone))

    def _planned(self, site: Site, plan: Plan, now: int) -> Said | None:
        """The next step, done as planned."""
        names = self._open(site, plan)
        if not names:
            return None
        step = plan.step(names[0])
        return self._said("did", step.id, now=now, at=self._at(site, self._until(step.end, now)))

    def _next(self, site: Site, plan: Plan, now: int) -> Said | None:
        """One of the next steps, done at some time after that."""
        names = self._open(site, plan)[:4]
        if not names:
            return None
        step = plan.step(self.random.choice(names))
        late = step.end + self.random.choice((0, 7, 45, 200, DAY))
        if self.told and step.end <= now and self.random.random() < 0.4:
            return self._said("did", step.id, now=now)
        return self._said("did", step.id, now=now, at=self._at(site, self._until(late, now)))

    def _any(self, site: Site, plan: Plan, now: int) -> Said:
        """Any step of the job at any time: out of turn as a rule."""
        names = [t.id for t in site.graph.tasks if t.id not in site.standing.done] or [site.graph.tasks[0].id]
        name = self.random.choice(names)
        return self._said("did", name, now=now, at=self._at(site, self._moment(site, now)))

    def _wet(self, site: Site, plan: Plan, now: int) -> Said | None:
        """What follows a film that has just been laid, at once."""
        laid = [name for name in site.standing.done if site.graph.task(name).film]
        after = [
            link.after for link in site.graph.links if link.before in laid and link.after not in site.standing.done
        ]
        if not after:
            return None
        name = self.random.choice(after)
        before = [link.before for link in site.graph.links if link.after == name and link.before in laid]
        end = max(site.standing.done[each][-1].end for each in before)
        work = site.graph.task(name).work.planned
        at = self._until(end + work + self.random.choice((1, 31, 45)), now)
        if self.random.random() < 0.4:
            return self._said("did", name, now=now, at=self._at(site, at), left=f"{self.random.choice((5, 30))} min")
        return self._said("did", name, now=now, at=self._at(site, at))

    def _left(self, site: Site, plan: Plan, now: int) -> Said | None:
        """Begun, and so much left; now and then more than the step takes."""
        names = self._open(site, plan)
        names = names[:5] if self.random.random() < 0.6 else names
        if not names:
            return None
        step = plan.step(self.random.choice(names))
        left = self.random.choice((5, 10, 30, 60, 90, 240, 720))
        moment = step.start + 20 if self.random.random() < 0.6 else self._moment(site, now)
        at = self._at(site, self._until(moment, now))
        return self._said("did", step.id, now=now, at=at, left=f"{left} min")

    def _again(self, site: Site, plan: Plan, now: int) -> Said | None:
        """The last record corrected at the same moment: another time left, or done after all."""
        last = self.last
        if last is None or last.command != "did" or "left" not in last.options or len(last.names) > 1:
            return None
        left = f"{self.random.choice((15, 40, 100))} min"
        return replace(last, options={**last.options, "left": left}, now=now if self.told else None)

    def _night(self, site: Site, plan: Plan, now: int) -> Said | None:
        """In the middle of a night."""
        names = self._open(site, plan)
        if not names:
            return None
        name = self.random.choice(names[:6])
        zone = ZoneInfo(site.job.zone)
        day = local_date(self._moment(site, now), zone)
        at = f"{day} 0{self.random.randint(0, 4)}:{self.random.randint(10, 59)}"
        if self.random.random() < 0.3:
            return self._said("did", name, now=now, at=at, left="30 min")
        return self._said("did", name, now=now, at=at)

    def _early(self, site: Site, plan: Plan, now: int) -> Said | None:
        """Before the job was to begin."""
        names = self._open(site, plan)
        if not names:
            return None
        at = self._at(site, self._until(site.job.start - self.random.randint(1, 5 * DAY), now))
        name = self.random.choice(names[:6])
        if self.random.random() < 0.4:
            left = f"{self.random.choice((10, 60))} min"
            return self._said("did", name, now=now, at=at, left=left)
        return self._said("did", name, now=now, at=at)

    def _several(self, site: Site, plan: Plan, now: int) -> Said | None:
        """Several steps in one breath."""
        names = self._open(site, plan)[: self.random.randint(2, 4)]
        if len(names) < 2:
            return None
        at = self._until(plan.step(names[-1]).end, now)
        return self._said("did", *names, now=now, at=self._at(site, at))

    def _day(self, site: Site, plan: Plan, now: int) -> Said | None:
        """A day alone is named."""
        names = self._open(site, plan)
        if not names:
            return None
        step = plan.step(names[0])
        day = local_date(self._until(step.end, now), ZoneInfo(site.job.zone))
        return self._said("did", step.id, now=now, at=str(day))

    def _remedy(self, site: Site, plan: Plan, now: int) -> Said | None:
        """A remedy was done that nobody had planned; or what it is for right after it."""
        names = [t.id for t in site.graph.tasks if t.remedy_of and t.id not in site.standing.done]
        if not names:
            return None
        at = self._at(site, self._moment(site, now))
        if self.random.random() < 0.5:
            return self._said("did", self.random.choice(names), now=now, at=at, left="1 h")
        return self._said("did", self.random.choice(names), now=now, at=at)

    def _took(self, site: Site, plan: Plan, now: int) -> Said | None:
        """The next step, done as planned, and how long it took; or that is said later on, or is a slip of the key."""
        names = self._open(site, plan)
        if not names:
            return None
        step, random = plan.step(names[0]), self.random
        minutes = max(1, round(step.labour * random.choice((0.4, 0.8, 1, 1.2, 1.5, 2.5, 20))))
        if site.standing.done and random.random() < 0.2:
            return self._said("did", random.choice(list(site.standing.done)), now=now, took=f"{minutes} min")
        at = self._at(site, self._until(step.end, now))
        return self._said("did", step.id, now=now, at=at, took=f"{minutes} min")

    def _felt(self, site: Site, plan: Plan, now: int) -> Said | None:
        """Somebody looks at a film that is laid, some time after it was, and finds it dry or not yet; or takes it
        back."""
        random = self.random
        laid = [name for name in site.standing.done if site.graph.task(name).film is not None]
        if not laid:
            return None
        name = random.choice(laid)
        material = site.trade.material(site.graph.task(name).film.material)
        assert material is not None
        stage = random.choice(material.stages)
        if site.standing.looks and random.random() < 0.15:
            return self._said("felt", site.standing.looks[-1].step, site.standing.looks[-1].stage, now=now, undo=True)
        after = round(stage.typical * random.choice((0.3, 0.7, 1, 1.3, 2, 4)))
        minute = self._until(site.standing.done[name][-1].end + after, now)
        options: dict[str, str | int | bool] = {"at": self._at(site, minute)}
        return self._said(
            "felt", name, stage.stage, now=now, **(options | ({"not_yet": True} if random.random() < 0.5 else {}))
        )

    def _undo(self, site: Site, plan: Plan, now: int) -> Said | None:
        """The newest record of a step, or a step of some time ago, is taken back."""
        recorded = [*site.standing.done, *site.standing.begun]
        if not recorded:
            return None
        name = recorded[-1] if self.random.random() < 0.5 else self.random.choice(recorded)
        return self._said("did", name, now=now, undo=True)

    def _late(self, site: Site, plan: Plan, now: int) -> Said | None:
        if not site.job.items:
            return None
        item = self.random.choice(site.job.items).id
        if self.random.random() < 0.2:
            return self._said("late", item, now=now, undo=True)
        zone = ZoneInfo(site.job.zone)
        day = local_date(max(now, site.standing.last or now), zone) + timedelta(days=self.random.randint(0, 40))
        return self._said("late", item, str(day), now=now)

    def _arrived(self, site: Site, plan: Plan, now: int) -> Said | None:
        if not site.job.items:
            return None
        item = self.random.choice(site.job.items).id
        if self.random.random() < 0.2:
            return self._said("arrived", item, now=now, undo=True)
        day = local_date(max(now, site.standing.last or now), ZoneInfo(site.job.zone))
        return self._said("arrived", item, now=now, at=str(day - timedelta(days=self.random.randint(0, 3))))

    def _lost(self, site: Site, plan: Plan, now: int) -> Said | None:
        """A day of work that did not happen, or will not; or it did after all."""
        zone, random = ZoneInfo(site.job.zone), self.random
        if site.standing.lost and random.random() < 0.4:
            return self._said("lost", str(local_date(site.standing.lost[-1].start, zone)), now=now, undo=True)
        days = [local_date(session.start, zone) for session in plan.sessions]
        days += [local_date(now + shift * DAY, zone) for shift in (-1, 0, 1, 2)]
        day = str(random.choice(days[-8:]))
        return self._said("lost", day, now=now, **({"session": 1} if random.random() < 0.3 else {}))


# --- What must hold ---------------------------------------------------------------------------------------------


def judged(made: Made, lost: Sequence[Span], counts: Counter[str] | None = None) -> Iterator[Failure]:
    """What is wrong with a plan: by the verifier, and by the rulebook. A rule that gives way has to be told.

    `counts` hears of every breach, told or not: its rule, and whether it lies ahead.
    """
    ground, plan = made.ground, made.plan
    found = verify(plan, ground.job, ground.graph, ground.windows, ground.films, ground.facts, ground.trade.tape)
    for each in found:
        if not any((told.rule, told.step) == (each.rule, each.step) for told in plan.broken):
            yield Failure(f"the plan breaks its own rule: {each.rule}", f"{each.step}: {in_words(plan, each.said)}")
    for said in breaks(plan):
        yield Failure("a broken rule as a warning", said)
    for breach in breaches(made, lost):
        when = "past" if breach.past else "under way" if breach.waits else "ahead"
        if counts is not None:
            counts[f"{breach.rule} ({when})"] += 1
        if not is_told(breach, plan):
            said = f"{breach.step}{f' / {breach.other}' if breach.other else ''}: {breach.said}"
            yield Failure(f"not told ({when}): {breach.rule}", said)


def breaches(made: Made, lost: Sequence[Span]) -> list[Breach]:
    """What the rulebook says of a plan: of what has happened by the clocks by which that is judged, of what is ahead
    by those of the plan."""
    ground = made.ground

    def said(films: Mapping[str, FilmClocks]) -> list[Breach]:
        book = Rulebook(
            plan=made.plan,
            job=ground.job,
            graph=ground.graph,
            films=films,
            facts=ground.facts,
            week=Week(ground.job, lost),
        )
        return book.breaches()

    ahead = [breach for breach in said(ground.films) if not breach.past]
    past = ground.films if ground.past is None else ground.past
    return [*(breach for breach in said(past) if breach.past), *ahead]


def is_told(breach: Breach, plan: Plan) -> bool:
    """Whether the plan tells of it at one of the steps that it is about."""
    rules = (breach.rule, *TOLD_AS.get(breach.rule, ()))
    return any(told.rule in rules and told.step in (breach.step, breach.other) for told in plan.broken if told.step)


def ends_alike(result: ChangeResult, ics: Path) -> Iterator[Failure]:
    """End of the plan = last piece = end in the JSON = end on the page; the calendar's last session is the plan's."""
    plan, zone = result.made.plan, ZoneInfo(result.site.job.zone)
    last = max(piece.end for step in plan.steps for piece in step.pieces)
    told = json.loads(plan_json(plan))
    if plan.finish != last or told["finish"] != to_datetime(last, zone).isoformat():
        yield Failure("ends differ: JSON", f"{told['finish']}, last piece {to_datetime(last, zone)}")
    local_end = to_datetime(last, zone)
    said = re.search(r'<p class="answer">.*?<strong>(.*?)</strong>', page(plan, page_facts(result.made), "en"))
    if said is None or " ".join(said.group(1).split()) not in _as_a_page_says(local_end):
        yield Failure("ends differ: page", f"the page says {said and said.group(1)}, the last piece ends {local_end}")
    events = [
        event
        for event in icalendar.Calendar.from_ical(ics.read_bytes()).walk("VEVENT")
        if "-session-" in str(event["uid"]) and str(event.get("status")) != "CANCELLED"
    ]
    ends = [event.decoded("dtend") for event in events]
    session = plan.sessions[-1] if plan.sessions else None
    if session is None or not events:
        if any(step.state == "planned" for step in plan.steps):
            yield Failure("ends differ: calendar", "no session at all")
        return
    if int(max(ends).timestamp()) // 60 != session.end:
        yield Failure("ends differ: calendar", f"{max(ends)}, last session {to_datetime(session.end, zone)}")
    if any(step.state != "done" for step in plan.steps) and not session.start < plan.finish <= session.end:
        yield Failure(
            "ends differ: session", f"last piece {local_end}, last session {to_datetime(session.end, zone)}"
        )


def _as_a_page_says(moment: datetime) -> Iterator[str]:
    """A moment in the ways in which an English page may put it."""
    day = f"{moment:%A} {moment.day} {moment:%B} {moment.year}"
    yield f"{day}, {moment:%H:%M}"
    yield f"{day}, {moment.hour}:{moment:%M}"
    yield f"{day}, {moment.hour % 12 or 12}:{moment:%M} {'am' if moment.hour < 12 else 'pm'}"
    if moment.hour % 12 == moment.minute == 0:
        yield f"{day}, {'noon' if moment.hour else 'midnight'}"


def kept(story: Story, before: Sequence[dict[str, object]], result: ChangeResult | None) -> Iterator[Failure]:
    """Nothing that was recorded leaves the diary; what was not recorded is not in it."""
    now = story.diary
    if now[: len(before)] != list(before):
        yield Failure("the diary lost an entry", "")
    if result is None and len(now) != len(before):
        yield Failure("recorded, and refused", str(now[-1]))


def _as_it_was_said(said: Said, before: Site, after: Site) -> Iterator[Failure]:
    """What was said stands as it was said, and all else that was recorded as before."""
    named = set(said.names) if said.command == "did" else set()
    was = {**{name: (pieces, 0) for name, pieces in before.standing.done.items()}, **before.standing.begun}
    now = {**{name: (pieces, 0) for name, pieces in after.standing.done.items()}, **after.standing.begun}
    for name in sorted((was.keys() | now.keys()) - named):
        if was.get(name) != now.get(name):
            yield Failure("a fact that nobody spoke of changed", f"{name}: {was.get(name)}, now {now.get(name)}")
    if (
        said.command == "lost"
        and "undo" not in said.options
        and not set(before.standing.lost) < set(after.standing.lost)
    ):
        yield Failure("not recorded as said", "the hours are not lost")
    if said.command == "felt" and "undo" not in said.options:
        look = said.names[0], said.names[1], "not_yet" not in said.options
        if look not in {(each.step, each.stage, each.reached) for each in after.standing.looks}:
            yield Failure("not recorded as said", f"{look} is no look")
    for name in sorted(named) if "undo" not in said.options else ():
        took, minutes = said.options.get("took"), after.standing.took.get(name)
        if took is not None and (minutes is None or minutes.minutes != _minutes(took)):
            yield Failure("not recorded as said", f"{name} took {minutes}, not {took}")
        pieces, left = now.get(name, ((), None))
        if left != _minutes(said.options.get("left")):
            yield Failure("not recorded as said", f"{name} has {left} minutes left, not {said.options.get('left')}")
        elif len(named) == 1 and "T" in str(said.options.get("at", "")):
            told = datetime.fromisoformat(str(said.options["at"]))
            if pieces[-1].end != int(told.timestamp()) // 60:
                yield Failure("not recorded as said", f"{name} ends at {pieces[-1].end}, not {told}")


def _minutes(left: str | int | None) -> int:
    """Minutes of `30 min` or `1 h`; none if nothing is said to be left."""
    number, unit = str(left or "0 min").split()
    return int(number) * (60 if unit == "h" else 1)


def _undone_as_a_whole(written: list[set[int]], said: Said, result: ChangeResult) -> Iterator[Failure]:
    """Hours that one command recorded as lost are lost or taken back together. `written` is added to."""
    if said.command == "lost" and "undo" not in said.options:
        written.append({entry.line for entry in result.entries})
    alive = {entry.line for entry in living(result.site.record.entries)}
    for lines in written:
        if lines & alive and lines - alive:
            yield Failure("taken back by half", f"of the lines {sorted(lines)} {sorted(lines & alive)} still hold")


# --- Playing ----------------------------------------------------------------------------------------------------


@dataclass
class Played:
    """What came of a history: its records (those that were taken), failures, refusals, and times."""

    records: list[Said] = field(default_factory=list)
    refusals: list[str] = field(default_factory=list)
    failures: list[Failure] = field(default_factory=list)
    ordinary: float = 0.0
    slowest: float = 0.0
    slowest_at: int = 0
    breaches: Counter[str] = field(default_factory=Counter)


def play(
    story: Story,
    records: int,
    draw: Callable[[Site, Plan, int], Said] | Sequence[Said],
    steps: Callable[[], int],
    *,
    patience: float,
    only: str | None = None,
) -> Played:
    """Live a history through that has begun. `draw` gives what is said next, or all that is; it ends where no
    plan comes, and at the first failure of the kind `only`.
    """
    found = Played()
    found.ordinary = story.ordinary
    site, plan, now = story.site, story.plan, story.first
    fixed = None if callable(draw) else list(draw)
    ics = story.file.parent / "job.ics"
    refused, written = 0, list[set[int]]()
    while len(found.records) < records and refused < 200:
        if fixed is not None:
            if not fixed:
                break
            said = fixed.pop(0)
        else:
            assert callable(draw)
            now += steps()
            said = draw(site, plan, now)
        before = story.diary
        begun = time.process_time()
        last = len(found.records) == records - 1 or (fixed is not None and not fixed)
        failures: list[Failure] = []
        try:
            with at_most(patience):
                result = story.record(said, ics if last else None)
        except InputError as error:
            refused += 1
            found.refusals.append(f"{said.command} {sorted(said.options)}: {_kind_of(str(error))}")
            failures += kept(story, before, None)
            if failures:
                found.records.append(said)
            elif _correction(fixed, found, said):
                found.records.append(said)
                failures.append(Failure("a correction at the same moment is refused", str(error)))
            found.failures += [replace(each, at=len(found.records)) for each in failures]
            if failures:
                break
            continue
        except NoPlanError as error:
            why = refused(error).short
            failures.append(Failure(f"no plan: {_kind_of(why.rpartition('”: ')[2])}", why))
        except TooLongError as error:
            failures.append(Failure("it takes too long", str(error)))
        except Exception as error:
            where = traceback.extract_tb(error.__traceback__)[-1]
            kind = f"crash: {type(error).__name__} in {Path(where.filename).name}:{where.lineno}"
            failures.append(Failure(kind, str(error)))
        seconds = time.process_time() - begun
        found.records.append(said)
        if seconds > found.slowest:
            found.slowest, found.slowest_at = seconds, len(found.records)
        if failures:
            found.failures += [replace(each, at=len(found.records)) for each in failures]
            break
        failures += _as_it_was_said(said, site, result.site)
        site, plan = result.site, result.made.plan
        site = replace(site, kept=replace(site.kept, plan=plan, answer=result.made.answer))
        failures += kept(story, before, result)
        failures += judged(result.made, site.standing.lost, found.breaches)
        failures += _undone_as_a_whole(written, said, result)
        if last:
            failures += ends_alike(result, ics)
            again = replace(story.again(result.now), placements_tried=plan.placements_tried)
            if plan_json(again) != plan_json(plan):
                failures.append(Failure("the same moment again gives another plan", ""))
        known = {each.kind for each in found.failures}
        found.failures += [replace(each, at=len(found.records)) for each in failures if each.kind not in known]
        if only is not None and any(each.kind == only for each in found.failures):
            break
    return found


def _correction(fixed: Sequence[Said] | None, found: Played, said: Said) -> bool:
    """Whether something only says the last record again, with another time left."""
    last = found.records[-1] if found.records else None
    same = last is not None and (last.command, last.names) == (said.command, said.names)
    return bool(same and last and "left" in last.options and last.options.get("at") == said.options.get("at"))


def _kind_of(text: str) -> str:
    """A message without what it is about."""
    words = ["…" if any(sign.isdigit() for sign in word) or "`" in word else word for word in text.split()]
    return " ".join(words)[:110]
