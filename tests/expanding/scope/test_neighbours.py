"""Parts that share an edge, an opening or a room know each other: what is done to the one waits for the other.

The rules stand in profiles/order.yaml (common practice, no source); each test is a room in which, without its rule,
both would be done at once or the wrong way round.
"""

from __future__ import annotations

import pytest

from scheduler.model.graph import TaskGraph
from tests.expanding.scope.test_trade_order import before, stage
from tests.support.scoped import graph_of, job_of, quantity, step_of

OPENINGS = (
    "{door: {on: south wall, width: 32 in, height: 80 in}, other: {on: east wall, width: 32 in, height: 80 in},"
    " window: {on: north wall, width: 3 ft, height: 4 ft, sill: 3 ft}}"
)
WHITE_AND_GREEN = (
    "colours:\n"
    "  white: {on: ceiling, material: acrylic-latex-wall-paint, coats: 2}\n"
    "  green: {on: walls, material: acrylic-latex-wall-paint, coats: 2}\n"
)
BY_HAND = "borders:\n  - {between: [white, green], tape off: none}\n"


def graph(scope: str, rest: str = "") -> TaskGraph:
    return graph_of(scope, rest, openings=OPENINGS)


def stages(graph: TaskGraph, first: str, then: str) -> set[str | None]:
    return {link.stage for link in graph.links if (link.before, link.after) == (first, then)}


def test_a_colour_is_cut_in_by_hand_along_one_that_takes_another_coat() -> None:
    """No tape along the border, and the wall all the same after the ceiling, once that may be recoated."""
    found = graph("ceiling: prime\nwalls: prime", WHITE_AND_GREEN + BY_HAND)
    assert "recoat" in stages(found, "white-coat-2", "green-coat-1")
    assert "tape" not in stages(found, "white-coat-2", "green-tape")
    assert "tape" in stages(graph("ceiling: prime\nwalls: prime", WHITE_AND_GREEN), "white-coat-2", "green-tape")


def test_the_order_of_colours_that_are_cut_in_by_hand_is_the_persons() -> None:
    scope = "ceiling: prime\naccent: {on: east wall, do: prime}\nwalls: {on: [north wall, south wall], do: prime}"
    colours = WHITE_AND_GREEN.replace("on: ceiling", "on: accent")
    found = graph(scope, colours + BY_HAND + "colour order: [green, white]\n")
    assert "recoat" in stages(found, "green-coat-2", "white-coat-1")
    assert not stages(found, "white-coat-2", "green-coat-1")


def test_caulk_waits_for_the_primer_of_the_wall_and_the_paint_of_the_wall_for_the_caulk() -> None:
    found = graph("walls: [prime, paint walls]\nbase: {along: floor, do: [base, caulk]}")
    assert stage(found, "walls-prime", "base-caulk") == "recoat"
    assert stage(found, "base-caulk", "walls-coat-1") == "paint_over"


def test_nobody_sands_above_a_fresh_bead() -> None:
    found = graph("ceiling: patch\ncrown: {along: ceiling, do: [crown, caulk]}\nden: wipe down")
    assert "ceiling-sand-patches" in before(found, "crown-caulk")


def test_a_ceiling_does_not_wait_for_beads_that_it_does_not_touch() -> None:
    """Caulk at a door or a base lies against the wall: neither waits for the other."""
    found = graph(
        "ceiling: [prime, paint ceiling]\nbase: {along: floor, do: [base, caulk]}\n"
        "frame: {around: door, do: caulk, measured: {joints: 17 ft}}"
    )
    assert not {"base-caulk", "frame-caulk"} & before(found, "ceiling-coat-1")
    assert not {"ceiling-prime"} & (before(found, "base-caulk") | before(found, "frame-caulk"))


def test_a_crown_is_cut_once_the_ceiling_is_patched_and_sanded() -> None:
    found = graph("ceiling: [patch, paint ceiling]\ncrown: {along: ceiling, do: crown}\nden: wipe down")
    assert "ceiling-sand-patches" in before(found, "crown-cut-crown")
    assert "crown-nail-crown" in before(found, "ceiling-coat-1")


