from __future__ import annotations

from datetime import date
from itertools import permutations

from scheduler.model.sessions import Slot, match_sessions

SAT, SUN, NEXT = date(2027, 1, 16), date(2027, 1, 17), date(2027, 1, 23)


def slot(key: str, day: date, steps: str, start: int = 0, past: bool = False) -> Slot:
    begins = (day - SAT).days * 1440 + start
    return Slot(key, day, begins, begins + 60, frozenset(steps), past)


def test_the_same_day_comes_before_shared_steps() -> None:
    old = [slot("sat", SAT, "ab"), slot("sun", SUN, "cd")]
    new = [slot("1", SAT, "cd"), slot("2", SUN, "ab")]
    assert match_sessions(old, new) == {"1": "sat", "2": "sun"}


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
    assert first == {"1": "z", "3": "y", "2": "x"}
