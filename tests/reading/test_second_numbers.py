"""The other numbers of the shipped profiles against a table that was entered a second time: exponents by law, how far
a material goes, in what it is sold, what is wasted, how much of it new board takes, how fast the work goes.

`second_numbers.csv` was entered in November 2026 from pages that were looked up for it; each row says how well its
source is known. Whoever entered it had seen the profiles too, for rows from memory side by side: those guard
against a slip, and are no second opinion. Where a page has a wide range, the row has the part of it that fits the
kind. What a person who is no painter takes is reckoned from what a painter takes (0.45 to 0.7 as fast: common
practice, no source). What the profile has `instead` is known to be outside, with the reason beside it.
"""

from __future__ import annotations

import csv
from fnmatch import fnmatch
from pathlib import Path

import pytest

from scheduler.model.material import Pack
from scheduler.reading.methods import read_methods
from scheduler.reading.profiles import read_trade
from scheduler.reading.wares import read_wares
from scheduler.units import parse_area, parse_length
from tests.support.scoped import job_of, used

ROWS = list(csv.DictReader(Path(__file__).with_name("second_numbers.csv").read_text("utf-8").splitlines()))
MATERIALS = {material.id: material for material in read_trade(None).materials}
SHELF = read_wares(None)
WARES = {ware.id: ware for ware in SHELF.wares}
FOOT, GALLON = 0.3048, 3.785411784


def rows(what: str) -> list[dict[str, str]]:
    """The rows of one kind."""
    return [row for row in ROWS if row["what"] == what]


def each(what: str) -> pytest.MarkDecorator:
    """A test for each row of a kind."""
    return pytest.mark.parametrize("row", rows(what), ids=lambda row: row["of"])


def within(row: dict[str, str], number: float) -> bool:
    """Whether a number of a profile is what the row says: between its ends, or what is known to be there instead."""
    low, high = (row["instead"], row["instead"]) if row["instead"] else (row["low"], row["high"])
    return float(low) * 0.999 <= number <= float(high) * 1.001


def test_every_row_says_where_it_comes_from() -> None:
    """Each thing once, low before high, a source that says how it is known; and an exception is one."""
    assert len({(row["what"], row["of"], row["low"], row["high"]) for row in ROWS}) == len(ROWS) > 80
    for row in ROWS:
        source = row["source"]
        assert any(tag in source for tag in ("(found)", "(secondary)", "from memory", "(computed)", "as ")), row
        if row["what"] not in ("pack", "ware"):
            assert float(row["low"]) <= float(row["high"]), row
        if row["instead"]:
            assert not within({**row, "instead": ""}, float(row["instead"])), row


def test_exponents_are_those_of_their_law() -> None:
    """To which power of the thickness the time of a stage goes. Of the rows that fit a stage the first counts, and
    there is one for every stage."""
    wrong = []
    for material in MATERIALS.values():
        for stage in material.stages:
            place = f"{stage.law}/{material.thickness_kind}/{material.id}/{stage.stage}"
            row = next((row for row in rows("exponent") if fnmatch(place, row["of"])), None)
            if row is None or not within(row, stage.exponent):
                wrong.append((place, stage.exponent, row and row["of"]))
    assert wrong == []


@each("spread")
def test_a_gallon_goes_as_far_as_pages_say(row: dict[str, str]) -> None:
    """Square feet of one coat; where it goes farther or less far, the profile's range still meets that of the row."""
    material = MATERIALS[row["of"]]
    assert material.spread is not None
    feet = GALLON / FOOT**2
    assert within(row, material.spread * feet), material.spread * feet
    if material.spread_range is not None:
        low, high = (end * feet for end in material.spread_range)
        assert low <= float(row["high"])
        assert float(row["low"]) <= high * 1.001


def test_every_material_that_is_spread_has_a_row() -> None:
    """What has a spread rate of its own was looked up a second time, but for a few whose pages were not found."""
    not_found = {"grout-sealer", "washed-surface", "washed-plaster", "washed-joint", "washed-concrete"}
    spread = {material.id for material in MATERIALS.values() if material.spread is not None}
    assert spread - {row["of"] for row in rows("spread")} <= not_found


