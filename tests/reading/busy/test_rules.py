"""Rules of repetition: the examples of the standard, and an independent library."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from dateutil.rrule import rrulestr
from hypothesis import given
from hypothesis import strategies as st

from scheduler.reading.busy.guard import UnusableError
from scheduler.reading.busy.rule import parse_rule
from scheduler.reading.busy.stepping import starts

EVER = datetime(1500, 1, 1)


def stepped(text: str, first: datetime, low: datetime, high: datetime) -> list[datetime]:
    rule = parse_rule(text)
    until = datetime.strptime(rule.until, "%Y%m%dT%H%M%S") if rule.until else None
    return list(starts(rule, first, until, low, high, lambda steps: None))


def days(text: str) -> list[str]:
    """ "1997-09 2-11 23; 1998-01 1" -> one text a day."""
    found = []
    for month in text.split("; "):
        name, *parts = month.split(" ")
        for part in parts:
            begin, _, end = part.partition("-")
            found += [f"{name}-{day:02}" for day in range(int(begin), int(end or begin) + 1)]
    return found


# RFC 5545 (2009), section 3.8.5.3, "Example": the rule, its first day (1997-09-02 unless another is given), and the
# dates printed there, all at 09:00. Where the standard says "forever", COUNT stops at the last date that it prints;
# its UNTIL is written here on the local clock; "Friday the 13th" begins on the first one, not on an excluded start.
OF_THE_STANDARD = [
    ("FREQ=DAILY;COUNT=10", "", "1997-09 2-11"),
    ("FREQ=DAILY;INTERVAL=10;COUNT=5", "", "1997-09 2 12 22; 1997-10 2 12"),
    ("FREQ=WEEKLY;COUNT=10", "", "1997-09 2 9 16 23 30; 1997-10 7 14 21 28; 1997-11 4"),
    ("FREQ=WEEKLY;INTERVAL=2;WKST=SU;COUNT=8", "", "1997-09 2 16 30; 1997-10 14 28; 1997-11 11 25; 1997-12 9"),
    (
        "FREQ=WEEKLY;UNTIL=19971007T000000;WKST=SU;BYDAY=TU,TH",
        "",
        "1997-09 2 4 9 11 16 18 23 25 30; 1997-10 2",
    ),
    (
        "FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000;WKST=SU;BYDAY=MO,WE,FR",
        "1997-09-01",
        "1997-09 1 3 5 15 17 19 29; 1997-10 1 3 13 15 17 27 29 31; 1997-11 10 12 14 24 26 28; 1997-12 8 10 12 22",
    ),
    ("FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH", "", "1997-09 2 4 16 18 30; 1997-10 2 14 16"),
    (
        "FREQ=MONTHLY;COUNT=10;BYDAY=1FR",
        "1997-09-05",
        "1997-09 5; 1997-10 3; 1997-11 7; 1997-12 5; 1998-01 2; 1998-02 6; 1998-03 6; 1998-04 3; 1998-05 1; "
        "1998-06 5",
    ),
    (
        "FREQ=MONTHLY;INTERVAL=2;COUNT=10;BYDAY=1SU,-1SU",
        "1997-09-07",
        "1997-09 7 28; 1997-11 2 30; 1998-01 4 25; 1998-03 1 29; 1998-05 3 31",
    ),
    (
        "FREQ=MONTHLY;COUNT=6;BYDAY=-2MO",
        "1997-09-22",
        "1997-09 22; 1997-10 20; 1997-11 17; 1997-12 22; 1998-01 19; 1998-02 16",
    ),
    (
        "FREQ=MONTHLY;BYMONTHDAY=-3;COUNT=6",
        "1997-09-28",
        "1997-09 28; 1997-10 29; 1997-11 28; 1997-12 29; 1998-01 29; 1998-02 26",
    ),
    (
        "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1",
        "1997-09-30",
        "1997-09 30; 1997-10 1 31; 1997-11 1 30; 1997-12 1 31; 1998-01 1 31; 1998-02 1",
    ),
    (
        "FREQ=MONTHLY;INTERVAL=18;COUNT=10;BYMONTHDAY=10,11,12,13,14,15",
        "1997-09-10",
        "1997-09 10-15; 1999-03 10-13",
    ),
    (
        "FREQ=YEARLY;COUNT=10;BYMONTH=6,7",
        "1997-06-10",
        "1997-06 10; 1997-07 10; 1998-06 10; 1998-07 10; 1999-06 10; 1999-07 10; 2000-06 10; 2000-07 10; 2001-06 10; "
        "2001-07 10",
    ),
    (
        "FREQ=YEARLY;INTERVAL=3;COUNT=10;BYYEARDAY=1,100,200",
        "1997-01-01",
        "1997-01 1; 1997-04 10; 1997-07 19; 2000-01 1; 2000-04 9; 2000-07 18; 2003-01 1; 2003-04 10; 2003-07 19; "
        "2006-01 1",
    ),
    ("FREQ=YEARLY;BYDAY=20MO;COUNT=3", "1997-05-19", "1997-05 19; 1998-05 18; 1999-05 17"),
    ("FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO;COUNT=3", "1997-05-12", "1997-05 12; 1998-05 11; 1999-05 17"),
    ("FREQ=YEARLY;BYMONTH=3;BYDAY=TH;COUNT=7", "1997-03-13", "1997-03 13 20 27; 1998-03 5 12 19 26"),
    (
        "FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13;COUNT=5",
        "1998-02-13",
        "1998-02 13; 1998-03 13; 1998-11 13; 1999-08 13; 2000-10 13",
    ),
    (
        "FREQ=MONTHLY;BYDAY=SA;BYMONTHDAY=7,8,9,10,11,12,13;COUNT=10",
        "1997-09-13",
        "1997-09 13; 1997-10 11; 1997-11 8; 1997-12 13; 1998-01 10; 1998-02 7; 1998-03 7; 1998-04 11; 1998-05 9; "
        "1998-06 13",
    ),
    (
        "FREQ=YEARLY;INTERVAL=4;BYMONTH=11;BYDAY=TU;BYMONTHDAY=2,3,4,5,6,7,8;COUNT=3",
        "1996-11-05",
        "1996-11 5; 2000-11 7; 2004-11 2",
    ),
    ("FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3", "1997-09-04", "1997-09 4; 1997-10 7; 1997-11 6"),
    (
        "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2;COUNT=7",
        "1997-09-29",
        "1997-09 29; 1997-10 30; 1997-11 27; 1997-12 30; 1998-01 29; 1998-02 26; 1998-03 30",
    ),
    ("FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO", "1997-08-05", "1997-08 5 10 19 24"),
    ("FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU", "1997-08-05", "1997-08 5 17 19 31"),
    (
        "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5",
        "2007-01-15",
        "2007-01 15 30; 2007-02 15; 2007-03 15 30",
    ),
]


@pytest.mark.parametrize(("rule", "first", "dates"), OF_THE_STANDARD)
def test_the_examples_of_the_standard_give_the_dates_printed_there(rule: str, first: str, dates: str) -> None:
    begin = datetime.fromisoformat(f"{first or '1997-09-02'} 09:00")
    wanted = days(dates)
    found = stepped(rule, begin, EVER, datetime(2020, 1, 1))
    assert [f"{one:%Y-%m-%d}" for one in found] == wanted
    assert {f"{one:%H:%M}" for one in found} == {"09:00"}


def test_every_three_hours_and_every_twenty_minutes_of_a_day_as_the_standard_prints_them() -> None:
    """RFC 5545, section 3.8.5.3: 09:00, 12:00, 15:00; and 9:00, 9:20 to 16:40 as a daily rule."""
    begin, end = datetime(1997, 9, 2, 9), datetime(1997, 9, 3)
    found = stepped("FREQ=HOURLY;INTERVAL=3;UNTIL=19970902T170000", begin, EVER, end)
    assert [one.hour for one in found] == [9, 12, 15]
    found = stepped("FREQ=DAILY;BYHOUR=9,10,11,12,13,14,15,16;BYMINUTE=0,20,40", begin, EVER, end)
    assert found == [begin + timedelta(minutes=20 * step) for step in range(24)]


def test_a_week_number_alone_keeps_the_weekday_of_the_start() -> None:
    """RFC 5545, section 3.3.10: what a rule leaves open comes from DTSTART.

    2027-05-19 is the Wednesday of week 20 (Monday of week 1 is 4 January; 4 January + 19 weeks + 2 days), and so is
    2028-05-17 (week 1 begins on 3 January).
    """
    found = stepped("FREQ=YEARLY;BYWEEKNO=20", datetime(2027, 5, 19, 9), EVER, datetime(2029, 1, 1))
    assert found == [datetime(2027, 5, 19, 9), datetime(2028, 5, 17, 9)]


def test_weekdays_with_and_without_a_number_add_up() -> None:
    """RFC 5545, section 3.3.10: BYDAY is a list of days. The Mondays of November 2027 are the 1st, 8th, ... 29th, and
    its first Tuesday is the 2nd.
    """
    found = stepped("FREQ=MONTHLY;BYDAY=MO,1TU", datetime(2027, 11, 1), EVER, datetime(2027, 12, 1))
    assert [one.day for one in found] == [1, 2, 8, 15, 22, 29]


def some(low: int, high: int, from_end: bool = False) -> st.SearchStrategy[str]:
    numbers = st.integers(low, high)
    if from_end:
        numbers |= st.integers(-high, -low)
    return st.lists(numbers, min_size=1, max_size=4, unique=True).map(lambda one: ",".join(map(str, one)))


WEEKDAYS = st.lists(st.sampled_from(["MO", "TU", "WE", "TH", "FR", "SA", "SU"]), min_size=1, max_size=4, unique=True)
NTH = st.lists(st.sampled_from(["1MO", "2TU", "-1FR", "3SU", "-2WE", "5SA"]), min_size=1, max_size=3, unique=True)
DATES = st.datetimes(datetime(9930, 1, 1), datetime(9945, 1, 1)).map(lambda one: one.replace(microsecond=0))
"""Near the end of the calendar: there the library's search for a rule that never matches is over soon."""


