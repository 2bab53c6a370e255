"""A skim of gypsum plaster and the first coat on it; a concrete floor and what is coated on it.

What was read stands in the profiles: BS 8481:2006, 3.2.5 (coats are done when the one before has set but
not dried); a table of seven plasters (25 kg cover 10 m² at 2 mm); ASTM D4263 (sheets on the slab for 16 h at least).
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from scheduler.model.facts import Facts
from scheduler.model.plan import Plan
from scheduler.model.refusal import NoPlanError
from scheduler.pipeline import Wish, make_plan
from scheduler.reading.profiles import read_trade
from tests.drying.test_stage_order import hours
from tests.expanding.scope.test_trade_order import before
from tests.support.scoped import graph_of, text_of, unfolded
from tests.support.told import breaks

SKIM = "walls: [plaster: {over: old plaster}, mist coat]"
BOARD = "ceiling: [plaster, mist coat]"
GARAGE = "floor: [coat concrete]"
MATERIALS = {material.id: material for material in read_trade(None).materials}
PLASTER = MATERIALS["gypsum-finish-plaster"]
WEEKENDS = "hours: {on: Saturday, from: 8:00, to: 17:00, people: 2}"


def planned(scope: str, said: str = "", air: str = "") -> Plan:
    text = text_of(scope)
    if said:
        text = text.replace("hours: {on: every day, from: 7:00, to: 21:00, people: 2}", said)
    if air:
        text = text.replace("day: 70 °F, night: 70 °F, humidity: 50 %", air)
    job, trade = unfolded(text)
    return make_plan(job, trade, Facts(now=job.start), Wish(effort=1)).plan


def test_plaster_sets_the_same_day_and_is_painted_once_it_is_dry() -> None:
    """It sets by itself, thick or thin, and dries by thickness and air: no day count holds for all rooms."""
    ordinary = hours(PLASTER, 20, 0.55)
    assert ordinary["touch"] == pytest.approx(1.5)
    assert hours(PLASTER, 20, 0.55, 1.5)["touch"] == pytest.approx(1.5)
    assert hours(PLASTER, 20, 0.55, 1.5)["paint_over"] > ordinary["paint_over"] > 24
    assert hours(PLASTER, 12, 0.8)["paint_over"] > 2 * ordinary["paint_over"]


def test_the_days_of_the_pages_lie_within_what_is_reckoned() -> None:
    """Two to three days on board, three to six in a well heated room, three to five over an old wall (secondary)."""
    stage = PLASTER.stage("paint_over")
    for low, high in ((2, 3), (3, 6), (3, 5)):
        assert stage.low <= low * 24 * 60 and high * 24 * 60 <= stage.high


def test_nothing_goes_on_plaster_before_it_is_dry() -> None:
    for scope, part in ((SKIM, "walls-skim-north-wall"), (BOARD, "ceiling-skim")):
        graph = graph_of(scope)
        (stage,) = {link.stage for link in graph.links if link.before == part and link.after.endswith("knock-off")}
        assert stage == "paint_over"
        assert part in before(graph, f"{part.partition('-')[0]}-mist-1")


def test_a_wall_is_plastered_in_one_piece() -> None:
    """From the first mix to the last trowelling; half a wall is none. A large ceiling is parted at an edge."""
    skims = [task for task in graph_of(SKIM, length="10 ft", width="9 ft").tasks if "-skim-" in task.id]
    assert len(skims) == 4
    assert all(task.work.planned < 2 * (task.smallest_piece or 0) for task in skims)
    large = graph_of(BOARD, length="15 ft", width="14 ft").task("ceiling-skim")
    assert large.work.planned >= 2 * (large.smallest_piece or 0) == 180


def test_new_plaster_is_primed_with_thinned_emulsion_unless_the_job_says_more() -> None:
    def primer(call: str) -> str:
        (task,) = (task for task in graph_of(f"walls: [plaster, {call}]").tasks if task.id == "walls-prime")
        assert task.film is not None
        return task.film.material

    assert primer("prime") == "mist-coat-emulsion"
    assert primer("prime: {primer: acrylic-bonding-primer}") == "acrylic-bonding-primer"


def test_concrete_is_tested_washed_and_opened_before_it_is_coated() -> None:
    graph = graph_of(GARAGE)
    (link,) = (link for link in graph.links if link.after == "floor-look")
    assert link.before == "floor-tape-sheets" and link.wait >= 16 * 60, "ASTM D4263: 16 h at least"
    order = ["tape-sheets", "look", "degrease", "open", "sweep", "prime", "coat-1", "coat-2"]
    for number, step in enumerate(order):
        assert {f"floor-{each}" for each in order[:number]} <= before(graph, f"floor-{step}") | {f"floor-{step}"}


def test_a_coat_that_comes_after_the_window_is_abraded_first() -> None:
    """On Saturdays alone the window of three days has closed each time."""
    plan = planned(GARAGE, WEEKENDS)
    remedies = [step for step in plan.steps if "Abrade the closed film" in step.title]
    assert len(remedies) == 2
    assert not breaks(plan)


def test_in_a_day_or_two_nothing_is_abraded() -> None:
    assert not [step for step in planned(GARAGE).steps if "Abrade" in step.title]


def test_no_coat_is_planned_on_a_slab_that_is_too_cold() -> None:
    with pytest.raises(NoPlanError, match=r"refused\.air"):
        planned(GARAGE, air="day: 48 °F, night: 41 °F, humidity: 60 %")


def test_who_coats_concrete_is_told_of_epoxy_dust_and_damp() -> None:
    graph = graph_of(GARAGE)
    said = {task.id: " ".join(caution.text for caution in task.cautions) for task in graph.tasks}
    assert "sensitise" in said["floor-coat-1"] and "sensitise" in said["floor-prime"]
    assert "scars lungs" in said["floor-open"]
    etched = graph_of("floor: [coat concrete: {face: etched}]").task("floor-etch")
    assert any("acid etch" in caution.text for caution in etched.cautions)
    assert "dry sheet is no proof" in said["floor-look"]


def test_old_tile_is_sounded_scrubbed_dulled_and_primed_before_new_tile_is_set_out() -> None:
    graph = graph_of("floor: [tile: {over: old tile, laid: large on a floor}]")
    order = ["sound-tile", "scrub-tile", "dull-tile", "dull-wipe", "bond-tile", "set-out-tile", "set-tile"]
    for number, step in enumerate(order):
        assert {f"floor-{each}" for each in order[:number]} <= before(graph, f"floor-{step}")
    stages = {(link.before, link.after): link.stage for link in graph.links}
    assert stages["floor-scrub-tile", "floor-dull-tile"] == "sand"
    assert stages["floor-bond-tile", "floor-set-out-tile"] == "recoat"
    assert not [task for task in graph_of("floor: [tile]").tasks if "bond" in task.id]


def test_a_cellar_is_done_from_the_slab_to_the_walls_and_back_to_the_floor() -> None:
    """Slab tested and opened, walls washed and painted, floor vacuumed and coated, the shelf last."""
    cellar = graph_of(
        "den: [clear and protect, put back]\nwalls: [wash, patch, paint walls]\nfloor: coat concrete\n"
        "shelf: {length: 3 ft, surface: other, do: shelves}"
    )
    order = ["floor-tape-sheets", "floor-open", "den-cover", "walls-wash", "walls-coat-2", "den-uncover"]
    order += ["floor-sweep", "floor-coat-2", "shelf-fix-shelves"]
    for first, then in pairwise(order):
        assert first in before(cellar, then)
