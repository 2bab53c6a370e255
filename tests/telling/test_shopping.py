"""The shopping list as it is read: shouts first, then weekend by weekend, and the same as JSON."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.model.message import Message, as_written
from scheduler.model.plan import Plan
from scheduler.model.shopping import Container, CutPlan, Delivery, Lot, Shopping, StockLength
from scheduler.telling.machine.plan import schema_text
from scheduler.telling.page.shopping import shopping_for_page
from scheduler.telling.text.shopping import amount_words, containers_words, shopping_json, shopping_text
from scheduler.telling.wording import columns
from tests.support.plans import at, hobby_room
from tests.telling.texts import HOSTILE, shows_cleanly

GALLON = 3.785411784


def primer(**fields: Any) -> Lot:
    """Primer for Saturday 16 January: 1.5 gal and 10 % on top."""
    return Lot(
        **{
            "what": "primer",
            "title": "acrylic primer",
            "unit": "L",
            "net": 1.5 * GALLON,
            "waste": 0.1,
            "needed": 1.65 * GALLON,
            "steps": ("prime-the-walls",),
            "first": at("2027-01-16 14:00"),
            "needed_by": date(2027, 1, 16),
            "containers": (Container(count=2, label="1 gal", amount=GALLON),),
            **fields,
        }
    )


def boards() -> Lot:
    """Shelves for Sunday: 2 × 5 ft and 2 × 3 ft, cut from stock, in the room from Thursday on."""
    cuts = CutPlan(
        boards=(StockLength(label="10 ft", length=3.048, pieces=(1.524, 0.9144)),) * 2,
        best=True,
    )
    return primer(
        what="board",
        title="1x10 board",
        unit="m",
        net=4.8768,
        waste=0.25,
        needed=6.096,
        steps=("put-up-the-shelves",),
        first=at("2027-01-17 11:00"),
        needed_by=date(2027, 1, 14),
        containers=(Container(count=2, label="10 ft", amount=3.048, pack="board"),),
        cuts=cuts,
        settles=3,
    )


def doors(**fields: Any) -> Delivery:
    """The doors of the hobby room: to be ordered by 8 January."""
    return Delivery(
        **{
            "item": "doors",
            "title": "Doors, two, primed",
            "expected": date(2027, 1, 22),
            "order_by": date(2027, 1, 8),
            "needed": at("2027-01-23 09:00"),
            "needed_by": date(2027, 1, 23),
            "steps": ("hang-the-doors",),
            "spare": 1,
            **fields,
        }
    )


def shopping(*lots: Lot, deliveries: tuple[Delivery, ...] = (), notes: tuple[Message, ...] = ()) -> Shopping:
    return Shopping(lots=lots, deliveries=deliveries, margin=3, notes=notes)


def text(found: Shopping, plan: Plan | None = None, **look: Any) -> str:
    return shopping_text(found, plan or hobby_room(), **look)


def test_pieces_of_one_length_are_counted() -> None:
    """Whoever stands at the saw reads how often: two of 4 ft come out of the 10 ft, and one of 1 ft."""
    cuts = CutPlan(boards=(StockLength(label="10 ft", length=3.048, pieces=(1.2192, 1.2192, 0.3048)),), best=True)
    assert "\n    cut 1 of 10 ft: 2 × 4 ft, 1 ft\n" in text(shopping(replace(boards(), cuts=cuts)))


def test_the_whole_list_reads_weekend_by_weekend() -> None:
    """What, how much, for what; the wood and its cuts; what is on order."""
    assert text(shopping(boards(), primer(), deliveries=(doors(),))) == (
        "Hobby room: 2 things to buy, as of Thursday 7 January 2027.\n"
        "\n"
        "In the house before the weekend of 16 January 2027\n"
        "  1x10 board: 2 boards of 10 ft\n"
        "    16 ft out of 20 ft, 20 % left over; for “Put up the shelves”.\n"
        "    in the room from Thursday 14 January on: it settles there for 3 days\n"
        "    cut 2 of 10 ft, from each: 5 ft, 3 ft\n"
        "  acrylic primer: 2 × 1 gal\n"
        "    1.5 gal, with 10 % spare; for “Prime the walls”.\n"
        "\n"
        "In the house before the weekend of 23 January 2027\n"
        "  Doors, two, primed: on order, comes Friday 22 January\n"
        "    for “Hang the doors”.\n"
        "    order it by Friday 8 January\n"
        "    1 day to spare before it is needed\n"
    )


def test_what_is_too_late_is_shouted_before_all_else() -> None:
    """An order-by day that has passed, of a ware and of an item; wood that should lie in the room by now."""
    late = primer(title="wall tiles", order_by=date(2027, 1, 4), passed=True)
    wood = primer(title="boards", needed_by=date(2027, 1, 6), settles=3, passed=True)
    lines = text(shopping(late, wood, deliveries=(doors(passed=True),))).splitlines()
    assert lines[2:5] == [
        "Doors, two, primed: HAD TO BE ORDERED BY FRIDAY 8 JANUARY.",
        "wall tiles: HAD TO BE ORDERED BY MONDAY 4 JANUARY.",
        "boards: should have been in the room since Wednesday 6 January (to settle).",
    ]
    assert lines[-1].endswith("`start` a later day."), "and what can be done about it"


def test_unknown_amounts_are_as_needed_and_the_reader_is_told_why() -> None:
    """No number is made up."""
    unknown = primer(net=None, needed=None, unit="", containers=(), unmeasured=("prime-the-walls",))
    shown = text(shopping(unknown))
    assert "acrylic primer: as needed\n" in shown
    assert "nobody measured how much" in shown


def test_what_should_be_there_is_not_bought_again() -> None:
    """A lot that a step has used stands apart, with what is still to come."""
    shown = text(shopping(primer(begun=True, containers=())))
    assert "nothing to buy" in shown
    assert "acrylic primer: 1.5 gal, for “Prime the walls”" in shown


def test_words_for_containers_and_amounts() -> None:
    """In the measures of the job; one is one."""
    cans = (Container(count=1, label="1 gal", amount=1), Container(count=2, label="1 qt", amount=1))
    assert containers_words(cans) == "1 × 1 gal + 2 × 1 qt"
    assert containers_words((Container(count=3, label="10.1 fl oz", amount=1, pack="cartridge"),)) == (
        "3 cartridges of 10.1 fl oz"
    )
    assert containers_words((Container(count=2, label="100", amount=1, pack="box"),)) == "2 boxes of 100"
    assert containers_words((Container(count=17, label="", amount=1, pack="sheet"),)) == "17 sheets"
    assert amount_words(2 * GALLON, "L", metric=False) == "2 gal"
    assert amount_words(2.5, "L", metric=True) == "2.5 l"
    assert amount_words(1200, "piece", metric=True) == "1,200"


@pytest.mark.parametrize("width", [40, 80, 100])
@given(st.sampled_from(HOSTILE), st.booleans())
def test_no_line_is_wider_than_asked_whatever_a_title_holds(width: int, title: str, ascii_only: bool) -> None:
    """Titles from a file may hold anything."""
    found = shopping(boards(), primer(title=title), deliveries=(doors(title=title),), notes=(as_written(title),))
    shown = shopping_text(found, hobby_room(), width=width, ascii=ascii_only)
    for line in shown.splitlines():
        assert columns(line) <= width
        assert shows_cleanly(line)
    assert not ascii_only or shown.isascii()


def test_the_page_gets_what_is_still_to_be_bought_or_to_come() -> None:
    """In words, with its days; what is in the house is left out."""
    found = shopping(primer(), primer(begun=True), deliveries=(doors(), doors(arrived=True)))
    one, other = shopping_for_page(found, metric=False)
    assert (one.name, one.quantity, one.containers) == ("acrylic primer", "1.5 gal + 10 %", "2 × 1 gal")
    assert one.needed_by == date(2027, 1, 16)
    assert (other.name, other.order_by) == ("Doors, two, primed", date(2027, 1, 8))


def test_what_is_on_order_is_listed_once() -> None:
    """With how much of it the steps use, and with all that they are; it is not counted among what is to be bought."""
    shown = text(shopping(primer(on_order="doors"), deliveries=(doors(steps=("hang-the-doors", "prime-the-walls")),)))
    assert shown.partition("\n")[0].startswith("Hobby room: nothing to buy")
    assert (
        "  Doors, two, primed: 2 × 1 gal, on order, comes Friday 22 January\n"
        "    1.5 gal, with 10 % spare; for “Hang the doors” and “Prime the walls”.\n"
    ) in shown
    assert "acrylic primer" not in shown


def test_what_is_on_order_may_be_several_things() -> None:
    """The paints of two colours in one delivery: how much of each."""
    blue = primer(title="blue, wall paint", colour="blue", on_order="doors")
    white = primer(title="white, wall paint", colour="white", on_order="doors", containers=())
    shown = text(shopping(blue, white, deliveries=(doors(title="Paint"),)))
    assert (
        "  Paint: on order, comes Friday 22 January\n"
        "    blue, wall paint: 2 × 1 gal\n"
        "    white, wall paint: 1.5 gal\n"
        "    for “Hang the doors”.\n"
    ) in shown


def test_the_page_lists_what_is_on_order_once() -> None:
    """With its containers, under the name under which it was ordered."""
    (only,) = shopping_for_page(shopping(primer(on_order="doors"), deliveries=(doors(),)), metric=False)
    assert (only.name, only.containers) == ("Doors, two, primed", "2 × 1 gal")


def test_json_holds_to_its_schema_and_to_the_numbers() -> None:
    """Every row by its needed day; the net amount in litres, with what is bought."""
    unknown = primer(what="caulk", net=None, needed=None, unit="", containers=(), unmeasured=("prime-the-walls",))
    found = shopping(
        boards(), primer(colour="blue"), unknown, deliveries=(doors(), doors(needed_by=None, needed=None))
    )
    rows = json.loads(shopping_json(found))
    schema = json.loads(schema_text("buy"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(rows, schema, format_checker=jsonschema.FormatChecker())
    assert [row.get("material") or row["item"] for row in rows] == ["board", "primer", "caulk", "doors", "doors"]
    paint = rows[1]
    assert (paint["quantity"], paint["unit"], paint["containers"]) == (round(1.5 * GALLON, 6), "L", "2 × 1 gal")
    assert (paint["bought"], paint["needed_by"], paint["order_by"]) == (round(2 * GALLON, 6), "2027-01-16", None)
    assert paint["for_steps"] == ["prime-the-walls"]
    assert rows[0]["cuts"][0] == {"stock": "10 ft", "length": 3.048, "pieces": [1.524, 0.9144]}
    assert (rows[3]["order_by"], rows[3]["needed_by"]) == ("2027-01-08", "2027-01-23")
