"""Colours that were told in one order keep it, unless another one brings something; and what it brings is named."""

from __future__ import annotations

from pathlib import Path

from tests.cli.running import run
from tests.living.test_commands import done

ROOM = """\
job: Landing
start: 2027-01-09              # a Saturday
zone: Europe/Vienna
measures: metric
hours:
  - {on: [Saturday, Sunday], from: 9:00, to: 13:00}
rooms:
  landing: {air: {day: 20 °C, night: 17 °C, humidity: 50 %}}
on order:
  the blue: {comes: 2027-01-08}
  the white: {comes: 2027-01-08}
colours:
  blue: {material: acrylic-latex-wall-paint, coats: 2, one coat: 1 h, needs: [the blue]}
  white: {material: acrylic-latex-wall-paint, coats: 2, one coat: 1 h, needs: [the white]}
borders:
  - {between: [blue, white], tape off: 30 min}
"""


def landing(folder: Path) -> tuple[str, str]:
    """The job planned, with the item of the colour that comes first in it, and its name."""
    job = folder / "job.yaml"
    job.write_text(ROOM, encoding="utf-8")
    out = done(run("plan", str(job), "--as-of", "2027-01-04", "--effort", "1000", "--all")).out
    return str(job), "blue" if out.index("blue: coat 1") < out.index("white: coat 1") else "white"


def test_what_another_order_brings_is_named(tmp_path: Path) -> None:
    """The paint that was to go on first comes three weeks late: the other goes on before it, and the answer says how
    much later the work would end in the old order."""
    job, first = landing(tmp_path)
    other = {"blue": "white", "white": "blue"}[first]
    out = " ".join(done(run("late", job, f"the {first}", "2027-01-29", "--as-of", "2027-01-05")).out.split())
    said = f"{other.capitalize()} now comes before {first}: in the old order the work would end "
    assert said in out
    assert "later." in out.partition(said)[2][:20]


def test_nothing_is_said_of_an_order_that_stays(tmp_path: Path) -> None:
    """A day lost moves the work; the order that was told stays, and is not spoken of."""
    job, _ = landing(tmp_path)
    out = done(run("lost", job, "2027-01-09", "--as-of", "2027-01-10T08:00")).out
    assert "Nothing moves" not in out
    assert "now comes before" not in out
