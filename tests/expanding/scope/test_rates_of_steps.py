"""Quantities and rates that steps go by: each likely time reckoned by hand from the room's measures.

The room is 12 by 10 by 8 ft: walls 352 ft², a window of 9, floor 120 ft², 44 ft around. Rates are common practice,
no source: what is held is that a step goes by the right quantity, with the arithmetic beside it.
"""

from __future__ import annotations

import pytest

from scheduler.errors import InputError
from scheduler.reading.wares import read_wares
from tests.support.scoped import job_of, step_of, used

PANEL = "panel: {on: north wall, up to: 4 ft, do: [rails and battens, prime, paint panel]}"
WINDOW = "{window: {on: east wall, width: 3 ft, height: 3 ft, sill: 3 ft}}"
CASES = [
    # A floor is set out by its area, 120 ft² at 100 ft²/h, a wall by its run, 12 ft at 16 ft/h.
    ("floor: tile", "floor-set-out-tile", 72),
    ("walls: {on: north wall, do: tile}", "walls-set-out-tile", 45),
    # Tile of 6 by 3 in has 6 ft of joint a square foot: 96 ft² have 576 ft, at 150 ft/h.
    ("walls: {on: north wall, do: tile}", "walls-grout", 230),
    ("walls: {on: north wall, do: tile}", "walls-scrape-joints", 96 / 38 * 60),
    # 9 fields of 16 in want 10 battens of 48 - 2 × 3 1/2 = 41 in: 34.2 ft, both sides 68.3; rails 24 ft: 92.3 ft of
    # inside edges at 150 ft/h are 36.9 min; 32 ft cut in at 180 are 10.7; 48 ft² and 15 % at 150 are 22.1.
    (PANEL, "panel-coat-1", 36.9 + 10.7 + 22.1),
    # The same edges, and 48 ft² at 220.
    (PANEL, "panel-prime", 36.9 + 13.1),
    # 9 fields: 10 battens of 41 in are 34.2 ft, the top rail 12; both sides 92.3 ft of short joints, at 80 ft/h.
    (PANEL.replace("prime, paint panel", "caulk"), "panel-caulk", 92.3 / 80 * 60),
    # Both edges of 44 ft of crown, overhead, at 80; of a base one edge, at 140.
    ("crown: {along: ceiling, do: [crown, caulk]}", "crown-caulk", 66),
    ("base: {along: floor, do: [base, caulk]}", "base-caulk", 44 / 140 * 60),
    # 44 ft at 80 ft/h; scribed at 40, its back primed at 150.
    ("base: {along: floor, do: base}", "base-mark-studs", 33),
    ("base: {along: floor, do: [base: {floor: uneven, backs: to prime}]}", "base-scribe-base", 66),
    ("base: {along: floor, do: [base: {floor: uneven, backs: to prime}]}", "base-back-prime", 44 / 150 * 60),
    # Epoxy grout goes half as fast as the 576 ft at 150 ft/h of cement grout; its haze is no slower to polish.
    ("walls: {on: north wall, do: [tile: {grout: epoxy-grout}]}", "walls-grout", 2 * 230.4),
    ("walls: {on: north wall, do: [tile: {grout: epoxy-grout}]}", "walls-polish", 96 / 80 * 60),
    # A window of 3 by 3 ft is left out of 352 ft²: 343 at 400.
    ("walls: skim", "walls-scrape-ridges-1", 343 / 400 * 60),
    ("walls: [skim: {below: bonding primer}]", "walls-bond", 343 / 220 * 60),
    ("base: {along: floor, measured: {holes: 65}, do: [fill: {nails: standing proud}]}", "base-set-nails", 30),
    ("base: {along: floor, do: [shoe: {bought: raw}]}", "base-coat-shoe-2", 44 / 95 * 60),
    ("casing: {around: window, do: [case an opening: {jambs: to extend}]}", "casing-extend-jambs", 25),
    ("leaf: {surface: doors, count: 2, do: [paint doors: {leaves: off on trestles}]}", "leaf-take-off", 18),
    # Half an hour of test pieces, and 44 ft at 40 ft/h.
    ("crown: {along: ceiling, do: crown}", "crown-cut-crown", 96),
    # 44 ft at 38 ft/h, and 33 holes at 60 an hour.
    ("base: {along: floor, do: shoe}", "base-shoe", 69.5 + 33),
    # Three sheets of 5 min, two boxes of 6.
    ("panel: {on: north wall, do: [backer: {boxes: 2}]}", "panel-fit-sheets", 27),
    ("shelf: {length: 9 ft, count: 3, do: shelves}", "shelf-cut-shelves", 3 * (15 + 10)),
    ("shelf: {length: 9 ft, count: 3, do: shelves}", "shelf-fix-shelves", 3 * 35),
    # 9 ft of boards 12 in deep, both faces: 18 ft² at 220; who measured 40 ft² has those.
    ("shelf: {length: 9 ft, count: 3, do: [shelves, prime]}", "shelf-prime", 18 / 220 * 60),
    ("shelf: {length: 9 ft, count: 3, area: 40 ft², do: [shelves, prime]}", "shelf-prime", 40 / 220 * 60),
    ("den: [clear and protect: {furniture: to the middle}]", "den-clear", 90),
    ("den: [put back: {furniture: to the middle}]", "den-carry-in", 45),
    # 120 ft² at 220, and a window of 20 min.
    ("den: final clean", "den-final-clean", 32.7 + 20),
    # A tenth of 343 ft² (a window of 9 ft² is left out) at 110.
    ("walls: [prime: {extent: bare and patched spots}]", "walls-prime", 34.3 / 110 * 60),
    ("walls: [patch: {cracks: 18 ft}]", "walls-rake", 60),
    ("walls: [patch: {large holes: 1}]", "walls-board-holes", 80),
    ("den: wipe down\nwalls: [sand: {over: old texture}]", "walls-sand", 343),
    ("den: wipe down\nwalls: [sand: {by: hand}]", "walls-sand", 343 / 225 * 60),
    # A twentieth of 44 × 8 ft² at 35.
    ("den: [strip trim and covers: {boxes: 1, loose paint: to scrape}]", "den-scrape", 17.6 / 35 * 60),
    # 44 ft of edge at 30 ft/h, four corners at 8 an hour.
    ("den: wipe down\nfloor: varnish floor", "floor-sand-edges", 88 + 30),
]


