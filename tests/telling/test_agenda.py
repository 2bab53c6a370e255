from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from scheduler.model.beware import Beware
from scheduler.model.message import as_written, message
from scheduler.model.plan import Bound
from scheduler.telling.text.agenda import agenda
from scheduler.wallclock import NEVER
from tests.support.plans import after, at, film, hobby_room, item, plan, step, with_step
from tests.telling.texts import HOSTILE, titles


def lines_of(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines()]


def after_line(text: str, opening: str) -> str:
    """The line below the one that begins so."""
    return next(below for line, below in pairwise(lines_of(text)) if line.startswith(opening))


def test_the_answer_comes_first() -> None:
    """Finish, use and cure, sessions and days, and how good the plan is, before anything else."""
    first = agenda(hobby_room()).split("\n\n")[0].replace("\n", " ")
    assert first.startswith("Hobby room: done on Saturday 23 January 2027 at 12:00.")
    assert "Usable Sunday 24 January 2027, 11:00; cured Sunday 14 February 2027, 11:00." in first
    # 2 h 30 + 2 h 40 + 2 h + 1 h + 1 h 30 + 3 h of steps
    assert "4 sessions on 4 days with 12 h 40 min of steps." in first
    assert "It is proven that no plan ends earlier." in first


def test_an_unproven_plan_says_by_how_much_it_might_be_beaten() -> None:
    """From Friday 18:30 to Saturday 12:00 are 17 h 30 min."""
    bound = Bound(finish_not_before=at("2027-01-22 18:30"), proven=False)
    text = agenda(replace(hobby_room(), bound=bound), width=200)
    assert "It might be beaten by 17 h 30 min at most: no plan ends before Friday 22 January, 18:30." in text


def test_weekends_and_evenings_have_their_own_headings() -> None:
    """16 January 2027 is a Saturday; 18 January is the Monday of the week of Wednesday 20 January."""
    headings = [line for line in lines_of(agenda(hobby_room())) if re.match(r"(Weekend|Evenings|Week) of", line)]
    assert headings == [
        "Weekend of 16 January 2027",
        "Evenings of the week of 18 January 2027",
        "Weekend of 23 January 2027",
    ]


def test_work_by_day_on_a_weekday_is_not_called_an_evening() -> None:
    text = agenda(plan(step("a", "2027-01-20 09:00 11:00")))
    assert "Week of 18 January 2027" in text
    assert "Evening" not in text


def test_a_week_across_the_turn_of_the_year_stays_one() -> None:
    """Saturday 2 January 2027 lies in ISO week 53 of 2026, whose Monday is 28 December 2026."""
    both = plan(
        step("a", "2026-12-29 18:00 19:00"), step("b", "2027-01-02 09:00 10:00"), as_of=at("2026-12-24 12:00")
    )
    text = agenda(both)
    assert text.index("Evenings of the week of 28 December 2026") < text.index("Weekend of 2 January 2027")


def test_a_step_that_goes_on_says_where_from_and_where_to() -> None:
    text = agenda(hobby_room())
    assert after_line(text, "11:00–12:00  Put up the shelves") == "part 1 of 2; part 2 Wednesday 20 January, 18:30"
    assert after_line(text, "18:30–20:00  Put up the shelves") == "part 2 of 2; part 1 Sunday 17 January, 11:00"


def test_a_step_says_what_it_waited_for_and_by_when_it_must_start() -> None:
    text = agenda(hobby_room())
    assert "waits for “Prime the walls”: ready for the next coat at 06:40" in text
    assert "start by Monday 18 January, 16:40, so that “Prime the walls” does not wait too long" in " ".join(
        lines_of(text)
    )


def test_the_end_of_a_window_is_said_by_what_is_over_then() -> None:
    """Tape that no longer comes off cleanly, a coat that can no longer be coated over."""
    link = after("prime-the-walls", "recoat", "2027-01-17 06:40", "2027-01-18 16:40")
    for window, said in (
        ("tape", "start by Monday 18 January, 16:40, while the tape still comes off cleanly"),
        ("coat", "start by Monday 18 January, 16:40, while “Prime the walls” can still be coated over"),
    ):
        found = with_step(hobby_room(), "first-coat-of-blue", after=(replace(link, window=window),))
        assert said in " ".join(lines_of(agenda(found)))


