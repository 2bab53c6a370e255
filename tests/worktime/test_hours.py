"""From rules on the wall clock to windows in elapsed minutes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from scheduler.model.basics import Span
from scheduler.model.byhand import HandMove
from scheduler.model.hours import Window
from scheduler.model.job import Hours
from scheduler.worktime import windows
from tests.support.builders import SATURDAY, SUNDAY, away, hours, job, local, minute, quiet

WEEKEND = ("2027-01-09", "2027-01-11")
"""A Saturday and a Sunday."""


def plan_hours(
    *rules: Hours,
    span: tuple[str, str] = WEEKEND,
    zone: str = "UTC",
    busy: Iterable[tuple[str, str]] = (),
    **more: Any,
) -> tuple[Window, ...]:
    bounds = Span(minute(span[0], zone), minute(span[1], zone))
    taken = tuple(Span(minute(a, zone), minute(b, zone)) for a, b in busy)
    return windows(job(zone=zone, hours=rules, **more), bounds, ZoneInfo(zone), taken)


def said(found: Iterable[Window], zone: str = "UTC") -> list[str]:
    """Windows in words: "01-09 08:30-12:00 2" and "q" when quiet."""
    return [
        f"{local(w.start, zone)[5:]}-{local(w.end, zone)[11:]} {w.people}{' q' if w.quiet else ''}" for w in found
    ]


def test_a_rule_holds_on_its_weekdays_only() -> None:
    found = plan_hours(hours("8:30", "17:00", on=[SATURDAY]), span=("2027-01-04", "2027-01-18"))
    assert said(found) == ["01-09 08:30-17:00 1", "01-16 08:30-17:00 1"]
    assert [w.session for w in found] == [1, 2]
    assert [w.day for w in found] == [date(2027, 1, 9), date(2027, 1, 16)]


def test_a_rule_holds_from_its_first_to_its_last_day_both_included() -> None:
    rule = hours("8:00", "9:00", first=date(2027, 1, 9), last=date(2027, 1, 10))
    assert said(plan_hours(rule, span=("2027-01-01", "2027-02-01"))) == ["01-09 08:00-09:00 1", "01-10 08:00-09:00 1"]


def test_where_rules_overlap_the_larger_number_of_people_holds() -> None:
    """One person from 8 to 17, two from 10 to 12: people do not add up to three."""
    found = plan_hours(hours("8:00", "17:00", on=[SATURDAY]), hours("10:00", "12:00", on=[SATURDAY], people=2))
    assert said(found) == ["01-09 08:00-10:00 1", "01-09 10:00-12:00 2", "01-09 12:00-17:00 1"]
    assert {w.session for w in found} == {1}


def test_the_order_of_the_rules_does_not_matter() -> None:
    rules = [
        hours("8:00", "17:00", breaks=["12:00-13:00"]),
        hours("9:00", "18:00", on=[SATURDAY], people=3, quiet=True),
        hours("11:30", "12:30", people=2),
    ]
    assert plan_hours(*rules) == plan_hours(*reversed(rules))


def test_equal_rules_that_touch_make_one_window() -> None:
    found = plan_hours(hours("8:00", "10:00", on=[SATURDAY]), hours("10:00", "12:00", on=[SATURDAY]))
    assert said(found) == ["01-09 08:00-12:00 1"]


def test_nobody_works_in_the_break_but_the_session_goes_on() -> None:
    found = plan_hours(hours("8:30", "17:00", on=[SATURDAY], breaks=["12:00-12:45"]), set_up=15, clear_up=20)
    assert said(found) == ["01-09 08:30-12:00 1", "01-09 12:45-17:00 1"]
    assert {(w.session, local(w.work_start), local(w.work_end)) for w in found} == {
        (1, "2027-01-09 08:45", "2027-01-09 16:40")
    }


def test_a_break_is_a_break_of_its_own_rule() -> None:
    """The helper of the second rule works on through the noon of the first."""
    found = plan_hours(
        hours("8:00", "16:00", on=[SATURDAY], people=2, breaks=["12:00-13:00"]),
        hours("10:00", "14:00", on=[SATURDAY]),
    )
    assert said(found) == ["01-09 08:00-12:00 2", "01-09 12:00-13:00 1", "01-09 13:00-16:00 2"]


def test_a_gap_between_rules_that_is_no_break_ends_the_session() -> None:
    found = plan_hours(hours("8:00", "12:00", on=[SATURDAY]), hours("13:00", "17:00", on=[SATURDAY]), set_up=10)
    assert [(w.session, local(w.work_start)[11:]) for w in found] == [(1, "08:10"), (2, "13:10")]


def test_a_window_is_cut_where_quiet_begins_and_ends() -> None:
    found = plan_hours(hours("18:00", "22:00", on=[SATURDAY]), quiet=(quiet("20:00", "21:00"),))
    assert said(found) == ["01-09 18:00-20:00 1", "01-09 20:00-21:00 1 q", "01-09 21:00-22:00 1"]
    assert {w.session for w in found} == {1}


def test_quiet_hours_past_midnight_begin_on_their_weekday() -> None:
    """Saturday 22:00 to 7:00 hushes Sunday morning, but not Saturday morning or Sunday night."""
    found = plan_hours(hours("6:00", "23:00"), quiet=(quiet("22:00", "7:00", on=[SATURDAY]),))
    assert said(found) == [
        "01-09 06:00-22:00 1",
        "01-09 22:00-23:00 1 q",
        "01-10 06:00-07:00 1 q",
        "01-10 07:00-23:00 1",
    ]


def test_quiet_holds_where_any_of_the_overlapping_rules_is_quiet() -> None:
    found = plan_hours(hours("8:00", "12:00", on=[SATURDAY]), hours("11:00", "13:00", on=[SATURDAY], quiet=True))
    assert said(found) == ["01-09 08:00-11:00 1", "01-09 11:00-13:00 1 q"]


def test_days_away_are_taken_out_both_ends_included() -> None:
    found = plan_hours(
        hours("8:00", "9:00"), span=("2027-01-07", "2027-01-13"), away=(away("2027-01-08", "2027-01-11"),)
    )
    assert said(found) == ["01-07 08:00-09:00 1", "01-12 08:00-09:00 1"]


def test_busy_spans_are_taken_out_and_part_the_session() -> None:
    found = plan_hours(
        hours("8:00", "17:00", on=[SATURDAY]), busy=[("2027-01-09 10:00", "2027-01-09 11:00")], set_up=15
    )
    assert said(found) == ["01-09 08:00-10:00 1", "01-09 11:00-17:00 1"]
    assert [w.session for w in found] == [1, 2]


def test_a_busy_span_inside_the_break_does_not_part_the_session() -> None:
    rule = hours("8:00", "17:00", on=[SATURDAY], breaks=["12:00-13:00"])
    inside = plan_hours(rule, busy=[("2027-01-09 12:15", "2027-01-09 12:45")])
    longer = plan_hours(rule, busy=[("2027-01-09 12:15", "2027-01-09 13:15")])
    assert [w.session for w in inside] == [1, 1]
    assert [w.session for w in longer] == [1, 2]


def test_busy_spans_may_overlap_and_come_in_any_order() -> None:
    spans = [
        ("2027-01-09 15:00", "2027-01-10 08:30"),
        ("2027-01-09 09:00", "2027-01-09 10:00"),
        ("2027-01-09 09:30", "2027-01-09 09:45"),
    ]
    found = plan_hours(hours("8:00", "17:00"), busy=spans)
    assert said(found) == ["01-09 08:00-09:00 1", "01-09 10:00-15:00 1", "01-10 08:30-17:00 1"]


def hand_move(was: tuple[str, str], now: tuple[str, str], people: int = 1) -> HandMove:
    spans = (Span(*(minute(text) for text in pair)) for pair in (was, now))
    return HandMove(uid="session", was=next(spans), now=next(spans), people=people)


def test_a_session_moved_by_hand_takes_its_hours_along() -> None:
    """Saturday's session is on Sunday evening now, where there were no hours, with both people."""
    move = hand_move(("2027-01-09 08:30", "2027-01-09 12:00"), ("2027-01-10 18:00", "2027-01-10 20:00"), people=2)
    rule = hours("8:30", "12:00", on=[SATURDAY, SUNDAY])
    assert said(plan_hours(rule, moves=(move,))) == ["01-10 08:30-12:00 1", "01-10 18:00-20:00 2"]


