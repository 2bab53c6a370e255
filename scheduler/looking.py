"""A job file with all that belongs to it, looked over as far as its faults let it: read -> unfold -> expand.

What can be checked independently of another fault is found in the same run: each stage goes on with what is sound,
and with the doubts that the faults before it leave, so that one mistake brings one line.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from scheduler.errors import Fault, InputError, Place
from scheduler.expanding import expand_as_far, unfold_as_far
from scheduler.model.doubts import NO_DOUBTS, Doubts
from scheduler.model.graph import TaskGraph
from scheduler.model.job import Job, Quantity
from scheduler.model.material import Trade
from scheduler.model.method import Methods
from scheduler.reading.jobfile import job_file, listed, look_at_job
from scheduler.reading.methods import look_at_methods, materials_of, methods_named
from scheduler.reading.profiles import look_at_trade, named_in, used_in
from scheduler.reading.tradewords import trade_words
from scheduler.told import told


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """What was seen. With faults the job is what is sound of it, never to be planned; without any there are a job, a
    trade and a graph."""

    job: Job | None
    trade: Trade | None = None
    graph: TaskGraph | None = None
    faults: tuple[Fault, ...] = ()
    measures: tuple[Quantity, ...] = ()

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        """What labour and amounts are reckoned from."""
        return self.job.quantities if self.job else ()


def read(path: Path) -> tuple[Job, Trade]:
    """The job file (or the folder that holds `job.yaml`) and the profiles that hold for it. Raises InputError.

    What its scope stands for is in it as steps, colours and borders.
    """
    seen, doubts = _unfolded(path)
    if seen.faults or seen.job is None or seen.trade is None:
        raise InputError(_expanded(seen, doubts).faults)
    return seen.job, seen.trade


def look(path: Path) -> Inspection:
    """All of it, with every fault. Raises InputError for a file that can't be read as a text of keys and values."""
    return _expanded(*_unfolded(path))


def short_handed(seen: Inspection) -> tuple[Fault, ...]:
    """A fault for each step of a method that takes more people than the hours ever have: it is read, and never
    planned."""
    if seen.job is None or seen.graph is None:
        return ()
    most = max((hours.people for hours in seen.job.hours), default=1)
    place = seen.job.place or Place(seen.job.name)
    found = (
        Fault(
            task.place or place,
            told(
                "`{id}` takes {people} people, and no hours have more than {most}",
                id=task.id,
                people=task.people,
                most=most,
            ),
            told("add hours with `people: {people}`, a session with a helper", people=task.people),
        )
        for task in seen.graph.tasks
        if task.people > most
    )
    return tuple(listed(tuple(found)))


def _unfolded(path: Path) -> tuple[Inspection, Doubts]:
    """The job with the steps of its methods and the trade, and what the faults so far leave in doubt."""
    file = job_file(path)
    seen = look_at_job(file)
    job = seen.job
    if job is None:
        return Inspection(job=None, faults=seen.faults), seen.doubts
    words = trade_words(job.language)
    job = words.over(job)
    methods, of_methods = Methods(loaded={}), tuple[Fault, ...]()
    if job.scope is not None:
        methods, of_methods = look_at_methods(file.parent, methods_named(job))
        methods = replace(methods, loaded={name: words.over(each) for name, each in methods.loaded.items()})
    named = named_in(job) | materials_of(methods, job)
    trade, of_trade = look_at_trade(file.parent, named)
    spoken = replace(words.over(trade), words=words)
    found = unfold_as_far(job, methods, spoken, seen.doubts.more(any_fault=bool(of_methods or of_trade)))
    more = used_in(found.job) & set(trade.known) - {material.id for material in trade.materials}
    if more and not of_trade:
        trade, of_trade = look_at_trade(file.parent, named | more)  # what no step lays, and some step uses up
    faults = _once(seen.faults, of_methods, of_trade, found.faults)
    unread = {*trade.known} - {material.id for material in trade.materials} if of_trade else set()
    doubts = found.doubts.more(materials=unread, any_fault=True) if faults else NO_DOUBTS
    trade = replace(words.over(trade), notes=(*trade.notes, *methods.notes), words=words)
    return Inspection(job=found.job, trade=trade, faults=faults, measures=found.measures), doubts


def _expanded(seen: Inspection, doubts: Doubts) -> Inspection:
    """The same with the task graph, or with the faults that keep it from being one."""
    if seen.job is None or seen.trade is None:
        return replace(seen, faults=tuple(listed(seen.faults)))
    found = expand_as_far(seen.job, seen.trade, doubts)
    faults = tuple(listed(_once(seen.faults, found.faults)))
    return replace(seen, graph=None if faults else found.graph, faults=faults)


def _once(*layers: tuple[Fault, ...]) -> tuple[Fault, ...]:
    """The faults of all stages; where one has found something, a later one has nothing to say."""
    found: list[Fault] = []
    for layer in layers:
        taken = {fault.place for fault in found}
        found += [fault for fault in layer if fault.place not in taken]
    return tuple(found)
