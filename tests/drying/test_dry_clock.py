"""The dry clock is exact: it adds up, it inverts, and a night counts the hours that really pass."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from math import exp
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.drying.air import AirPiece, room_air
from scheduler.drying.clocks import build_clock
from scheduler.drying.laws import rate
from scheduler.model.basics import Span
from scheduler.model.clock import DryClock
from scheduler.model.job import AirPeriod
from scheduler.model.material import LAWS
from scheduler.wallclock import NEVER
from tests.drying.airs import constant_air
from tests.support.builders import local, minute, room

PIECES = st.lists(
    st.tuples(st.integers(1, 2000), st.floats(-5, 40), st.floats(0.0, 1.0)),
    min_size=1,
    max_size=25,
)


def laid_out(parts: list[tuple[int, float, float]], start: int = 0) -> list[AirPiece]:
    """Pieces one after the other, from (minutes, °C, humidity)."""
    pieces = []
    for length, temp, humidity in parts:
        pieces.append(AirPiece(start, start + length, temp, humidity))
        start += length
    return pieces


def clock_of(parts: list[tuple[int, float, float]], law: str) -> DryClock:
    return build_clock(laid_out(parts), law, 25, 0.5)


@given(parts=PIECES, law=st.sampled_from(tuple(LAWS)), cut=st.floats(0, 1))
def test_splitting_an_interval_anywhere_gives_the_same_total(
    parts: list[tuple[int, float, float]], law: str, cut: float
) -> None:
    clock = clock_of(parts, law)
    end = clock.knots[-1]
    at = round(cut * end)
    whole = clock.at(end) - clock.at(0)
    assert (clock.at(at) - clock.at(0)) + (clock.at(end) - clock.at(at)) == pytest.approx(whole, rel=1e-12, abs=1e-12)


@given(parts=PIECES, law=st.sampled_from(tuple(LAWS)), which=st.integers(0, 24), cut=st.floats(0.01, 0.99))
def test_cutting_a_piece_of_air_in_two_changes_nothing(
    parts: list[tuple[int, float, float]], law: str, which: int, cut: float
) -> None:
    """The same air told in more pieces is the same clock, at every minute of the longer table."""
    i = which % len(parts)
    length, temp, humidity = parts[i]
    first = max(1, min(length - 1, round(cut * length))) if length > 1 else length
    rest = [(length - first, temp, humidity)] if length > first else []
    cut_up = clock_of([*parts[:i], (first, temp, humidity), *rest, *parts[i + 1 :]], law)
    whole = clock_of(parts, law)
    for knot in cut_up.knots:
        assert cut_up.at(knot) == pytest.approx(whole.at(knot), rel=1e-12, abs=1e-9)


@given(parts=PIECES, law=st.sampled_from(tuple(LAWS)), start=st.integers(0, 20_000), amount=st.floats(0.01, 30_000))
def test_a_stage_inverted_and_integrated_again_gives_back_its_reference_time(
    parts: list[tuple[int, float, float]], law: str, start: int, amount: float
) -> None:
    """`ready` is the first whole minute with ∫ rate ≥ amount: enough at that minute, not enough one minute before.

    The integral is taken here minute by minute from the air and the law, without the table.
    """
    clock = clock_of(parts, law)
    ready = clock.ready(start, amount)
    begin = min(start, clock.knots[-1])
    speeds = [speed for length, temp, rh in parts for speed in [rate(law, temp, rh, 25, 0.5)] * length][begin:]
    if ready == NEVER:
        assert sum(speeds) < amount + 1e-5
        return
    assert sum(speeds[: ready - begin]) >= amount - 1e-5
    assert sum(speeds[: ready - begin - 1]) < amount + 1e-5


@given(parts=PIECES, law=st.sampled_from(tuple(LAWS)), start=st.integers(0, 20_000), amount=st.floats(1, 20_000))
def test_laid_later_is_never_ready_sooner(
    parts: list[tuple[int, float, float]], law: str, start: int, amount: float
) -> None:
    clock = clock_of(parts, law)
    assert clock.ready(start, amount) <= clock.ready(start + 1, amount)


@pytest.mark.parametrize("law", LAWS)
def test_at_the_reference_air_a_minute_is_a_minute(law: str) -> None:
    """240 reference minutes at 25 °C and 50 % are 240 minutes."""
    clock = build_clock(constant_air(25, 0.5, Span(1000, 9000)), law, 25, 0.5)
    assert clock.ready(1500, 240) == 1740


def test_unknown_air_stands_still() -> None:
    """An hour, a hole of an hour, an hour: 90 minutes' worth are done 30 minutes into the second piece."""
    clock = build_clock([AirPiece(0, 60, 25, 0.5), AirPiece(120, 180, 25, 0.5)], "set", 25, 0.5)
    assert clock.at(120) == clock.at(60) == 60
    assert clock.ready(0, 90) == 150