def test_a_session_moved_by_hand_within_its_hours_leaves_nothing_around_it() -> None:
    move = hand_move(("2027-01-09 08:30", "2027-01-09 17:00"), ("2027-01-09 10:00", "2027-01-09 12:00"))
    assert said(plan_hours(hours("8:30", "17:00", on=[SATURDAY]), moves=(move,))) == ["01-09 10:00-12:00 1"]


def test_on_a_day_away_only_what_was_moved_there_counts() -> None:
    move = hand_move(("2027-01-09 08:30", "2027-01-09 12:00"), ("2027-01-10 18:00", "2027-01-10 20:00"))
    found = plan_hours(hours("8:30", "12:00"), moves=(move,), away=(away("2027-01-10"),))
    assert said(found) == ["01-10 18:00-20:00 1"]


def test_quiet_hours_and_busy_spans_hold_for_what_was_moved_too() -> None:
    move = hand_move(("2027-01-09 08:30", "2027-01-09 12:00"), ("2027-01-10 18:00", "2027-01-10 22:00"))
    found = plan_hours(
        hours("8:30", "12:00", on=[SATURDAY]),
        moves=(move,),
        quiet=(quiet("20:00", "8:00"),),
        busy=[("2027-01-10 18:30", "2027-01-10 19:00")],
    )
    assert said(found) == ["01-10 18:00-18:30 1", "01-10 19:00-20:00 1", "01-10 20:00-22:00 1 q"]