LITRES = {"fl oz": GALLON / 128, "pt": GALLON / 8, "qt": GALLON / 4, "gal": GALLON, "L": 1.0, "mL": 0.001}


def litres(size: str) -> float:
    """The volume of a size as it is written, 1 gal = 128 fl oz = 231 in³."""
    number, _, unit = size.partition(" ")
    return float(number) * LITRES[unit]


@each("pack")
def test_it_is_sold_in_these_sizes(row: dict[str, str]) -> None:
    """Both sizes are there, and hold what their unit says."""
    packs: dict[str, Pack] = {pack.label: pack for pack in MATERIALS[row["of"]].packs}
    for size in (row["low"], row["high"]):
        assert size in packs
        if not size.endswith(("lb", "kg")):
            assert packs[size].litres == pytest.approx(litres(size), rel=1e-3)


MIL = 0.0254 / 1000


def first(what: str, name: str) -> dict[str, str] | None:
    """Of the rows whose pattern fits a name the first counts."""
    return next((row for row in rows(what) if fnmatch(name, row["of"])), None)


def fahrenheit(celsius: float) -> float:
    return celsius * 1.8 + 32


def off(row: dict[str, str], ends: tuple[float, float], most: float) -> bool:
    """Whether an end is farther from that of a row than so much."""
    return abs(ends[0] - float(row["low"])) > most or abs(ends[1] - float(row["high"])) > most


NO_AIR = "hot-setting-epoxy"
"""It sets in an oven, and no page was found that says in how hot a one."""


def test_times_hold_in_the_air_that_sheets_speak_of() -> None:
    """Lowest and highest °F within 10 °F of the row, and the driest air within 8 points of it."""
    wrong = []
    for name, material in MATERIALS.items():
        stage = material.stages[0]
        air, dry = first("air covered", name), first("dry air covered", name)
        assert air is not None and dry is not None
        if stage.temps is not None and name != NO_AIR:
            low, high = (fahrenheit(end) for end in stage.temps)
            wrong += [(name, low, high)] if off(air, (low, high), 10) else []
        if stage.humidities is not None and name != NO_AIR:
            driest = stage.humidities[0] * 100
            wrong += [(name, driest, driest)] if off(dry, (driest, driest), 8) else []
    assert wrong == []


def test_times_hold_for_what_is_laid_so_thin_and_so_thick() -> None:
    """Both ends of the thickness in mil, by a quarter at most from the row's."""
    wrong = []
    for name, material in MATERIALS.items():
        row = first("thickness covered", name)
        if row is not None and material.thicknesses is not None:
            ends = [end / MIL for end in material.thicknesses]
            said = (float(row["low"]), float(row["high"]))
            if any(not 0.8 <= end / there <= 1.25 for end, there in zip(ends, said, strict=True)):
                wrong.append((name, ends))
    assert wrong == []


def test_it_is_laid_in_the_air_that_sheets_ask_for() -> None:
    """Lowest and highest °F within 10 °F of the row. What needs some moisture to cure is laid in no drier air than
    that of its row; to all else dry air does no harm."""
    limited = {name: material.limits for name, material in MATERIALS.items() if material.limits and name != NO_AIR}
    wrong = []
    for name, limits in limited.items():
        row = first("laid", name)
        ends = (fahrenheit(limits.temp_low), fahrenheit(limits.temp_high))
        if row is None or off(row, ends, 10):
            wrong.append((name, ends))
        dry = first("dry air covered", name)
        assert dry is not None
        if limits.humidity_low and abs(limits.humidity_low * 100 - float(dry["low"])) > 8:
            wrong.append((name, (limits.humidity_low, 0.0)))
    assert wrong == []


