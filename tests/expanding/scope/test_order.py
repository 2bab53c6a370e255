"""The trade's order comes out of the phases of the methods; the list of its rules is common practice, no source."""

from __future__ import annotations

import pytest

from scheduler.model.graph import TaskGraph
from scheduler.model.job import Job
from tests.support.scoped import graph_of, job_of, step_of, text_of, unfolded, used


def follows(job: Job, name: str) -> dict[str, str | None]:
    return {after.step: after.stage for after in step_of(job, name).after}


def before(graph: TaskGraph, name: str) -> set[str]:
    """All that comes before a task, directly or not."""
    found: set[str] = set()
    wanted = [name]
    while wanted:
        here = wanted.pop()
        new = {link.before for link in graph.links if link.after == here} - found
        found |= new
        wanted += new
    return found


def test_phase_follows_phase_whatever_the_order_in_the_file() -> None:
    one = job_of("walls: [patch, sand, wipe down, prime]")
    other = job_of("walls: [prime, wipe down, sand, patch]")
    assert {step.id: step.after for step in one.steps} == {step.id: step.after for step in other.steps}
    assert follows(one, "walls-sand") == {"walls-patch-wipe": None}
    assert follows(one, "walls-wipe") == {"walls-sand": None}
    assert follows(one, "walls-prime") == {"walls-wipe": None, "walls-patch": "paint_over"}


def test_caulk_comes_before_the_primer_or_after_it_as_the_person_is_used_to() -> None:
    measured = "measured: {joints: 40 ft}"
    first = job_of(f"panel: {{on: east wall, do: [caulk, prime], {measured}}}")
    last = job_of(f"panel: {{on: east wall, do: [caulk: {{when: after prime}}, prime], {measured}}}")
    assert follows(first, "panel-prime") == {"panel-caulk": "paint_over"}
    assert follows(last, "panel-caulk") == {"panel-prime": "recoat"}


def test_glued_and_nailed_sheets_let_carpentry_go_on_at_once() -> None:
    """The nails hold while the glue cures."""
    job = job_of("panel: {on: east wall, do: [backer, rails and battens]}")
    assert follows(job, "panel-base-rail") == {"panel-cut-boards": None, "panel-glue": None}


def test_what_hangs_on_the_sheet_alone_waits_until_the_glue_can_be_handled() -> None:
    job = job_of("panel: {on: east wall, do: [backer, panel mouldings]}")
    assert follows(job, "panel-nail-mouldings")["panel-glue"] == "handle"


def test_glued_only_sheets_are_braced_until_the_glue_can_be_handled() -> None:
    job = job_of("panel: {on: east wall, do: [backer: {fixing: glued only}, rails and battens]}")
    assert follows(job, "panel-unbrace") == {"panel-glue": "handle"}
    assert "panel-unbrace" in follows(job, "panel-cut-boards"), "rails are measured on the sheets"
    assert not step_of(job, "panel-glue").noisy


def test_boxes_come_forward_after_the_backer_and_before_the_battens_cover_the_wall() -> None:
    graph = graph_of("panel: {on: east wall, do: [rails and battens, box extenders: {boxes: 2}, backer]}")
    assert "panel-glue" in before(graph, "panel-extend-boxes")
    assert "panel-extend-boxes" in before(graph, "panel-base-rail")


def test_the_walls_of_a_panel_are_glued_one_by_one_in_any_order() -> None:
    """An adhesive stays open for a quarter of an hour; no wall waits for another."""
    job = job_of("panel: {on: [north wall, east wall], do: [backer]}")
    for mine, other in (("north", "east"), ("east", "north")):
        assert f"panel-glue-{other}-wall" not in follows(job, f"panel-glue-{mine}-wall")


def test_a_casing_is_fixed_over_the_backer_of_its_wall_and_no_other() -> None:
    window = "{window: {on: east wall, width: 4 ft, height: 4 ft, sill: 3 ft}}"
    walls = "east: {on: east wall, do: backer}\nwest: {on: west wall, do: backer}\n"
    scope = f"{walls}frame: {{around: window, do: case an opening}}"
    job = job_of(scope, openings=window)
    assert "east-glue" in follows(job, "frame-sill")
    assert "west-glue" not in follows(job, "frame-sill")


