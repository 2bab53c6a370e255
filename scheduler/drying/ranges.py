"""Where knowledge ends: a record for each range of a law or a profile that the air or the thickness leaves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from scheduler.drying import say
from scheduler.drying.air import AirPiece
from scheduler.drying.laws import HUMIDITY_CAP, RATE_LAWS
from scheduler.model.material import Material, StageTime
from scheduler.model.message import Message, as_written, message
from scheduler.units import format_thickness
from scheduler.wallclock import NEVER

# Profiles are written in °F or inches and kept in °C and metres: what is at the edge to the eye is inside.
_TINY = 1e-3


@dataclass(frozen=True, slots=True)
class _Range:
    """What a source covers: temperature (°C) or humidity (fraction), and whose range it is."""

    humid: bool
    low: float
    high: float
    whose: Message

    def value(self, piece: AirPiece) -> float:
        return piece.humidity if self.humid else piece.temp

    def beyond(self, pieces: Sequence[AirPiece]) -> list[AirPiece]:
        """The pieces that lie outside."""
        return [piece for piece in pieces if not self.low - _TINY <= self.value(piece) <= self.high + _TINY]

    def said(self, number: float, metric: bool) -> str:
        return say.percent(number) if self.humid else say.temperature(number, metric)

    def bound(self, *, least: bool, metric: bool) -> str:
        number = self.low if least else self.high
        if self.humid:
            return say.percent(number)
        return f"{say.bound(number, metric, least=least)} {say.unit(metric)}"


def air_warnings(
    material: Material, pieces: Sequence[AirPiece], *, metric: bool, where: str = ""
) -> tuple[Message, ...]:
    """What must be said of the stages of this material in this air: one record for each range that is left.

    `where` is the room's title, if there is one. Hand in only the pieces of the time that matters. Where a stage
    leaves both its profile's range and its law's, the profile's is told.
    """
    head = message("range.in room", room=where, title=material.title) if where else as_written(material.title)
    left: dict[_Range, list[str]] = {}
    for stage in material.stages:
        for choices in _ranges(stage):
            first = next((choice for choice in choices if choice.beyond(pieces)), None)
            if first:
                left.setdefault(first, []).append(stage.stage)
    said = [_told(head, stages, span, pieces, metric) for span, stages in left.items()]
    return (*said, *_capped(head, material, pieces))


def life_warnings(
    material: Material,
    pieces: Sequence[AirPiece],
    start: int,
    ends: Mapping[str, int],
    *,
    metric: bool,
    where: str = "",
) -> tuple[Message, ...]:
    """As `air_warnings`, each stage judged by the air from `start` to its own end only; one without an end by all."""
    later = [piece for piece in pieces if piece.end > start]
    met = [
        stage
        for stage in material.stages
        if air_warnings(replace(material, stages=(stage,)), _until(later, stage.stage, ends), metric=metric)
    ]
    if not met:
        return ()
    last = max((stage.stage for stage in met), key=lambda name: ends.get(name, NEVER))
    return air_warnings(replace(material, stages=tuple(met)), _until(later, last, ends), metric=metric, where=where)


def _until(pieces: Iterable[AirPiece], stage: str, ends: Mapping[str, int]) -> list[AirPiece]:
    """The pieces before the end of a stage, each air once: when it first came is all that a warning tells."""
    first: dict[tuple[float, float], AirPiece] = {}
    end = ends.get(stage, NEVER)
    for piece in pieces:
        if piece.start < end:
            first.setdefault((piece.temp, piece.humidity), piece)
    return list(first.values())


def thickness_warnings(material: Material, ratio: float, *, metric: bool) -> tuple[Message, ...]:
    """A record if the thickness (`ratio`: actual/reference) lies outside what the profile's sources cover."""
    if material.thicknesses is None:
        return ()
    low, high = material.thicknesses
    thick = ratio * material.thickness
    if low * (1 - _TINY) <= thick <= high * (1 + _TINY):
        return ()
    return (
        message(
            "range.thinner" if thick < low else "range.thicker",
            title=material.title,
            thick=format_thickness(thick, metric=metric),
            low=format_thickness(low, metric=metric),
            high=format_thickness(high, metric=metric),
        ),
    )


def _ranges(stage: StageTime) -> Iterator[tuple[_Range, _Range]]:
    """For temperature, then humidity: the profile's range and the law's."""
    law = RATE_LAWS[stage.law].covered
    own, against = message("range.source"), message("range.law", law=stage.law, source=law.source)
    yield _Range(False, *stage.temps, own), _Range(False, *law.temps, against)
    yield _Range(True, *stage.humidities, own), _Range(True, *law.humidities, against)


def _told(head: Message, stages: Sequence[str], span: _Range, pieces: Sequence[AirPiece], metric: bool) -> Message:
    """What leaves the range, when first, and what the range is."""
    out = span.beyond(pieces)
    values = [span.value(piece) for piece in out]
    extremes = [span.said(min(values), metric)] if min(values) < span.low else []
    extremes += [span.said(max(values), metric)] if max(values) > span.high else []
    return message(
        "range.left damp" if span.humid else "range.left",
        of=head,
        stages=tuple(stages),
        values=tuple(extremes),
        at=out[0].start,
        low=span.bound(least=True, metric=metric),
        high=span.bound(least=False, metric=metric),
        whose=span.whose,
    )


def _capped(head: Message, material: Material, pieces: Sequence[AirPiece]) -> Iterator[Message]:
    """Says that damper air is counted as 98 %."""
    stages = tuple(stage.stage for stage in material.stages if RATE_LAWS[stage.law].capped)
    wet = next((piece for piece in pieces if piece.humidity > HUMIDITY_CAP), None)
    if stages and wet:
        yield message(
            "range.capped",
            of=head,
            stages=stages,
            value=say.percent(wet.humidity),
            at=wet.start,
            cap=say.percent(HUMIDITY_CAP),
        )
