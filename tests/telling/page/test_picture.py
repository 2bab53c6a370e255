"""The picture says what the plan says: every place in it follows from a minute of the plan."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from itertools import pairwise
from textwrap import indent
from zoneinfo import ZoneInfo

import pytest

from scheduler.model.asides import Asides
from scheduler.model.facts import Facts
from scheduler.model.message import message
from scheduler.model.page import DaysAway, PageFacts
from scheduler.model.plan import Plan, PlannedVisit
from scheduler.pipeline import make_plan
from scheduler.reading.jobfile import read_job_text
from scheduler.reading.profiles import named_in, read_trade
from scheduler.telling.dates import LocalFace
from scheduler.telling.page import page
from scheduler.telling.page.picture.across import PANE, across
from scheduler.telling.page.picture.axis import Axis, folded, lines
from scheduler.telling.page.picture.down import down
from scheduler.telling.page.picture.scene import MOST, Scene
from scheduler.telling.page.picture.shapes import Drawing, zigzag
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.page.wall import wall
from scheduler.telling.views.index import Book
from scheduler.telling.views.layers import surfaces
from tests.support.plans import NEW_YORK, after, at, film, hobby_room, item, plan, step
from tests.telling.page.pages import SIZES, crowded, example

HEAD = """\
job: Fronts
start: 2027-04-05
zone: Europe/Vienna
hours: {on: every day, from: 9:00, to: 17:00}
rooms: {garage: {air: {day: 18 °C, night: 15 °C, humidity: 55 %}}}
steps:
"""
FACE = LocalFace(ZoneInfo(NEW_YORK), True, "en")


def scene_of(made: Plan, facts: PageFacts | None = None) -> Scene:
    return Scene(Book(made), facts or PageFacts(), Tongue(LocalFace(ZoneInfo(made.zone), made.clock24, "en")))


def drawn(made: Plan, facts: PageFacts | None = None) -> Drawing:
    """The first line of the picture across."""
    return across(scene_of(made, facts))[0]


def said(drawing: Drawing) -> list[str]:
    return [text.said for text in drawing.texts]


def boxes(drawing: Drawing, kind: str) -> list[tuple[float, ...]]:
    """(left, top, width, height) of the rectangles of a kind."""
    path = dict(drawing.paths).get(kind, "")
    return [tuple(map(float, found)) for found in re.findall(r"M([-\d.]+) ([-\d.]+)h([-\d.]+)v([-\d.]+)h", path)]


def axis(*days: tuple[date, int], size: float = 240.0) -> Axis:
    return Axis(FACE, days, 0.0, size)


def test_time_runs_evenly_within_a_day() -> None:
    """A day is 240 wide: 6 o'clock is at 60, noon at 120; noon of the next day is at 360."""
    found = axis((date(2027, 1, 9), 1), (date(2027, 1, 10), 1))
    places = [found.place(at(f"2027-01-{clock}")) for clock in ("09 00:00", "09 06:00", "09 12:00", "10 12:00")]
    assert places == [0, 60, 120, 360]


def test_a_day_of_23_hours_is_as_long_as_any_other() -> None:
    """Clocks go forward on 14 March 2027 in New York: 13:30 is 12.5 of 23 hours after midnight."""
    found = axis((date(2027, 3, 14), 1), (date(2027, 3, 15), 1))
    assert found.place(at("2027-03-14 13:30")) == pytest.approx(240 * 12.5 / 23)
    assert found.until == 480


def test_in_a_fold_time_keeps_its_order() -> None:
    """Five days in one place of 240: the third noon is in its middle; a later moment is never further left."""
    found = axis((date(2027, 3, 12), 1), (date(2027, 3, 13), 5), (date(2027, 3, 18), 1))
    places = [found.place(minute) for minute in range(found.start - 60, found.end + 60, 7)]
    assert all(one <= other for one, other in pairwise(places))
    assert found.place(at("2027-03-15 12:00")) == pytest.approx(240 + 120, abs=2)


def test_days_on_which_nothing_happens_are_folded_from_two_on() -> None:
    """Work on 9, 11 and 14 January: the 10th stands alone, the 12th and 13th are one fold."""
    busy = {date(2027, 1, day) for day in (9, 11, 14)}
    found = list(folded(date(2027, 1, 9), date(2027, 1, 14), busy))
    assert [(day.day, days) for day, days in found] == [(9, 1), (10, 1), (11, 1), (12, 2), (14, 1)]


