"""A film that can't form is spoilt, not slow: cold, frost, and water on it while it is wet."""

from __future__ import annotations

import json
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from scheduler.drying.air import AirPiece
from scheduler.drying.spoiling import spoilt
from scheduler.drying.table import stage_times
from scheduler.model.basics import Span
from scheduler.model.material import Material, Trade
from scheduler.reading.profiles import read_trade
from scheduler.wallclock import DAY
from tests.cli.running import run
from tests.drying.airs import constant_air

UTC = ZoneInfo("UTC")
SPAN = Span(0, 60 * DAY)


@pytest.fixture(scope="module")
def trade() -> Trade:
    return read_trade(None)


def family(trade: Trade, name: str) -> Material:
    material = trade.material(name)
    assert material is not None
    return material


@pytest.mark.parametrize(
    ("name", "temp", "humidity", "kind"),
    [
        ("acrylic-latex-wall-paint", -5, 0.60, "frost"),
        ("acrylic-latex-wall-paint", 4, 0.60, "cold"),
        ("acrylic-latex-wall-paint", 15, 1.00, "water"),
        ("waterborne-polyurethane-floor", 6, 0.50, "cold"),
        ("pva-wood-glue", 4, 0.50, "cold"),
        ("vinyl-spackling", -1, 0.50, "frost"),
        ("cement-grout", -1, 0.50, "frost"),
        ("shellac", 20, 1.00, "water"),
    ],
)
def test_what_can_not_form_a_film_reaches_no_stage(
    trade: Trade, name: str, temp: float, humidity: float, kind: str
) -> None:
    """Latex forms no film below 5 °C (41 °F), floor finish none below 7 °C (45 °F), yellow glue dries to chalk below
    4.4 °C (40 °F): from memory and advice pages, see the profiles. Dew makes shellac blush."""
    table = stage_times(family(trade, name), constant_air(temp, humidity, SPAN), 0, UTC)
    assert table.spoilt is not None
    assert (table.spoilt.kind, table.spoilt.at) == (kind, 0)
    assert not any(stage.reached for stage in table.stages)


@pytest.mark.parametrize(
    ("name", "temp", "humidity"),
    [
        ("acrylic-latex-wall-paint", 5.1, 0.60),
        ("solvent-alkyd-enamel", -5, 0.60),
        ("cement-grout", 10, 1.00),
        ("setting-type-compound-45", 10, 1.00),
        ("neutral-silicone-sealant", 5, 1.00),
        ("drying-type-joint-compound", 12, 1.00),
    ],
)
def test_what_is_only_slow_is_not_called_spoilt(trade: Trade, name: str, temp: float, humidity: float) -> None:
    """Oil paint stands still in frost; cement and plaster set, silicone cures in saturated air; compound waits."""
    assert stage_times(family(trade, name), constant_air(temp, humidity, SPAN), 0, UTC).spoilt is None


def test_what_comes_after_it_is_dry_to_the_touch_spoils_it_no_more(trade: Trade) -> None:
    """Touch after 1 h at 25 °C and 50 %: frost that comes a minute before spoils it, a minute later it does not."""
    paint = family(trade, "acrylic-latex-wall-paint")
    for frost, lost in ((59, True), (60, False)):
        air = (AirPiece(0, frost, 25, 0.5), AirPiece(frost, 60 * DAY, -1, 0.5))
        table = stage_times(paint, air, 0, UTC)
        assert (table.spoilt is not None) is lost


def test_a_stage_reached_before_stays_reached(trade: Trade) -> None:
    """Caulk skins over within the first hours; frost on the same night spoils it all the same until `use`."""
    caulk = family(trade, "acrylic-latex-caulk")
    table = stage_times(caulk, (AirPiece(0, 300, 25, 0.5), AirPiece(300, 60 * DAY, -1, 0.5)), 0, UTC)
    assert [stage.stage for stage in table.stages if stage.reached][:2] == ["touch", "dust_free"]
    assert table.spoilt is not None
    use = table.stage("use")
    assert use is not None
    assert not use.reached


def test_no_shipped_family_may_be_laid_where_it_is_spoilt(trade: Trade) -> None:
    """The planner keeps to the limits; so what spoils a film lies outside them, for as long as it does."""
    for material in trade.materials:
        if material.spoils is None:
            continue
        assert material.limits is not None
        assert material.spoils.below is None or material.spoils.below <= material.limits.temp_low + 1e-9
        held = material.stage(material.limits.hold_until or "")
        until = material.stage(material.spoils.until)
        assert held is not None
        assert until is not None
        assert held.typical >= until.typical


def test_everything_that_carries_water_says_when_it_is_spoilt(trade: Trade) -> None:
    """Each family with a stage on the law of water, but what sits behind a panel in the warmth of a house, and a
    surface that was washed: there is no film on it that could be spoilt."""
    silent = [
        material.id
        for material in trade.materials
        if material.spoils is None
        and material.group != "washing"
        and any(stage.law == "water" for stage in material.stages)
    ]
    assert silent == []


def test_nothing_is_spoilt_by_what_no_profile_names(trade: Trade) -> None:
    glue = family(trade, "two-part-epoxy-adhesive")
    assert spoilt(glue, constant_air(-20, 1.0, SPAN), 0, 60 * DAY) is None


def test_dry_says_spoilt_and_not_a_time() -> None:
    """At −5 °C it used to say: recoat after 25.9 h."""
    ran = run("dry", "acrylic-latex-wall-paint", "--temp", "-5C", "--from", "2027-01-16T12:00")
    assert "It is spoilt, not slow: on Saturday 16 January, 12:00 it is -5 °C, and it freezes" in " ".join(
        ran.out.split()
    )
    assert "recoat     may be recoated   –" in ran.out
    said = json.loads(run("dry", "acrylic-latex-wall-paint", "--temp", "-5C", "--json").out)
    assert said["spoilt"]["kind"] == "frost"
    assert said["stages"]["recoat"]["hours"] is None


JOB = """\
job: Shed
start: 2027-01-09
zone: UTC
measures: metric
hours:
  - {on: [Saturday, Sunday], from: 8:00, to: 17:00}
rooms:
  shed: {air: {day: 12 °C, night: 2 °C, humidity: 50 %}}
steps:
  door: {title: Paint the door, work: 1 h, lays: acrylic-latex-trim-paint}
"""


def test_a_coat_that_was_laid_into_the_frost_is_told_as_lost(tmp_path: Path) -> None:
    """Painted from 19:00 to 20:00, at 2 °C from 20:00 on: what was recorded stays, and the plan says what to do."""
    (tmp_path / "job.yaml").write_text(JOB, encoding="utf-8")
    done = run("did", str(tmp_path), "door", "--at", "2027-01-09T20:00", "--as-of", "2027-01-09T21:00")
    assert done.code == 0, done.err
    ran = run("plan", str(tmp_path), "--as-of", "2027-01-09T21:00", "--json")
    assert ran.code == 0, ran.err
    (said,) = (warning for warning in json.loads(ran.out)["warnings"] if "spoilt" in warning)
    assert "below 5 °C it forms no film before it is at touch" in said
    assert "take it off or sand it back, lay it again. (“Paint the door”)" in said
