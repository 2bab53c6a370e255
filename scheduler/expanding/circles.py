"""Steps that follow one another round in a circle: which ones, said as shortly as can be."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

import networkx as nx


def circles(pairs: Iterable[tuple[str, str]], place: Callable[[str], tuple[int, int, str]]) -> Iterator[list[str]]:
    """One shortest circle for each knot, from its first step by `place` on, in the direction of "follows".

    Each of the pairs names what comes before and what comes straight after it.
    """
    steps: nx.DiGraph = nx.DiGraph((after, before) for before, after in pairs)
    for knot in nx.strongly_connected_components(steps):
        first = min(knot, key=place)
        if steps.has_edge(first, first):
            yield [first]
        elif len(knot) > 1:
            yield _round_trip(steps.subgraph(knot), first)


def _round_trip(knot: nx.DiGraph, first: str) -> list[str]:
    """The shortest way from `first` back to it; ties by name."""
    ways = [nx.shortest_path(knot, follower, first) for follower in sorted(knot.successors(first))]
    return [first, *min(ways, key=lambda way: (len(way), way))[:-1]]
