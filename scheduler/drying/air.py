"""The air of a room over a span, as pieces within which temperature and humidity do not change.

Day and night hold by the clock on the wall, so a night in which the clocks change has 11 or 13 hours. A reading
holds half way to its neighbours, at most 30 minutes either way: two readings bridge an hour between them and no
more. Wherever the readings leave a gap the day/night pair holds, and a warning says so. Where a room is warmed while
somebody is there, that is laid over the pairs, not over readings: those say what the air was.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache
from itertools import pairwise
from zoneinfo import ZoneInfo

from scheduler.drying import say
from scheduler.drying.psychro import dew_point, kept_humidity
from scheduler.model.basics import Span
from scheduler.model.job import AirPeriod, Reading, Room, Warmed
from scheduler.model.message import Message, as_written, message
from scheduler.wallclock import at_local, local_date

REACH = 30
"""Minutes that a reading holds to either side at most: an hour across a gap, and no more."""


MOST_LINES = 8
"""Lines of a file that one warning names."""


@dataclass(frozen=True, slots=True)
class AirPiece:
    """Air that does not change over [start, end) minutes: °C, humidity as a fraction.

    `when` says what it is in a sentence: "day", "night", or "air" (a reading, or day and night alike). `wet` is the
    day's air (°C, fraction) whose water a night is too cold to hold: what is beyond lies on the walls.
    """

    start: int
    end: int
    temp: float
    humidity: float
    when: str = "air"
    wet: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class RoomAir:
    """The pieces in order, without overlap, and what must be said about them. Holes are air that nobody knows."""

    pieces: tuple[AirPiece, ...]
    warnings: tuple[Message, ...] = ()


def room_air(room: Room, zone: ZoneInfo, span: Span, *, metric: bool = True) -> RoomAir:
    """The air of a room over a span: its readings as far as they reach, else its day/night pairs by date.

    A day that falls before the first dated pair takes that pair, with a warning. A room without any pair has
    holes where no reading reaches; a dry clock stands still there. `metric` is for the figures of the warnings.
    """
    pairs = sorted(room.air, key=lambda period: (period.since is not None, period.since))
    reach = list(_readings(room.readings))
    read = list(clipped(reach, span))
    ruled = list(_day_and_night(room, pairs, zone, span)) if pairs else []
    if room.warmed is not None:
        ruled = list(_warm(ruled, room.warmed, room.warm_spans))
    pieces = tuple(_merged(_overlaid(read, ruled, span) if read else ruled))
    warnings = (
        *_early_warning(room, pairs, zone, span),
        *_gap_warning(room, reach, span),
        *_wet_warning(room, pieces, metric),
    )
    return RoomAir(pieces, warnings)


def night_humidity(period: AirPeriod) -> float:
    """The humidity of the night (fraction): the one that is said, else that of the day's water, 1 at most."""
    return period.night_humidity if period.night_humidity is not None else min(1.0, _raw(period))


def _raw(period: AirPeriod) -> float:
    """What the night's humidity would be with all of the day's water still in the air."""
    return kept_humidity(period.day_temp, period.day_humidity, period.night_temp)


def shifted(pieces: Iterable[AirPiece], warmer: float = 0.0, damper: float = 0.0) -> tuple[AirPiece, ...]:
    """The same air, `warmer` °C warmer and `damper` (a fraction) damper, humidity kept within 0..1."""
    return tuple(
        replace(piece, temp=piece.temp + warmer, humidity=min(1.0, max(0.0, piece.humidity + damper)))
        for piece in pieces
    )


def _day_and_night(room: Room, pairs: list[AirPeriod], zone: ZoneInfo, span: Span) -> Iterator[AirPiece]:
    """Pieces from one turn of day, night or date to the next, within the span."""
    airs = {(day, number): _held(pair, day) for number, pair in enumerate(pairs) for day in (True, False)}
    since = tuple(pair.since for pair in pairs)
    for start, end, day, number in _stretches(since, room.day_hours, zone, span):
        yield AirPiece(start, end, *airs[day, number])