def test_what_was_moved_past_midnight_is_a_session_of_each_day() -> None:
    move = hand_move(("2027-01-09 08:30", "2027-01-09 12:00"), ("2027-01-09 22:00", "2027-01-10 02:00"))
    found = plan_hours(hours("8:30", "12:00", on=[SATURDAY]), moves=(move,))
    assert said(found) == ["01-09 22:00-00:00 1", "01-10 00:00-02:00 1"]


def test_windows_are_clipped_to_the_span_and_set_up_again_from_there() -> None:
    found = plan_hours(hours("8:00", "17:00"), span=("2027-01-09 10:00", "2027-01-10 12:00"), set_up=15, clear_up=20)
    assert said(found) == ["01-09 10:00-17:00 1", "01-10 08:00-12:00 1"]
    assert local(found[0].work_start) == "2027-01-09 10:15"
    assert local(found[1].work_end) == "2027-01-10 11:40"


def test_an_empty_span_has_no_windows() -> None:
    assert plan_hours(hours(), span=("2027-01-09", "2027-01-09")) == ()


def test_a_morning_that_is_too_short_takes_no_afternoon_away() -> None:
    """Of the 35 minutes from 8:00 on nothing is left; the afternoon is session 1, and so is Sunday's morning 2."""
    saturday = (hours("8:00", "8:35", on=[SATURDAY]), hours("13:00", "17:00", on=[SATURDAY]))
    found = plan_hours(*saturday, hours("9:00", "12:00", on=[SUNDAY]), set_up=15, clear_up=20)
    assert said(found) == ["01-09 13:00-17:00 1", "01-10 09:00-12:00 1"]
    assert [window.session for window in found] == [1, 2]


def test_a_session_that_set_up_and_clear_up_would_fill_is_left_out() -> None:
    """35 minutes go for setting up and clearing up: an evening of 35 minutes is none, of 36 has one minute."""
    assert plan_hours(hours("19:00", "19:35", on=[SATURDAY]), set_up=15, clear_up=20) == ()
    (window,) = plan_hours(hours("19:00", "19:36", on=[SATURDAY]), set_up=15, clear_up=20)
    assert (local(window.work_start), local(window.work_end)) == ("2027-01-09 19:15", "2027-01-09 19:16")


