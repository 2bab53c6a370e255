"""Dates as the household writes them, held against the Unicode CLDR as the library Babel reads it."""

from __future__ import annotations

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest
from babel.dates import format_date

from scheduler.telling.dates import LocalFace
from tests.support.plans import NEW_YORK, at

YEAR = [date(2027, 1, 1) + timedelta(days=7 * n + n % 7) for n in range(52)]


def face(lang: str, clock24: bool = True) -> LocalFace:
    return LocalFace(ZoneInfo(NEW_YORK), clock24, lang)


def test_a_date_reads_as_the_full_form_of_its_language() -> None:
    """CLDR, dateFormats full: `EEEE, d. MMMM y` (de)."""
    for day in YEAR:
        assert face("de").date_of(day, year=True) == format_date(day, "full", locale="de")


def test_the_months_of_a_year_are_told_apart_when_shortened() -> None:
    """Twelve months have twelve short names in every language."""
    for lang in ("en", "de"):
        assert len({face(lang).month(date(2027, month, 1)) for month in range(1, 13)}) == 12


@pytest.mark.parametrize(
    ("lang", "said"),
    [
        ("en", "It waits until Saturday 16 January 2027, 4:40 pm, or noon."),
        ("de", "It waits until Samstag, 16. Januar 2027, 16:40, or noon."),
    ],
)
def test_dates_and_times_inside_a_sentence_are_turned_over(lang: str, said: str) -> None:
    """What planner and agenda put into sentences is read in the household's own form."""
    assert face(lang).said("It waits until Saturday 16 January 2027, 4:40 pm, or noon.") == said


@pytest.mark.parametrize(
    ("english", "german"),
    [
        ("Sunday 10 January, midnight", "Sonntag, 10. Januar, 00:00"),
        ("Sunday 10 January, noon", "Sonntag, 10. Januar, 12:00"),
        ("12:10 am", "00:10"),
        ("12:10 pm", "12:10"),
        ("8:30–8:45 am", "08:30–08:45"),
        ("11:35 am–12:30 pm", "11:35–12:30"),
        ("16:40", "16:40"),
        ("a Sunday in January", "a Sunday in January"),
    ],
)
def test_a_clock_of_twelve_hours_becomes_one_of_twenty_four(english: str, german: str) -> None:
    """Noon is 12:00, midnight is 00:00 and 12:10 am comes ten minutes after it."""
    assert face("de").said(english) == german


def test_the_job_keeps_its_own_clock_in_english() -> None:
    """A job with a clock of twelve hours is read so."""
    assert face("en", clock24=False).moment(at("2027-01-16 16:40")) == "Saturday 16 January, 4:40 pm"
