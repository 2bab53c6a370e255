from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from rich.cells import cell_len

from scheduler.calendar.by_hand import by_hand, hand_list, in_edition, moved_words
from scheduler.calendar.write import calendar
from scheduler.model.ledger import Ledger
from scheduler.telling.dates import face_of
from scheduler.telling.words import PATTERNS
from tests.support.plans import NEW_YORK, at, hobby_room, step, with_step, with_steps
from tests.telling.texts import HOSTILE, shows_cleanly

FACE = face_of(NEW_YORK, True, "en")


def listed(old: Ledger | None, new: Ledger, width: int = 200, clock24: bool = True) -> str:
    """The list from what a calendar of one ledger holds to what one of another does."""
    before = {} if old is None else in_edition(old, old.edition)
    return by_hand(hand_list(before, in_edition(new, new.edition)), face_of(NEW_YORK, clock24, "en"), width)


def test_the_few_events_to_move_and_to_delete() -> None:
    before = hobby_room()
    kept = tuple(each for each in before.steps if each.id != "hang-the-doors")
    after = with_steps(before, (*kept, step("sweep", "2027-01-30 09:00 10:00")))
    after = replace(after, items=())
    moved = with_step(after, "put-up-the-shelves", "2027-01-17 11:00 12:00", "2027-01-20 19:00 20:30")
    _, old = calendar(before)
    _, new = calendar(moved, previous=old, stamp=at("2027-01-08 12:00"))
    assert listed(old, new, 200) == (
        "Move:\n"
        "  Hobby room: Put up the shelves: Wednesday 20 January, 18:15–20:15 → "
        "Wednesday 20 January, 18:45–20:45\n"
        "Delete:\n"
        "  Hobby room: last day to order Doors, two, primed: Friday 8 January\n"
        "  Hobby room: Doors, two, primed should come: Friday 22 January\n"
        "  Hobby room: Hang the doors: Saturday 23 January, 08:45–12:15\n"
        "Add:\n"
        "  Hobby room: Sweep: Saturday 30 January, 08:45–10:15\n"
    )


def test_a_new_name_at_the_same_time_is_a_new_name() -> None:
    before = hobby_room()
    _, old = calendar(before)
    _, new = calendar(with_step(before, "hang-the-doors", title="Hang both doors"), previous=old)
    assert "Rename:\n  Hobby room: Hang the doors: Saturday 23 January, 08:45–12:15 →" in listed(old, new)


def test_what_moved_and_has_a_new_name_is_named_once() -> None:
    before = hobby_room()
    _, old = calendar(before)
    after = with_step(before, "hang-the-doors", "2027-01-30 09:00 12:00", title="Hang both doors")
    _, new = calendar(replace(after, items=before.items), previous=old)
    assert listed(old, new, 200) == (
        "Move:\n"
        "  Hobby room: Hang the doors: Saturday 23 January, 08:45–12:15 → "
        "Saturday 30 January, 08:45–12:15 (now: Hobby room: Hang both doors)\n"
    )


def test_nothing_to_change_and_everything_to_add() -> None:
    _, ledger = calendar(hobby_room())
    assert listed(ledger, ledger) == "Nothing to change by hand.\n"
    first = listed(None, ledger)
    assert first.startswith("Add:\n")
    assert len(listed(None, ledger, 300).splitlines()) - 1 == len(ledger.entries)


@pytest.mark.parametrize("title", HOSTILE)
def test_no_line_is_too_wide_or_holds_a_control_character(title: str) -> None:
    _, ledger = calendar(with_step(hobby_room(), "sand-the-filler", title=title))
    text = listed(None, ledger, 80, clock24=False)
    assert all(cell_len(line) <= 80 and shows_cleanly(line) for line in text.splitlines())


def test_three_ways_in_and_what_does_not_work() -> None:
    text = PATTERNS["en"]["cli.ways in"]
    assert [line[:4] for line in text.splitlines() if line.startswith("  ") and line[2].isdigit()] == [
        "  1.",
        "  2.",
        "  3.",
    ]
    assert "no update in most" in text
    assert max(len(line) for line in text.splitlines()) <= 80


def test_what_somebody_moved_is_told_with_both_times() -> None:
    _, ledger = calendar(hobby_room())
    session = ledger.by_uid()["hobby-room-session-20270123-1@tackfree"].event
    to = (at("2027-01-24 10:00"), at("2027-01-24 12:00"))
    before = "Hobby room: Hang the doors: Saturday 23 January, 08:45–12:15"
    assert moved_words(session, to, FACE) == f"{before} → Sunday 24 January, 10:00–12:00"
    assert moved_words(session, None, FACE) == f"{before} → a time that can't be told"
    doors = ledger.by_uid()["hobby-room-item-doors@tackfree"].event
    assert moved_words(doors, (date(2027, 1, 25), date(2027, 1, 26)), FACE).endswith("→ Monday 25 January")
