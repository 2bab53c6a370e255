"""A method, a colour, a surface, an option or a count of which nothing would come is a fault where it stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.errors import InputError
from scheduler.looking import look
from tests.expanding.scope.test_changes import TWO_ROOMS
from tests.support.scoped import graph_of, job_of, quantity, step_of, text_of, unfolded, used

OPENINGS = (
    "{w: {on: east wall, width: 3 ft, height: 3 ft, sill: 3 ft}, d: {on: south wall, width: 3 ft, height: 7 ft}}"
)
ENAMEL = "colours:\n  green: {on: fronts, material: waterborne-alkyd-enamel, coats: 2}\n"
GREY = "colours:\n  grey: {on: walls, material: acrylic-latex-wall-paint, coats: 2}\n"


def faults(scope: str, rest: str = "", openings: str = "{}") -> list[str]:
    with pytest.raises(InputError) as caught:
        graph_of(scope, rest, openings=openings)
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("scope", "fault"),
    [
        ("wall: [prime]", "job.yaml:16:10: `prime` comes to nothing on `wall`; did you mean `walls`?"),
        (
            "walls: [fill, paint walls]",
            "job.yaml:16:11: `fill` comes to nothing on `walls`; write `measured: {holes: 30}`, or leave it out",
        ),
        (
            "walls: [caulk, paint walls]",
            "job.yaml:16:11: `caulk` comes to nothing on `walls`; write `measured: {joints: 12 ft}`",
        ),
        ("panel: {up to: 1/2, do: [backer, fill]}", "job.yaml:16:36: `fill` comes to nothing on `panel`"),
        ("joint: {length: 4 m, do: [seal, sand]}", "job.yaml:16:35: `sand` comes to nothing on `joint`"),
        (
            "den: [strip trim and covers]",
            "job.yaml:16:9: `strip trim and covers` comes to nothing on `den`; "
            "write `boxes: 3`, `old trim: 12 ft` or `loose paint: to scrape`",
        ),
        ("frame: {around: w, do: hang a door}", "job.yaml:16:26: `hang a door` comes to nothing on `frame`"),
        ("joint: {length: 4 m, do: [seal, prime: {spots: 3}]}", "`prime` comes to nothing on `joint`"),
    ],
)
def test_a_method_that_finds_nothing_to_do_is_a_fault_with_what_would_bring_it_to_something(
    scope: str, fault: str
) -> None:
    found = faults(scope, openings=OPENINGS)
    assert any(fault in each for each in found), found


def test_what_the_hint_says_brings_the_method_to_something() -> None:
    """The ways out that the faults above name, each taken."""
    for scope in (
        "walls: {do: [fill, paint walls], measured: {holes: 30}}",
        "walls: {do: [caulk, paint walls], measured: {joints: 12 ft}}",
        "wall: {area: 40 ft², do: prime}",
        "den: [strip trim and covers: {boxes: 3}]",
        "den: [strip trim and covers: {loose paint: to scrape}]",
    ):
        assert job_of(scope).steps


def test_a_number_that_is_nothing_by_default_may_stay_away() -> None:
    """No stains to block, no boxes to take off, no sill at a door: the rest of the method is there."""
    assert "walls-block-stains" not in {step.id for step in job_of("walls: patch").steps}
    assert "frame-sill" not in {
        step.id for step in job_of("frame: {around: d, do: case an opening}", openings=OPENINGS).steps
    }


def test_a_surface_of_several_to_which_nothing_comes_is_a_fault_where_it_is_named() -> None:
    scope = "joint: {length: 4 m, do: seal}\nboth: {of: [walls, joint], do: prime}"
    assert any("job.yaml:17:22: nothing of `both` comes to `joint`" in each for each in faults(scope))


@pytest.mark.parametrize(
    ("scope", "fault"),
    [
        (
            "walls: [prime: {spot primer: solvent-based-primer}]",
            "job.yaml:16:19: `spot primer` changes nothing in `prime` on `walls`; write `spots: 3`, or leave it out",
        ),
        (
            "walls: [prime: {girth: 3 in}]",
            "job.yaml:16:19: `girth` changes nothing in `prime` on `walls`; leave it out",
        ),
        (
            "walls: {do: [fill: {deep: 40}], measured: {holes: 9}}",
            "job.yaml:16:23: `deep` changes nothing in `fill` on `walls`; write `second: second fill of deep holes`",
        ),
    ],
)
def test_an_option_that_changes_nothing_is_a_fault_with_what_it_counts_with(scope: str, fault: str) -> None:
    found = faults(scope)
    assert any(fault in each for each in found), found


def test_an_option_that_might_change_something_is_none() -> None:
    """400 mm instead of 16 in (406 mm) asks for as many battens; the default written out says what holds anyway."""
    panel = "panel: {up to: 1/2, do: [backer: {spacing: %s}, rails and battens]}"
    assert quantity(job_of(panel % "400 mm"), "panel", "battens") == quantity(
        job_of(panel % "16 in"), "panel", "battens"
    )
    assert job_of("walls: [prime: {spots: 0, girth: 5 in, primer: acrylic-bonding-primer}]").steps


def test_a_quantity_that_nothing_goes_by_is_a_fault_with_the_nearest_one() -> None:
    scope = "trim: {along: floor, do: [sand, wipe down, caulk], measured: {joint: 3 m, joints: 3 m}}"
    assert any(
        "nothing that is done to `trim` goes by `joint`; did you mean `joints`?" in each for each in faults(scope)
    )
    assert any(
        "nothing that is done to `den` goes by its area" in each
        for each in faults("den: {area: 20 m², do: final clean}")
    )


def test_cabinet_fronts_are_painted_by_their_area() -> None:
    """18 fronts, 90 ft² altogether: 90 min at 60 ft²/h and 2 min each are 126 min a coat, 130 in steps of five.

    The enamel covers 400 ft² a gallon of 3.785 L (its profile): 90 ft² take 0.852 L a coat.
    """
    job = job_of("fronts: {surface: doors, count: 18, area: 90 sq ft, do: [prime]}", ENAMEL)
    (green,) = job.colours
    assert (step_of(job, "fronts-prime").work.likely, green.coat.likely) == (25, 130)
    assert used(job, "waterborne-alkyd-enamel") == pytest.approx(2 * 90 / 400 * 3.785412, rel=1e-3)
    graph = graph_of("fronts: {surface: doors, count: 18, area: 90 sq ft, do: [prime]}", ENAMEL)
    assert [task.work.likely for task in graph.tasks if task.colour == "green"] == [130, 130]


def test_doors_that_nobody_measured_are_counted() -> None:
    """Five leaves at an hour a coat; 4 m² each to prime, both faces and the edges."""
    job = job_of("fronts: {surface: doors, count: 5, do: [prime, hang a door]}", ENAMEL)
    assert job.colours[0].coat.likely == 300
    assert quantity(job, "fronts", "area") == 20
    quiet, loud = (step_of(job, name).work.likely for name in ("fronts-hang-quiet", "fronts-hang"))
    assert quiet + loud == 5 * 85


def test_a_trim_is_as_long_as_it_is_said_to_be() -> None:
    """40 ft at 28 ft/h are 86 min, 90 in steps of five; one length of 40 ft to be cut from boards."""
    nail = step_of(job_of("trim: {length: 40 ft, do: base}", openings=OPENINGS), "trim-nail-base")
    assert nail.work.likely == 90
    assert used(job_of("trim: {length: 40 ft, do: base}", openings=OPENINGS), "base board") == pytest.approx(12.192)


def test_what_is_counted_on_a_surface_counts_where_it_is_put_together_with_others() -> None:
    scope = "walls: {do: prime, measured: {joints: 12 ft}}\nceiling: {do: prime, measured: {joints: 16 ft}}\n"
    job = job_of(scope + "both: {of: [walls, ceiling], do: caulk}")
    assert quantity(job, "both", "joints") == pytest.approx(28 * 0.3048)


@pytest.mark.parametrize(
    ("scope", "rest", "fault"),
    [
        (
            "walls: prime\nshelf: {length: 3 ft, do: seal}",
            "colours:\n  grey: {on: [walls, shelf], material: acrylic-latex-wall-paint, coats: 2}\n",
            "job.yaml:19:22: `grey` can't be measured on `shelf`; write how long `one coat` takes",
        ),
        (
            "walls: prime\nshelf: {length: 3 ft, do: seal}",
            "colours:\n  grey: {on: [walls, shelf], material: acrylic-latex-wall-paint, coats: 2, one coat: 2 h}\n",
            "how much of `grey` goes on `shelf` can't be measured; write `uses: {acrylic-latex-wall-paint: 2 qt}`",
        ),
        (
            "walls: prime\nceiling: prime\nall: {of: [walls, ceiling], do: wipe down}",
            "colours:\n  grey: {on: [all, walls], material: acrylic-latex-wall-paint, coats: 2}\n",
            "job.yaml:20:20: `walls` is one of `all` already",
        ),
        (
            "walls: prime",
            GREY + "first time: varnish floor\n",
            "`varnish-floor` is not done in this job; leave it out, or name one that is: mask",
        ),
        (
            "walls: prime\nfloor: varnish floor",
            "colours:\n  grey: {on: walls, material: acrylic-latex-wall-paint, coats: 2, tape off: none, "
            "pull tape: 9 min}\n",
            "nothing is taped off for `grey`",
        ),
        (
            "walls: prime\nfloor: varnish floor",
            GREY
            + "  red: {material: acrylic-latex-wall-paint, coats: 1, one coat: 1 h}\ncolour order: [grey, red]\n",
            "job.yaml:21:16: `grey` touches no other colour of the order",
        ),
    ],
)
def test_a_colour_of_which_something_would_be_missing_is_a_fault(scope: str, rest: str, fault: str) -> None:
    found = faults(scope, rest)
    assert any(fault in each for each in found), found


def test_who_says_how_long_a_coat_takes_may_paint_what_no_method_paints() -> None:
    """The hint of the fault holds: with `one coat` and `uses` nothing has to be measured."""
    rest = (
        "colours:\n  grey: {on: [walls, shelf], material: acrylic-latex-wall-paint, coats: 1, one coat: 2 h, "
        "uses: {acrylic-latex-wall-paint: 1 qt}}\n"
    )
    graph = graph_of("walls: prime\nshelf: {length: 3 ft, do: seal}", rest)
    assert graph.task("grey-coat-1").work.likely == 120


@pytest.mark.parametrize(
    ("scope", "fault"),
    [
        ("ceiling: {on: north wall, do: prime}", "job.yaml:16:13: `on` counts for nothing here"),
        ("ceiling: {up to: 1/2, do: prime}", "`up to` counts for nothing here: `ceiling` is measured as ceiling"),
        ("walls: {around: w, do: prime}", "`around` counts for nothing here: `walls` is measured as walls"),
        ("frame: {around: w, on: east wall, do: case an opening}", "nothing runs along a wall"),
        (
            "walls: prime\nceiling: prime\nboth: {of: [walls, ceiling], area: 9 m², do: patch}",
            "job.yaml:18:32: `area` counts for nothing here: `both` is what `of` puts together",
        ),
        ("walls: prime\nshelf: {length: 3 ft}", "job.yaml:17:3: nothing is done to `shelf`"),
        ("walls: {over: ceiling, do: prime}\nceiling: {title: Above}", "nothing is done to `ceiling`"),
        ("walls: {on: [north wall, north wall], do: prime}", "job.yaml:16:28: `north wall` stands here twice"),
        ("doors: {count: 3, do: prime}", "the doors of `doors` are counted under `openings`: d"),
    ],
)
def test_a_key_that_counts_for_nothing_on_its_surface_is_a_fault(scope: str, fault: str) -> None:
    found = faults(scope, openings=OPENINGS)
    assert any(fault in each for each in found), found


@pytest.mark.parametrize(
    ("scope", "asked"), [("hearth: {area: 9 sq ft, do: paint walls}", True), ("ceiling: paint walls", False)]
)
def test_only_of_a_surface_with_a_name_of_its_own_it_is_asked_what_it_is(scope: str, asked: bool) -> None:
    """A hearth may be a wall; a ceiling is none, whatever somebody writes."""
    (found,) = faults(scope)
    assert "is not for" in found
    assert ("write `surface: " in found) == asked


@pytest.mark.parametrize("said", ["some", "1 in", "-3", "99999", "1e3"])
def test_what_is_no_number_for_an_option_is_a_fault(said: str) -> None:
    """Whether it can't be read as one, or is larger than any that is meant."""
    found = faults(f'floor: {{do: [click floor: {{uneven: "{said}"}}]}}')
    assert [each for each in found if "is no number from 0 to 10000" in each], found


