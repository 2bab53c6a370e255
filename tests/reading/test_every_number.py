"""Every number of the profiles says where it comes from: times, exponents, activations, coverage, sizes and all."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML

from scheduler.reading.shipped import shipped_profiles

FILES = sorted(shipped_profiles().rglob("*.yaml"))
MATERIALS = [path for path in FILES if path.parent.name == "materials"]
PLAIN = ("title", "text", "group", "cautions", "clean_up", "based_on", "exposed", "room_closed_until")
TAGS = ("found", "secondary", "from memory", "computed", "common practice")


def mapping(path: Path) -> dict[str, Any]:
    data: dict[str, Any] = YAML(typ="safe").load(path.read_text(encoding="utf-8"))
    return data


def whole(path: Path) -> dict[str, Any]:
    """A family with what it takes from the one that it is based on."""
    data = mapping(path)
    base = data.pop("based_on", None)
    if base is None:
        return data
    below = whole(path.with_name(f"{base}.yaml"))
    return {**below, **data, "stages": {**below["stages"], **data.get("stages", {})}}


def numbers(value: object, at: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], str]]:
    """Where a number stands, and how it is written."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            if key not in ("source", "sources", *PLAIN):
                yield from numbers(inner, (*at, str(key)))
    elif isinstance(value, list):
        for inner in value:
            yield from numbers(inner, at)
    elif re.search(r"\d", str(value)):
        yield at, str(value)


def source_of(family: Mapping[str, Any], at: tuple[str, ...], written: str) -> str:
    """The source of a number of a family; "" if it has none.

    Exponents and activations are said once a family, each value by itself: `2: …`, `48 kJ/mol: …`.
    """
    apart = family.get("sources", {})
    if at[-1] in ("exponent", "activation"):
        said = apart.get(at[-1], "")
        return said if re.search(rf"(^|; ){re.escape(written)}: ", said) else ""
    if at[0] in ("reference", "covers"):
        return str(apart.get(at[0], ""))
    held = family[at[0]][at[1]] if at[0] == "stages" else family[at[0]]
    return str(held.get("source", ""))


@pytest.mark.parametrize("path", MATERIALS, ids=lambda path: path.stem)
def test_every_number_of_a_family_has_a_source_beside_it(path: Path) -> None:
    family = whole(path)
    bare = [(".".join(at), written) for at, written in numbers(family) if not source_of(family, at, written)]
    assert bare == []


@pytest.mark.parametrize("path", MATERIALS, ids=lambda path: path.stem)
def test_every_source_says_how_well_it_is_known(path: Path) -> None:
    """Read in print, in a page that quotes it, computed, remembered, or common practice."""
    family = whole(path)
    said = {source_of(family, at, written) for at, written in numbers(family)}
    assert [source for source in said if not any(tag in source for tag in TAGS)] == []


def test_a_number_without_a_source_would_be_noticed() -> None:
    """The look itself: an exponent that `sources` does not name, a size on a shelf, a stage without a word."""
    family = {
        "stages": {"touch": {"time": "1 h", "exponent": 2, "source": "a sheet (found)"}, "full": {"time": "7 days"}},
        "sold": {"us": ["1 gal"]},
        "sources": {"exponent": "1: evaporation (from memory)"},
    }
    bare = [".".join(at) for at, written in numbers(family) if not source_of(family, at, written)]
    assert bare == ["stages.touch.exponent", "stages.full.time", "sold.us"]


TAGGED = (*TAGS, "geometry", "practice")
WHOLE = ("steps", "options", "quantities", "gives", "wares", "rules", "kinds")
"""Names that hold nearly all of a file: a source of such a name would be one of everything, that is of nothing."""


