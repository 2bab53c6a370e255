"""The same calendar, file after file: nothing twice, nothing left over, nothing changed that did not change."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import icalendar
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.calendar.by_hand import in_edition
from scheduler.calendar.recognised import stand
from scheduler.calendar.write import calendar
from scheduler.model.basics import Span
from scheduler.model.byhand import HandMove
from scheduler.model.ledger import Ledger, from_kept, kept_form
from scheduler.model.plan import Plan, PlannedFilm, PlannedStep
from scheduler.reading.returned import Returned
from tests.calendar.readers import READERS, with_icalendar
from tests.support.plans import at, hobby_room, item, plan, spans, step, with_step, with_steps
from tests.telling.stores import Store, ended_by, live_events, properties, things

DAYS = [date(2027, 1, day) for day in (9, 10, 16, 17, 23, 24, 30, 31)]


@st.composite
def small_plans(draw: st.DrawFn) -> Plan:
    """Up to five steps on some of eight days, some with a film, some done, perhaps an item on order."""
    steps: list[PlannedStep] = []
    for name in draw(st.sets(st.sampled_from("abcde"))):
        pieces = []
        for day in sorted(draw(st.sets(st.sampled_from(DAYS), min_size=1, max_size=2))):
            start = at(f"{day} 08:00") + 60 * "abcde".index(name) + draw(st.sampled_from([0, 0, 15]))
            pieces.append(Span(start, start + 45))
        end = pieces[-1].end
        layer = PlannedFilm(
            material="paint",
            material_title="paint",
            coat=1,
            thickness_factor=1.0,
            stages={"touch": end + draw(st.sampled_from([30, 300])), "use": end + 3000, "full": end + 9000},
        )
        state = draw(st.sampled_from(["planned", "planned", "done"]))
        film = layer if draw(st.booleans()) else None
        steps.append(step(name, *pieces, film=film, state=state))
    items = []
    if draw(st.booleans()):
        items = [item("doors", expected=draw(st.sampled_from(DAYS)), order_by=draw(st.sampled_from([None, *DAYS])))]
    as_of = at(f"{draw(st.sampled_from(DAYS))} 20:00")
    return plan(*sorted(steps, key=lambda each: each.id), items=tuple(items), as_of=as_of)


@pytest.mark.long
@settings(derandomize=True, max_examples=80, deadline=None)
@given(st.lists(small_plans(), min_size=1, max_size=4))
def test_after_any_files_the_store_holds_the_last_plan(plans: list[Plan]) -> None:
    """A store by RFC 5546 that took every file, and a subscriber that only has the last, see the same live events,

    and these are those of the last plan written afresh, plus what the record says has happened by then.
    """
    store, ledger, file = Store({}), None, b""
    for number, each in enumerate(plans):
        file, ledger = calendar(each, previous=ledger, remind=60, stamp=at("2027-01-07 12:00") + number)
        store.take(file)
    assert store.live() == live_events(file)
    last = plans[-1]
    live, afresh = Counter(things(store.live())), Counter(things(live_events(calendar(last, remind=60)[0])))
    assert afresh - live == Counter()
    over = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(minutes=last.as_of)
    for thing in live - afresh:
        assert ended_by(thing[1], over)


@settings(derandomize=True, max_examples=40, deadline=None)
@given(small_plans(), small_plans())
def test_an_unchanged_plan_gives_the_same_bytes(first: Plan, second: Plan) -> None:
    """Also after other plans, with a later stamp and as of a later moment of the same state of the job."""
    _, ledger = calendar(first, remind=60)
    file, ledger = calendar(second, previous=ledger, remind=60, stamp=at("2027-01-08 12:00"))
    again, same = calendar(second, previous=ledger, remind=60, stamp=at("2027-02-08 12:00"))
    assert (again, same) == (file, ledger)


@settings(derandomize=True, max_examples=40, deadline=None)
@given(st.lists(small_plans(), min_size=2, max_size=4))
def test_sequence_rises_by_one_exactly_where_something_changed(plans: list[Plan]) -> None:
    """It starts at 0 and never falls (RFC 5545, section 3.8.7.4); LAST-MODIFIED moves with it."""
    ledger, before = None, {}
    for number, each in enumerate(plans):
        file, ledger = calendar(each, previous=ledger, stamp=at("2027-01-07 12:00") + number)
        after = {str(e["uid"]): e for e in icalendar.Calendar.from_ical(file).walk("VEVENT")}
        for name, event in after.items():
            if name not in before:
                assert int(event["sequence"]) == 0 or number > 0
                continue
            rose = int(event["sequence"]) - int(before[name]["sequence"])
            changed = properties(event) != properties(before[name])
            assert rose == (1 if changed else 0)
            assert (event.decoded("last-modified") != before[name].decoded("last-modified")) == changed
        before |= after


def test_a_delay_moves_one_session_and_raises_only_its_sequence() -> None:
    """The doors come a week later: their delivery and the session that hangs them change, nothing else does."""
    before = hobby_room()
    after = with_step(before, "hang-the-doors", "2027-01-30 09:00 12:00")
    doors = replace(before.items[0], expected=date(2027, 1, 29), needed=at("2027-01-30 09:00"))
    after = replace(after, items=(doors,))
    _, ledger = calendar(before, remind=60)
    file, ledger = calendar(after, previous=ledger, remind=60, stamp=at("2027-01-19 12:00"))
    for reader in READERS.values():
        raised = {name: seen[2] for name, seen in reader(file).items() if seen[2]}
        assert raised == {
            "hobby-room-session-20270123-1@tackfree": 1,
            "hobby-room-item-doors@tackfree": 1,
            "hobby-room-order-doors@tackfree": 1,  # its text names the day on which the doors should come
        }


def test_a_withdrawn_event_stays_as_cancelled_free_and_silent() -> None:
    before = hobby_room()
    after = with_steps(before, tuple(each for each in before.steps if each.id != "hang-the-doors"))
    _, ledger = calendar(before, remind=60)
    file, ledger = calendar(after, previous=ledger, remind=60, stamp=at("2027-01-19 12:00"))
    gone = next(
        event
        for event in icalendar.Calendar.from_ical(file).walk("VEVENT")
        if event["uid"] == "hobby-room-session-20270123-1@tackfree"
    )
    assert (str(gone["status"]), str(gone["transp"]), int(gone["sequence"])) == ("CANCELLED", "TRANSPARENT", 1)
    assert gone.walk("VALARM") == []
    clean, same = calendar(after, previous=ledger, remind=60, without_cancelled=True)
    assert b"CANCELLED" not in clean
    assert same == ledger


def test_a_session_that_comes_back_on_its_day_comes_back_to_life() -> None:
    before = hobby_room()
    without = with_steps(before, tuple(each for each in before.steps if each.id != "hang-the-doors"))
    _, ledger = calendar(before)
    _, ledger = calendar(without, previous=ledger, stamp=at("2027-01-08 12:00"))
    file, _ = calendar(before, previous=ledger, stamp=at("2027-01-09 12:00"))
    seen = with_icalendar(file)["hobby-room-session-20270123-1@tackfree"]
    assert seen[2:5] == (2, "CONFIRMED", False)


def test_a_uid_is_never_given_to_another_session() -> None:
    """Saturday's session moved to the next Saturday; a new one on the old day gets a UID of its own."""
    before = plan(step("a", "2027-01-16 09:00 10:00"))
    moved = with_steps(before, (step("a", "2027-01-23 09:00 10:00"),))
    both = with_steps(before, (step("a", "2027-01-23 09:00 10:00"), step("b", "2027-01-16 09:00 10:00")))
    _, ledger = calendar(before)
    file, ledger = calendar(moved, previous=ledger)
    assert list(with_icalendar(file)) == ["hobby-room-session-20270116-1@tackfree"]
    file, ledger = calendar(both, previous=ledger)
    days = {name.split("-", 2)[2].split("@")[0]: seen[0].day for name, seen in with_icalendar(file).items()}
    assert days == {"session-20270116-1": 23, "session-20270116-2": 16}


