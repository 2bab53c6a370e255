"""What has happened may have broken a rule of the trade: each rule once kept and once broken, by hand.

Every case is a handful of tasks of an hour in one room from 9 January 2027 on. The film of the test paint is free of
dust 2 h after its end, ready for the next coat 4 h after it, and may be taped over a day after it (`builders`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from types import MappingProxyType
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from scheduler.drying.clocks import film_clocks
from scheduler.model.basics import Span
from scheduler.model.broken import PastBreak
from scheduler.model.clock import FilmClocks
from scheduler.model.facts import Facts
from scheduler.model.graph import Choice, ColourOrder, Film, Link, Task, TaskGraph
from scheduler.model.job import Item
from scheduler.model.message import as_written
from scheduler.planning.past_rules import past_breaks
from tests.support.builders import HOUR, graph, link, local, minute, room, task, trade

UTC = ZoneInfo("UTC")
AHEAD = Span(minute("2027-01-01"), minute("2027-06-01"))


def coat(name: str, **more: Any) -> Task:
    return task(name, wet=True, film=Film(material="paint", coat=1, ratio=1.0, room="room"), **more)


def at(text: str) -> int:
    """The minute of "9:30" on 9 January, or of "10 9:30" on the tenth."""
    day, _, time = f"9 {text}".rpartition(" ")
    return minute(f"2027-01-{int(day.split()[-1]):02} {time}")


def span(text: str) -> Span:
    start, _, end = text.partition(" to ")
    return Span(at(start), at(end))


def broke(
    tasks: Iterable[Task],
    links: Iterable[Link] = (),
    *,
    done: Mapping[str, str],
    begun: Mapping[str, str] | None = None,
    items: tuple[Item, ...] = (),
    fit: tuple[Span, ...] | None = None,
    **more: Any,
) -> list[PastBreak]:
    """What is broken where these tasks were done, or begun, at these times."""
    whole: TaskGraph = graph(tasks, links, **more)
    facts = Facts(
        now=at("20 0:00"),
        done={name: (span(text),) for name, text in done.items()},
        begun={name: ((span(text),), 30) for name, text in (begun or {}).items()},
    )
    films: Mapping[str, FilmClocks] = film_clocks(whole, (room(),), trade(), UTC, AHEAD, metric=True)
    if fit is not None:
        films = MappingProxyType({name: replace(clocks, fit=fit) for name, clocks in films.items()})
    return list(past_breaks(whole, facts, films, items, UTC))


def rules(found: list[PastBreak]) -> list[tuple[str, str, str]]:
    return [(each.rule, each.step, each.other) for each in found]


PRIMER_AND_COAT = [coat("primer"), coat("coat")]


@pytest.mark.parametrize(
    ("coated", "found"),
    [("14:00 to 15:00", []), ("13:59 to 14:59", ["stage not reached"]), ("10:45 to 11:45", ["stage not reached"])],
)
def test_a_coat_before_the_film_under_it_is_ready_breaks_a_rule(coated: str, found: list[str]) -> None:
    """Primed by 10:00, ready for the next coat 4 h on: at 14:00."""
    links = [link("primer", "coat", "recoat")]
    broken = broke(PRIMER_AND_COAT, links, done={"primer": "9:00 to 10:00", "coat": coated})
    assert [each.rule for each in broken] == found


def test_it_is_said_from_when_it_would_have_been_right_and_when_to_go_on() -> None:
    """Right from 14:00 on. Laid until 11:45, the coat itself is ready at 15:45: only then is the pair of them."""
    links = [link("primer", "coat", "recoat")]
    (each,) = broke(PRIMER_AND_COAT, links, done={"primer": "9:00 to 10:00", "coat": "10:45 to 11:45"})
    assert (each.step, each.other, each.stage) == ("coat", "primer", "recoat")
    moments = [local(moment or 0)[11:] for moment in (each.began, each.since, each.right, each.dry)]
    assert moments == ["10:45", "10:00", "14:00", "15:45"]


def test_a_step_under_way_is_judged_by_when_it_was_begun() -> None:
    links = [link("primer", "coat", "recoat")]
    broken = broke(PRIMER_AND_COAT, links, done={"primer": "9:00 to 10:00"}, begun={"coat": "10:45 to 11:00"})
    assert rules(broken) == [("stage not reached", "coat", "primer")]


def test_what_is_still_ahead_breaks_nothing() -> None:
    """Nothing of the coat is recorded: that is the plan's affair."""
    assert broke(PRIMER_AND_COAT, [link("primer", "coat", "recoat")], done={"primer": "9:00 to 10:00"}) == []


