"""What the forms of methods are made of: rates of labour, sums, conditions."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import AfterValidator

from scheduler.model.formula import Formula, parse_formula
from scheduler.model.method import PHASES
from scheduler.model.scope import SURFACES
from scheduler.reading.profileparts import number_from, one_of, three
from scheduler.reading.scalars import TakenUntil, reads, taken_sum
from scheduler.told import told
from scheduler.units import UnclearQuantityError, parse_area, parse_duration, parse_length

RATE_HINT = "write a rate such as `120 ft/h`, `90 ft²/h`, `60/h`, or a time such as `15 min`, `2 min/ft`"
_SPEED = re.compile(r"(.+?)\s*(?:/|per)\s*h(?:our)?")
_TIME = re.compile(r"(.+?)\s*(?:/|per)\s*(.+)")


@dataclass(frozen=True, slots=True)
class Rate:
    """Minutes for one unit: "m", "m2" or "piece"."""

    minutes: float
    unit: str


def parse_rate(text: str) -> Rate:
    """`120 ft/h`, `90 ft²/h`, `60/h`, `2 min/ft`, `15 min` (each). Raises UnclearQuantityError."""
    plain = text.strip()
    speed = _SPEED.fullmatch(plain)
    if speed is not None:
        amount, unit = _amount(speed[1])
        if amount <= 0:
            raise UnclearQuantityError(told("`{text}` is no rate", text=text), RATE_HINT)
        return Rate(60 / amount, unit)
    timed = _TIME.fullmatch(plain)
    if timed is not None:
        amount, unit = _amount(timed[2] if timed[2][:1].isdigit() else f"1 {timed[2]}")
        return Rate(parse_duration(timed[1]) / amount, unit)
    return Rate(float(parse_duration(plain)), "piece")


def _amount(text: str) -> tuple[float, str]:
    if re.fullmatch(r"[0-9]+(\.[0-9]+)?", text):
        return float(text), "piece"
    for parse, unit in ((parse_length, "m"), (parse_area, "m2")):
        try:
            return parse(text), unit
        except UnclearQuantityError:
            continue
    raise UnclearQuantityError(told("`{text}` is neither length nor area", text=text), RATE_HINT)


@dataclass(frozen=True, slots=True)
class PlacesUntil:
    """So many places of a shared thing, and until when."""

    count: Formula
    until: TakenUntil


def parse_places(text: str) -> PlacesUntil:
    """`1`, `pieces until handle`, `1 until rinse`, `2 for 45 min`. Raises UnclearQuantityError."""
    count, until = taken_sum(text)
    return PlacesUntil(parse_formula(count), until)


def _alike(rates: tuple[Rate, Rate, Rate]) -> tuple[Rate, Rate, Rate]:
    if len({rate.unit for rate in rates}) > 1:
        raise UnclearQuantityError("these rates are not all for the same unit", RATE_HINT)
    if not rates[0].minutes <= rates[1].minutes <= rates[2].minutes:
        raise UnclearQuantityError("these rates do not slow down", "write the quickest first and the slowest last")
    return rates


OneRate = Annotated[Rate, reads(parse_rate, RATE_HINT)]
Rates = Annotated[
    tuple[OneRate, OneRate, OneRate], three("rate", "write quick, likely and slow"), AfterValidator(_alike)
]
Sum = Annotated[Formula, reads(parse_formula, "write a sum such as `2 * run / spacing`", 200)]
OnePlaces = Annotated[PlacesUntil, reads(parse_places, "write a number, and `until` when if it is kept for longer")]
Phase = Annotated[str, one_of(PHASES, "phase")]
Surface = Annotated[str, one_of(SURFACES, "kind of surface")]
Unit = Annotated[str, one_of(("m", "m2", "m3", "piece"), "unit")]
Factor = Annotated[float, reads(number_from(1, 5), "write a number such as `1.5`")]
Plain = Annotated[float, reads(number_from(0, 10_000), "write a number such as `2`")]