def test_what_has_happened_is_not_withdrawn() -> None:
    """A plan made on Monday knows Saturday's session no more; the step is done, so the event stays as it was."""
    before = hobby_room()
    _, ledger = calendar(before, remind=60)
    done = tuple(
        replace(each, state="done") if each.start < at("2027-01-17 00:00") else each for each in before.steps
    )
    later = replace(
        before, steps=done, sessions=before.sessions[1:], windows=before.windows[1:], as_of=at("2027-01-18 12:00")
    )
    file, after = calendar(later, previous=ledger, remind=60)
    name = "hobby-room-session-20270116-1@tackfree"
    assert after.by_uid()[name] == ledger.by_uid()[name]
    assert with_icalendar(file)[name][3] == "CONFIRMED"


def test_a_day_that_was_lost_is_withdrawn_or_moved() -> None:
    """Nothing of Saturday's session was done: its step is now on Sunday a week later, and so is its event."""
    before = plan(step("a", "2027-01-16 09:00 10:00"), step("b", "2027-01-17 09:00 10:00"))
    _, ledger = calendar(before)
    lost = with_steps(before, (step("a", "2027-01-17 09:00 10:00"), step("b", "2027-01-17 10:00 11:00")))
    file, _ = calendar(replace(lost, as_of=at("2027-01-16 20:00")), previous=ledger)
    read = with_icalendar(file)
    assert read["hobby-room-session-20270116-1@tackfree"][3] == "CANCELLED"
    assert read["hobby-room-session-20270117-1@tackfree"][3] == "CONFIRMED"


