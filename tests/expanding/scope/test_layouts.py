"""Battens at a spacing and sheets with their seams under battens, laid out by hand (inches)."""

from __future__ import annotations

import pytest

from scheduler.expanding.scope.layout import Field, Grid, battens, pieces, seam_run, sheets, spaces
from tests.support.scoped import job_of, quantity, step_of

IN = 0.0254
GRID = Grid(spacing=16 * IN, batten=2.5 * IN, sheet_width=48 * IN, sheet_height=96 * IN, rails=7 * IN)


def field(width: float, height: float = 40, *, ends: bool = True) -> Field:
    return Field(width * IN, height * IN, ends)


@pytest.mark.parametrize(
    ("width", "count"),
    [
        (98.5, 7),  # 98.5 − 2.5 = 96 = 6 spaces of 16 exactly, a batten at either end
        (99, 8),  # 96.5 / 16 = 6.03: 7 spaces, none wider than 16
        (18.5, 2),
        (30, 3),
    ],
)
def test_battens_stand_at_both_ends_and_no_further_apart_than_the_spacing(width: float, count: int) -> None:
    assert len(battens([field(width)], GRID)) == count
    assert spaces(field(width), GRID) == count - 1


def test_a_batten_is_as_long_as_the_panel_less_its_rails() -> None:
    """40 in panel, two rails of 3 1/2 in: 33 in."""
    assert battens([field(98.5)], GRID)[0] == pytest.approx(33 * IN)


def test_below_a_window_stand_short_battens_without_ends_of_their_own() -> None:
    """Window 48 in wide, 36 in over the floor: 48 / 16 = 3 spaces, 2 battens, 36 − 3 1/2 in (base rail) long."""
    lengths = battens([field(48, 36, ends=False)], GRID)
    assert [round(length / IN, 6) for length in lengths] == [32.5, 32.5]


def test_sheets_are_as_many_whole_spaces_wide_as_they_cover_so_that_seams_lie_under_battens() -> None:
    """48 in sheet, 16 in spacing: 3 spaces a piece. 6 spaces: 2 pieces, 1 seam. 7 spaces: 3 pieces, 2 seams."""
    assert pieces([field(98.5)], GRID) == [(pytest.approx(40 * IN), 2)]
    assert pieces([field(99)], GRID) == [(pytest.approx(40 * IN), 3)]
    assert seam_run([field(99)], GRID) == pytest.approx(2 * 40 * IN)


def test_a_spacing_that_does_not_divide_the_sheet_takes_narrower_pieces() -> None:
    """20 in spacing: 2 spaces of at most 20 = 40 in of a 48 in sheet. (98.5 − 2.5) / 20 = 4.8: 5 spaces, 3 pieces."""
    grid = Grid(20 * IN, 2.5 * IN, 48 * IN, 96 * IN, 0.0)
    assert pieces([field(98.5)], grid) == [(pytest.approx(40 * IN), 3)]


@pytest.mark.parametrize(
    ("height", "whole"),
    [
        (40, 1),  # two pieces of 40 in out of one sheet of 96
        (49, 2),  # one each
        (96, 2),
        (120, 3),  # 2 whole and 2 of 24 in, four of which come out of one sheet: 2 + 2/4
    ],
)
def test_low_pieces_come_several_out_of_one_sheet(height: float, whole: int) -> None:
    assert sheets([field(98.5, height)], GRID) == whole


def test_battens_and_sheets_of_a_measured_wall() -> None:
    """East wall 120 in, window 48 in wide at 36 in, panel to 60 in, spacing 16 in, battens 2 1/2, rails 3 1/2 in.

    Beside the window (120 − 48) / 2 = 36 in either side: (36 − 2.5) / 16 = 2.09: 3 spaces, 4 battens, 60 − 7 = 53 in.
    Below it 3 spaces, 2 battens, 36 − 3.5 = 32.5 in. Together 10 battens, 8 × 53 + 2 × 32.5 = 489 in.
    Sheets: one piece of 60 in each side (1 a sheet), one of 36 in (2 a sheet): 2.5, so 3.
    """
    window = "{window: {on: east wall, width: 4 ft, height: 4 ft, sill: 3 ft}}"
    job = job_of("panel: {on: east wall, up to: 60 in, do: [backer, rails and battens]}", openings=window)
    assert quantity(job, "panel", "battens") == 10
    assert quantity(job, "panel", "batten run") == pytest.approx(489 * IN)
    assert quantity(job, "panel", "sheets") == 3
    (boards,) = (use for use in step_of(job, "panel-cut-battens").uses if use.what == "batten board")
    assert sorted(round(length / IN, 3) for length in boards.lengths) == [32.5, 32.5, *[53] * 8]


def test_beside_a_window_as_wide_as_its_wall_stands_no_batten() -> None:
    """East wall 120 in, window from 36 in up, panel to 60 in: below it 120 / 16 = 7.5, so 8 spaces and 7 battens."""
    window = "{window: {on: east wall, width: 10 ft, height: 4 ft, sill: 3 ft}}"
    job = job_of("panel: {on: east wall, up to: 60 in, do: [backer, rails and battens]}", openings=window)
    assert quantity(job, "panel", "battens") == 7
    assert quantity(job, "panel", "batten run") == pytest.approx(7 * 32.5 * IN)


def test_holes_are_counted_by_the_spacing_of_the_nails() -> None:
    """West wall 120 in, panel 60 in: base and top rail 120 in each; 117.5 / 16 = 7.3: 8 spaces, 9 battens of 53 in.

    Two nails every 16 in: 2 × (120 + 120 + 477) / 16 = 89.6 holes.
    """
    job = job_of("panel: {on: west wall, up to: 60 in, do: [rails and battens, fill]}")
    assert quantity(job, "panel", "holes") == pytest.approx(2 * (120 + 120 + 9 * 53) / 16)
