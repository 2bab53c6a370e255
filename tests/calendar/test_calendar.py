from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import icalendar
import pytest
from hypothesis import given, settings
from ical.calendar_stream import IcsCalendarStream

from scheduler.calendar.events import uid
from scheduler.calendar.write import calendar, part_for
from scheduler.model.basics import Span
from scheduler.model.beware import Beware
from scheduler.model.ledger import CalendarEvent, Exported, Ledger
from scheduler.model.message import as_written
from scheduler.model.plan import PlannedVisit
from scheduler.model.shopping import Lot
from scheduler.wallclock import NEVER
from tests.calendar.readers import READERS, Read, with_icalendar
from tests.cli.running import run
from tests.support.lives import shelf
from tests.support.plans import after, at, film, hobby_room, plan, step, with_step
from tests.telling.texts import HOSTILE, titles


def unfolded(file: bytes) -> list[str]:
    """Content lines (RFC 5545, section 3.1: a line break and one blank are taken out)."""
    return re.sub(rb"\r\n[ \t]", b"", file).decode().split("\r\n")


def utc(text: str) -> datetime:
    """A moment of New York in UTC."""
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(minutes=at(text))


def shown(file: bytes, name: str) -> tuple[object, ...]:
    return with_icalendar(file)[f"hobby-room-{name}@tackfree"]


def same_in_all(file: bytes) -> Read:
    read = {name: reader(file) for name, reader in READERS.items()}
    assert read["ical"] == read["icalendar"]
    assert read["vobject"] == read["icalendar"]
    return read["icalendar"]


@pytest.mark.parametrize("zoned", [False, True])
@pytest.mark.parametrize("detail", ["sessions", "steps"])
def test_three_readers_read_the_same(zoned: bool, detail: str) -> None:
    file, ledger = calendar(hobby_room(), remind=60, detail=detail, zoned=zoned)  # type: ignore[arg-type]
    assert len(same_in_all(file)) == len(ledger.entries)


def test_a_session_is_a_busy_event_at_its_times_with_its_checklist() -> None:
    start, end, sequence, status, transparent, summary, description, _ = shown(
        calendar(hobby_room())[0], "session-20270116-1"
    )
    assert (start, end) == (utc("2027-01-16 08:45"), utc("2027-01-16 16:55"))
    assert (sequence, status, transparent) == (0, "CONFIRMED", False)
    assert summary == "Hobby room: Sand the filler, Prime the walls"
    assert description == "\n".join(
        [
            "Two people, session 1.",
            "have ready: acrylic primer",
            "08:45–09:00 set up",
            "[ ] 09:00–11:30 Sand the filler",
            "- caution: Wear a fitted dust mask; gypsum dust holds silica.",
            "11:30–14:00 nothing to do yet",
            "[ ] 14:00–16:40 Prime the walls (two people)",
            "- caution: Open the windows; solvent-free does not mean fume-free.",
            "16:40–16:55 clear up",
            "drying when you leave:",
            "“Prime the walls” (acrylic primer): no dust near it until 17:40; hands off until 18:20; no "
            "further coat until Sunday 17 January, 06:40",
            "until you are back, keep:",
            "Hobby room: 50 to 90 °F and below 85 % humidity, until Sunday 17 January, 06:40",
        ]
    )


def test_drying_leaves_the_time_free_and_ends_when_the_stage_is_reached() -> None:
    file = calendar(hobby_room())[0]
    assert shown(file, "film-prime-the-walls-touch")[:6] == (
        utc("2027-01-16 16:40"),
        utc("2027-01-16 18:20"),
        0,
        "CONFIRMED",
        True,
        "Hobby room: do not touch (Prime the walls)",
    )
    assert shown(file, "film-prime-the-walls-recoat")[1] == utc("2027-01-17 06:40")
    assert shown(file, "room-hobby-use")[:2] == (utc("2027-01-17 11:00"), utc("2027-01-24 11:00"))
    assert shown(file, "room-hobby-full")[:2] == (utc("2027-01-24 11:00"), utc("2027-02-14 11:00"))


