"""Is the air fit for a material: the spans in which it is, the limits in words, what breaks them and what cures it.

The surface is taken to be as warm as the air. A wall on the cold side of a house is colder: where that is in doubt,
measure it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cache, partial

from scheduler.drying import say
from scheduler.drying.air import AirPiece, clipped
from scheduler.drying.psychro import dew_point, saturation_pressure, saturation_temperature
from scheduler.model.basics import Span
from scheduler.model.drytable import Hindrance
from scheduler.model.material import Limits
from scheduler.model.message import Message, Value, message


def is_fit(limits: Limits, temp: float, humidity: float) -> bool:
    """Whether air of this temperature (°C) and humidity (fraction) is inside every limit, the limits included."""
    return next(_broken(limits, temp, humidity), None) is None


def fit_spans(limits: Limits, pieces: Iterable[AirPiece]) -> tuple[Span, ...]:
    """The spans of these pieces in order in which the air is inside the limits, neighbours merged. Unknown air is
    not fit."""
    fit = cache(partial(is_fit, limits))  # a day and a night come again and again
    found: list[Span] = []
    start = end = None
    for piece in pieces:
        if not fit(piece.temp, piece.humidity):
            continue
        if piece.start != end:
            if start is not None and end is not None:
                found.append(Span(start, end))
            start = piece.start
        end = piece.end
    return (*found, Span(start, end)) if start is not None and end is not None else ()


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
    low, high = say.bound(limits.temp_low, metric, least=True), say.bound(limits.temp_high, metric, least=False)
    # A dash before a minus sign cannot be read.
    dash = to if limits.temp_low < 0 else "–"
    warm = f"{low}{dash}{high} {say.unit(metric)}" if low != high else f"{high} {say.unit(metric)}"
    damp = say.percent(limits.humidity_high)
    if limits.humidity_low > 0:
        damp = f"{say.percent(limits.humidity_low).removesuffix(' %')}–{damp}"
    return warm, damp, say.margin(limits.dew_margin, metric) if limits.dew_margin else ""


def hindrance(limits: Limits, pieces: Sequence[AirPiece], span: Span, *, metric: bool) -> tuple[Hindrance, ...]:
    """Which limits the air breaks within the span, each once, in the order in which they first fail.

    Each names the first moment and, until the air is within that limit for good or the span is over, the worst
    value and what would cure it. Empty: the air is fit all through.
    """
    inside = list(clipped(pieces, span))
    found: dict[str, list[AirPiece]] = {}
    for piece in inside:
        for limit in _broken(limits, piece.temp, piece.humidity):
            found.setdefault(limit, []).append(piece)
    told = [_told(limits, limit, bad, metric) for limit, bad in found.items()]
    told += _unknown(inside, span)
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


def _told(limits: Limits, limit: str, bad: list[AirPiece], metric: bool) -> Hindrance:
    """One broken limit, told by the pieces that break it."""
    first = bad[0]
    worst = max(bad, key=lambda piece: _excess(limits, limit, piece))
    value, bound = _value(limit, worst), _bound(limits, limit)
    when = first.when if len({piece.when for piece in bad}) == 1 else "air"
    shown = say.percent if limit.startswith("humidity") else partial(say.temperature, metric=metric)
    least = _limit_said(limit, bound, metric)
    if limit == "dew_margin":
        shown = partial(_degrees_off, metric=metric)
    return Hindrance(
        limit=limit,
        start=first.start,
        end=bad[-1].end,
        value=value,
        bound=bound,
        said=message(
            "unfit",
            when=when,
            what=message(f"unfit.what.{limit}", value=shown(value)),
            at=worst.start,
            first=None if worst.start == first.start else message("unfit.first", at=first.start),
            rule=message(f"unfit.must.{limit}", bound=least),
            hold=message("unfit.hold", stage=limits.hold_until) if limits.hold_until else message("unfit.laid"),
        ),
        cure=message(f"unfit.cure.{limit}", until=bad[-1].end, when=when, **_cured(limits, limit, worst, metric)),
    )


def _cured(limits: Limits, limit: str, worst: AirPiece, metric: bool) -> dict[str, Value]:
    """What the air would have to come to: `to`, and `warm`, the warmth that would do as well with the same water."""
    bound = _bound(limits, limit)
    if limit == "dew_margin":
        humidity = saturation_pressure(worst.temp - bound) / saturation_pressure(worst.temp)
        return {
            "to": f"{int(humidity * 100)} %",
            "warm": _raised(dew_point(worst.temp, worst.humidity) + bound, metric),
        }
    if limit == "humidity_high":
        water = worst.humidity * saturation_pressure(worst.temp)
        return {
            "to": _limit_said(limit, bound, metric),
            "warm": _raised(saturation_temperature(water / bound), metric),
        }
    return {"to": _limit_said(limit, bound, metric)}


def _limit_said(limit: str, bound: float, metric: bool) -> str:
    """The figure of a limit."""
    if limit == "dew_margin":
        return say.margin(bound, metric)
    if limit.startswith("temp"):
        return f"{say.bound(bound, metric, least=limit == 'temp_low')} {say.unit(metric)}"
    return say.percent(bound)


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


def _raised(celsius: float, metric: bool) -> str:
    """A temperature to heat to, rounded up to the whole degree of the scale that it is said in."""
    shown = celsius if metric else celsius * 9 / 5 + 32
    return f"{-int(-shown // 1)} {say.unit(metric)}"


def _degrees_off(celsius: float, metric: bool) -> str:
    return f"{round(celsius if metric else celsius * 9 / 5, 1) + 0.0:g} {say.unit(metric)}"


def _unknown(inside: list[AirPiece], span: Span) -> Iterator[Hindrance]:
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
                said=message("unfit.unknown", start=end, end=start),
                cure=message("unfit.helps.unknown"),
            )
            return
