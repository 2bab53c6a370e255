"""Dry times for reading: the drawing, the table, and what stands below it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

import pytest
from rich.cells import cell_len

from scheduler.model.basics import STAGES, Span
from scheduler.model.clock import DryClock, StageClock
from scheduler.model.drytable import DryStage, DryTable
from scheduler.model.tradewords import LANGUAGES
from scheduler.telling.dates import face_of
from scheduler.telling.dry_words import between, length, short_moment
from scheduler.telling.text.dry_strip import strips
from scheduler.telling.words import PATTERNS, Words
from scheduler.wallclock import DAY, NEVER, at_local

DENVER = ZoneInfo("America/Denver")
FACE = face_of("America/Denver", True, "en")
START = at_local(date(2027, 1, 16), 16 * 60, DENVER)


def stage(name: str, minutes: int, start: int = START, known: int = 400 * DAY) -> DryStage:
    """A stage that an even clock, a reference minute a minute, reaches after so many minutes."""
    clock = StageClock(DryClock((start, start + known), (0.0, float(known))), minutes, "set", "none")
    there = clock.ready(start)
    return DryStage(stage=name, start=start, at=there, soonest=there, latest=there, reference=minutes, clock=clock)


def table(*stages: DryStage, start: int = START) -> DryTable:
    return DryTable(material="m", title="M", group="g", start=start, ratio=1.0, stages=stages)


def drawn(*stages: DryStage, unfit: tuple[Span, ...] = (), width: int = 80, plain: bool = False) -> list[str]:
    lines = list(strips(table(*stages, start=stages[0].start), unfit, Words(), FACE, width, plain))
    assert all(cell_len(line.first) <= width for line in lines)
    return [line.whole if line.text else line.first.rstrip() for line in lines]


def row(lines: list[str], name: str) -> str:
    return next(line for line in lines if line.startswith(name)).removeprefix(name).strip()


def test_a_sign_an_hour_grows_with_the_share_of_the_way() -> None:
    """Seven of eight hours are told by seven signs, each a step taller; the eighth is full."""
    assert row(drawn(stage("recoat", 8 * 60)), "recoat") == "▁▂▃▄▅▆▇█"


def test_ascii_tells_the_tenths() -> None:
    """After each of ten hours another tenth is done."""
    lines = drawn(stage("recoat", 10 * 60), plain=True)
    assert row(lines, "recoat") == "123456789#"
    assert all(line.isascii() for line in lines)


def test_columns_end_on_the_hour() -> None:
    """Laid at 16:40, 90 minutes: 20 of them by 17:00 (2/9 of the way), 80 by 18:00 (8/9), there by 18:10."""
    start = START + 40
    assert row(drawn(stage("touch", 90, start), plain=True), "touch") == "28#"


def test_the_labels_stand_over_their_hours() -> None:
    """From 16:00 on: 18:00 is the third column, midnight (the new day) the ninth, 6:00 the fifteenth."""
    label = drawn(stage("recoat", 30 * 60))[1][11:]
    assert [label.index(each) for each in ("18", "Sun", "06", "12")] == [2, 8, 14, 20]


def test_what_takes_longer_is_drawn_by_days() -> None:
    """Ten days from Saturday 16:00 end on the eleventh day that is begun."""
    lines = drawn(stage("touch", 60), stage("full", 10 * DAY))
    assert row(lines, "touch") == "█"
    assert len(row(lines, "full")) == 11 and row(lines, "full").endswith("▇█")
    assert [line[11:17] for line in lines if line.strip().startswith("16 Jan")] == ["16 Jan"]


def test_what_the_known_air_does_not_reach_goes_on() -> None:
    lines = drawn(stage("touch", 60), stage("full", 10 * DAY, known=5 * DAY))
    assert row(lines, "full").endswith(">") and "█" not in row(lines, "full")
    assert any("> not there within the air that is known." in line for line in lines)


@pytest.mark.parametrize("days", [1, 69, 200, 3000])
def test_no_line_is_wider_than_it_may_be(days: int) -> None:
    for width in (40, 80, 100):
        drawn(
            stage("touch", 60),
            stage("use", days * DAY // 3),
            stage("full", days * DAY, known=4000 * DAY),
            width=width,
        )


def test_hours_outside_the_limits_are_marked() -> None:
    """From 20:00 to 22:00, the fifth and the sixth column."""
    lines = drawn(stage("recoat", 8 * 60), unfit=(Span(START + 240, START + 360),))
    assert next(line for line in lines if line.startswith("not fit"))[11:] == "    !!"
    assert not any(line.startswith("not fit") for line in drawn(stage("recoat", 8 * 60)))


def test_a_night_in_which_clocks_go_forward_has_a_column_less() -> None:
    """From Saturday 13 March 2027, 20:00 in Denver, to noon on Sunday are 15 hours: 06 stands in column 9, not 10."""
    start = at_local(date(2027, 3, 13), 20 * 60, DENVER)
    label = drawn(stage("recoat", 20 * 60, start))[1][11:]
    assert (label.index("Sun"), label.index("06"), label.index("12")) == (4, 9, 15)


@pytest.mark.parametrize("lang", LANGUAGES)
def test_every_stage_has_a_meaning_that_fits_its_column(lang: str) -> None:
    said = {kind.partition(".")[2]: words for kind, words in PATTERNS[lang].items() if kind.startswith("means.")}
    assert set(said) == set(STAGES)
    assert max(map(len, said.values())) <= 17


@pytest.mark.parametrize(
    ("minutes", "said"),
    [(15, "0.25 h"), (60, "1.0 h"), (90, "1.5 h"), (47 * 60, "47.0 h"), (3 * DAY, "3.0 d"), (200 * DAY, "200 d")],
)
def test_lengths_are_hours_then_days(minutes: int, said: str) -> None:
    assert length(minutes) == said


def test_a_range_is_told_in_the_unit_of_its_middle() -> None:
    assert between(2 * 60, 4 * 60, 3 * 60) == "2.0–4.0"
    assert between(14 * DAY, 30 * DAY, 21 * DAY) == "14.0–30.0"
    assert between(60, NEVER, 120) == "1.0–?"


def test_a_moment_about_a_year_away_tells_its_year() -> None:
    assert short_moment(FACE, START + 60, START) == "Sat 16 Jan 17:00"
    assert short_moment(replace(FACE, clock24=False), START + 60, START) == "Sat 16 Jan 5:00 pm"
    assert short_moment(FACE, START + 365 * DAY, START) == "Sun 16 Jan 2028"
