"""Each of the questions reads what people write, and says in one line what is wrong with the rest."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from scheduler.reading.starters.answers import KINDS, WALLS, Answers
from scheduler.reading.starters.jobtext import job_text
from scheduler.reading.starters.questions import (
    QUESTIONS,
    Question,
    answered,
    named,
    questions_of,
    usual_answers,
)
from scheduler.units import UnclearQuantityError

KIND, SIZE, HOLES, PARTS, MATERIAL, COLOURS, HOURS, PEOPLE, ORDER, START, QUIET, ZONE, ROOM = QUESTIONS
TODAY = date(2026, 12, 1)
"""A Tuesday."""
BEGIN = Answers(zone="America/Denver", us=True, today=TODAY, room="den")
FOOT, INCH = 0.3048, 0.0254
COLOURLESS = ("floor of planks", "shower joint")
"""What gets no colour and no coats."""


def usual(kind: str = "repaint a room") -> Answers:
    """The answers that come of Enter to all questions."""
    return usual_answers(kind, BEGIN)


def said(question: Question, text: str, so_far: Answers) -> str:
    """What is said of an answer that can't be read."""
    with pytest.raises(UnclearQuantityError) as caught:
        answered(question, text, so_far)
    line = str(caught.value)
    assert "\n" not in line
    assert caught.value.hint
    return line


def test_there_are_ten() -> None:
    """Thirteen questions, each of one or two lines; nobody is asked for the colour of what has none."""
    assert len(QUESTIONS) == 13
    for kind in KINDS:
        asked = [question for question in QUESTIONS if question.asks(usual(kind))]
        assert all(len(question.asks(usual(kind))) < 160 for question in asked)
        assert [each for each in QUESTIONS if each not in asked] == ([COLOURS] if kind in COLOURLESS else [])


def test_several_kinds_of_work_are_asked_about_one_after_the_other() -> None:
    """What is done is asked of each kind by its name; the rest is asked once, and the walls get one colour."""
    kinds = ("repaint a room", "bathroom wall", "shower joint")
    so_far = replace(BEGIN, kind=kinds[0], kinds=kinds)
    asked: list[str] = []
    for question in questions_of(kinds)[1:]:
        asked += [words] if (words := question.asks(so_far)) else []
        so_far = answered(question, "", so_far)
    assert [each.partition(":")[0] for each in asked if each.partition(":")[0].lower() in kinds] == [
        *["Repaint a room"] * 3,
        *["Bathroom wall"] * 2,
        *["Shower joint"] * 2,
    ], "the bathroom's walls have a colour already, a joint has none"
    assert len(asked) == 12 + 2 + 2
    assert [part for _, part in so_far.coloured] == ["walls", "ceiling", "trim"]
    assert so_far.on("shower joint").material == "silicone"


@pytest.mark.parametrize("text", ["2, 5", "2 + 5", "repaint and planks", "repaint a room; floor of planks"])
def test_several_kinds_of_work(text: str) -> None:
    assert answered(KIND, text, BEGIN).kinds == ("repaint a room", "floor of planks")


def test_each_kind_of_work_is_chosen_by_its_number() -> None:
    """Also from the tenth on."""
    assert len(KINDS) > 9
    for number, kind in enumerate(KINDS, 1):
        assert answered(KIND, str(number), BEGIN).kinds == (kind,)
    assert answered(KIND, f"1, {len(KINDS)}", BEGIN).kinds == (KINDS[0], KINDS[-1])


def test_kinds_that_do_not_go_together() -> None:
    assert said(KIND, "floor, planks", BEGIN) == (
        "floor and floor of planks do not go together: the same floor is sanded or covered; leave out one of them"
    )


