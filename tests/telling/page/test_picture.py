"""The picture says what the plan says: every place in it follows from a minute of the plan."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from scheduler.model.page import PageFacts
from scheduler.model.plan import Plan
from scheduler.telling.page.dates import LocalFace
from scheduler.telling.page.picture.axis import Axis
from scheduler.telling.page.picture.drawing import close_up, whole
from scheduler.telling.page.picture.shapes import Box, Picture
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.views.index import Book
from scheduler.wallclock import to_datetime
from tests.support.plans import NEW_YORK, after, at, film, hobby_room, plan, step
from tests.telling.page.pages import SIZES, crowded


def face_of(made: Plan) -> LocalFace:
    return LocalFace(ZoneInfo(made.zone), made.clock24, "en")


def drawn(made: Plan, facts: PageFacts | None = None) -> Picture:
    return close_up(Book(made), facts or PageFacts(), Tongue(face_of(made)))


def axis(first: date, last: date) -> Axis:
    face = LocalFace(ZoneInfo(NEW_YORK), True, "en")
    return Axis(face, first, last, {first}, work=240.0, idle=24.0)


def test_time_runs_evenly_within_a_day() -> None:
    """A day with work is 240 wide: 6 o'clock is at 60, noon at 120; the next day is 24 wide: noon at 240 + 12."""
    found = axis(date(2027, 1, 9), date(2027, 1, 10))
    assert [found.x(at(f"2027-01-09 {clock}")) for clock in ("00:00", "06:00", "12:00")] == [0, 60, 120]
    assert found.x(at("2027-01-10 12:00")) == 252


def test_a_day_of_23_hours_is_as_wide_as_any_other() -> None:
    """Clocks go forward on 14 March 2027 in New York: 13:30 is 12.5 of 23 hours after midnight."""
    found = axis(date(2027, 3, 14), date(2027, 3, 15))
    assert found.x(at("2027-03-14 13:30")) == pytest.approx(240 * 12.5 / 23)
    assert found.width == 264


def test_a_later_moment_is_never_further_left() -> None:
    found = axis(date(2027, 3, 13), date(2027, 3, 16))
    places = [found.x(minute) for minute in range(found.span.start - 60, found.span.end + 60, 7)]
    assert all(one <= other for one, other in pairwise(places))


def test_a_film_begins_where_the_step_ends_and_is_marked_where_it_reaches_a_stage() -> None:
    """The primer of the small plan: laid by 16:40, touch 18:20, recoat 06:40 the next day.

    It is cured on 30 January, after the last day of the picture: that is said at the edge.
    """
    made = hobby_room()
    found = drawn(made)
    band = next(band for band in found.bands if band.step == "prime-the-walls")
    assert band.drop[0] == found.axis.x(at("2027-01-16 16:40"))
    places = [tick.x for tick in band.ticks]
    assert places == [found.axis.x(at(text)) for text in ("2027-01-16 18:20", "2027-01-17 06:40")]
    assert [label.lines for label in band.labels] == [("T",), ("R 06:40",), ("F Sat 30 Jan",)]


def test_a_tail_never_grows() -> None:
    """From stage to stage a film is drawn thinner, in black and white as well as in colour."""
    for count in SIZES:
        for band in drawn(*crowded(count)).bands:
            thick = [height for part in band.parts for height in _heights(part.points)]
            assert all(one >= other for one, other in pairwise(thick)), band.title


def _heights(points: tuple[tuple[float, float], ...]) -> tuple[float, float]:
    (_, up), (_, end_up), (_, end_down), (_, down) = points
    return round(down - up, 6), round(end_down - end_up, 6)


@pytest.mark.parametrize("count", SIZES)
def test_work_is_drawn_inside_its_hours_and_as_long_as_it_takes(count: int) -> None:
    """A piece lies inside a tube, as high as its share of the clock at the left; two at work side by side."""
    made, facts = crowded(count)
    found = drawn(made, facts)
    per_minute = _per_minute(made, found)
    assert len(found.blocks) == count
    for block in found.blocks:
        inside = [
            tube
            for tube in found.tubes
            if tube.box.x <= block.box.x + 1e-6
            and block.box.x + block.box.width <= tube.box.x + tube.box.width + 1e-6
            and tube.box.y <= block.box.y + 1e-6
            and block.box.y + block.box.height <= tube.box.y + tube.box.height + 1e-6
        ]
        assert len(inside) == 1, block.title
        labour = made.step(block.step).labour
        assert block.box.height == pytest.approx(max(labour * per_minute, 2.5), abs=0.01)
    for i, one in enumerate(found.blocks):
        assert not any(_overlap(one.box, other.box) for other in found.blocks[i + 1 :]), one.title


