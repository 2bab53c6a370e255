"""Who is there where a room is warm only while somebody is: the sound plan passes, its siblings are refused for that.

The primer of the 4th (10:45 to 12:00) can be recoated long after the session of that day.
"""

from __future__ import annotations

from dataclasses import replace

from scheduler.model.basics import Span
from scheduler.model.job import Warmed
from scheduler.model.plan import PlannedThing, Taken
from tests.support.sound import CASE, JOB, at, sound
from tests.support.written import Case
from tests.verifying.siblings import only


def warmed(there: tuple[Span, ...] | None = None, unheated: tuple[Span, ...] = (), takes: str = "") -> Case:
    """The case with a den that is warm only while somebody is there, and a primer that must not cool."""
    den, hall = JOB.rooms
    den = replace(den, warmed=Warmed(temp=18, takes=takes), there=there)
    primer = replace(CASE.films["prime"], hold_until="recoat", fit=(Span(at("3"), at("30")),), unheated=unheated)
    return replace(CASE, job=replace(JOB, rooms=(den, hall)), films={**CASE.films, "prime": primer})


def test_a_film_is_not_left_alone_in_the_cold() -> None:
    """In air that is fit by itself nobody has to be there; in air that is not, somebody has, until it can be
    recoated: the session of the 4th ends before that."""
    assert warmed(unheated=(Span(at("4"), at("12")),)).broken(sound()) == ()
    only("somebody there", sound(), "prime", warmed())


def test_warmth_is_reckoned_only_while_somebody_is_there() -> None:
    """On the 4th from the first cut to the last step in the den; on the 6th, a Monday, nobody is there."""
    fit = (Span(at("3"), at("30")),)
    inside = [piece for step in sound().steps if step.room == "den" for piece in step.pieces if piece.end < at("5")]
    span = Span(min(piece.start for piece in inside), max(piece.end for piece in inside))
    assert warmed((span,), fit).broken(sound()) == ()
    only("somebody there", sound(), "", warmed((Span(span.start, span.end + 1),), fit))
    only("somebody there", sound(), "", warmed((Span(at("6 9:00"), at("6 10:00")),), fit))


def test_the_plan_tells_when_the_heater_is_taken() -> None:
    """One of it in each session with work in the den, by the step that ends last there. The ladder is as ever."""
    case = warmed(None, (Span(at("3"), at("30")),), takes="heater")
    found: list[Taken] = []
    for session in sound().sessions:
        ends = {step.id: piece for step in sound().steps if step.room == "den" for piece in step.pieces
                if session.start <= piece.start < session.end}  # fmt: skip
        if ends:
            last = max(ends, key=lambda name: (ends[name].end, name))
            start = min(piece.start for step in sound().steps if step.room == "den" for piece in step.pieces
                        if session.start <= piece.start < session.end)  # fmt: skip
            found.append(Taken(start=start, until=ends[last].end, by=last, amount=1))
    ladder = [
        Taken(start=piece.start, until=piece.end, by=step.id, amount=1)
        for step in sound().steps
        if step.takes
        for piece in step.pieces
    ]
    things = (PlannedThing(thing="ladder", places=1, taken=tuple(ladder)),)
    whole = replace(sound(), things=(*things, PlannedThing(thing="heater", places=1, taken=tuple(found))))
    assert case.broken(whole) == ()
    short = replace(whole, things=(*things, PlannedThing(thing="heater", places=1, taken=tuple(found[:-1]))))
    only("holds told", short, found[-1].by, case)
