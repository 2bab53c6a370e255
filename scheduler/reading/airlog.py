"""A CSV of measured air -> readings, every bad line at its place. Nothing is filled in or bridged here.

The first line names the columns: a time, a temperature and a humidity; others are left alone. The scale stands in
the header (`temperature °F`, `temp_c`) or in every cell (`68 °F`); humidity is in percent. A time without an offset
is the clock on the wall in the job's zone. Gaps stay gaps: the air of a room says what holds in them.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.errors import Fault, InputError, Place, wrong_input
from scheduler.model.job import Reading
from scheduler.reading.scalars import AIR_RANGE
from scheduler.reading.textfile import read_text, shown
from scheduler.reading.times import FIRST_YEAR, LAST_YEAR
from scheduler.told import either, told
from scheduler.units import UnclearQuantityError, format_temp, parse_fraction, parse_temp
from scheduler.wallclock import to_minutes

MAX_BYTES = 8 << 20
"""Two years of readings every five minutes."""
MOST_FAULTS = 20
"""More from one file are counted, not listed: a wrong column is wrong in every line."""

_TIME = ("time", "timestamp", "date", "datetime", "date time", "when")
_TEMP = ("temperature", "temp", "t", "air temperature")
_HUMIDITY = ("humidity", "relative humidity", "rh", "air humidity")
_SCALES = {"f": "°F", "fahrenheit": "°F", "c": "°C", "celsius": "°C"}
_WRITE_HEADER = "write `time,temperature °F,humidity %` as the first line"
_WRITE_TIME = "write it as `2027-01-09 08:00`, or with an offset, `2027-01-09T08:00-07:00`"
_HINT_OFFSET = "write times with their offset, such as `2027-11-07T01:30-06:00`"


@dataclass(frozen=True, slots=True)
class _Columns:
    """Where the three values stand in a line, and the scale of the temperature ("" where the cells say it)."""

    time: int
    temp: int
    humidity: int
    scale: str


def read_air(path: Path, zone: ZoneInfo) -> tuple[Reading, ...]:
    """The readings of a file, rising in time. Raises InputError with its faults, line by line."""
    return parse_air(read_text(path, MAX_BYTES), shown(path), zone)


def parse_air(text: str, name: str, zone: ZoneInfo) -> tuple[Reading, ...]:
    """The readings of a CSV text (commas, semicolons or tabs). `name` is the file's name in the faults."""
    faults: list[Fault] = []
    readings: list[Reading] = []
    last: datetime | None = None
    columns: _Columns | None = None
    for line, row in _rows(text, name):
        try:
            if columns is None:
                columns = _header(row)
                continue
            moment = _moment(row[columns.time], zone, last)
            readings.append(_reading(row, columns, moment, line))
            last = moment
        except UnclearQuantityError as unclear:
            faults.append(Fault(Place(name, line, 1), unclear.message, unclear.hint))
            if columns is None:
                break
        except IndexError:
            faults.append(Fault(Place(name, line, 1), "a value is missing in this line", "write all of its values"))
    if not faults and not readings:
        faults.append(Fault(Place(name), "there is no reading in this file", _WRITE_HEADER))
    if len(faults) > MOST_FAULTS:
        more = told("{faults} more lines are wrong", faults=len(faults) - MOST_FAULTS)
        faults[MOST_FAULTS:] = [Fault(faults[MOST_FAULTS].place, more, "mend those above first")]
    if faults:
        raise InputError(faults)
    return tuple(readings)