def test_a_window_that_was_missed_and_mended_is_not_told() -> None:
    """The scuff sand is in the plan because of it."""
    links = (after("prime-the-walls", "recoat", "2027-01-17 06:40", "2027-01-17 08:00"),)
    assert "start by" not in agenda(with_step(hobby_room(), "first-coat-of-blue", after=links))


def test_what_was_ready_long_ago_is_not_told() -> None:
    """The primer is ready on Sunday; work goes on that day. A step a week later did not wait for it."""
    late = step("late", "2027-01-30 09:00 10:00", after=(after("prime-the-walls", "recoat", "2027-01-17 06:40"),))
    before = hobby_room()
    text = agenda(plan(*before.steps, late))
    assert text.count("waits for “Prime the walls”") == 1


def test_what_dries_when_people_leave_and_until_when() -> None:
    text = " ".join(lines_of(agenda(hobby_room())))
    assert (
        "drying when you leave: “Prime the walls” (acrylic primer): no dust near it until 17:40; hands off "
        "until 18:20; no further coat until Sunday 17 January, 06:40" in text
    )
    assert (
        "until you are back, keep: Hobby room: 50 to 90 °F and below 85 % humidity, until Sunday 17 January" in text
    )


def test_what_is_dry_when_people_leave_is_not_named() -> None:
    """The blue coat is past touch at 12:30 and people leave at 15:15; what stays is the wait until it may be used."""
    sweep = step("sweep", "2027-01-17 14:00 15:00")
    text = " ".join(lines_of(agenda(plan(*hobby_room().steps, sweep))))
    assert "“First coat of blue” (latex paint): not to be used until Sunday 24 January, 11:00" in text


def test_every_caution_stands_at_its_step_and_in_full_once() -> None:
    """In a later session in a few words, which still name the danger and what protects from it."""
    dust, lift = "Dust: wear a fitted mask against the silica in it.", "Two people lift the board together."
    silica = Beware(dust, short="dust: mask on", name="silica")
    twice = plan(
        step("one", "2027-01-16 09:00 10:00", cautions=(silica, Beware(lift))),
        step(
            "two",
            "2027-01-16 10:00 11:00",
            "2027-01-16 12:00 13:00",
            cautions=(silica, Beware(lift), Beware("Mind the step.")),
        ),
        step("three", "2027-01-17 10:00 11:00", cautions=(silica,)),
    )
    lines = lines_of(agenda(twice))
    cautions = [line for line in lines if line.startswith("caution") or re.match(r"\d\d:", line)]
    assert cautions == [
        "08:45–09:00  set up",
        "09:00–10:00  One",
        f"caution: {dust}",
        f"caution: {lift}",
        "10:00–11:00  Two",
        "caution: Mind the step.",
        "caution as before: silica; Two people lift the …",
        "11:00–12:00  nothing to do yet",
        "12:00–13:00  Two",
        "13:00–13:15  clear up",
        "09:45–10:00  set up",
        "10:00–11:00  Three",
        "caution: dust: mask on",
        "11:00–11:15  clear up",
    ]


def test_only_the_last_of_several_waits_is_told() -> None:
    """It is the one that decides."""
    waits = (
        after("prime-the-walls", "recoat", "2027-01-17 06:40"),
        after("sand-the-filler", "end", "2027-01-17 07:40"),
    )
    second = step("second", "2027-01-17 12:00 13:00", after=waits)
    text = agenda(plan(*hobby_room().steps, second))
    assert "waits for “Sand the filler”: has had its time at 07:40" in text
    assert text.count("waits for “Prime the walls”") == 1


def test_a_break_is_told_from_time_in_which_nothing_can_be_done() -> None:
    """The hours stop from 12:00 to 12:45; from 14:00 to 15:00 somebody is there and waits."""
    pieces = ("2027-01-16 09:00 12:00", "2027-01-16 12:45 14:00", "2027-01-16 15:00 16:00")
    whole = plan(step("a", *pieces))
    (day,) = whole.windows
    halves = (replace(day, end=at("2027-01-16 12:00")), replace(day, start=at("2027-01-16 12:45")))
    lines = lines_of(agenda(replace(whole, windows=halves)))
    assert "12:00–12:45  break" in lines
    assert "14:00–15:00  nothing to do yet" in lines