@pytest.mark.parametrize(
    ("scope", "step", "minutes"), CASES, ids=[f"{step} {number}" for number, (_, step, _) in enumerate(CASES)]
)
def test_a_step_takes_as_long_as_its_quantity_asks_for(scope: str, step: str, minutes: float) -> None:
    """Rounded up to the next five minutes."""
    job = job_of(scope, openings=WINDOW)
    quiet = [each.work.likely for each in job.steps if each.id == f"{step}-quiet"]
    assert minutes - 0.1 <= step_of(job, step).work.likely + sum(quiet) <= minutes + 5.1


def test_a_sheet_of_paper_in_the_hand_is_not_loud() -> None:
    """Quiet hours are for the machine."""
    by = {
        how: step_of(job_of(f"den: wipe down\nwalls: [sand: {{by: {how}}}]"), "walls-sand")
        for how in ("hand", "power sander")
    }
    assert by["power sander"].noisy and not by["hand"].noisy
    assert by["hand"].dusty


def test_nobody_climbs_a_ladder_for_cabinet_fronts() -> None:
    """Fronts whose area is said hang in no opening of the room; the head of a leaf of 80 in is above 6 ft 6 in."""
    door = "{door: {on: south wall, width: 32 in, height: 80 in}}"
    takes = [
        dict(step_of(job_of(f"leaf: {{surface: doors, {said}, do: prime}}", openings=door), "leaf-prime").takes)
        for said in ("area: 60 ft²", "around: door")
    ]
    assert takes == [{}, {"step-ladder": 1}]


def test_stains_are_blocked_after_the_sanding() -> None:
    """Or else the paper goes through the block (common practice, no source)."""
    block = step_of(job_of("walls: [patch: {stains: 2}]"), "walls-block-stains")
    assert "walls-patch-wipe" in {follow.step for follow in block.after}