def bare_numbers(data: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Each number of what is no family that has no source: neither beside it nor by a name that leads to it.

    What stands beside it is the `source` of the nearest thing that has one, the file itself apart: one source of a
    whole file says nothing of its numbers. By its name it may stand in `sources`, several names with commas.
    """
    named = {name.strip() for names in data.get("sources", {}) for name in str(names).split(",")} - set(WHOLE)

    def look(value: object, at: tuple[str, ...]) -> Iterator[tuple[str, str]]:
        if isinstance(value, Mapping):
            if at and "source" in value:
                return
            for key, inner in value.items():
                if key not in (*NO_NUMBERS, *named):
                    yield from look(inner, (*at, str(key)))
        elif isinstance(value, list):
            for inner in value:
                yield from look(inner, at)
        elif re.search(r"\d", str(value)):
            yield ".".join(at), str(value)

    yield from look(data, ())


NO_NUMBERS = ("source", "sources", "title", "text", "cautions", "material", "unit", "because", "unless", "names")
"""What holds words: a digit in them is a name (`setting-type-compound-45`, `m2`) or belongs to a sentence."""

OTHERS = [path for path in FILES if path.parent.name not in ("materials", "words") and path.name != "cautions.yaml"]
"""Words of another language say what these say: a number in them has its source there."""


@pytest.mark.parametrize("path", OTHERS, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_every_number_of_a_method_a_ware_and_tape_has_a_source(path: Path) -> None:
    assert list(bare_numbers(mapping(path))) == []


@pytest.mark.parametrize("path", OTHERS, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_every_source_of_such_a_number_says_how_well_it_is_known_and_names_something(path: Path) -> None:
    """Each source in a file, wherever it stands; and each name of `sources` is one of the file."""
    data = mapping(path)
    text = path.read_text(encoding="utf-8")

    def sources(value: object) -> Iterator[str]:
        if isinstance(value, Mapping):
            yield from (str(value[key]) for key in ("source",) if key in value)
            yield from map(str, value.get("sources", {}).values())
            for key, inner in value.items():
                yield from sources(inner) if key != "sources" else ()
        elif isinstance(value, list):
            for inner in value:
                yield from sources(inner)

    assert [said for said in sources(data) if not any(tag in said for tag in TAGGED)] == []
    for names in data.get("sources", {}):
        for name in names.split(","):
            assert len(re.findall(rf"\b{re.escape(name.strip())}\b", text)) > 1, name


def test_a_number_of_a_method_without_a_source_would_be_noticed() -> None:
    """The look itself: beside it, by its name, and neither."""
    method = {
        "source": "one page (found)",
        "learning": 2,
        "options": {"bead": {"length": "1/4 in"}, "gap": {"length": "1 in"}},
        "steps": {"cut": {"people": 2, "work": {"takes": ["1 h", "2 h"], "source": "a manual (found)"}}},
        "sources": {"learning, bead": "common practice, no source", "steps": "everything (from memory)"},
    }
    assert list(bare_numbers(method)) == [("options.gap.length", "1 in"), ("steps.cut.people", "2")]


def test_every_year_and_every_weight_of_a_caution_has_a_source() -> None:
    for caution in mapping(shipped_profiles() / "cautions.yaml")["cautions"]:
        assert re.search(r"[A-Za-z]", str(caution.get("source", "")))
        for region, year in caution.get("years", {}).items():
            assert any(tag in year["source"] for tag in TAGS), (caution["name"], region)
        assert "densities" not in caution or "from memory" in str(caution["source"]), caution["name"]


TITLED = re.compile(
    r"MIL-HDBK|UFC|UFGS|ASTM|ANSI|AWI|AS 3740|read 20\d\d-|Pigment & Resin|TDS-|same technical specifications"
)


@pytest.mark.parametrize("path", MATERIALS, ids=lambda path: path.stem)
def test_what_was_found_can_be_found_again(path: Path) -> None:
    """A claim of a material that was read in print names a title or a standard, or the day on which it was read."""
    claims = re.findall(r"([^;\n]*)\(found[,)]", path.read_text(encoding="utf-8"))
    assert [claim for claim in claims if not TITLED.search(claim)] == []