def test_nobody_sets_up_or_clears_up_in_the_break() -> None:
    """Work until 12:00, a break until 12:45, and 20 minutes to clear up that begin after it; so for setting up."""
    morning = plan(step("a", "2027-01-16 09:00 12:00"))
    (day,), (session,) = morning.windows, morning.sessions
    halves = (
        replace(day, start=at("2027-01-16 08:30"), end=at("2027-01-16 12:00")),
        replace(day, start=at("2027-01-16 12:45"), end=at("2027-01-16 13:05")),
    )
    longer = replace(session, start=at("2027-01-16 08:30"), end=at("2027-01-16 13:05"))
    lines = lines_of(agenda(replace(morning, windows=halves, sessions=(longer,))))
    assert [line for line in lines if line.endswith(("set up", "break", "clear up"))] == [
        "08:30–09:00  set up",
        "12:00–12:45  break",
        "12:45–13:05  clear up",
    ]
    afternoon = plan(step("a", "2027-01-16 12:55 14:00"))
    parts = (halves[0], replace(halves[1], end=at("2027-01-16 14:15")))
    early = replace(afternoon.sessions[0], start=at("2027-01-16 11:50"))
    lines = lines_of(agenda(replace(afternoon, windows=parts, sessions=(early,))))
    assert [line for line in lines if line.endswith(("set up", "break", "clear up"))] == [
        "11:50–12:00  set up",
        "12:00–12:45  break",
        "12:45–12:55  set up",
        "14:00–14:15  clear up",
    ]


def test_stages_reached_together_are_told_together_and_rooms_once() -> None:
    layer = film(
        {"touch": "2027-01-16 18:00", "dust_free": "2027-01-16 18:00"},
        limits_said="50 °F or more",
        hold_until="touch",
    )
    other = film({"touch": "2027-01-16 19:00"}, limits_said="50 °F or more", hold_until="touch")
    both = plan(step("a", "2027-01-16 14:00 15:00", film=layer), step("b", "2027-01-16 15:00 16:00", film=other))
    text = " ".join(lines_of(agenda(both)))
    assert "“A” (acrylic primer): no dust near it and hands off until 18:00" in text
    assert text.count("50 °F or more") == 1
    assert "Hobby room: 50 °F or more, until 19:00" in text


def test_people_are_named_where_two_are_needed() -> None:
    assert "09:00–12:00  Hang the doors (two people)" in agenda(hobby_room())
    assert "09:00–11:30  Sand the filler\n" in agenda(hobby_room())


def test_rooms_are_named_only_where_there_are_several() -> None:
    other = step("sweep", "2027-01-16 17:00 17:30", room="hall", room_title="Hall")
    assert "17:00–17:30  Sweep (Hall)" in agenda(plan(*hobby_room().steps, other))


def test_an_order_day_that_has_passed_is_shouted() -> None:
    """The day itself is still in time; the day after is not, unless the item is there."""
    before = hobby_room()
    on_the_day = replace(before, as_of=at("2027-01-08 23:00"))
    day_after = replace(before, as_of=at("2027-01-09 00:00"))
    shout = "TO BE ORDERED BY FRIDAY 8 JANUARY: THAT DAY HAS PASSED."
    assert "order it by Friday 8 January" in agenda(on_the_day)
    assert shout not in agenda(on_the_day)
    assert shout in agenda(day_after)
    there = replace(before.items[0], arrived=date(2027, 1, 8))
    assert "PASSED" not in agenda(replace(day_after, items=(there,)))


def test_finish_chain_and_warnings_close_the_agenda() -> None:
    tail = agenda(hobby_room()).split("What holds up the end\n")[1]
    assert tail == (
        "  “Hang the doors” begins Saturday 23 January, 09:00. It starts as soon as the\n"
        "    work does.\n\n"
        "To bear in mind\n"
        "  The night to Sunday is colder than the range that the primer's figures cover.\n"
    )


def test_the_chain_names_the_waits_and_leaves_out_what_follows_at_once() -> None:
    a = step("a", "2027-01-16 09:00 10:00", held=message("held.first"))
    b = step("b", "2027-01-16 10:00 11:00", holder="a")
    c = step("c", "2027-01-17 09:00 10:00", holder="b", held=message("held.hours"))
    text = agenda(plan(a, b, c), width=100)
    assert text.split("What holds up the end\n")[1] == (
        "  “C” begins Sunday 17 January, 09:00. There is no earlier session.\n"
        "  “A” begins Saturday 16 January, 09:00. Nothing holds it: it is among the first.\n"
        "  The step between follows without a wait.\n"
    )


