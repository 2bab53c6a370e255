"""The order of the work as a graph of networkx 3, which then answers what comes after what."""

from __future__ import annotations

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from scheduler.expanding.order import sequence
from scheduler.model.basics import Estimate
from scheduler.model.graph import Link, Task, TaskGraph, Visit
from scheduler.model.network import FOLLOWS, network_in


def task(name: str, remedy_of: tuple[str, str] | None = None) -> Task:
    work = Estimate(10, 10, 10)
    return Task(id=name, title=name, room="room", work=work, people=1, smallest_piece=None, remedy_of=remedy_of)


@st.composite
def graphs(draw: st.DrawFn) -> TaskGraph:
    """Up to nine tasks with links that never go round: each points to a task further on in some order."""
    names = draw(st.permutations([f"task-{number}" for number in range(draw(st.integers(1, 9)))]))
    links = [
        Link(before=name, after=after, stage=draw(st.sampled_from([None, "touch", "recoat"])))
        for at, name in enumerate(names[:-1])
        for after in draw(st.lists(st.sampled_from(names[at + 1 :]), max_size=4))
    ]
    return TaskGraph(tasks=tuple(map(task, draw(st.permutations(names)))), links=tuple(links))


@given(graphs())
def test_an_edge_holds_all_that_links_say_of_its_two_tasks(graph: TaskGraph) -> None:
    """No link is lost where two say something of the same tasks, and none stands on another edge."""
    network = network_in(graph)
    assert set(network) == {each.id for each in graph.tasks}
    for before, after, follows in network.edges.data(FOLLOWS):
        assert list(follows) == [link for link in graph.links if (link.before, link.after) == (before, after)]
    assert sum(len(follows) for _, _, follows in network.edges.data(FOLLOWS)) == len(graph.links)


@given(graphs())
def test_each_next_task_is_the_first_by_name_of_those_that_wait_for_nothing(graph: TaskGraph) -> None:
    left = {each.id for each in graph.tasks}
    for name in sequence(network_in(graph)):
        assert name == min(left - {link.after for link in graph.links if link.before in left})
        left.remove(name)
    assert not left


def test_a_remedy_lies_between_the_two_whose_window_it_mends_and_an_appointment_where_its_links_say() -> None:
    """No link names the remedy, and those of an appointment are its own: the order knows both."""
    visit = Visit(
        id="fitters",
        title="Fitters",
        start=0,
        end=60,
        rooms=("room",),
        after=(Link(before="coat-2", after="fitters"),),
        then=(Link(before="fitters", after="tidy"),),
    )
    graph = TaskGraph(
        tasks=(task("coat-1"), task("scuff", ("coat-1", "coat-2")), task("coat-2"), task("tidy")),
        links=(Link(before="coat-1", after="coat-2"),),
        visits=(visit,),
    )
    network = network_in(graph)
    assert sequence(network) == ["coat-1", "scuff", "coat-2", "fitters", "tidy"]
    assert network.edges["coat-1", "scuff"][FOLLOWS] == ()
    assert nx.descendants(network, "coat-2") == {"fitters", "tidy"}