@pytest.mark.parametrize(("begun", "found"), [("12:00 to 13:00", []), ("11:59 to 12:59", ["wait not kept"])])
def test_a_wait_that_was_not_kept_is_told(begun: str, found: list[str]) -> None:
    """Two hours after 10:00."""
    links = [link("mix", "pour", wait=2 * HOUR)]
    broken = broke([task("mix"), task("pour")], links, done={"mix": "9:00 to 10:00", "pour": begun})
    assert [each.rule for each in broken] == found


@pytest.mark.parametrize(("begun", "found"), [("10:30 to 11:30", []), ("10:31 to 11:31", ["missed window"])])
def test_a_window_that_was_missed_is_told(begun: str, found: list[str]) -> None:
    """Within half an hour of 10:00."""
    links = [link("glue", "press", within=30)]
    broken = broke([task("glue"), task("press")], links, done={"glue": "9:00 to 10:00", "press": begun})
    assert [each.rule for each in broken] == found


def test_a_window_whose_remedy_was_done_in_between_is_not_told() -> None:
    """Scuffed from 12:00 to 12:30, pressed from 13:00 on. Scuffed only after it, the window stays missed."""
    tasks = [task("glue"), task("scuff", remedy_of=("glue", "press")), task("press")]
    links = [link("glue", "press", within=30, remedy="scuff")]
    done = {"glue": "9:00 to 10:00", "press": "13:00 to 14:00"}
    assert broke(tasks, links, done={**done, "scuff": "12:00 to 12:30"}) == []
    assert rules(broke(tasks, links, done={**done, "scuff": "14:00 to 14:30"})) == [
        ("missed window", "press", "glue")
    ]


def test_a_step_begun_before_what_it_follows_is_out_of_order() -> None:
    """Not recorded, still under way, or over only after it was begun."""
    tasks, links = [task("fit"), task("hang")], [link("fit", "hang")]
    expected = [("out of order", "hang", "fit")]
    assert rules(broke(tasks, links, done={"hang": "9:00 to 10:00"})) == expected
    assert rules(broke(tasks, links, done={"hang": "9:00 to 10:00"}, begun={"fit": "8:00 to 8:30"})) == expected
    late = broke(tasks, links, done={"hang": "9:00 to 10:00", "fit": "9:00 to 9:30"})
    assert rules(late) == expected
    assert late[0].since == at("9:30")
    assert broke(tasks, links, done={"hang": "9:00 to 10:00", "fit": "8:00 to 9:00"}) == []


def test_what_is_no_work_is_looked_through() -> None:
    """There is nothing to tape off: the coat follows the primer itself."""
    tasks = [coat("primer"), task("tape", 0), coat("coat")]
    links = [link("primer", "tape", "recoat"), link("tape", "coat")]
    broken = broke(tasks, links, done={"primer": "9:00 to 10:00", "coat": "10:45 to 11:45"})
    assert rules(broken) == [("stage not reached", "coat", "primer")]


@pytest.mark.parametrize(("taped", "found"), [("10 10:00 to 10 10:30", []), ("9 20:00 to 9 20:30", ["white-coat"])])
def test_a_colour_taped_over_too_soon_is_told_by_the_order_that_was_taken(taped: str, found: list[str]) -> None:
    """White was painted first, until 10:00 on the ninth; it takes tape a day later. Nobody asks red for the same."""
    tasks = [coat("red-coat"), coat("white-coat"), task("red-tape"), task("white-tape")]
    options = (
        ColourOrder(name="red first", leader="red-coat", links=(link("red-coat", "white-tape", "tape"),)),
        ColourOrder(name="white first", leader="white-coat", links=(link("white-coat", "red-tape", "tape"),)),
    )
    choices = (Choice(id="red white", options=options),)
    done = {"white-coat": "9:00 to 10:00", "red-tape": taped, "white-tape": "8:00 to 8:30"}
    broken = broke(tasks, [], done=done, choices=choices)
    assert [each.other for each in broken if each.rule == "stage not reached"] == found


def test_two_neighbours_taped_off_before_either_is_painted_are_told() -> None:
    """One of them was to be painted first, whichever: its neighbour's tape stands there too soon."""
    tasks = [coat("red-coat"), coat("white-coat"), task("red-tape"), task("white-tape")]
    options = (
        ColourOrder(name="red first", leader="red-coat", links=(link("red-coat", "white-tape", "tape"),)),
        ColourOrder(name="white first", leader="white-coat", links=(link("white-coat", "red-tape", "tape"),)),
    )
    choices = (Choice(id="red white", options=options),)
    both = broke(tasks, [], done={"red-tape": "8:00 to 8:30", "white-tape": "9:00 to 9:30"}, choices=choices)
    assert rules(both) == [("out of order", "red-tape", "white-coat")]
    assert broke(tasks, [], done={"red-tape": "8:00 to 8:30"}, choices=choices) == [], "then red is painted first"


