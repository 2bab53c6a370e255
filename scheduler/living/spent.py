"""How long a person says a step took, or how a film felt: what they say about it becomes part of the record.

Only what somebody said teaches anything: the pieces of a step that nobody timed are derived from the plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from zoneinfo import ZoneInfo

from scheduler.diary.naming import named
from scheduler.errors import brief, wrong_input
from scheduler.living.site import Site
from scheduler.model.basics import Span
from scheduler.model.diary import Did, Event, Felt, Left, Undone, living
from scheduler.model.graph import Task
from scheduler.model.names import meant, slug
from scheduler.model.spans import without
from scheduler.telling.wording import Clockface, length_words
from scheduler.told import told
from scheduler.wallclock import DAY
from scheduler.worktime import windows

LONGEST = 16 * 60
"""Minutes between begin and end of one stretch of work, breaks included."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spent:
    """What a person says of the time that a step took: minutes of work in all, or when it was begun last."""

    took: int | None = None
    begun: int | None = None


def parts_of(planned: Sequence[Span], took: int) -> tuple[Span, ...]:
    """What a plan had in mind, as far as it goes with so many minutes: the last stretch is another one then."""
    if sum(span.minutes for span in planned) == took:
        return tuple(planned)
    kept: list[Span] = []
    for span in planned[:-1]:
        if sum(each.minutes for each in (*kept, span)) < took:
            kept.append(span)
    return tuple(kept)


def with_spent(site: Site, task: Task, event: Did | Left, said: Spent) -> Did | Left:
    """The entry with what the person says of its time. Raises InputError for more than there was."""
    end = event.pieces[-1].end
    recorded, _ = site.standing.begun.get(task.id, ((), 0))
    if said.begun is not None:
        stretch = _stretch(site, task, said.begun, end, recorded)
        before = site.standing.took.get(task.id)
        known = sum(span.minutes for span in stretch) + (before.minutes if before is not None else 0)
        said = replace(said, took=known if before is not None or not recorded else None)
        event = replace(event, pieces=(*recorded, *stretch))
    if said.took is not None:
        _fits(site, task, said, end)
    return replace(event, took=said.took)


def _stretch(site: Site, task: Task, begun: int, end: int, recorded: Sequence[Span]) -> tuple[Span, ...]:
    """The work from a moment to the end, breaks of the session left out where the step can pause."""
    face = Clockface(ZoneInfo(site.job.zone), site.job.clock24)
    if begun >= end:
        raise wrong_input(
            "--from",
            told("it ended {moment}, and that is no later", moment=face.moment(end)),
            "name the earlier time first",
        )
    if end - begun > LONGEST:
        said = told(
            "from {moment} to {moment2} is no single stretch of work",
            moment=face.moment(begun),
            moment2=face.moment(end),
        )
        raise wrong_input("--from", said, "say how long it took in all: `--took '2 h 10 min'`")
    if recorded and begun < recorded[-1].end:
        said = told("it was worked on until {moment} by the record", moment=face.moment(recorded[-1].end))
        raise wrong_input("--from", said, "name when it was taken up again")
    hours = windows(site.standing.job, Span(begun - DAY, end + DAY), ZoneInfo(site.job.zone))
    breaks = [Span(a.end, b.start) for a, b in pairwise(hours) if a.session == b.session]
    return tuple(without([Span(begun, end)], breaks)) if task.smallest_piece is not None else (Span(begun, end),)


def _fits(site: Site, task: Task, said: Spent, end: int) -> None:
    """Raises InputError if a step took longer than there was time since what it follows was over."""
    done, face = site.standing.done, Clockface(ZoneInfo(site.job.zone), site.job.clock24)
    over = [
        (done[link.before][-1].end, link.before)
        for link in site.graph.links
        if link.after == task.id and link.before in done and done[link.before][-1].end < end
    ]
    if not over or said.took is None:
        return
    since, before = max(over)
    if said.took > end - since:
        name = "--took" if said.begun is None else "--from"
        took, there = (length_words(minutes, days=False) for minutes in (said.took, end - since))
        what = told(
            "“{title}”, which comes before it, was over {moment}",
            title=site.titles[before],
            moment=face.moment(since),
        )
        raise wrong_input(
            name,
            told(
                "{what}: {took} is more than the {there} from then until {moment}",
                what=what,
                took=took,
                there=there,
                moment=face.moment(end),
            ),
            "say the minutes of work at this step alone, or put right when it ended (`--at`)",
        )


def felt(site: Site, step: str, stage: str, minute: int, *, reached: bool) -> list[Event]:
    """How the film of a step felt at a minute. What was said otherwise of the same minute is put right.

    Raises InputError for a step without a film, or a stage that its film does not have.
    """
    task = site.graph.task(named(step, site.titles, "step", "STEP"))
    material = site.trade.material(task.film.material) if task.film is not None else None
    if material is None:
        raise wrong_input("STEP", told("`{id}` lays no film", id=task.id), "name the step that laid it")
    known = [each.stage for each in material.stages if each.stage != "recoat_by"]
    wanted = slug(stage).replace("-", "_")
    if wanted == "recoat_by":
        said = "at `recoat_by` a window closes; there is nothing to be felt"
        raise wrong_input("STAGE", said, told("name one of {names}", names=", ".join(known)))
    if wanted not in known:
        said = told(
            "the film of `{id}` ({title}) has no stage `{stage}`",
            id=task.id,
            title=material.title,
            stage=brief(stage),
        )
        raise wrong_input("STAGE", said, meant(stage, known))
    event = Felt(step=task.id, stage=wanted, minute=minute, reached=reached)
    mistaken = [
        Undone(line=entry.line)
        for entry in living(site.entries)
        if isinstance(entry.event, Felt)
        and (entry.event.step, entry.event.stage, entry.event.minute) == (task.id, wanted, minute)
        and entry.event.reached != reached
    ]
    return [*mistaken, event]
