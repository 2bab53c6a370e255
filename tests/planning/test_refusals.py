"""No plan is possible: said only with a proof, with the smallest set of entries that cannot hold together."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scheduler.model.facts import Facts
from scheduler.model.message import message
from scheduler.model.refusal import NoPlanError
from scheduler.pipeline import Made, make_plan, read
from scheduler.solver.conflicts import Stuck
from scheduler.solver.exact import Exact, Verdict
from scheduler.solver.infeasible_subset import Restriction, conflicts
from scheduler.solver.problem import Placement
from scheduler.solver.proof.bound import Prover
from scheduler.solver.search import IN_VAIN, Search
from scheduler.telling import refused as telling
from scheduler.telling.refused import Refused
from tests.bench.refusals import REFUSAL, judge
from tests.bench.tightjobs import tight_job
from tests.cli.running import run
from tests.support.placement_check import faults
from tests.support.problems import problem, slots, wait, work
from tests.support.told import breaks

SLAB = """\
job: Slab
start: 2027-05-01
zone: Europe/Berlin
measures: metric
hours:
  - {on: [Saturday, Sunday], from: 8:30, to: 14:00}
rooms:
  yard: {air: {day: 20 °C, night: 12 °C, humidity: 50 %}}
steps:
  clear: {work: 3 h}
  mix: {work: 8 h, pause: 1 h, follows: [clear]}
  pour: {work: 5 h, pause: no, follows: [mix: {within: 20 min}]}
"""
"""The day has 5 h 30 min. The last piece of the mix is of 1 h at least and the pour of 5 h begins at most 20 min
after it, on the same day: 1 h and 5 h are more than there is."""


def planned(folder: Path, text: str) -> Made:
    file = folder / "job.yaml"
    file.write_text(text, encoding="utf-8")
    job, trade = read(file)
    return make_plan(job, trade, Facts(now=job.start))


def refused(folder: Path, text: str) -> Refused:
    with pytest.raises(NoPlanError) as caught:
        planned(folder, text)
    return telling.refused(caught.value)


def test_a_refusal_names_the_entries_that_cannot_hold_together_each_at_its_place(tmp_path: Path) -> None:
    """The five of the slab, and nothing of the clearing, which has nothing to do with it. Columns are counted in the
    file: `  mix: {work` has its `work` at column 9."""
    (entries,) = refused(tmp_path, SLAB).entries
    assert [(fault.place.line, fault.place.column, fault.message) for fault in entries] == [
        (11, 9, "“mix” takes 8 h"),
        (11, 20, "“mix” in pieces of at least 1 h"),
        (12, 10, "“pour” takes 5 h"),
        (12, 21, "“pour” in one piece"),
        (12, 48, "“pour” begins within 20 min after “mix”"),
    ]


@pytest.mark.parametrize(
    ("entry", "otherwise"),
    [
        ("  mix: {work: 8 h, pause: 1 h, follows: [clear]}\n", ""),
        ("pause: 1 h", "pause: 30 min"),
        ("work: 5 h", "work: 4 h"),
        ("pause: no", "pause: 1 h"),
        ("{within: 20 min}", "end"),
    ],
)
def test_each_entry_named_is_needed(tmp_path: Path, entry: str, otherwise: str) -> None:
    """With any one of them left out of the file, or changed, there is a plan. (Half an hour of mix and 5 h of pour
    are 5 h 30 min: just the day.)"""
    text = SLAB.replace(entry, otherwise)
    assert text != SLAB
    if not otherwise:
        text = text.replace(", follows: [mix: {within: 20 min}]", "")
    made = planned(tmp_path, text)
    assert not made.plan.broken
    assert not breaks(made.plan)


def test_a_terminal_shows_a_line_an_entry_and_a_program_the_same(tmp_path: Path) -> None:
    """Exit code 1. What stands on the error stream begins each line with file, line and column."""
    file = tmp_path / "job.yaml"
    file.write_text(SLAB, encoding="utf-8")
    ran = run("plan", str(file), "--as-of", "2027-05-01", "--json")
    assert ran.code == 1
    first, *lines, last = ran.err.splitlines()
    assert first == "No plan is possible. These cannot hold together:"
    assert lines[2] == f"  {file}:12:10: “pour” takes 5 h"
    assert last.startswith("Leave out or change one of them: allow more time in `within`")
    (entries,) = json.loads(ran.out)["cannot_hold_together"]
    assert entries[4] == {
        "file": str(file), "line": 12, "column": 48, "message": "“pour” begins within 20 min after “mix”"
    }  # fmt: skip


def test_two_things_in_the_way_are_both_named(tmp_path: Path) -> None:
    """A second step that no stretch of hours holds: leaving an entry of the one set out does not make a plan yet."""
    error = refused(tmp_path, SLAB.replace("clear: {work: 3 h}", "clear: {work: 7 h, pause: no}"))
    first, second = ([fault.message for fault in entries] for entries in error.entries)
    assert first == ["“clear” takes 7 h", "“clear” in one piece"]
    assert len(second) == 5


def test_without_a_proof_there_is_a_plan_that_tells_what_it_breaks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where neither a plan nor a proof is found (here proofs are taken away), the window gives way and is told."""
    monkeypatch.setattr(Exact, "run", lambda _: Verdict.UNKNOWN)
    monkeypatch.setattr(Prover, "has_no_room", lambda _: False)
    plan = planned(tmp_path, SLAB).plan
    assert plan.warnings[0] == message("warned.unsettled")
    assert {each.step for each in plan.broken} <= {"mix", "pour"}
    assert plan.broken
    assert {step.id for step in plan.steps} == {"clear", "mix", "pour"}