def test_a_long_job_goes_on_in_the_next_line() -> None:
    """Ten days at four a line are three lines of four, four and two."""
    days = [(date(2027, 1, day), 1) for day in range(9, 19)]
    found = lines(FACE, days, 4, 0.0, lambda count: 100.0 / count)
    assert [len(each.cells) for each in found] == [4, 4, 2]
    assert [one.end for one in found][:-1] == [one.start for one in found][1:]


def test_coats_of_one_surface_stack_and_a_film_on_two_lies_on_both() -> None:
    """Of the hobby room: the primer lies on walls, panelling and window; told once, and named on the other two."""
    found = {each.title: each.layers for each in surfaces(Book(example("hobby-room")[0]))}
    assert next(iter(found)) == "doorway", "the surface that holds up the end stands first"
    titles = [layer.step.id for layer in found["panelling"]]
    assert titles[-3:] == ["undercoat-prime", "moss-green-coat-1", "moss-green-coat-2"]
    primed = [layer.shared for each in found.values() for layer in each if layer.step.id == "undercoat-prime"]
    assert sorted(primed) == [False, True, True]


def test_films_of_a_job_that_names_no_surface_stack_where_one_covers_the_other() -> None:
    """Primer, coat 1 and coat 2 of the A faces are one stack, called by what they share."""
    text = HEAD + indent(
        """\
A faces, primer: {work: 45 min, lays: acrylic-bonding-primer}
A faces, coat 1: {work: 45 min, lays: waterborne-alkyd-enamel, follows: {"A faces, primer": recoat}}
A faces, coat 2: {work: 45 min, lays: waterborne-alkyd-enamel, follows: {"A faces, coat 1": recoat}}
B faces, primer: {work: 45 min, lays: acrylic-bonding-primer}
""",
        "  ",
    )
    job = read_job_text(text, "job.yaml")
    made = make_plan(job, read_trade(None, named_in(job)), Facts(now=job.start)).plan
    found = {each.title: [layer.step.id for layer in each.layers] for each in surfaces(Book(made))}
    assert {title: len(layers) for title, layers in found.items()} == {"A faces": 3, "B faces, primer": 1}


def test_the_fronts_of_a_kitchen_stack_by_batch_and_side() -> None:
    """Each batch has its backs and its faces, with primer and two coats on each of them."""
    found = {each.title: each.layers for each in surfaces(Book(example("kitchen-fronts")[0]))}
    batches = {f"fronts ({batch}), {side}": 3 for batch in ("1 to 9", "10 to 18") for side in ("backs", "faces")}
    assert {title: len(layers) for title, layers in found.items()} == {"fronts": 1, **batches}


def primed() -> Plan:
    """Primed by 16:40 on Saturday: hands off until 18:20, next on it from Sunday 06:40 (a coat, at 09:00)."""
    stages = {"touch": "2027-01-16 18:20", "recoat": "2027-01-17 06:40", "use": "2027-01-18 12:00"}
    prime = step("prime", "2027-01-16 14:00 16:40", film=film(stages, surfaces=("walls",)))
    first = film({"touch": "2027-01-17 12:00"}, surfaces=("walls",))
    link = after("prime", "recoat", "2027-01-17 06:40")
    coat = step("coat", "2027-01-17 09:00 11:00", holder="prime", after=(link,), film=first)
    return plan(prime, coat)


def test_a_film_is_thick_until_hands_may_touch_it_and_thinner_from_stage_to_stage() -> None:
    """Three widths between four moments, each true to its minute: width tells the state, without any colour."""
    made = primed()
    scene = scene_of(made)
    days, _ = scene.days()
    (line,) = lines(scene.face, days, 27, PANE, lambda count: min(72.0, (1180 - PANE) / count))
    moments = ("2027-01-16 16:40", "2027-01-16 18:20", "2027-01-17 06:40", "2027-01-18 12:00")
    laid, off, goes_on, used = (line.place(at(moment)) for moment in moments)
    found = drawn(made)
    wanted = {"off": (laid, off), "dries": (off, goes_on), "thin": (goes_on, used), "hard": (used, line.until)}
    thick = []
    for kind, (left, right) in wanted.items():
        mine = [box for box in boxes(found, kind) if box[0] == pytest.approx(left, abs=0.06)]
        assert mine and mine[0][2] == pytest.approx(right - left, abs=0.11), kind
        thick.append(mine[0][3])
    assert all(one > other for one, other in pairwise(thick))


def test_the_three_marks_stand_with_their_times_beside_the_film() -> None:
    """On the day itself the time alone, in the same week with the weekday."""
    words = said(drawn(primed()))
    at_name = words.index("Prime")
    assert words[at_name : at_name + 4] == ["Prime", "18:20", "Sun 06:40", "Mon 12:00"]


