"""Air and laws -> dry clocks: for every film, when each stage is reached and when the air is fit to lay it."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import accumulate, pairwise
from math import inf
from types import MappingProxyType
from typing import Literal, TypeAlias
from zoneinfo import ZoneInfo

from scheduler.drying.air import AirPiece, room_air
from scheduler.drying.laws import rate, thickness_factor
from scheduler.drying.limits import fit_spans, limits_said, limits_told
from scheduler.drying.ranges import thickness_warnings
from scheduler.drying.wood import acclimated
from scheduler.model.basics import OPEN_UNTIL, POT_LIFE, STANDS_ON, WINDOW_ENDS, Span
from scheduler.model.clock import DryClock, FilmClocks, StageClock
from scheduler.model.graph import TaskGraph
from scheduler.model.job import Room
from scheduler.model.material import WINDOW_END, Material, StageTime, Trade

WINDOWS = frozenset((WINDOW_END, *WINDOW_ENDS))
"""What the clocks call the ends of windows: they close sooner where it is warm."""

End: TypeAlias = Literal["low", "typical", "high"]
"""An end of the range of a time, or what is usual."""


def build_clock(
    pieces: Sequence[AirPiece],
    law: str,
    reference_temp: float,
    reference_humidity: float,
    activation: float | None = None,
) -> DryClock:
    """The cumulative table of one law in this air. In a hole between pieces the clock stands still.

    `reference_temp` in °C, `reference_humidity` as a fraction, `activation` in J/mol (None: that of the law).
    Raises ValueError for no air at all, and as `laws.rate` does.
    """
    if not pieces:
        raise ValueError("without any air there is no dry clock")
    known: dict[tuple[float, float], float] = {}
    knots, gains = [pieces[0].start], [0.0]
    for piece in pieces:
        if piece.start > knots[-1]:
            knots.append(piece.start)
            gains.append(0.0)
        air = (piece.temp, piece.humidity)
        speed = known.get(air)
        if speed is None:
            speed = known[air] = rate(law, *air, reference_temp, reference_humidity, activation=activation)
        knots.append(piece.end)
        gains.append(speed * (piece.end - piece.start))
    return DryClock(tuple(knots), tuple(accumulate(gains)))


class ClockMaker:
    """Builds the clocks of one room's air; films whose law and reference agree share one table.

    `moisture` is that of wood when it comes (a fraction of dry mass), if somebody measured it.
    """

    def __init__(self, pieces: Sequence[AirPiece], moisture: float | None = None) -> None:
        self.pieces = pieces
        self.moisture = moisture
        self._tables: dict[tuple[str, float, float, float | None], DryClock] = {}

    def table(self, law: str, temp: float, humidity: float, activation: float | None) -> DryClock:
        """The table of a law with this reference air (°C, fraction) and activation (J/mol), made once."""
        key = (law, temp, humidity, activation)
        if key not in self._tables:
            self._tables[key] = build_clock(self.pieces, *key)
        return self._tables[key]

    def stage(self, material: Material, stage: StageTime, ratio: float, end: End = "typical") -> StageClock:
        """The clock of a stage for a film of this thickness ratio, by that end of the range of its time.

        What comes no earlier at the reference air comes no earlier in this one: the stages that it stands on hold it,
        as far as this air could turn the order.
        """
        own = self._alone(material, stage, ratio, end)
        held = tuple(
            (each.stage, before)
            for each in earlier(material, stage)
            if _may_be_later(before := self._alone(material, each, ratio, end), own)
        )
        return replace(own, after=held)

    def _alone(self, material: Material, stage: StageTime, ratio: float, end: End) -> StageClock:
        minutes: int = getattr(stage, end)
        table = self.table(stage.law, material.temp, material.humidity, stage.activation)
        if self.moisture is not None and material.acclimates is not None:
            table = acclimated(self.pieces, table, self.moisture, material.acclimates)
        return StageClock(table, minutes * thickness_factor(ratio, stage.exponent), stage.law, stage.source)


def earlier(material: Material, stage: StageTime) -> tuple[StageTime, ...]:
    """The stages of the family that this one comes no earlier than: those of `STANDS_ON`, and of `touch` and
    `dust_free` the one that its profile has first, each as far as the profile itself has them in that order."""
    either = {"touch", "dust_free"}
    names = STANDS_ON.get(stage.stage, tuple(either - {stage.stage}) if stage.stage in either else ())
    found = (each for each in material.stages if each.stage in names)
    return tuple(
        each for each in found if each.low <= stage.low and each.typical <= stage.typical and each.high <= stage.high
    )


def _window_ends(material: Material) -> Iterator[StageTime]:
    """The ends of its open time and of its pot life, on the law of the stage that ends them: the first that it has.

    A batch stands in its bucket as thick as it stands, so that a thin film gives it no shorter life.
    """
    known = ((OPEN_UNTIL, "open_time", material.open_time), (POT_LIFE, "pot_life", material.pot_life))
    for end, key, minutes in known:
        if minutes is not None and material.stages:
            source = dict(material.sources).get(key, material.source)
            ended = replace(material.stages[0], stage=end, low=minutes, typical=minutes, high=minutes, source=source)
            yield replace(ended, exponent=0) if end == POT_LIFE else ended


def _may_be_later(before: StageClock, stage: StageClock) -> bool:
    """Whether, somewhere in this air, the stage could be reached first."""
    if before.clock is stage.clock:
        return before.amount > stage.amount
    return before.amount > stage.amount * _slowest(before.clock, stage.clock)


@lru_cache(maxsize=64)
def _slowest(one: DryClock, other: DryClock) -> float:
    """The pace of one clock by that of the other where it is slowest beside it; both of one air."""
    paces = pairwise(zip(one.progress, other.progress, strict=True))
    return min(((b[0] - a[0]) / (b[1] - a[1]) for a, b in paces if b[1] > a[1]), default=inf)


class _RoomFilms:
    """All films of one room: its air once, each law's table once, each (material, thickness) once.

    Where the room is warmed only while somebody is there, the clocks are those of the spans in which that is
    reckoned; `_attended` mends what follows from a film's being watched.
    """

    def __init__(self, room: Room, zone: ZoneInfo, span: Span, metric: bool) -> None:
        self._metric = metric
        self._maker = ClockMaker(room_air(room, zone, span).pieces)
        self._warmed = _Warmed(room, zone, span) if room.warmed is not None else None
        self._fits: dict[str, tuple[Span, ...] | None] = {}
        self._films: dict[tuple[str, float, float | None], FilmClocks] = {}
        self._told = {told.material: told.factor for told in room.dry_times}

    def film(self, material: Material, ratio: float, moisture: float | None = None) -> FilmClocks:
        """The clocks of this material laid so thick; `ratio`: actual/reference thickness. `moisture`: of wood."""
        key = (material.id, ratio, moisture)
        if key not in self._films:
            maker = self._maker if moisture is None else ClockMaker(self._maker.pieces, moisture)
            self._films[key] = self._build(material, ratio, maker)
        return self._films[key]

    def _build(self, material: Material, ratio: float, maker: ClockMaker) -> FilmClocks:
        clocks = self._in_one_air(material, ratio, maker)
        return clocks if self._warmed is None else self._attended(material, ratio, clocks, self._warmed)

    def _attended(self, material: Material, ratio: float, clocks: FilmClocks, warmed: _Warmed) -> FilmClocks:
        """The clocks of a film that is laid, and watched as long as it must be, while somebody is there.

        Until the stage up to which the air must be fit it is warm in all hours in which nobody may leave it; what is
        never later than that stage in any air is reckoned so as well. As long as nobody knows who is there when, it
        is warm in all hours: nothing gets ready sooner, and no window closes sooner than in the air without heat.
        """
        limits, hold = material.limits, clocks.hold_until

        def stages(maker: ClockMaker) -> Mapping[str, StageClock]:
            return {
                stage.stage: self._stage(material, stage, ratio, maker)
                for stage in (*material.stages, *_window_ends(material))
            }

        if limits is None:
            return replace(clocks, unheated=None)
        unheated = fit_spans(limits, warmed.without.pieces)
        fit = fit_spans(limits, warmed.whenever.pieces)
        if hold is None:
            return replace(clocks, fit=fit, unheated=unheated)
        watched = warmed.watched(unheated, stages(warmed.without)[hold])
        alone = stages(warmed.while_watched(watched))
        known = dict(clocks.stages)
        for name, stage in alone.items():
            if name not in WINDOWS and (name == hold or not _may_be_later(stage, alone[hold])):
                known[name] = stage
        if warmed.open:
            cold = stages(warmed.without)
            known = {name: cold[name] if name in WINDOWS else stage for name, stage in clocks.stages.items()}
        return replace(clocks, stages=MappingProxyType(known), fit=fit, unheated=unheated, watched=watched)

    def _in_one_air(self, material: Material, ratio: float, maker: ClockMaker) -> FilmClocks:
        limits = material.limits
        return FilmClocks(
            stages=MappingProxyType(
                {
                    stage.stage: self._stage(material, stage, ratio, maker)
                    for stage in (*material.stages, *_window_ends(material))
                }
            ),
            fit=self._fit(material),
            hold_until=limits.hold_until if limits else None,
            limits_said=limits_said(limits, self._metric) if limits else "",
            air=limits_told(limits, self._metric) if limits else None,
            factor=_factor(material, ratio),
            warnings=thickness_warnings(material, ratio, metric=self._metric),
        )

    def _stage(self, material: Material, stage: StageTime, ratio: float, maker: ClockMaker) -> StageClock:
        """The clock of a stage, by what the person knows of the material in this room."""
        clock, told = maker.stage(material, stage, ratio), self._told.get(material.id, 1.0)
        if told == 1:
            return clock
        after = tuple(
            (name, replace(before, amount=before.amount * material.in_keeping(name, told)))
            for name, before in clock.after
        )
        return replace(clock, amount=clock.amount * material.in_keeping(stage.stage, told), after=after)

    def _fit(self, material: Material) -> tuple[Span, ...] | None:
        """The spans fit for the material: the same at every thickness."""
        if material.id not in self._fits:
            self._fits[material.id] = fit_spans(material.limits, self._maker.pieces) if material.limits else None
        return self._fits[material.id]


class _Warmed:
    """The air of a room that is warmed while somebody is there: `without` that, and `whenever` somebody may be.

    `open`: nobody knows yet in which hours somebody is.
    """

    def __init__(self, room: Room, zone: ZoneInfo, span: Span) -> None:
        self._room, self._zone, self._span = room, zone, span
        self.open = room.there is None
        self.without = ClockMaker(room_air(replace(room, warmed=None), zone, span).pieces)
        self.whenever = ClockMaker(room_air(replace(room, there=None), zone, span).pieces)
        self._known: dict[tuple[Span, ...], ClockMaker] = {}

    def watched(self, unheated: tuple[Span, ...], held: StageClock) -> tuple[Span, ...]:
        """The hours in which a film laid last of all would meet unfit air, were it left alone: `held` is reached by
        then in the air without heat."""
        found = []
        for hours in self._room.hours:
            at = bisect_right(unheated, hours.start, key=lambda span: span.start) - 1
            if at < 0 or unheated[at].end < held.ready(hours.end):
                found.append(hours)
        return tuple(found)

    def while_watched(self, hours: tuple[Span, ...]) -> ClockMaker:
        """Clocks of the air that is warm in these hours alone."""
        if hours not in self._known:
            room = replace(self._room, there=hours)
            self._known[hours] = ClockMaker(room_air(room, self._zone, self._span).pieces)
        return self._known[hours]


def film_clocks(
    graph: TaskGraph, rooms: tuple[Room, ...], trade: Trade, zone: ZoneInfo, span: Span, *, metric: bool
) -> dict[str, FilmClocks]:
    """The clocks of every task that lays a film, by task id. Outside `span` they know nothing.

    Films of one room share their tables. The warnings are about the thickness; what must be said of the air depends
    on when a film is laid (`drying.advice`). Raises KeyError for a room or a material that is not there, ValueError
    for a room without any air.
    """
    known = {room.id: room for room in rooms}
    films: dict[str, _RoomFilms] = {}
    clocks: dict[str, FilmClocks] = {}
    for task in graph.tasks:
        film = task.film
        if film is None:
            continue
        if film.room not in films:
            films[film.room] = _RoomFilms(known[film.room], zone, span, metric)
        material = trade.material(film.material)
        if material is None:
            raise KeyError(film.material)
        clocks[task.id] = films[film.room].film(material, film.ratio, film.moisture)
    return clocks


def _factor(material: Material, ratio: float) -> float:
    """The thickness factor of the recoat stage; without one, of the stage that is reached last."""
    chosen = material.stage("recoat") or max(material.stages, key=lambda stage: stage.typical, default=None)
    return thickness_factor(ratio, chosen.exponent) if chosen else 1.0