def test_when_the_job_is_finished_what_was_withdrawn_is_told_no_more() -> None:
    before = hobby_room()
    without = with_steps(before, tuple(each for each in before.steps if each.id != "hang-the-doors"))
    _, ledger = calendar(before)
    file, ledger = calendar(without, previous=ledger, stamp=at("2027-01-08 12:00"))
    assert b"CANCELLED" in file
    done = with_steps(
        without, tuple(replace(each, state="done") for each in without.steps), as_of=at("2027-01-21 12:00")
    )
    file, ledger = calendar(done, previous=ledger, stamp=at("2027-01-21 12:00"))
    assert b"CANCELLED" not in file
    assert any(entry.withdrawn for entry in ledger.entries)
    assert calendar(done, previous=ledger, stamp=at("2027-01-22 12:00")) == (file, ledger)


def test_as_long_as_a_step_is_to_come_what_was_withdrawn_is_told() -> None:
    """All steps but the last are done: somebody's calendar may still hold the session that was given up before."""
    before = hobby_room()
    without = with_steps(before, tuple(each for each in before.steps if each.id != "hang-the-doors"))
    _, ledger = calendar(before)
    _, ledger = calendar(without, previous=ledger, stamp=at("2027-01-08 12:00"))
    last = max(without.steps, key=lambda each: each.end)
    nearly = tuple(each if each is last else replace(each, state="done") for each in without.steps)
    file, _ = calendar(with_steps(without, nearly), previous=ledger, stamp=at("2027-01-09 12:00"))
    assert with_icalendar(file)["hobby-room-session-20270123-1@tackfree"][3] == "CANCELLED"


def test_what_the_last_change_withdraws_is_still_told() -> None:
    """The job is finished and its last session given up in one go: a calendar that holds it must hear of it."""
    before = hobby_room()
    _, ledger = calendar(before)
    rest = tuple(replace(each, state="done") for each in before.steps if each.id != "hang-the-doors")
    done = with_steps(before, rest, as_of=at("2027-01-21 12:00"))
    file, ledger = calendar(done, previous=ledger)
    assert with_icalendar(file)["hobby-room-session-20270123-1@tackfree"][3] == "CANCELLED"
    assert calendar(done, previous=ledger) == (file, ledger)


def test_a_stamp_that_runs_backwards_does_not() -> None:
    """A clock set back must not make a newer version look older."""
    before = hobby_room()
    _, ledger = calendar(before, stamp=at("2027-01-10 12:00"))
    moved = with_step(before, "hang-the-doors", "2027-01-30 09:00 12:00")
    _, after = calendar(moved, previous=ledger, stamp=at("2027-01-09 12:00"))
    assert all(entry.changed == at("2027-01-10 12:00") for entry in after.entries)


SATURDAY, SUNDAY = "hobby-room-session-20270116-1@tackfree", "hobby-room-session-20270117-1@tackfree"


def hand_move(uid: str, was: str, now: str) -> HandMove:
    (old,), (new,) = spans(was), spans(now)
    return HandMove(uid=uid, was=old, now=new, people=1)


