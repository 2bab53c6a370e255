"""The verifier: every rule that a plan must keep, checked by code that shares nothing with the planner.

A rule is one small function of a file beside this one; its docstring states it, its name is its name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from zoneinfo import ZoneInfo

from scheduler.model.broken import Broken
from scheduler.model.clock import FilmClocks
from scheduler.model.facts import Facts
from scheduler.model.graph import TaskGraph
from scheduler.model.hours import Window
from scheduler.model.job import Job
from scheduler.model.material import Tape
from scheduler.model.plan import Plan
from scheduler.verifying import agreed, hours, keeps, labour, order, presence, rooms, sessions, whole
from scheduler.verifying import as_told as told
from scheduler.verifying.evidence import Check, Evidence, decided

CHECKS: tuple[Check, ...] = (
    hours.work_hours,
    hours.set_up_and_clear_up,
    hours.enough_people,
    hours.quiet_hours,
    hours.rooms_open,
    hours.not_in_the_past,
    labour.labour,
    labour.hands,
    labour.pieces_in_order,
    labour.one_piece,
    labour.smallest_piece,
    order.links,
    order.order_kept,
    order.choices,
    order.windows_kept,
    order.remedies_needed,
    order.tape_time,
    rooms.dust_and_wet_film,
    rooms.no_dust_while_wiping,
    rooms.wiped_before_wet,
    rooms.closed_rooms,
    rooms.air_limits,
    presence.somebody_there,
    rooms.items_there,
    rooms.things_shared,
    keeps.things_kept,
    keeps.given_back,
    keeps.holds_told,
    agreed.appointments_kept,
    agreed.appointments_told,
    agreed.promises_told,
    whole.complete,
    whole.nothing_unknown,
    whole.recorded,
    whole.as_the_job_says,
    whole.heading,
    sessions.windows_shown,
    sessions.sessions_in_order,
    sessions.in_one_session,
    sessions.sessions_filled,
    sessions.sessions_one_stretch,
    sessions.sessions_set_up,
    told.sums,
    told.bound_honest,
    told.films_told,
    told.as_felt,
    told.waits_told,
)


def rule_name(check: Check) -> str:
    """The name of a rule in words: `work_hours` is "work hours"."""
    return check.__name__.replace("_", " ")


def verify(
    plan: Plan,
    job: Job,
    graph: TaskGraph,
    windows: tuple[Window, ...],
    films: Mapping[str, FilmClocks],
    facts: Facts,
    tape: Tape | None = None,
) -> tuple[Broken, ...]:
    """Every place where a plan breaks a rule, in the order of the rules; empty if it is sound.

    `windows` are all work windows of the job (not only those that the plan shows), `films` the dry clocks by
    task. What `facts` records has happened, however it happened: only what the plan itself decided is judged.
    """
    evidence = Evidence(
        plan=plan,
        job=job,
        graph=graph,
        windows=windows,
        films=films,
        facts=facts,
        tape=tape,
        zone=ZoneInfo(job.zone),
        tasks={task.id: task for task in graph.tasks},
        steps={step.id: step for step in reversed(plan.steps)},
    )
    evidence = replace(evidence, chosen=tuple(decided(evidence, choice) for choice in graph.choices))
    return tuple(Broken(rule_name(check), step, said) for check in CHECKS for step, said in check(evidence))