LEAF = (
    "frame: {around: door, do: hang a door}\n"
    "leaf: {surface: doors, around: %s, do: [sand, wipe down, prime, paint doors]}"
)


def test_leaf_and_opening_are_one_door() -> None:
    """Hung, then sanded, primed and painted; handles once the last coat can be handled."""
    found = graph(LEAF % "door")
    assert "frame-hang" in before(found, "leaf-sand")
    assert stage(found, "leaf-coat-2", "frame-handles") == "handle"


def test_the_leaf_of_another_opening_does_not_wait() -> None:
    found = graph(LEAF % "other")
    assert "frame-hang" not in before(found, "leaf-sand")


def test_a_leaf_that_is_to_come_is_not_sanded_before() -> None:
    late = "on order:\n  leaf: {title: The leaf, comes: 2027-02-01}\n"
    found = graph(LEAF.replace("hang a door", "[hang a door: {needs: leaf}]") % "door", late)
    assert "frame-hang" in before(found, "leaf-sand")


def test_a_leaf_painted_on_trestles_is_hung_once_it_can_be_handled() -> None:
    found = graph(LEAF % "door", "order of work: {door hung before it is painted: reversed}\n")
    assert stage(found, "leaf-coat-2", "frame-hang-quiet") == "handle", "carried in and fitted, before it is loud"


def test_casing_is_cut_to_the_frame_as_it_stands_in_the_end_and_the_base_to_the_casing() -> None:
    found = graph("frame: {around: door, do: [hang a door, case an opening]}\nbase: {along: floor, do: base}")
    assert "frame-check-opening" in before(found, "frame-cut-casing")
    assert "frame-sides" in before(found, "base-cut-base")


def test_rails_are_measured_on_the_sheets_and_battens_between_the_rails() -> None:
    found = graph("panel: {on: north wall, up to: 4 ft, do: [backer, rails and battens]}")
    assert "panel-glue" in before(found, "panel-cut-boards")
    assert "panel-top-rail" in before(found, "panel-cut-battens")


def test_casings_belong_to_the_trim_and_leaves_to_the_doors() -> None:
    """Leaf 32 by 80 in: 2 × 32 × 80 / 144 = 35.6 ft², and 5 % for its edges (common practice): 37.3. No casings."""
    job = job_of("doors: {around: door, do: prime}\ntrim: {around: door, do: prime}", openings=OPENINGS)
    assert quantity(job, "doors", "area") == pytest.approx(2 * 32 * 80 * 0.0254**2 * 1.05)
    girth = 5 * 0.0254
    faces = 2 * 32 * 80 * 0.0254**2 * 1.05
    casings = (2 * 80 + 32) * 0.0254
    leaf, frame = (step_of(job, f"{name}-prime").uses[0].amount for name in ("doors", "trim"))
    assert leaf / frame == pytest.approx(faces / (casings * girth))


def test_tape_goes_on_after_caulk_and_primer_just_before_the_coat() -> None:
    found = graph("base: {along: floor, do: [base, wipe down, mask, caulk, prime, paint trim]}")
    assert {"base-caulk", "base-prime"} <= before(found, "base-mask")
    assert "base-mask" in before(found, "base-coat-1")


def test_boards_of_the_ceiling_come_first_and_all_of_them_before_any_tape() -> None:
    found = graph("walls: drywall\nceiling: drywall")
    assert "ceiling-hang" in before(found, "walls-hang")
    assert "walls-hang" in before(found, "ceiling-fill-gaps")


def test_a_room_is_washed_from_the_top_down_and_patched_once_it_is_dry() -> None:
    found = graph("ceiling: wash\nwalls: [wash, patch]\nbase: {along: floor, do: wash}")
    assert "ceiling-wash" in before(found, "walls-wash")
    assert "walls-wash" in before(found, "base-wash")
    assert stage(found, "walls-wash", "walls-patch") == "recoat"


def test_a_new_base_waits_for_a_floor_that_is_on_order() -> None:
    late = "on order:\n  planks: {title: Planks, comes: 2027-02-01}\n"
    found = graph("floor: [click floor: {needs: planks}]\nbase: {along: floor, do: base}", late)
    assert "floor-lay" in before(found, "base-cut-base")