def test_a_job_under_way_shows_what_is_left() -> None:
    """Half of the shelves are up: 1 h 30 min to go, and three sessions are over or begun."""
    before = hobby_room()
    states = {"sand-the-filler": "done", "prime-the-walls": "done", "first-coat-of-blue": "done"}
    steps = tuple(replace(each, state=states.get(each.id, each.state)) for each in before.steps)
    steps = tuple(replace(each, state="under way") if each.id == "put-up-the-shelves" else each for each in steps)
    text = agenda(replace(before, steps=steps, as_of=at("2027-01-18 12:00")))
    assert "Done so far (3 steps): Sand the filler; Prime the walls; First coat of blue." in text
    assert "Under way: Put up the shelves, 1 h 30 min to go." in text
    assert "2 more sessions on 2 days with 4 h 30 min of steps." in text
    assert "Weekend of 16 January" not in text


def test_a_job_that_is_done_and_one_without_work() -> None:
    before = hobby_room()
    done = tuple(replace(each, state="done") for each in before.steps)
    assert "all of it is done, since Saturday 23 January 2027" in agenda(
        replace(before, steps=done, as_of=at("2027-01-24 12:00"))
    )
    assert agenda(plan()) == "Hobby room: there is nothing to do.\n"


def test_what_lies_beyond_the_known_air_is_said_and_not_dated() -> None:
    text = agenda(replace(hobby_room(), cured=NEVER))
    assert "cured later than can be reckoned" in text


@pytest.mark.parametrize("clock24", [True, False])
def test_a_night_in_which_clocks_change(clock24: bool) -> None:
    """New York, 14 March 2027: 02:00 EST becomes 03:00 EDT (second Sunday of March, 15 U.S.C. 260a)."""
    prime = step(
        "prime", "2027-03-13 20:00 21:00", film=film({"touch": "2027-03-14 03:30", "use": "2027-03-15 09:00"})
    )
    paint = step("paint", "2027-03-14 09:00 10:00")
    text = agenda(plan(prime, paint, as_of=at("2027-03-10 12:00"), clock24=clock24))
    shown = "03:30" if clock24 else "3:30 am"
    assert f"hands off until Sunday 14 March, {shown}" in " ".join(lines_of(text))


def test_colour_only_adds_signs_and_plain_text_has_none() -> None:
    before = hobby_room()
    colour = agenda(before, colour=True)
    assert "\x1b[" in colour
    assert re.sub(r"\x1b\[[0-9;]*m", "", colour) == agenda(before)
    assert "\x1b" not in agenda(before)


def test_the_same_plan_gives_the_same_text() -> None:
    assert agenda(hobby_room()) == agenda(hobby_room())


def test_ascii_for_terminals_without_signs() -> None:
    text = agenda(hobby_room(), ascii=True)
    assert text.isascii()
    assert "08:45-16:55" in text
    assert "50 to 90 deg F" in text


@settings(derandomize=True, max_examples=60, deadline=None)
@given(title=titles, width=st.integers(40, 120), clock24=st.booleans(), ascii=st.booleans())
def test_no_line_is_wider_than_asked_whatever_the_titles(title: str, width: int, clock24: bool, ascii: bool) -> None:  # noqa: A002
    before = with_step(
        hobby_room(),
        "prime-the-walls",
        title=title,
        cautions=(Beware(title),),
        held=as_written(title),
        room_title=title,
    )
    before = replace(before, job=title, warnings=(as_written(title),), clock24=clock24)
    before = replace(before, items=(*before.items, item("x", title=title, holds=("prime-the-walls",))))
    for line in agenda(before, width, ascii=ascii).splitlines():
        assert cell_len(line) <= width
        assert not re.search(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u202e]", line)


@pytest.mark.parametrize("title", HOSTILE)
@pytest.mark.parametrize("zone", ["America/New_York", "Europe/Berlin", "Asia/Kolkata"])
def test_eighty_columns_on_both_clocks_in_any_zone(title: str, zone: str) -> None:
    before = with_step(hobby_room(), "first-coat-of-blue", title=title)
    for clock24 in (True, False):
        text = agenda(replace(before, zone=zone, clock24=clock24))
        assert max(cell_len(line) for line in text.splitlines()) <= 80