def test_a_stage_that_later_work_waits_for_gets_its_event() -> None:
    """Taping over the first colour waits for `tape`; nothing waits for the sanding of it."""
    tape = step("tape", "2027-01-20 17:00 18:00", after=(after("first-coat-of-blue", "tape", "2027-01-18 11:00"),))
    file = calendar(plan(*hobby_room().steps, tape))[0]
    assert shown(file, "film-first-coat-of-blue-tape")[5] == "Hobby room: do not tape (First coat of blue)"
    assert "hobby-room-film-first-coat-of-blue-sand@tackfree" not in with_icalendar(file)


def test_what_dries_while_people_are_there_is_no_event() -> None:
    """Filler that is dry to the touch within the session needs no note in the calendar."""
    fill = step("fill", "2027-01-16 09:00 10:00", film=film({"touch": "2027-01-16 10:40"}))
    file = calendar(plan(fill, step("other", "2027-01-16 11:00 15:00")))[0]
    assert [name for name in with_icalendar(file) if "film" in name] == []


def test_deliveries_and_order_days_are_whole_days_that_leave_the_time_free() -> None:
    """DTEND of a whole day is the day after (RFC 5545, section 3.6.1)."""
    file = calendar(hobby_room())[0]
    assert shown(file, "item-doors")[:6] == (
        date(2027, 1, 22),
        date(2027, 1, 23),
        0,
        "CONFIRMED",
        True,
        "Hobby room: Doors, two, primed should come",
    )
    assert shown(file, "order-doors")[:2] == (date(2027, 1, 8), date(2027, 1, 9))
    there = replace(hobby_room().items[0], arrived=date(2027, 1, 20))
    file = calendar(replace(hobby_room(), items=(there,)))[0]
    assert shown(file, "item-doors")[0] == date(2027, 1, 20)
    assert "hobby-room-order-doors@tackfree" not in with_icalendar(file)


def test_reminders_are_relative_and_only_before_sessions_and_order_days() -> None:
    """DISPLAY needs a DESCRIPTION (RFC 5545, section 3.6.6); an order-by day rings at 18:00 the day before."""
    read = icalendar.Calendar.from_ical(calendar(hobby_room(), remind=90)[0])
    rings = {}
    for event in read.walk("VEVENT"):
        for alarm in event.walk("VALARM"):
            assert str(alarm["action"]) == "DISPLAY" and str(alarm["description"])
            assert "RELATED" not in alarm["trigger"].params
            rings[str(event["uid"]).removeprefix("hobby-room-").removesuffix("@tackfree")] = alarm.decoded("trigger")
    session = timedelta(minutes=-90)
    assert rings == {
        "session-20270116-1": session,
        "session-20270117-1": session,
        "session-20270120-1": session,
        "session-20270123-1": session,
        "order-doors": timedelta(hours=-6),
    }
    assert b"VALARM" not in calendar(hobby_room())[0]
    at_the_start, _ = calendar(hobby_room(), remind=0)
    same_in_all(at_the_start)
    triggers = [alarm.decoded("trigger") for alarm in icalendar.Calendar.from_ical(at_the_start).walk("VALARM")]
    assert timedelta(0) in triggers
    with pytest.raises(ValueError, match="reminder"):
        calendar(hobby_room(), remind=-1)


def test_steps_are_shown_inside_their_sessions_when_asked_for() -> None:
    file = calendar(hobby_room(), detail="steps")[0]
    part = shown(file, "step-put-up-the-shelves-2")
    assert part[:2] == (utc("2027-01-20 18:30"), utc("2027-01-20 20:00"))
    assert part[4:6] == (True, "Hobby room: Put up the shelves (part 2 of 2)")
    assert shown(file, "session-20270120-1")[4] is False


