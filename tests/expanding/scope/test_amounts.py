"""What steps use up, against hand arithmetic and published coverage and yield.

1 US gal = 231 in³ = 3.785411784 l = 1604 ft²·mil (exact geometry); sources of coverage stand at each test.
"""

from __future__ import annotations

from math import pi

import pytest

from tests.support.scoped import job_of, quantity, step_of, used

FT, IN, GAL = 0.3048, 0.0254, 3.785411784
CARTRIDGE = 18.23 * IN**3 * 1000
"""10.1 US fl oz in litres: 10.1 / 128 × 231 in³ = 18.23 in³."""


def test_a_gallon_is_1604_square_feet_by_a_mil() -> None:
    square_feet = 231 / 144 / 0.001
    assert square_feet == pytest.approx(1604, abs=0.5)


def test_paint_by_its_spread_rate() -> None:
    """315 ft² at 350 ft²/gal is 0.9 gal a coat: 300 to 400 ft²/gal at 5.3 to 4.0 mil in a data sheet (found)."""
    window = "window: {on: east wall, width: 4 ft, height: 4 ft, sill: 3 ft}"
    openings = f"{{{window}, door: {{on: south wall, width: 3 ft, height: 7 ft}}}}"
    job = job_of("walls: [paint walls: {coats: 2}]", openings=openings)
    for coat in ("walls-coat-1", "walls-coat-2"):
        (paint,) = step_of(job, coat).uses
        assert (paint.what, paint.unit) == ("acrylic-latex-wall-paint", "L")
        assert paint.amount == pytest.approx(0.9 * GAL)
    area = 315
    mils = 1604 * 0.9 / area
    assert 4.0 <= mils <= 5.3  # the film of that sheet


@pytest.mark.parametrize(
    ("bead", "feet"),
    [("1/4 in", 30.9), ("3/8 in", 13.8), ("3/16 in", 55.0)],
)
def test_a_round_bead_of_adhesive_out_of_a_cartridge(bead: str, feet: float) -> None:
    """Yield of a 10.1 fl oz cartridge by geometry: 30.9 ft at 1/4 in, 13.8 at 3/8, 55.0 at 3/16 (computed).

    A data sheet says about 12 ft at 3/8 in (found), between a round and a square section.
    """
    job = job_of(f"panel: {{on: west wall, do: [backer: {{bead: {bead}}}]}}")
    run = quantity(job, "panel", "bead run") / FT
    assert used(job, "waterborne-construction-adhesive") / CARTRIDGE == pytest.approx(run / feet, rel=0.005)


@pytest.mark.parametrize(("bead", "feet"), [("1/8 in", 194.4), ("3/16 in", 86.4), ("1/4 in", 48.6)])
def test_a_fillet_of_caulk_out_of_a_cartridge(bead: str, feet: float) -> None:
    """Flat fillet, legs d: 194.4 ft at 1/8 in, 86.4 at 3/16, 48.6 at 1/4 (computed)."""
    job = job_of(f"panel: {{on: west wall, do: [caulk: {{bead: {bead}}}], measured: {{joints: 100 ft}}}}")
    assert used(job, "acrylic-latex-caulk") / CARTRIDGE == pytest.approx(100 / feet, rel=0.005)


def test_a_square_joint_of_sealant_out_of_a_cartridge() -> None:
    """1/4 × 1/4 in: 24.3 ft (computed); one data sheet promises 35 ft, which geometry does not give."""
    job = job_of("joint: {length: 24.3 ft, do: seal}")
    assert used(job, "neutral-silicone-sealant") == pytest.approx(CARTRIDGE, rel=0.005)


def test_joint_compound_by_the_thickness_of_a_coat() -> None:
    """A coat of 1/16 in where it fills, half of it on the average, over 352 ft²: 352 × 144 / 32 = 1584 in³, 6.86 gal.
    That is 51.3 ft²/gal; a page of advice says 50 to 75 ft²/gal for a skim called 1/16 in (secondary).
    """
    job = job_of("walls: [skim: {coats: 1, compound: setting-type-compound-45, over: new board}]")
    compound = used(job, "setting-type-compound-45")
    assert compound == pytest.approx(1584 / 231 * GAL)
    assert 50 < 352 / (compound / GAL) < 75
    thin = job_of(
        "walls: [skim: {coats: 1, compound: setting-type-compound-45, over: new board, thickness: 1/32 in}]"
    )
    # Half as thick, as on flat board: four estimators' pages have 100 ft²/gal a coat (secondary)
    assert 352 / (used(thin, "setting-type-compound-45") / GAL) == pytest.approx(100, rel=0.05)


