"""How moments, lengths and names are put into words, and how text is kept inside a number of columns.

Names and titles come from a person's file and may hold anything; `one_line` is the door through which every one of
them passes before it is shown.
"""

from __future__ import annotations

import datetime as dt
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from zoneinfo import ZoneInfo

from scheduler.wallclock import DAY, WEEKDAYS, local_date, to_datetime

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)

_CONTROLS = (*range(0x20), *range(0x7F, 0xA0), 0x2028, 0x2029)
# Marks that turn the direction of what follows or show nothing, the byte order mark, and code points that are no
# characters (Unicode 15, section 23.7): none has a place in a title, and some readers of XML refuse them.
_DIRECTIONS = (
    *(0x061C, 0x200B, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2060, 0x2070), 0xFEFF),
    *(*range(0xFFF9, 0xFFFC), *range(0xE0000, 0xE0080)),
)
_NO_CHARACTERS = (*range(0xFDD0, 0xFDF0), *(plane << 16 | low for plane in range(17) for low in (0xFFFE, 0xFFFF)))
_CLEAN: dict[int, str | None] = {
    **dict.fromkeys(_CONTROLS, " "),
    **dict.fromkeys((*_DIRECTIONS, *_NO_CHARACTERS), None),
    **dict.fromkeys(range(0xD800, 0xE000), "\N{REPLACEMENT CHARACTER}"),
}
_PLAIN = str.maketrans(
    {"–": "-", "—": "-", "…": "...", "×": "x", "→": "->", "°": "deg ", "“": '"', "”": '"', "’": "'", "‘": "'"}
    | {"·": "-", "≤": "<="}
)


def one_line(text: str) -> str:
    """The text without control characters and line ends, every run of blanks as one blank."""
    return " ".join(text.translate(_CLEAN).split())


def thing_words(name: str) -> str:
    """A shared thing by its id, as people write it: `step-ladder` is a step ladder."""
    return one_line(name.replace("-", " "))


def to_ascii(text: str) -> str:
    """The text in ASCII: signs spelled out, accents dropped, anything else as a question mark."""
    plain = unicodedata.normalize("NFKD", text.translate(_PLAIN))
    bare = "".join(letter for letter in plain if not unicodedata.combining(letter))
    return bare.encode("ascii", "replace").decode("ascii")


def columns(text: str) -> int:
    """How many columns of a terminal the text takes, never too few (wide characters take two, accents none)."""
    return len(text) if text.isascii() else sum(map(_column, text))


@cache
def _column(letter: str) -> int:
    if letter.isascii():
        return 1
    if letter == "\N{VARIATION SELECTOR-16}":  # turns the sign before it into a wide picture
        return 1
    if unicodedata.category(letter) in ("Mn", "Me"):
        return 0
    # Later editions of Unicode widen pictures, and add some: count them all as wide, whatever edition Python knows.
    picture = letter >= "\u2600" and unicodedata.category(letter) in ("So", "No", "Cn")
    return 2 if picture or unicodedata.east_asian_width(letter) in ("W", "F") else 1