def _held(pair: AirPeriod, day: bool) -> tuple[float, float, str, tuple[float, float] | None]:
    """What a piece of a day or of a night says of its air: temperature, humidity, `when` and `wet`."""
    if day:
        return pair.day_temp, pair.day_humidity, "day", None
    kept = pair.night_humidity is None and _raw(pair) > 1
    return pair.night_temp, night_humidity(pair), "night", (pair.day_temp, pair.day_humidity) if kept else None


def _warm(pieces: list[AirPiece], warmed: Warmed, spans: tuple[Span, ...]) -> Iterator[AirPiece]:
    """The same air, warmed within the spans wherever it is colder by itself."""
    at = 0
    for piece in pieces:
        while at and spans[at - 1].end > piece.start:
            at -= 1
        free = piece.start
        while at < len(spans) and spans[at].start < piece.end:
            start, end = max(spans[at].start, free), min(spans[at].end, piece.end)
            at += 1
            if start >= end or piece.temp >= warmed.temp:
                continue
            if free < start:
                yield _cut(piece, free, start)
            kept = min(1.0, kept_humidity(piece.temp, piece.humidity, warmed.temp))
            humidity = kept if warmed.humidity is None else warmed.humidity
            yield replace(piece, start=start, end=end, temp=warmed.temp, humidity=humidity, wet=None)
            free = end
        if free < piece.end:
            yield _cut(piece, free, piece.end)


@lru_cache(maxsize=64)
def _stretches(
    since: tuple[date | None, ...], day_hours: tuple[tuple[int, int], ...], zone: ZoneInfo, span: Span
) -> tuple[tuple[int, int, bool, int], ...]:
    """(start, end, whether it is day, the number of the pair that holds) for the days of the span, within it.

    It does not depend on what the air is, and is asked for once more for every draw of another air.
    """
    dates = [each for each in since if each is not None]
    undated = len(since) - len(dates)
    turns: list[tuple[int, bool, int]] = []
    latest = 0
    day, last = local_date(span.start, zone) - timedelta(days=1), local_date(span.end, zone)
    while day <= last:
        number = max(0, undated + bisect_right(dates, day) - 1)
        own, before = day_hours[day.weekday()], day_hours[day.weekday() - 1]
        for clock in sorted({0, *own, *(before[1:] if before[0] > before[1] else ())}):
            # A time of day that the change of clocks skips is read late: no turn may come before the one ahead of it.
            latest = max(latest, at_local(day, clock, zone))
            light = _is_day(clock, own, before)
            if not turns or turns[-1][1:] != (light, number):
                turns.append((latest, light, number))
        day += timedelta(days=1)
    ends = [*(start for start, _, _ in turns[1:]), span.end]
    cut = ((max(turn[0], span.start), min(end, span.end), turn) for turn, end in zip(turns, ends, strict=True))
    return tuple((start, end, light, number) for start, end, (_, light, number) in cut if start < end)


def _is_day(clock: int, own: tuple[int, int], before: tuple[int, int]) -> bool:
    """Whether the day's values hold at that minute of a day with its `own` hours and those of the day `before`; they
    may run past midnight or never end."""
    start, end = own
    if start == end or (before[0] > before[1] and clock < before[1]):
        return True
    return start <= clock and (clock < end or end < start)


