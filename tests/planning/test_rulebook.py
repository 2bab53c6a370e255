"""The rulebook of the random histories: it accepts the sound plan, and finds each rule in a broken sibling.

The job, its plan and the arithmetic of its films stand in `tests.support.sound`.
"""

from __future__ import annotations

import ast
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.model.job import Hours, QuietHours
from scheduler.model.plan import Plan
from tests.support import rulebook
from tests.support.rulebook import Breach, Rulebook, Week
from tests.support.sound import CASE, LATER, PIECES, PIECES_LATER, WINDOWS, at, moved, run, sound
from tests.support.written import Case, written

WEDNESDAY, SUNDAY = date(2026, 4, 8), date(2026, 4, 12)
HOURS = (
    Hours(weekdays=frozenset({5}), start=8 * 60, end=17 * 60, people=3, breaks=((12 * 60, 12 * 60 + 30),)),
    Hours(weekdays=frozenset({2}), start=18 * 60, end=21 * 60, quiet=True, first=WEDNESDAY, last=WEDNESDAY),
    Hours(weekdays=frozenset({6}), start=10 * 60, end=16 * 60, first=SUNDAY, last=SUNDAY),
)
QUIET = (QuietHours(weekdays=frozenset({5}), start=8 * 60, end=9 * 60),)
"""The windows of the sound case as rules on the clock on the wall."""

Moves = Mapping[str, tuple[Span, ...] | Span | None]


def broken(plan: Plan, case: Case = CASE) -> list[Breach]:
    """What the rulebook says of a plan for this case."""
    job = replace(case.job, hours=HOURS, quiet=QUIET)
    week = Week(job)
    book = Rulebook(plan=plan, job=job, graph=case.graph, films=case.films, facts=case.facts, week=week)
    return book.breaches()


def test_the_rulebook_shares_nothing_with_planner_and_verifier() -> None:
    """It imports the vocabulary and the clock on the wall, and nothing else of the package."""
    nodes = ast.walk(ast.parse(Path(rulebook.__file__).read_text(encoding="utf-8")))
    imported = {node.module or "" for node in nodes if isinstance(node, ast.ImportFrom)}
    ours = {name for name in imported if name.startswith("scheduler")}
    assert ours
    assert [name for name in ours if not name.startswith(("scheduler.model.", "scheduler.wallclock"))] == []


def test_the_rules_on_the_wall_give_the_windows_of_the_case() -> None:
    """Set-up and clear-up of 15 minutes each, and a break that parts no session."""
    week = Week(replace(CASE.job, hours=HOURS, quiet=QUIET))
    for window in WINDOWS:
        found = [h for h in week.on(window.day) if h.start == window.start]
        assert [(h.end, h.people, h.quiet, h.first, h.last) for h in found] == [
            (window.end, window.people, window.quiet, window.work_start, window.work_end)
        ]


def test_it_accepts_the_sound_plan() -> None:
    assert broken(sound()) == []


def test_it_accepts_the_sound_plan_in_the_midst_of_the_work() -> None:
    assert broken(moved(LATER, PIECES_LATER), LATER) == []


AHEAD: tuple[tuple[str, str, Moves], ...] = (
    ("work hours", "lamp", {"lamp": run(9, "9:00", "9:30")}),
    ("set-up and clear-up", "note", {"note": run(11, "16:31", "16:46")}),
    ("people", "shelf", {"shelf": run(8, "19:00", "19:40")}),
    ("quiet hours", "cut", {"cut": (run(4, "8:45", "9:25"), run(4, "10:00", "10:20"))}),
    ("labour", "lamp", {"lamp": run(4, "8:15", "8:40")}),
    ("one piece", "lamp", {"lamp": (run(4, "8:15", "8:30"), run(4, "8:35", "8:50"))}),
    ("links", "cream-pull", {"cream_pull": run(11, "10:59", "11:14")}),
    ("links", "grey-tape", {"grey_tape": run(11, "16:00", "16:40")}),
    ("windows kept", "cream-coat", {"scuff": None}),
    ("windows kept", "cream-coat", {"scuff": run(4, "14:00", "14:25")}),
    ("windows kept", "cream-pull", {"cream_pull": run(11, "14:00", "14:15")}),
    ("remedies needed", "score", {"score": run(11, "11:00", "11:10"), "cream_pull": run(11, "11:15", "11:30")}),
    (
        "items there",
        "door",
        {"door": (run(4, "14:00", "14:45"), run(11, "11:15", "12:00"), run(11, "12:30", "13:15"))},
    ),
    ("closed rooms", "note", {"note": run(4, "12:30", "12:45"), "prime": run(4, "11:15", "12:30")}),
    ("step left out", "note", {"note": None}),
)
"""(rule, step, what is moved in the sound plan): each follows from the tables of `sound` by a look at the clock."""


