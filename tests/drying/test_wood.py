"""Equilibrium moisture content of wood against the USDA's equation and table."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scheduler.drying.air import AirPiece
from scheduler.drying.clocks import ClockMaker
from scheduler.drying.psychro import equilibrium_moisture
from scheduler.drying.wood import fourier, way_to_go
from scheduler.model.basics import Span
from scheduler.reading.profiles import read_trade
from scheduler.wallclock import DAY
from tests.cli.running import run
from tests.drying.airs import constant_air


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


# USDA Wood Handbook, table 4-2, row 70 °F: from memory. Printed to 0.1 %.
HANDBOOK_70F = {
    20: 4.5,
    25: 5.4,
    30: 6.2,
    35: 6.9,
    40: 7.7,
    45: 8.5,
    50: 9.2,
    55: 10.1,
    60: 11.0,
    65: 12.0,
    70: 13.1,
    80: 16.0,
    90: 20.5,
}


@pytest.mark.source("wood-handbook")
@pytest.mark.parametrize("percent", HANDBOOK_70F)
def test_equation_gives_the_row_of_the_wood_handbook(percent: int) -> None:
    """Within the printed digit (0.05, and 50 % computes to 9.25 where 9.2 is printed)."""
    assert equilibrium_moisture(celsius(70), percent / 100) == pytest.approx(HANDBOOK_70F[percent], abs=0.0501)


@pytest.mark.source("wood-handbook")
def test_equation_gives_its_published_example() -> None:
    """140 °F and 55 % give 8.4 % by the equation and 8.0 % in the table (quoted with the equation)."""
    assert round(equilibrium_moisture(60.0, 0.55), 1) == 8.4


@pytest.mark.source("wood-page")
@pytest.mark.parametrize(("percent", "printed"), [(25, 5.3), (60, 11.1), (84, 17.6), (87, 19.0)])
def test_equation_stays_within_its_published_error_of_a_second_table(percent: int, printed: float) -> None:
    """70 °F values of a wood-science page; the fit strays by 0.9 % moisture at most (Simpson 1971, abstract)."""
    assert equilibrium_moisture(celsius(70), percent / 100) == pytest.approx(printed, abs=0.9)


@pytest.mark.parametrize(("fahrenheit", "moisture"), [(30, 9.52), (50, 9.47), (90, 8.89), (110, 8.45)])
def test_equation_at_other_temperatures(fahrenheit: float, moisture: float) -> None:
    """50 % humidity; computed apart from this code from the equation's printed coefficients."""
    assert equilibrium_moisture(celsius(fahrenheit), 0.5) == pytest.approx(moisture, abs=0.006)


def test_bone_dry_air_leaves_no_water_in_wood() -> None:
    assert equilibrium_moisture(21, 0) == 0


@pytest.mark.parametrize(("temp", "humidity"), [(-2, 0.5), (90, 0.5), (20, 0.99), (20, -0.1)])
def test_out_of_range_is_refused(temp: float, humidity: float) -> None:
    with pytest.raises(ValueError):
        equilibrium_moisture(temp, humidity)


@pytest.mark.parametrize(
    ("share", "number"),
    [(0.50, 0.0492), (0.63, 0.0795), (0.75, 0.1192), (0.85, 0.1709), (0.90, 0.2120), (0.95, 0.2823)],
)
def test_a_slab_goes_its_way_by_the_series_of_diffusion(share: float, number: float) -> None:
    """Σ 8/((2n+1)²π²)·exp(−(2n+1)²π²·Fo) of a slab open on both faces, summed apart from this code."""
    assert fourier(share) == pytest.approx(number, rel=0.006)


@pytest.mark.parametrize(
    ("came", "percent", "share", "days"),
    [(0.12, 40, 0.77, 5.3), (0.10, 40, 0.56, 2.7), (0.09, 45, 0.0, 0.0), (0.08, 45, 0.0, 0.0)],
)
def test_boards_wait_by_how_far_they_have_to_go(came: float, percent: int, share: float, days: float) -> None:
    """Worked by other hands at 3/4 in, D = 1e-10 m²/s, 70 °F: from 12 % to 7.7 % (40 %) 77 % of the way and 5.3 days;
    what comes within a point of the room's moisture need not wait at all."""
    wood = read_trade(None, ["solid-wood-acclimation"]).material("solid-wood-acclimation")
    assert wood is not None
    assert wood.acclimates is not None
    use = wood.stage("use")
    assert use is not None
    settles = equilibrium_moisture(celsius(70), percent / 100) / 100
    assert way_to_go(came, settles, 0.01) == pytest.approx(share, abs=0.01)
    air = constant_air(celsius(70), percent / 100, Span(0, 60 * DAY))
    ready = ClockMaker(air, came).stage(wood, use, 1.0).ready(0) / DAY
    assert ready == pytest.approx(days, abs=0.2)


def test_a_day_counts_with_its_mean() -> None:
    """40 % by day and 50 % at night settle at 7.70 and 9.25 %, 8.47 % in the mean: 1 − 1/(12 − 8.47) = 0.717 of the
    way, Fo 0.1066 against 0.1709, 4.4 of 7 days."""
    wood = read_trade(None, ["solid-wood-acclimation"]).material("solid-wood-acclimation")
    assert wood is not None
    use = wood.stage("use")
    assert use is not None
    warm = celsius(70)
    air = [
        AirPiece(day * DAY + half * DAY // 2, day * DAY + (half + 1) * DAY // 2, warm, humidity)
        for day in range(30)
        for half, humidity in enumerate((0.4, 0.5))
    ]
    assert ClockMaker(air, 0.12).stage(wood, use, 1.0).ready(0) / DAY == pytest.approx(4.4, abs=0.1)


def test_without_a_meter_the_time_of_the_profile_holds() -> None:
    wood = read_trade(None, ["solid-wood-acclimation"]).material("solid-wood-acclimation")
    assert wood is not None
    use = wood.stage("use")
    assert use is not None
    air = constant_air(celsius(70), 0.4, Span(0, 60 * DAY))
    assert ClockMaker(air).stage(wood, use, 1.0).ready(0) / DAY == pytest.approx(7.0, abs=0.01)


JOB = """\
job: Casing
start: 2027-01-02
zone: UTC
hours: {{on: every day, from: 9:00, to: 17:00}}
rooms: {{den: {{air: {{day: 70 °F, night: 70 °F, humidity: 40 %}}}}}}
steps:
  bring: {{title: Bring the casing in, work: 30 min, lays: {{material: {wood}, moisture: 10 %}}}}
  nail: {{title: Nail it up, work: 1 h, follows: {{bring: use}}}}
"""


def test_a_job_says_what_the_meter_said(tmp_path: Path) -> None:
    """10 % in a room of 7.7 %: 56 % of the way, 2.7 days from Saturday 9:30, so Tuesday, not the Saturday after."""
    (tmp_path / "job.yaml").write_text(JOB.format(wood="solid-wood-acclimation"), encoding="utf-8")
    ran = run("plan", str(tmp_path), "--as-of", "2027-01-01", "--json")
    assert ran.code == 0, ran.err
    nail = next(step for step in json.loads(ran.out)["steps"] if step["id"] == "nail")
    assert nail["pieces"][0]["start"].startswith("2027-01-05T09")


def test_the_moisture_of_a_paint_is_refused(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text(JOB.format(wood="acrylic-latex-wall-paint"), encoding="utf-8")
    ran = run("check", str(tmp_path))
    assert ran.code == 2
    assert "`acrylic-latex-wall-paint` is no wood" in ran.out + ran.err
