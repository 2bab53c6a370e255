"""Whatever happens to a job, in whatever order: nothing is lost, contradicted or moved without need.

300 random histories of a small job: steps done as planned, late or by half, deliveries put off, sessions lost,
entries taken back, and days on which nothing is said.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scheduler.diary.objections import object_to
from scheduler.errors import InputError
from scheduler.living import requests, takeback
from scheduler.living.site import replan
from scheduler.model.diary import Event, Late, Undone
from scheduler.pipeline import Made
from scheduler.telling.machine.plan import plan_json
from scheduler.telling.text.moves import what_moves
from scheduler.verifying import verify
from scheduler.wallclock import local_date
from tests.support.lives import ZONE, Life, moment, shelf
from tests.support.times import TIMES

FIRST = moment("2027-01-08")


@dataclass(frozen=True)
class Turn:
    """So many hours later somebody says this; `number` picks among the steps that are to be done."""

    hours: int
    says: str
    number: int
    delay: int


turns = st.lists(
    st.builds(
        Turn,
        hours=st.sampled_from([3, 17, 41, 65, 120]),
        says=st.sampled_from(["did", "did", "did", "did later", "left", "late", "lost", "undo", "nothing"]),
        number=st.integers(0, 3),
        delay=st.integers(1, 90),
    ),
    min_size=1,
    max_size=4,
)


def event_of(life: Life, now: int, turn: Turn) -> Event | None:
    """What a turn stands for in the job as it is; None if it makes no sense there."""
    site, plan = life.site, life.site.kept.plan
    assert plan is not None
    # People work in order: what a step follows is recorded before it.
    done = site.standing.done
    turn_has_come = [step for step in plan.steps if step.id not in done and all(a.step in done for a in step.after)]
    ready = [step for step in turn_has_come if step.end + 90 < now]
    begun = [step for step in turn_has_come if step.start < now < step.end]
    day = local_date(now, ZONE)
    try:
        if turn.says in ("did", "did later") and ready:
            step = ready[turn.number % len(ready)]
            late = turn.delay if turn.says == "did later" else 0
            when = requests.When(day, min(now, step.end + late))
            event: Event = requests.did(site, now, step.id, when, None)[-1]
        elif turn.says == "left" and (ready or begun):
            step = (begun or ready)[turn.number % len(begun or ready)]
            event = requests.did(site, now, step.id, requests.When(day, min(now, step.end)), turn.delay)[-1]
        elif turn.says == "late":
            event = requests.late(site, "boards", max(day, date(2027, 1, 16)) + timedelta(days=turn.delay // 4))
        elif turn.says == "lost":
            event = requests.lost(site, now, day + timedelta(days=turn.number), None)[-1]
        elif turn.says == "undo":
            event = takeback.undo(site, takeback.About(lambda _: True, "it"), "x")[-1]
        else:
            return None
        object_to(event, site.standing, now)
    except InputError:
        return None
    return event


def sound(made: Made) -> None:
    """The verifier, which shares no code with the planner, accepts the plan."""
    ground = made.ground
    broken = verify(made.plan, ground.job, ground.graph, ground.windows, ground.films, ground.facts)
    assert not broken, broken


def facts_stand(life: Life, made: Made) -> None:
    """What is recorded as done is done in the plan, at the recorded times; what was begun began as recorded."""
    for name, pieces in life.site.standing.done.items():
        assert (made.plan.step(name).state, made.plan.step(name).pieces) == ("done", pieces)
    for name, (pieces, left) in life.site.standing.begun.items():
        step = made.plan.step(name)
        assert step.pieces[: len(pieces)] == pieces
        assert sum(piece.minutes for piece in step.pieces[len(pieces) :]) == left
    assert {step.id for step in made.plan.steps if step.state == "done"} == set(life.site.standing.done)


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One job file for all histories: it is only read."""
    return shelf(tmp_path_factory.mktemp("shelf"))


@pytest.mark.long
@settings(max_examples=60 * TIMES, phases=[Phase.generate])
@given(history=turns)
def test_every_history_keeps_the_promises(file: Path, history: list[Turn]) -> None:
    """At each point: the verifier accepts, facts stand, planning again moves nothing, undo leaves no trace."""
    life = Life(file)
    now = FIRST
    made = life.plan(now)
    for turn in history:
        now += turn.hours * 60
        event = event_of(life, now, turn)
        # What was handed out as of an earlier moment is planned again as of this one, so that it can be compared.
        made = before = life.plan(now)
        if event is not None:
            made = life.record(now, event)
            later_part_never_helps(event, before, made)
            if not isinstance(event, Undone):
                taken_back(life, now, before)
        sound(made)
        facts_stand(life, made)
    again(life, now, made)


def taken_back(life: Life, now: int, before: Made) -> None:
    """The entry just made is taken back: the plan before it is there again, byte for byte."""
    other = Life.__new__(Life)
    other.site = life.site
    line = life.site.record.entries[-1].line
    restored = other.record(now, *takeback.undo(life.site, takeback.About(lambda _: True, "it"), "x"))
    assert other.site.record.entries[-1].event == Undone(line=line)
    assert plan_json(restored.plan) == plan_json(before.plan)


def later_part_never_helps(event: Event, before: Made, after: Made) -> None:
    """A part that comes later than it was to come never makes a finish earlier that was proven."""
    if isinstance(event, Late) and before.plan.bound.proven:
        (item,) = before.ground.job.items
        if item.expected is not None and event.expected >= item.expected:
            assert after.plan.finish >= before.plan.finish


def again(life: Life, now: int, made: Made) -> None:
    """The same a second time. From memory: the same bytes. Sought anew: no worse, and if no better, nothing moves.

    A search that has not proven its plan may find a better one when it starts from that plan.
    """
    remembered = replan(life.site, now)
    assert plan_json(remembered.plan) == plan_json(made.plan)
    anew = replace(life.site, kept=replace(life.site.kept, answer=replace(made.answer, question="another")))
    sought = replan(anew, now)
    if made.plan.bound.proven:
        assert sought.plan.finish == made.plan.finish
    if life.site.binding(now):
        assert _worth(sought) <= _worth(made)
        moves = what_moves(made.plan, sought.plan)
        assert moves.nothing or _worth(sought) < _worth(made), moves


def _worth(made: Made) -> tuple[int, int]:
    """What a plan may move things for: its finish, and the days it takes. Less is better."""
    return made.plan.finish, len({local_date(session.start, ZONE) for session in made.plan.sessions})