@pytest.mark.parametrize(("rule", "step", "moves"), AHEAD, ids=[f"{rule}-{step}" for rule, step, _ in AHEAD])
def test_it_finds_what_a_plan_breaks(rule: str, step: str, moves: Moves) -> None:
    found = broken(moved(CASE, PIECES, **moves))
    assert (rule, step, False) in {(breach.rule, breach.step, breach.past) for breach in found}


def test_nothing_is_planned_before_now() -> None:
    """The lamp is planned for 8:15 of the 4th, and it is 8:16."""
    case = replace(CASE, facts=Facts(now=at("4 8:16")))
    assert [(b.rule, b.step) for b in broken(moved(case), case)] == [("before now", "lamp")]


def recorded(**pieces: Span) -> tuple[Plan, Case]:
    """The sound plan on the evening of the last day, everything done, some of it at other times."""
    done = {**PIECES, **{name.replace("_", "-"): (span,) for name, span in pieces.items()}}
    case = replace(CASE, facts=Facts(now=at("19"), done=done))
    return written(case, done, {"cream|grey": "cream"}), case


PAST: tuple[tuple[str, str, dict[str, Span]], ...] = (
    ("out of turn", "cream-coat", {"cream_tape": run(11, "10:40", "11:10")}),
    ("wiped before wet", "prime", {"wipe": run(4, "8:50", "9:00")}),
    ("links", "cream-pull", {"cream_pull": run(11, "10:40", "10:55")}),
    ("windows kept", "cream-pull", {"cream_pull": run(11, "18:00", "18:15")}),
    ("wiped before wet", "prime", {"drill": run(4, "10:30", "10:45")}),
    ("dust and wet film", "drill", {"drill": run(4, "12:30", "12:50")}),
    ("closed rooms", "note", {"note": run(4, "12:10", "12:25")}),
    ("air limits", "prime", {"prime": run(4, "14:00", "15:15")}),
    ("items there", "door", {"door": run(5, "9:00", "11:15")}),
)
"""(rule, step, what was recorded otherwise): the primer is tacky until 13:00, closes the room until 12:30; cream is
at touch at 11:00 and its tape is to come off by 13:30; the air is fit until 14:00, and the doors come on the 8th.
"""


@pytest.mark.parametrize(("rule", "step", "pieces"), PAST, ids=[f"{rule}-{step}" for rule, step, _ in PAST])
def test_it_finds_what_the_past_broke(rule: str, step: str, pieces: dict[str, Span]) -> None:
    found = broken(*recorded(**pieces))
    assert (rule, step, True) in {(breach.rule, breach.step, breach.past) for breach in found}
    assert all(breach.past for breach in found)


def test_a_record_as_planned_breaks_nothing() -> None:
    assert broken(*recorded()) == []


def test_a_fact_that_the_plan_tells_otherwise_is_found() -> None:
    plan, case = recorded()
    facts = replace(case.facts, done={**case.facts.done, "lamp": (run(4, "8:20", "8:50"),)})
    assert [(b.rule, b.step) for b in broken(plan, replace(case, facts=facts))] == [("fact changed", "lamp")]


def test_the_rest_of_a_step_that_was_begun_too_soon_is_found() -> None:
    """Cream is begun at 9:30, and its tape is stuck on from 10:00 to 10:30: what is left does not wait for it."""
    facts = replace(LATER.facts, done={k: v for k, v in LATER.facts.done.items() if k != "cream-tape"})
    case = replace(LATER, facts=facts)
    plan = written(case, {**PIECES_LATER, "cream-tape": (run(11, "10:00", "10:30"),)}, {"cream|grey": "cream"})
    found = {(breach.rule, breach.step, breach.other, breach.waits) for breach in broken(plan, case)}
    assert ("order kept", "cream-coat", "cream-tape", True) in found
