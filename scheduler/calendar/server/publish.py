"""Bring a calendar on a server to where the plan is. Run twice, or after a kill, it ends in the same place."""

from __future__ import annotations

from collections.abc import Collection, Container, Mapping
from dataclasses import dataclass

from scheduler.calendar.server.client import ChangedMeanwhileError, Server
from scheduler.calendar.server.differences import MovedByHand, changes
from scheduler.calendar.server.resources import Times, resources
from scheduler.errors import PublishError


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """How many events were new, changed, taken away and right already; and which a person had moved."""

    created: int
    updated: int
    removed: int
    unchanged: int
    moved: tuple[MovedByHand, ...]


def publish(
    collection: Server,
    file: bytes,
    job: str,
    uids: Container[str],
    known: Mapping[str, Collection[Times]],
    overwrite: bool = False,
) -> Published:
    """Put the live events of a calendar file into the collection, and take away those of ours that it lacks.

    Ours are the events of these `uids`, and those that are marked as of this `job` (its id). For `known` and
    `overwrite` see `changes`. Each event is looked at anew each time, and nothing is
    remembered here: after a kill the next run does the rest. Raises InputError and PublishError.
    """
    wanted = resources(file, job)
    todo = changes(wanted, collection.events(), lambda one: one.uid in uids or one.job == job, known, overwrite)
    clashes = 0
    for resource, there in todo.puts:
        try:
            collection.put(resource, there)
        except ChangedMeanwhileError:
            clashes += 1
    for there in todo.removals:
        try:
            collection.remove(there)
        except ChangedMeanwhileError:
            clashes += 1
    if clashes:
        what = "an event was" if clashes == 1 else f"{clashes} events were"
        raise PublishError(f"{what} changed by somebody else at this moment and left alone; run the command again")
    created = sum(there is None for _, there in todo.puts)
    return Published(
        created=created,
        updated=len(todo.puts) - created,
        removed=len(todo.removals),
        unchanged=todo.unchanged,
        moved=todo.moved,
    )