def _per_minute(made: Plan, found: Picture) -> float:
    """Pixels per minute: down the part run whole hours, from the earliest that anybody works to the latest."""
    clocks = [to_datetime(minute, ZoneInfo(made.zone)) for w in made.windows for minute in (w.start, w.end)]
    first, last = min(c.hour for c in clocks), max(c.hour + (c.minute > 0) for c in clocks)
    return found.hours.height / (last - first) / 60


def _overlap(one: Box, other: Box) -> bool:
    across = min(one.x + one.width, other.x + other.width) - max(one.x, other.x)
    down = min(one.y + one.height, other.y + other.height) - max(one.y, other.y)
    return across > 0.1 and down > 0.1


def test_the_thread_goes_down_into_the_film_that_was_waited_for() -> None:
    """Primed by 16:40 on Saturday, recoated at 09:00 on Sunday, fit for it since 06:40: the thread dives."""
    prime = step(
        "prime", "2027-01-16 14:00 16:40", film=film({"touch": "2027-01-16 18:20", "recoat": "2027-01-17 06:40"})
    )
    coat = step(
        "coat", "2027-01-17 09:00 11:00", holder="prime", after=(after("prime", "recoat", "2027-01-17 06:40"),)
    )
    found = drawn(plan(prime, coat))
    row = found.bands[0].drop[1]
    (dive,) = [
        strand for strand in found.thread if strand.kind == "film" and (found.bands[0].drop[0], row) in strand.points
    ]
    assert (found.axis.x(at("2027-01-17 06:40")), row) in dive.points
    assert [strand.kind for strand in found.thread] == ["hands", "hands", "film", "hours"]


def test_a_plan_without_a_film_has_no_dive() -> None:
    one = step("one", "2027-01-16 09:00 10:00")
    two = step("two", "2027-01-16 10:00 11:00", holder="one")
    found = drawn(plan(one, two))
    assert found.bands == ()
    assert {strand.kind for strand in found.thread} == {"hands"}


def test_a_delivery_stands_on_its_day() -> None:
    made = hobby_room()
    found = drawn(made)
    (flag,) = [flag for flag in found.flags if flag.kind == "delivery"]
    column = found.axis.of_day(date(2027, 1, 22))
    assert column is not None
    assert column.x <= flag.x < column.x + column.width
    assert flag.label.lines == ("Doors, two, primed",)


def test_nights_are_shaded_from_eight_to_eight_where_no_room_says_otherwise() -> None:
    """Each day has its morning and its evening: two spans of night, 8 and 4 of its 24 hours."""
    found = drawn(hobby_room())
    for column, (morning, evening) in zip(
        found.axis.days, zip(found.nights[::2], found.nights[1::2], strict=True), strict=True
    ):
        assert morning.width == pytest.approx(column.width * 8 / 24)
        assert evening.width == pytest.approx(column.width * 4 / 24)


def test_the_whole_job_is_one_sheet_wide() -> None:
    """However long a job of up to 120 steps is, its overview is no wider than the sheet it is made for."""
    for count in SIZES:
        made, facts = crowded(count)
        found = whole(Book(made), facts, Tongue(face_of(made)))
        assert found.scale.pane + found.width <= 1181


def test_a_plan_of_nothing_is_drawn_as_nothing() -> None:
    found = drawn(plan())
    assert not (found.blocks or found.bands or found.thread)


def test_a_film_that_never_cures_stays_thick_to_the_edge() -> None:
    """A film without a full cure within the horizon ends at the last day, thicker than one that is cured."""
    wet = step("wet", "2027-01-16 09:00 10:00", film=film({"touch": "2027-01-16 11:00"}))
    found = drawn(plan(wet))
    *_, end = [height for part in found.bands[0].parts for height in _heights(part.points)]
    assert found.bands[0].parts[-1].points[1][0] == found.axis.width
    assert end > 0
