"""A job is lived through, and after every change its calendar is written again: what do calendars hold in the end?

Random sequences of deliveries put off and come early, steps finished, hours lost and entries taken back; each
plan is made by the planner itself.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import icalendar
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.calendar.events import events
from scheduler.calendar.write import calendar
from scheduler.diary.objections import object_to
from scheduler.errors import InputError
from scheduler.living import requests, takeback
from scheduler.living.site import Site
from scheduler.model.diary import Event
from scheduler.model.ledger import Ledger
from scheduler.model.plan import Plan
from scheduler.telling.views.index import Book
from scheduler.wallclock import local_date
from tests.bench import calendars
from tests.support.lives import ZONE, Life, moment, shelf
from tests.support.times import TIMES
from tests.telling.stores import Store, ended_by

FIRST = moment("2027-01-08")


@dataclass(frozen=True)
class News:
    """So many hours later somebody says this; `days` and `number` say how much later, or which step."""

    hours: int
    says: str
    days: int
    number: int


news = st.lists(
    st.builds(
        News,
        hours=st.sampled_from([3, 17, 41, 65, 120]),
        says=st.sampled_from(["did", "did", "late", "late", "early", "arrived", "lost", "undo"]),
        days=st.integers(1, 21),
        number=st.integers(0, 2),
    ),
    min_size=1,
    max_size=4,
)


@cache
def begun() -> tuple[Site, Plan]:
    """The job as it was first planned, the same for every sequence; the times matter, not how good the plan is."""
    life = Life(shelf(Path(tempfile.mkdtemp())))
    life.site = replace(life.site, kept=replace(life.site.kept, effort=1))
    plan = life.plan(FIRST).plan
    return life.site, plan


def event_of(life: Life, now: int, one: News) -> Event | None:
    """The entry that goes into the diary; None if it makes no sense as things stand."""
    site, plan = life.site, life.site.kept.plan
    assert plan is not None
    today = local_date(now, ZONE)
    (item,) = site.standing.job.items
    expected = item.expected
    assert expected is not None
    try:
        event: Event
        if one.says == "did":
            done = site.standing.done
            ready = [
                s for s in plan.steps if s.id not in done and all(a.step in done for a in s.after) and s.end < now
            ]
            if not ready:
                return None
            event = requests.did(site, now, ready[one.number % len(ready)].id, None, None)[-1]
        elif one.says == "late":
            event = requests.late(site, item.id, max(today, expected) + timedelta(days=one.days))
        elif one.says == "early":
            event = requests.late(site, item.id, max(today, expected - timedelta(days=one.days)))
        elif one.says == "arrived":
            event = requests.arrived(site, item.id, today, told=False)[-1]
        elif one.says == "lost":
            event = requests.lost(site, now, today + timedelta(days=one.number), None)[-1]
        else:
            event = takeback.undo(site, takeback.About(lambda _: True, "it"), "x")[-1]
        object_to(event, site.standing, now)
    except InputError:
        return None
    return event


@pytest.mark.long
@settings(max_examples=80 * TIMES)
@given(news)
def test_calendars_hold_the_last_plan_whatever_happened(history: list[News]) -> None:
    """A store by RFC 5546, section 2.1.5 that took every file, a subscriber that has the last one, and the plan."""
    life, store, now = Life.__new__(Life), Store({}), FIRST
    life.site, plan = begun()
    ledger, _ = written(plan, None, store)
    for one in history:
        now += one.hours * 60
        event = event_of(life, now, one)
        plan = (life.plan(now) if event is None else life.record(now, event)).plan
        ledger, subscriber = written(plan, ledger, store)
        assert store.live() == subscriber.live(), "who has the calendar replaced whole sees the same"
        holds(store.live(), plan)


def written(plan: Plan, previous: Ledger | None, store: Store) -> tuple[Ledger, Store]:
    """The next file goes to the store, which has taken those before it, and to a subscriber, who has it alone."""
    file, ledger = calendar(plan, previous=previous, remind=60)
    found = icalendar.Calendar.from_ical(file).walk("VEVENT")
    subscriber = Store({})
    for each in (store, subscriber):
        each.take_events(found)
    return ledger, subscriber


def holds(live: dict[str, dict[str, Any]], plan: Plan) -> None:
    """Everything of the plan and nothing beside it is in the calendar, but for what is over by now."""
    now = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(minutes=plan.as_of)
    ahead = {(at_minute(session.start), at_minute(session.end)) for session in plan.sessions}
    shown = [(e["dtstart"], e["dtend"]) for uid, e in live.items() if "-session-" in uid]
    assert ahead <= set(shown)
    assert all(times in ahead or times[1] <= now for times in shown)
    assert len(shown) == len(set(shown))
    days = {e["dtstart"] for uid, e in live.items() if "-item-" in uid}
    assert days == {item.arrived or item.expected for item in plan.items}
    afresh = {
        (at_minute(e.start), at_minute(e.end), e.summary, spaced(e.description))
        for e in events(Book(plan), Ledger(), 60, steps_too=False)
    }
    there = {(e["dtstart"], e["dtend"], e["summary"], e["description"]) for e in live.values()}
    assert afresh <= there
    assert all(ended_by(str(end), now) for _, end, *_ in there - afresh)


def spaced(text: str) -> str:
    """Lines with single blanks, as they are written."""
    return "\n".join(" ".join(line.split()) for line in text.split("\n"))


def at_minute(minute: int | date) -> date:
    return minute if isinstance(minute, date) else datetime(1970, 1, 1, tzinfo=UTC) + timedelta(minutes=minute)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(1, 6))
def test_five_kinds_of_calendars_hold_the_plan_through_a_life(seed: int) -> None:
    """By UID and SEQUENCE, by subscription, emptied and imported anew, by hand, and on a server; with sessions moved
    by hand, events deleted, and what others wrote (see `tests.bench.calendars`, which lives hundreds of them)."""
    assert calendars.one(seed, 4)["states checked"] > 1
