"""Furniture that is carried out stands somewhere meanwhile: in places of the floor space that the job has."""

from __future__ import annotations

import pytest

from scheduler.errors import InputError
from scheduler.model.facts import Facts
from scheduler.model.plan import Plan
from scheduler.pipeline import make_plan
from scheduler.telling.views.index import Book
from scheduler.telling.views.sessions import have_ready
from scheduler.verifying import verify
from tests.support.scoped import unfolded

JOB = """\
job: Two rooms
start: 2027-02-06
zone: Europe/Berlin
hours: {on: weekends, from: 9:00, to: 15:00, people: 2}
shared things: {floor space: 1}
rooms:
  bedroom: {length: 4 m, width: 3 m, height: 2.5 m, air: {day: 20 °C, night: 18 °C, humidity: 50 %}}
  study: {length: 3 m, width: 3 m, height: 2.5 m, air: {day: 20 °C, night: 18 °C, humidity: 50 %}}
scope:
  bedroom: [clear and protect: {furniture: to carry out}, put back: {furniture: to carry in}]
  study: [clear and protect: {furniture: to carry out}, put back: {furniture: to carry in}]
"""
OUT, BACK = "{}-clear", "{}-carry-in"


def planned(text: str) -> Plan:
    """The plan of a job, which breaks no rule."""
    job, trade = unfolded(text)
    made = make_plan(job, trade, Facts(now=job.start))
    ground = made.ground
    assert not list(verify(made.plan, ground.job, ground.graph, ground.windows, ground.films, ground.facts))
    return made.plan


def both_out(plan: Plan) -> bool:
    """Whether the furniture of both rooms is out at some minute."""
    spans = [(plan.step(OUT.format(room)).start, plan.step(BACK.format(room)).end) for room in ("bedroom", "study")]
    return max(start for start, _ in spans) < min(end for _, end in spans)


def test_a_room_is_emptied_where_there_is_space_for_what_stands_in_it() -> None:
    """One place: the second room is emptied when the first has its furniture again, and the plan says who holds it.
    Two places, a room that asks for none, and a job that says nothing of places: both may be empty at once."""
    plan = planned(JOB)
    assert not both_out(plan)
    (space,) = (thing for thing in plan.things if thing.thing == "floor-space")
    assert {(taken.by, taken.giver) for taken in space.taken} == {
        (OUT.format(room), BACK.format(room)) for room in ("bedroom", "study")
    }
    together = "study: [clear and protect: {furniture: to carry out, space: 0}"
    for text in (
        JOB.replace("space: 1}", "space: 2}"),
        JOB.replace("study: [clear and protect: {furniture: to carry out", together.removesuffix("}")),
        JOB.replace("shared things: {floor space: 1}\n", ""),
    ):
        assert text != JOB
        assert planned(text).finish <= plan.finish


def test_more_places_than_there_are_and_furniture_that_never_comes_back_are_faults() -> None:
    """At the method that asks for it."""
    wide = JOB.replace("study: [clear and protect: {furniture: to carry out", "study: [clear and protect: {space: 3")
    for text, said in (
        (wide, "job.yaml:11:11: `clear and protect` takes 3 of `floor space`, and there are 1"),
        (JOB.replace(", put back: {furniture: to carry in}", "", 1), "keeps `floor-space` until"),
    ):
        with pytest.raises(InputError) as refused:
            planned(text)
        assert said in str(refused.value)


def test_a_place_is_nothing_to_have_ready() -> None:
    """The session in which a room is emptied asks for no floor space in the house."""
    book = Book(planned(JOB))
    said = [thing for session in book.sessions for thing in have_ready(book, session)]
    assert said
    assert "floor space" not in said