@pytest.mark.parametrize(
    ("scope", "what", "count"),
    [
        # One of each of three grits, however small: 120 ft² are less than 180, 44 ft of edge less than 48.
        ("den: wipe down\nfloor: varnish floor", "floor sanding belt", 3),
        ("den: wipe down\nfloor: oil floor", "floor sanding belt", 3),
        ("den: wipe down\nfloor: oil floor", "sandpaper disc", 3 * 2),
        ("base: {along: floor, do: base}", "2 in finish nail", 2 * 33),
        ("crown: {along: ceiling, do: crown}", "2 1/2 in finish nail", 2 * 33),
        ("base: {along: floor, do: shoe}", "1 1/4 in brad", 33),
        ("casing: {around: window, do: case an opening}", "shim", 4),
        # 3 ft, and horns of 3 1/4 in at either side, in metres.
        ("casing: {around: window, do: case an opening}", "stool board", (36 + 6.5) * 0.0254),
        ("den: wipe down\nfloor: oil floor", "sanding pad", 1),
        ("walls: {on: north wall, do: tile}", "sponge", 2),
        ("walls: [patch: {large holes: 2}]", "patch board", 2),
        # Two for the room, not for each of its walls.
        ("walls: [wash: {dirt: grease or smoke}]", "sponge", 2),
        ("walls: remove wallpaper", "sponge", 1),
        ("frame: {around: door, do: [hang a door: {leaf: new in an old frame}]}", "hinge", 3),
    ],
)
def test_what_a_step_uses_up(scope: str, what: str, count: float) -> None:
    openings = WINDOW.replace("}}", "}, door: {on: south wall, width: 32 in, height: 80 in}}")
    assert used(job_of(scope, openings=openings if "door" in scope else WINDOW), what) == pytest.approx(
        count, abs=0.5
    )


def test_an_ounce_of_cleaner_is_enough_for_200_square_feet() -> None:
    """343 ft² of wall: 1.7 oz of 29.57 ml are 51 ml; a bottle for each wall was on the list (an ounce to a gallon of
    water for about 200 ft², common practice, no source)."""
    litres = used(job_of("walls: [wash: {dirt: grease or smoke}]", openings=WINDOW), "wall-cleaner")
    assert litres == pytest.approx(343 / 200 * 0.02957, rel=0.08)


def test_a_floor_is_stained_before_its_first_coat_and_within_two_days_of_the_sanding() -> None:
    """The finish waits until the stain may be coated, and nothing asks for sanding through a stain that is down."""
    job = job_of("den: wipe down\nfloor: [varnish floor: {colour: stained}]")
    assert {(each.step, each.within) for each in step_of(job, "floor-stain").after} >= {("floor-sand-edges", 2880)}
    follows = step_of(job, "floor-coat-1").after
    assert ("floor-stain", "recoat") in {(each.step, each.stage) for each in follows}
    assert not [each for each in follows if each.step == "floor-sand-edges" and each.within]


def test_a_bifold_door_hangs_in_its_track() -> None:
    """A track of 35 min, its leaves of 25 min each; no hinge is let in."""
    job = job_of(
        "frame: {around: door, do: [hang a door: {leaf: bifold or sliding}]}",
        openings="{door: {on: south wall, width: 60 in, height: 80 in, leaves: 2}}",
    )
    assert (step_of(job, "frame-track").work.likely, step_of(job, "frame-hang").work.likely) == (35, 50)
    assert "frame-mortise" not in {step.id for step in job.steps}


@pytest.mark.parametrize(
    ("name", "ware", "size"),
    [
        ("raw mdf", "mdf sheet", "49 in x 97 in"),
        ("drywall", "drywall", "54 in x 12 ft"),
        ("foam board", "foam board", "4 ft x 8 ft"),
        ("corner bead", "corner bead", "10 ft"),
        ("underlay", "underlay", "200 sq ft"),
        ("shim", "shim", "42"),
        ("drywall screw", "drywall screw", "1000"),
        ("sealing band", "sealing band", "33 ft"),
        ("floor covering", "floor covering", "3 ft x 100 ft"),
        ("2 in finish nail", "nail", "1000"),
    ],
)
def test_a_thing_is_sold_in_its_own_sizes(name: str, ware: str, size: str) -> None:
    """By the name that methods and people use; film is no floor covering."""
    found = read_wares(None).ware(name)
    assert found is not None and found.id == ware.replace(" ", "-")
    assert size in [each.label for each in found.sizes]


def test_a_board_that_is_too_short_for_its_wall_is_scarfed_and_nailed_there_once_more() -> None:
    """Of four walls of 24, 10, 24 and 10 ft two are longer than 16 ft: 68 ft have 2 × 51 nails, and 2 more."""
    job = job_of("base: {along: floor, do: base}", length="24 ft")
    assert used(job, "2 in finish nail") == pytest.approx(2 * 51 + 2, abs=0.5)
    short = job_of("base: {along: floor, do: [base: {longest board: 8 ft}]}", length="24 ft")  # 2 + 1 + 2 + 1
    assert used(short, "2 in finish nail") == pytest.approx(2 * 51 + 6, abs=0.5)