def test_thinset_by_published_coverage_of_a_bag() -> None:
    """A 50 lb bag covers 80 to 100 ft² with a 1/4 × 1/4 in notch, three advice pages (secondary).

    The profile has 23 ft²/gal at that notch and 0.62 l/kg: 22.68 kg make 14.06 l = 3.71 gal, 85.4 ft².
    """
    job = job_of("splash: {on: north wall, up to: 8 ft, do: [tile]}")
    litres, bag = used(job, "cement-thinset"), 50 * 0.45359237 * 0.62
    assert 96 / (litres / bag) == pytest.approx(85.4, abs=0.5)
    assert 80 <= 96 / (litres / bag) <= 100


def test_grout_by_the_volume_of_the_joints() -> None:
    """(L + W) / (L × W) × joint × thickness × area, the formula that grout makers print (secondary).

    6 × 3 in tile, 1/8 in joint, 5/16 in thick, 96 ft²: 9/18 × 0.125 × 0.3125 × 96 × 144 = 270 in³ = 4.42 l.
    """
    job = job_of("splash: {on: north wall, do: [tile]}")
    assert used(job, "cement-grout") == pytest.approx(270 * IN**3 * 1000)


def test_a_floor_finish_by_its_spread() -> None:
    """120 ft² at 500 ft²/gal is 0.24 gal a coat, three coats 0.72 gal; 500 ft²/gal is 3.2 mil wet (1604 / 500)."""
    job = job_of("floor: [varnish floor: {coats: 3}]")
    assert used(job, "waterborne-polyurethane-floor") == pytest.approx(0.72 * GAL)


def test_what_is_taped_off_is_bought_once() -> None:
    """Two colours over one another along 44 ft, nothing else to tape but the floor line of 44 ft: 88 ft."""
    colours = """\
colours:
  low: {on: panel, material: acrylic-latex-wall-paint, coats: 1}
  high: {on: walls, material: acrylic-latex-wall-paint, coats: 1}
"""
    job = job_of("panel: {up to: 3 ft, do: prime}\nwalls: prime", colours)
    assert used(job, "masking tape") == pytest.approx(88 * FT)


def test_a_round_section_is_pi_quarters_of_the_square() -> None:
    assert CARTRIDGE / 1000 / (pi / 4 * (0.25 * IN) ** 2) / FT == pytest.approx(30.9, abs=0.05)


def test_a_hand_written_step_says_what_it_uses() -> None:
    steps = "steps: {glue: {work: 1 h, uses: {pva wood glue: 250 ml, dowel: 12, edge strip: 14 ft}}}"
    uses = {use.what: (use.amount, use.unit) for use in step_of(job_of("walls: prime", steps), "glue").uses}
    assert uses["pva wood glue"] == (pytest.approx(0.25), "L")
    assert uses["dowel"] == (12, "piece")
    assert uses["edge strip"] == (pytest.approx(14 * FT), "m")


def test_compound_for_a_dent_tapers_to_nothing() -> None:
    """5 % of 352 ft² of wall, 1/16 in deep in the middle: a cone has a third of its height (geometry)."""
    area = 0.05 * 352 * FT**2
    assert used(job_of("walls: patch"), "setting-type-compound-45") == pytest.approx(area * IN / 16 / 3 * 1000)


def test_a_ceiling_is_not_taped_against_walls_that_are_painted_after_it() -> None:
    """The tape along 44 ft of its edge is put on once: on the new ceiling, for the colour of the walls."""
    white = "white: {on: ceiling, material: acrylic-latex-ceiling-paint, coats: 2}"
    moss = "moss: {on: walls, material: acrylic-latex-wall-paint, coats: 2}"
    alone = used(job_of("ceiling: prime", f"colours:\n  {white}\n"), "masking tape")
    both = used(job_of("ceiling: prime\nwalls: prime", f"colours:\n  {white}\n  {moss}\n"), "masking tape")
    assert alone == pytest.approx(44 * FT)
    assert both == pytest.approx(88 * FT)  # the floor line of the walls, and their line to the ceiling