def _readings(readings: Iterable[Reading]) -> Iterator[AirPiece]:
    """Each reading from half way since the one before to half way to the next, at most REACH to either side.

    Of two readings of the same minute the later one in the file counts.
    """
    known = _in_order(readings)
    for i, reading in enumerate(known):
        start, end = reading.minute - REACH, reading.minute + REACH
        if i:
            start = max(start, (known[i - 1].minute + reading.minute) // 2)
        if i + 1 < len(known):
            end = min(end, (reading.minute + known[i + 1].minute) // 2)
        yield AirPiece(start, end, reading.temp, reading.humidity)


def _in_order(readings: Iterable[Reading]) -> list[Reading]:
    """The readings by time, one a minute."""
    return [reading for _, reading in sorted({reading.minute: reading for reading in readings}.items())]


def clipped(pieces: Iterable[AirPiece], span: Span) -> Iterator[AirPiece]:
    """What of the pieces lies within the span."""
    for piece in pieces:
        start, end = max(piece.start, span.start), min(piece.end, span.end)
        if start < end:
            yield _cut(piece, start, end)


def _overlaid(read: list[AirPiece], ruled: list[AirPiece], span: Span) -> Iterator[AirPiece]:
    """The readings, and the day/night pieces wherever no reading holds."""
    at = 0
    free = span.start
    for piece in [*read, AirPiece(span.end, span.end, 0.0, 0.0)]:
        while at < len(ruled) and ruled[at].start < piece.start:
            low, high = max(ruled[at].start, free), min(ruled[at].end, piece.start)
            if low < high:
                yield _cut(ruled[at], low, high)
            if ruled[at].end > piece.start:
                break
            at += 1
        if piece.start < piece.end:
            yield piece
        free = piece.end


def _cut(piece: AirPiece, start: int, end: int) -> AirPiece:
    """A piece within these ends: nearly always the piece itself."""
    whole = piece.start == start and piece.end == end
    return piece if whole else replace(piece, start=start, end=end)


def _merged(pieces: Iterable[AirPiece]) -> Iterator[AirPiece]:
    """Neighbours with the same air made one, so that a table has no more knots than the air has changes."""
    held: AirPiece | None = None
    for piece in pieces:
        if held and held.end == piece.start and (held.temp, held.humidity) == (piece.temp, piece.humidity):
            when = held.when if held.when == piece.when else "air"
            held = replace(held, end=piece.end, when=when)
            continue
        if held:
            yield held
        held = piece
    if held:
        yield held


def _early_warning(room: Room, pairs: list[AirPeriod], zone: ZoneInfo, span: Span) -> Iterator[Message]:
    """Says that the first dated pair is used before its date."""
    first = pairs[0].since if pairs else None
    if first and not room.readings and local_date(span.start, zone) < first:
        yield message("readings.early", room=room.title, first=at_local(first, 0, zone))


def _wet_warning(room: Room, pieces: Iterable[AirPiece], metric: bool) -> Iterator[Message]:
    """Says, once, that the water of the day's air will not stay in that of a night."""
    for piece in pieces:
        if piece.wet is None:
            continue
        temp, humidity = piece.wet
        yield message(
            "readings.wet",
            where=message("readings.room", room=room.title) if room.title else as_written(""),
            at=piece.start,
            temp=say.temperature(temp, metric),
            damp=say.percent(humidity),
            dew=say.temperature(round(dew_point(temp, humidity), 1), metric),
            night=say.temperature(piece.temp, metric),
        )
        return


def _gap_warning(room: Room, reach: list[AirPiece], span: Span) -> Iterator[Message]:
    """Says where, between the first and the last reading, none holds; and where the readings end."""
    if not reach:
        return
    instead = message("readings.values hold" if room.air else "readings.stands still")
    holes = [Span(max(a.end, span.start), min(b.start, span.end)) for a, b in pairwise(reach)]
    lines = [reading.line for reading in _in_order(room.readings)]
    after = {hole: line for hole, line in zip(holes, lines[:-1], strict=True) if hole.minutes > 0}
    gaps = list(after)
    if gaps:
        longest = max(gaps, key=lambda gap: gap.minutes)
        yield message(
            "readings.gap",
            room=room.title,
            count=message("readings.one gap" if len(gaps) == 1 else "readings.gaps", count=len(gaps)),
            start=longest.start,
            end=longest.end,
            lines=_after_lines(list(after.values())),
            instead=instead,
        )
    if reach[-1].end < span.end:
        yield message("readings.end", room=room.title, end=reach[-1].end, instead=instead)


def _after_lines(lines: list[int]) -> Message | None:
    """The lines of the file after which the gaps come, the first few; nothing for readings out of no file."""
    if not all(lines):
        return None
    more = message("readings.more lines", more=len(lines) - MOST_LINES) if len(lines) > MOST_LINES else None
    named = ", ".join(str(line) for line in lines[:MOST_LINES])
    return message("readings.line" if len(lines) == 1 else "readings.lines", lines=named, more=more)
