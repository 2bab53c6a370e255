"""What is kept of the shared things, rule by rule: the sound plan passes, its siblings are refused for just that.

There is one ladder. The lamp takes it while it is hung, the primer (10:45 to 12:00 on the 4th) keeps it until later.
"""

from __future__ import annotations

from dataclasses import replace

from scheduler.model.keep import Keep
from scheduler.model.plan import Plan, PlannedThing, Taken
from tests.support.sound import CASE, at, moved, run
from tests.support.written import Case
from tests.verifying.siblings import only, with_graph


def keeping(**until: object) -> Case:
    """The case in which the primer keeps the ladder."""
    keep = Keep(thing="ladder", count=1, **until)  # type: ignore[arg-type]
    return with_graph(tasks=tuple(replace(t, keeps=(keep,)) if t.id == "prime" else t for t in CASE.graph.tasks))


def told(plan: Plan, lamp: tuple[str, str], prime: str, **how: str) -> Plan:
    """The plan that tells of the ladder: when the lamp takes it, and until when the primer has it."""
    taken = (
        Taken(start=at(lamp[0]), until=at(lamp[1]), by="lamp", amount=1),
        Taken(start=at("4 10:45"), until=at(prime), by="prime", amount=1, **how),
    )
    return replace(plan, things=(PlannedThing(thing="ladder", places=1, taken=taken),))


BEFORE, AFTER = ("4 8:15", "4 8:45"), ("4 12:30", "4 13:00")


def test_it_is_kept_until_a_stage_of_the_film() -> None:
    """The primer is dry to the touch at 12:30: the lamp may have the ladder then. It is free of dust at 13:00."""
    later = moved(lamp=run(4, "12:30", "13:00"))
    assert keeping(stage="touch").broken(told(later, AFTER, "4 12:30", stage="touch")) == ()
    said = only("things kept", told(later, AFTER, "4 13:00"), "lamp", keeping(stage="dust_free"))
    assert "2 taken, 1 there" in said


def test_it_is_kept_until_another_step_ends_or_starts() -> None:
    """The doors are hung from the 8th, 18:15, to the 11th, 13:15. The shelf is carried in from 13:30 on."""
    plan = moved(lamp=run(11, "14:15", "14:45"))
    lamp = ("11 14:15", "11 14:45")
    assert keeping(step="door").broken(told(plan, lamp, "11 13:15")) == ()
    assert keeping(step="shelf", at_start=True).broken(told(plan, lamp, "11 13:30")) == ()
    only("things kept", told(plan, lamp, "12 12:45"), "lamp", keeping(step="grey-pull"))


def test_it_is_kept_for_a_time() -> None:
    """105 minutes from 10:45 are over at 12:30, 120 at 12:45."""
    later = moved(lamp=run(4, "12:30", "13:00"))
    assert keeping(minutes=105).broken(told(later, AFTER, "4 12:30")) == ()
    only("things kept", told(later, AFTER, "4 12:45"), "lamp", keeping(minutes=120))


def test_nobody_gives_back_what_is_not_taken_yet() -> None:
    """The lamp is hung before the primer, and can't give back what that keeps."""
    only("given back", told(moved(), BEFORE, "4 12:00"), "prime", keeping(step="lamp"))
    never = keeping(step="score").broken(told(moved(), BEFORE, "4 12:00"))
    assert never[0].said.kind == "rule.never given back"  # the tape comes off in time, so nobody scores it


def test_the_plan_tells_when_things_are_taken() -> None:
    """Told until 12:15 where it is 12:30."""
    only("holds told", told(moved(), BEFORE, "4 12:15"), "prime", keeping(stage="touch"))
