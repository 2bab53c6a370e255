"""Is the air fit for a material: the spans in which it is, the limits in words, what breaks them and what cures it.

The surface is taken to be as warm as the air. A wall on the cold side of a house is colder: where that is in doubt,
measure it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cache, partial
from zoneinfo import ZoneInfo

from scheduler.drying import say
from scheduler.drying.air import AirPiece, clipped
from scheduler.drying.psychro import dew_point, saturation_pressure, saturation_temperature
from scheduler.model.basics import Span
from scheduler.model.drytable import Hindrance
from scheduler.model.material import Limits
from scheduler.model.message import Message, message
from scheduler.model.spans import union

_WORDS = {"day": "the day", "night": "the night", "air": "the air"}
_AT = {"day": " by day", "night": " at night", "air": ""}


def is_fit(limits: Limits, temp: float, humidity: float) -> bool:
    """Whether air of this temperature (°C) and humidity (fraction) is inside every limit, the limits included."""
    return next(_broken(limits, temp, humidity), None) is None


def fit_spans(limits: Limits, pieces: Iterable[AirPiece]) -> tuple[Span, ...]:
    """The spans in which the air is inside the limits, in order, neighbours merged. Unknown air is not fit."""
    fit = cache(partial(is_fit, limits))  # a day and a night come again and again
    return union(Span(piece.start, piece.end) for piece in pieces if fit(piece.temp, piece.humidity))


def limits_said(limits: Limits, metric: bool) -> str:
    """The limits in words: 50–90 °F, up to 85 % humidity, 5 °F above the dew point."""
    temp, damp, margin = _parts(limits, metric, " to ")
    words = [temp, f"{damp} humidity" if limits.humidity_low > 0 else f"up to {damp} humidity"]
    return ", ".join([*words, f"{margin} above the dew point"] if margin else words)


def limits_told(limits: Limits, metric: bool) -> Message:
    """The same as a record, for whoever tells it in another language."""
    temp, damp, margin = _parts(limits, metric, " … ")
    humidity = message("air.damp" if limits.humidity_low > 0 else "air.damp up to", damp=damp)
    above = message("air.margin", margin=margin) if margin else None
    return message("air.limits", temp=temp, humidity=humidity, margin=above)


def _parts(limits: Limits, metric: bool, to: str) -> tuple[str, str, str]:
    """The figures of the limits: temperatures, humidity, margin above the dew point ("": none). `to` stands between
    temperatures of which one is below zero."""
    low, high = say.degrees(limits.temp_low, metric), say.degrees(limits.temp_high, metric)
    # A dash before a minus sign cannot be read.
    dash = to if limits.temp_low < 0 else "–"
    warm = f"{low}{dash}{say.temperature(limits.temp_high, metric)}" if low != high else high
    damp = say.percent(limits.humidity_high)
    if limits.humidity_low > 0:
        damp = f"{say.percent(limits.humidity_low).removesuffix(' %')}–{damp}"
    return warm, damp, say.warmth(limits.dew_margin, metric) if limits.dew_margin else ""


def hindrance(
    limits: Limits, pieces: Sequence[AirPiece], span: Span, zone: ZoneInfo, *, metric: bool
) -> tuple[Hindrance, ...]:
    """Which limits the air breaks within the span, each once, in the order in which they first fail.

    Each names the first moment and, until the air is within that limit for good or the span is over, the worst
    value and what would cure it. Empty: the air is fit all through.
    """
    inside = list(clipped(pieces, span))
    found: dict[str, list[AirPiece]] = {}
    for piece in inside:
        for limit in _broken(limits, piece.temp, piece.humidity):
            found.setdefault(limit, []).append(piece)
    told = [_told(limits, limit, bad, zone, metric) for limit, bad in found.items()]
    told += _unknown(inside, span, zone)
    return tuple(sorted(told, key=lambda broken: broken.start))


def _broken(limits: Limits, temp: float, humidity: float) -> Iterator[str]:
    """The names of the limits that this air breaks."""
    if temp < limits.temp_low:
        yield "temp_low"
    if temp > limits.temp_high:
        yield "temp_high"
    if humidity < limits.humidity_low:
        yield "humidity_low"
    if humidity > limits.humidity_high:
        yield "humidity_high"
    # The dew point is at or below (temp - margin) just when air of that temperature could hold this water.
    if limits.dew_margin and humidity * saturation_pressure(temp) > saturation_pressure(temp - limits.dew_margin):
        yield "dew_margin"


def _told(limits: Limits, limit: str, bad: list[AirPiece], zone: ZoneInfo, metric: bool) -> Hindrance:
    """One broken limit in words, from the pieces that break it."""
    first = bad[0]
    worst = max(bad, key=lambda piece: _excess(limits, limit, piece))
    value, bound = _value(limit, worst), _bound(limits, limit)
    same = {piece.when for piece in bad}
    when = first.when if len(same) == 1 else "air"
    until = f" until {say.moment(bad[-1].end, zone)}"
    hold = f" until the film is at {limits.hold_until}" if limits.hold_until else " while it is laid"
    at = say.moment(worst.start, zone)
    if worst.start != first.start:
        at += f" (too far first at {say.moment(first.start, zone)})"
    rest = {
        "temp_low": (
            f"falls to {say.temperature(value, metric)}",
            f"the air must stay above {say.temperature(bound, metric)}",
            f"heat the room to at least {say.temperature(bound, metric)}{_AT[when]}",
        ),
        "temp_high": (
            f"rises to {say.temperature(value, metric)}",
            f"the air must stay below {say.temperature(bound, metric)}",
            f"keep the room at {say.temperature(bound, metric)} or less{_AT[when]}",
        ),
        "humidity_low": (
            f"dries to {say.percent(value)} humidity",
            f"the air must hold at least {say.percent(bound)}",
            f"damp the air to at least {say.percent(bound)}{_AT[when]}",
        ),
        "humidity_high": (
            f"reaches {say.percent(value)} humidity",
            f"the air must stay at {say.percent(bound)} or less",
            f"dry the air to {say.percent(bound)}{_AT[when]}, {_warmer(worst, bound, metric)}",
        ),
        "dew_margin": (
            f"comes within {_degrees_off(value, metric)} of the dew point",
            f"the air must stay {say.warmth(bound, metric)} above it",
            _dew_cure(worst, bound, when, metric),
        ),
    }
    what, rule, cure = rest[limit]
    said = f"{_WORDS[when]} {what} at {at}; {rule}{hold}"
    return Hindrance(
        limit=limit, start=first.start, end=bad[-1].end, value=value, bound=bound, said=said, cure=f"{cure}{until}"
    )


def _excess(limits: Limits, limit: str, piece: AirPiece) -> float:
    """How far beyond the limit a piece is."""
    over = _value(limit, piece) - _bound(limits, limit)
    return over if limit in ("temp_high", "humidity_high") else -over


def _value(limit: str, piece: AirPiece) -> float:
    if limit == "dew_margin":
        return piece.temp - dew_point(piece.temp, piece.humidity)
    return piece.temp if limit.startswith("temp") else piece.humidity


def _bound(limits: Limits, limit: str) -> float:
    bounds = {
        "temp_low": limits.temp_low,
        "temp_high": limits.temp_high,
        "humidity_low": limits.humidity_low,
        "humidity_high": limits.humidity_high,
        "dew_margin": limits.dew_margin or 0.0,
    }
    return bounds[limit]


def _warmer(piece: AirPiece, humidity: float, metric: bool) -> str:
    """The warmth at which the same water in the air makes no more than this humidity."""
    water = piece.humidity * saturation_pressure(piece.temp)
    return f"or heat the room to {_raised(saturation_temperature(water / humidity), metric)} without adding water"


def _dew_cure(piece: AirPiece, margin: float, when: str, metric: bool) -> str:
    """Drier air, or warmer air with the same water in it."""
    humidity = saturation_pressure(piece.temp - margin) / saturation_pressure(piece.temp)
    warm = dew_point(piece.temp, piece.humidity) + margin
    return (
        f"dry the air to {int(humidity * 100)} %{_AT[when]}, "
        f"or heat the room to {_raised(warm, metric)} without adding water"
    )


def _raised(celsius: float, metric: bool) -> str:
    """A temperature to heat to, rounded up to the whole degree of the scale that it is said in."""
    shown = celsius if metric else celsius * 9 / 5 + 32
    return f"{-int(-shown // 1)} {say.unit(metric)}"


def _degrees_off(celsius: float, metric: bool) -> str:
    return f"{round(celsius if metric else celsius * 9 / 5, 1) + 0.0:g} {say.unit(metric)}"


def _unknown(inside: list[AirPiece], span: Span, zone: ZoneInfo) -> Iterator[Hindrance]:
    """The first hole: nobody knows the air there."""
    ends = [span.start, *(piece.end for piece in inside)]
    starts = [*(piece.start for piece in inside), span.end]
    for end, start in zip(ends, starts, strict=True):
        if end < start:
            yield Hindrance(
                limit="unknown",
                start=end,
                end=start,
                value=0.0,
                bound=0.0,
                said=f"nothing is known about the air from {say.moment(end, zone)} to {say.moment(start, zone)}",
                cure="give the room day and night values, or readings without a gap",
            )
            return