def test_nobody_sets_up_or_clears_up_in_the_break() -> None:
    """Ten minutes before the break and twenty after it: a set-up of 15 minutes is done 5 minutes after the break."""
    found = plan_hours(hours("11:50", "13:20", on=[SATURDAY], breaks=["12:00-13:00"]), set_up=15, clear_up=5)
    assert {(local(w.work_start)[11:], local(w.work_end)[11:]) for w in found} == {("13:05", "13:15")}


def test_hours_to_midnight_end_at_midnight_and_the_next_day_is_another_session() -> None:
    found = plan_hours(hours("20:00", "24:00", on=[SATURDAY]), hours("0:00", "2:00", on=[SUNDAY]), set_up=10)
    assert said(found) == ["01-09 20:00-00:00 1", "01-10 00:00-02:00 1"]
    assert found[0].end == found[1].start
    assert [(w.session, w.day.day) for w in found] == [(1, 9), (2, 10)]


# Changes of clocks. The expected moments come from zoneinfo by way of UTC arithmetic.


def utc(text: str, zone: str) -> int:
    moment = datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone)).astimezone(ZoneInfo("UTC"))
    return int(moment.timestamp()) // 60


def test_a_saturday_from_half_past_eight_is_half_past_eight_before_and_after_clocks_go_forward() -> None:
    """America/Denver goes forward on Sunday 2027-03-14: a week of elapsed time has 167 hours there."""
    zone = "America/Denver"
    before, after = plan_hours(hours("8:30", "17:00", on=[SATURDAY]), span=("2027-03-12", "2027-03-22"), zone=zone)
    assert before.start == utc("2027-03-13 08:30", zone)
    assert after.start == utc("2027-03-20 08:30", zone)
    assert after.start - before.start == 167 * 60
    assert before.end - before.start == after.end - after.start == 8.5 * 60


def test_a_saturday_from_half_past_eight_is_half_past_eight_before_and_after_clocks_go_back() -> None:
    """America/Denver goes back on Sunday 2027-11-07: a week of elapsed time has 169 hours there."""
    zone = "America/Denver"
    before, after = plan_hours(hours("8:30", "17:00", on=[SATURDAY]), span=("2027-11-05", "2027-11-15"), zone=zone)
    assert before.start == utc("2027-11-06 08:30", zone)
    assert after.start == utc("2027-11-13 08:30", zone)
    assert after.start - before.start == 169 * 60


def test_a_window_over_the_change_has_an_hour_less_in_spring_and_an_hour_more_in_autumn() -> None:
    """Midnight to six on the wall: 5 hours on 2027-03-28 and 7 hours on 2027-10-31 in Europe/Berlin."""
    zone = "Europe/Berlin"
    for day, next_day, length in (("2027-03-28", "2027-03-29", 5), ("2027-10-31", "2027-11-01", 7)):
        (window,) = plan_hours(hours("0:00", "6:00", on=[SUNDAY]), span=(day, next_day), zone=zone)
        assert window.end - window.start == length * 60
        assert window.start == utc(f"{day} 00:00", zone)
        assert window.end == utc(f"{day} 06:00", zone)


def test_quiet_hours_and_breaks_are_on_the_clock_on_the_wall_too() -> None:
    zone = "Europe/Berlin"
    found = plan_hours(
        hours("0:00", "6:00", on=[SUNDAY], breaks=["4:00-5:00"]),
        span=("2027-03-28", "2027-03-29"),
        zone=zone,
        quiet=(quiet("22:00", "3:30"),),
    )
    assert said(found, zone) == ["03-28 00:00-03:30 1 q", "03-28 03:30-04:00 1", "03-28 05:00-06:00 1"]
    assert [w.end - w.start for w in found] == [150, 30, 60]


