"""What a single value under `scope` may be: lengths of a room, heights, amounts. See `scalars`."""

from __future__ import annotations

import re
from typing import Annotated

from scheduler.model.basics import Estimate
from scheduler.model.material import CAUTION_KINDS
from scheduler.model.method import PHASES
from scheduler.model.scope import GOLDEN, SURFACES, Level
from scheduler.reading.scalars import read_work, reads, schema, word_of
from scheduler.told import told
from scheduler.units import CommaError, UnclearQuantityError, parse_area, parse_length, parse_mass, parse_volume

LONGEST_WALL = 100.0
"""Metres; what is longer was measured in another unit."""
_OR_NUMBER = ["string", "number"]
_OLD = ("old paint", "old texture", "nothing")
_SHARES = {"one third": 1 / 3, "two thirds": 2 / 3, "one half": 1 / 2, "half": 1 / 2, "golden section": GOLDEN}


def _work_or_none(text: str) -> Estimate:
    return Estimate.sure(0) if text.strip().lower() in ("no", "none") else read_work(text)


def _length(text: str) -> float:
    metres = parse_length(text)
    if not 0 < metres <= LONGEST_WALL:
        raise UnclearQuantityError(
            told("`{text}` is no length in a room", text=text), "write one such as `13 ft 2 in`, `3.9 m`"
        )
    return metres


def _level(text: str) -> Level:
    """`38 in`, `1/3`, `two thirds`, `golden section`."""
    plain = " ".join(text.lower().split()).removeprefix("the ")
    if plain in _SHARES:
        return Level(share=_SHARES[plain])
    fraction = re.fullmatch(r"([1-9])/([2-9])", plain)
    if fraction is not None and int(fraction[1]) < int(fraction[2]):
        return Level(share=int(fraction[1]) / int(fraction[2]))
    return Level(metres=parse_length(text))


def _measured(text: str) -> float:
    """A count, metres or square metres."""
    plain = text.strip()
    if re.fullmatch(r"[0-9]{1,6}(\.[0-9]{1,3})?", plain):
        return float(plain)
    try:
        return parse_length(plain)
    except UnclearQuantityError:
        return parse_area(plain)


def _used(text: str) -> tuple[float, str]:
    """An amount and its unit (see `model.supply.Use`)."""
    plain = text.strip()
    if re.fullmatch(r"[0-9]{1,6}", plain):
        return float(plain), "piece"
    for parse, unit in ((parse_volume, "L"), (parse_length, "m"), (parse_area, "m2"), (parse_mass, "kg")):
        try:
            return parse(plain), unit
        except CommaError:
            raise  # no unit makes it clear
        except UnclearQuantityError:
            continue
    raise UnclearQuantityError(told("`{text}` is no amount", text=text), "write one such as `300 ml`, `12 ft`, `3`")


def _pace(text: str) -> float:
    found = re.fullmatch(r"([0-9]{2,3}) ?%", text.strip())
    if found is None or not 20 <= int(found[1]) <= 300:
        raise UnclearQuantityError(
            told("`{text}` is no pace", text=text), "write one from 20 % to 300 %, such as `80 %`"
        )
    return int(found[1]) / 100


def _dry_time(text: str) -> float:
    found = re.fullmatch(r"([0-9]{2,3}) ?%", text.strip())
    if found is None or not 20 <= int(found[1]) <= 500:
        raise UnclearQuantityError(
            told("`{text}` is no dry time", text=text), "write one from 20 % to 500 %, such as `130 %`"
        )
    return int(found[1]) / 100


WorkOrNone = Annotated[
    Estimate, reads(_work_or_none, "write a duration such as `20 min`, or `none`"), schema("string", "20 min", "none")
]
Length = Annotated[
    float, reads(_length, "write a length such as `13 ft 2 in`"), schema("string", "13 ft 2 in", "3.9 m")
]
Area = Annotated[
    float, reads(parse_area, "write an area such as `120 sq ft`"), schema("string", "120 sq ft", "11 m²")
]
LevelText = Annotated[
    Level,
    reads(_level, "write `38 in`, `1/3` or `golden section`"),
    schema("string", "38 in", "1/3", "golden section"),
]
Measured = Annotated[
    float,
    reads(_measured, "write a number, a length or an area"),
    schema("string", "23", "12 ft", "120 sq ft", type=_OR_NUMBER),
]
Used = Annotated[
    tuple[float, str],
    reads(_used, "write an amount such as `300 ml`, `12 ft`, `3`"),
    schema("string", "300 ml", "3", type=_OR_NUMBER),
]
Pace = Annotated[float, reads(_pace, "write a share such as `80 %`"), schema("string", "80 %")]
DryTime = Annotated[float, reads(_dry_time, "write a share such as `130 %`"), schema("string", "130 %")]
Along = Annotated[str, reads(word_of("floor", "ceiling"), "write `floor` or `ceiling`"), schema("string")]
Surface = Annotated[str, reads(word_of(*SURFACES), "write a kind of surface"), schema("string", enum=list(SURFACES))]
Phase = Annotated[str, reads(word_of(*PHASES), "write a phase of the work"), schema("string", enum=list(PHASES))]
Danger = Annotated[
    str,
    reads(word_of(*CAUTION_KINDS), "write a kind of caution"),
    schema("string", enum=list(CAUTION_KINDS)),
]
Disturbed = Annotated[
    str,
    reads(word_of(*_OLD), "write old paint, old texture or nothing"),
    schema("string", enum=list(_OLD)),
]
