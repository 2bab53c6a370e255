"""The rules of profiles/order.yaml: what comes before what between the surfaces of one room.

The rules and their sources stand in that file (pages on the order of works, found; the rest common practice, no
source); here each is seen at work in a room that would be done in another order without it.
"""

from __future__ import annotations

import pytest

from scheduler.errors import InputError
from scheduler.model.graph import TaskGraph
from scheduler.reading.profiles import read_trade
from tests.support.scoped import graph_of, job_of

DOOR = "{door: {on: south wall, width: 32 in, height: 80 in}}"


def before(graph: TaskGraph, name: str) -> set[str]:
    """All that comes before a task, directly or not."""
    found, wanted = set[str](), [name]
    while wanted:
        here = wanted.pop()
        new = {link.before for link in graph.links if link.after == here} - found
        found |= new
        wanted += new
    return found


def stage(graph: TaskGraph, first: str, then: str) -> str | None:
    """The stage at which one task lets another begin. Raises StopIteration where nothing links them."""
    return next(link.stage for link in graph.links if (link.before, link.after) == (first, then))


WHOLE = """\
den: [clear and protect, put back]
ceiling: [patch, prime, paint ceiling]
walls: [patch, prime, paint walls]
casings: {around: door, do: [sand, wipe down, prime, paint trim]}
base: {along: floor, do: [base, fill, wipe down, prime, paint trim]}
floor: varnish floor
"""


@pytest.fixture(scope="module")
def whole() -> TaskGraph:
    return graph_of(WHOLE, openings=DOOR)


def test_a_room_is_done_from_the_top_down(whole: TaskGraph) -> None:
    """Ceiling, walls, the last coat of the trim, floor, new base; each when the film above bears it."""
    assert stage(whole, "ceiling-coat-2", "walls-coat-1") == "touch"
    assert stage(whole, "walls-coat-2", "casings-coat-2") == "recoat"
    assert stage(whole, "casings-coat-2", "floor-set-nails") == "handle"
    assert stage(whole, "floor-coat-3", "base-cut-base") == "use"


def test_only_the_last_coat_of_the_trim_waits_for_the_walls(whole: TaskGraph) -> None:
    """Woodwork up to the last coat but one, then the walls (a UK page on painting order, found)."""
    assert "walls-coat-1" not in before(whole, "casings-coat-1")


def test_walls_are_not_primed_under_a_ceiling_that_is_still_to_be_sanded(whole: TaskGraph) -> None:
    assert "ceiling-sand-patches" in before(whole, "walls-prime")


def test_covers_go_down_before_what_drips_and_come_up_before_the_floor_is_done(whole: TaskGraph) -> None:
    assert "den-cover" in before(whole, "ceiling-patch")
    assert {"ceiling-coat-2", "walls-coat-2", "casings-coat-2"} <= before(whole, "den-uncover")
    assert "den-uncover" in before(whole, "floor-set-nails")
    assert "floor-coat-3" not in before(whole, "den-uncover")


def test_covers_stay_to_the_end_where_nothing_is_done_to_the_floor() -> None:
    graph = graph_of(
        "den: [clear and protect, put back]\nwalls: [prime, paint walls]\njoint: {length: 9 ft, do: seal}"
    )
    assert {"walls-coat-2", "joint-seal"} <= before(graph, "den-uncover")


def test_a_floor_is_tiled_after_the_walls_above_it_are_painted() -> None:
    graph = graph_of("walls: [prime, paint walls]\nfloor: tile")
    assert stage(graph, "walls-coat-2", "floor-set-out-tile") == "handle"


def test_a_base_that_stands_already_is_painted_before_the_floor() -> None:
    graph = graph_of("base: {along: floor, do: [sand, wipe down, paint trim]}\nfloor: varnish floor")
    assert "base-coat-2" in before(graph, "floor-set-nails")


SHARED = """\
panelling: {on: north wall, up to: 4 ft, do: [backer, rails and battens]}
base: {along: floor, do: base}
joinery: {of: [panelling, base], do: [fill, wipe down, prime]}
floor: varnish floor
"""
GLOSS = "colours: {gloss: {on: [panelling, base], material: waterborne-alkyd-enamel, coats: 2}}\n"