def test_hours_that_the_change_of_clocks_swallows_give_no_window() -> None:
    """On 2027-03-28 in Berlin 2:30 is read as 3:30 (RFC 5545, 3.3.5), which is past 3:15."""
    assert plan_hours(hours("2:30", "3:15"), span=("2027-03-28", "2027-03-29"), zone="Europe/Berlin") == ()


def test_hours_to_midnight_reach_midnight_where_clocks_change_at_midnight() -> None:
    """Asia/Beirut goes forward at midnight: 2027-03-28 begins at 1:00, and Saturday still ends there."""
    zone = "Asia/Beirut"
    saturday, sunday = plan_hours(hours("22:00", "24:00"), span=("2027-03-27", "2027-03-29"), zone=zone)
    assert saturday.end - saturday.start == 120
    assert local(saturday.end, zone) == "2027-03-28 01:00"
    assert sunday.start == utc("2027-03-28 22:00", zone)


clock_times = st.integers(0, 24 * 4).map(lambda quarter: quarter * 15)


@st.composite
def rules(draw: st.DrawFn) -> Hours:
    start, end = sorted(draw(st.lists(clock_times, min_size=2, max_size=2, unique=True)))
    pause = sorted(draw(st.lists(clock_times, min_size=2, max_size=2, unique=True)))
    return Hours(
        weekdays=draw(st.frozensets(st.integers(0, 6), min_size=1)),
        start=start,
        end=end,
        people=draw(st.integers(1, 3)),
        quiet=draw(st.booleans()),
        breaks=((pause[0], pause[1]),) if draw(st.booleans()) else (),
    )


@given(st.lists(rules(), min_size=1, max_size=4), st.sampled_from(["2027-03-12", "2027-06-12", "2027-11-05"]))
def test_minute_by_minute_the_windows_say_what_the_rules_say(given_rules: list[Hours], first: str) -> None:
    """Ask the rules themselves at every quarter of an hour of three days, by the clock on the wall."""
    zone = "America/Denver"
    last = (date.fromisoformat(first) + timedelta(days=3)).isoformat()
    found = plan_hours(*given_rules, span=(first, last), zone=zone)
    for moment in range(minute(first, zone), minute(last, zone), 15):
        wall = datetime.fromtimestamp(moment * 60, ZoneInfo(zone))
        if wall.hour in (1, 2, 3) and wall.date() in (date(2027, 3, 14), date(2027, 11, 7)):
            continue  # the hours of the change themselves are told apart in the tests above
        at = wall.hour * 60 + wall.minute
        there = [
            rule
            for rule in given_rules
            if wall.weekday() in rule.weekdays
            and rule.start <= at < rule.end
            and not any(start <= at < end for start, end in rule.breaks)
        ]
        open_now = [w for w in found if w.start <= moment < w.end]
        assert [(w.people, w.quiet) for w in open_now] == (
            [(max(rule.people for rule in there), any(rule.quiet for rule in there))] if there else []
        )


@given(st.integers(1, 8), st.dates(date(2027, 1, 1), date(2027, 3, 1)), st.integers(0, 400))
def test_hours_of_every_so_many_weeks_hold_on_the_days_that_are_so_far_apart(
    every: int, since: date, days: int
) -> None:
    """Of one weekday, the first on or after the Monday of `since`: every 7 × n days from there, and on no other."""
    rule = replace(hours("9:00", "17:00", [since.weekday()]), every=every, counted_from=since, first=since)
    day = since + timedelta(days=days)
    assert rule.holds_on(day) == (days % (7 * every) == 0)


def test_a_helper_comes_on_every_second_sunday() -> None:
    """From Sunday 10 January 2027 on: the 10th, the 24th, 7 February."""
    rule = replace(hours("10:00", "16:00", [6]), every=2, counted_from=date(2027, 1, 10), first=date(2027, 1, 10))
    span = ("2027-01-04", "2027-02-10")
    assert [words[:5] for words in said(plan_hours(rule, span=span))] == ["01-10", "01-24", "02-07"]