def test_sheets_weigh_what_handbooks_say() -> None:
    """kg/m³ of what is carried by two."""
    (known,) = (dict(caution.densities) for caution in read_trade(None).cautions if caution.densities)
    assert set(known) == {row["of"] for row in rows("density")}
    for row in rows("density"):
        assert within(row, known[row["of"]]), row["of"]


def test_a_face_is_three_degrees_above_its_dew_point_or_it_does_not_matter() -> None:
    """3 °C (5 °F), ISO 8502-4 as trade pages quote it (secondary), MIL-HDBK-1110 9.6.6 (1996, found)."""
    margins = {each.limits.dew_margin for each in MATERIALS.values() if each.limits is not None}
    assert all(margin is None or 2.7 <= margin <= 3.1 for margin in margins)


def test_what_the_cold_spoils_freezes_or_forms_no_film() -> None:
    """Water freezes at 32 °F; films of dispersions form from 35 to 45 °F up (from memory)."""
    spoilt = {name: each.spoils.below for name, each in MATERIALS.items() if each.spoils is not None}
    assert {name for name, below in spoilt.items() if below is not None and not -0.1 <= below <= 7.5} == set()


def test_times_are_stated_in_the_standard_air() -> None:
    """ISO 554 (1976): 23 °C and 50 %, or 20 °C and 65 % (from memory); houses are a little cooler. Wood lies at the
    45 % of a heated house, plaster dries at the 55 % that it makes there."""
    for name, material in MATERIALS.items():
        if name != NO_AIR:
            assert 19.9 <= material.temp <= 25.1, name
            assert 0.449 <= material.humidity <= 0.551, name


def test_a_gallon_goes_as_far_as_it_is_thick() -> None:
    """231 in³ over 1 ft² are 1604 mil: the thickness of reference times the spread comes to that, less what stays in
    the tray and the roller (a quarter at most). What is wiped off, or sinks in, is thinner."""
    sinks = {
        "grout-sealer",
        "washed-surface",
        "washed-plaster",
        "washed-joint",
        "washed-concrete",
        "epoxy-floor-primer",
    }
    for name, material in MATERIALS.items():
        if material.spread is not None and name not in sinks:
            share = material.thickness * material.spread * 1000
            assert 0.74 <= share <= 1.02, (name, share)


def test_a_cartridge_holds_what_a_dealer_measures() -> None:
    """18.3 in³ in a cartridge of 10.1 fl oz, a sealant dealer's page (found); 1 gal is 231 in³."""
    (pack,) = (pack for pack in MATERIALS["acrylic-latex-caulk"].packs if not pack.metric)
    assert pack.litres == pytest.approx(18.3 * GALLON / 231, rel=0.005)


@each("ware")
def test_a_ware_is_sold_in_these_sizes(row: dict[str, str]) -> None:
    """Among the sizes of the shelf, by what they measure."""
    amounts = [size.amount for size in WARES[row["of"]].sizes]
    for size in (row["low"], row["high"]):
        amount = parse_area(size) if "²" in size else parse_length(size)
        assert any(there == pytest.approx(amount, rel=1e-3) for there in amounts), size


def test_boxes_hold_round_numbers() -> None:
    """Of what is counted, every size of the shelf is in the table, US and metric."""
    counted = {row["of"] for row in rows("counted")}
    for name in counted:
        sizes = {size.amount for size in WARES[name].sizes}
        assert sizes == {float(row["low"]) for row in rows("counted") if row["of"] == name}, name


@pytest.mark.parametrize("what", ["open time", "pot life"])
def test_it_stays_workable_as_long_as_sheets_say(what: str) -> None:
    """In minutes; what sets in an oven has days, of which no page was found."""
    for name, material in MATERIALS.items():
        minutes = material.open_time if what == "open time" else material.pot_life
        if minutes is not None and name != NO_AIR:
            row = first(what, name)
            assert row is not None, name
            assert within(row, minutes), (name, minutes)


