"""Bring a calendar on a server to where the plan is. Run twice, or after a kill, it ends in the same place."""

from __future__ import annotations

from collections.abc import Callable, Collection, Container, Mapping
from dataclasses import dataclass
from functools import reduce

from scheduler.calendar.server.client import ChangedMeanwhileError, EventRefusedError, Server
from scheduler.calendar.server.differences import Changes, MovedByHand, changes
from scheduler.calendar.server.resources import Times, resources
from scheduler.errors import PublishError
from scheduler.told import told

IN_A_ROW = 5
"""Events that a server refuses one after the other before the rest is not tried any more."""


class PartlyPublishedError(PublishError):
    """A server did not take some events; the others are there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """How many events were new, changed, taken away and right already; and which a person had moved or deleted.

    `refused` are the events that the server did not take, with its answer; `clashes` counts those that somebody
    changed at that moment. `there` are the events of the plan that were put there at some time.
    """

    created: int
    updated: int
    removed: int
    unchanged: int
    moved: tuple[MovedByHand, ...]
    deleted: tuple[str, ...]
    refused: tuple[tuple[str, int], ...]
    clashes: int
    there: tuple[str, ...]


def publish(
    collection: Server,
    file: bytes,
    job: str,
    uids: Container[str],
    known: Mapping[str, Collection[Times]],
    overwrite: bool = False,
    had: Collection[str] = (),
) -> Published:
    """Put the live events of a calendar file into the collection, and take away those of ours that it lacks.

    Ours are the events of these `uids`, and those that are marked as of this `job` (its id). For `known`, `overwrite`
    and `had` see `changes`. An event that the server refuses keeps the others from nothing. Each event is looked at
    anew each time: after a kill the next run does the rest. Raises InputError and PublishError.
    """
    wanted = resources(file, job)
    todo = changes(wanted, collection.events(), lambda one: one.uid in uids or one.job == job, known, overwrite, had)
    refused, clashes = _do(collection, todo)
    not_there = {uid for uid, _ in refused} - set(had)
    names = [uid for uid in wanted if uid not in not_there]
    done = [(one, there) for one, there in todo.puts if one.uid not in dict(refused)]
    created = sum(there is None for _, there in done)
    return Published(
        created=created,
        updated=len(done) - created,
        removed=sum(there.uid not in dict(refused) for there in todo.removals),
        unchanged=todo.unchanged,
        moved=todo.moved,
        deleted=todo.deleted,
        refused=tuple(refused),
        clashes=clashes,
        there=tuple(names),
    )


def _do(collection: Server, todo: Changes) -> tuple[list[tuple[str, int]], int]:
    """Put and remove; what was refused, and how many were changed by somebody else meanwhile."""
    refused: list[tuple[str, int]] = []
    clashes = row = 0
    jobs: list[tuple[str, Callable[[], None]]] = [
        (resource.uid, lambda resource=resource, there=there: collection.put(resource, there))  # type: ignore[misc]
        for resource, there in todo.puts
    ]
    jobs += [(there.uid, lambda there=there: collection.remove(there)) for there in todo.removals]  # type: ignore[misc]
    for number, (uid, do) in enumerate(jobs):
        try:
            do()
            row = 0
        except ChangedMeanwhileError:
            clashes += 1
        except EventRefusedError as error:
            refused.append((uid, error.status))
            row += 1
            if row == IN_A_ROW:
                refused += [(uid, error.status) for uid, _ in jobs[number + 1 :]]
                break
    return refused, clashes


def why_not_all(url: str, done: Published, titles: Mapping[str, str]) -> PublishError | None:
    """What the server did not take, in a line; None if that is nothing."""
    said = []
    if done.refused:
        uid, status = done.refused[0]
        more = told(" and {more} more", more=len(done.refused) - 1) if len(done.refused) > 1 else ""
        what = {403: "perhaps that user may only read it", 507: "it has no room left", 413: "it is too long for it"}
        why = told("; {why}", why=what[status]) if status in what else ""
        said.append(
            told(
                "the server did not take “{name}”{more} (its answer was {status}{why})",
                name=titles.get(uid, uid),
                more=more,
                status=status,
                why=why,
            )
        )
    if done.clashes:
        one = "an event was changed by somebody else at this moment and left alone"
        more = told(
            "{events} events were changed by somebody else at this moment and left alone", events=done.clashes
        )
        said.append(one if done.clashes == 1 else more)
    if not said:
        return None
    both = reduce(lambda first, then: told("{first}; {then}", first=first, then=then), said)
    rest = "the rest went through, and the next command tries again"
    return PartlyPublishedError(told("{url}: {said}; {rest}", url=url, said=both, rest=rest))
