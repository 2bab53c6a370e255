"""Stages that are one and the same: what is said of a film at one of them is said of it at the other.

Common practice, no source, but where it is named. A slip in the times of either shows; a slip in both alike does not,
and is what `second_table.csv` is for.
"""

from __future__ import annotations

from fnmatch import fnmatch

import pytest

from scheduler.model.material import Material
from scheduler.reading.profiles import read_trade

MATERIALS = {material.id: material for material in read_trade(None).materials}
ALIKE = {
    "what only loses water is dry through, whatever for": (
        ("washed-*", ("sand", "recoat", "paint_over", "use", "full")),
        ("drying-type-joint-compound", ("sand", "recoat", "paint_over", "use", "full")),
        ("setting-type-compound-*", ("paint_over", "use", "full")),
        ("grout-sealer", ("use", "full")),
    ),
    "what is damp on the face can be touched and handled": (
        ("washed-*", ("touch", "handle")),
        ("grout-sealer", ("touch", "handle")),
        ("*contact-cement", ("touch", "handle")),
    ),
    "what has set takes the next coat": (("setting-type-compound-*", ("touch", "recoat")),),
    "what can be sanded takes another layer of the same": (
        ("*-spackling", ("sand", "recoat")),
        ("*-wood-filler", ("sand", "recoat")),
        ("two-part-filler", ("sand", "recoat")),
        ("acrylic-bonding-primer", ("handle", "sand", "recoat")),
        ("latex-drywall-primer", ("handle", "sand", "recoat")),
        ("solvent-based-primer", ("handle", "sand", "recoat")),
        ("stain-blocking-waterborne-primer", ("handle", "sand")),
        ("waterborne-polyurethane*", ("handle", "sand", "recoat")),
        ("penetrating-oil*", ("touch", "handle", "sand", "recoat")),
    ),
    "paint is the use of what is filled": (
        ("*-spackling", ("paint_over", "use")),
        ("*-wood-filler", ("paint_over", "use")),
        ("two-part-filler", ("paint_over", "tape", "use")),
        ("epoxy-grout", ("paint_over", "use")),
        ("polyurethane-sealant", ("paint_over", "use")),
        ("liquid-waterproofing-membrane", ("paint_over", "use")),
    ),
    "a floor that is level is walked on, and takes what comes": (
        ("floor-levelling-compound", ("touch", "handle")),
        ("floor-levelling-compound", ("recoat", "paint_over", "use", "full")),
    ),
    "putty with a skin takes paint, and paint is its use": (
        ("glazing-putty", ("sand", "recoat", "paint_over", "use", "full")),
    ),
    "a coat holds on a primer until that is hard": (
        ("latex-drywall-primer", ("recoat_by", "full")),
        ("stain-blocking-waterborne-primer", ("recoat_by", "full")),
    ),
}
PAIRS = [
    pytest.param(name, stages, id=f"{name}-{'-'.join(stages)}")
    for groups in ALIKE.values()
    for pattern, stages in groups
    for name in MATERIALS
    if fnmatch(name, pattern)
]


def times(material: Material, name: str) -> tuple[int, int, int]:
    """Low, likely and high of a stage, in minutes."""
    stage = material.stage(name)
    assert stage is not None
    return stage.low, stage.typical, stage.high


@pytest.mark.parametrize(("name", "stages"), PAIRS)
def test_stages_that_are_one_take_as_long(name: str, stages: tuple[str, ...]) -> None:
    """Low, likely and high alike."""
    assert len({times(MATERIALS[name], stage) for stage in stages}) == 1


def test_dust_stops_clinging_when_a_finger_comes_away_clean() -> None:
    """A film dries from the face down: dust-free is minutes before dry to the touch at most (stages of ASTM D1640,
    from memory). An oil is wiped off and has no face of its own: dust-free comes first there."""
    for name, material in MATERIALS.items():
        if material.stage("dust_free") is not None and not name.startswith("penetrating-oil"):
            assert times(material, "dust_free") == times(material, "touch"), name


@pytest.mark.parametrize("floor", ["waterborne-polyurethane-floor", "oil-modified-polyurethane-floor"])
def test_a_finish_dries_on_a_floor_as_on_a_table(floor: str) -> None:
    """The same kind in the same thickness; only when it is walked on, and loaded, is a matter of floors."""
    table = MATERIALS[floor.removesuffix("-floor")]
    for stage in ("touch", "dust_free", "handle", "sand", "recoat", "recoat_by", "tape"):
        assert times(MATERIALS[floor], stage) == times(table, stage), stage


def test_compounds_that_set_dry_like_those_that_dry() -> None:
    """What is left of the water goes as from drying compound of the same depth (the guide of GA-216, from memory)."""
    dry = times(MATERIALS["drying-type-joint-compound"], "paint_over")
    for minutes in (20, 45, 90):
        assert times(MATERIALS[f"setting-type-compound-{minutes}"], "paint_over") == dry
