"""Sixty answers that a person would give: each is understood, or asked back with what to write.

A family in Germany on Thursday 3 December 2026, whose bedroom is 4.20 m by 3.10 m; the numbers are those of the ten
questions. What is understood stands beside the answer; None: it is asked back.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from scheduler.reading.starters.answers import Answers
from scheduler.reading.starters.questions import QUESTIONS, answered, usual_answers
from scheduler.units import UnclearQuantityError

BEGIN = Answers(zone="Europe/Berlin", us=False, today=date(2026, 12, 3), room="bedroom")
SO_FAR = usual_answers("repaint a room", BEGIN)
KIND, SIZE, HOLES, PARTS, MATERIAL, COLOURS, HOURS, PEOPLE, ORDER, START = range(10)

UNDERSTOOD: dict[int, Callable[[Answers], object]] = {
    KIND: lambda job: job.kind,
    SIZE: lambda job: (round(job.length, 2), round(job.width, 2), round(job.height, 2)),
    HOLES: lambda job: [hole.name for hole in job.holes],
    PARTS: lambda job: list(job.parts),
    MATERIAL: lambda job: job.material,
    COLOURS: lambda job: {part: name for name, part in job.colours},
    HOURS: lambda job: [(stretch.days, stretch.start // 60, stretch.end // 60) for stretch in job.hours],
    PEOPLE: lambda job: max(stretch.people for stretch in job.hours),
    ORDER: lambda job: [(name, str(day)) for name, day in job.order],
    START: lambda job: str(job.start),
}
ROOM = (4.2, 3.1, 2.5)
BOTH = [((5, 6), 9, 17)]
THREE = {"walls": "yellow", "ceiling": "white ceiling", "trim": "white trim"}
ANSWERS: list[tuple[int, str, object]] = [
    (KIND, "2", "repaint a room"),
    (KIND, "repaint", "repaint a room"),
    (KIND, "paint the bedroom", None),
    (KIND, "floor", "floor"),
    (SIZE, "4,20 m x 3,10 m x 2,50 m", ROOM),
    (SIZE, "4,20 x 3,10 x 2,50 m", ROOM),
    (SIZE, "4.2 by 3.1 by 2.5 m", ROOM),
    (SIZE, "4,2m*3,1m*2,5m", ROOM),
    (SIZE, "4.20 m × 3.10 m × 2.50 m", ROOM),
    (SIZE, "420 cm x 310 cm x 250 cm", ROOM),
    (SIZE, "4.2 m x 3.1 m, 2.5 m high", ROOM),
    (SIZE, "4.2 x 3.1 x 2.5", None),
    (SIZE, "13 m²", None),
    (HOLES, "1 door, 1 window", ["door", "window"]),
    (HOLES, "a door and a window", ["door", "window"]),
    (HOLES, "door + window", ["door", "window"]),
    (HOLES, "one door, two windows", ["door", "window", "window 2"]),
    (HOLES, "none", []),
    (HOLES, "2", None),
    (PARTS, "walls and ceiling", ["walls", "ceiling"]),
    (PARTS, "the walls", ["walls"]),
    (PARTS, "just the walls", ["walls"]),
    (PARTS, "everything", ["walls", "ceiling", "trim"]),
    (PARTS, "walls, ceiling, trim", ["walls", "ceiling", "trim"]),
    (PARTS, "the wardrobe", None),
    (MATERIAL, "1", "no primer"),
    (MATERIAL, "none", "no primer"),
    (MATERIAL, "no primer", "no primer"),
    (MATERIAL, "stain", "stain-blocking primer"),
    (MATERIAL, "don't know", None),
    (COLOURS, "yellow, white, white", THREE),
    (COLOURS, "white on the ceiling, yellow on the walls, white trim", THREE),
    (COLOURS, "yellow walls, white ceiling, white trim", THREE),
    (COLOURS, "walls yellow; ceiling white; woodwork white", THREE),
    (COLOURS, "white on the ceiling, yellow on the walls", None),
    (COLOURS, "yellow", None),
    (COLOURS, "all white", {"walls": "white walls", "ceiling": "white ceiling", "trim": "white trim"}),
    (HOURS, "saturday and sunday 9-17", BOTH),
    (HOURS, "weekends 9:00 to 17:00", BOTH),
    (HOURS, "weekends 9 am to 5 pm", BOTH),
    (HOURS, "Sat 9:00-17:00, Sun 9:00-17:00", [((5,), 9, 17), ((6,), 9, 17)]),
    (HOURS, "next weekend", None),
    (HOURS, "Sat + Sun 9-5", None),
    (HOURS, "in the evening", None),
    (PEOPLE, "1", 1),
    (PEOPLE, "two", 2),
    (PEOPLE, "two of us", 2),
    (PEOPLE, "just me", 1),
    (PEOPLE, "my wife and I", None),
    (ORDER, "no", []),
    (ORDER, "nope", []),
    (ORDER, "paint on 8.12.", [("paint", "2026-12-08")]),
    (ORDER, "paint friday", [("paint", "2026-12-04")]),
    (ORDER, "paint in 2 weeks", [("paint", "2026-12-17")]),
    (ORDER, "paint", None),
    (START, "saturday", "2026-12-05"),
    (START, "this weekend", "2026-12-05"),
    (START, "5.12.", "2026-12-05"),
    (START, "tomorrow", "2026-12-04"),
    (START, "as soon as possible", "2026-12-05"),
    (START, "soon", None),
]


@pytest.mark.parametrize(("number", "text", "wanted"), ANSWERS)
def test_an_answer_is_understood_or_asked_back(number: int, text: str, wanted: object) -> None:
    if wanted is None:
        with pytest.raises(UnclearQuantityError) as asked:
            answered(QUESTIONS[number], text, SO_FAR)
        assert asked.value.message
        assert asked.value.hint, "what would be right"
    else:
        assert UNDERSTOOD[number](answered(QUESTIONS[number], text, SO_FAR)) == wanted


def test_there_are_sixty_of_them() -> None:
    assert len(ANSWERS) >= 60
