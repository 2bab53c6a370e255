"""One coat by itself: when each stage is reached in this air, and what would make it faster."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from zoneinfo import ZoneInfo

from scheduler.drying import say
from scheduler.drying.air import AirPiece, shifted
from scheduler.drying.clocks import ClockMaker
from scheduler.drying.laws import RATE_LAWS
from scheduler.drying.ranges import life_warnings, thickness_warnings
from scheduler.drying.spoiling import spoilt
from scheduler.model.drytable import DryStage, DryTable, Faster
from scheduler.model.material import Material, StageTime
from scheduler.model.message import Message, message
from scheduler.wallclock import NEVER

WARMER = 5.0
"""How much warmer `faster` tries it, °C."""

DRIER = 0.10
"""How much drier (or, for what cures by moisture, damper) `faster` tries it, as a fraction."""

THINNER = 0.75
"""How much of its thickness `faster` leaves."""

_DECIDING = ("recoat", "paint_over", "use", "full")


def stage_times(
    material: Material,
    air: Sequence[AirPiece],
    start: int,
    zone: ZoneInfo,
    *,
    ratio: float = 1.0,
    metric: bool = True,
) -> DryTable:
    """When a coat laid at `start` (minute) reaches each stage of its profile. `ratio`: actual/reference thickness.

    A stage that the air does not reach is NEVER: ask again with air over a longer span. Warnings name the ranges
    that are left between the start and the stage that they are about. Raises ValueError without air or for a ratio
    that is not positive.
    """
    maker = ClockMaker(air)
    stages = tuple(_stage(maker, material, stage, ratio, start) for stage in material.stages)
    ends = {stage.stage: stage.at for stage in stages}
    lost = spoilt(material, air, start, ends[material.spoils.until]) if material.spoils else None
    if lost is not None:
        stages = tuple(_before(stage, lost.at) for stage in stages)
        ends = {name: min(end, lost.at) for name, end in ends.items()}
    unreached = [stage.stage for stage in stages if not stage.reached] if lost is None else []
    return DryTable(
        material=material.id,
        title=material.title,
        group=material.group,
        start=start,
        ratio=ratio,
        stages=stages,
        warnings=(
            *thickness_warnings(material, ratio, metric=metric),
            *(() if lost else life_warnings(material, air, start, ends, metric=metric)),
            *never_warnings(unreached, air),
        ),
        spoilt=lost,
    )


def _before(stage: DryStage, end: int) -> DryStage:
    """The stage as far as it is reached before a moment at which the film is lost."""
    at, soonest, latest = (minute if minute <= end else NEVER for minute in (stage.at, stage.soonest, stage.latest))
    return replace(stage, at=at, soonest=soonest, latest=latest)


def coat_after_coat(
    material: Material,
    air: Sequence[AirPiece],
    start: int,
    zone: ZoneInfo,
    *,
    coats: int,
    ratio: float = 1.0,
    metric: bool = True,
) -> tuple[DryTable, ...]:
    """One table a coat, each laid the minute the one before may be coated again.

    `recoat` decides; a family without it (a filler) goes by `sand`, then `paint_over`, then its last stage. The row
    ends with the coat that never gets there.
    """
    tables: list[DryTable] = []
    while len(tables) < coats:
        table = stage_times(material, air, start, zone, ratio=ratio, metric=metric)
        tables.append(table)
        named = (table.stage(name) for name in ("recoat", "sand", "paint_over"))
        next_coat = next((stage for stage in named if stage), table.stages[-1])
        if not next_coat.reached:
            break
        start = next_coat.at
    return tuple(tables)


def faster(
    material: Material,
    air: Sequence[AirPiece],
    start: int,
    zone: ZoneInfo,
    *,
    ratio: float = 1.0,
    metric: bool = True,
    stage: str | None = None,
) -> tuple[Faster, ...]:
    """What brings a stage sooner, each computed in full, the most minutes first; what brings nothing is left out.

    Tried are 5 °C warmer (at the same humidity), 10 points drier, a quarter thinner, and 10 points damper for what
    cures by moisture. `stage` is the one to bring sooner; without it the first of recoat, paint_over, use and full
    that the family has, or its last. The table of each change carries its own warnings.
    """
    now = stage_times(material, air, start, zone, ratio=ratio, metric=metric)
    name = stage or next((name for name in _DECIDING if material.stage(name)), now.stages[-1].stage)
    found = [
        Faster(change=change, stage=name, saves=_saved(now, table, name), table=table)
        for change, changed, thin in _changes(material, air, ratio, metric)
        if _at(table := stage_times(material, changed, start, zone, ratio=thin, metric=metric), name) < _at(now, name)
    ]
    return tuple(sorted(found, key=lambda option: _at(option.table, name)))


def _changes(
    material: Material, air: Sequence[AirPiece], ratio: float, metric: bool
) -> Iterator[tuple[Message, Sequence[AirPiece], float]]:
    """(what it is, air, thickness ratio) of each change that may be tried."""
    points = f"{DRIER * 100:g}"
    yield message("faster.warmer", by=say.warmth(WARMER, metric)), shifted(air, warmer=WARMER), ratio
    yield message("faster.drier", by=points), shifted(air, damper=-DRIER), ratio
    if any(RATE_LAWS[stage.law].by_water for stage in material.stages):
        yield message("faster.damper", by=points), shifted(air, damper=DRIER), ratio
    yield message("faster.thinner"), air, ratio * THINNER


def _stage(maker: ClockMaker, material: Material, stage: StageTime, ratio: float, start: int) -> DryStage:
    clock = maker.stage(material, stage, ratio)
    return DryStage(
        stage=stage.stage,
        start=start,
        at=clock.ready(start),
        soonest=maker.stage(material, stage, ratio, "low").ready(start),
        latest=maker.stage(material, stage, ratio, "high").ready(start),
        reference=stage.typical,
        clock=clock,
    )


def _at(table: DryTable, name: str) -> int:
    stage = table.stage(name)
    return stage.at if stage else NEVER


def _saved(now: DryTable, then: DryTable, name: str) -> int | None:
    before = _at(now, name)
    return before - _at(then, name) if before < NEVER else None


def never_warnings(unreached: Sequence[str], air: Sequence[AirPiece]) -> tuple[Message, ...]:
    """Says which stages the known air does not reach."""
    if not unreached:
        return ()
    return (message("range.never", stages=tuple(unreached), end=air[-1].end),)