def test_no_two_things_go_up_the_same_wall() -> None:
    """A second panel takes another wall by Enter, and is told where somebody names the same one."""
    both = usual_answers(("panel wall", "bathroom wall"), BEGIN)
    assert [one.parts for one in both.each] == [("north wall",), ("east wall",)]
    assert said(PARTS, "north from 3 ft up to 5 ft", both.on("bathroom wall")) == (
        "the north wall has a panel wall there already; name another wall or another height"
    )
    assert answered(PARTS, "north from 4 ft up to 5 ft", both.on("bathroom wall")).parts == ("north wall",)


def test_what_is_counted() -> None:
    """In any order; what is not named is as many as is usual, a bare number is the first."""
    fronts = usual("cabinet fronts")
    assert dict(fronts.counts) == {"fronts": 20, "holes": 0, "places": 10}
    assert "shared things: {step ladder: 1, nailer: 1, drying rack: 10}" in job_text(fronts)
    assert dict(answered(PARTS, "12 holes and 8 fronts", fronts).counts) == {"fronts": 8, "holes": 12, "places": 10}
    assert "drying rack" not in job_text(answered(PARTS, "31, no places", fronts))
    assert said(PARTS, "0 fronts", fronts).startswith("`0 fronts` is too few here")
    assert said(PARTS, "900 fronts", fronts).startswith("`900 fronts` is too many here")
    assert said(PARTS, "a lot", fronts).startswith(
        "`a lot` counts nothing that is asked for; write such as `20 fronts"
    )
    assert dict(answered(PARTS, "2 stuck", usual("windows")).counts) == {"stuck": 2, "panes": 2}
    assert answered(PARTS, "14 ft 6 in", usual("shower joint")).run == pytest.approx(14.5 * FOOT)
    assert said(PARTS, "400 ft", usual("shower joint")).startswith("`400 ft` is no length of such a joint")


def test_windows_are_painted_where_there_are_some() -> None:
    assert said(HOLES, "1 door", usual("windows")).startswith("no window is named, and windows are to be painted")


def test_a_repaint_may_be_washed_first() -> None:
    """Washing is no part that gets a colour."""
    washed = answered(PARTS, "walls, wash", usual())
    assert washed.parts == ("walls", "wash")
    assert "    - wash " in job_text(answered(COLOURS, "white", washed))
    assert said(PARTS, "wash", usual()).startswith("nothing to paint is named")


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("1", "panel wall"),
        ("2", "repaint a room"),
        ("Panel", "panel wall"),
        ("panel-wall", "panel wall"),
        ("repaint", "repaint a room"),
        ("FLOOR", "floor"),
        ("bath", "bathroom wall"),
        ("bathroom wall", "bathroom wall"),
        ("", "repaint a room"),
        ("wallpaper", "wallpaper to paint"),
        ("fronts", "cabinet fronts"),
        ("7", "cabinet fronts"),
    ],
)
def test_the_kind_of_work(text: str, kind: str) -> None:
    """A number of the list, the name, or the beginning of a word that no other has."""
    assert answered(KIND, text, BEGIN).kind == kind


@pytest.mark.parametrize(
    "text", ["0", "13", "99999999999999999999", "wall", "roof", "-1", "²", "?", "panel wall; roof"]
)
def test_no_kind_of_work(text: str) -> None:
    """`wall` is in two names; what is none is told with the numbers that are there."""
    assert said(KIND, text, BEGIN).endswith("is none of these; write a number from 1 to 12")


