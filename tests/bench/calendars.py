"""Random lives of a job and of the four kinds of calendars that it is handed to: do they hold the plan in the end?

    python -m tests.bench.calendars --lives 300 --seed 1

Four kinds of clients: one that goes by UID and SEQUENCE, one that subscribes, one that is emptied and imported anew,
and one that is kept by hand from the lists; and a calendar on a server beside them, into which people write. A life
has deliveries put off, early and there, orders, steps done and begun, things bought, films felt, days lost, air
measured, entries taken back; sessions moved by hand in one of the calendars, events deleted, and properties of others
added. After each step of a life every calendar is held against the plan. Prints the counts, and exits with 1 if
anything failed.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
import traceback
from collections import Counter
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import icalendar

from scheduler.calendar.by_hand import by_hand_object
from scheduler.calendar.server.publish import publish
from scheduler.cli.calendars import known_times
from scheduler.diary.kept import read_kept
from scheduler.diary.objections import object_to
from scheduler.errors import InputError
from scheduler.living import requests, spent, takeback
from scheduler.living.change import CalendarsTold, Handing, hand_out, handed_before, settle
from scheduler.living.moving import take_moves
from scheduler.living.requests import When
from scheduler.living.site import Site, replan
from scheduler.living.spent import Spent
from scheduler.model.diary import Entry, Event
from scheduler.model.ledger import Ledger
from scheduler.model.plan import Plan
from scheduler.model.refusal import NoPlanError
from scheduler.pipeline import Made
from scheduler.wallclock import local_date
from tests.support.clients import Online, Paper
from tests.support.lives import ZONE, Life, moment, shelf
from tests.telling.stores import Store, properties, things

FIRST = moment("2027-01-08")
SAYS = (
    *("did", "did", "took", "left", "late", "late", "early", "arrived", "ordered", "lost", "undo", "air"),
    *("felt", "felt", "bought"),
)
HANDS = ("move on paper", "move in a program", "move on the server", "delete on the server", "write on the server")
THEIRS = ("attendee", "mailto:jo@example.com"), ("x-other-program", "7; of, them"), ("comment", "mind the cat")


@cache
def begun() -> tuple[Site, Made]:
    """The job as it was first planned, the same for every life; the times matter, not how good the plan is."""
    life = Life(shelf(Path(tempfile.mkdtemp())))
    site = replace(life.site, kept=replace(life.site.kept, effort=1))
    return site, replan(site, FIRST)


@dataclass
class Lived:
    """One life, with all that holds its plan."""

    random: Random
    folder: Path
    now: int = FIRST
    count: Counter[str] = field(default_factory=Counter)
    store: Store = field(default_factory=lambda: Store({}))
    online: Online = field(default_factory=Online)
    deleted: set[str] = field(default_factory=set)
    written: set[str] = field(default_factory=set)
    elsewhere: set[str] = field(default_factory=set)

    def begin(self) -> None:
        site, made = begun()
        file = shelf(self.folder)
        self.site = replace(site, files=type(site.files)(file))
        told = self.hand(made)
        self.paper, self.carried = Paper(told.content), told.after.edition
        self.check(told, made.plan)

    def prime(self) -> None:
        """The first Saturday went as planned: the wall is primed, so that there is a film to be felt."""
        for step, clock in (("sand", "10:10"), ("wipe", "10:45"), ("prime", "11:45")):
            end = moment(f"2027-01-09 {clock}")
            self.now = end + 5
            for event in requests.did(self.site, self.now, step, When(local_date(end, ZONE), end), None):
                self.record(event)
                self.count["did"] += 1

    def hand(self, made: Made, seen: Any = None) -> CalendarsTold:
        """The plan is handed out to all of them, and what is kept is read again as the next command would."""
        handing = Handing(remind=60, by_hand=True, published=True, server="https://here/", seen=seen)
        told = hand_out(self.site, made, self.now, handing)
        assert told is not None
        self.site = replace(self.site, kept=read_kept(self.site.files))
        self.told, self.plan = told, made.plan
        self.store.take(told.content)
        known = known_times(self.site, told)
        had = self.site.kept.on_server
        done = publish(self.online, told.content, self.site.job.id, told.after.by_uid(), known, had=had)  # type: ignore[arg-type]
        self.site = replace(self.site, kept=replace(self.site.kept, on_server=done.there))
        self.elsewhere = {move.uid for move in done.moved}
        assert set(done.deleted) <= self.deleted, "named as deleted, and was not"
        return told

    def carry_over(self, told: CalendarsTold, seen: Any) -> None:
        """A list is carried over once, however often it is shown."""
        assert told.by_hand is not None
        if seen is None and self.carried == told.after.edition:
            return
        self.carried = told.after.edition
        self.paper.carry_over(by_hand_object(told.by_hand, ZONE))

    def record(self, event: Event) -> None:
        first = self.site.record.lines + 1
        entry = Entry(line=first, at=self.now, event=event)
        before = self.plan
        self.site, made = settle(handed_before(self.site, self.now), [entry], self.now)
        self.next(made, before)

    def next(self, made: Made, before: Plan, seen: Any = None) -> None:
        ledger = self.site.kept.ledger
        assert ledger is not None
        told = self.hand(made, seen)
        self.carry_over(told, seen)
        self.check(told, made.plan)
        self.names(ledger, told.after, before, made.plan)

    def check(self, told: CalendarsTold, plan: Plan) -> None:
        """Every calendar holds the plan: no ghost, no twin, nothing missing, and nothing of others is lost."""
        now = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(minutes=self.now)
        subscriber = Store({})
        subscriber.take(told.content)
        live = subscriber.live()
        assert things(self.store.live()) == things(live), "UID and SEQUENCE"
        anew = list(icalendar.Calendar.from_ical(told.content).walk("VEVENT"))
        imported = [properties(event) for event in anew if event["status"] != "CANCELLED"]
        assert len(imported) == len(live), "emptied and imported anew"
        sessions = {(session.start, session.end) for session in plan.sessions}
        entries = [e for e in told.after.entries if e.event.kind == "session" and not e.withdrawn]
        shown = [(entry.event.start, entry.event.end) for entry in entries]
        assert sessions <= set(shown), "a session is missing"
        assert len(shown) == len(set(shown)), "a twin"
        assert all(times in sessions or times[1] <= self.now for times in shown), "a ghost"
        assert ahead(self.paper.shown(), now) == ahead(
            sorted((e["summary"], str(in_zone(e["dtstart"])), str(in_zone(e["dtend"]))) for e in live.values()), now
        ), "by hand"
        wanted = {uid: (e["dtstart"], e["dtend"]) for uid, e in live.items()}
        self.deleted &= wanted.keys()
        self.written &= self.online.texts.keys()
        there = self.online.times()
        for uid in wanted.keys() - self.deleted - self.elsewhere:
            assert there.get(uid) == wanted[uid], f"on the server: {uid}"
        assert there.keys() - self.elsewhere == wanted.keys() - self.deleted - self.elsewhere, "on the server"
        for uid in self.written:
            event = self.online.event(uid)
            for name, value in THEIRS:
                assert str(event.get(name)) == value, f"{name} of somebody else is lost"
            assert "Bring the ladder" in str(event["description"])
        self.count["states checked"] += 1
        self.count["events held against the plan"] += 4 * len(wanted) + len(there)

    def names(self, before: Ledger, after: Ledger, old: Plan, new: Plan) -> None:
        """A session with the same work has the same name, wherever it is now."""
        was, now = alone(before, old), alone(after, new)
        for steps in was.keys() & now.keys():
            moved = {move.uid for move in self.site.kept.moves}
            if was[steps] != now[steps] and not {was[steps], now[steps]} & moved:
                raise AssertionError(f"{sorted(steps)}: {was[steps]} is called {now[steps]}")
            self.count["names kept"] += was[steps] == now[steps]

    def live_on(self) -> None:
        self.now += self.random.choice([3, 17, 41, 65, 120]) * 60
        if self.random.random() < 0.4:
            return self.by_hand(self.random.choice(HANDS))
        event = event_of(self.site, self.plan, self.now, self.random)
        if event is None:
            before = self.plan
            self.next(replan(self.site, self.now), before)
            self.count["planned again"] += 1
            return None
        self.count[type(event).__name__.lower()] += 1
        self.count["minutes said"] += getattr(event, "took", None) is not None
        return self.record(event)

    def by_hand(self, what: str) -> None:
        """Something is changed in one of the calendars, and that one is handed in."""
        sessions = [
            entry.event
            for entry in self.told.after.entries
            if entry.event.kind == "session" and not entry.withdrawn and int(entry.event.start) > self.now  # type: ignore[call-overload]
        ]
        if what.startswith("move") and sessions:
            return self.move(what, self.random.choice(sessions))
        names = sorted(self.online.texts.keys() - self.elsewhere)
        if not names:
            return None
        uid = self.random.choice(names)
        self.count[what] += 1
        if what.startswith("delete") and len(names) > 1:
            del self.online.texts[uid]
            self.deleted.add(uid)
            self.written.discard(uid)
        elif uid not in self.written:
            note = str(self.online.event(uid).get("description", "")) + "\nBring the ladder"
            self.online.edit(uid, dict(THEIRS))
            self.rewrite(uid, note)
            self.written.add(uid)
        before = self.plan
        self.next(replan(self.site, self.now), before)
        return None

    def rewrite(self, uid: str, note: str) -> None:
        whole = icalendar.Calendar.from_ical(self.online.texts[uid])
        whole.walk("VEVENT")[0]["description"] = icalendar.vText(note)
        self.online.texts[uid] = whole.to_ical().decode()

    def move(self, what: str, session: Any) -> None:
        start = self.now + 15 * self.random.randint(4, 14 * 96)
        start += 15 * (start == session.start)
        times = tuple(at(each) for each in (start, start + session.end - session.start))
        seen = None
        if what == "move on paper":
            name = self.paper.named(session.summary, at(session.start), at(session.end))
            self.paper.events[name] = (session.summary, times)  # type: ignore[assignment]
            content = self.paper.export()
        elif what == "move on the server":
            if session.uid not in self.online.texts or session.uid in self.elsewhere:
                return
            self.online.edit(session.uid, dict(zip(("dtstart", "dtend"), times, strict=True)))
            content = self.online.export()
        else:
            whole = icalendar.Calendar.from_ical(self.told.content)
            event = next(each for each in whole.walk("VEVENT") if each["uid"] == session.uid)
            for name, value in zip(("dtstart", "dtend"), times, strict=True):
                event.pop(name)
                event.add(name, value)
            event["sequence"] = int(event["sequence"]) + 1
            content = whole.to_ical()
        self.count[what] += 1
        site, taken = take_moves(self.site, "back", [("back", content)], self.now)
        wanted = {session.uid} | (self.elsewhere if what == "move on the server" else set())
        assert session.uid in {event.uid for event, _ in taken.moved}, (what, taken.notes)
        assert {event.uid for event, _ in taken.moved} <= wanted, "told to be moved, and was not"
        assert not any("older version" in note for note in taken.notes), taken.notes
        if what == "move on paper":
            seen = taken.seen
        before, self.site = self.plan, site
        made = replan(site, self.now)
        ends = {move.uid: move.now for move in made.ground.job.moves}
        self.next(made, before, seen)
        now = {e.event.uid: e.event for e in self.told.after.entries if not e.withdrawn}
        held = [s for s in made.plan.sessions if s.start < ends[session.uid].end and ends[session.uid].start < s.end]
        work = {step for each in held for step in each.steps} & set(session.steps)
        if work:
            event = now[session.uid]
            assert int(event.start) < ends[session.uid].end, "moved by hand, and its name went elsewhere"  # type: ignore[call-overload]
            self.count["moved and kept its name there"] += 1


def event_of(site: Site, plan: Plan, now: int, random: Random) -> Event | None:
    """The entry that goes into the diary; None if it makes no sense as things stand."""
    today = local_date(now, ZONE)
    (item,) = site.standing.job.items
    expected = item.expected or today
    says, days = random.choice(SAYS), random.randint(1, 21)
    done = site.standing.done
    ready = [s for s in plan.steps if s.id not in done and all(a.step in done for a in s.after) and s.end < now]
    try:
        event: Event
        if says in ("did", "left", "took"):
            if not ready:
                return None
            left = 30 if says == "left" else None
            said = Spent(took=random.randint(15, 120)) if says == "took" else None
            event = requests.did(site, now, random.choice(ready).id, None, left, said=said)[-1]
        elif says == "late":
            event = requests.late(site, item.id, max(today, expected) + timedelta(days=days))
        elif says == "early":
            event = requests.late(site, item.id, max(today, expected - timedelta(days=days)))
        elif says == "arrived":
            event = requests.arrived(site, item.id, today, told=False)[-1]
        elif says == "ordered":
            event = requests.ordered(site, now, item.id, today, None)[-1]
        elif says == "lost":
            event = requests.lost(site, now, today + timedelta(days=random.randint(0, 8)), None)[-1]
        elif says == "bought":
            event = requests.bought(site, now, random.choice(requests.whole_list(site, now)), today)[-1]
        elif says == "felt":
            laid = [step.id for step in plan.steps if step.film is not None and step.id in done]
            stage, felt = random.choice(("touch", "recoat")), now - random.choice((0, 60))
            event = spent.felt(site, random.choice(laid), stage, felt, reached=random.random() < 0.5)[-1]
        elif says == "air":
            event = requests.air(site, None, now - 60, 18.0, 0.45)
        else:
            event = takeback.undo(site, takeback.About(lambda _: True, "it"), "x")[-1]
        object_to(event, site.standing, now)
    except (InputError, IndexError):
        return None
    return event


def alone(ledger: Ledger, plan: Plan) -> dict[frozenset[str], str]:
    """The sessions ahead whose work no other session does a part of: {steps: UID}."""
    entries = [e.event for e in ledger.entries if e.event.kind == "session" and not e.withdrawn]
    often = Counter(step for event in entries for step in event.steps)
    return {
        frozenset(event.steps): event.uid
        for event in entries
        if int(event.end) > plan.as_of and event.steps and all(often[step] == 1 for step in event.steps)  # type: ignore[call-overload]
    }


def at(minute: int) -> datetime:
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(minutes=minute)


def in_zone(value: date) -> date:
    return value.astimezone(ZONE) if isinstance(value, datetime) else value


def ahead(shown: list[tuple[str, str, str]], now: datetime) -> list[tuple[str, str, str]]:
    """Less what is over: whoever keeps a calendar by hand leaves it, or does not."""
    return [each for each in shown if (each[2] > str(now.astimezone(ZONE)) if len(each[2]) > 10 else True)]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lives", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--steps", type=int, default=5)
    asked = parser.parse_args()
    count, failed, began = Counter[str](), 0, time.process_time()
    for seed in range(asked.seed, asked.seed + asked.lives):
        try:
            count += one(seed, asked.steps)
        except Exception:
            failed += 1
            print(f"life {seed}:\n{traceback.format_exc()}", flush=True)
        if (seed - asked.seed + 1) % 10 == 0 or seed == asked.seed + asked.lives - 1:
            print(", ".join(f"{number} {name}" for name, number in sorted(count.items())))
            lived = seed - asked.seed + 1
            print(f"{lived} lives, {failed} failed, {time.process_time() - began:.0f} s", flush=True)
    return int(failed > 0)


def one(seed: int, steps: int) -> Counter[str]:
    """One life; what was in it. Raises AssertionError."""
    with tempfile.TemporaryDirectory() as folder:
        life = Lived(Random(seed), Path(folder))
        life.begin()
        if life.random.random() < 0.4:
            life.prime()
        for _ in range(steps):
            try:
                life.live_on()
            except NoPlanError:
                life.count["no plan"] += 1
                break
        return life.count


if __name__ == "__main__":
    sys.exit(main())
