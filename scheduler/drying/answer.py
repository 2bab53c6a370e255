"""All about one family in one air: its coats, what would be faster, whether the air is fit, what to beware of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from zoneinfo import ZoneInfo

from scheduler.drying.air import AirPiece, night_humidity, room_air
from scheduler.drying.clocks import ClockMaker
from scheduler.drying.limits import fit_spans, hindrance, limits_told
from scheduler.drying.ranges import life_warnings, thickness_warnings
from scheduler.drying.spoiling import spoilt_told
from scheduler.drying.table import coat_after_coat, faster, never_warnings
from scheduler.model.basics import Span
from scheduler.model.beware import Beware
from scheduler.model.drytable import DryAnswer, DryTable, Hindrance
from scheduler.model.job import Room
from scheduler.model.material import Material
from scheduler.model.spans import without
from scheduler.wallclock import DAY, NEVER

REACHES = (120 * DAY, 800 * DAY, 3650 * DAY)
"""How far ahead the air is followed, in minutes, each tried when the one before does not do."""

LAYING = 60
"""Minutes that laying a coat is taken to last where the limits hold only for that long."""


def dry_answer(
    material: Material,
    room: Room,
    start: int,
    zone: ZoneInfo,
    *,
    coats: int = 1,
    ratio: float = 1.0,
    metric: bool = True,
    clock24: bool = True,
    cautions: Sequence[Beware] = (),
    heating: Sequence[Beware] = (),
) -> DryAnswer:
    """What becomes of `coats` coats in the air of the room, the first laid at `start` (minute).

    `ratio` is actual over reference thickness. `cautions` go with the material, `heating` with an advice to heat.
    Raises ValueError where nothing at all is known about the air.
    """
    air, tables = _followed(material, room, start, zone, coats, ratio, metric)
    last = tables[-1]
    lost = last.spoilt
    until = max((max(stage.at, stage.latest) for stage in last.stages), default=start)
    until = min(max(until, start + 1), lost.at + 1 if lost else air[-1].end)
    ends = {stage.stage: stage.at for stage in last.stages}
    air_of_room = room_air(room, zone, Span(start, until), metric=metric)
    needs = list(_needs(material, tables, air[-1].end))
    fit = fit_spans(material.limits, air) if material.limits else ()
    hindrances = tuple(_hindrances(material, air, needs, metric))
    advised = bool(hindrances) or any(piece.wet for piece in air_of_room.pieces)
    return DryAnswer(
        material=material,
        room=room,
        zone=zone.key,
        clock24=clock24,
        metric=metric,
        start=start,
        coats=coats,
        tables=tables,
        faster=faster(material, air, last.start, zone, ratio=ratio, metric=metric),
        nights=tuple(night_humidity(period) for period in room.air),
        asked=limits_told(material.limits, metric) if material.limits else None,
        hindrances=hindrances,
        unfit=without(needs, fit) if material.limits else (),
        fit_from=_fit_from(material, air, fit, start, ratio),
        spoilt=spoilt_told(lost, metric=metric) if lost else None,
        cautions=tuple(said.text for said in (*material.cautions, *cautions, *(heating if advised else ()))),
        warnings=(
            *thickness_warnings(material, ratio, metric=metric),
            *(() if lost else life_warnings(material, air, start, ends, metric=metric)),
            *air_of_room.warnings,
            *never_warnings([stage.stage for stage in last.stages if not (stage.reached or lost)], air),
        ),
    )


def _followed(
    material: Material, room: Room, start: int, zone: ZoneInfo, coats: int, ratio: float, metric: bool
) -> tuple[tuple[AirPiece, ...], tuple[DryTable, ...]]:
    """The air over the shortest of the reaches in which every stage comes even at its slowest, and the tables."""
    air: tuple[AirPiece, ...] = ()
    tables: tuple[DryTable, ...] = ()
    for reach in REACHES:
        air = room_air(room, zone, Span(start, start + reach)).pieces
        if not air:
            continue
        tables = coat_after_coat(material, air, start, zone, coats=coats, ratio=ratio, metric=metric)
        if tables[-1].spoilt or (len(tables) == coats and all(stage.latest < NEVER for stage in tables[-1].stages)):
            break
    if not air:
        raise ValueError("nothing is known about the air")
    return air, tables


def _needs(material: Material, tables: Sequence[DryTable], end: int) -> Iterator[Span]:
    """For each coat, the span over which the air must be inside the limits."""
    for table in tables if material.limits else ():
        stage = table.stage(material.limits.hold_until or "") if material.limits else None
        until = stage.at if stage else table.start + LAYING
        if stage and table.spoilt:
            until = table.start + stage.reference  # it never comes to that stage: as long as it takes in fit air
        if min(until, end) > table.start:
            yield Span(table.start, min(until, end))


def _hindrances(
    material: Material, air: Sequence[AirPiece], needs: Sequence[Span], metric: bool
) -> Iterator[Hindrance]:
    """Each limit that is broken, once: told of the first coat that meets it."""
    told: set[str] = set()
    for need in needs:
        for broken in hindrance(material.limits, air, need, metric=metric) if material.limits else ():
            if broken.limit not in told:
                told.add(broken.limit)
                yield broken


def _fit_from(
    material: Material, air: Sequence[AirPiece], fit: Sequence[Span], start: int, ratio: float
) -> int | None:
    """The first moment from `start` on from which the air is fit for as long as the limits ask."""
    if material.limits is None:
        return start
    held = material.stage(material.limits.hold_until or "")
    clock = ClockMaker(air).stage(material, held, ratio) if held else None
    for span in fit:
        begin = max(start, span.start)
        if begin < span.end and (clock is None or clock.ready(begin) <= span.end):
            return begin
    return None