@pytest.mark.parametrize(
    ("text", "metric", "measures"),
    [
        ("13 ft 2 in x 11 ft x 8 ft", False, (13 * FOOT + 2 * INCH, 11 * FOOT, 8 * FOOT)),
        ("13' 2\" x 11' x 8'", False, (13 * FOOT + 2 * INCH, 11 * FOOT, 8 * FOOT)),
        ("13 x 11 x 8 ft", False, (13 * FOOT, 11 * FOOT, 8 * FOOT)),
        ("13x11x8ft", False, (13 * FOOT, 11 * FOOT, 8 * FOOT)),
        ("4.2 m × 3.5 m × 2.5 m", True, (4.2, 3.5, 2.5)),
        ("420 by 350 by 250 cm", True, (4.2, 3.5, 2.5)),
        ("4.2 m, 3.5 m, 2.5 m", True, (4.2, 3.5, 2.5)),
    ],
)
def test_the_size_of_the_room(text: str, metric: bool, measures: tuple[float, float, float]) -> None:
    """Length, width, height with units, which say how the person measures; the last one counts for bare numbers."""
    found = answered(SIZE, text, BEGIN)
    assert found.metric is metric
    assert (found.length, found.width, found.height) == pytest.approx(measures)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("big", "`big` is not three measures"),
        ("13 ft x 11 ft", "`13 ft x 11 ft` is not three measures"),
        ("13x11x8", "`13x11x8` has no unit at its end; write feet or metres, such as `13 ft 2 in x 11 ft x 8 ft`"),
        ("4,2 m x 3,5 m x 2,5 m", "a comma stands in `4,2 m`; write `4.2 m`"),
        ("13 h x 11 h x 8 h", "`h` is no unit of length"),
        ("400 m x 3 m x 2.5 m", "`400 m` is no length or width of a room here"),
        ("4 m x 3 m x 25 m", "`25 m` is no height of a room here"),
        ("0 ft x 0 ft x 0 ft", "`0 in` is no length or width of a room here; write one from 2 ft 11 7/16 in to"),
        ("-4 m x 3 m x 2 m", "`-4 m` is negative"),
    ],
)
def test_no_size(text: str, line: str) -> None:
    """What is no size of a room is told with what would be one."""
    assert said(SIZE, text, BEGIN).startswith(line)


def test_a_stairwell_over_two_floors_is_a_size() -> None:
    """Two storeys of 2.65 m."""
    assert answered(SIZE, "6.4 m x 2 m x 5.3 m", BEGIN).height == pytest.approx(5.3)


def test_doors_and_windows() -> None:
    """Counted or with sizes and walls; each lies in a wall that has room left for it. A door has no sill."""
    holes = answered(HOLES, "a door, 2 windows 3 ft x 4 ft on east wall and 1 window", usual()).holes
    assert [hole.name for hole in holes] == ["door", "window", "window 2", "window 3"]
    assert [hole.wall for hole in holes] == ["south wall", "east wall", "east wall", "west wall"]
    assert holes[0].sill is None and holes[1].sill == pytest.approx(36 * INCH)
    assert (holes[1].width, holes[1].height) == pytest.approx((3 * FOOT, 4 * FOOT))
    assert answered(HOLES, "None", usual()).holes == ()


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("a door and a cat", "`a cat` is no door and no window"),
        ("9 windows", "`9 windows` are more than 6"),
        ("window 30 ft x 4 ft", "a window 30 ft wide has no room left in any wall"),
        ("3 windows 5 ft x 4 ft on east", "a window 5 ft wide has no room left in the east wall"),
        ("door 3 ft x 9 ft", "a door 3 ft x 9 ft does not fit the room"),
        ("window 3 ft", "`3 ft` is not width and height"),
        ("window 3 ft x 4 ft on left wall", "`left` is no wall here"),
        ("window 0 ft x 0 ft", "a window 0 in x 0 in does not fit the room"),
    ],
)
def test_no_doors_and_windows(text: str, line: str) -> None:
    """What is none, or does not fit the room, is told."""
    assert said(HOLES, text, usual()).startswith(line)


