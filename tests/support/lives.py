"""A small job and what can happen to it: a shelf wall that needs boards which are on order. All data invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.diary.kept import Kept
from scheduler.diary.record import Files, Record
from scheduler.living.change import handed_before, next_kept, settle
from scheduler.living.site import Site, replan
from scheduler.model.diary import Entry, Event
from scheduler.pipeline import Made, read
from scheduler.wallclock import at_local
from tests.support.builders import clock

ZONE = ZoneInfo("America/Denver")

EFFORT = 1000
"""Activities placed at most: enough for a job of six steps, and a suite of hundreds of plans stays quick."""

SHELF = """\
job: Shelf wall
start: 2027-01-09
zone: America/Denver
clock: 24 h
hours:
  - {on: Saturday, from: 9:00, to: 15:00, break: 12:00 to 12:30}
  - {on: Sunday, from: 10:00, to: 13:00}
  - {on: Tuesday, from: 18:30, to: 20:30}
set-up: 10 min
clear-up: 10 min
rooms:
  den:
    air: {day: 68 °F, night: 60 °F, humidity: 40 %}
on order:
  boards: {title: Shelf boards, comes: 2027-01-16, order time: 2 weeks}
steps:
  sand: {title: Sand the wall, work: 1 h, kind: dusty}
  wipe: {title: Wipe the wall, work: 30 min, kind: wipes, follows: [sand]}
  prime: {title: Prime the wall, work: 1 h, lays: acrylic-bonding-primer, follows: [wipe]}
  paint: {title: Paint the wall, work: 90 min, lays: acrylic-latex-wall-paint, follows: [prime: recoat]}
  fit: {title: Cut and fit the boards, work: 2 h, needs: boards}
  hang: {title: Hang the boards, work: 45 min, follows: [fit, paint: use]}
"""


def moment(text: str) -> int:
    """The minute of "2027-01-09 14:00" in Denver."""
    day, _, time = text.partition(" ")
    return at_local(date.fromisoformat(day), clock(time or "0:00"), ZONE)


def shelf(folder: Path, text: str = SHELF) -> Path:
    """A job file of that text in a folder."""
    file = folder / "job.yaml"
    file.write_text(text, encoding="utf-8")
    return file


class Life:
    """A job lived through in memory: what `living.change` does, less the files."""

    def __init__(self, file: Path) -> None:
        job, trade = read(file)
        self.site = Site(files=Files(file), job=job, trade=trade, record=Record(), kept=Kept(effort=EFFORT))

    def plan(self, now: int) -> Made:
        """`tackfree plan`."""
        made = replan(self.site, now)
        self.site = replace(self.site, kept=next_kept(self.site, made, now))
        return made

    def record(self, now: int, *events: Event) -> Made:
        """Record and plan anew."""
        first = self.site.record.lines + 1
        entries = [Entry(line=first + n, at=now, event=event) for n, event in enumerate(events)]
        site, made = settle(handed_before(self.site, now), entries, now)
        self.site = replace(site, kept=next_kept(site, made, now))
        return made
