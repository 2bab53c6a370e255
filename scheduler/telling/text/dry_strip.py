"""A strip of signs for each stage: how far the coat has come, an hour a sign, then a day a sign for the slow ones.

The taller the sign the nearer the stage; a full one where it is reached. In ASCII a digit tells the tenths and `#`
that it is reached. A cold night shows as a stretch in which the signs hardly grow.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise

from scheduler.model.basics import Span
from scheduler.model.drytable import DryStage, DryTable
from scheduler.telling.dates import LocalFace
from scheduler.telling.text.sheet import Line
from scheduler.telling.words import Words
from scheduler.wallclock import at_local, local_date, to_datetime

LABEL = 11
"""Columns for the word of the stage."""

_LEVELS, _THERE = "▁▂▃▄▅▆▇", "█"
_TENTHS, _THERE_ASCII = "0123456789", "#"
_ON = ">"


@dataclass(frozen=True, slots=True)
class _Axis:
    """The moments at which the columns end, and the labels above them."""

    begin: int
    ends: tuple[int, ...]
    labels: str

    @property
    def columns(self) -> Iterator[tuple[int, int]]:
        """Begin and end of each column."""
        return pairwise((self.begin, *self.ends))


def strips(
    table: DryTable, unfit: Sequence[Span], words: Words, face: LocalFace, width: int, plain: bool
) -> Iterator[Line]:
    """The lines of both drawings, none wider than `width`; `plain` keeps to ASCII."""
    room = max(12, width - LABEL - 1)
    stages = [stage for stage in table.stages if stage.stage != "recoat_by" and (stage.reached or not table.spoilt)]
    if not stages:
        return
    hours = _hours(stages, table.start, face, room)
    soon = [stage for stage in stages if stage.at <= hours.ends[-1]]
    slow = [stage for stage in stages if stage.at > hours.ends[-1]]
    key = (
        words.tell("strip.tenths", there=_THERE_ASCII)
        if plain
        else words.tell("strip.half", half=_LEVELS[3], there=_THERE)
    )
    if soon or not slow:
        yield Line(words.tell("strip.hours", begin=face.time(hours.begin), key=key), kind="heading")
        yield from _drawn(soon, hours, plain)
        yield from _air(unfit, hours, words)
    if slow:
        days, size = _days(slow, table.start, face, room)
        each = words.tell("strip.day") if size == 1 else words.counted("day", size)
        on = "" if all(stage.reached for stage in slow) else words.tell("strip.on", on=_ON)
        yield Line(words.tell("strip.longer" if soon else "strip.days", each=each, key=key, on=on), kind="heading")
        yield from _drawn(slow, days, plain)
        if not soon:
            yield from _air(unfit, days, words)


def _hours(stages: Sequence[DryStage], start: int, face: LocalFace, room: int) -> _Axis:
    """Columns that end on the hour, as many as the last stage that comes in time needs."""
    local = to_datetime(start, face.zone)
    first = start - local.minute
    limit = first + room * 60
    last = max([stage.at for stage in stages if stage.at <= limit], default=limit)
    count = max(1, -((first - last) // 60))
    begins = [first + 60 * column for column in range(count)]
    labels = [_clock(face, begin) for begin in begins]
    return _Axis(first, tuple(begin + 60 for begin in begins), _ticks(labels, room))


def _clock(face: LocalFace, minute: int) -> str:
    """What stands over the column that begins at a minute: the day at midnight, the time at 6, 12 and 18 o'clock."""
    moment = to_datetime(minute, face.zone)
    if moment.hour % 6:
        return ""
    if not moment.hour:
        return face.weekday(moment.date())
    if face.clock24:
        return f"{moment.hour:02}"
    return {6: "6 am", 12: "noon", 18: "6 pm"}[moment.hour]


def _days(stages: Sequence[DryStage], start: int, face: LocalFace, room: int) -> tuple[_Axis, int]:
    """Columns that end at midnight, of a day or of as many days as make them fit; and how many days that is."""
    day = local_date(start, face.zone)
    # What is not reached is followed to the end of the air that is known.
    last = max(stage.at if stage.reached else stage.clock.clock.knots[-1] for stage in stages)
    total = (local_date(last - 1, face.zone) - day).days + 1
    size = -(-total // room)
    starts = [day + timedelta(days=size * column) for column in range(-(-total // size))]
    ends = tuple(at_local(begin + timedelta(days=size), 0, face.zone) for begin in starts)
    labels = [
        f"{face.number(begin)} {face.month(begin)}" if not column % 7 else "" for column, begin in enumerate(starts)
    ]
    return _Axis(start, ends, _ticks(labels, room)), size


def _ticks(labels: Sequence[str], room: int) -> str:
    """One line with each label over its column; a label that would touch the one before, or the edge, is left out."""
    line = ""
    for column, label in enumerate(labels):
        if label and (len(line) < column or not line) and column + len(label) <= room:
            line = line.ljust(column) + label
    return line


def _drawn(stages: Sequence[DryStage], axis: _Axis, plain: bool) -> Iterator[Line]:
    yield Line("", first=" " * LABEL + axis.labels)
    for stage in stages:
        signs = "".join(_sign(stage, begin, end, plain) for begin, end in axis.columns)
        on = _ON if stage.at > axis.ends[-1] else ""
        yield Line("", first=f"{stage.stage.replace('_', ' '):<{LABEL}}{signs}{on}")


def _sign(stage: DryStage, begin: int, end: int, plain: bool) -> str:
    if stage.at <= end:
        return " " if stage.at <= begin and begin > stage.start else _THERE_ASCII if plain else _THERE
    levels = _TENTHS if plain else _LEVELS
    return levels[min(len(levels) - 1, int(stage.share(end) * len(levels)))]


def _air(unfit: Sequence[Span], axis: _Axis, words: Words) -> Iterator[Line]:
    """Where the air is outside the limits while it must be inside, if it is."""
    signs = "".join(
        "!" if any(span.start < end and span.end > begin for span in unfit) else " " for begin, end in axis.columns
    ).rstrip()
    if signs:
        yield Line("", first=f"{words.tell('strip.unfit'):<{LABEL}}{signs}")
        yield Line(words.tell("strip.outside"), first=" " * LABEL)
