"""What was understood is read back in five lines, and put right in words; then it is written."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from scheduler.reading.starters.answers import Answers
from scheduler.reading.starters.jobtext import job_text
from scheduler.reading.starters.questions import usual_answers
from scheduler.reading.starters.readback import read_back, read_more
from scheduler.units import UnclearQuantityError

BEGIN = Answers(zone="Europe/Berlin", us=False, today=date(2026, 12, 3), room="bedroom")
BEDROOM = usual_answers("repaint a room", BEGIN)


def test_the_whole_is_read_back_in_five_lines() -> None:
    lines = read_back(BEDROOM)
    assert len(lines) == 5
    assert lines[0] == "Room: “bedroom”, 4 m x 3.4 m, 2.5 m high; door in the south wall, window in the east wall."
    assert "walls “warm white”, ceiling “white”, trim “satin white”; 2 coats each" in lines[2]
    assert "every week: Saturday 9:00 to 17:00, 2 people, break 12:00 to 12:45" in lines[3]
    assert "quiet from 20:00 to 7:00" in lines[3]
    assert lines[4] == "From 2026-12-05 on, times of Europe/Berlin; nothing on order."


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("break 13:00 to 13:30", "from: 9:00, to: 17:00, people: 2, break: 13:00 to 13:30}"),
        ("no break", "from: 9:00, to: 17:00, people: 2}"),
        ("quiet 22:00-6:00", "quiet hours: {on: every day, from: 22:00, to: 6:00}"),
        ("only this weekend", "done by: 2026-12-06"),
        ("2 holes", "- patch: {holes: 2, share: 0, stains: 0}"),
        ("zone america/new_york", "zone: America/New_York"),
        ("walls yellow", "  yellow: {on: walls,"),
        ("2 holes, quiet 21:00 to 7:00", "from: 21:00, to: 7:00}"),
    ],
)
def test_what_is_put_right_stands_in_the_file(text: str, line: str) -> None:
    assert line in job_text(read_more(text, BEDROOM))


def test_holes_are_those_of_the_walls() -> None:
    """Two holes are not two on the ceiling as well."""
    text = job_text(read_more("2 holes", BEDROOM))
    assert text.count("holes: 2,") == 1
    assert text.count("holes: 0,") == 1


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("purple", "`purple` is not understood here"),
        ("break at noon", "`at noon` is no stretch of the day"),
        ("zone nowhere", "is no time zone"),
        ("9999 holes", "9999 holes have no place in this work"),
    ],
)
def test_what_is_not_understood_is_asked_back(text: str, said: str) -> None:
    with pytest.raises(UnclearQuantityError, match=said):
        read_more(text, BEDROOM)


COLOURS = [
    ("white on the ceiling, yellow on the walls", {"ceiling": "white", "walls": "yellow"}),
    ("yellow walls, white ceiling", {"ceiling": "white", "walls": "yellow"}),
    ("walls: yellow; ceiling: white", {"ceiling": "white", "walls": "yellow"}),
    ("yellow walls and a white ceiling", {"ceiling": "white", "walls": "yellow"}),
    ("yellow, white", {"ceiling": "white", "walls": "yellow"}),
    ("ceiling white, yellow", {"ceiling": "white", "walls": "yellow"}),
    ("white everywhere", {"ceiling": "white ceiling", "walls": "white walls"}),
]


@pytest.mark.parametrize(("text", "wanted"), COLOURS)
def test_a_colour_goes_to_the_part_that_is_named_with_it(text: str, wanted: dict[str, str]) -> None:
    """In whatever order: `white on the ceiling, yellow on the walls` once painted the walls white."""
    from scheduler.reading.starters.stuff import read_colours

    two = replace(BEDROOM, parts=("walls", "ceiling"))
    assert {part: name for name, part in read_colours(text, two).colours} == wanted


def test_one_colour_for_two_parts_is_asked_back() -> None:
    from scheduler.reading.starters.stuff import read_colours

    with pytest.raises(UnclearQuantityError, match="no colour is named for ceiling") as said:
        read_colours("white", replace(BEDROOM, parts=("walls", "ceiling")))
    assert "white everywhere" in said.value.hint