def _rows(text: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """The lines that hold anything, with their numbers; cells without the space around them."""
    lines = text.splitlines()
    first = next((line for line in lines if line.strip()), "")
    mark = max(",;\t", key=first.count)
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            # One line at a time: a quote that is never closed costs its own line, not the rest of the file.
            row = next(csv.reader([line], delimiter=mark, strict=True), [])
        except csv.Error:
            said = "the quotes in this line don't match"
            raise wrong_input(Place(name, number, 1), said, "close them, or leave them out") from None
        yield number, [cell.strip() for cell in row]


def _header(row: Sequence[str]) -> _Columns:
    found: dict[str, int] = {}
    scale = ""
    for number, cell in enumerate(row):
        words, unit = _split(cell)
        for what, names in (("time", _TIME), ("temperature", _TEMP), ("humidity", _HUMIDITY)):
            if words not in names:
                continue
            if what in found:
                raise UnclearQuantityError(told("two columns hold the {what}", what=what), "keep one of them")
            found[what] = number
            scale = _scale(unit, cell) if what == "temperature" else scale
    missing = [what for what in ("time", "temperature", "humidity") if what not in found]
    if missing:
        raise UnclearQuantityError(
            told("no column is called {names}", names=either(f"`{name}`" for name in missing)), _WRITE_HEADER
        )
    return _Columns(found["time"], found["temperature"], found["humidity"], scale)


def _split(cell: str) -> tuple[str, str]:
    """A column's name and its unit: `temp_c`, `Temperature (°F)`, `humidity %`."""
    plain = re.sub(r"[\s_()\[\]/°º.]+", " ", cell.lower().replace("℃", "c").replace("℉", "f")).strip()
    words, _, unit = plain.rpartition(" ")
    if unit in (*_SCALES, "k", "kelvin", "%", "percent", "pct") and words:
        return words, unit
    return plain.removesuffix("%").strip(), ""


def _scale(unit: str, cell: str) -> str:
    if unit and unit not in _SCALES:
        raise UnclearQuantityError(
            told("`{cell}` names no scale that is read here", cell=cell), "write `temperature °F` or `temperature °C`"
        )
    return _SCALES.get(unit, "")


def _moment(text: str, zone: ZoneInfo, last: datetime | None) -> datetime:
    """The aware moment of a reading. Of a time that comes twice in autumn the one that rises."""
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise UnclearQuantityError(told("`{text}` is no time", text=text[:40]), _WRITE_TIME) from None
    if not FIRST_YEAR <= moment.year <= LAST_YEAR or len(text) <= len("2027-01-09"):
        raise UnclearQuantityError(told("`{text}` is no time of a reading", text=text[:40]), _WRITE_TIME)
    if moment.tzinfo is None:
        moment = _on_the_wall(moment, text, zone, last)
    moment = moment.astimezone(UTC)
    if last is not None and moment <= last:
        before = last.astimezone(zone).strftime("%Y-%m-%d %H:%M")
        raise UnclearQuantityError(
            told("`{text}` is not after the line before ({before})", text=text, before=before),
            "put the lines in order of time",
        )
    return moment


def _on_the_wall(naive: datetime, text: str, zone: ZoneInfo, last: datetime | None) -> datetime:
    first, second = (naive.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if first.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != naive:
        raise UnclearQuantityError(told("the clocks of {key} skip `{text}`", key=zone.key, text=text), _HINT_OFFSET)
    twice = first.utcoffset() != second.utcoffset()
    return second if twice and last is not None and first.astimezone(UTC) <= last else first


def _reading(row: Sequence[str], columns: _Columns, moment: datetime, line: int) -> Reading:
    return Reading(
        minute=to_minutes(moment),
        temp=_temp(row[columns.temp], columns.scale),
        humidity=_humidity(row[columns.humidity]),
        line=line,
    )


def _temp(cell: str, scale: str) -> float:
    temp = parse_temp(f"{cell} {scale}" if scale and not re.search("[a-zA-Z]", cell) else cell)
    if not AIR_RANGE[0] <= temp <= AIR_RANGE[1]:
        low, high = (format_temp(bound, metric=True) for bound in AIR_RANGE)
        raise UnclearQuantityError(
            told("`{cell}` is no air to work in", cell=cell),
            told("air lies between {low} and {high}: see the scale", low=low, high=high),
        )
    return temp


def _humidity(cell: str) -> float:
    number = cell.removesuffix("%").strip()
    humidity = parse_fraction(f"{number} %")
    if humidity < 0.01:
        raise UnclearQuantityError(
            told("`{cell}` is no humidity of a room", cell=cell), "write percent, such as `45`"
        )
    return humidity