@pytest.mark.parametrize(
    ("do", "primer"),
    [
        ("[drywall, prime]", "latex-drywall-primer"),
        ("[skim, prime]", "latex-drywall-primer"),
        ("[patch, prime]", "acrylic-bonding-primer"),
        ("[drywall, prime: {primer: shellac-based-primer}]", "shellac-based-primer"),
    ],
)
def test_the_primer_is_that_of_what_it_goes_on(do: str, primer: str) -> None:
    """Paper and compound drink: they are sealed by a primer for drywall; the person's word goes before it."""
    lays = step_of(job_of(f"walls: {do}"), "walls-prime").lays
    assert lays is not None and lays.material == primer


def test_what_was_wiped_wet_has_to_be_dry_to_the_touch() -> None:
    """Neither a bead nor a floor finish goes onto a wet cloth's trace; with a tack cloth nothing has to dry."""
    job = job_of("den: [wipe down: {cloth: wet}]\nbase: {along: floor, measured: {joints: 12 ft}, do: caulk}")
    assert ("den-wipe", "touch") in {(follow.step, follow.stage) for follow in step_of(job, "base-caulk").after}
    for cloth, stage in (("damp", "touch"), ("vacuum and tack cloth", None)):
        floor = job_of(f"den: wipe down\nfloor: [varnish floor: {{cloth: {cloth}}}]")
        follows = {(each.step, each.stage) for each in step_of(floor, "floor-coat-1").after}
        assert (("floor-floor-wipe", "touch") in follows) == (stage is not None)


@pytest.mark.parametrize(("cloth", "stage"), [("damp", "touch"), ("vacuum and tack cloth", None)])
def test_a_floor_that_was_wiped_damp_between_coats_dries_before_the_next_one(cloth: str, stage: str | None) -> None:
    floor = job_of(f"den: wipe down\nfloor: [varnish floor: {{cloth: {cloth}}}]")
    follows = {(each.step, each.stage) for each in step_of(floor, "floor-coat-2").after}
    assert ("floor-rub-wipe-1", stage) in follows


def test_filler_on_a_stair_dries_before_it_is_sanded() -> None:
    """Filling and sanding were one step, as if filler could be sanded wet. 13 treads at 3 min are 39."""
    job = job_of("stair: {count: 13, do: [paint stair: {balusters: 26}]}")
    assert step_of(job, "stair-fill-stair").work.likely == 40  # 39, rounded up to five
    assert ("stair-fill-stair", "sand") in {
        (each.step, each.stage) for each in step_of(job, "stair-sand-stair").after
    }


@pytest.mark.parametrize(
    ("rail", "film"), [("painted", "waterborne-alkyd-enamel"), ("clear", "waterborne-polyurethane")]
)
def test_the_rail_of_a_stair_is_painted_or_clear(rail: str, film: str) -> None:
    job = job_of(f"stair: {{count: 13, do: [paint stair: {{balusters: 26, rail: {rail}}}]}}")
    lays = step_of(job, "stair-rail").lays
    assert lays is not None and lays.material == film


@pytest.mark.parametrize(("said", "coats"), [("", 2), (", rail: clear, rail coats: 3", 3), (", rail coats: 1", 1)])
def test_a_rail_gets_two_coats_or_as_many_as_are_said(said: str, coats: int) -> None:
    """Common practice, no source. Each waits for the one before it; the last one keeps its name."""
    job = job_of(f"stair: {{count: 13, do: [paint stair: {{balusters: 26{said}}}]}}")
    under = [step.id for step in job.steps if step.id.startswith("stair-rail-under")]
    assert under == [f"stair-rail-under-{number}" for number in range(1, coats)]
    follows = {(each.step, each.stage) for each in step_of(job, "stair-rail").after}
    assert not under or (under[-1], "recoat") in follows


def test_a_rail_that_stays_as_it_is_gets_nothing() -> None:
    job = job_of("stair: {count: 13, do: [paint stair: {balusters: 26, rail: left as it is}]}")
    assert "stair-rail" not in {step.id for step in job.steps}


