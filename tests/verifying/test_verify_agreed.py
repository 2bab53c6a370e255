"""What was agreed and promised, rule by rule: the sound plan passes, its siblings are refused for just that.

An inspector comes on Friday the 10th from 8:00 to 12:00 and looks at the primer, which the 4th laid (10:45 to 12:00).
Nobody works on that day.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from scheduler.model.graph import Link, Visit
from scheduler.model.job import Appointment, AtMost
from scheduler.model.keep import Keep
from scheduler.model.plan import Plan, PlannedPromise, PlannedThing, PlannedVisit, Taken
from tests.support.sound import CASE, JOB, at, sound
from tests.support.written import Case
from tests.verifying.siblings import only

ROOM = CASE.graph.task("prime").room


def inspected(start: str = "10 8:00", end: str = "10 12:00", then: tuple[str, ...] = ()) -> Case:
    """The case with the inspector at that time in the room of the primer, and steps that wait for him."""
    visit = Visit(
        id="inspector",
        title="Inspector",
        start=at(start),
        end=at(end),
        rooms=(ROOM,),
        after=(Link(before="prime", after="inspector"),),
        then=tuple(Link(before="inspector", after=name) for name in then),
    )
    agreed = Appointment(id="inspector", title="Inspector", start=at(start), end=at(end), rooms=(ROOM,))
    return replace(CASE, graph=replace(CASE.graph, visits=(visit,)), job=replace(JOB, appointments=(agreed,)))


def told(start: str = "10 8:00", end: str = "10 12:00", **change: object) -> Plan:
    """The sound plan that tells of him: the primer is done on the 4th at 12:00."""
    visit = PlannedVisit(
        appointment="inspector",
        title="Inspector",
        start=at(start),
        end=at(end),
        rooms=(ROOM,),
        ready=at("4 12:00"),
        kept=True,
        holder="prime",
    )
    return replace(sound(), visits=(replace(visit, **change),))  # type: ignore[arg-type]


def test_an_appointment_has_its_rooms_and_what_it_needs() -> None:
    """On the 10th it breaks nothing. On the 4th from 9:50 it meets the drill and the wiping, and comes before the
    primer, which is one rule: nothing of ours in its room, what it needs ready, what follows it after."""
    assert inspected().broken(told()) == ()
    early = inspected("3 8:00", "3 9:00")
    only("appointments kept", told("3 8:00", "3 9:00"), "prime", early)


def test_what_an_appointment_needs_is_there_by_its_start() -> None:
    """The doors come on the 8th: for an inspector of the 10th they are there, for one of the 7th they are not."""

    def with_doors(case: Case) -> Case:
        visits = tuple(replace(visit, needs=("doors",)) for visit in case.graph.visits)
        return replace(case, graph=replace(case.graph, visits=visits))

    late = replace(told(), visits=(replace(told().visits[0], ready=at("8")),))
    assert with_doors(inspected()).broken(late) == ()
    early = replace(told("7 8:00", "7 9:00"), visits=(replace(told("7 8:00", "7 9:00").visits[0], ready=at("8")),))
    only("appointments kept", early, "", with_doors(inspected("7 8:00", "7 9:00")))


def test_what_waits_for_an_appointment_begins_after_it() -> None:
    """The last step, on the 12th, waits for him; were he there on that whole day, it would begin before his end."""
    last = max(sound().steps, key=lambda step: step.start)
    case = inspected("10 8:00", "10 12:00", (last.id,))
    assert case.broken(told()) == ()
    late = inspected("12 0:00", "12 23:00", (last.id,))
    assert "appointments kept" in {each.rule for each in late.broken(told("12 0:00", "12 23:00"))}


def test_an_appointment_is_told_as_it_was_agreed() -> None:
    """Ready an hour sooner than it is, or not kept though it is: refused."""
    only("appointments told", told(ready=at("4 11:00")), "", inspected())
    only("appointments told", told(kept=False), "", inspected())
    only("appointments told", sound(), "", inspected())


def test_promises_are_told_by_how_much_they_are_broken() -> None:
    """All is done on Sunday the 12th at 12:45. Promised by the 11th it is 12 h 45 min late, by the 12th it is kept;
    the lamp, hung on the 4th until 8:45, is late by 8 h 45 min if it was promised by the 3rd."""
    by = PlannedPromise(late=765, reached=at("12 12:45"), by=at("12"))
    case = replace(CASE, job=replace(JOB, done_by=date(2026, 4, 11)))
    assert case.broken(replace(sound(), promises=(by,))) == ()
    only("promises told", replace(sound(), promises=(replace(by, late=0),)), "", case)
    kept = replace(CASE, job=replace(JOB, done_by=date(2026, 4, 12)))
    assert kept.broken(replace(sound(), promises=(replace(by, late=0),))) == ()
    only("promises told", sound(), "", kept)


def test_a_thing_is_out_of_use_for_as_long_as_somebody_has_it() -> None:
    """The primer keeps the ladder for three hours from 10:45 on; the lamp had it for half an hour: in one stretch 180
    minutes, in all 210."""
    keep = Keep(thing="ladder", count=1, minutes=180)
    tasks = tuple(replace(t, keeps=(keep,)) if t.id == "prime" else t for t in CASE.graph.tasks)
    things = (
        PlannedThing(
            thing="ladder",
            places=1,
            taken=(
                Taken(start=at("4 8:15"), until=at("4 8:45"), by="lamp", amount=1),
                Taken(start=at("4 10:45"), until=at("4 13:45"), by="prime", amount=1),
            ),
        ),
    )
    for in_all, out in ((False, 180), (True, 210)):
        job = replace(JOB, at_most=(AtMost(thing="ladder", minutes=120, in_all=in_all),))
        case = replace(CASE, graph=replace(CASE.graph, tasks=tasks), job=job)
        promise = PlannedPromise(late=out - 120, reached=out, thing="ladder", at_most=120, in_all=in_all)
        plan = replace(sound(), things=things, promises=(promise,))
        assert case.broken(plan) == ()
        only("promises told", replace(plan, promises=(replace(promise, late=1),)), "", case)