def test_the_file_is_clean_by_the_standard() -> None:
    """RFC 5545: CRLF, 75 octets a line (3.1), UTC (3.3.5), DTEND after DTSTART; no METHOD, no VTODO, no DURATION."""
    file = calendar(with_step(hobby_room(), "sand-the-filler", title="Schleifen: größer, höher " * 9), remind=30)[0]
    assert file.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in file.replace(b"\r\n", b"")
    assert b"\r" not in file.replace(b"\r\n", b"")
    assert max(len(line) for line in file.split(b"\r\n")) <= 75
    names = {re.split("[;:]", line)[0] for line in unfolded(file)}
    assert not names & {"METHOD", "DURATION", "RDATE", "TZID", "BEGIN:VTODO"}
    assert b"VTODO" not in file and b"VTIMEZONE" not in file
    for line in unfolded(file):
        if line.startswith(("DTSTART", "DTEND", "DTSTAMP", "LAST-MODIFIED")):
            assert re.fullmatch(r"[A-Z-]+(:\d{8}T\d{6}Z|;VALUE=DATE:\d{8})", line), line
    for start, end, *_ in with_icalendar(file).values():
        assert start < end


def test_the_calendar_says_its_name_and_how_often_to_look() -> None:
    """RFC 7986: NAME (5.1), REFRESH-INTERVAL with VALUE=DURATION (5.7). X-WR-CALNAME is what programs read."""
    lines = unfolded(calendar(replace(hobby_room(), job="Room, no. 2\r\nX-EVIL:1"))[0])
    assert lines[:3] == ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//tackfree//plan to calendar 1//EN"]
    assert "REFRESH-INTERVAL;VALUE=DURATION:PT1H" in lines
    assert "NAME:Room\\, no. 2 X-EVIL:1" in lines
    assert "X-WR-CALNAME:Room\\, no. 2 X-EVIL:1" in lines


def test_dtstamp_is_when_it_last_changed() -> None:
    """Without METHOD, DTSTAMP equals LAST-MODIFIED (RFC 5545, section 3.8.7.2)."""
    for event in icalendar.Calendar.from_ical(calendar(hobby_room())[0]).walk("VEVENT"):
        assert event.decoded("dtstamp") == event.decoded("last-modified") == utc("2027-01-07 12:00")


def test_components_stand_in_the_order_of_time() -> None:
    starts = [
        event.decoded("dtstart") for event in icalendar.Calendar.from_ical(calendar(hobby_room())[0]).walk("VEVENT")
    ]
    days = [start.date() if isinstance(start, datetime) else start for start in starts]
    assert days == sorted(days)


def test_the_order_of_the_plans_lists_does_not_matter() -> None:
    before = hobby_room()
    shaken = replace(before, steps=before.steps[::-1], sessions=before.sessions[::-1], windows=before.windows[::-1])
    assert calendar(shaken, remind=5)[0] == calendar(before, remind=5)[0]


@pytest.mark.parametrize("title", HOSTILE)
def test_hostile_titles_stay_text(title: str) -> None:
    before = with_step(
        hobby_room(),
        "prime-the-walls",
        title=title,
        cautions=(Beware(title),),
        room_title=title,
        added=as_written(title),
    )
    doors = replace(before.items[0], title=title)
    before = replace(before, job=title, items=(doors,))
    file, ledger = calendar(before, remind=10, detail="steps")
    read = same_in_all(file)
    assert read.keys() == {entry.event.uid for entry in ledger.entries}
    assert read.keys() == with_icalendar(calendar(hobby_room(), detail="steps")[0]).keys()
    assert not re.search(rb"[\x00-\x09\x0b\x0c\x0e-\x1f\x7f]", file)
    assert max(len(line) for line in file.split(b"\r\n")) <= 75


@settings(derandomize=True, max_examples=40, deadline=None)
@given(titles)
def test_any_title_reads_back_alike_in_three_readers(title: str) -> None:
    file, _ = calendar(replace(with_step(hobby_room(), "sand-the-filler", title=title), job=title))
    same_in_all(file)


