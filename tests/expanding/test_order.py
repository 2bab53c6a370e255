"""The order of the work against networkx 3, a general-purpose library of graphs, on networks drawn at random."""

from __future__ import annotations

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from scheduler.expanding.order import Network, all_after, sequence


@st.composite
def networks(draw: st.DrawFn) -> Network:
    """Up to twelve tasks with links that never go round: each points to a task further on in some order."""
    names = draw(st.permutations([f"task-{number}" for number in range(draw(st.integers(1, 12)))]))
    network: Network = {name: set() for name in draw(st.permutations(names))}
    for at, name in enumerate(names[:-1]):
        network[name] |= draw(st.sets(st.sampled_from(names[at + 1 :])))
    return network


def as_graph(network: Network) -> nx.DiGraph:
    graph: nx.DiGraph = nx.DiGraph()
    graph.add_nodes_from(network)
    graph.add_edges_from((before, after) for before, followers in network.items() for after in followers)
    return graph


@given(networks())
def test_the_sequence_is_the_first_by_name_of_all_that_agree_with_the_links(network: Network) -> None:
    assert sequence(network) == list(nx.lexicographical_topological_sort(as_graph(network)))


@given(networks())
def test_all_that_comes_after_a_task_is_found(network: Network) -> None:
    for name in network:
        assert all_after(network, name) == nx.descendants(as_graph(network), name)
