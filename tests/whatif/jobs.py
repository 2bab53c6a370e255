"""Job files, all invented, for what may come; and what a file comes to when it is planned from scratch."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from scheduler.model.facts import Facts
from scheduler.model.foresight import Fit, Foreseen
from scheduler.model.job import Job
from scheduler.pipeline import Made, Wish, make_plan, read
from scheduler.reading.profiles import read_trade
from scheduler.solver.search import DEFAULT_EFFORT
from scheduler.whatif.engine import Trials
from scheduler.whatif.fitting import fitting
from scheduler.whatif.job_file import keys_of
from scheduler.whatif.sooner import changes, scene_of, sooner
from tests.support.builders import minute

HOBBY_ROOM = Path(__file__).parents[2] / "examples" / "hobby-room" / "job.yaml"

STUDY = """\
# A study, metric, with an order of colours that was fixed by hand.
job: Study
start: 2027-01-09              # a Saturday
zone: Europe/Zurich
measures: metric
hours:
  - on: [Saturday, Sunday]
    from: 9:00
    to: 18:00
    break: 12:00 to 13:00
  - {on: Wednesday, from: 18:00, to: 21:00, quiet: yes}
away:
  - on: 2027-01-16
    why: a feast               # nobody will give that up
  - 2027-01-30 to 2027-01-31
rooms:
  study:
    air: {day: 20 °C, night: 12 °C, humidity: 60 %, night humidity: 60 %}
on order:
  paint: {comes: 2027-01-22, between: 2027-01-20 and 2027-02-12}
steps:
  wipe down:
    work: 1 h to 2 h, likely 80 min
    kind: wipes
  gaps:
    title: Caulk the gaps
    work: 2 h
    lays: {material: acrylic-latex-caulk, thickness: 6 mm}
    follows: wipe down
  prime:
    title: Prime the walls
    work: 3 h to 6 h, likely 4 h
    lays: solvent-alkyd-primer
    follows:
      - gaps: paint_over       # no sooner
  shelf:
    work: 2 h
    people: 1
    follows:
      - blue: use
      - white: end
colours:
  white:
    material: acrylic-latex-wall-paint
    coats: 3
    one coat: 2 h to 4 h, likely 150 min
    tape off: 30 min
    follows: [prime: recoat]
    needs: paint
  blue:
    material: waterborne-alkyd-enamel
    coats: 2
    one coat: 90 min
    follows: [prime: recoat]
borders:
  - {between: [white, blue], tape off: 30 min}
colour order: [white, blue]
done by: 2027-02-07
"""

IDLE = """\
job: Shelf
start: 2027-01-11
zone: UTC
measures: metric
hours: {on: every day, from: 0:00, to: 24:00, people: 2}
rooms:
  room: {air: {day: 20 °C, night: 20 °C, humidity: 50 %}}
steps:
  shelf: {title: Put up the shelf, work: 1 h}
"""
"""Begun at once and done in an hour: nothing could make that sooner."""


@dataclass(frozen=True)
class Case:
    """A job file and its plan as of a moment."""

    file: Path
    job: Job
    made: Made
    now: int
    wish: Wish

    def foreseen(self, *, pairs: bool = False) -> Foreseen:
        """What would end it sooner."""
        trade = read_trade(self.file.parent, None)
        return sooner(self.made, self.job, keys_of(self.file), trade, self.wish, pairs=pairs)

    def fits(self) -> tuple[Fit, ...]:
        """What makes it end by the day promised."""
        trade = read_trade(self.file.parent, None)
        scene = scene_of(self.made, self.job, keys_of(self.file), trade, "JOB")
        return fitting(Trials(self.made, trade, self.wish), self.made.ground.job, changes(scene))


def case(file: Path, now: str = "2027-01-05", effort: int = DEFAULT_EFFORT) -> Case:
    """A file planned from scratch."""
    wish = Wish(effort=effort)
    job, trade = read(file)
    moment = minute(now, job.zone)
    return Case(file, job, make_plan(job, trade, Facts(now=moment), wish), moment, wish)


def written(text: str, folder: Path, now: str = "2027-01-05", effort: int = DEFAULT_EFFORT) -> Case:
    """A text written to a file and planned from scratch."""
    file = folder / "job.yaml"
    file.write_text(text, encoding="utf-8")
    return case(file, now, effort)