def test_a_film_that_is_laid_is_a_full_drop_and_one_to_come_a_hollow_one() -> None:
    made = primed()
    assert {"drop", "laid"} & set(dict(drawn(made).paths)) == {"drop"}
    steps = tuple(replace(each, state="done") if each.id == "prime" else each for each in made.steps)
    half = replace(made, steps=steps, as_of=at("2027-01-16 17:00"))
    assert {"drop", "laid"} <= set(dict(drawn(half).paths))
    assert "now" in said(drawn(half))


def test_the_numbers_of_the_stops_are_those_of_the_text() -> None:
    """On the picture across, on the one down, and in the list below them: each once, and no other."""
    made, facts = example("hobby-room")
    scene = scene_of(made, facts)
    numbers = [str(stop.number) for stop in scene.stops]
    for lines_of in (across(scene), down(scene)):
        assert [text.said for each in lines_of for text in each.texts if text.kind == "number"] == numbers
    listed = re.findall(r'<span class="stopnum">(\d+)</span> <span>(?:<a[^>]*>|<b>)([^<]*)', page(made, facts))
    assert listed == [(str(stop.number), stop.step.title) for stop in scene.stops]


def test_a_stop_stands_at_the_foot_of_the_film_that_had_to_dry() -> None:
    """The coat waits for the primer: stop 2 stands just below the primer's film, at 09:00 on Sunday."""
    found = drawn(primed())
    prime = max(boxes(found, "off"), key=lambda box: box[1])
    one, two = (text for text in found.texts if text.kind == "number")
    assert (one.said, two.said) == ("1", "2")
    assert prime[1] < two.y < prime[1] + 25
    assert one.y > two.y, "before any film the line runs on the bare ground"


def test_a_surface_whose_parts_have_not_come_is_dotted_until_they_do() -> None:
    """Doors expected on Friday 22 January: the ground is dotted until then, and says what comes."""
    doors = item("doors", title="Doors", expected=date(2027, 1, 22), holds=("hang",))
    held = message("held.delivery", item="doors", day=at("2027-01-22 00:00"))
    hang = step("hang", "2027-01-23 09:00 10:00", needs=("doors",), held=held)
    link = after("hang", "end", "2027-01-23 10:00")
    laid = film({"touch": "2027-01-23 14:00"}, surfaces=("doors",))
    paint = step("paint", "2027-01-23 11:00 12:00", after=(link,), film=laid, holder="hang")
    other = step("other", "2027-01-16 09:00 10:00")
    found = drawn(plan(other, hang, paint, items=(doors,)))
    assert "awaited" in dict(found.paths)
    assert "Doors: Fri 22 Jan" in said(found)


def test_what_is_promised_and_what_is_to_be_ordered_stand_on_their_days() -> None:
    made = hobby_room()
    facts = PageFacts(asides=Asides(promised=date(2027, 1, 17)))
    words = said(drawn(replace(made, as_of=at("2027-01-07 09:00")), facts))
    assert "promised: Sun 17 Jan" in words
    assert any(each.startswith("done Sat 23 Jan, 12:00") for each in words)


def test_in_the_middle_of_a_job_the_picture_begins_with_the_last_work() -> None:
    """After Saturday's work what lay before it is no more than a count of hard layers."""
    made = primed()
    early = step(
        "fill", "2027-01-09 09:00 10:00", state="done", film=film({"touch": "2027-01-09 11:00"}, surfaces=("walls",))
    )
    steps = (early, *(replace(each, state="done") if each.id == "prime" else each for each in made.steps))
    half = replace(plan(*steps), as_of=at("2027-01-16 17:00"))
    words = said(drawn(half))
    assert "1 layer below, hard" in words
    assert "9" not in words


@pytest.mark.long
def test_a_job_of_years_is_drawn_until_a_day_and_the_rest_is_told_in_lines() -> None:
    """2,000 steps: so many days and folds, the rest a line a session; the page stays below 1.5 MB."""
    made, facts = crowded(2000)
    days, left = scene_of(made, facts).days()
    assert len(days) == MOST and left is not None
    text = page(made, facts)
    assert "Drawn until here" in text
    assert text.count('class="brief"') > 100
    assert len(text.encode()) < 1_500_000
    assert len(set(re.findall(r'id="(s\d+)"', text))) == 2000, "every step has its place"