def test_walls_and_how_high() -> None:
    """Walls by name or all; a height or the ceiling. Tile has a foot as well, panelling begins at the floor."""
    panel, bath = usual("panel wall"), usual("bathroom wall")
    found = answered(PARTS, "North and the east wall up to 52 in", panel)
    assert found.parts == ("north wall", "east wall")
    assert found.band == (0.0, pytest.approx(52 * INCH))
    assert answered(PARTS, "all up to the ceiling", panel).parts == WALLS
    assert answered(PARTS, "all up to the ceiling", panel).band[1] is None
    assert answered(PARTS, "west from 30 in to 5 ft", bath).band == pytest.approx((30 * INCH, 5 * FOOT))
    assert said(PARTS, "left", panel).startswith("`left` is no wall here; known are")
    assert said(PARTS, "up to 4 ft", panel).startswith("no wall is named")
    assert said(PARTS, "north up to 9 ft", panel).startswith("`9 ft` is higher than the room")
    assert said(PARTS, "north up to 4", panel).startswith("`4` has no unit")
    assert said(PARTS, "north from 1 ft up to 4 ft", panel).startswith("panelling begins at the floor")
    assert said(PARTS, "north from 5 ft up to 4 ft", bath).startswith("`north from 5 ft up to 4 ft` is too low")


def test_parts_of_the_room() -> None:
    """One or more of those that the kind of work has."""
    assert answered(PARTS, "trim & walls", usual()).parts == ("walls", "trim")
    assert answered(PARTS, "all", usual()).parts == ("walls", "ceiling", "trim")
    assert answered(PARTS, "none", usual("floor")).parts == ()
    assert said(PARTS, "wals", usual()) == "`wals` is none of these; did you mean `walls`?"
    assert said(PARTS, ",", usual()).startswith("nothing is named")


def test_materials() -> None:
    """By number or by a word that only one has, or only one ends with."""
    floor = usual("floor")
    assert answered(MATERIAL, "oil", floor).material == "penetrating oil"
    assert answered(MATERIAL, "2", floor).material == "oil-modified polyurethane"
    assert answered(MATERIAL, "latex", usual("panel wall")).material == "acrylic latex trim paint"
    bathroom = answered(MATERIAL, "epoxy", usual("bathroom wall"))
    assert "tile: {adhesive: cement-thinset, grout: epoxy-grout," in job_text(bathroom)
    assert said(MATERIAL, "polyurethane", floor) == "`polyurethane` is none of these; write a number from 1 to 4"


def test_colours() -> None:
    """One for each part, with commas; the same one twice is told apart. For a floor, coats are counted."""
    found = answered(COLOURS, "white, white ; soft   green", usual())
    assert found.colours == (("white walls", "walls"), ("white ceiling", "ceiling"), ("soft green", "trim"))
    assert answered(COLOURS, "deep green", usual("panel wall")).colours == (("deep green", "panelling"),)
    assert answered(COLOURS, "none", usual("bathroom wall")).colours == ()
    assert answered(COLOURS, "2", usual("floor")).coats == 2
    assert said(COLOURS, "white", usual()) == (
        "no colour is named for ceiling and trim; write one each for walls, ceiling, trim, with commas; "
        "for all the same: `white everywhere`"
    )
    assert said(COLOURS, "white, , red", usual()).startswith("a colour is missing")
    assert said(COLOURS, "white, red: blue, red", usual()).startswith("`red: blue` holds `:`")
    assert said(COLOURS, f"white, {'x' * 41}, red", usual()).startswith(f"`{'x' * 40}` is too long")
    assert said(COLOURS, "many", usual("floor")) == "`many` is no number of coats; write a number from 1 to 5"


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("Saturday 9:00 to 17:00", [((5,), 540, 1020)]),
        ("sat from 9 am to 5 pm, sun 10:00-16:00", [((5,), 540, 1020), ((6,), 600, 960)]),
        ("weekends 9 to 17; Tuesday and Thursday 18:30 until 21:00", [((5, 6), 540, 1020), ((1, 3), 1110, 1260)]),
        ("Mon-Fri 18–21, and Saturday noon to 5 pm", [((0, 1, 2, 3, 4), 1080, 1260), ((5,), 720, 1020)]),
        ("friday to sunday 9:00 to 12:00", [((4, 5, 6), 540, 720)]),
    ],
)
def test_hours(text: str, hours: list[tuple[tuple[int, ...], int, int]]) -> None:
    """Days and hours as people write them; Monday is 0, minutes of the day."""
    assert [(each.days, each.start, each.end) for each in answered(HOURS, text, usual()).hours] == hours


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("whenever", "`whenever` is no day with its hours; write it such as `Saturday 9:00 to 17:00"),
        ("9:00 to 17:00", "`9:00 to 17:00` is no day with its hours"),
        ("Saturday 9 to 5", "`9` leaves open which half of the day"),
        ("Saterday 9:00 to 17:00", "`saterday` is no day of the week; did you mean `Saturday`?"),
        ("Saturday 9:00 to 9:30", "`9:00 to 9:30` is less than an hour"),
        ("Saturday 17:00 to 9:00", "`17:00 to 9:00` ends before it begins"),
        ("Saturday 25:00 to 26:00", "`25:00` is no time of day"),
        ("weekends 9:00 to 17:00, Saturday 10:00 to 12:00", "Saturday is there twice"),
        (",", "`,` is no day with its hours"),
    ],
)
def test_no_hours(text: str, line: str) -> None:
    """What is no hours is told with what would be."""
    assert said(HOURS, text, usual()).startswith(line)