def test_a_count_is_listed_among_what_was_measured_only_where_somebody_counted(tmp_path: Path) -> None:
    """Casings and walls are one thing each, which says nothing; three pairs of shutters are three."""
    file = tmp_path / "job.yaml"
    file.write_text(text_of("walls: prime\nshutters: {count: 3, area: 9 sq ft, do: prime}"), "utf-8")
    counts = [(each.part, each.value) for each in look(file).measures if each.name == "count"]
    assert counts == [("shutters", 3)]


def test_a_panel_that_takes_its_place_from_the_walls_counts() -> None:
    """Nothing is done behind the cupboards, and the walls are smaller for them: 44 ft by 8 ft, less 44 ft by 4 ft."""
    job = job_of("cupboards: {up to: 4 ft}\nwalls: prime")
    assert quantity(job, "walls", "area") == pytest.approx(44 * 4 * 0.09290304)


def test_leaves_hang_in_doors_only() -> None:
    window = "{w: {on: east wall, width: 3 ft, height: 3 ft, sill: 3 ft, leaves: 2}}"
    assert any("`leaves` are those of a door" in each for each in faults("walls: prime", openings=window))


def test_parts_of_two_rooms_do_not_share_a_colour() -> None:
    with pytest.raises(InputError) as caught:
        unfolded(TWO_ROOMS.replace("on: walls one,", "on: [walls one, walls two],"))
    assert "`walls two` is in another room than the rest" in str(caught.value)


def test_a_shared_thing_that_is_mistyped_is_a_fault_with_the_one_that_methods_take() -> None:
    """Without the right name the ladder of the methods would be no shared thing at all."""
    text = text_of("walls: prime").replace("{step ladder: 1, nailer: 1}", "{step lader: 1, lamp: 2}")
    with pytest.raises(InputError) as caught:
        unfolded(text)
    assert str(caught.value) == "job.yaml:7:17: no step takes `step-lader`; did you mean `step ladder`?"


def test_a_step_in_the_place_of_a_methods_step_says_no_other_place() -> None:
    steps = "steps: {walls prime: {work: 2 h, part: walls, phase: seal}}\n"
    assert any(
        "`walls-prime` takes the place of the step of that name, in phase prime of `walls`" in each
        for each in faults("walls: prime", steps)
    )
    same = "steps: {walls prime: {work: 2 h, part: walls, phase: prime}}\n"
    assert step_of(job_of("walls: prime", same), "walls-prime").work.likely == 120
