"""What a person should be told about an entry that is right as far as anybody knows, but may not be all of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from zoneinfo import ZoneInfo

from scheduler.living.site import Site
from scheduler.model.diary import Did, Entry, Left
from scheduler.model.job import Item
from scheduler.planning.lower import there_from
from scheduler.wallclock import local_date


def notes(site: Site, entries: Sequence[Entry], now: int) -> Iterator[str]:
    """One sentence each: what goes before and is not recorded, what is missing by the record, what cannot pause."""
    recorded = {*site.standing.done, *site.standing.begun}
    work = {task.id for task in site.graph.tasks if task.work.planned and task.remedy_of is None}
    for entry in entries:
        if not isinstance(entry.event, Did | Left):
            continue
        task = site.graph.task(entry.event.step)
        before = {link.before for link in site.graph.links if link.after == task.id}
        missing = sorted((before & work) - recorded)
        if missing:
            some = ", ".join(f"`{name}`" for name in missing)
            yield f"Not recorded as done, though `{task.id}` follows it: {some}."
        for item in site.standing.job.items:
            if item.id in task.needs and item.arrived is None:
                yield f"“{item.title}” is not recorded as there: tackfree arrived {site.files.job} {item.id}"
        if isinstance(entry.event, Left) and task.smallest_piece is None:
            yield f"“{task.title}” is work in one piece (a wet edge, say): look at the joint before going on."
    yield from _overdue(site, now)


def _overdue(site: Site, now: int) -> Iterator[str]:
    """Items that were to be there by now, of which nobody has said that they are."""
    zone = ZoneInfo(site.job.zone)
    for item in site.standing.job.items:
        if _waits(site, item) and item.arrived is None and there_from(item, zone) <= now:
            yield (
                f"“{item.title}” was expected {item.expected} and the plan takes it as there on "
                f"{local_date(now, zone)}. If it is: tackfree arrived {site.files.job} {item.id}; "
                f"if not: tackfree late {site.files.job} {item.id} DATE"
            )


def _waits(site: Site, item: Item) -> bool:
    """Whether a step that needs the item has not begun."""
    recorded = {*site.standing.done, *site.standing.begun}
    return any(item.id in task.needs and task.id not in recorded for task in site.graph.tasks)
