"""What a person wrote into an event stays when it changes; what they deleted stays deleted until it is wanted."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import icalendar
import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st

from scheduler.calendar.server.merging import merged
from scheduler.calendar.server.resources import Resource, found, resources
from scheduler.calendar.write import calendar
from tests.calendar.server.radicale import Collection
from tests.calendar.server.test_server import HANG, late, planned, publish
from tests.support.plans import hobby_room, with_step

pytestmark = pytest.mark.long

DOORS = "hobby-room-session-20270123-1@tackfree"


@cache
def versions(remind: int | None = 60) -> tuple[Resource, Resource]:
    """The session of the doors as it was first handed out, and a week later with another title."""
    first, ledger = calendar(hobby_room(), remind=remind)
    later = with_step(hobby_room(), "hang-the-doors", "2027-01-30 09:00 12:00", title="Hang both doors")
    second, _ = calendar(later, previous=ledger, remind=remind)
    return resources(first, "hobby-room")[DOORS], resources(second, "hobby-room")[DOORS]


def edited(resource: Resource, edit: Any) -> bytes:
    """The event as it stands on the server after a person has edited it in a calendar program."""
    whole = icalendar.Calendar.from_ical(resource.body)
    edit(whole.walk("VEVENT")[0])
    return whole.to_ical()


def after(before: bytes, resource: Resource) -> icalendar.Event:
    there = found("/x.ics", '"1"', before.decode())
    assert there is not None
    whole = merged(resource.body, there.data)
    assert vobject.readOne(whole.decode()).vevent.uid.value == DOORS, "another reader reads it as well"
    return icalendar.Calendar.from_ical(whole).walk("VEVENT")[0]


def test_what_a_person_wrote_stays_and_what_is_ours_is_new() -> None:
    first, second = versions()

    def edit(event: icalendar.Event) -> None:
        event.add("attendee", "mailto:jo@example.com", parameters={"CN": "Jo; of the cellar", "PARTSTAT": "ACCEPTED"})
        event["location"] = icalendar.vText("Grandmother's house, the back room")
        event.add("categories", ["Family", "House; garden"])
        event.add("x-their-own", "anything", parameters={"X-DEPTH": "3"})
        event["description"] = icalendar.vText(f"{event['description']}\nBring the big ladder, and two helpers")
        own = icalendar.Alarm()
        own.add("action", "AUDIO")
        own.add("trigger", timedelta(minutes=-5))
        event.add_component(own)

    event = after(edited(first, edit), second)
    ours = icalendar.Calendar.from_ical(second.body).walk("VEVENT")[0]
    for name in ("summary", "dtstart", "dtend", "status", "transp", "x-tackfree-sent", "x-tackfree-wrote"):
        assert event[name].to_ical() == ours[name].to_ical(), name
    assert event["attendee"].params["CN"] == "Jo; of the cellar"
    assert event["location"] == "Grandmother's house, the back room"
    assert {str(each) for line in event["categories"] for each in line.cats} == {"Session", "Family", "House; garden"}
    assert event["x-their-own"].params["X-DEPTH"] == "3"
    assert event["description"] == f"{ours['description']}\nBring the big ladder, and two helpers"
    assert sorted(str(alarm["action"]) for alarm in event.walk("VALARM")) == ["AUDIO", "DISPLAY"]


def test_a_second_change_keeps_it_as_well_and_adds_nothing() -> None:
    """Our own notes of before are not taken for theirs, whichever plan they are of."""
    first, second = versions()
    once = after(edited(first, lambda event: event.add("comment", "mind the cat")), second)
    whole = icalendar.Calendar.from_ical(second.body)
    whole.subcomponents = [once]
    again = after(whole.to_ical(), first)
    ours = icalendar.Calendar.from_ical(first.body).walk("VEVENT")[0]
    assert again["comment"] == "mind the cat"
    assert again["description"] == ours["description"]
    assert len(again.walk("VALARM")) == 1
    assert int(again["sequence"]) == 1, "never below the version that is there"


def test_an_alarm_that_was_dismissed_stays_dismissed_while_it_rings_at_the_same_time() -> None:
    first, second = versions()

    def dismiss(event: icalendar.Event) -> None:
        event.walk("VALARM")[0].add("acknowledged", datetime(2027, 1, 23, 13, tzinfo=UTC))

    same = replace(second, body=first.body)
    assert "ACKNOWLEDGED" in after(edited(first, dismiss), same).walk("VALARM")[0]
    assert "ACKNOWLEDGED" not in after(edited(first, dismiss), second).walk("VALARM")[0]


def test_an_event_of_an_earlier_tackfree_keeps_no_old_notes_and_no_second_alarm() -> None:
    """It bears no sums of what was written into it, and its alarm has no UID (RFC 9074)."""
    first, second = versions()

    def earlier(event: icalendar.Event) -> None:
        del event["x-tackfree-wrote"]
        for alarm in event.walk("VALARM"):
            alarm.pop("uid", None)

    event = after(edited(first, earlier), second)
    ours = icalendar.Calendar.from_ical(second.body).walk("VEVENT")[0]
    assert event["description"] == ours["description"]
    assert len(event.walk("VALARM")) == 1


NAMES = st.from_regex(r"X-[A-Z]{1,8}(-[A-Z0-9]{1,8}){0,2}", fullmatch=True).filter(
    lambda name: "TACKFREE" not in name
)
VALUES = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Zl", "Zp")), max_size=120)


@given(st.dictionaries(NAMES, VALUES, min_size=1, max_size=5), VALUES)
def test_whatever_a_program_puts_there_comes_through(theirs: dict[str, str], note: str) -> None:
    first, second = versions()

    def edit(event: icalendar.Event) -> None:
        for name, value in theirs.items():
            event.add(name, value)
        event["description"] = icalendar.vText(f"{event['description']}\n{note}")

    event = after(edited(first, edit), second)
    for name, value in theirs.items():
        assert str(event[name]) == value
    assert not note.strip() or note.strip() in str(event["description"])


def test_on_a_server_what_was_written_stays_and_what_was_deleted_is_left_out(
    job: Path, collection: Collection, tmp_path: Path
) -> None:
    publish(job, collection)
    collection.change(HANG, location="Attic", attendee="mailto:jo@example.com", x_other="7")
    gone = next(uid for uid in collection.times() if "-film-" in uid)
    assert collection.server.ask("DELETE", f"{collection.path}{gone.replace('@', '%40')}.ics")[0] in (200, 204)
    late(job, "2027-02-04")
    for _ in range(2):
        again = publish(job, collection, as_of="2027-01-05")
        assert again.code == 0
        assert "Deleted or called off there, left out: Shelf: do not" in again.err
        assert "To have it again: --overwrite-moved" in again.err
        there = collection.events()[HANG]
        assert (there["location"], there["attendee"], there["x-other"]) == ("Attic", "mailto:jo@example.com", "7")
        wanted = planned(job, tmp_path, as_of="2027-01-05")
        assert collection.times() == {uid: times for uid, times in wanted.items() if uid != gone}
    publish(job, collection, "--overwrite-moved", as_of="2027-01-05")
    assert collection.times() == planned(job, tmp_path, as_of="2027-01-05")


def test_on_a_server_what_was_called_off_stays_so_until_it_is_wanted(job: Path, collection: Collection) -> None:
    """Most programs that "decline" or cancel leave the event there, with that status: to put it back at the next
    change would be to say no to whoever did."""
    publish(job, collection)
    collection.change(HANG, status="CANCELLED")
    late(job, "2027-02-04")
    again = publish(job, collection, as_of="2027-01-05")
    assert "Deleted or called off there, left out: Shelf: Hang the shelf" in again.err
    assert str(collection.events()[HANG]["status"]) == "CANCELLED"
    publish(job, collection, "--overwrite-moved", as_of="2027-01-05")
    assert str(collection.events()[HANG]["status"]) == "CONFIRMED"
    assert "called off" not in publish(job, collection, as_of="2027-01-05").err


def test_a_calendar_that_was_emptied_is_filled_anew(job: Path, collection: Collection, tmp_path: Path) -> None:
    publish(job, collection)
    for uid in collection.times():
        collection.server.ask("DELETE", f"{collection.path}{uid.replace('@', '%40')}.ics")
    again = publish(job, collection)
    assert "Deleted or called off there" not in again.err
    assert collection.times() == planned(job, tmp_path)