@pytest.mark.parametrize(
    ("sanded", "found"),
    [
        ("12:00 to 13:00", []),
        ("11:59 to 12:30", ["dust over wet film"]),
        ("8:30 to 9:01", ["dust over wet film"]),
        ("8:00 to 9:00", ["wet over dust"]),
    ],
)
def test_dust_over_a_wet_film_and_a_wet_step_in_dust_are_told(sanded: str, found: list[str]) -> None:
    """Painted 9:00 to 10:00, free of dust at 12:00."""
    broken = broke([task("sand", dusty=True), coat("paint")], done={"paint": "9:00 to 10:00", "sand": sanded})
    assert [each.rule for each in broken] == found


def test_dust_in_another_room_is_nobodys_affair() -> None:
    tasks = [task("sand", dusty=True, room="garage"), coat("paint")]
    assert broke(tasks, done={"paint": "9:00 to 10:00", "sand": "9:00 to 10:00"}) == []


@pytest.mark.parametrize(("wiped", "found"), [("8:30 to 9:00", []), ("8:30 to 9:01", ["wet over dust"])])
def test_dust_that_was_wiped_up_before_is_not_told(wiped: str, found: list[str]) -> None:
    """Sanded until 8:30, painted from 9:00 on: the wipe-down begins and ends in between."""
    tasks = [task("sand", dusty=True), task("wipe", wipes=True), coat("paint")]
    broken = broke(tasks, done={"sand": "8:00 to 8:30", "wipe": wiped, "paint": "9:00 to 10:00"})
    assert [each.rule for each in broken] == found


def test_dust_after_its_wipe_down_is_not_told_once_it_is_wiped_up() -> None:
    """Sanded after the wipe-down that was to follow it: told until another wipe-down is recorded."""
    again = task("wipe-again", wipes=True, added=as_written("dust came after it"))
    tasks = [task("sand", dusty=True), task("wipe", wipes=True), again]
    links = [link("sand", "wipe"), link("sand", "wipe-again")]
    done = {"wipe": "8:00 to 9:00", "sand": "9:00 to 10:00"}
    assert rules(broke(tasks, links, done=done)) == [("out of order", "wipe", "sand")]
    assert broke(tasks, links, done={**done, "wipe-again": "10:00 to 10:30"}) == []


@pytest.mark.parametrize(("walked", "found"), [("14:00 to 15:00", []), ("13:59 to 15:00", ["closed room"])])
def test_work_in_a_closed_room_is_told(walked: str, found: list[str]) -> None:
    """The floor was painted until 10:00 and closes its room until it is at `recoat`, at 14:00."""
    tasks = [coat("floor"), task("trim")]
    broken = broke(tasks, done={"floor": "9:00 to 10:00", "trim": walked}, closed={"floor": "recoat"})
    assert [each.rule for each in broken] == found


@pytest.mark.parametrize(("until", "found"), [("10:00", []), ("9:59", ["outside air limits"])])
def test_a_film_laid_in_unfit_air_is_told(until: str, found: list[str]) -> None:
    """Laid from 9:00 to 10:00; no stage is named until which the air must stay fit."""
    broken = broke([coat("paint")], done={"paint": "9:00 to 10:00"}, fit=(Span(at("8:00"), at(until)),))
    assert [each.rule for each in broken] == found


@pytest.mark.parametrize(
    ("item", "found"),
    [
        ({"expected": date(2027, 1, 9)}, []),
        ({"expected": date(2027, 1, 10)}, ["item not there yet"]),
        ({"expected": date(2027, 1, 10), "arrived": date(2027, 1, 8)}, []),
        ({"expected": date(2027, 1, 8), "arrived": date(2027, 1, 10)}, ["item not there yet"]),
        ({"expected": None}, ["item not there yet"]),
    ],
)
def test_a_step_done_before_what_it_needs_was_there_is_told(item: dict[str, Any], found: list[str]) -> None:
    """Done on the ninth."""
    boards = Item(id="boards", title="Boards", **item)
    broken = broke([task("fit", needs=("boards",))], done={"fit": "9:00 to 10:00"}, items=(boards,))
    assert [each.rule for each in broken] == found


def test_what_was_broken_is_told_in_the_order_in_which_it_was_begun() -> None:
    tasks = [coat("one"), coat("two"), coat("three")]
    links = [link("one", "two", "recoat"), link("two", "three", "recoat")]
    done = {"one": "9:00 to 10:00", "two": "10:00 to 11:00", "three": "11:00 to 12:00"}
    assert [each.step for each in broke(tasks, links, done=done)] == ["two", "three"]
