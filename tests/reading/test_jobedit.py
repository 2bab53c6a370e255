"""A step more or less is a line more or less: all else of the file, comments and all, stays as it stands."""

from __future__ import annotations

import pytest

from scheduler.reading.jobedit import with_step, without_step
from scheduler.units import UnclearQuantityError

JOB = """\
job: A room   # mine
steps:
  # first things first
  sand: {work: 1 h}   # by hand
  paint:
    work: 2 h
    # two coats in one go

  last: {work: 10 min}
rooms:
  den: {}
"""


def test_a_step_comes_behind_the_one_that_it_follows() -> None:
    """Behind all that belongs to it; at the end of `steps` if that one stands elsewhere."""
    entry = "  block the stain: {work: 30 min, follows: [sand]}\n"
    fields = {"work": "30 min", "follows": "[sand]"}
    assert with_step(JOB, "block the stain", fields, "sand") == JOB.replace("# by hand\n", f"# by hand\n{entry}")
    assert with_step(JOB, "block the stain", fields, "paint") == JOB.replace("work: 2 h\n", f"work: 2 h\n{entry}")
    assert with_step(JOB, "block the stain", fields) == JOB.replace("rooms:", f"{entry}rooms:")


def test_a_file_without_steps_gets_them_at_its_end() -> None:
    assert with_step("job: A room\n", "look", {"work": "5 min"}) == "job: A room\n\nsteps:\n  look: {work: 5 min}\n"


def test_lines_end_as_they_did() -> None:
    assert "\n" not in with_step(JOB.replace("\n", "\r\n"), "look", {"work": "5 min"}).replace("\r\n", "")


def test_an_own_step_that_is_dropped_becomes_a_comment() -> None:
    """Nothing that a person wrote vanishes; taking the `# ` away brings it back."""
    assert without_step(JOB, "sand") == JOB.replace("  sand:", "  # sand:")
    assert without_step(JOB, "paint") == JOB.replace("  paint:\n    work", "  # paint:\n  #   work")


def test_a_step_of_a_method_that_is_dropped_stands_under_drop() -> None:
    assert without_step("job: A room\n", "walls-prime") == "job: A room\n\ndrop: [walls-prime]\n"
    assert without_step("drop: [one]   # not wanted\n", "two") == "drop: [one, two]   # not wanted\n"


def test_what_no_line_fits_into_is_said_with_what_to_write() -> None:
    with pytest.raises(UnclearQuantityError, match="`steps` stands in one line") as said:
        with_step("steps: {sand: {work: 1 h}}\n", "look", {"work": "5 min"})
    assert said.value.hint == "write this into it: `look: {work: 5 min}`"
    with pytest.raises(UnclearQuantityError, match="`drop` is no list in one line"):
        without_step("drop:\n  - one\n", "two")