def test_nothing_is_ready_past_the_known_air() -> None:
    clock = build_clock(constant_air(25, 0.5, Span(0, 600)), "set", 25, 0.5)
    assert clock.ready(0, 600) == 600
    assert clock.ready(0, 601) == NEVER
    assert clock.ready(700, 1) == NEVER


def test_no_air_is_refused() -> None:
    with pytest.raises(ValueError, match="without any air"):
        build_clock([], "set", 25, 0.5)


@pytest.mark.parametrize(
    ("evening", "hours"), [("2027-03-13 20:00", 11), ("2027-03-20 20:00", 12), ("2027-11-06 20:00", 13)]
)
def test_a_film_dries_the_hours_that_really_pass_in_a_night_of_changing_clocks(evening: str, hours: int) -> None:
    """At the reference air the night from 20:00 to 08:00 counts 11, 12 or 13 hours.

    Counted apart, from Python's UTC arithmetic in New York (clocks change on 2027-03-14 and 2027-11-07).
    """
    zone = ZoneInfo("America/New_York")
    begin = datetime.fromisoformat(evening).replace(tzinfo=zone)
    morning = begin.replace(day=begin.day + 1, hour=8)
    passed = (morning.astimezone(UTC) - begin.astimezone(UTC)).total_seconds() / 60
    assert passed == hours * 60
    start, end = (int(moment.timestamp() // 60) for moment in (begin, morning))
    warm = AirPeriod(since=None, day_temp=40, night_temp=25, day_humidity=0.5, night_humidity=0.5)
    pieces = room_air(room(air=(warm,)), zone, Span(start - 1000, end + 1000)).pieces
    clock = build_clock(pieces, "film", 25, 0.5)
    assert clock.at(end) - clock.at(start) == pytest.approx(passed)


def test_a_night_at_50_moves_readiness_later_than_one_at_68() -> None:
    """A coat that needs 16 h at 77 °F (25 °C), laid at 16:40; day 68 °F (20 °C), night from 20:00 to 08:00.

    Speed by Arrhenius, 47 800 J/mol / 8.3145 J/(mol K) = 5749 K, against 25 °C = 298.15 K:
        20 °C: exp(5749 × (1/298.15 − 1/293.15)) = 0.7197;  10 °C: exp(5749 × (1/298.15 − 1/283.15)) = 0.3601.
    16:40 to 20:00 by day is 200 min × 0.7197 = 143.9 of the 960 that are needed; 816.1 are left.
    Night at 20 °C (68 °F): 816.1 / 0.7197 = 1133.8 min from 20:00 on, day and night alike: 14:54 on the next day.
    Night at 10 °C (50 °F): 720 × 0.3601 = 259.2 by 08:00, 720 × 0.7197 = 518.2 by 20:00; 816.1 − 259.2 − 518.2 = 38.6
    are left for the second night: 38.6 / 0.3601 = 107.2 min: 21:48 on the next day, almost seven hours later.
    """
    assert round(exp(5749 * (1 / 298.15 - 1 / 293.15)), 4) == 0.7197
    assert round(exp(5749 * (1 / 298.15 - 1 / 283.15)), 4) == 0.3601
    laid = minute("2027-01-09 16:40")
    pair = AirPeriod(since=None, day_temp=20, night_temp=20, day_humidity=0.5, night_humidity=0.5)
    ready = {}
    for night in (20.0, 10.0):
        pieces = room_air(
            room(air=(replace(pair, night_temp=night),)), ZoneInfo("UTC"), Span(laid, laid + 5000)
        ).pieces
        ready[night] = local(build_clock(pieces, "film", 25, 0.5).ready(laid, 960))
    assert ready == {20.0: "2027-01-10 14:54", 10.0: "2027-01-10 21:48"}
