"""Broken siblings of the sound plan: the same plan with one thing changed, and what it must be refused for."""

from __future__ import annotations

from dataclasses import replace

from scheduler.model.material import Tape
from scheduler.model.plan import Plan
from scheduler.telling.views.index import Book
from tests.support.sound import CASE
from tests.support.written import Case


def only(rule: str, plan: Plan, step: str = "", case: Case = CASE, tape: Tape | None = None) -> str:
    """The plan breaks this rule at this step, and no other rule. Gives the sentence, its clock from 0 to 24."""
    found = case.broken(plan, tape)
    assert {(broken.rule, broken.step) for broken in found} == {(rule, step)}, "\n".join(map(str, found))
    return Book(replace(plan, clock24=True)).say(found[0].said)


def with_step(plan: Plan, name: str, **change: object) -> Plan:
    """The plan with some fields of one step replaced."""
    return replace(plan, steps=tuple(replace(s, **change) if s.id == name else s for s in plan.steps))  # type: ignore[arg-type]


def with_session(plan: Plan, index: int, **change: object) -> Plan:
    """The plan with some fields of one session replaced."""
    sessions = [replace(s, **change) if i == index else s for i, s in enumerate(plan.sessions)]  # type: ignore[arg-type]
    return replace(plan, sessions=tuple(sessions))


def with_graph(**change: object) -> Case:
    """The case with some fields of its task graph replaced."""
    return replace(CASE, graph=replace(CASE.graph, **change))  # type: ignore[arg-type]
