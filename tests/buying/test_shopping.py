"""What is on the list: amounts over all steps, what is bought in one go, and by when it must be there."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.buying import shopping_list
from scheduler.model.diary import Bought
from scheduler.model.facts import Facts
from scheduler.model.graph import TaskGraph
from scheduler.model.shopping import Ware
from scheduler.pipeline import make_plan
from scheduler.reading.wares import read_wares
from scheduler.telling.text.shopping import shopping_text
from tests.buying.shops import BOARD, SHELF, listed, lot, paint, task, use
from tests.support.builders import INVENTED, trade
from tests.support.plans import at, item, plan, step
from tests.support.scoped import text_of, unfolded

GALLON = 3.785411784


def test_the_same_thing_in_many_steps_is_bought_once() -> None:
    """Two coats of 1.5 L make 3 L; 10 % on top make 3.3 L, for which one gallon (3.79 L) does."""
    found = lot(task("first", use("paint", 1.5), lays="paint"), task("second", use("Paint", 1.5), lays="paint"))
    assert (found.net, found.unit, found.steps) == (3.0, "L", ("first", "second"))
    assert found.needed == pytest.approx(3.3)
    assert [(each.count, each.label) for each in found.containers] == [(1, "1 gal")]


def test_a_job_in_metres_buys_litres() -> None:
    """3.3 L come in 2.5 L and 1 L."""
    found = lot(task("coat", use("paint", 3.0), lays="paint"), metric=True)
    assert [(each.count, each.label) for each in found.containers] == [(1, "2.5 L"), (1, "1 L")]


def test_each_colour_has_its_own_cans() -> None:
    """A litre of blue and a litre of white are not two litres of paint."""
    tasks = (
        task("blue-1", use("paint", 0.5), lays="paint", colour="blue"),
        task("white-1", use("paint", 0.5), lays="paint", colour="white"),
        task("blue-2", use("paint", 0.5), lays="paint", colour="blue"),
    )
    assert [(each.title, each.net) for each in listed(*tasks).lots] == [("Blue, Paint", 1.0), ("White, Paint", 0.5)]


def test_what_nobody_measured_is_said_to_be_unknown() -> None:
    """A step that lays a film and says no amount: on the list, without a number and without cans."""
    found = lot(task("coat", lays="paint"))
    assert (found.net, found.needed, found.containers, found.unmeasured) == (None, None, (), ("coat",))


def test_the_measured_part_does_not_hide_the_other() -> None:
    """One step measured, one not: one line, with the number of the one and the name of the other."""
    found = lot(task("first", use("paint", 1.0), lays="paint"), task("second", lays="paint"))
    assert (found.net, found.steps, found.unmeasured) == (1.0, ("first", "second"), ("second",))


def test_it_is_needed_on_the_day_of_its_first_use() -> None:
    """All for both coats before the first of them."""
    found = lot(task("other"), task("first", use("paint", 1.0)), task("second", use("paint", 1.0)))
    assert (found.needed_by, found.order_by) == (date(2027, 1, 23), None)
    assert found.first == at("2027-01-23 09:00")


def test_wood_lies_in_the_room_first() -> None:
    """Used on the 16th after three days in the room: there on the 13th. From the 14th on it is shouted."""
    boards = task("nail", use("board", 0, "m", 2.0))
    assert (lot(boards).needed_by, lot(boards).passed) == (date(2027, 1, 13), False)
    assert not lot(boards, as_of=at("2027-01-13 20:00")).passed
    assert lot(boards, as_of=at("2027-01-14 07:00")).passed


def test_what_takes_time_to_come_has_a_day_to_order_it() -> None:
    """Needed on the 23rd, a week on the way, three days of margin: ordered by the 13th, shouted from the 14th on."""
    tasks = (task("other"), task("tile", use("wall tile", 2.0, "m2")))
    assert (lot(*tasks).order_by, lot(*tasks).passed) == (date(2027, 1, 13), False)
    assert lot(*tasks, as_of=at("2027-01-14 07:00")).passed


def test_what_a_step_has_used_is_in_the_house() -> None:
    """After the first coat no cans are bought for the second: only what it takes is said."""
    tasks = (task("first", use("paint", 1.0)), task("second", use("paint", 1.5)))
    found = lot(*tasks, states={"first": "done"})
    assert (found.begun, found.net, found.containers, found.steps) == (True, 1.5, (), ("second",))
    assert not listed(*tasks, states={"first": "done", "second": "done"}).lots


def test_what_was_bought_on_a_day_is_for_what_begins_on_that_day_from_midnight_on() -> None:
    """Six litres with a tenth on top are wanted; of one litre bought on the day of the step the rest is to buy."""
    coat = task("coat", use("paint", 6.0))
    night = plan(step("coat", "2027-01-16 00:00 01:00"))
    there = {"paint": Bought(thing="paint", on=date(2027, 1, 16), amount=1.0)}
    shop = trade(paint(), shelf=SHELF)
    (found,) = shopping_list(TaskGraph(tasks=(coat,), links=()), night, shop, bought=there).lots
    assert not found.enough
    assert found.needed == pytest.approx(6.6 - 1.0)


def test_nobody_buys_the_settling_of_wood() -> None:
    """Acclimation is a film in the plan and nothing in a shop."""
    assert not listed(task("lie", lays="wood"), materials=(paint("wood", group="wood", packs=()),)).lots


def test_boards_come_out_of_one_cutting_plan_over_all_steps() -> None:
    """1.5 m and 0.9 m in two steps: 2.4 m and a cut come out of 8 ft (2.438 m). 2.4384 − 2.4 = 1.6 % is left."""
    found = lot(task("rails", use("primed board", 0, "m", 1.5)), task("battens", use("Primed board", 0, "m", 0.9)))
    assert [(each.count, each.label, each.pack) for each in found.containers] == [(1, "8 ft", "board")]
    assert found.waste == pytest.approx(2.4384 / 2.4 - 1)
    assert found.cuts is not None
    assert [board.pieces for board in found.cuts.boards] == [pytest.approx((1.5, 0.9))]


def test_paint_comes_in_what_its_group_comes_in() -> None:
    """A can of paint; where no word is known the size says enough."""
    coat = task("coat", use("paint", 1.0), lays="paint")
    assert [each.pack for each in lot(coat, shelf=replace(SHELF, packs={"paints": "can"})).containers] == ["can"]
    assert [each.pack for each in lot(coat).containers] == [""]


def test_a_run_without_single_lengths_is_bought_with_waste() -> None:
    """4.5 m and 10 % are 4.95 m: 8 + 10 ft (5.49 m); two of 8 ft (4.88 m) fall short."""
    found = lot(task("rail", use("board", 4.5, "m")))
    assert found.cuts is None
    assert [(each.count, each.label) for each in found.containers] == [(1, "10 ft"), (1, "8 ft")]


def test_pieces_that_were_counted_are_bought_as_counted() -> None:
    """Seven boards are seven boards; 90 nails and 15 % are more than one box of 100."""
    boards, nails = listed(task("nail", use("board", 7, "piece"), use("finish brad", 90, "piece"))).lots
    assert [(each.count, each.pack, each.label) for each in boards.containers] == [(7, "board", "")]
    assert [(each.count, each.label) for each in nails.containers] == [(2, "100")]


def test_a_ware_that_nobody_knows_is_listed_all_the_same() -> None:
    """Twelve spacers: the number, and no container."""
    found = lot(task("tile", use("spacers", 12, "piece")))
    assert (found.title, found.net, found.containers) == ("spacers", 12, ())


def test_cartridges_are_all_of_one_size() -> None:
    """Each size wants its own gun. 1.2 L and 10 % are 1.32 L: two of 28 fl oz (1.66 L; (28/10.1)^0.7 · 2 = 4.08 small
    ones) before five of 10.1. One of 28 and two of 10.1 would cost 4.04."""
    sizes = paint(
        "glue",
        group="adhesives",
        thickness_kind="bead",
        packs=tuple(replace(paint().packs[0], label=label, litres=litres) for label, litres in GUNS),
    )
    found = lot(task("glue", use("glue", 1.2), lays="glue"), materials=(sizes,))
    assert [(each.count, each.label, each.pack) for each in found.containers] == [(2, "28 fl oz", "cartridge")]


def test_one_cartridge_more_is_bought_than_the_beads_take() -> None:
    """One that is short stops a joint half way, and an opened one lasts a week (common practice, no source).

    0.2 L and 10 % fit one of 10.1 fl oz (0.2987 L): two are bought.
    """
    shipped = read_wares(None)
    assert shipped.spare == 1
    gun = tuple(replace(paint().packs[0], label=label, litres=litres) for label, litres in GUNS)
    beads = paint("glue", group="adhesives", thickness_kind="bead", packs=gun)
    glued = task("glue", use("glue", 0.2), lays="glue")
    counts = [
        [each.count for each in lot(glued, materials=(beads,), shelf=shelf).containers]
        for shelf in (shipped, replace(shipped, spare=0))
    ]
    assert counts == [[2], [1]]


GUNS = (("10.1 fl oz", 10.1 / 128 * GALLON), ("28 fl oz", 28 / 128 * GALLON))


def test_powder_by_weight_comes_in_bags() -> None:
    """30 lb and 10 % are 33 lb: a bag of 25 and one of 10."""
    packs = tuple(replace(paint().packs[0], label=f"{lb} lb", litres=lb * 0.28) for lb in (10, 25))
    found = lot(task("grout", use("grout", 30 * 0.45359237, "kg")), materials=(paint("grout", packs=packs),))
    assert [(each.count, each.label, each.pack) for each in found.containers] == [
        (1, "25 lb", "bag"),
        (1, "10 lb", "bag"),
    ]


def test_an_item_on_order_says_how_many_days_it_has_to_spare() -> None:
    """Comes on the 20th, needed on the 23rd; ordering it by the 8th has passed on the 9th, and not yet on the 8th."""
    doors = item(
        "doors", expected=date(2027, 1, 20), order_by=date(2027, 1, 8), needed=at("2027-01-23 09:00"), holds=("hang",)
    )
    (found,) = listed(task("other"), task("hang"), items=(doors,)).deliveries
    assert (found.spare, found.needed_by, found.passed) == (3, date(2027, 1, 23), False)
    (today,) = listed(task("other"), task("hang"), items=(doors,), as_of=at("2027-01-08 22:00")).deliveries
    (late,) = listed(task("other"), task("hang"), items=(doors,), as_of=at("2027-01-09 08:00")).deliveries
    assert (today.passed, late.passed) == (False, True)
    came = replace(doors, arrived=date(2027, 1, 8))
    (there,) = listed(task("other"), task("hang"), items=(came,), as_of=at("2027-01-09 08:00")).deliveries
    assert (there.arrived, there.passed, there.order_by) == (True, False, None)


def test_an_item_is_needed_by_the_first_of_those_who_wait_for_it() -> None:
    """One door hangs on Saturday the 16th, the other one a week later: both have to be there on the 16th."""
    doors = item("doors", expected=date(2027, 1, 5), holds=("other", "hang"))
    (found,) = listed(task("hang"), task("other"), items=(doors,)).deliveries
    assert (found.needed, found.needed_by) == (at("2027-01-16 09:00"), date(2027, 1, 16))


def test_what_is_needed_first_is_listed_first_and_what_nobody_waits_for_last() -> None:
    """By the day, whatever their names; of one day by name."""
    items = (
        item("a-lamp", expected=date(2027, 1, 5)),
        item("blinds", expected=date(2027, 1, 5), holds=("late",)),
        item("tiles", expected=date(2027, 1, 5), holds=("early",)),
        item("trim", expected=date(2027, 1, 5), holds=("early",)),
    )
    found = listed(task("early"), task("late"), items=items).deliveries
    assert [each.item for each in found] == ["tiles", "trim", "blinds", "a-lamp"]


def test_what_is_on_order_already_is_not_ordered_again() -> None:
    """Tiles that a step uses, and an item `Wall tiles` that it needs, are one thing: how much, but no day of its own.

    A door that the same step needs is another thing.
    """
    tiles = item("wall-tile", title="Glazed wall tile", expected=date(2027, 1, 20))
    doors = item("doors", expected=date(2027, 1, 20))
    asked = task("set", use("tile", 2.0, "m2"), needs=("doors", "wall-tile"))
    found = lot(asked, items=(doors, tiles))
    assert (found.on_order, found.order_by, found.passed) == ("wall-tile", None, False)
    assert [(each.count, each.label) for each in found.containers] == [(3, "10 sq ft")]  # 2.2 m² are 23.7 ft²
    assert lot(asked, items=(doors,)).on_order is None


def test_a_paint_on_order_is_the_paint_of_the_colour_that_waits_for_it() -> None:
    """By the words of its name; what no step needs that uses it is bought, and so is what another step uses."""
    wall_paint = item("wall-paint", title="Blue paints", expected=date(2027, 1, 20))
    waiting = task("wall", use("paint", 2.0), lays="paint", colour="blue", needs=("wall-paint",))
    assert lot(waiting, items=(wall_paint,)).on_order == "wall-paint"
    for title in ("White paint", "Doors"):
        assert lot(waiting, items=(replace(wall_paint, title=title),)).on_order is None
    other = task("shelf", use("paint", 1.0), lays="paint", colour="blue")
    found = listed(waiting, other, items=(wall_paint,)).lots
    assert {(each.on_order, each.net) for each in found} == {("wall-paint", 2.0), (None, 1.0)}


@given(st.floats(min_value=0.01, max_value=40), st.floats(min_value=0, max_value=20))
def test_more_paint_never_means_fewer_litres(litres: float, more: float) -> None:
    """Through waste and cans."""
    less, greater = (lot(task("coat", use("paint", amount), lays="paint")) for amount in (litres, litres + more))
    assert less.needed is not None
    assert less.bought >= less.needed - 1e-9
    assert greater.bought >= less.bought - 1e-9


def test_a_ware_is_found_by_its_name_or_by_the_name_that_it_holds() -> None:
    """`1x4 primed board` and `board nails` hold the name of a board; `brads` and `cardboard` hold none."""
    assert SHELF.ware("Board") is BOARD
    assert SHELF.ware("1x4 primed board") is BOARD
    assert SHELF.ware("brads") is None
    assert SHELF.ware("board nails") is BOARD
    assert SHELF.ware("cardboard") is None


def test_what_is_hired_is_there_for_one_floor_after_the_other() -> None:
    """Two machines do two rooms, one after the other: nobody hires four."""
    sander = Ware(id="sander", title="sander", unit="piece", pack="", sizes=(), waste=0, source=INVENTED, hired=True)
    tasks = (task("one", use("sander", 2, "piece")), task("other", use("sander", 2, "piece")))
    assert lot(*tasks, shelf=replace(SHELF, wares=(sander,))).net == 2


def test_the_same_white_in_several_rooms_is_one_line_and_one_batch() -> None:
    tasks = (
        task("hall-1", use("paint", 1.0), lays="paint", colour="hall"),
        task("den-1", use("paint", 0.5), lays="paint", colour="den"),
    )
    found = listed(*tasks, colours={"hall": "White", "den": "white", "other": "Blue"})
    assert [(each.title, each.net, each.steps) for each in found.lots] == [("White, Paint", 1.5, ("hall-1", "den-1"))]


def test_what_is_hired_is_wanted_on_the_days_on_which_it_is_used() -> None:
    """A shop counts by the day: Saturday and Sunday, and the Saturday after, are three days of hire and not eight."""
    text = """\
