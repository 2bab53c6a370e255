"""Dates in the household's language, in the full form of the Unicode CLDR (edition 44): weekday, day, month, year.

Sentences that planner and agenda made come with English dates in them; `said` turns these over one by one.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from zoneinfo import ZoneInfo

from scheduler.model.tradewords import ENGLISH
from scheduler.telling.wording import MONTHS, Clockface
from scheduler.wallclock import WEEKDAYS


@dataclass(frozen=True, slots=True)
class _Names:
    weekdays: tuple[str, ...]
    months: tuple[str, ...]
    day: str
    year: str


LANGUAGES: Mapping[str, _Names] = MappingProxyType(
    {
        "en": _Names(WEEKDAYS, MONTHS, "{weekday} {day} {month}", " {year}"),
        "de": _Names(
            ("Montag", "Dienstag", "Mittwoch", "Donnerstag", "Freitag", "Samstag", "Sonntag"),
            (
                *("Januar", "Februar", "März", "April", "Mai", "Juni"),
                *("Juli", "August", "September", "Oktober", "November", "Dezember"),
            ),
            "{weekday}, {day}. {month}",
            " {year}",
        ),
    }
)
"""The languages that the page speaks, with their names for days and months."""

_ENGLISH = re.compile(
    rf"\b({'|'.join(WEEKDAYS)}) (\d{{1,2}}) ({'|'.join(MONTHS)})(?: (\d{{4}}))?\b(, (?:noon|midnight)\b)?"
)
_TWELVE = re.compile(r"\b(\d{1,2}):(\d\d)(?:(?=–\d{1,2}:\d\d (am|pm))| (am|pm))")


@dataclass(frozen=True, slots=True)
class LocalFace(Clockface):
    """The clock on the wall of the job, its dates in one of LANGUAGES; all but English count to 24."""

    lang: str = "en"

    def date(self, minute: int, year: bool = False) -> str:
        """`Samstag, 16. Januar`."""
        return self.date_of(self.day(minute), year)

    def date_of(self, day: dt.date, year: bool = False) -> str:
        """A date in words."""
        return self._date(day.weekday(), day.day, day.month - 1, str(day.year) if year else "")

    def short(self, day: dt.date, year: bool = False) -> str:
        """`Sa 16. Jan`: as little as a drawing, or a screen, has room for; with the year where it is asked for."""
        return f"{self.weekday(day)} {self.number(day)} {self.month(day)}" + (f" {day.year}" if year else "")

    def day_name(self, weekday: int) -> str:
        """`Saturday`, of the days of the week from Monday, 0, on."""
        return LANGUAGES[self.lang].weekdays[weekday]

    def number(self, day: dt.date) -> str:
        """The day of the month: `16`, `16.`"""
        return f"{day.day}." if self.lang == "de" else f"{day.day}"

    def weekday(self, day: dt.date) -> str:
        """`Sat`, `Sa`, `sam`."""
        return LANGUAGES[self.lang].weekdays[day.weekday()][: 2 if self.lang == "de" else 3]

    def month(self, day: dt.date) -> str:
        """`Jan`."""
        return LANGUAGES[self.lang].months[day.month - 1][:3]

    def month_name(self, day: dt.date) -> str:
        """`January`."""
        return LANGUAGES[self.lang].months[day.month - 1]

    def plain(self, day: dt.date) -> str:
        """The date without its weekday: `16 January 2027`."""
        return self.date_of(day, year=True).partition(" ")[2]

    def month_of(self, day: dt.date) -> str:
        """`January 2027`."""
        return f"{LANGUAGES[self.lang].months[day.month - 1]} {day.year}"

    def said(self, sentence: str) -> str:
        """The sentence with its English dates and times turned into this language's."""
        if self.lang == "en":
            return sentence
        return _TWELVE.sub(_to_24, _ENGLISH.sub(self._turned, sentence))

    def _date(self, weekday: int, day: int, month: int, year: str) -> str:
        names = LANGUAGES[self.lang]
        text = names.day.format(weekday=names.weekdays[weekday], day=day, month=names.months[month])
        return text + (names.year.format(year=year) if year else "")

    def _turned(self, found: re.Match[str]) -> str:
        weekday, day, month, year, clock = found.groups()
        text = self._date(WEEKDAYS.index(weekday), int(day), MONTHS.index(month), year or "")
        return text + {", noon": ", 12:00", ", midnight": ", 00:00"}.get(clock or "", "")


def _to_24(found: re.Match[str]) -> str:
    """`4:40 pm` as `16:40`; the first of `8:30–8:45 am` takes the half of the day from the second."""
    hour, minute, later, own = found.groups()
    return f"{int(hour) % 12 + (12 if (own or later) == 'pm' else 0):02}:{minute}"


def face_of(zone: str, clock24: bool, lang: str) -> LocalFace:
    """The clock on the wall of a job that is told in one of LANGUAGES."""
    return LocalFace(ZoneInfo(zone), clock24 or lang != ENGLISH, lang)