@pytest.mark.parametrize("count", SIZES)
def test_nothing_is_drawn_outside_its_picture(count: int) -> None:
    scene = scene_of(*crowded(count))
    for drawing in (*across(scene), *down(scene)):
        assert all(-3 <= text.x <= drawing.width and 0 < text.y <= drawing.height for text in drawing.texts)
        for kind, _ in drawing.paths:
            for left, top, wide, high in boxes(drawing, kind):
                assert left >= -3 and top >= 0 and left + wide <= drawing.width + 3, kind
                assert top + high <= drawing.height + 1, kind


def test_a_torn_edge_ends_where_it_should() -> None:
    """20 down in steps of 5: four turns to and fro of 5 along and 5 across, beginning 2.5 to the left."""
    assert zigzag((10, 0), (10, 20)) == "M7.5 0l5 5 -5 5 5 5 -5 5"


def test_a_plan_of_nothing_is_drawn_as_nothing() -> None:
    assert '<figure class="across"' not in page(plan())


def test_a_stack_is_called_by_what_its_titles_share_up_to_a_comma() -> None:
    """`Bench: varnish, coat 1` and `coat 2` are a stack on `Bench: varnish`; a film alone keeps its title."""
    one = step(
        "one", "2027-01-16 09:00 10:00", title="Bench: varnish, coat 1", film=film({"recoat": "2027-01-16 12:00"})
    )
    link = after("one", "recoat", "2027-01-16 12:00")
    two = step("two", "2027-01-16 13:00 14:00", title="Bench: varnish, coat 2", film=film({}), after=(link,))
    other = step("other", "2027-01-16 15:00 16:00", title="Shelf, oiled", film=film({}))
    assert {each.title for each in surfaces(Book(plan(one, two, other)))} == {"Bench: varnish", "Shelf, oiled"}


VISIT = PlannedVisit(
    appointment="fitters",
    title="carpet fitters",
    start=at("2027-01-21 08:00"),
    end=at("2027-01-21 16:00"),
    rooms=("hobby",),
    ready=at("2027-01-20 08:00"),
    kept=True,
)
AWAY = PageFacts(away=(DaysAway(first=date(2027, 1, 18), last=date(2027, 1, 19), reason="wedding"),))


def test_who_comes_and_days_away_are_drawn_at_their_time_with_their_words() -> None:
    """Across: a crossed box from 8 to 16 o'clock, a third of a day wide, and a line over two days with a bar at each
    end; down: the same, with the words at the right. Both stand in the list for whom the picture is a table."""
    made = replace(hobby_room(), visits=(VISIT,))
    scene = scene_of(made, AWAY)
    found = across(scene)[0]
    found_axis = lines(scene.face, scene.days()[0], 27, PANE, lambda n: min(72.0, (1180 - PANE) / n))[0]
    ((left, _, wide, _),) = boxes(found, "visit")
    assert left == pytest.approx(found_axis.place(VISIT.start), abs=0.1)
    assert wide == pytest.approx(found_axis.cells[0].size / 3, abs=0.1)
    begin, end = (found_axis.place(at(f"2027-01-{day} 00:00")) for day in (18, 20))
    ends = [float(x) for x in re.findall(r"([\d.]+) [\d.]+", dict(found.paths)["away"])]
    assert (min(ends), max(ends)) == (pytest.approx(begin, abs=0.1), pytest.approx(end, abs=0.1))
    assert "carpet fitters 08:00–16:00 (Hobby room)" in said(found)
    assert "Mon 18 Jan – Tue 19 Jan (wedding)" in said(found)
    words = " ".join(said(down(scene)[0]))
    assert "carpet fitters 08:00–16:00 (Hobby room)" in words
    assert "away: Mon 18 Jan – Tue 19 Jan (wedding)" in words
    assert scene.beside() == (
        "carpet fitters: Thursday 21 January, 08:00–16:00 (Hobby room)",
        "away: Mon 18 Jan – Tue 19 Jan (wedding)",
    )


def test_the_sheet_of_the_whole_job_names_who_comes_and_days_away_where_they_lie() -> None:
    """In the order of time: between the sessions of Sunday, of Wednesday and of Saturday."""
    made = replace(hobby_room(), visits=(VISIT,))
    face = LocalFace(ZoneInfo(made.zone), made.clock24, "en")
    (rows,) = wall(Book(made), AWAY, face, Tongue(face)).whole
    told = [row.idle or f"{row.day} {row.what}" for row in rows]
    shown = [each for each in told if not each.startswith("no work")]
    assert shown[-4:-1] == [
        "away: Mon 18 Jan – Tue 19 Jan (wedding)",
        "Wed 20 Jan Put up the shelves",
        "Thu 21 Jan Who comes: carpet fitters (Hobby room)",
    ]
    assert shown[-1].startswith("Sat 23 Jan")