def test_a_new_base_that_shares_work_with_the_panelling_comes_after_the_floor_all_the_same() -> None:
    """What is done to both is done twice: to the panelling before the floor, to the base after it."""
    graph = graph_of(SHARED, GLOSS)
    assert {"joinery-prime", "gloss-coat-2"} <= before(graph, "floor-set-nails")
    assert "floor-coat-3" in before(graph, "base-nail-base")
    assert "base-nail-base" in before(graph, "joinery-base-fill")
    assert "joinery-base-prime" in before(graph, "gloss-base-coat-1")
    titles = {task.id: task.title for task in graph.tasks}
    assert titles["joinery-base-prime"] == "Prime: joinery, base"
    assert titles["gloss-base-coat-2"] == "gloss (base): coat 2 of 2"


@pytest.mark.parametrize(
    "rest",
    [
        "changes: {joinery-fill: {work: 2 h}}\n",
        "order of work: {base after the floor: left out}\n",
    ],
)
def test_work_of_which_the_person_says_more_is_done_in_one_go(rest: str) -> None:
    """Two hours were meant for all of it; then the floor comes after both."""
    graph = graph_of(SHARED, rest)
    assert "base-nail-base" in before(graph, "joinery-fill")
    assert "joinery-prime" in before(graph, "floor-set-nails")


@pytest.mark.parametrize("said", ["one coat: 2 h", "tape off: 20 min", "pull tape: 20 min"])
def test_a_colour_of_whose_labour_the_person_says_anything_is_painted_in_one_go(said: str) -> None:
    """One of them is enough: two hours a coat, or twenty minutes of tape, were meant for all of it."""
    graph = graph_of(SHARED, GLOSS.replace("coats: 2", f"coats: 2, {said}"))
    assert "gloss-base-coat-1" not in {task.id for task in graph.tasks}
    assert "base-nail-base" in before(graph, "gloss-coat-1")


def test_measures_that_were_said_for_all_of_it_keep_it_in_one_go() -> None:
    graph = graph_of(SHARED.replace("do: [fill", "measured: {holes: 40}, do: [fill"))
    assert "joinery-prime" in before(graph, "floor-set-nails")


def test_boards_of_a_floor_are_carried_in_after_wet_plaster_and_paint() -> None:
    """Not before the patching, as what lies in the room for two days was; trim may be painted meanwhile."""
    scope = "walls: [patch, prime, paint walls]\nceiling: paint ceiling\nfloor: click floor\n"
    graph = graph_of(scope + "base: {along: floor, do: [wipe down, paint trim]}")
    assert stage(graph, "walls-coat-2", "floor-carry-boxes") == "touch"
    assert {"ceiling-coat-2", "walls-patch"} <= before(graph, "floor-carry-boxes")
    assert "base-coat-1" not in before(graph, "floor-carry-boxes")


def test_the_room_is_wiped_down_after_its_parts() -> None:
    """A ceiling's own wiping waited for the room's, which waits for what is built on primed and tiled walls: so they
    were primed while the dust of the ceiling lay above them."""
    scope = "den: wipe down\nceiling: [sand, wipe down]\nwalls: [tile, prime]\nbase: {along: floor, do: [base, fill]}"
    graph = graph_of(scope)
    assert "ceiling-wipe" in before(graph, "walls-prime")
    assert "ceiling-wipe" in before(graph, "den-wipe")


def test_a_ceiling_is_painted_after_the_crown_at_its_edge_is_up() -> None:
    graph = graph_of("crown: {along: ceiling, do: crown}\nceiling: [prime, paint ceiling]")
    assert "crown-nail-crown" in before(graph, "ceiling-coat-1")


COLOURS = """\
colours:
  moss: {on: walls, material: acrylic-latex-wall-paint, coats: 2}
  white: {on: ceiling, material: acrylic-latex-ceiling-paint, coats: 2}
"""


def test_the_colour_of_the_ceiling_comes_before_that_of_the_walls() -> None:
    """They are taped off against each other, so the walls wait until the ceiling may be taped over."""
    graph = graph_of("walls: prime\nceiling: prime", COLOURS)
    assert stage(graph, "white-coat-2", "moss-tape") == "tape"
    assert not graph.choices


