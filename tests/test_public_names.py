"""The public surface is small, sorted, and all there."""

from __future__ import annotations

import pkgutil
import subprocess
import sys
from collections.abc import Iterator
from importlib import import_module
from types import ModuleType

import pytest

import scheduler


def rooms() -> Iterator[ModuleType]:
    """Every package of the code, the whole of it first."""
    yield scheduler
    for found in pkgutil.walk_packages(scheduler.__path__, "scheduler."):
        if found.ispkg:
            yield import_module(found.name)


@pytest.mark.parametrize("room", list(rooms()), ids=lambda room: room.__name__)
def test_every_room_has_a_caption_and_sorted_names_that_are_there(room: ModuleType) -> None:
    """What lives in a room stands at its door; what it promises to others is there, said, and in its place."""
    assert room.__doc__
    names = list(getattr(room, "__all__", ()))
    assert names == sorted(names)
    assert all(hasattr(room, name) for name in names)


@pytest.mark.parametrize("name", scheduler.__all__)
def test_every_public_name_can_be_had(name: str) -> None:
    """What `__all__` promises can be imported, and says what it is."""
    assert getattr(scheduler, name).__doc__


def test_the_public_names_are_sorted_and_end_there() -> None:
    """A reader finds a name at its place; what is not promised is not there."""
    assert list(scheduler.__all__) == sorted(scheduler.__all__)
    with pytest.raises(AttributeError):
        _ = scheduler.no_such_name  # type: ignore[attr-defined]


def test_importing_the_package_loads_no_planner() -> None:
    """`tackfree --help` must not wait for what only a plan needs."""
    loaded = subprocess.run(
        [sys.executable, "-c", "import sys, scheduler.cli; print(*sorted(sys.modules))"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split()
    assert not {"networkx", "pydantic", "icalendar", "ruamel.yaml", "jinja2", "pint"} & set(loaded)
