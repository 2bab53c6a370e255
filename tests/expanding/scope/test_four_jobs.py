"""A room, a bathroom, a flat and a kitchen's fronts as the trade would do them: each rule of the order of the work is
seen at work in one of them, and is not kept once that job leaves it out.

The rules, why they are and where they were read stand in profiles/order.yaml; `python -m tests.trade` lists them.
"""

from __future__ import annotations

import pytest

from scheduler.expanding import expand
from scheduler.model.graph import TaskGraph
from scheduler.reading.profiles import read_trade
from tests.expanding.scope.test_neighbours import KEPT
from tests.expanding.scope.test_trade_order import before
from tests.support.scoped import graph_of, text_of, unfolded

DOOR = "{door: {on: south wall, width: 32 in, height: 80 in}}"

ROOM = """\
den: [clear and protect, put back]
ceiling: [patch, prime, paint ceiling]
crown: {along: ceiling, do: crown}
walls: [patch, prime, paint walls]
casings: {around: door, measured: {joints: 17 ft}, do: [sand, wipe down, prime, caulk, paint trim]}
base: {along: floor, do: [base, fill, wipe down, prime, paint trim]}
floor: varnish floor
"""

BATHROOM = """\
walls: [patch, prime, paint walls]
niche: {on: east wall, up to: 4 ft, do: [prime, tile]}
splash: {on: north wall, up to: 4 ft, do: tile}
joint: {length: 9 ft, over: splash, do: seal}
"""
BASIN = "steps: {hang basin: {work: 1 h, part: joint, phase: fixtures}}\n"

TILED = BATHROOM.partition("\n")[2]
"""The same with bare walls: what hangs waits for the tile and for nothing else."""
SEALED = "walls: [prime, paint walls]\njoint: {length: 9 ft, do: seal}\n"
"""A joint where nothing is hung."""

FLAT = """\
bedroom walls: {surface: walls, room: den, do: [prime, paint walls]}
bedroom floor: {surface: floor, room: den, do: tile}
hall walls: {surface: walls, room: hall, do: [prime, paint walls]}
hall floor: {surface: floor, room: hall, do: varnish floor}
"""
HALL = "  hall: {length: 10 ft, width: 4 ft, height: 8 ft, air: {day: 70 °F, night: 70 °F, humidity: 50 %}}\n"

PLANKS = "walls: [patch, prime, paint walls]\nfloor: click floor\nbase: {along: floor, do: [shoe: {bought: raw}]}\n"

STAIRWELL = """\
walls: [patch, prime, paint walls]
ceiling: [patch, paint ceiling]
stair: {count: 13, do: [paint stair: {balusters: 30, newels: 2, treads: left as they are}]}
"""

PLASTERED = "ceiling: [plaster, mist coat]\nwalls: [plaster: {over: old plaster}, mist coat]\n"

SHELF = "walls: [patch, prime, paint walls]\nshelf: {length: 9 ft, count: 3, do: [shelves, fill, sand, prime]}\n"

CELLAR = """\
den: [clear and protect, put back]
walls: [wash: {mould: 2}, patch, paint walls]
floor: coat concrete
shelf: {length: 3 ft, surface: other, do: shelves}
"""
PAPERED = "walls: [remove wallpaper, paint walls]\nfloor: coat concrete\n"

