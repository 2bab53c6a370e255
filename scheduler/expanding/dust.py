"""After dust the wipe-down comes before any wet step: is there one at all?"""

from __future__ import annotations

from scheduler.expanding.draft import Draft
from scheduler.expanding.order import Network, all_after
from scheduler.model.graph import Task


def find_unwiped_dust(draft: Draft, network: Network, order: list[str]) -> None:
    """A fault at each dusty step after which wet work comes in its room and nothing wipes down in between."""
    tasks = [draft.tasks[name] for name in order if draft.tasks[name].remedy_of is None]
    for dusty in (task for task in tasks if task.dusty and not task.wipes):
        later = all_after(network, dusty.id)
        here = [task for task in tasks if task.room == dusty.room and task.id in later]
        wipes = [task for task in here if task.wipes]
        wet = next((task for task in here if task.wet and not _wiped_before(network, wipes, task)), None)
        if wet is not None:
            message = f"nothing wipes the room down between `{dusty.id}` (dusty) and `{wet.id}` (wet)"
            draft.fault(dusty.place, message, f"add a step of kind wipes that follows `{dusty.id}`")


def _wiped_before(network: Network, wipes: list[Task], wet: Task) -> bool:
    """Whether one of the wiping steps can come before the wet one: it is bound to unless it follows it."""
    after = all_after(network, wet.id)
    return any(wipe.id not in after for wipe in wipes)