def test_colours_that_are_not_taped_against_each_other_keep_their_order() -> None:
    """Cut in by hand, the wall follows the ceiling as soon as that is dry to the touch."""
    graph = graph_of("walls: prime\nceiling: prime", COLOURS + "borders: {between: [white, moss], tape off: none}\n")
    assert "touch" in {
        link.stage for link in graph.links if (link.before, link.after) == ("white-coat-2", "moss-coat-1")
    }


def test_of_two_colours_of_wall_and_trim_that_are_taped_either_may_be_first() -> None:
    """Trim first and walls cut in against it, or the other way round: both are done (pages for either, found)."""
    more = "  ochre: {on: frame, material: waterborne-alkyd-enamel, coats: 2}\n"
    colours = COLOURS.replace("  white: {on: ceiling, material: acrylic-latex-ceiling-paint, coats: 2}\n", more)
    graph = graph_of("walls: prime\nframe: {around: door, do: prime}", colours, openings=DOOR)
    assert [choice.id for choice in graph.choices] == ["moss|ochre"]


def test_the_person_s_order_of_colours_goes_before_the_rule() -> None:
    graph = graph_of("walls: prime\nceiling: prime", COLOURS + "colour order: [moss, white]\n")
    assert stage(graph, "moss-coat-2", "white-tape") == "tape"


def test_what_a_step_follows_by_the_person_s_word_goes_before_the_rule() -> None:
    scope = "walls: [prime, paint walls]\nceiling: [prime, paint ceiling]"
    graph = graph_of(scope, "changes: {walls-coat-1: {follows: {walls-prime: recoat}}}\n")
    assert not {"ceiling-coat-1", "ceiling-coat-2"} & before(graph, "walls-coat-1")


def test_a_rule_is_turned_round_or_left_out_by_the_job() -> None:
    scope = "walls: [prime, paint walls]\nceiling: [prime, paint ceiling]"
    turned = graph_of(scope, "order of work: {ceiling before walls: reversed}\n")
    assert stage(turned, "walls-coat-2", "ceiling-prime") == "touch"
    without = graph_of(scope, "order of work: {ceiling before walls: left out}\n")
    assert "ceiling-coat-2" not in before(without, "walls-coat-1")
    tiled = graph_of("walls: paint walls\nfloor: tile", "order of work: {floor after all above it: left out}\n")
    assert "walls-coat-2" not in before(tiled, "floor-set-tile")


@pytest.mark.parametrize(
    ("said", "fault"),
    [
        ("{ceiling before wals: reversed}", "no rule of the order of work is called `ceiling before wals`"),
        ("{floor after all above it: reversed}", "`floor after all above it` can't be turned round"),
        ("{sealant after all coats: left out}", "nothing here goes by `sealant after all coats`"),
        ("{ceiling before walls: perhaps}", "`perhaps` is not known here"),
    ],
)
def test_a_rule_that_is_not_there_or_binds_nothing_is_a_fault_at_its_line(said: str, fault: str) -> None:
    with pytest.raises(InputError) as refused:
        job_of("walls: paint walls\nceiling: paint ceiling\nfloor: tile", f"order of work: {said}\n")
    assert fault in str(refused.value)


def test_a_wall_is_painted_once_the_caulk_beside_it_may_be_painted_over() -> None:
    graph = graph_of(
        "walls: [prime, paint walls]\nframe: {around: door, do: [caulk, prime], measured: {joints: 17 ft}}",
        openings=DOOR,
    )
    assert stage(graph, "frame-caulk", "walls-coat-1") == "paint_over"


def test_a_late_delivery_holds_up_what_is_built_on_it_and_not_the_rest_of_the_room() -> None:
    """A ceiling that waits for its boards does not keep the walls from being painted; tile keeps its wall waiting."""
    order = "on order: {boards: {title: Boards, comes: 2027-03-01}}\n"
    late = "changes: {ceiling-coat-1: {needs: boards}}\n"
    graph = graph_of("walls: [prime, paint walls]\nceiling: [prime, paint ceiling]", order + late)
    assert "ceiling-coat-1" not in before(graph, "walls-coat-1")