def test_the_sides_of_a_casing_stand_on_the_stool_and_bear_the_head() -> None:
    window = "{window: {on: east wall, width: 4 ft, height: 4 ft, sill: 3 ft}}"
    job = job_of("frame: {around: window, do: case an opening}", openings=window)
    assert "frame-sill" in follows(job, "frame-sides")
    assert {name for name in ("frame-head", "frame-apron") if "frame-sides" in follows(job, name)} == {
        *("frame-head", "frame-apron")
    }


def test_a_door_has_no_stool_and_its_head_follows_its_sides() -> None:
    door = "{door: {on: east wall, width: 3 ft, height: 7 ft}}"
    job = job_of("frame: {around: door, do: case an opening}", openings=door)
    assert not {"frame-sill", "frame-apron"} & {step.id for step in job.steps}
    assert "frame-sides" in follows(job, "frame-head")


def test_a_second_fill_waits_until_the_first_has_dried() -> None:
    scope = "panel: {on: east wall, do: [fill: {second: second fill of deep holes}, sand], measured: {holes: 100}}"
    job = job_of(scope)
    assert follows(job, "panel-second-fill") == {"panel-fill": "recoat"}
    assert follows(job, "panel-sand") == {"panel-second-fill": "sand"}


def test_a_floor_is_rubbed_down_between_coats_and_not_after_the_last() -> None:
    job = job_of("floor: [varnish floor: {coats: 3}]")
    names = [step.id for step in job.steps if step.id.startswith(("floor-coat", "floor-rub"))]
    assert sorted(names) == [
        *("floor-coat-1", "floor-coat-2", "floor-coat-3", "floor-rub-1", "floor-rub-2"),
        *("floor-rub-wipe-1", "floor-rub-wipe-2"),
    ]
    assert follows(job, "floor-rub-1") == {"floor-coat-1": "sand"}
    assert follows(job, "floor-coat-2") == {"floor-rub-wipe-1": None, "floor-coat-1": "recoat"}


def test_the_room_is_cleared_first_and_put_back_last() -> None:
    graph = graph_of("den: [put back, clear and protect, final clean]\nwalls: [patch, sand, wipe down, prime]")
    others = {task.id for task in graph.tasks if not task.id.startswith("den-")}
    assert all("den-cover" in before(graph, name) for name in others)
    assert others <= before(graph, "den-carry-in")
    assert "den-carry-in" in before(graph, "den-final-clean")


def test_what_lies_over_other_parts_comes_after_them() -> None:
    """A joint is sealed when the grout beside it can bear it."""
    job = job_of("splash: {on: north wall, do: tile}\njoint: {length: 10 ft, over: splash, do: seal}")
    assert follows(job, "joint-seal")["splash-grout"] == "use"


def test_cover_plates_wait_for_the_paint_that_they_touch_and_not_for_trim_or_sealant() -> None:
    """They print on soft paint beside the box; enamel on the casing and a bead at the basin touch no plate."""
    job = job_of(
        "den: [strip trim and covers: {boxes: 2}, put back: {boxes: 2}]\n"
        "walls: [prime]\nframe: {length: 17 ft, surface: trim, do: paint trim}\n"
        "joint: {length: 10 ft, over: walls, do: seal}",
        "colours:\n  white: {on: walls, material: acrylic-latex-wall-paint, coats: 2}\n",
    )
    plates = {(after.step, after.stage) for after in step_of(job, "den-plates").after}
    assert plates == {("den-power-off", None), ("white", "handle"), ("white", None)}


def test_circuits_are_off_within_one_session_and_on_again_at_its_end() -> None:
    """In a house that is lived in nobody is without light for weeks; blank covers close the boxes meanwhile."""
    job = job_of("den: [strip trim and covers: {boxes: 4}, put back: {boxes: 4}]\nwalls: [prime]")
    for name in ("den-power-off", "den-plates"):
        step = step_of(job, name)
        assert step.smallest_piece is None
        assert "circuits off" in step.title.lower()
        assert "circuits on again" in step.title
    assert used(job, "blank box cover") == 4


def test_furniture_stands_on_a_floor_fit_for_use_and_waits_no_week_for_the_enamel_of_the_trim() -> None:
    job = job_of("den: put back\nframe: {length: 17 ft, surface: trim, do: paint trim}\nfloor: varnish floor")
    carried = follows(job, "den-carry-in")
    assert carried["floor-coat-3"] == "use"
    assert carried["frame-coat-2"] == "handle"