def wrap(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """The text in lines of at most `width` columns; `first` opens the first line, `rest` (blanks) the others.

    A word that is longer than a line is cut.
    """
    rest = " " * columns(first) if rest is None else rest
    room = max(2, width - max(columns(first), columns(rest)))
    lines, line, begun = [], first, False
    for word in text.split():
        for part in _cut(word, room):
            if begun and columns(line) + 1 + columns(part) > width:
                lines.append(line)
                line, begun = rest, False
            line += f" {part}" if begun else part
            begun = True
    return [*lines, line.rstrip()]


def _cut(word: str, room: int) -> list[str]:
    if columns(word) <= room:
        return [word]
    parts, part, taken = [], "", 0
    for letter in word:
        size = _column(letter)
        if taken + size > room:
            parts.append(part)
            part, taken = "", 0
        part += letter
        taken += size
    return [*parts, part]


def fitting(
    titles: Sequence[str], room: int, first: Sequence[str] | None = None, rest: str = " and {left} more"
) -> str:
    """As many titles as fit into `room` columns, in their order, and how many more there are, in the words of `rest`.

    `first` has them in the order in which they are chosen. A single one that has no room is cut.
    """
    chosen = list(dict.fromkeys(titles if first is None else first))
    titles = list(dict.fromkeys(titles))
    for most in range(len(titles), 0, -1):
        left = len(titles) - most
        more = rest.format(left=left) if left else ""
        shown = [title for title in titles if title in chosen[:most]]
        if columns("; ".join(shown) + more) <= room:
            return "; ".join(shown) + more
    return shortened(shown[0], room - columns(more)) + more if titles else ""


def shortened(text: str, room: int) -> str:
    """A text, or as much of it as leaves room for the sign that something is missing.

    It is cut between two words where that keeps at least half of what there is room for.
    """
    if columns(text) <= room:
        return text
    kept = text
    while kept and columns(kept) >= room:
        kept = kept[:-1]
    whole = kept if text[len(kept)].isspace() else kept.rpartition(" ")[0]
    return f"{(whole if 2 * columns(whole) >= room else kept).rstrip(' ,;:')}…"


def counted(number: int, one: str, many: str = "") -> str:
    """`1 day`, `3 days`."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def length_words(minutes: int, days: bool = True, of_days: Callable[[int], str] | None = None) -> str:
    """A length of time: `40 min`, `3 h 5 min`, `2 days 4 h`; work is better told in hours alone (`days` false)."""
    whole, left = divmod(minutes, DAY) if days else (0, minutes)
    hours, rest = divmod(left, 60)
    parts = [counted(whole, "day") if of_days is None else of_days(whole)] if whole else []
    parts += [f"{hours} h"] if hours else []
    parts += [f"{rest} min"] if rest or not parts else []
    return " ".join(parts)


def date_words(day: date, year: bool = False) -> str:
    """`Saturday 16 January`, with the year where it is asked for."""
    tail = f" {day.year}" if year else ""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}{tail}"


def _shown(hour: int, past: int, clock24: bool) -> str:
    return (
        f"{hour:02}:{past:02}" if clock24 else f"{(hour - 1) % 12 + 1}:{past:02} {'am' if hour % 24 < 12 else 'pm'}"
    )


@dataclass(frozen=True, slots=True)
class Clockface:
    """The clock on the wall of the job: its zone, and whether it counts to 12 or to 24."""

    zone: ZoneInfo
    clock24: bool

    def day(self, minute: int) -> date:
        """The local date of a minute."""
        return local_date(minute, self.zone)

    def date(self, minute: int, year: bool = False) -> str:
        """`Saturday 16 January`."""
        return date_words(self.day(minute), year)

    def date_of(self, day: dt.date, year: bool = False) -> str:
        """A date in words."""
        return date_words(day, year)

    def time(self, minute: int, ends: bool = False) -> str:
        """`16:40` or `4:40 pm`. The hour that comes twice when clocks go back is told apart by its zone's name.

        `ends`: the moment closes something, so that midnight is the end of that day.
        """
        moment = to_datetime(minute, self.zone)
        hour, past = moment.hour, moment.minute
        if self.clock24:
            shown = "24:00" if ends and not hour and not past else _shown(hour, past, self.clock24)
        elif not past and hour in (0, 12):
            shown = "noon" if hour else "midnight"
        else:
            shown = _shown(hour, past, self.clock24)
        twice = moment.utcoffset() != moment.replace(fold=1 - moment.fold).utcoffset()
        return f"{shown} {moment.tzname()}" if twice else shown

    def clock(self, minute: int) -> str:
        """A time of day that belongs to no date, from minutes of the day: `16:40` or `4:40 pm`; 1440 ends the day."""
        return _shown(minute // 60, minute % 60, self.clock24)

    def moment(self, minute: int, year: bool = False) -> str:
        """`Saturday 16 January, 16:40`."""
        return f"{self.date(minute, year)}, {self.time(minute)}"

    def span(self, start: int, end: int) -> str:
        """`08:30–12:00`; with the day of the end where that is another one."""
        last = self.day(end - 1) if end > start else self.day(end)
        if last == self.day(start):
            begins, ends = self.time(start), self.time(end, ends=True)
            if begins[-3:] == ends[-3:] and begins.endswith((" am", " pm")):
                begins = begins[:-3]
            return f"{begins}–{ends}"
        return f"{self.time(start)} – {self.moment(end)}"

    def since(self, minute: int, near: int) -> str:
        """The time alone if it is on the same day as `near`, else with its day."""
        return self.time(minute) if self.day(minute) == self.day(near) else self.moment(minute)

    def apart(self, one: int, other: int) -> str:
        """How far two moments lie apart on the clock on the wall: a week is 7 days, whatever the clocks did in it.

        To the minute up to two days, then to the day, and in weeks where it is whole ones: `2 weeks`.
        """
        minutes, days = self.gap(one, other)
        if days is None:
            return length_words(minutes)
        return counted(days, "day") if days < 14 or days % 7 else counted(days // 7, "week")

    def gap(self, one: int, other: int) -> tuple[int, int | None]:
        """How far two moments lie apart on the clock on the wall: minutes, and whole days from two on."""
        walls = [to_datetime(minute, self.zone).replace(tzinfo=None) for minute in (one, other)]
        gap = abs(walls[1] - walls[0])
        days = None if gap < timedelta(days=2) else round(gap / timedelta(days=1))
        return gap // timedelta(minutes=1), days