def test_a_dead_end_costs_little(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the short exact search says nothing, no more than so many activities are placed on top of the first
    orders."""
    monkeypatch.setattr(Exact, "run", lambda _: Verdict.UNKNOWN)
    monkeypatch.setattr(Prover, "has_no_room", lambda _: False)
    hours = slots(*((1440 * day, 1440 * day + 100) for day in range(30)))
    seeking = Search(problem([work(60), work(60)], [wait(0, 1, until=10)], slots=hours), 2_000_000)
    outcome = seeking.run()
    assert isinstance(outcome, Stuck)
    assert not outcome.proven
    assert seeking.spent < 2 * IN_VAIN


@pytest.mark.parametrize("between", [9, 10])
def test_three_who_need_two_of_two_people_one_after_the_other(between: int) -> None:
    """Each takes 2 of the 3 people for 10 minutes, so no two run at once. The first begins at once after the step
    that they all follow, the second 10 minutes later, the third 20 minutes later: within 20 it can be met, within 19
    not. No two exclude each other for good, since of each 2 of 3 are there; what clashes is a forbidden set."""
    steps = [work(10), *(work(10, takes=(2,)) for _ in range(3))]
    hours = slots(*((1440 * day, 1440 * day + 60) for day in range(200)), people=3)
    question = problem(steps, [wait(0, i, until=10 + between) for i in (1, 2, 3)], slots=hours)
    answer = Exact(question).run()
    if between == 10:
        assert isinstance(answer, Placement)
        assert faults(question, answer) == []
    else:
        assert answer is Verdict.REFUTED


def test_the_last_pieces_of_two_that_pause_exclude_each_other() -> None:
    """Both must end at most 10 minutes before the third begins, and the last piece of each is of 20 at least."""
    hours = slots(*((1440 * day, 1440 * day + 500) for day in range(30)))
    steps = [work(100, 20), work(100, 20), work(60)]
    question = problem(steps, [wait(0, 2, until=10), wait(1, 2, until=10)], slots=hours)
    assert Exact(question).run() is Verdict.REFUTED
    wider = problem(steps, [wait(0, 2, until=10), wait(1, 2, until=30)], slots=hours)
    answer = Exact(wider).run()
    assert isinstance(answer, Placement)
    assert faults(wider, answer) == []


def test_a_set_is_minimal_though_much_else_restricts() -> None:
    """Of six steps two are in the way; a limit between two others is not."""
    hours = slots(*((1440 * day, 1440 * day + 100) for day in range(30)))
    steps = [work(30), work(30), work(60), work(60), work(20), work(20)]
    question = problem(steps, [wait(0, 1, until=50), wait(2, 3, until=10), wait(3, 4), wait(4, 5)], slots=hours)
    entries = [Restriction(kind, i) for i in range(6) for kind in ("work", "piece")]
    entries += [
        Restriction("follow", 1, 0),
        Restriction("limit", 1, 0),
        Restriction("follow", 3, 2),
        Restriction("limit", 3, 2),
    ]
    entries += [Restriction("follow", 4, 3), Restriction("follow", 5, 4)]
    (found,) = conflicts(question, entries, 3, lambda _: hours)
    assert found.certain
    assert found.enough
    assert set(found.entries) == {
        Restriction("work", 2), Restriction("work", 3), Restriction("piece", 2), Restriction("piece", 3),
        Restriction("limit", 3, 2), Restriction("follow", 3, 2),
    }  # fmt: skip


def test_refusals_of_random_jobs_are_true_and_minimal() -> None:
    """A small part of `python -m tests.bench.refusals`: each refusal confirmed by an independent solver, each set
    minimal, each plan without a broken rule."""
    judged = [judge(number, 5.0) for number in range(1000, 1010)]
    assert [(one.number, one.wrong) for one in judged if one.wrong] == []
    refusals = [one for one in judged if one.outcome == REFUSAL]
    assert len(refusals) > 2
    assert all(one.oracle == "infeasible" for one in refusals)


def test_what_was_in_doubt_at_first_and_is_not_needed_is_not_named(tmp_path: Path) -> None:
    """A proof without the second step's `follows` was not found in time while much else was still asked; with less
    asked it is, and then nothing of the second step but its work (120 min between the others) has a part in it."""
    (entries,) = refused(tmp_path, tight_job(268)).entries
    assert not [str(entry) for entry in entries if "“s0”" in str(entry)]


def test_air_that_does_not_do_is_named_where_the_air_stands_with_what_is_asked(tmp_path: Path) -> None:
    """Nothing at the step that lays the film is to be changed, but the air of its room, in line 7: the limits of this
    primer end at 85 % humidity."""
    text = """\
job: Workshop
start: 2027-01-09
zone: Europe/Dublin
measures: metric
hours: [{on: Saturday, from: 9:00, to: 17:00}]
rooms:
  shed: {title: Shed, air: {day: 18 °C, night: 16 °C, humidity: 92 %}}
steps:
  prime: {work: 1 h, lays: acrylic-bonding-primer}
"""
    ((entry,),) = refused(tmp_path, text).entries
    assert (entry.place.line, entry.place.column) == (7, 23)
    assert "asks for other air in “Shed”: 10–32 °C, up to 85 % humidity" in entry.message


def test_a_wet_step_that_wipes_begins_with_just_that_and_asks_for_no_other_wipe_down(tmp_path: Path) -> None:
    """Sanded, then washed: the washing takes the dust up. A floor that is wiped with a damp cloth was refused."""
    text = """\
job: Wash after sanding
start: 2027-05-01
zone: Europe/Berlin
measures: metric
hours: [{on: Saturday, from: 9:00, to: 15:00}]
rooms:
  den: {air: {day: 20 °C, night: 16 °C, humidity: 50 %}}
steps:
  sand: {work: 1 h, kind: dusty}
  wash: {work: 30 min, kind: wipes, lays: washed-surface, follows: [sand]}
  paint: {work: 1 h, lays: acrylic-latex-wall-paint, follows: [wash: touch]}
"""
    made = planned(tmp_path, text)
    assert [step.id for step in made.plan.steps] == ["sand", "wash", "paint"]
    assert breaks(made.plan) == []
