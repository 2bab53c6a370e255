"""After dust the wipe-down comes before any wet step: is there one at all, and what if not."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator

import networkx as nx

from scheduler.expanding.draft import Draft
from scheduler.expanding.order import as_network, sequence
from scheduler.model.basics import Estimate
from scheduler.model.graph import Link, Task
from scheduler.model.message import message
from scheduler.told import told

WIPED = "Vacuum and wipe down"

WIPING = Estimate(15, 20, 30)
"""To vacuum and wipe down a room of which nobody says how large it is, in minutes (common practice, no source)."""

WIPING_PIECE = 10
"""Wiping down may be left and taken up again, in pieces of so many minutes (common practice, no source)."""


def wipe_up_dust(draft: Draft) -> None:
    """A wipe-down of its own after each dusty step of a method after which wet work comes in its room and nothing
    wipes down in between; a fault where the person wrote the dusty step: they know best what is wiped, and when.
    """
    faulty: set[str] = set()
    while (found := _unwiped(draft, faulty)) is not None:
        task, wet = found
        if task.by_hand or not task.kind:
            faulty.add(task.id)
            said = told("nothing wipes the room down between `{id}` (dusty) and `{wet}` (wet)", id=task.id, wet=wet)
            draft.fault(task.place, said, told("add a step of kind wipes that follows `{id}`", id=task.id))
            continue
        name = f"{task.id}-wiped"
        draft.tasks.setdefault(name, _wiping(draft, name, task, wet))
        draft.links |= {Link(before=task.id, after=name), Link(before=name, after=wet)}


def _wiping(draft: Draft, name: str, task: Task, wet: str) -> Task:
    """The wipe-down after a step."""
    return Task(
        id=name,
        title=draft.trade.words(WIPED),
        room=task.room,
        work=WIPING,
        people=1,
        smallest_piece=WIPING_PIECE,
        wipes=True,
        added=message("added.unwiped", dusty=task.title, wet=draft.tasks[wet].title),
        place=task.place,
    )


def _unwiped(draft: Draft, faulty: set[str]) -> tuple[Task, str] | None:
    """The first dusty step, and the first wet one after it in its room, between which nothing wipes down.

    Sets of tasks are whole numbers, a bit for each place in the order: thousands of steps are compared at once.
    """
    network = as_network(draft)
    order = sequence(network)
    tasks = [draft.tasks.get(name) for name in order]  # None for an appointment
    after = _after(network, order)
    wet = _by_room(tasks, lambda task: task.wet)
    wiping = _by_room(tasks, lambda task: task.wipes)
    for at, task in enumerate(tasks):
        if task is None or not task.dusty or task.wipes or task.remedy_of is not None or task.id in faulty:
            continue
        unwiped = _first_unwiped(after, after[at] & wet[task.room], after[at] & wiping[task.room])
        if unwiped is not None:
            return task, order[unwiped]
    return None


def _after(network: nx.DiGraph, order: list[str]) -> list[int]:
    """By place in the order: all that comes after it, at once or after others."""
    places = {name: at for at, name in enumerate(order)}
    found = [0] * len(order)
    for at in reversed(range(len(order))):
        for follower in network.successors(order[at]):
            found[at] |= found[places[follower]] | 1 << places[follower]
    return found


def _by_room(tasks: list[Task | None], wanted: Callable[[Task], bool]) -> dict[str, int]:
    """The tasks of a kind in each room, without remedies."""
    found: dict[str, int] = defaultdict(int)
    for at, task in enumerate(tasks):
        if task is not None and wanted(task) and task.remedy_of is None:
            found[task.room] |= 1 << at
    return found


def _first_unwiped(after: list[int], wet: int, wiping: int) -> int | None:
    """The first wet one before which no wiping step can come: one is bound to come after it if it follows it."""
    # What stands behind a wiping step in the order does not come before it: that one can wipe for it.
    ahead = wet & ((wiping & -wiping) - 1) if wiping else wet
    return next((at for at in _bits(ahead) if not wiping & ~after[at]), None)


def _bits(number: int) -> Iterator[int]:
    while number:
        low = number & -number
        yield low.bit_length() - 1
        number ^= low
