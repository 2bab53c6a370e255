"""What can be asked of the order of the work: circles, what lies between two steps, one agreed sequence."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import networkx as nx

from scheduler.errors import Place
from scheduler.expanding.draft import Draft
from scheduler.model.network import network_of
from scheduler.told import row, told

UNPLACED = (1 << 30, 0)
MOST_SAID = 8
"""Links of a circle that one line can hold."""


def as_network(draft: Draft) -> nx.DiGraph:
    """Each task and appointment, with all that a link puts after it."""
    visits = (visit.id for visit in draft.job.appointments)
    return network_of(draft.tasks.values(), draft.links, visits)


def sequence(network: nx.DiGraph) -> list[str]:
    """All tasks in an order that agrees with every link; ties by id, so that the order of the file plays no part."""
    return list(nx.lexicographical_topological_sort(network))


def find_circles(draft: Draft, network: nx.DiGraph) -> bool:
    """A fault for each knot of steps that follow one another round in a circle, at its first step; are there any?"""
    steps: nx.DiGraph = nx.DiGraph((after, before) for before, after in _owners_in_order(draft, network))
    if nx.is_directed_acyclic_graph(steps):
        return False
    places = {draft.owners[name]: task.place for name, task in reversed(draft.tasks.items())}
    places |= {visit.id: visit.place for visit in draft.job.appointments}
    for knot in nx.strongly_connected_components(steps):
        first = min(knot, key=lambda name: (*_position(places.get(name)), name))
        if len(knot) == 1 and not steps.has_edge(first, first):
            continue
        circle = _round_trip(steps.subgraph(knot), first)
        hint = "no step can wait for itself" if len(circle) == 1 else "take one of these out"
        draft.fault(places.get(circle[0]), told("the order goes round in a circle: {said}", said=_said(circle)), hint)
    return True


def _round_trip(knot: nx.DiGraph, first: str) -> list[str]:
    """The shortest way from `first` back to it, in the direction of "follows"; ties by name."""
    if knot.has_edge(first, first):
        return [first]
    ways = [nx.shortest_path(knot, follower, first) for follower in sorted(knot.successors(first))]
    return [first, *min(ways, key=lambda way: (len(way), way))[:-1]]


def _said(circle: list[str]) -> str:
    """Each step of a circle with the one that it follows; of a long circle the beginning and the end."""
    links = [
        told("{after} follows {before}", after=after, before=before)
        for after, before in pairwise([*circle, circle[0]])
    ]
    if len(links) > MOST_SAID:
        half = MOST_SAID // 2
        links = [*links[:half], told("and so on over {more} more", more=len(links) - 2 * half), *links[-half:]]
    return row(links)


def _owners_in_order(draft: Draft, network: nx.DiGraph) -> Iterator[tuple[str, str]]:
    """Steps and colours that links put one after another, the earlier one first."""
    for before, after in network.edges:
        tasks = [draft.tasks[name] for name in (before, after) if name in draft.tasks]
        if all(task.remedy_of is None for task in tasks):
            one, other = draft.owners.get(before, before), draft.owners.get(after, after)
            if one != other or before == after:
                yield one, other


def _position(place: Place | None) -> tuple[int, int]:
    return (place.line, place.column) if place else UNPLACED