@pytest.mark.parametrize(
    ("room", "off", "back"),
    [("", True, True), ("den: [strip trim and covers: {boxes: 2}, put back: {boxes: 2}]\n", False, False)],
)
def test_plates_come_off_once_and_go_back_once(room: str, off: bool, back: bool) -> None:
    """They came off with the room and again with the paper; and where only paper was said they never came back."""
    job = job_of(f"{room}walls: remove wallpaper")
    titles = [step.title for step in job.steps]
    assert any("plates off, film" in title for title in titles) is off
    assert ("walls-plates" in {step.id for step in job.steps}) is back
    assert sum("plates" in title and "off" in title.split("plates")[1] for title in titles) == 1
    assert sum("plates back" in title for title in titles) == 1


def test_paper_is_wetted_no_further_than_it_is_scraped() -> None:
    """A long wall was wetted whole before lunch, and had dried when it was scraped."""
    job = job_of("walls: remove wallpaper")
    assert not any(step.id.startswith("walls-wet") for step in job.steps)
    scraped = [step for step in job.steps if step.id.startswith("walls-scrape")]
    assert scraped and all("stretch by stretch" in step.title for step in scraped)


def test_circuits_that_went_off_for_the_water_go_on_again_once_the_walls_are_dry() -> None:
    job = job_of("walls: remove wallpaper")
    stages = {each.stage for each in step_of(job, "walls-circuits-on").after}
    assert stages == {"touch"}


def test_leaves_on_trestles_are_hung_again_once_the_last_coat_can_be_handled() -> None:
    job = job_of(
        "leaf: {surface: doors, count: 2, do: [paint doors: {leaves: off on trestles, handles: off and on}]}"
    )
    follows = {(each.step, each.stage) for each in step_of(job, "leaf-rehang").after}
    assert ("leaf-coat-2", "handle") in follows
    assert {each.step for each in step_of(job, "leaf-handles-on").after} >= {"leaf-rehang"}


@pytest.mark.parametrize(
    ("scope", "what"),
    [
        ("stair: {do: paint stair}", "`paint a stair` goes by the number of its treads"),
        ("kitchen fronts: {do: paint fronts}", "`paint fronts` goes by the number of fronts"),
    ],
)
def test_what_a_method_can_not_know_is_asked_for_at_its_line(scope: str, what: str) -> None:
    """A stair of one step, said nowhere, was planned and bought for."""
    name = scope.partition(":")[0]
    with pytest.raises(InputError) as error:
        job_of(scope)
    assert [fault.message for fault in error.value.faults] == [f"{what}, and nothing says it of `{name}`"]
    assert error.value.faults[0].hint == "write `count: 12` beside `do`, say"
    assert job_of(scope.replace("do:", "count: 13, do:")).steps


def test_a_shelf_has_a_board_to_buy() -> None:
    """As long as somebody says; of 32 in each where only their count is said: none stood on the list then."""

    def boards(said: str) -> list[tuple[str, float]]:
        job = job_of(f"shelf: {{{said}, do: shelves}}")
        return [(use.what, use.amount) for use in step_of(job, "shelf-cut-shelves").uses]

    assert boards("count: 2, length: 6 ft") == [("shelf board", pytest.approx(6 * 0.3048))]
    assert boards("count: 2") == [("shelf board", pytest.approx(2 * 32 * 0.0254))]
    with pytest.raises(InputError) as error:
        job_of("shelf: {surface: other, on: north wall, width: 5 ft, do: shelves}")
    assert {fault.hint for fault in error.value.faults} == {"leave it out, and write `length: …` for how long it is"}


def test_solid_wood_lies_in_the_room_for_a_week_and_sheets_for_three_days() -> None:
    """What pages ask for boards to 1 in, and what 85 % of the way takes (secondary)."""
    shelf = read_wares(None)
    days = {
        name: ware.settles
        for name in ("base board", "casing board", "mdf board", "plywood")
        if (ware := shelf.ware(name))
    }
    assert days == {"base board": 7, "casing board": 7, "mdf board": 3, "plywood": 3}


def test_a_mask_that_is_pulled_wet_is_pulled_right_after_the_last_coat() -> None:
    """Within twenty minutes, or the edge is scored first; dry, it waits until the coat is dry to the touch."""
    for how, stage, within in (("wet", None, 20), ("once dry", "touch", None)):
        job = job_of(f"base: {{along: floor, do: [mask: {{pull: {how}}}, paint trim]}}")
        pull = {each.step: (each.stage, each.within) for each in step_of(job, "base-unmask").after}
        assert pull["base-coat-2"] == (stage, within)
