"""What an `--undo` takes back: the newest entry of the diary that a person means, with all else of its command."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from scheduler.diary.naming import named
from scheduler.errors import wrong_input
from scheduler.living.site import Site
from scheduler.model.diary import (
    Arrived,
    Bought,
    Did,
    Entry,
    Event,
    Felt,
    Late,
    Left,
    Lost,
    Ordered,
    Skipped,
    Undone,
    living,
    standing_lines,
)
from scheduler.model.names import slug
from scheduler.told import told
from scheduler.wallclock import DAY, at_local


@dataclass(frozen=True, slots=True)
class About:
    """Some entries of a diary: what picks them, and what they are about, in words. `beside` picks what goes with
    them where the same command wrote it."""

    picks: Callable[[Event], bool]
    said: str
    beside: Callable[[Event], bool] = lambda event: False


EVERYTHING = About(lambda event: True, "this job")


def undo(site: Site, about: About, where: str) -> list[Undone]:
    """The newest of these entries that still holds is taken back, with all else of them that its command wrote: what
    it took back holds again. Raises InputError if there is none.
    """
    found: list[Entry] = [entry for entry in living(site.entries) if about.picks(entry.event)]
    if not found:
        raise wrong_input(
            where, told("nothing is recorded about {said}", said=about.said), "see what is: `tackfree diary JOB`"
        )
    return _undone(site, about, found[-1])


def take_back(site: Site, entry: Entry) -> list[Undone]:
    """An entry that holds is taken back, with all else that its command wrote: what it took back holds again."""
    return _undone(site, EVERYTHING, entry)


def _undone(site: Site, about: About, newest: Entry) -> list[Undone]:
    if newest.command is None:
        return [Undone(line=newest.line)]
    events = {entry.line: entry.event for entry in site.entries}
    together = [
        entry.line
        for entry in standing_lines(site.entries)
        if entry.command == newest.command
        and any(
            picks(events[entry.event.line] if isinstance(entry.event, Undone) else entry.event)
            for picks in (about.picks, about.beside)
        )
    ]
    return [Undone(line=line) for line in together]


def step_entries(site: Site, step: str) -> About:
    """The entries about a step. It may have left the job file by now."""
    titles = {**_recorded_steps(site), **site.titles}
    name = named(step, titles, "step", "STEP")
    return About(lambda event: isinstance(event, Did | Left | Skipped) and event.step == name, f"`{name}`")


def felt_entries(site: Site, step: str, stage: str | None) -> About:
    """The entries about how the film of a step felt, at one stage if it is named."""
    recorded = {e.event.step: e.event.step for e in site.entries if isinstance(e.event, Felt)}
    name = named(step, {**recorded, **site.titles}, "step", "STEP")
    wanted = None if stage is None else slug(stage).replace("-", "_")
    return About(
        lambda event: isinstance(event, Felt) and event.step == name and wanted in (None, event.stage),
        told("how the film of `{name}` felt", name=name),
    )


def item_entries(site: Site, item: str, kind: type[Late] | type[Arrived]) -> About:
    """The entries of a kind about an item."""
    recorded = {e.event.item: e.event.item for e in site.entries if isinstance(e.event, Late | Arrived)}
    name = named(item, {**recorded, **site.item_titles}, "item on order", "ITEM")
    return About(lambda event: isinstance(event, kind) and event.item == name, f"`{name}`")


def thing_entries(site: Site, name: str, kind: type[Ordered] | type[Bought]) -> About:
    """The entries of a kind about a thing that was bought or ordered. With an order goes the day that was named."""
    recorded = {e.event.thing: e.event.thing for e in site.entries if isinstance(e.event, Ordered | Bought)}
    thing = named(name, recorded, "thing to buy", "THING") if recorded else slug(name)
    return About(
        lambda event: isinstance(event, kind) and event.thing == thing,
        f"`{thing}`",
        beside=lambda event: kind is Ordered and isinstance(event, Late) and event.item == thing,
    )


def lost_entries(site: Site, day: date) -> About:
    """The entries about hours lost on a day."""
    zone = ZoneInfo(site.job.zone)
    start, end = at_local(day, 0, zone), at_local(day, DAY, zone)
    return About(
        lambda event: isinstance(event, Lost) and event.span.start < end and start < event.span.end, f"{day}"
    )


def _recorded_steps(site: Site) -> dict[str, str]:
    return {e.event.step: e.event.step for e in site.entries if isinstance(e.event, Did | Left | Skipped)}