RULES = {
    "slab tested before it is covered": (CELLAR, "floor-look", "den-cover"),
    "slab tested before the walls are wetted": (PAPERED, "floor-look", "walls-ready-the-room"),
    "concrete coated before the shelves go up": (CELLAR, "floor-coat-2", "shelf-fix-shelves"),
    "concrete opened before the walls are made good": (CELLAR.partition("\n")[2], "floor-open", "walls-wash"),
    "walls painted before the shelves go up": (SHELF, "walls-coat-2", "shelf-fix-shelves"),
    "ceiling plastered before walls": (PLASTERED, "ceiling-skim", "walls-skim-north-wall"),
    "ceiling patched before walls are primed": (ROOM, "ceiling-sand-patches", "walls-prime"),
    "ceiling before walls": (ROOM, "ceiling-coat-2", "walls-coat-1"),
    "crown before the ceiling is painted": (ROOM, "crown-nail-crown", "ceiling-coat-1"),
    "caulk before the paint beside it": (ROOM, "casings-caulk", "walls-coat-1"),
    "walls before the last coat of trim": (ROOM, "walls-coat-2", "casings-coat-2"),
    "floor after all above it": (FLAT, "bedroom-walls-coat-2", "bedroom-floor-set-out-tile"),
    "covers up before the floor is done": (ROOM, "den-uncover", "floor-set-nails"),
    "shoe after the floor": (PLANKS, "floor-lay", "base-shoe"),
    "boards after the damp": (PLANKS, "walls-coat-2", "floor-carry-boxes"),
    "base after the floor": (ROOM, "floor-coat-3", "base-cut-base"),
    "primer under the tile": (BATHROOM, "niche-prime", "niche-set-tile"),
    "tile before the paint beside it": (BATHROOM, "splash-polish", "walls-coat-1"),
    "tile before what is fixed for good": (TILED, "niche-polish", "hang-basin"),
    "walls painted before what is fixed for good": (BATHROOM, "walls-coat-2", "hang-basin"),
    "sealant after all coats": (SEALED, "walls-coat-2", "joint-seal"),
    "walls and ceiling made good before the stair": (STAIRWELL, "walls-sand-patches", "stair-wash-stair"),
    "ceiling and walls painted before the stair": (STAIRWELL, "walls-coat-2", "stair-mask-stair"),
}


def graph(scope: str, rest: str = "") -> TaskGraph:
    if scope != FLAT:
        return graph_of(scope, (BASIN if scope in (BATHROOM, TILED) else "") + rest, openings=DOOR)
    return expand(*unfolded(text_of(scope, rest, openings=DOOR).replace("scope:\n", f"{HALL}scope:\n", 1)))


@pytest.mark.parametrize("rule", RULES)
def test_each_rule_is_kept_and_is_not_without_it(rule: str) -> None:
    scope, first, then = RULES[rule]
    assert first in before(graph(scope), then)
    assert first not in before(graph(scope, f"order of work: {{{rule}: left out}}\n"), then)


def test_no_rule_ships_that_is_not_seen_at_work() -> None:
    shown = {*RULES, *KEPT, "grout dry before the sealant"}  # the last in test_trade_order.py, by its stage
    assert {rule.id.replace("-", " ") for rule in read_trade(None).order} <= shown


def test_the_rules_are_those_of_one_room() -> None:
    """In a flat the floor of the hall waits for the walls of the hall, not for those of the bedroom."""
    flat = graph(FLAT)
    assert "hall-walls-coat-2" in before(flat, "hall-floor-set-nails")
    assert not any(name.startswith("bedroom") for name in before(flat, "hall-floor-coat-3"))


def test_a_front_of_a_kitchen_is_primed_and_coated_each_time_it_may_be_and_takes_no_ceiling_paint() -> None:
    """Each coat at `recoat` of the one below; no paint for walls or ceilings is fit for doors."""
    fronts = graph_of(
        "fronts: {surface: doors, area: 60 sq ft, count: 12, do: [sand, wipe down, prime, paint doors]}"
    )
    stages = {(link.before, link.after): link.stage for link in fronts.links}
    assert stages["fronts-prime", "fronts-coat-1"] == "recoat"
    assert stages["fronts-coat-1", "fronts-coat-2"] == "recoat"
    fit = {material.id for material in read_trade(None).materials if "doors" in material.fit_for}
    assert "waterborne-alkyd-enamel" in fit
    assert not {"acrylic-latex-ceiling-paint", "acrylic-latex-wall-paint"} & fit
