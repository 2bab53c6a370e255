"""What can be asked of the order of the work: circles, what lies between two steps, one agreed sequence."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import networkx as nx

from scheduler.errors import Place
from scheduler.expanding.draft import Draft

UNPLACED = (1 << 30, 0)


def as_network(draft: Draft) -> nx.DiGraph:
    """Tasks as nodes, each link an edge; a remedy lies between the two tasks whose window it mends."""
    network: nx.DiGraph = nx.DiGraph()
    network.add_nodes_from(draft.tasks)
    network.add_edges_from((link.before, link.after) for link in draft.links)
    for task in draft.tasks.values():
        if task.remedy_of:
            before, after = task.remedy_of
            network.add_edges_from([(before, task.id), (task.id, after)])
    return network


def sequence(network: nx.DiGraph) -> list[str]:
    """All tasks in an order that agrees with every link; ties by id, so that the order of the file plays no part."""
    return list(nx.lexicographical_topological_sort(network))


def find_circles(draft: Draft, network: nx.DiGraph) -> None:
    """A fault for each knot of steps that follow one another round in a circle, at its first step."""
    for circle in _circles(draft, network):
        names = [*circle, circle[0]]
        said = ", ".join(f"{after} follows {before}" for after, before in pairwise(names))
        hint = "no step can wait for itself" if len(circle) == 1 else "take one of these out"
        draft.fault(_place(draft, circle[0]), f"the order goes round in a circle: {said}", hint)


def _circles(draft: Draft, network: nx.DiGraph) -> Iterator[list[str]]:
    """One shortest circle for each knot, as steps and colours, in the direction of "follows"."""
    steps: nx.DiGraph = nx.DiGraph()
    for before, after in network.edges:
        if draft.tasks[before].remedy_of is None and draft.tasks[after].remedy_of is None:
            one, other = draft.owners[before], draft.owners[after]
            if one != other or before == after:
                steps.add_edge(other, one)
    for knot in nx.strongly_connected_components(steps):
        first = min(knot, key=lambda name: (_position(draft, name), name))
        if steps.has_edge(first, first):
            yield [first]
        elif len(knot) > 1:
            yield _round_trip(steps.subgraph(knot), first)


def _round_trip(knot: nx.DiGraph, first: str) -> list[str]:
    """The shortest way from `first` back to it; ties by name."""
    ways = [nx.shortest_path(knot, follower, first) for follower in sorted(knot.successors(first))]
    return [first, *min(ways, key=lambda way: (len(way), way))[:-1]]


def _place(draft: Draft, owner: str) -> Place | None:
    return next((task.place for name, task in draft.tasks.items() if draft.owners[name] == owner), None)


def _position(draft: Draft, owner: str) -> tuple[int, int]:
    place = _place(draft, owner)
    return (place.line, place.column) if place else UNPLACED