def test_a_window_that_was_missed_costs_the_same_scuffing_whatever_the_film() -> None:
    """Sanded by hand and wiped: a room's trim or walls take as long over any primer, enamel or varnish. A floor of
    epoxy is hard, and all of it is scuffed."""
    works = {name: each.remedy.work for name, each in MATERIALS.items() if each.remedy is not None}
    assert {work for name, work in works.items() if "epoxy-floor" in name} == {60}
    assert {work for name, work in works.items() if "epoxy-floor" not in name} == {45}


@each("waste")
def test_as_much_is_bought_on_top_as_estimators_allow(row: dict[str, str]) -> None:
    """Percent of what is needed: of a ware, or of a group of materials."""
    shares = {**dict(SHELF.waste), **{ware.id: ware.waste for ware in WARES.values()}}
    assert within(row, shares[row["of"]] * 100)


def test_new_board_takes_as_much_as_estimators_reckon() -> None:
    """Four walls of 12 by 10 by 8 ft: 352 ft² of board. Screws and feet of tape a square foot; gallons of all
    compounds for a thousand square feet, of which the tape's bed is half as deep as its middle on the whole, and so
    are the coats over it."""
    job = job_of("walls: [drywall]")
    table = {row["of"]: row for row in rows("amount")}
    assert within(table["drywall: drywall screw"], used(job, "drywall screw") / 352)
    assert within(table["drywall: joint tape"], used(job, "joint tape") / FOOT / 352)
    compounds = used(job, "setting-type-compound-90") + used(job, "drying-type-joint-compound")
    assert within(table["drywall: compounds"], compounds / GALLON / 352 * 1000)


@each("rate")
def test_work_goes_as_fast_as_those_who_measured_it_say(row: dict[str, str]) -> None:
    """What is likely, in square feet or feet an hour; where it is cut into two steps, of both."""
    method, keys, per = row["of"].split("/")
    templates = [each for each in read_methods(None).loaded[method].templates if each.key in keys.split("+")]
    labour = sum(labour.likely for each in templates for labour in each.labour if labour.per.text == per)
    unit = FOOT if per.endswith("run") else FOOT**2
    assert within(row, 60 / labour / unit), 60 / labour / unit


IN_ONE_GO = {
    ("remove-wallpaper", "scrape painted"): 45,
    ("remove-wallpaper", "scrape stretches"): 45,
    ("remove-wallpaper", "scrape plain"): 90,
    ("remove-wallpaper", "wash paste"): 60,
    ("tile", "grout"): 45,
    ("plaster", "skim on board"): 90,
    ("plaster", "skim on wall"): 90,
    ("drywall", "plumb"): 60,
    ("drywall", "wire"): 60,
    ("tile-backer", "new valve"): 60,
}
"""What dries or sets while it is worked on, and what a licensed trade comes for: least minutes of one go."""


def test_work_may_be_left_after_half_an_hour_at_most() -> None:
    """No piece of work has to be longer than half an hour before one may leave it, but for a few that are named:
    common practice, no source."""
    templates = [(name, each) for name, method in read_methods(None).loaded.items() for each in method.templates]
    for name, each in templates:
        least = IN_ONE_GO.get((name, each.key))
        assert each.pause == least if least else each.pause in (None, 5, 10, 15, 20, 30), (name, each.key, each.pause)


def test_a_ladder_is_for_what_nobody_reaches_from_the_floor() -> None:
    """6 ft 6 in (1.98 m) everywhere, 6 ft where it is worked overhead: a grown person reaches about 2 m with a tool
    in the hand (from memory). A single method with another height is a slip."""
    templates = [each for method in read_methods(None).loaded.values() for each in method.templates]
    heights = {round(each.ladder / FOOT, 3) for each in templates if each.ladder is not None}
    assert heights == {6.0, 6.5}


def test_a_number_by_half_too_large_is_noticed() -> None:
    """No row of what is spread or of a rate is so wide that a slip by half, up or down, stays within unseen."""
    for row in (*rows("spread"), *rows("rate")):
        assert float(row["high"]) / float(row["low"]) < 1.5**2, row