@pytest.mark.parametrize(
    "name", ["a/b", "a b", "ä", "x" * 400, "a&b?c\\d/e@f%g+h:i", "\r\nUID:evil", "~7e~", "", "壁" * 60]
)
def test_a_uid_is_short_plain_and_without_slash(name: str) -> None:
    """255 octets must be kept by readers (RFC 5545, section 3.8.4.7); servers refuse %2F in an address."""
    assert re.fullmatch(r"[A-Za-z0-9._~-]+@tackfree", uid("job", "film", name, "touch"))
    assert len(uid("job", "film", name, "touch")) <= 255


def test_different_names_get_different_uids() -> None:
    names = ["a/b", "a b", "a-b", "a~2f~b", "a_b", "A-B", "x" * 300 + "1", "x" * 300 + "2"]
    assert len({uid("job", "step", name, "1") for name in names}) == len(names)


def test_what_is_never_reached_is_no_event() -> None:
    layer = replace(film({}), stages={"touch": NEVER, "use": NEVER, "full": NEVER})
    before = plan(step("a", "2027-01-16 09:00 10:00", film=layer), usable=NEVER, cured=NEVER)
    assert list(with_icalendar(calendar(before)[0])) == ["hobby-room-session-20270116-1@tackfree"]


def test_an_event_that_does_not_end_after_it_starts_is_refused() -> None:
    """DTEND must be later than DTSTART (RFC 5545, section 3.8.2.2)."""
    for start, end in [(10, 10), (11, 10), (date(2027, 1, 2), date(2027, 1, 2)), (10, date(2027, 1, 2))]:
        with pytest.raises(ValueError, match="no calendar takes the event"):
            CalendarEvent(uid="x", kind="film", start=start, end=end, summary="", description="", busy=False)


def test_a_drying_night_in_which_clocks_change_keeps_its_length() -> None:
    """New York, 6 to 7 November 2027: 14 h from 18:00 EDT end at 07:00 EST, for 01:00 to 02:00 comes twice."""
    prime = step("prime", "2027-11-06 16:00 18:00", film=film({"touch": "2027-11-07 07:00"}))
    for zoned in (False, True):
        file, _ = calendar(plan(prime, as_of=at("2027-11-01 12:00")), zoned=zoned)
        start, end, *_ = same_in_all(file)["hobby-room-film-prime-touch@tackfree"]
        assert end - start == timedelta(hours=14)


def test_zoned_events_in_the_hour_that_comes_twice_are_in_utc() -> None:
    """Readers differ by an hour there, and the second of the two cannot be said with a TZID at all."""
    night = step("night", Span(at("2027-11-07 00:30"), at("2027-11-07 01:30 fold")))
    file, _ = calendar(plan(night, sessions=None, as_of=at("2027-11-01 12:00")), zoned=True, detail="steps")
    lines = unfolded(file)
    assert "DTEND:20271107T063000Z" in lines  # 01:30 EST is 06:30 UTC
    assert "DTSTART:20271107T043000Z" in lines  # 00:30 EDT is 04:30 UTC; the event is of one kind throughout
    same_in_all(file)


def test_a_zone_without_a_yearly_rule_is_written_in_utc() -> None:
    """Phoenix has no change of clocks at all; Casablanca's follow the moon."""
    for zone in ("America/Phoenix", "Africa/Casablanca", "UTC"):
        before = plan(step("a", "2027-01-16 09:00 10:00", zone=zone), zone=zone)
        assert calendar(before, zoned=True) == calendar(before, zoned=False)


def test_the_strict_reader_is_strict() -> None:
    """The check above can fail: ical refuses a file with a control character in it."""
    file = calendar(hobby_room())[0].decode().replace("Sand the filler", "Sand\x07 the filler")
    with pytest.raises(Exception, match="not valid ICS"):
        IcsCalendarStream.calendar_from_ics(file)


def test_a_ledger_read_back_with_control_characters_cannot_spoil_the_file() -> None:
    event = CalendarEvent(
        uid="x@tackfree", kind="film", start=0, end=5, summary="a\x07\r\nb", description="c\rd\x00", busy=False
    )
    previous = Ledger((Exported(event=event, sequence=3, changed=1),))
    file, _ = calendar(hobby_room(), previous=previous)
    assert same_in_all(file)["x@tackfree"][3:6] == ("CANCELLED", True, "a b")
    assert b"\x07" not in file and b"\x00" not in file