job: Floor
start: 2027-01-09
zone: America/Denver
measures: US
hours:
  - {on: Saturday, from: 8:30, to: 17:00}
  - {on: Sunday, from: 10:00, to: 16:00}
rooms:
  den: {length: 20 ft, width: 14 ft, height: 8 ft, air: {day: 68 °F, night: 62 °F, humidity: 45 %}}
scope:
  den: wipe down
  floor: varnish floor
"""
    job, known = unfolded(text)
    made = make_plan(job, known, Facts(now=job.start))
    found = shopping_list(made.ground.graph, made.plan, known)
    lot = next(lot for lot in found.lots if lot.what == "floor-sander")
    assert lot.net == 2, "the drum and the edger, however many steps use them"
    assert lot.hired_for == (date(2027, 1, 9), date(2027, 1, 10), date(2027, 1, 16))
    said = shopping_text(found, made.plan)
    assert "hired for 3 days: Saturday 9 January to Sunday 10 January, Saturday 16" in " ".join(said.split())


def test_small_things_are_told_by_what_is_bought_and_planks_on_order_are_bought_once() -> None:
    """Brushes and blades were on no list; the planks of a floor were on order and to be bought as well; a door stop
    was a length of moulding that settles for a week, and each tiled part wanted a trowel of its own."""
    text = text_of(
        "floor: [click floor: {needs: planks}]\nsplash: {on: north wall, up to: 4 ft, do: tile}\n"
        "niche: {on: east wall, up to: 4 ft, do: tile}\ndoorway: {around: door, do: hang a door}\n",
        "on order: {planks: {title: Floor planks, comes: 2027-01-20}}\n",
        openings="{door: {on: south wall, width: 32 in, height: 80 in}}",
    )
    job, known = unfolded(text)
    made = make_plan(job, known, Facts(now=job.start))
    found = shopping_list(made.ground.graph, made.plan, known)
    lots = {one.what: one for one in found.lots}
    assert lots["click-flooring"].on_order == "planks" and not lots["click-flooring"].to_be_bought
    assert (lots["door-stop"].unit, lots["notched-trowel"].needed) == ("piece", 1)
    assert found.small_things == (
        "mixing bucket and paddle, grout float, knee pads",
        "screws and fixings, blades, bits, pencil, gloves, goggles",
    )
