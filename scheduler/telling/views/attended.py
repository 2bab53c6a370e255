"""How much of the time that each person is there goes into the work."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from itertools import pairwise

from scheduler.model.plan import Plan


@dataclass(frozen=True, slots=True)
class Attended:
    """Minutes in sessions, with set-up and clear-up but no breaks, and those of them that are hands-on. The second
    person is there where two are: nobody says who that is."""

    person: int
    minutes: int
    hands_on: int


def attended(plan: Plan) -> tuple[Attended, ...]:
    """Each person in the sessions of a plan, the first one first."""
    changes: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0])  # by minute: people there, in a session, at work
    for window in plan.windows:
        _add(changes, window.start, window.end, 0, window.people)
    for session in plan.sessions:
        _add(changes, session.start, session.end, 1, 1)
    for step in plan.steps:
        for piece in step.pieces:
            _add(changes, piece.start, piece.end, 2, step.people)
    minutes: dict[int, list[int]] = defaultdict(lambda: [0, 0])
    state = [0, 0, 0]
    for begin, end in pairwise(sorted(changes)):
        state = [now + change for now, change in zip(state, changes[begin], strict=True)]
        there = state[0] if state[1] else 0
        for person in range(1, there + 1):
            minutes[person][0] += end - begin
            minutes[person][1] += end - begin if person <= state[2] else 0
    return tuple(Attended(person, *minutes[person]) for person in sorted(minutes))


def _add(changes: dict[int, list[int]], start: int, end: int, which: int, amount: int) -> None:
    changes[start][which] += amount
    changes[end][which] -= amount
