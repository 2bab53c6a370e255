"""What plans that were handed out had given to a step, and the last thing that is known to have happened."""

from __future__ import annotations

from scheduler.diary.kept import Kept, Passed
from scheduler.diary.passed import as_planned
from scheduler.diary.standing import Standing
from scheduler.model.basics import Span
from scheduler.model.job import Job
from scheduler.model.learned import Look
from tests.support.plans import plan, step


def session(start: int, end: int, **steps: Span) -> Passed:
    """A session in which each of these steps had one piece and was to end."""
    return Passed(span=Span(start, end), steps={name: (piece,) for name, piece in steps.items()}, ends=tuple(steps))


def test_a_step_has_no_more_of_a_plan_than_its_work() -> None:
    """An hour of work, planned for Saturday and, as that passed, once more for Sunday: each plan gave it an hour."""
    saturday, sunday = Span(600, 660), Span(2040, 2100)
    kept = Kept(
        plan=plan(step("sand", Span(3480, 3540))),
        passed=(session(540, 900, sand=saturday), session(1980, 2340, sand=sunday)),
    )
    assert list(as_planned(kept, "sand")) == [(saturday,), (sunday,), (Span(3480, 3540),)]


def test_a_step_over_two_sessions_has_both_pieces() -> None:
    """Two hours, of which the first session had one and did not end it."""
    first, second = Span(600, 660), Span(2040, 2100)
    begun = Passed(span=Span(540, 660), steps={"sand": (first,)}, ends=())
    kept = Kept(plan=plan(step("sand", first, second)), passed=(begun, session(1980, 2340, sand=second)))
    assert next(as_planned(kept, "sand")) == (first, second)


JOB = Job(id="j", name="J", zone="UTC", start=0, metric=True, clock24=True, hours=())


def standing(done: int | None = None, begun: int | None = None, looked: int | None = None) -> Standing:
    """One step that ended, one that is under way since an hour, one film that was felt, each at a minute."""
    return Standing(
        job=JOB,
        done={"sand": (Span(0, done),)} if done else {},
        begun={"paint": ((Span(begun - 60, begun),), 30)} if begun else {},
        lost=(),
        looks=(Look(step="prime", stage="touch", minute=looked, reached=True),) if looked else (),
    )


def test_the_last_thing_that_happened_is_a_step_done_or_begun_or_a_film_felt() -> None:
    """Whichever of them is the latest; nothing, where nothing is recorded."""
    assert standing(done=100, begun=200, looked=300).last == 300
    assert standing(done=100, begun=200).last == 200
    assert standing(done=250, begun=200, looked=150).last == 250
    assert standing().last is None
