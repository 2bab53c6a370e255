from __future__ import annotations

from datetime import date, timedelta
from itertools import permutations

from scheduler.calendar.recognised import recognise
from scheduler.model.ledger import CalendarEvent, EventState, Exported, Ledger
from scheduler.model.sessions import SessionSlot, match_sessions
from scheduler.reading.returned import Returned

SAT, SUN, NEXT = date(2027, 1, 16), date(2027, 1, 17), date(2027, 1, 23)
WEEK = timedelta(days=7)


def slot(key: str, day: date, steps: str, start: int = 0, past: bool = False) -> SessionSlot:
    begins = (day - SAT).days * 1440 + start
    return SessionSlot(key, day, begins, begins + 60, frozenset(steps), past)


def test_the_work_comes_before_the_day() -> None:
    """Two sessions whose work changes places change places: each keeps its name."""
    old = [slot("sat", SAT, "ab"), slot("sun", SUN, "cd")]
    new = [slot("1", SAT, "cd"), slot("2", SUN, "ab")]
    assert match_sessions(old, new) == {"1": "sun", "2": "sat"}


def test_all_sessions_a_week_later_keep_their_names() -> None:
    """Also where one step goes through several sessions: the first of it is the first of it."""
    work = ["ab", "b", "b", "bc", "d", "d", "de"]
    old = [slot(f"old {n}", SAT + n * WEEK, steps) for n, steps in enumerate(work)]
    new = [slot(f"new {n}", SAT + (n + 1) * WEEK, steps) for n, steps in enumerate(work)]
    assert match_sessions(old, new) == {f"new {n}": f"old {n}" for n in range(len(work))}


def test_of_a_step_whose_first_session_took_place_the_others_keep_their_order() -> None:
    """Three sessions of one step, the first is over and gone from the plan; the two others come a week later."""
    old = [slot("1st", SAT, "a", past=True), slot("2nd", SUN, "a"), slot("3rd", NEXT, "a")]
    new = [slot("x", SUN + WEEK, "a"), slot("y", NEXT + WEEK, "a")]
    assert match_sessions(old, new) == {"x": "2nd", "y": "3rd"}


def test_a_session_moved_to_another_day_is_known_by_its_steps() -> None:
    old = [slot("sat", SAT, "ab"), slot("sun", SUN, "cd")]
    new = [slot("1", SAT, "ab"), slot("2", NEXT, "cde")]
    assert match_sessions(old, new) == {"1": "sat", "2": "sun"}


def test_without_a_shared_step_it_is_another_session() -> None:
    assert match_sessions([slot("sun", SUN, "cd")], [slot("1", NEXT, "ef")]) == {}


def test_of_two_on_a_day_those_that_share_most_then_the_nearest() -> None:
    old = [slot("morning", SAT, "ab", 480), slot("evening", SAT, "cd", 1080)]
    assert match_sessions(old, [slot("1", SAT, "d", 500)]) == {"1": "evening"}
    assert match_sessions(old, [slot("1", SAT, "x", 600)]) == {"1": "morning"}


def test_what_has_taken_place_stays_where_it_was() -> None:
    """The step goes on next week; the session of Saturday is not moved there, nor to that evening."""
    old = [slot("sat", SAT, "a", 480, past=True)]
    assert match_sessions(old, [slot("1", NEXT, "a")]) == {}
    assert match_sessions(old, [slot("1", SAT, "a", 1080)]) == {}
    assert match_sessions(old, [slot("1", SAT, "a", 490)]) == {"1": "sat"}


def test_the_order_of_the_lists_does_not_matter() -> None:
    old = [slot("x", SAT, "ab"), slot("y", SUN, "bc"), slot("z", NEXT, "b")]
    new = [slot("1", NEXT, "ab"), slot("2", date(2027, 1, 30), "b"), slot("3", SUN, "x")]
    first = match_sessions(old, new)
    for some in permutations(old):
        for others in permutations(new):
            assert match_sessions(some, others) == first
    assert first == {"1": "x", "2": "z", "3": "y"}


def test_a_calendar_kept_by_hand_has_rather_what_the_plan_has_than_what_was_withdrawn() -> None:
    """Both were called so once. The event, moved by hand, stands nearer to the one that was withdrawn."""
    title = "Shelf wall: Hang the boards"

    def told(name: str, start: int, withdrawn: bool) -> Exported:
        uid = f"shelf-wall-session-{name}@tackfree"
        event = CalendarEvent(
            uid=uid, kind="session", start=start, end=start + 60, summary=title, description="", busy=True
        )
        was = EventState(edition=1, start=start, end=start + 60, summary=title, sequence=0)
        return Exported(event=event, sequence=1, changed=0, withdrawn=withdrawn, edition=2, earlier=(was,))

    ledger = Ledger((told("20270116-1", 1000, True), told("20270119-1", 9000, False)), edition=2)
    by_hand = Returned(
        uid="1@elsewhere", summary=title, times=(1500, 1560), sequence=0, cancelled=False, where="back.ics"
    )
    assert dict(recognise("shelf-wall", ledger, [by_hand]).events) == {
        "shelf-wall-session-20270119-1@tackfree": by_hand
    }