def test_boards_are_sawn_in_the_room_that_is_for_it() -> None:
    text = text_of("panel: {on: east wall, do: [rails and battens]}", openings="{}\n    saw in: shed")
    shed = "  shed:\n    air: {day: 50 °F, night: 40 °F, humidity: 50 %}\n"
    job, _ = unfolded(text.replace("scope:", f"{shed}scope:"))
    assert step_of(job, "panel-cut-boards").room == "shed"
    assert step_of(job, "panel-base-rail").room == "den"


def test_who_saws_in_the_room_itself_vacuums_it_before_anything_wet() -> None:
    """After dust the wipe-down comes before any wet step; where no other room takes the dust, sawing ends with it."""
    graph = graph_of("panel: {on: east wall, do: [rails and battens, fill]}")
    cut = graph.task("panel-cut-boards")
    assert (cut.dusty, cut.wipes) == (True, True)
    assert cut.title.endswith("and vacuum the room")


COLOURS = """\
colours:
  white: {on: ceiling, material: acrylic-latex-ceiling-paint, coats: 1}
  grey: {on: walls, material: acrylic-latex-wall-paint, coats: 2}
  green: {on: panel, material: waterborne-alkyd-enamel, coats: 2}
"""
ROOM = "ceiling: prime\nwalls: prime\npanel: {up to: 1/3, do: prime}"


def test_borders_lie_where_the_surfaces_of_two_colours_meet() -> None:
    """Walls meet the ceiling and the panel, 44 ft each; ceiling and panel do not meet."""
    job = job_of(ROOM, COLOURS)
    assert {(border.first, border.second) for border in job.borders} == {("grey", "white"), ("green", "grey")}


def test_borders_can_be_corrected_and_cut_in_by_hand() -> None:
    borders = (
        "borders:\n  - {between: [grey, white], tape off: none}\n  - {between: [grey, green], tape off: 90 min}\n"
    )
    by_hand, taped = job_of(ROOM, COLOURS + borders).borders
    assert {by_hand.first, by_hand.second} == {"grey", "white"}
    assert not by_hand.taped
    assert {taped.first, taped.second} == {"grey", "green"}
    assert taped.tape.likely == 90


def test_the_time_along_a_border_is_its_length_at_the_rate_of_taping() -> None:
    """44 ft at 140 ft/h likely (methods/mask): 18.9 min, rounded up to 20."""
    job = job_of(ROOM, COLOURS)
    assert {border.tape.likely for border in job.borders} == {20}


def test_walls_meet_the_base_along_the_floor_but_for_the_doors() -> None:
    """44 ft less a door of 10 ft are 34 ft: 10.2, 14.6, 22.7 min at 200, 140, 90 ft/h (methods/mask), in fives."""
    colours = """\
colours:
  grey: {on: walls, material: acrylic-latex-wall-paint, coats: 2}
  white: {on: base, material: waterborne-alkyd-enamel, coats: 2}
"""
    door = "{door: {on: south wall, width: 10 ft, height: 7 ft}}"
    (border,) = job_of("walls: prime\nbase: {along: floor, do: base}", colours, openings=door).borders
    assert (border.first, border.second) == ("grey", "white")
    assert (border.tape.low, border.tape.likely, border.tape.high) == (15, 15, 25)


def test_a_colour_follows_the_primer_of_its_surface() -> None:
    grey = next(colour for colour in job_of(ROOM, COLOURS).colours if colour.id == "grey")
    assert {after.step: after.stage for after in grey.after}["walls-prime"] == "recoat"


def test_two_walls_of_different_colour_meet_in_the_corner() -> None:
    """Accent wall 10 ft: two corners of 8 ft with the other walls: 16 ft at 140 ft/h = 6.9 min, rounded up to 10."""
    colours = COLOURS.replace("on: panel", "on: accent")
    job = job_of("ceiling: prime\nwalls: prime\naccent: {on: east wall, do: prime}", colours)
    tape = {frozenset((border.first, border.second)): border.tape.likely for border in job.borders}
    assert tape[frozenset(("grey", "green"))] == 10


@pytest.mark.parametrize("phase", ["sand", "caulk"])
def test_a_step_by_hand_takes_its_place_by_part_and_phase(phase: str) -> None:
    step = f"steps: {{mine: {{work: 1 h, part: walls, phase: {phase}}}}}"
    job = job_of("walls: [patch, prime]", step)
    assert "walls-patch-wipe" in follows(job, "mine")
    assert follows(job, "walls-prime")["mine"] is None