def test_what_calendar_programs_can_show_of_an_event() -> None:
    """Its kind as a category and a colour (RFC 7986, section 5.9: a name of CSS 3), the room, and the session that
    it is due to (RFC 9253, section 5); an alarm with a UID (RFC 9074, section 4), which stays dismissed."""
    file, ledger = calendar(hobby_room(), remind=60, detail="steps")
    same_in_all(file)
    events = {str(event["uid"]): event for event in icalendar.Calendar.from_ical(file).walk("VEVENT")}
    seen = {entry.event.kind: events[entry.event.uid] for entry in ledger.entries}
    assert {kind: [str(each) for each in event["categories"].cats] for kind, event in seen.items()} == {
        "session": ["Session"],
        "step": ["Step"],
        "film": ["Drying"],
        "room": ["Out of use"],
        "delivery": ["Delivery"],
        "order": ["Order by"],
    }
    assert {str(event["color"]) for event in seen.values()} <= set(CSS3_NAMES_USED)
    assert len({str(event["color"]) for event in seen.values()}) == len(seen)
    for entry in ledger.entries:
        event = events[entry.event.uid]
        assert ("location" in event) == (entry.event.kind in ("session", "step", "film", "room"))
        if entry.event.kind in ("film", "room"):
            assert "-session-" in event["related-to"]
            assert str(event["related-to"]) in events
            assert event["related-to"].params["RELTYPE"] == "DEPENDS-ON"
        names = [str(alarm["uid"]) for alarm in event.walk("VALARM")]
        assert names == [f"alarm-{entry.event.uid}"] * len(names)
    assert events["hobby-room-session-20270116-1@tackfree"].walk("VALARM")


def lot(title: str, needed_by: str, **more: Any) -> Lot:
    return Lot(
        what=title.lower(), title=title, unit="piece", net=2, waste=0, needed=2, steps=("prime-walls",),
        first=at(needed_by), needed_by=date.fromisoformat(needed_by), **more,
    )  # fmt: skip


def test_what_must_be_bought_stands_on_the_last_day_to_get_it() -> None:
    """The day before it must be in the house: for a Saturday that is Friday. What a shop takes time for stands on the
    last day to order it. It rings at 18:00 the day before (6 hours before the day begins); days that are over are not
    told any more."""
    lots = [lot(title, "2027-01-23") for title in ("Primer", "Rollers", "Tape", "Sandpaper")]
    lots += [lot("Sheets", "2027-02-20", order_by=date(2027, 2, 1)), lot("Brushes", "2026-12-01")]
    file, _ = calendar(hobby_room(), remind=60, lots=lots)
    seen = {name: each for name, each in same_in_all(file).items() if "-buy-" in name}
    assert {name: (each[0], each[4], each[5]) for name, each in seen.items()} == {
        "hobby-room-buy-primer@tackfree": (
            date(2027, 1, 22),
            True,
            "Hobby room: last day to get Primer, Rollers and 2 more things",
        ),
        "hobby-room-buy-sheets@tackfree": (date(2027, 2, 1), True, "Hobby room: last day to get Sheets"),
    }
    friday = seen["hobby-room-buy-primer@tackfree"]
    assert friday[6].splitlines()[0] == "[ ] Primer: 2"
    assert [timedelta(hours=-6)] == [alarm.decoded("trigger") for alarm in alarms_of(file, "buy-primer")]


def alarms_of(file: bytes, name: str) -> list[Any]:
    events = icalendar.Calendar.from_ical(file).walk("VEVENT")
    return [alarm for event in events if name in str(event["uid"]) for alarm in event.walk("VALARM")]