def test_people() -> None:
    """So many on all days, or others on some; a stretch is split where its days differ."""
    so_far = answered(HOURS, "weekends 9:00 to 17:00, Tuesday 18:00 to 21:00", usual())
    found = answered(PEOPLE, "1, 2 on Saturday", so_far)
    assert [(each.days, each.people) for each in found.hours] == [((5,), 2), ((6,), 1), ((1,), 1)]
    assert not found.alone
    assert answered(PEOPLE, "one, two on Saturday", so_far) == found
    assert answered(PEOPLE, "1", so_far).alone
    assert [each.people for each in answered(PEOPLE, "3 people", so_far).hours] == [3, 3]
    assert said(PEOPLE, "lots", so_far).startswith("`lots` is no number of people")
    assert said(PEOPLE, "0", so_far).startswith("`0` is no number of people here")
    assert said(PEOPLE, "2 on Monday", so_far) == (
        "there are no hours on Monday; name one of Tuesday, Saturday, Sunday"
    )


def test_what_is_on_order() -> None:
    """A name and a day, or how far away it is."""
    found = answered(
        ORDER, "wall tiles 2027-01-20; grout in 2 weeks, sealant comes in 10 days", usual("bathroom wall")
    )
    assert found.order == (
        ("wall tiles", date(2027, 1, 20)),
        ("grout", date(2026, 12, 15)),
        ("sealant", date(2026, 12, 11)),
    )
    assert answered(ORDER, "nothing", found).order == ()
    assert said(ORDER, "tiles", found) == (
        "`tiles` does not say when it comes; write it such as `tiles 2026-12-15` or `tiles in 2 weeks`"
    )
    assert said(ORDER, "tiles 2026-11-30", found).startswith("`2026-11-30` has passed")
    assert said(ORDER, "tiles 2027-02-30", found).startswith("`2027-02-30` is no day of the calendar")
    assert answered(ORDER, "tiles 1/5/2027", found).order == (("tiles", date(2027, 1, 5)),), "the US way"
    elsewhere = replace(found, us=False)
    assert said(ORDER, "tiles 1/5/2027", elsewhere).startswith("`1/5/2027` leaves open which number is the day")
    assert said(ORDER, "tiles in 3 months", found).startswith("a month has no fixed length")


