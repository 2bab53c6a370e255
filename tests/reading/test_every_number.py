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


@pytest.mark.parametrize(
    "path", [path for path in FILES if path not in MATERIALS], ids=lambda path: f"{path.parent.name}-{path.stem}"
)
def test_what_is_no_family_names_the_source_of_its_numbers_once_a_file_at_least(path: Path) -> None:
    data = mapping(path)
    entries = data.get("cautions") if path.name == "cautions.yaml" else [data]
    assert entries
    assert all(re.search(r"[A-Za-z]", str(entry.get("source", ""))) for entry in entries)
