"""The plan as a graph for other programs: steps, what each waited for, and how long; GraphML or node-link JSON.

An edge stands for one wait, so that two steps may have several: for the end of a step, and for stages of its film.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from io import BytesIO
from types import MappingProxyType
from zoneinfo import ZoneInfo

import networkx as nx

from scheduler.model.plan import Plan, PlannedStep, Ready
from scheduler.telling.machine.json_text import json_text, moment
from scheduler.telling.marks import GRAPH
from scheduler.telling.views.index import Book
from scheduler.telling.wording import one_line
from scheduler.wallclock import NEVER


def graph_of(plan: Plan) -> nx.MultiDiGraph:
    """The steps of a plan with their times, and an edge for each wait from the step that is waited for.

    Lengths are in whole minutes, moments in ISO 8601 with the offset of the job's zone; what is not known is left
    out. `wait_minutes` of an edge runs from the end of the first step to the moment at which the second may start.
    """
    book, zone = Book(plan), ZoneInfo(plan.zone)
    found = nx.MultiDiGraph(made_by=GRAPH, job=book.job, zone=plan.zone, finish=moment(plan.finish, zone))
    for step in plan.steps:
        found.add_node(step.id, **_step(book, step, zone))
    for step in plan.steps:
        for wait in step.after:
            if wait.step in book.steps and wait.ready < NEVER:
                found.add_edge(wait.step, step.id, key=wait.stage, **_wait(book.steps[wait.step], wait, zone))
    return found


def _step(book: Book, step: PlannedStep, zone: ZoneInfo) -> dict[str, object]:
    values: dict[str, object] = {
        "title": book.title(step),
        "room": book.room(step),
        "state": step.state,
        "people": step.people,
        "labour_minutes": step.labour,
        "start": moment(step.start, zone),
        "end": moment(step.end, zone),
    }
    if step.film is not None:
        values["material"] = one_line(step.film.material)
    return values


def _wait(before: PlannedStep, wait: Ready, zone: ZoneInfo) -> dict[str, object]:
    values: dict[str, object] = {
        "stage": wait.stage,
        "ready": moment(wait.ready, zone),
        "wait_minutes": wait.ready - before.end,
    }
    if wait.latest is not None and wait.latest < NEVER:
        values["latest"] = moment(wait.latest, zone)
    return values


def _graphml(graph: nx.MultiDiGraph) -> bytes:
    file = BytesIO()
    nx.write_graphml_xml(graph, file)
    return file.getvalue() + b"\n"


def _node_link(graph: nx.MultiDiGraph) -> bytes:
    return json_text(nx.node_link_data(graph, edges="edges")).encode("ascii")


WRITERS: Mapping[str, Callable[[nx.MultiDiGraph], bytes]] = MappingProxyType(
    {".graphml": _graphml, ".json": _node_link}
)
"""By the ending of the file: GraphML (Brandes and others, 2002), and node-link data as networkx reads it."""


def graph_file(plan: Plan, ending: str) -> bytes:
    """The content of a file with that ending, the same bytes for the same plan. Raises KeyError for another."""
    return WRITERS[ending](graph_of(plan))