def test_a_wall_is_painted_once_all_tile_of_the_room_is_grouted_and_polished() -> None:
    scope = "splash: {on: north wall, up to: 4 ft, do: {tile: {needs: tiles}}}\nwalls: [prime, paint walls]"
    graph = graph_of(scope, "on order: {tiles: {title: Tiles, comes: 2027-03-01}}\n")
    assert {"splash-grout", "splash-polish"} <= before(graph, "walls-coat-1")
    assert "splash-set-tile" not in before(graph, "walls-prime")


def test_sealant_comes_after_all_coats_and_tile_of_the_room() -> None:
    graph = graph_of(
        "splash: {on: north wall, up to: 4 ft, do: tile}\nwalls: paint walls\njoint: {length: 9 ft, do: seal}"
    )
    assert {"splash-grout", "walls-coat-2"} <= before(graph, "joint-seal")


def test_a_rule_of_the_trade_never_closes_a_circle_with_what_the_person_wrote() -> None:
    scope = "walls: [prime, paint walls]\nceiling: [prime, paint ceiling]"
    hung = (
        "steps:\n  hang lamp: {room: den, work: 30 min, follows: {walls-coat-2: touch}}\n"
        "changes: {ceiling-prime: {follows: hang lamp}}\n"
    )
    graph = graph_of(scope, hung)
    assert "walls-coat-2" in before(graph, "ceiling-coat-1")


def test_every_rule_says_why_and_where_it_was_read() -> None:
    rules = read_trade(None, ()).order
    assert len(rules) >= 10
    for rule in rules:
        assert rule.because, rule.id
        assert "(found)" in rule.source or "(secondary)" in rule.source or rule.source == "common practice, no source"


def test_a_person_s_own_rules_go_before_those_that_ship(tmp_path) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "profiles").mkdir()
    (tmp_path / "profiles" / "order.yaml").write_text(
        "source: our house\n"
        "rules:\n"
        "  ceiling before walls:\n"
        "    first: {of: walls, phase: paint}\n"
        "    then: {of: ceiling, phase: paint}\n"
        "    because: the ceiling is stretched last\n"
        "    source: our house\n"
        "  doors before the base: {first: {of: doors, phase: paint}, then: {along: floor}, because: b, source: us}\n",
        "utf-8",
    )
    rules = {rule.id: rule for rule in read_trade(tmp_path, ()).order}
    assert rules["ceiling-before-walls"].first.of == ("walls",)
    assert "doors-before-the-base" in rules
    assert "sealant-after-all-coats" in rules


def test_what_polishes_a_film_does_not_stand_for_the_stage_that_a_rule_asks_of_it() -> None:
    """Paint beside tile, and a base on it, wait for the grout itself, not only for whoever polished it."""
    found = graph_of(
        "splash: {on: north wall, up to: 4 ft, do: tile}\nwalls: paint walls\nfloor: tile\n"
        "base: {along: floor, do: base}"
    )
    assert stage(found, "splash-grout", "walls-coat-1") == "handle"
    assert stage(found, "floor-grout", "base-cut-base") == "use"
    assert {"splash-polish", "floor-polish"} <= before(found, "base-cut-base")


def test_sealant_goes_onto_dry_grout() -> None:
    """Cement grout 48 to 72 h before water (advice pages, secondary): the profile's `use`, not only its `handle`."""
    scope = "splash: {on: north wall, up to: 4 ft, do: tile}\njoint: {length: 9 ft, over: splash, do: seal}"
    asked = {"use", "handle"}
    for rest, left in (("", asked), ("order of work: {grout dry before the sealant: left out}\n", {"handle"})):
        links = graph_of(scope, rest).links
        assert {link.stage for link in links if (link.before, link.after) == ("splash-grout", "joint-seal")} == left


def test_what_is_primed_under_tile_is_primed_before_it() -> None:
    graph = graph_of("splash: {on: north wall, up to: 4 ft, do: [patch, prime, tile]}")
    assert stage(graph, "splash-prime", "splash-set-out-tile") is not None
    assert {"splash-patch", "splash-patch-wipe"} <= before(graph, "splash-prime")


