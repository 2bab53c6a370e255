"""Wood that lies in a room until its moisture is near that of the air: by what a meter says of it when it comes.

Moisture goes through a board that lies open on both faces by diffusion into a slab (Crank, The Mathematics of
Diffusion, 1975, chapter 4: from memory): the time for a share of the way goes with a Fourier number. It ends where
the wood is within what a joint bears of the moisture at which it settles in that air
(`psychro.equilibrium_moisture`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate
from math import log, pi

from scheduler.drying.air import AirPiece
from scheduler.drying.psychro import equilibrium_moisture
from scheduler.model.clock import DryClock
from scheduler.model.material import Acclimation
from scheduler.wallclock import DAY

LEAST = 1 / 1000
"""The least part of the profile's time that is counted: wood that is there already takes no time to speak of."""

# Beyond these the Wood Handbook's table says nothing; the nearest it says is taken.
_TEMPS, _DAMPEST = (-1.2, 82.3), 0.98


def fourier(share: float) -> float:
    """D·t/L² after which a slab of thickness L, open on both faces, has gone a share (0..1) of its way.

    π·f²/16 in the first half, −ln(π²(1 − f)/8)/π² in the second: the first term of the series for short and for long
    times, which meet there within 0.5 %.
    """
    if not 0 <= share < 1:
        raise ValueError(f"a share of {share:g} is outside 0 to 1")
    return pi * share**2 / 16 if share <= 0.5 else -log(pi**2 * (1 - share) / 8) / pi**2


def way_to_go(came: float, settles: float, allowed: float) -> float:
    """The share of its way that wood must go which came at a moisture and settles at another, until what is left is
    `allowed` (all in fractions of dry mass): 0 if it is as near as that."""
    apart = abs(came - settles)
    return max(0.0, 1 - allowed / apart) if apart else 0.0


def acclimated(pieces: Sequence[AirPiece], table: DryClock, came: float, how: Acclimation) -> DryClock:
    """The table of a law, faster or slower day by day by how far the wood has to go in that day's air.

    `came` is its moisture when it comes, a fraction of dry mass. The time of a profile is for the share it names.
    A day is 24 h from the first knot on, and counts with its mean: boards do not follow an hour.
    """
    usual = fourier(how.share)
    days = _days(pieces, table.knots[0])
    paces = {
        day: 1 / max(LEAST, fourier(way_to_go(came, mean, how.allowed)) / usual) for day, mean in _means(days).items()
    }
    knots, gains = [table.knots[0]], [0.0]
    for day, piece in days:
        if piece.start > knots[-1]:
            knots.append(piece.start)
            gains.append(0.0)
        knots.append(piece.end)
        gains.append((table.at(piece.end) - table.at(piece.start)) * paces[day])
    return DryClock(tuple(knots), tuple(accumulate(gains)))


def _days(pieces: Iterable[AirPiece], first: int) -> list[tuple[int, AirPiece]]:
    """The pieces cut at the ends of days, each with the number of its day."""
    return [cut for piece in pieces for cut in _cut(piece, first)]


def _cut(piece: AirPiece, first: int) -> Iterator[tuple[int, AirPiece]]:
    start = piece.start
    while start < piece.end:
        day = (start - first) // DAY
        end = min(piece.end, first + (day + 1) * DAY)
        yield day, AirPiece(start, end, piece.temp, piece.humidity)
        start = end


def _means(days: Iterable[tuple[int, AirPiece]]) -> dict[int, float]:
    """By day the moisture at which wood settles, as a fraction, weighted by minutes."""
    sums: dict[int, tuple[float, int]] = {}
    known: dict[tuple[float, float], float] = {}
    for day, piece in days:
        air = (piece.temp, piece.humidity)
        if air not in known:
            temp = min(max(piece.temp, _TEMPS[0]), _TEMPS[1])
            known[air] = equilibrium_moisture(temp, min(piece.humidity, _DAMPEST)) / 100
        total, minutes = sums.get(day, (0.0, 0))
        length = piece.end - piece.start
        sums[day] = total + known[air] * length, minutes + length
    return {day: total / minutes for day, (total, minutes) in sums.items()}
