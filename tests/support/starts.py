"""Answers to the questions as people might give them, in their own words, drawn by hypothesis."""

from __future__ import annotations

from datetime import date

from hypothesis import assume
from hypothesis import strategies as st

from scheduler.reading.starters.answers import KINDS, Answers
from scheduler.reading.starters.questions import answered, named, questions_of
from scheduler.units import UnclearQuantityError

TODAY = date(2026, 12, 1)

_SIZES = ("", "13 ft 2 in x 11 ft x 8 ft", "9 ft x 7 ft x 7 ft 6 in", "4.2 m x 3.5 m x 2.5 m", "300 by 210 by 240 cm")
_HOLES = (
    "",
    "none",
    "1 door",
    "2 doors and a window",
    "1 door on north wall, 2 windows 2 ft x 3 ft",
    "window 60 cm x 90 cm",
)
_PARTS = {
    "panel wall": (
        "",
        "east",
        "north and west up to 1.1 m",
        "all up to ceiling",
        "all up to 3 ft",
        "south up to 30 in",
    ),
    "repaint a room": ("", "walls", "ceiling", "trim", "walls, trim", "ceiling and trim"),
    "floor": ("", "none", "furniture", "shoe moulding"),
    "bathroom wall": (
        "",
        "all",
        "west from 3 ft up to 5 ft",
        "north and east up to ceiling",
        "south from 0 in up to 1.2 m",
    ),
    "floor of planks": ("", "none", "old carpet", "furniture, shoe moulding"),
    "wallpaper to paint": ("", "2 layers"),
    "cabinet fronts": ("", "7 fronts", "12 fronts, 24 holes"),
    "shower joint": ("", "9 ft", "4.1 m"),
    "shower wall": ("", "east from 20 in up to 7 ft", "north and west up to 2 m"),
    "drywall": ("", "walls", "ceiling"),
    "windows": ("", "1 stuck", "4 panes"),
    "stair": ("", "14 treads, 0 balusters"),
}
_WORDS = ("white", "grün", "soft green", "O'Neil red", "no", "walls", "panelling", "2 tone", "prime", "e-white", "1")
_HOURS = (
    "",
    "weekends 8:00 to 17:00",
    "Saturday 7:00 to 18:00",
    "Mon-Fri 17:00 to 20:30, Sunday 9:00 to 16:30",
    "every day 9:00 to 13:30",
)
"""Each has a stretch in which a coat of the largest of these rooms can be laid in one piece."""
_ITEMS = (
    "boards",
    "paint",
    "primer",
    "tiles",
    "grout",
    "oil",
    "floor sander",
    "shoe moulding",
    "sheets",
    "on",
    "lamp",
)


@st.composite
def texts(draw: st.DrawFn, kinds: tuple[str, ...]) -> list[str]:
    """An answer to each question about these kinds of work, in their order; not every combination can be read."""
    items = draw(st.lists(st.sampled_from(_ITEMS), max_size=3, unique=True))
    order = ", ".join(f"{item} in {draw(st.integers(0, 40))} days" for item in items)
    return [
        ", ".join(kinds),
        draw(st.sampled_from(_SIZES)),
        draw(st.sampled_from(_HOLES)),
        *(text for kind in kinds for text in draw(_about(kind))),
        draw(st.sampled_from(_HOURS)),
        draw(st.sampled_from(("", "1", "2", "1, 2 on Sunday", "2, 1 on Saturday"))),
        order,
        draw(st.sampled_from(("", "today", "tomorrow", "2027-03-12", "12 March 2027"))),
        draw(st.sampled_from(("", "none", "19:00 to 8:00"))),
        draw(st.sampled_from(("", "Europe/Vienna"))),
        draw(st.sampled_from(("", "attic", "walls"))),
    ]


@st.composite
def _about(draw: st.DrawFn, kind: str) -> list[str]:
    """Answers about one kind of work: its parts, its material, its colours or coats."""
    colours = ", ".join(draw(st.lists(st.sampled_from(_WORDS), min_size=1, max_size=3)))
    return [
        draw(st.sampled_from(_PARTS[kind])),
        draw(st.sampled_from(("", "1", "2", "3"))),
        draw(st.sampled_from(("", "1", "2", colours))),
    ]


_TOGETHER = (
    *((kind,) for kind in KINDS),
    ("repaint a room", "floor of planks"),
    ("panel wall", "bathroom wall"),
    ("drywall", "windows", "floor"),
    ("wallpaper to paint", "repaint a room"),
    ("shower wall", "shower joint"),
)
"""One kind of work, or several that people do at once."""


@st.composite
def answers(draw: st.DrawFn) -> Answers:
    """All answers, about one kind of work or several; where one can't be read, Enter was pressed instead. Where
    panels go up all walls already no other wall is usual: it is asked again, and there are no such answers."""
    so_far = Answers(
        zone="America/Denver", us=draw(st.booleans()), today=TODAY, room=draw(st.sampled_from(("den", "")))
    )
    kinds = draw(st.sampled_from(_TOGETHER))
    for question, text in zip(questions_of(kinds), draw(texts(kinds)), strict=True):
        try:
            so_far = answered(question, text, so_far)
        except UnclearQuantityError:
            try:
                so_far = answered(question, "", so_far)
            except UnclearQuantityError as unclear:
                assume("there already" not in unclear.message)
                raise
    return named(so_far)