@st.composite
def rules(draw: st.DrawFn) -> str:
    frequency = draw(st.sampled_from(["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]))
    parts = {"FREQ": frequency, "INTERVAL": str(draw(st.integers(1, 5)))}
    by_day = WEEKDAYS | NTH if frequency in ("MONTHLY", "YEARLY") else WEEKDAYS
    choices = {
        "BYMONTH": some(1, 12),
        "BYDAY": by_day.map(",".join),
        "BYMONTHDAY": some(1, 31, from_end=True),
        "BYHOUR": some(0, 23),
        "BYMINUTE": some(0, 59),
        "BYSETPOS": some(1, 6, from_end=True),
        "WKST": st.sampled_from(["MO", "SU", "SA"]),
        "COUNT": st.integers(1, 60).map(str),
    }
    if frequency == "YEARLY":
        choices |= {"BYYEARDAY": some(1, 366, from_end=True), "BYWEEKNO": some(1, 53, from_end=True)}
    for name in draw(st.lists(st.sampled_from(sorted(choices)), max_size=4, unique=True)):
        parts[name] = draw(choices[name])
    if "BYWEEKNO" in parts and not parts.keys() & {"BYDAY", "BYMONTHDAY", "BYYEARDAY"}:
        # Without a day the library takes the whole week, the standard the weekday of the start (tested above).
        parts["BYDAY"] = draw(WEEKDAYS.map(",".join))
    if "BYWEEKNO" in parts and "BYDAY" in parts:
        parts["BYDAY"] = ",".join(sorted({day[-2:] for day in parts["BYDAY"].split(",")}))
    return ";".join(f"{name}={value}" for name, value in parts.items())


@given(rules(), DATES, st.integers(0, 3000), st.integers(1, 400))
def test_any_rule_gives_the_starts_that_an_independent_library_gives(
    rule: str, first: datetime, later: int, width: int
) -> None:
    """python-dateutil 2.9, followed from the first start to the end of the window."""
    low = first + timedelta(days=later)
    high = low + timedelta(days=width)
    wanted = []
    if "COUNT" not in rule:
        last = f"{high - timedelta(seconds=1):%Y%m%dT%H%M%S}"
        theirs = rrulestr(f"{rule};UNTIL={last}", dtstart=first)
    else:
        theirs = rrulestr(rule, dtstart=first)
    for start in theirs:
        if start >= high:
            break
        if start >= low:
            wanted.append(start)
    assert stepped(rule, first, low, high) == wanted


@given(rules(), DATES, st.integers(0, 2000))
def test_a_window_shows_what_lies_in_it_of_the_whole(rule: str, first: datetime, later: int) -> None:
    """Jumping into the middle of a rule gives the same starts as following it from its first day."""
    middle = first + timedelta(days=later)
    end = middle + timedelta(days=90)
    whole = stepped(rule, first, first, end)
    assert [one for one in whole if one >= middle] == stepped(rule, first, middle, end)


@pytest.mark.parametrize(
    ("rule", "word"),
    [
        ("", "empty"),
        ("COUNT=3", "FREQ"),
        ("FREQ=SECONDLY", "minute"),
        ("FREQ=MINUTELY;COUNT=3", "minute"),
        ("FREQ=FORTNIGHTLY", "FREQ"),
        ("FREQ=HOURLY", "without an end"),
        ("FREQ=DAILY;INTERVAL=0", "INTERVAL"),
        ("FREQ=DAILY;INTERVAL=-1", "INTERVAL"),
        ("FREQ=DAILY;COUNT=1000000000", "COUNT"),
        ("FREQ=DAILY;COUNT=", "without a value"),
        ("FREQ=DAILY;FREQ=WEEKLY", "twice"),
        ("FREQ=DAILY;BYDAY=XX", "weekday"),
        ("FREQ=MONTHLY;BYDAY=0MO", "weekday"),
        ("FREQ=DAILY;BYMONTH=13", "out of bounds"),
        ("FREQ=DAILY;BYMONTHDAY=0", "out of bounds"),
        ("FREQ=DAILY;BYHOUR=a", "no numbers"),
        ("FREQ=DAILY;BYEASTER=1", "no calendar knows"),
        ("RSCALE=HEBREW;FREQ=YEARLY", "Gregorian"),
        ("FREQ=DAILY;WKST=XX", "weekday"),
        ("FREQ=DAILY;" + "X" * 2000, "2000 characters"),
    ],
)
def test_a_rule_that_is_none_or_needs_too_much_is_refused(rule: str, word: str) -> None:
    with pytest.raises(UnusableError, match=word):
        parse_rule(rule)


def test_lists_whose_product_is_too_long_are_refused() -> None:
    """60 minutes times 60 seconds times 2 hours are 7,200 starts a day."""
    sixty = ",".join(map(str, range(60)))
    with pytest.raises(UnusableError, match="too long"):
        parse_rule(f"FREQ=DAILY;BYHOUR=1,2;BYMINUTE={sixty};BYSECOND={sixty}")