def test_what_is_bought_is_no_day_to_buy_any_more(tmp_path: Path) -> None:
    """The primer of the shelf wall is needed on Saturday 9 January 2027; once it is said to be in the house, the day
    on which to get it is withdrawn."""
    job, file = shelf(tmp_path), tmp_path / "plan.ics"
    assert run("plan", str(job), "--ics", str(file), "--as-of", "2027-01-04", "--effort", "50").code == 0
    first = with_icalendar(file.read_bytes())
    (day,) = (name for name, each in first.items() if "-buy-" in name and "primer" in each[5].lower())
    assert first[day][0] == date(2027, 1, 8)
    assert run("bought", str(job), "--list", "--as-of", "2027-01-05").code == 0
    assert with_icalendar(file.read_bytes())[day][3] == "CANCELLED"


def test_where_the_plan_is_served_each_event_leads_to_its_page() -> None:
    page = "http://192.168.1.7:8642/s3cret/"
    file, _ = calendar(hobby_room(), page=page)
    same_in_all(file)
    assert {str(event["url"]) for event in icalendar.Calendar.from_ical(file).walk("VEVENT")} == {page}
    assert b"\nURL" not in calendar(hobby_room())[0]


CSS3_NAMES_USED = ("steelblue", "lightsteelblue", "orange", "tomato", "seagreen", "goldenrod")
"""Of the names in CSS Color Module Level 3 (W3C, 2011), section 4.3."""


def test_others_get_a_calendar_of_what_concerns_them() -> None:
    """Whoever helps: the sessions with work for two people. Whoever lives there: what dries, is out of use, comes."""
    plan = hobby_room()
    first, *others = plan.steps
    whole = replace(plan, steps=(replace(first, people=2), *(replace(step, people=1) for step in others)))
    _, ledger = calendar(whole, remind=60)
    helper = same_in_all(part_for("helper", whole, ledger))
    house = same_in_all(part_for("household", whole, ledger))
    kinds = {entry.event.uid: entry.event.kind for entry in ledger.entries}
    assert {kinds[name] for name in helper} == {"session"}
    assert {seen[0] for seen in helper.values()} == {
        datetime(1970, 1, 1, tzinfo=UTC) + timedelta(minutes=session.start)
        for session in whole.sessions
        if first.id in session.steps
    }
    assert {kinds[name] for name in house} == {"film", "room", "delivery"}


def test_nobody_is_called_for_hours_in_which_one_pair_of_hands_is_enough() -> None:
    """All hours are for two. One after the other, two steps for one person leave the helper idle; beside each other,
    or with one for two, they do not."""
    one, two = (replace(step, people=1) for step in hobby_room().steps[:2])
    start = hobby_room().sessions[0].start

    def called(first: tuple[int, int], second: tuple[int, int], people: int = 1) -> bool:
        steps = tuple(
            replace(step, people=many, pieces=(Span(start + begin, start + end),))
            for step, (begin, end), many in ((one, first, 1), (two, second, people))
        )
        session = replace(hobby_room().sessions[0], people=2, steps=(one.id, two.id), end=start + 300)
        plan = replace(hobby_room(), steps=steps, sessions=(session,))
        return b"BEGIN:VEVENT" in part_for("helper", plan, calendar(plan)[1])

    assert not called((0, 60), (60, 120))
    assert called((0, 60), (59, 120))
    assert called((0, 60), (60, 120), people=2)


def test_an_appointment_on_a_day_that_nobody_has_agreed_to_is_tentative() -> None:
    """RFC 5545, section 3.8.1.11: a VEVENT is TENTATIVE, CONFIRMED or CANCELLED. What was agreed is confirmed; where
    the plan puts it off it only proposes a day."""
    start = hobby_room().sessions[-1].end + 24 * 60
    agreed = PlannedVisit(
        appointment="glazier", title="Glazier", start=start, end=start + 120, rooms=(), ready=start, kept=True
    )
    later = Span(start + 24 * 60, start + 24 * 60 + 120)
    for visit, status in ((agreed, "CONFIRMED"), (replace(agreed, kept=False, comes=later), "TENTATIVE")):
        seen = same_in_all(calendar(replace(hobby_room(), visits=(visit,)))[0])
        assert [event[3] for uid, event in seen.items() if "visit-glazier" in uid] == [status]