def test_tile_goes_onto_a_membrane_that_has_cured_not_only_dried() -> None:
    """48 h before tile for most water-based ones, a waterproofer's page (found): the profile's `paint_over`."""
    graph = graph_of("splash: {on: north wall, up to: 4 ft, do: [membrane, tile]}")
    assert stage(graph, "splash-coat-1", "splash-coat-2") == "recoat"
    assert stage(graph, "splash-coat-2", "splash-set-out-tile") == "paint_over"


def test_tile_is_cut_loudly_and_set_quietly() -> None:
    """What is cut as set out may be set in the quiet hours; both together take the time of cutting and setting."""
    graph = graph_of("splash: {on: north wall, up to: 4 ft, do: tile}")
    noisy = {task.id: task.noisy for task in graph.tasks}
    assert noisy["splash-cut-tile"] and not noisy["splash-set-tile"]
    assert "splash-cut-tile" in before(graph, "splash-set-tile")
    # north wall 12 ft by 4 ft = 48 ft²: 48 / 6 ft²/h = 8 h, a third of it cutting
    likely = {task.id: task.work.likely for task in graph.tasks}
    assert likely["splash-cut-tile"] == 160 and likely["splash-set-tile"] == 320


def test_large_tile_on_a_floor_is_set_out_by_its_area_and_grouted_by_its_joints() -> None:
    """12 by 10 ft of tile of 12 in: 120 / 100 h of setting out; 2 ft of joint a square foot, 240 / 150 = 1.6 h."""
    graph = graph_of("floor: [tile: {laid: large on a floor, tile length: 12 in, tile height: 12 in}]")
    likely = {task.id: task.work.likely for task in graph.tasks}
    assert likely["floor-set-out-tile"] == 75  # 72 min, rounded up to five
    assert likely["floor-grout"] == 100  # 96 min, rounded up to five
    assert likely["floor-cut-tile"] + likely["floor-set-tile"] == 720  # 120 / 10 ft²/h


def test_what_is_fixed_for_good_waits_for_all_tile_of_the_room_and_is_sealed_after() -> None:
    """A basin is not hung between two evenings of tiling, nor sealed before it hangs (a builder's page, found)."""
    scope = (
        "splash: {on: north wall, up to: 4 ft, do: {tile: {needs: tiles}}}\nwalls: prime\n"
        "joint: {length: 9 ft, over: splash, do: seal}"
    )
    basin = (
        "on order: {tiles: {title: Tiles, comes: 2027-03-01}}\n"
        "steps: {hang basin: {work: 2 h, people: 2, part: joint, phase: fixtures}}\n"
    )
    graph = graph_of(scope, basin)
    assert "splash-grout" in before(graph, "hang-basin")
    assert "hang-basin" in before(graph, "joint-seal")


def test_a_new_base_comes_after_a_tiled_floor_that_comes_after_the_walls() -> None:
    """Tile has a phase before carpentry of its own; put after the paint above it, the floor takes the base along."""
    graph = graph_of("walls: paint walls\nfloor: tile\nbase: {along: floor, do: [base, fill, wipe down, paint trim]}")
    assert "walls-coat-2" in before(graph, "floor-set-out-tile")
    assert {"floor-set-tile", "floor-grout"} <= before(graph, "base-nail-base")


def test_a_splashback_is_grouted_in_one_go_so_that_all_its_haze_is_polished_in_time() -> None:
    """28 ft² of tile of 3 by 6 in have 6 ft of joint a square foot: 168 ft at 150 ft/h, 67 min likely.

    In two pieces on two evenings the haze of the first is two days old when it is polished; within a day is best
    (advice pages, secondary).
    """
    graph = graph_of("splashback: {on: north wall, from: 3 ft, up to: 5 ft, do: tile}", length="14 ft")
    grout = next(task for task in graph.tasks if task.id == "splashback-grout")
    assert 60 <= grout.work.planned < 90
    assert grout.smallest_piece is not None
    assert grout.work.planned < 2 * grout.smallest_piece, "it can't be cut in two"
