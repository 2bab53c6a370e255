"""What keeps a hostile or broken calendar harmless: limits, the steps one file may cost, and the notes it leaves.

The limits stand well above the largest honest household calendar (ten years of a busy family are some 5,000 events
and 3 MB) and well below what would make a person wait. They count bytes, lines and steps, never seconds, so that the
same file gets the same answer on every machine.
"""

from __future__ import annotations

from typing import NoReturn

from scheduler.errors import Place, wrong_input
from scheduler.told import told

MAX_BYTES = 10 << 20
"""Bytes of one file."""
MAX_LINES = 400_000
"""Physical lines of one file."""
MAX_DEPTH = 4
"""Components inside one another: an alarm in an event in a calendar makes three."""
MAX_COMPONENTS = 20_000
"""BEGIN lines of one file."""
MAX_PROPERTY = 1 << 16
"""Characters of one unfolded line that is used; the longest honest one is a list of dates."""
MAX_PROPERTIES = 4_200
"""Lines of one component that are used: a line for every date, and a few."""
MAX_RULE = 2_000
"""Characters of one rule of repetition."""
MAX_RULES = 2
"""Rules of one event; the standard leaves open what more than one means."""
MAX_COUNT = 100_000
"""COUNT of one rule."""
MAX_PRODUCT = 5_000
"""Lengths of the BY lists of one rule, multiplied."""
MAX_HOURLY = 5_000
"""Steps of an hourly rule from its start."""
MAX_DATES = 2_000
"""RDATE and EXDATE values of one series, or onsets written out in one time zone."""
MAX_OCCURRENCES = 5_000
"""Occurrences of one series in the planned time."""
MAX_OVERRIDES = 1_000
"""Changed occurrences of one series."""
MAX_SERIES = 5_000
"""Series of one file that repeat in the planned time."""
MAX_LENGTH = 400
"""Days that one event lasts."""
MAX_STEPS = 700_000
"""Days looked at and starts made for one file: each costs about a microsecond; what is dearer counts more."""
MAX_NOTES = 20
"""Warnings of one file that are told one by one."""

SMALLER = "export the calendar anew, or a part of it"
YEARS = range(1500, 9001)
"""Years that a date of use may have; 1601 and 1604 stand in files for "since ever" and "no year"."""


class UnusableError(Exception):
    """One event or zone can't be used. The message says why, without a word of its text."""


class Guard:
    """One calendar under watch: where it is, what it has cost, what is to be told of it.

    On a server it comes in many parts, each with a name of its own: the limits are those of all of them together.
    """

    def __init__(self, file: str) -> None:
        self.file = file
        self._whole = file
        self._left = MAX_STEPS
        self._series = self._lines = self._parts = 0
        self._notes: dict[tuple[str, int, str], None] = {}

    def turn_to(self, file: str) -> None:
        """What is read from now on is the part of that name."""
        self.file = file

    def spend(self, steps: int, line: int) -> None:
        """Counts steps. Raises InputError when the file has had its share."""
        self._left -= steps
        if self._left < 0:
            self.refuse(line, "the repeating events up to here take too long to follow")

    def count_series(self, line: int) -> None:
        """Counts one repeating event. Raises InputError when there are too many."""
        self._series += 1
        if self._series > MAX_SERIES:
            self.refuse(
                line,
                told("more than {max_series} events up to here repeat in the planned time", max_series=MAX_SERIES),
            )

    def count_lines(self, lines: int) -> None:
        """Counts lines before they are read. Raises InputError when there are too many."""
        self._lines += lines
        if self._lines > MAX_LINES:
            self.refuse(MAX_LINES + 1, told("more than {max_lines} lines", max_lines=MAX_LINES))

    def count_part(self, line: int) -> None:
        """Counts one component. Raises InputError when there are too many."""
        self._parts += 1
        if self._parts > MAX_COMPONENTS:
            self.refuse(line, told("more than {max_components} parts up to here", max_components=MAX_COMPONENTS))

    def note(self, line: int, message: str) -> None:
        """Keeps a warning of this line; the same one is kept once."""
        self._notes[self.file, line, message] = None

    def refuse(self, line: int, message: str, hint: str = SMALLER) -> NoReturn:
        """Raises the one fault that ends the reading of this file."""
        raise wrong_input(Place(self.file, line, 1), message, hint)

    def warnings(self) -> tuple[str, ...]:
        """What is to be told, in the order of the lines; beyond MAX_NOTES only how many more there are."""
        notes = sorted(self._notes)
        lines = [
            told("{place}: {message}", place=f"{file}:{line}", message=message)
            for file, line, message in notes[:MAX_NOTES]
        ]
        if len(notes) > MAX_NOTES:
            more = len(notes) - MAX_NOTES
            lines.append(told("{file}: {more} more warnings like these", file=self._whole, more=more))
        return tuple(lines)
