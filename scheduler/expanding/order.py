"""What can be asked of the order of the work: circles, what lies between two steps, one agreed sequence."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from graphlib import CycleError, TopologicalSorter
from heapq import heapify, heappop, heappush
from itertools import pairwise
from typing import TypeAlias

from scheduler.errors import Place
from scheduler.expanding.draft import Draft

UNPLACED = (1 << 30, 0)
MOST_SAID = 8
"""Links of a circle that one line can hold."""

Network: TypeAlias = dict[str, set[str]]
"""What comes straight after each task."""


def as_network(draft: Draft) -> Network:
    """Each task with all that a link puts after it; a remedy lies between the two tasks whose window it mends."""
    network: Network = {name: set() for name in (*draft.tasks, *(visit.id for visit in draft.job.appointments))}
    for link in draft.links:
        network[link.before].add(link.after)
    for task in draft.tasks.values():
        if task.remedy_of:
            before, after = task.remedy_of
            network[before].add(task.id)
            network[task.id].add(after)
    return network


def sequence(network: Network) -> list[str]:
    """All tasks in an order that agrees with every link; ties by id, so that the order of the file plays no part."""
    sorter = _sorter((before, after) for before, followers in network.items() for after in followers)
    for name in network:
        sorter.add(name)
    sorter.prepare()
    ready, order = list(sorter.get_ready()), list[str]()
    heapify(ready)
    while ready:
        order.append(heappop(ready))
        sorter.done(order[-1])
        for name in sorter.get_ready():
            heappush(ready, name)
    return order


def all_after(network: Network, name: str) -> set[str]:
    """All tasks that come after one, at once or after others."""
    found, ahead = set[str](), [name]
    while ahead:
        further = network[ahead.pop()] - found
        found |= further
        ahead += further
    return found


def find_circles(draft: Draft, network: Network) -> bool:
    """A fault for each knot of steps that follow one another round in a circle, at its first step; are there any?"""
    pairs = list(_owners_in_order(draft, network))
    if not _goes_round(pairs):
        return False
    from scheduler.expanding.circles import circles  # slow to load, and of use only here

    places = {draft.owners[name]: task.place for name, task in reversed(draft.tasks.items())}
    places |= {visit.id: visit.place for visit in draft.job.appointments}
    for circle in circles(pairs, lambda name: (*_position(places.get(name)), name)):
        hint = "no step can wait for itself" if len(circle) == 1 else "take one of these out"
        draft.fault(places.get(circle[0]), f"the order goes round in a circle: {_said(circle)}", hint)
    return True


def _said(circle: list[str]) -> str:
    """Each step of a circle with the one that it follows; of a long circle the beginning and the end."""
    links = [f"{after} follows {before}" for after, before in pairwise([*circle, circle[0]])]
    if len(links) > MOST_SAID:
        half = MOST_SAID // 2
        links = [*links[:half], f"and so on over {len(links) - 2 * half} more", *links[-half:]]
    return ", ".join(links)


def _owners_in_order(draft: Draft, network: Network) -> Iterator[tuple[str, str]]:
    """Steps and colours that links put one after another, the earlier one first."""
    for before, followers in network.items():
        for after in followers:
            tasks = [draft.tasks[name] for name in (before, after) if name in draft.tasks]
            if all(task.remedy_of is None for task in tasks):
                one, other = draft.owners.get(before, before), draft.owners.get(after, after)
                if one != other or before == after:
                    yield one, other


def _goes_round(pairs: Iterable[tuple[str, str]]) -> bool:
    try:
        _sorter(pairs).prepare()
    except CycleError:
        return True
    return False


def _sorter(pairs: Iterable[tuple[str, str]]) -> TopologicalSorter[str]:
    sorter = TopologicalSorter[str]()
    for before, after in pairs:
        sorter.add(after, before)
    return sorter


def _position(place: Place | None) -> tuple[int, int]:
    return (place.line, place.column) if place else UNPLACED