def test_when_to_start() -> None:
    """A day, or a word for one; Enter is the next day with hours after today, a Tuesday."""
    so_far = answered(HOURS, "Tuesday 18:00 to 21:00, Saturday 9:00 to 17:00", usual())
    assert answered(START, "", so_far).start == date(2026, 12, 5)
    assert answered(START, "tomorrow", so_far).start == date(2026, 12, 2)
    assert answered(START, "next Tuesday", so_far).start == date(2026, 12, 8)
    assert answered(START, "2027-01-09", so_far).start == date(2027, 1, 9)
    assert said(START, "2026-11-30", so_far) == "`2026-11-30` has passed; write a day from 2026-12-01 on"
    assert said(START, "2062-01-09", so_far).startswith("`2062-01-09` is more than two years away")
    assert said(START, "soon", so_far).startswith("`soon` is no day; write it such as")


@pytest.mark.parametrize(
    ("folder", "room"),
    [
        ("back-bedroom", "back bedroom"),
        ("Küche_2", "Küche 2"),
        ("walls", "spare room"),  # a part of every room is called so
        ("white", "spare room"),  # a colour of this job
        ("repaint", "spare room"),  # what is done in it
        ("bathroom-wall", "spare room"),
        ("bathroom", "bathroom"),
        ("2027 job", "spare room"),
        ("a:b", "spare room"),
        ("", "spare room"),
        ("x" * 60, "spare room"),
        ("\u0430ttic", "spare room"),  # a Cyrillic letter among Latin ones
    ],
)
def test_the_room_is_called_like_its_folder(folder: str, room: str) -> None:
    """Unless a file could not hold that name, or something else in it is called so."""
    assert named(replace(usual(), room=folder)).room == room


def test_parts_of_the_day_stand_for_their_usual_hours() -> None:
    """Half past six to nine of an evening, nine to noon of a morning (common practice, no source)."""
    found = answered(HOURS, "weekday evenings, Saturday morning", usual()).hours
    assert [(each.days, each.start, each.end) for each in found] == [
        ((0, 1, 2, 3, 4), 18 * 60 + 30, 21 * 60),
        ((5,), 9 * 60, 12 * 60),
    ]
    both = answered(HOURS, "weekday evenings, Saturday 10 am to 4 pm", usual()).hours
    assert [(each.days, each.start, each.end) for each in both] == [((0, 1, 2, 3, 4), 1110, 1260), ((5,), 600, 960)]
    assert [each.days for each in answered(HOURS, "evenings", usual()).hours] == [(0, 1, 2, 3, 4)]
    (told,) = answered(HOURS, "weekday evenings 19:00 to 21:30", usual()).hours
    assert (told.days, told.start, told.end) == ((0, 1, 2, 3, 4), 19 * 60, 21 * 60 + 30)


@pytest.mark.parametrize("text", ["7 January 2027", "7 Jan 2027", "January 7, 2027", "jan 7", "7th january"])
def test_a_day_as_people_write_it(text: str) -> None:
    assert answered(START, text, usual()).start == date(2027, 1, 7)


def test_an_order_that_comes_on_a_day_as_people_write_it() -> None:
    assert answered(ORDER, "tiles 7 January 2027, paint in 2 weeks", usual()).order == (
        ("tiles", date(2027, 1, 7)),
        ("paint", date(2026, 12, 15)),
    )
    assert "30 february" in said(START, "30 February 2027", usual()).lower()


def test_when_it_is_to_be_quiet() -> None:
    assert "quiet hours: {on: every day, from: 19:00, to: 8:00}" in job_text(
        answered(QUIET, "19:00 to 8:00", usual())
    )
    assert "\n# quiet hours" in job_text(answered(QUIET, "none", usual()))
    assert "is no stretch of the day" in said(QUIET, "at night", usual())


def test_the_zone_and_the_name_of_the_room_are_asked_for() -> None:
    assert answered(ZONE, "Europe/Vienna", usual()).zone == "Europe/Vienna"
    assert "did you mean `Europe/Vienna`" in said(ZONE, "Europe/Viena", usual())
    assert named(answered(ROOM, "attic", usual())).room == "attic"
    assert "is no name for a room here" in said(ROOM, "walls", usual())