def test_an_old_carpet_is_the_drop_cloth_until_the_room_is_painted() -> None:
    found = graph("walls: [prime, paint walls]\nfloor: [take up carpet, click floor]")
    assert "walls-coat-2" in before(found, "floor-cut-carpet")
    assert "floor-carpet-wipe" in before(found, "floor-lay")
    first = graph(
        "walls: [prime, paint walls]\nfloor: take up carpet", "order of work: {floor after all above it: left out}\n"
    )
    assert "walls-coat-2" not in before(first, "floor-cut-carpet")


DOOR = "frame: {around: door, do: [hang a door, case an opening, paint trim]}\n"
KEPT = {
    "walls primed before the caulk beside them": (
        "walls: prime\nbase: {along: floor, do: [base, caulk]}",
        ("walls-prime", "base-caulk"),
    ),
    "sanded before the caulk beside it": (
        "ceiling: [wash: {old paint: glossy}]\nbase: {along: floor, do: [base, caulk]}",
        ("ceiling-dull", "base-caulk"),
    ),
    "frame plumbed before the casing is cut": (DOOR, ("frame-check-opening", "frame-cut-casing")),
    "casing before the base is cut": (DOOR + "base: {along: floor, do: base}", ("frame-head", "base-cut-base")),
    "door hung before it is painted": (LEAF % "door", ("frame-hang", "leaf-sand")),
    "door hung before its frame is painted": (
        "frame: {around: door, do: hang a door}\ntrim: {around: door, do: prime}",
        ("frame-hang", "trim-prime"),
    ),
    "handles after the last coat": (LEAF % "door", ("leaf-coat-2", "frame-handles")),
    "ceiling boards before wall boards": ("walls: drywall\nceiling: drywall", ("ceiling-hang", "walls-hang")),
    "all boards before any is taped": ("walls: drywall\nceiling: drywall", ("walls-hang", "ceiling-fill-gaps")),
    "ceiling washed before walls": ("ceiling: wash\nwalls: wash", ("ceiling-wash", "walls-wash")),
    "walls sanded before the ceiling is painted": (
        "ceiling: paint ceiling\nwalls: patch",
        ("walls-sand-patches", "ceiling-coat-1"),
    ),
    "ceiling before the trim": (
        "ceiling: paint ceiling\nbase: {along: floor, do: paint trim}",
        ("ceiling-coat-2", "base-coat-1"),
    ),
    "caulk before the ceiling is painted": (
        "ceiling: paint ceiling\ncrown: {along: ceiling, do: [crown, caulk]}",
        ("crown-caulk", "ceiling-coat-1"),
    ),
    "ceiling primed before the caulk at its edge": (
        "ceiling: prime\ncrown: {along: ceiling, do: [crown, caulk]}",
        ("ceiling-prime", "crown-caulk"),
    ),
    "walls washed before trim": ("walls: wash\nbase: {along: floor, do: wash}", ("walls-wash", "base-wash")),
}
"""Rules between neighbours, each with a job in which it is seen at work, and two steps of that."""


@pytest.mark.parametrize("rule", KEPT)
def test_each_rule_is_kept_and_is_not_where_a_job_leaves_it_out(rule: str) -> None:
    scope, (first, then) = KEPT[rule]
    assert first in before(graph(scope), then)
    assert first not in before(graph(scope, f"order of work: {{{rule}: left out}}\n"), then)


def test_an_appointment_comes_after_or_before_all_that_is_done_to_a_part() -> None:
    """A part was no name for it. Each film at the stage that is asked, what lays none at its end."""
    said = "{on: 2027-03-01, from: 8:00, to: 12:00, in: den, after: [walls: use], before: base}"
    fitters = f"appointments: {{fitters: {said}}}\n"
    colour = "colours: {green: {on: walls, material: acrylic-latex-wall-paint, coats: 2}}\n"
    found = graph("walls: [patch, prime]\nbase: {along: floor, do: [wipe down, prime]}", fitters + colour)
    (visit,) = found.visits
    after = {link.before: link.stage for link in visit.after}
    assert {"walls-prime": "use", "green-coat-2": "use", "walls-patch-wipe": None}.items() <= after.items()
    assert {link.after for link in visit.then} == {"base-wipe", "base-prime"}
