"""The public surface is small, sorted, and all there."""

from __future__ import annotations

import subprocess
import sys

import pytest

import scheduler


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
