"""When a step was really worked on, rule by rule. Hours: Saturday 9:00-15:00 with a break from 12:00 to 12:30."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from scheduler.diary.pieces import worked
from scheduler.model.basics import Span
from scheduler.model.job import Job
from scheduler.worktime import windows
from tests.support.builders import SATURDAY, SUNDAY, hours, minute

JOB = Job(
    id="j",
    name="J",
    zone="UTC",
    start=0,
    metric=True,
    clock24=True,
    hours=(hours("9:00", "15:00", [SATURDAY], ["12:00-12:30"]), hours("10:00", "13:00", [SUNDAY])),
)
SAT, SUN = "2027-01-09", "2027-01-10"
HOURS = windows(JOB, Span(minute(SAT), minute("2027-01-11")), ZoneInfo("UTC"))


def span(day: str, start: str, end: str) -> Span:
    return Span(minute(f"{day} {start}"), minute(f"{day} {end}"))


def test_as_planned_it_has_the_pieces_of_the_plan() -> None:
    """It ended when the plan says: nobody has to say more."""
    planned = (span(SAT, "9:10", "10:00"), span(SUN, "10:10", "10:40"))
    assert worked(minute(f"{SUN} 10:40"), 80, planned=planned, windows=HOURS) == planned


def test_later_than_planned_it_was_worked_on_up_to_then() -> None:
    """One hour of work that ended at 11:30 began at 10:30."""
    planned = (span(SAT, "9:10", "10:10"),)
    assert worked(minute(f"{SAT} 11:30"), 60, planned=planned, windows=HOURS) == (span(SAT, "10:30", "11:30"),)


def test_work_that_can_pause_pauses_in_the_break() -> None:
    """90 minutes that ended at 13:00: half an hour after the break, an hour before it."""
    expected = (span(SAT, "11:00", "12:00"), span(SAT, "12:30", "13:00"))
    assert worked(minute(f"{SAT} 13:00"), 90, windows=HOURS) == expected


def test_work_in_one_piece_goes_through_the_break() -> None:
    """A wet edge does not wait: 90 minutes that ended at 13:00 began at 11:30."""
    assert worked(minute(f"{SAT} 13:00"), 90, windows=HOURS, can_pause=False) == (span(SAT, "11:30", "13:00"),)


def test_work_did_not_begin_before_what_it_follows_was_over() -> None:
    """Planned for an hour and done at 10:40, 50 minutes after what it follows: it took these 50 minutes."""
    expected = (span(SAT, "9:50", "10:40"),)
    assert worked(minute(f"{SAT} 10:40"), 60, windows=HOURS, since=minute(f"{SAT} 9:50")) == expected


def test_outside_of_hours_it_was_one_stretch() -> None:
    """Nobody is there at 20:00 by the hours, and yet it was done then: an hour up to it."""
    assert worked(minute(f"{SAT} 20:00"), 60, windows=HOURS) == (span(SAT, "19:00", "20:00"),)


def test_what_the_plan_had_in_earlier_sessions_is_taken_as_done_there() -> None:
    """50 of 80 minutes were planned for Saturday; it ended on Sunday at 11:30: the other 30 are just before that."""
    planned = (span(SAT, "9:10", "10:00"), span(SUN, "10:10", "10:40"))
    expected = (span(SAT, "9:10", "10:00"), span(SUN, "11:00", "11:30"))
    assert worked(minute(f"{SUN} 11:30"), 80, planned=planned, windows=HOURS) == expected


def test_what_was_recorded_before_stands() -> None:
    """40 minutes are on record until 10:40; of 100 an hour is left, and it ended at 11:00: only 20 minutes fit."""
    recorded = (span(SAT, "10:00", "10:40"),)
    expected = (*recorded, span(SAT, "10:40", "11:00"))
    assert worked(minute(f"{SAT} 11:00"), 100, recorded=recorded, windows=HOURS) == expected


def test_more_work_than_the_session_held_reaches_back_before_it() -> None:
    """Two hours that ended at 10:00, an hour after the hours began: they began an hour before them."""
    assert worked(minute(f"{SAT} 10:00"), 120, windows=HOURS) == (span(SAT, "8:00", "10:00"),)
