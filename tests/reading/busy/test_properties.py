"""What must not matter: free and cancelled events, the order of events, the split into files; and noise."""

from __future__ import annotations

import tempfile
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.model.basics import Span
from scheduler.model.spans import union
from scheduler.reading.busy import Busy, read_busy
from tests.reading.busy.calendars import JANUARY, NEW_YORK, calendar
from tests.support.builders import minute

SPAN = Span(*(minute(day, NEW_YORK) for day in JANUARY))

ZONES = st.sampled_from(["", ";TZID=Europe/Berlin", ";TZID=Pacific Standard Time", ";TZID=Nowhere"])
DAYS = st.integers(1, 31)
HOURS = st.integers(0, 23)
RULES = st.sampled_from(
    [
        "FREQ=DAILY;COUNT=4",
        "FREQ=WEEKLY;BYDAY=MO,FR",
        "FREQ=MONTHLY;BYDAY=2TU",
        "FREQ=WEEKLY;UNTIL=20270120T000000Z",
        "FREQ=X",
    ]
)


@st.composite
def events(draw: st.DrawFn) -> str:
    """A single event, a whole day, a series, or a changed date of a series; UIDs are shared now and then."""
    uid, zone, day, hour = f"UID:{draw(st.integers(1, 6))}", draw(ZONES), draw(DAYS), draw(HOURS)
    start = f"202701{day:02}T{hour:02}0000"
    lines = [uid, f"DTSTART{zone}:{start}", f"DURATION:PT{draw(st.integers(1, 600))}M"]
    kind = draw(st.sampled_from(["single", "day", "series", "changed"]))
    if kind == "day":
        lines = [uid, f"DTSTART;VALUE=DATE:{start[:8]}"]
    if kind == "series":
        lines.append(f"RRULE:{draw(RULES)}")
        if draw(st.booleans()):
            lines.append(f"EXDATE;VALUE=DATE:202701{draw(DAYS):02}")
    if kind == "changed":
        onward = draw(st.sampled_from(["", ";RANGE=THISANDFUTURE"]))
        lines.append(f"RECURRENCE-ID;VALUE=DATE{onward}:202701{draw(DAYS):02}")
    lines.append(f"SEQUENCE:{draw(st.integers(0, 1))}")
    lines += draw(st.sampled_from([[], ["TRANSP:TRANSPARENT"], ["STATUS:CANCELLED"], ["STATUS:TENTATIVE"]]))
    return "\n".join(lines)


def of(*texts: str, margin: int = 0) -> Busy:
    with tempfile.TemporaryDirectory() as folder:
        paths = [Path(folder) / f"{number}.ics" for number in range(len(texts))]
        for path, text in zip(paths, texts, strict=True):
            path.write_text(text, encoding="utf-8")
        return read_busy(paths, SPAN, ZoneInfo(NEW_YORK), margin)


SOME = st.lists(events(), max_size=8)


@given(SOME, st.permutations(range(8)), st.integers(0, 90))
def test_the_order_of_events_does_not_matter(some: list[str], order: list[int], margin: int) -> None:
    mixed = [some[place] for place in order if place < len(some)]
    assert of(calendar(*some), margin=margin).spans == of(calendar(*mixed), margin=margin).spans


@given(SOME, events(), st.sampled_from(["TRANSP:TRANSPARENT", "STATUS:CANCELLED"]), st.integers(0, 8))
def test_a_free_or_cancelled_event_of_its_own_changes_nothing(
    some: list[str], other: str, free: str, at: int
) -> None:
    lines = [line for line in other.split("\n") if not line.startswith(("UID", "TRANSP", "STATUS"))]
    more = [*some[:at], "\n".join(["UID:its own", free, *lines]), *some[at:]]
    assert of(calendar(*some)).spans == of(calendar(*more)).spans


@given(SOME, SOME, st.integers(0, 90))
def test_two_files_are_busy_when_either_is(one: list[str], two: list[str], margin: int) -> None:
    """So are two calendars in one file."""
    first, second = of(calendar(*one), margin=margin).spans, of(calendar(*two), margin=margin).spans
    both = union([*first, *second])
    assert of(calendar(*one), calendar(*two), margin=margin).spans == both
    assert of(calendar(*one) + calendar(*two), margin=margin).spans == both


@given(SOME, st.integers(1, 90))
def test_a_margin_only_adds_and_every_span_is_inside_the_window_and_apart(some: list[str], margin: int) -> None:
    plain, wide = of(calendar(*some)).spans, of(calendar(*some), margin=margin).spans
    assert union([*plain, *wide]) == wide
    assert all(SPAN.start <= span.start < span.end <= SPAN.end for span in wide)
    assert all(one.end < two.start for one, two in pairwise(wide))


@given(st.binary(max_size=300), st.integers(0, 200))
@settings(max_examples=200)
def test_whatever_is_in_a_file_it_is_read_or_refused_in_words(noise: bytes, at: int) -> None:
    """Bytes thrown into a calendar never end in a traceback."""
    text = calendar(
        "UID:a\nDTSTART:20270109T140000Z\nDURATION:PT1H\nRRULE:FREQ=DAILY;COUNT=3\nEXDATE:20270110T140000Z"
    ).encode()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.ics"
        path.write_bytes(text[: 20 + at] + noise + text[20 + at :])
        assert isinstance(read_busy([path], SPAN, ZoneInfo(NEW_YORK)), Busy)
