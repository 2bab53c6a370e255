"""The household's own calendars, for as long as a plan may reach: when nobody works, and what could not be read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from scheduler.calendar.events import is_of
from scheduler.diary.kept import BusyThere
from scheduler.errors import InputError, Place
from scheduler.files import is_address
from scheduler.model.basics import Span
from scheduler.model.job import Job
from scheduler.model.spans import union
from scheduler.pipeline import HORIZONS
from scheduler.telling.words import words_of
from scheduler.wallclock import NEVER, at_local, local_date

if TYPE_CHECKING:
    from scheduler.reading.busy import Busy


@dataclass(frozen=True, slots=True, kw_only=True)
class Household:
    """Busy minutes up to `until` (sorted, disjoint); warnings by file and line, without a word of the calendars."""

    spans: tuple[Span, ...] = ()
    warnings: tuple[str, ...] = ()
    until: int = NEVER


def household(
    job: Job,
    folder: Path,
    now: int,
    weeks: int,
    more: Sequence[str] = (),
    margin: int | None = None,
    on_servers: Mapping[str, BusyThere] = MappingProxyType({}),
) -> Household:
    """What the calendars that the job names in its folder, and `more` of them, say about the weeks from now on.

    `margin` stands for the job's own travel margin. The stretch that is read begins with the job and ends with a half
    of a year, so that the same question is asked all the while. Of `more`, a file that is gone is told of and passed
    over; an address stands for what was seen there last, out of `on_servers`. Raises InputError for a file that is no
    calendar.
    """
    if not job.busy and not more:
        return Household()
    zone = ZoneInfo(job.zone)
    span = _stretch(job, now, weeks, zone)
    around = job.travel_margin if margin is None else margin
    named = [Path(name) for name in more if not is_address(name)]
    found = [_read(path, place, span, job, around) for path, place in _files(job, folder, named) if path.exists()]
    found += [_seen(on_servers[name], span, around) for name in more if name in on_servers]
    warnings = [words_of(job).tell("notes.calendar gone", file=path) for path in named if not path.exists()]
    warnings += [line for busy in found for line in busy.warnings]
    return Household(
        spans=union(part for busy in found for part in busy.spans), warnings=tuple(warnings), until=span.end
    )


def busy_there(
    job: Job, now: int, asked: Mapping[str, Sequence[tuple[str, bytes]]]
) -> tuple[dict[str, BusyThere], dict[str, InputError]]:
    """What calendars on servers (the name and the bytes of all that each consists of) say about the year and a half
    from now on; and for each that is none, or beyond all bounds, what is wrong with it."""
    from scheduler.reading.busy import busy_on_server

    zone = ZoneInfo(job.zone)
    span = _stretch(job, now, HORIZONS[1], zone)
    found, wrong = dict[str, BusyThere](), dict[str, InputError]()
    for address, sources in asked.items():
        try:
            busy = busy_on_server(address, sources, span, zone, own=lambda uid: is_of(job.id, uid))
        except InputError as error:
            wrong[address] = error
        else:
            found[address] = BusyThere(spans=busy.spans, warnings=busy.warnings)
    return found, wrong


def _files(job: Job, folder: Path, more: Sequence[Path]) -> Iterator[tuple[Path, Place | None]]:
    yield from ((folder / busy.file, busy.place) for busy in job.busy)
    yield from ((path, None) for path in more)


def _seen(there: BusyThere, span: Span, margin: int) -> Busy:
    from scheduler.reading.busy import Busy, with_margin

    return Busy(with_margin(there.spans, margin, span), there.warnings)


def _stretch(job: Job, now: int, weeks: int, zone: ZoneInfo) -> Span:
    begin = local_date(job.start, zone)
    last = local_date(max(job.start, now), zone) + timedelta(weeks=weeks)
    end = date(last.year, 7, 1) if last.month < 7 else date(last.year + 1, 1, 1)
    return Span(at_local(begin, 0, zone), at_local(end, 0, zone))


def _read(path: Path, place: Place | None, span: Span, job: Job, margin: int) -> Busy:
    from scheduler.reading.busy import read_busy

    try:
        return read_busy([path], span, ZoneInfo(job.zone), margin, own=lambda uid: is_of(job.id, uid))
    except InputError as error:
        if place is None:
            raise
        raise InputError([fault.where_named(place, str(path)) for fault in error.faults]) from None
