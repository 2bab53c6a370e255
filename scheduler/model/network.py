"""The order of the work as a graph of networkx: tasks and appointments, and what follows what.

Networkx takes a tenth of a second to load, so only what asks for an order imports this.
"""

from __future__ import annotations

from collections.abc import Iterable

import networkx as nx

from scheduler.model.graph import Link, Task, TaskGraph

FOLLOWS = "follows"
"""Where an edge keeps the links that it stands for, a tuple: two tasks may be linked at several stages. It is empty
where a remedy lies between the two tasks whose window it mends, which no link says."""


def network_of(tasks: Iterable[Task], links: Iterable[Link], visits: Iterable[str] = ()) -> nx.DiGraph:
    """A node for each task and appointment, by id, and an edge from each to all that a link puts after it."""
    network: nx.DiGraph = nx.DiGraph()
    network.add_nodes_from(visits)
    for task in tasks:
        network.add_node(task.id)
        if task.remedy_of is not None:
            before, after = task.remedy_of
            network.add_edge(before, task.id, **{FOLLOWS: ()})
            network.add_edge(task.id, after, **{FOLLOWS: ()})
    for link in links:
        known = network.get_edge_data(link.before, link.after, {})
        network.add_edge(link.before, link.after, **{FOLLOWS: (*known.get(FOLLOWS, ()), link)})
    return network


def network_in(graph: TaskGraph) -> nx.DiGraph:
    """The order of all that is to be done. What the planner may still choose is not in it."""
    ends = (link for visit in graph.visits for link in (*visit.after, *visit.then))
    return network_of(graph.tasks, (*graph.links, *ends), (visit.id for visit in graph.visits))
