"""After dust the wipe-down comes before any wet step: is there one at all?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator

from scheduler.expanding.draft import Draft
from scheduler.expanding.order import Network
from scheduler.model.graph import Task


def find_unwiped_dust(draft: Draft, network: Network, order: list[str]) -> None:
    """A fault at each dusty step after which wet work comes in its room and nothing wipes down in between.

    Sets of tasks are whole numbers, a bit for each place in `order`: thousands of steps are compared at once.
    """
    tasks = [draft.tasks.get(name) for name in order]  # None for an appointment
    after = _after(network, order)
    wet = _by_room(tasks, lambda task: task.wet)
    wiping = _by_room(tasks, lambda task: task.wipes)
    for at, task in enumerate(tasks):
        if task is None or not task.dusty or task.wipes or task.remedy_of is not None:
            continue
        unwiped = _first_unwiped(after, after[at] & wet[task.room], after[at] & wiping[task.room])
        if unwiped is not None:
            message = f"nothing wipes the room down between `{task.id}` (dusty) and `{order[unwiped]}` (wet)"
            draft.fault(task.place, message, f"add a step of kind wipes that follows `{task.id}`")


def _after(network: Network, order: list[str]) -> list[int]:
    """By place in the order: all that comes after it, at once or after others."""
    places = {name: at for at, name in enumerate(order)}
    found = [0] * len(order)
    for at in reversed(range(len(order))):
        for follower in network[order[at]]:
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
