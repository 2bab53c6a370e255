"""The verifier asks for the order of the job itself: a step done out of turn lets nobody off what came before it."""

from __future__ import annotations

from dataclasses import replace

from scheduler.model.facts import Facts
from scheduler.model.graph import Link
from scheduler.model.plan import Plan, Ready
from tests.support.sound import CASE, LATER, PIECES, PIECES_LATER, at, moved, run
from tests.support.written import Case
from tests.verifying.siblings import only, with_step

NOON = at("12 12:05")
COATED = replace(
    CASE,
    facts=Facts(
        now=NOON, done={name: spans for name, spans in PIECES.items() if name not in ("grey-tape", "grey-pull")}
    ),
)
"""Sunday at 12:05. Grey has been coated until 12:00, and nobody has recorded that it was taped off before."""


def told(plan: Plan, step: str, *more: Ready) -> Plan:
    """The plan in which a step tells of these waits as well."""
    return with_step(plan, step, after=(*plan.step(step).after, *more))


def test_what_follows_the_step_that_was_done_waits_for_what_that_one_should_have_followed() -> None:
    """Tape, coat, pull: five minutes from the tape to the coat, so taped by 13:20 it is pulled from 13:25 on."""
    tape, tape_end = run(12, "12:40", "13:20"), at("12 13:25")
    waits = Ready(step="grey-tape", stage="end", ready=tape_end, latest=None)
    plan = told(moved(COATED, grey_tape=tape, grey_pull=run(12, "13:30", "13:45")), "grey-pull", waits)
    assert COATED.broken(plan) == ()
    early = told(moved(COATED, grey_tape=tape, grey_pull=run(12, "13:20", "13:35")), "grey-pull", waits)
    said = only("order kept", early, "grey-pull", COATED)
    assert said == (
        "goes on Sunday 12 April, 13:20; “Tape for grey”, which comes before it, is done Sunday 12 April, 13:25, "
        "whatever was done out of turn"
    )


def test_a_chain_of_steps_done_out_of_turn_keeps_the_order_as_one_does() -> None:
    """note -> lamp -> shelf -> door: lamp and shelf are done, so the rest of the doors waits for the note."""
    chain = (
        Link(before="note", after="lamp"),
        Link(before="lamp", after="shelf"),
        Link(before="shelf", after="door"),
    )
    facts = replace(
        LATER.facts, done={**LATER.facts.done, "shelf": (run(11, "9:00", "9:40"),)}, begun={}, now=at("11 10:00")
    )
    done = {**facts.done, "cream-coat": PIECES["cream-coat"]}
    case = replace(
        CASE, graph=replace(CASE.graph, links=(*CASE.graph.links, *chain)), facts=replace(facts, done=done)
    )
    pieces = {**PIECES, **done}
    door = (run(11, "12:30", "14:45"),)
    waits = Ready(step="note", stage="end", ready=at("11 15:00"), latest=None)
    plan = told(moved(case, pieces, door=door, note=run(11, "14:45", "15:00")), "door", waits)
    only("order kept", plan, "door", case)


def test_what_is_left_of_a_step_that_can_pause_waits_for_what_it_follows() -> None:
    """A third of the doors is hung, and it turns out that the note comes before them: the rest waits for the note."""
    links = (*CASE.graph.links, Link(before="note", after="door"))
    case: Case = replace(LATER, graph=replace(LATER.graph, links=links))
    only("order kept", moved(case, PIECES_LATER), "door", case)


def test_a_coat_that_was_begun_goes_on_whatever_was_forgotten_before_it() -> None:
    """Half of the cream is on: a wet edge waits for nothing. What follows the cream waits for the note all the same.
    The tape is pulled from 11:00 on, and the note is made at 14:30.
    """
    links = (*CASE.graph.links, Link(before="note", after="cream-coat"))
    case: Case = replace(LATER, graph=replace(LATER.graph, links=links))
    waits = Ready(step="note", stage="end", ready=at("11 14:45"), latest=None)
    only("order kept", told(moved(case, PIECES_LATER), "cream-pull", waits), "cream-pull", case)
