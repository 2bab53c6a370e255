"""Six weeks of a room as they come, under a frozen clock, in as few words as a person types.

One step takes twice as long, a session is lost to illness, doors come late and then early, a stain shows, a third
coat is wanted, and one weekend has other hours. At most six commands a week and sixty words are typed; after every
command the calendar file is that of the plan; what was promised each time, and what came of it, is printed at the
end. The room is invented.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import icalendar
import pytest
from freezegun import freeze_time

from scheduler.living.site import open_site
from scheduler.model.plan import Plan
from scheduler.wallclock import to_datetime
from tests.cli.running import Ran, run
from tests.support.lives import moment, shelf

ROOM = """\
job: Hall
start: 2027-01-09
zone: America/Denver
clock: 24 h
measures: metric
hours:
  - {on: Saturday, from: 9:00, to: 11:30}
  - {on: Sunday, from: 10:00, to: 11:00}
rooms:
  hall: {length: 4 m, width: 3 m, height: 2.4 m, air: {day: 20 °C, night: 17 °C, humidity: 45 %}}
on order:
  doors: {title: Two doors, comes: 2027-01-23, order time: 4 weeks}
steps:
  hang doors: {title: Hang the doors, work: 2 h, room: hall, needs: doors}
scope:
  walls: [patch, prime]
colours:
  sage: {on: walls, material: acrylic-latex-wall-paint, coats: 2}
"""
FIRST = date(2027, 1, 4)
ZONE = ZoneInfo("America/Denver")


@pytest.fixture(scope="module", autouse=True)
def _everything_is_imported(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Modules meet the real clock first: what a frozen one hands them is of other classes."""
    folder = tmp_path_factory.mktemp("warm")
    job, ics = str(shelf(folder, ROOM)), str(folder / "hall.ics")
    for words in (
        ("plan", "--effort", "5", "--ics", ics),
        ("ordered", "doors"),
        ("buy",),
        ("lost", "sunday"),
        ("did", "--session"),
    ):
        run(words[0], job, *words[1:])
    run("add", job, "look", "--after", "walls-patch")


class Weeks:
    """The job, the commands of each week, and what was promised after each."""

    def __init__(self, job: Path) -> None:
        self.job = job
        self.typed: dict[int, list[tuple[str, ...]]] = {}
        self.promised: list[tuple[str, str, str]] = []

    def say(self, when: str, *words: str) -> Ran:
        """A command at a moment of the clock on the wall in Denver, seven hours behind Greenwich in winter."""
        week = (date.fromisoformat(when[:10]) - FIRST).days // 7 + 1
        self.typed.setdefault(week, []).append(words)
        with freeze_time(f"{when}-07:00", ignore=["scheduler.wallclock"]):
            ran = run(words[0], str(self.job), *words[1:])
        assert ran.code == 0, ran.err
        plan = self.plan
        self.promised.append((when, " ".join(words), f"{to_datetime(plan.finish, ZONE):%Y-%m-%d}"))
        assert self.in_calendar() == {(s.start, s.end) for s in plan.sessions if s.end > plan.as_of}
        return ran

    @property
    def plan(self) -> Plan:
        """The plan that is kept."""
        plan = open_site(self.job).kept.plan
        assert plan is not None
        return plan

    def in_calendar(self) -> set[tuple[int, int]]:
        """From when to when the sessions to come are, by the calendar file."""
        calendar = icalendar.Calendar.from_ical(self.job.with_name("hall.ics").read_bytes())
        spans = {
            tuple(int(event.decoded(key).timestamp()) // 60 for key in ("dtstart", "dtend"))
            for event in calendar.walk("VEVENT")
            if "-session-" in str(event["uid"]) and str(event.get("status")) != "CANCELLED"
        }
        return {span for span in spans if span[1] > self.plan.as_of}  # type: ignore[misc]

    def edit(self, old: str, new: str) -> None:
        """In the job file, by hand."""
        text = self.job.read_text("utf-8")
        assert old in text
        self.job.write_text(text.replace(old, new), "utf-8")


@pytest.mark.long
def test_six_weeks_in_a_few_words(tmp_path: Path) -> None:
    """Nothing is forgotten, nothing is asked twice, and no date moves that nothing has moved."""
    weeks = Weeks(shelf(tmp_path, ROOM))
    # The first week: ordered, bought, begun; the patching takes twice as long.
    weeks.say("2027-01-07 20:00", "plan", "--effort", "60", "--ics", str(tmp_path / "hall.ics"))
    weeks.say("2027-01-07 20:05", "ordered", "doors", "--at", "20.12.")
    assert "HAD TO BE ORDERED" not in weeks.say("2027-01-08 19:00", "bought", "--list").out
    assert "nothing to buy" in weeks.say("2027-01-08 19:01", "buy").out
    before = next(step.labour for step in weeks.plan.steps if step.id == "walls-patch")
    weeks.say("2027-01-09 15:10", "did", "patch the", "--at", "11:10")
    assert before < 80, "by the job: about an hour; it took from 9:00 to 11:10"
    # The second: ill on Sunday, the doors come a week later.
    weeks.say("2027-01-11 08:00", "lost", "yesterday")
    weeks.say("2027-01-13 08:00", "late", "doors", "30.1.")
    ran = weeks.say("2027-01-16 15:30", "did", "--session")
    assert "Recorded:" in ran.out
    # The third: a stain shows; it is blocked where it belongs, and the doors come early.
    weeks.say("2027-01-18 20:00", "add", "block the stain", "--after", "patch the", "--lays", "shellac-based-primer")
    weeks.say("2027-01-20 18:00", "arrived", "doors")
    weeks.say("2027-01-24 15:00", "did", "--session", "--at", "saturday")
    # The fourth: a third coat, and other hours for one weekend.
    weeks.edit("coats: 2", "coats: 3")
    assert "new: sage: coat 3 of 3" in weeks.say("2027-01-25 20:00", "plan").out
    other = "  - {on: Sunday, from: 14:00, to: 16:00, since: 2027-01-31, until: 2027-01-31}"
    weeks.edit("to: 11:00}", f"to: 11:00}}\n{other}")
    weeks.say("2027-01-29 20:00", "plan")
    # The fifth and the sixth: what is left, session by session, until nothing is.
    for day in (FIRST + timedelta(days) for days in range(26, 62)):
        if day.weekday() >= 5 and open_site(weeks.job).passed(moment(f"{day} 19:00")):
            weeks.say(f"{day} 19:00", "did", "--session")
    plan = weeks.plan
    print()
    for when, said, promised in weeks.promised:
        print(f"{when}  {promised}  {said.replace(str(tmp_path), '')}")
    print(f"ended {to_datetime(plan.finish, ZONE):%Y-%m-%d}")
    assert {step.state for step in plan.steps} == {"done"}
    for week, commands in weeks.typed.items():
        words = [word for command in commands for word in command if not word.startswith(str(tmp_path))]
        assert len(commands) <= 6, (week, commands)
        assert sum(len(word.split()) for word in words) <= 60