def starts_of(file: bytes) -> dict[str, datetime]:
    return {
        uid: seen[0] for uid, seen in with_icalendar(file).items() if "-session-" in uid and seen[3] == "CONFIRMED"
    }


def test_sessions_that_a_person_swapped_change_places_and_keep_their_names() -> None:
    """One long step goes through both, so that their work tells nothing: what was moved by hand does."""
    both = plan(step("a", "2027-01-16 08:00 10:00", "2027-01-17 13:00 15:00"))
    file, ledger = calendar(both)
    first = starts_of(file)
    after = plan(step("a", "2027-01-16 08:00 10:00", "2027-01-17 13:00 15:00"))
    moves = [
        hand_move(SATURDAY, "2027-01-16 07:45 10:15", "2027-01-17 12:45 15:15"),
        hand_move(SUNDAY, "2027-01-17 12:45 15:15", "2027-01-16 07:45 10:15"),
    ]
    swapped = starts_of(calendar(after, previous=ledger, moves=moves)[0])
    assert swapped == {SATURDAY: first[SUNDAY], SUNDAY: first[SATURDAY]}


def test_a_session_moved_onto_another_keeps_its_name_and_the_other_is_withdrawn() -> None:
    """What the person has just moved is never the one that is told of as cancelled."""
    file, ledger = calendar(plan(step("a", "2027-01-16 08:00 10:00"), step("b", "2027-01-17 08:00 09:00")))
    together = plan(step("a", "2027-01-16 08:00 10:00"), step("b", "2027-01-16 10:00 11:00"))
    moves = [hand_move(SUNDAY, "2027-01-17 07:45 09:15", "2027-01-16 07:45 11:15")]
    found = starts_of(calendar(together, previous=ledger, moves=moves)[0])
    assert found == {SUNDAY: starts_of(file)[SATURDAY]}


def test_a_calendar_that_an_earlier_tackfree_told_is_understood() -> None:
    """What was kept then counts no editions, names no place and no earlier times."""
    _, ledger = calendar(hobby_room())
    lines = json.loads(json.dumps(kept_form(ledger)))
    del lines["edition"]
    for entry in lines["exported"]:
        for name in ("edition", "since", "earlier", "place", "session"):
            del entry[name]
    old = from_kept(lines)
    assert old.edition == 1
    assert in_edition(old, 1) == in_edition(ledger, 1)
    _, after = calendar(with_step(hobby_room(), "hang-the-doors", "2027-01-30 09:00 12:00"), previous=old)
    assert after.edition == 2
    assert {name: state.start for name, state in in_edition(after, 1).items()} == {
        entry.event.uid: entry.event.start for entry in ledger.entries
    }


def test_moved_is_told_from_old_by_all_the_places_that_were_handed_out() -> None:
    """Whatever SEQUENCE the calendar has: one that is kept by hand never has ours."""
    _, first = calendar(hobby_room(), remind=30)
    _, noted = calendar(hobby_room(), previous=first, remind=60)  # other notes, another version, the same place
    _, later = calendar(
        with_step(hobby_room(), "hang-the-doors", "2027-01-30 09:00 12:00"), previous=noted, remind=60
    )
    name = "hobby-room-session-20270123-1@tackfree"
    (there,), (then,), (beside,) = (
        spans(text) for text in ("2027-01-23 08:45 12:15", "2027-01-30 08:45 12:15", "2027-01-25 18:00 21:30")
    )

    def told(ledger: Ledger, span: Span, sequence: int) -> str:
        back = Returned(uid=name, summary="", times=tuple(span), sequence=sequence, cancelled=False, where="x:1")
        return stand(ledger.by_uid()[name], back)

    assert told(noted, there, 0) == "here"
    assert told(noted, beside, 0) == "elsewhere"
    assert told(later, there, 0) == told(later, there, 2) == "older"
    assert told(later, there, 3) == "elsewhere", "put back by hand: a version above all that was handed out"
    assert told(later, then, 0) == "here"
    kept = json.loads(json.dumps(kept_form(later)))
    for entry in kept["exported"]:
        del entry["earlier"], entry["since"]
    forgotten = from_kept(kept)
    assert told(forgotten, beside, 0) == "older", "what an earlier tackfree told before the last version is not known"
    assert told(forgotten, beside, 2) == "elsewhere"
