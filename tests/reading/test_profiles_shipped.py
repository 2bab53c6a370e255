"""The families that come with the program: complete, sourced, generic, in order, and within what was published."""

import re
from math import exp

import pytest

from scheduler.drying.laws import rate
from scheduler.model.basics import STAGES
from scheduler.model.material import CAUTION_KINDS, LAWS, Material
from scheduler.reading.profiles import read_trade
from scheduler.reading.shipped import shipped_profiles
from scheduler.whatif.changes_work import SWAPPED

TRADE = read_trade(None)
MATERIALS = {material.id: material for material in TRADE.materials}
HOUR, DAY = 60, 24 * 60

EVERY = pytest.mark.parametrize("material", TRADE.materials, ids=lambda material: material.id)

# The tags that a source of ours must carry: how well the number is known.
TAGS = (
    "found",
    "secondary",
    "from memory",
    "computed",
    "common practice, no source",
    "nominal",
    "taken as",
    "time as",
)
STANDARDS = re.compile(r"\b(NIOSH|CFR|NFPA|UFGS|MIL-HDBK|ASTM|AWI|ANSI|the product's own sheet)\b")
ACRONYMS = {"PVA", "MDF"}

GROUPS = {
    "paints": 5,
    "primers": 4,
    "clear finishes": 4,
    "stains": 1,
    "fillers": 8,
    "caulks and sealants": 5,
    "adhesives": 7,
    "tile work": 4,
    "wood": 2,
    "washing": 0,
}
"""How many families of a group the first list of this project names, at least."""

# Which stages a family needs for its use.
NEEDED = {
    "paints": "touch dust_free recoat sand tape use full",
    "primers": "touch dust_free recoat sand tape use full",
    "clear finishes": "touch dust_free recoat use full",
    "stains": "touch dust_free recoat use full",
    "fillers": "dust_free sand recoat paint_over full",
    "caulks and sealants": "touch dust_free use full",
    "adhesives": "handle use full",
    "tile work": "handle use full",
    "wood": "use full",
    "washing": "touch dust_free recoat sand paint_over use full",
}

# Family, stage, least and most minutes, and where that was printed. All of it read in excerpts of the pages named
# (makers' data sheets are counted, not named).
PUBLISHED = [
    ("acrylic-latex-wall-paint", "touch", 30, 2 * HOUR, "three data sheets, two makers' pages"),
    ("acrylic-latex-wall-paint", "recoat", 2 * HOUR, 4 * HOUR, "three data sheets"),
    ("acrylic-latex-ceiling-paint", "recoat", 2 * HOUR, 4 * HOUR, "three data sheets of latex paints"),
    ("acrylic-bonding-primer", "touch", 30, HOUR, "two data sheets of waterborne primers"),
    ("acrylic-bonding-primer", "recoat", HOUR, 3 * HOUR, "two data sheets of waterborne primers"),
    ("stain-blocking-waterborne-primer", "recoat", HOUR, 24 * HOUR, "a data sheet: 1 h, 24 h for most resistance"),
    ("solvent-alkyd-enamel", "recoat", 16 * HOUR, 16 * HOUR, "a maker's page and a data sheet: 16 h"),
    ("solvent-alkyd-enamel", "full", 21 * DAY, 28 * DAY, "a maker's page: hardest after 3 to 4 weeks"),
    ("shellac-based-primer", "recoat", 1, HOUR, "a data sheet of shellac: less than one hour"),
    ("shellac", "recoat", 1, HOUR, "a data sheet of shellac: less than one hour"),
    ("waterborne-polyurethane", "touch", HOUR, HOUR, "a data sheet: 1 h"),
    ("waterborne-polyurethane", "recoat", 3 * HOUR, 3 * HOUR, "a data sheet: 3 h"),
    ("waterborne-polyurethane", "use", 24 * HOUR, 24 * HOUR, "a data sheet: 24 h"),
    ("oil-modified-polyurethane", "touch", HOUR, 2 * HOUR, "two data sheets"),
    ("oil-modified-polyurethane", "handle", 4 * HOUR, 4 * HOUR, "a data sheet: 4 h"),
    ("oil-modified-polyurethane", "recoat", 8 * HOUR, 10 * HOUR, "two data sheets"),
    ("oil-modified-polyurethane-floor", "use", 48 * HOUR, 72 * HOUR, "two data sheets: service"),
    ("drying-type-joint-compound", "sand", 1, 24 * HOUR, "two manuals: approximately 24 h a coat"),
    ("two-part-filler", "sand", 20, 80, "a data sheet: 20 min (fast) to 60-80 min"),
    ("two-part-filler", "full", 3 * HOUR, 3 * HOUR, "a data sheet: 3 h"),
    ("siliconized-acrylic-caulk", "paint_over", 2 * HOUR, 8 * HOUR, "an advice article: 2 to 8 h (secondary)"),
    ("polyurethane-sealant", "touch", 2 * HOUR, 2 * HOUR, "a data sheet: tack-free 2 h at 75 °F, 50 %"),
    ("neutral-silicone-sealant", "use", 24 * HOUR, 48 * HOUR, "a maker's page: water test after 24 h, 48 h if cold"),
    ("neutral-silicone-sealant", "full", 7 * DAY, 21 * DAY, "a maker's page: 7 to 21+ days"),
    ("waterborne-construction-adhesive", "full", DAY, 21 * DAY, "a maker's page: 24 h to several weeks"),
    ("polyurethane-construction-adhesive", "handle", 90, 3 * HOUR, "two data sheets: clamp 90 min, strong 2-3 h"),
    ("polyurethane-construction-adhesive", "use", 24 * HOUR, 24 * HOUR, "a data sheet: leave 24 h"),
    ("pva-wood-glue", "handle", 30, HOUR, "two guides: clamp 30 to 60 min unstressed"),
    ("pva-wood-glue", "use", 24 * HOUR, 24 * HOUR, "two guides: 24 h before load"),
    ("cement-thinset", "handle", 24 * HOUR, 48 * HOUR, "a data sheet of grout: 24-48 h before cement grout"),
    ("premixed-tile-adhesive", "handle", 24 * HOUR, 24 * HOUR, "trade article on ANSI A108: wait 24 h"),
    ("cement-grout", "touch", 3 * HOUR, 4 * HOUR, "a data sheet: initial cure 3 to 4 h at 72 °F"),
    ("cement-grout", "full", 21 * DAY, 28 * DAY, "a data sheet: final cure 21 days; ANSI A118.6 at 28 days"),
    ("epoxy-grout", "full", 7 * DAY, 7 * DAY, "ANSI A118.3: tested at 7 days"),
    ("solid-wood-acclimation", "use", 72 * HOUR, 14 * DAY, "AWI 200 3.2.5: minimum 72 h"),
]


def test_there_are_at_least_thirty_families_and_the_groups_are_whole():
    assert len(TRADE.materials) >= 30
    for group, least in GROUPS.items():
        assert sum(material.group == group for material in TRADE.materials) >= least, group
    assert {material.group for material in TRADE.materials} == set(GROUPS)


@EVERY
def test_a_family_has_the_stages_that_its_use_needs(material: Material):
    there = {stage.stage for stage in material.stages}
    assert there <= set(STAGES)
    assert set(NEEDED[material.group].split()) <= there


@EVERY
def test_every_number_says_where_it_comes_from_and_how_well_it_is_known(material: Material):
    sources = [material.source, *(stage.source for stage in material.stages), *(said for _, said in material.sources)]
    sources += [part.source for part in (material.limits, material.remedy) if part]
    for source in sources:
        assert any(tag in source for tag in TAGS), source


@EVERY
def test_the_range_rises_and_every_stage_moves_in_its_own_reference_air(material: Material):
    for stage in material.stages:
        assert 0 < stage.low <= stage.typical <= stage.high
        assert stage.law in LAWS
        temp, humidity = material.temp, material.humidity
        assert rate(stage.law, temp, humidity, temp, humidity, activation=stage.activation) == pytest.approx(1)
        assert stage.temps[0] <= temp <= stage.temps[1]
        assert stage.humidities[0] <= humidity <= stage.humidities[1]


@EVERY
def test_nothing_is_handled_coated_or_used_before_it_is_dry_to_touch_nor_after_it_is_cured(material: Material):
    """ASTM D1640 goes from dust-free over dry-to-touch and dry-hard to dry-through; low, typical and high alike."""
    times = {stage.stage: (stage.low, stage.typical, stage.high) for stage in material.stages}
    for case in range(3):
        at = {stage: three[case] for stage, three in times.items()}
        later = [at[stage] for stage in ("handle", "sand", "recoat", "paint_over", "tape", "use") if stage in at]
        if "touch" in at and "dust_free" in at:
            assert at["dust_free"] <= at["touch"]
        assert at.get("touch", 0) <= min(later)
        assert max(later) <= at["full"]
        if "recoat_by" in at:
            assert at["recoat"] < at["recoat_by"]


@EVERY
def test_what_dust_can_settle_in_says_until_when(material: Material):
    assert not material.exposed or material.stage("dust_free") is not None


@EVERY
def test_a_window_that_closes_has_a_remedy_that_counts_as_dusty(material: Material):
    """The remedy of every window here is a sanding, and sanding is dusty."""
    if material.stage("recoat_by") is not None:
        assert material.remedy is not None
        assert material.remedy.dusty


@EVERY
def test_a_name_is_generic(material: Material):
    """Lower-case words of the trade, no brand: only the acronyms of two materials stand in capitals."""
    for word in re.findall(r"[^\W\d_]+", material.title):
        assert word == word.lower() or word in ACRONYMS
    assert re.fullmatch(r"[a-z0-9-]+", material.id)


def test_no_file_bears_a_mark_of_trade_or_a_path():
    for path in shipped_profiles().rglob("*.yaml"):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"[®™©]|https?:|www\.|/work|/home", text), path


@EVERY
def test_a_caution_names_its_source_or_says_how_well_it_is_known(material: Material):
    for caution in material.cautions:
        text = caution.text
        assert STANDARDS.search(text) or any(tag in text for tag in TAGS) or "air the room" in text, text


@pytest.mark.source("data-sheets")
@pytest.mark.parametrize(("family", "stage", "least", "most", "source"), PUBLISHED)
def test_the_typical_time_lies_within_what_was_printed(family: str, stage: str, least: int, most: int, source: str):
    found = MATERIALS[family].stage(stage)
    assert found is not None
    assert least <= found.typical <= most, source


def test_the_compound_stands_on_the_cell_of_the_drying_time_guide():
    """Drying-time guide of the gypsum trade, 70 °F and 50 %: 17 h (from memory), one coat of 1/16 in = 1.5875 mm."""
    compound = MATERIALS["drying-type-joint-compound"]
    sand = compound.stage("sand")
    assert sand is not None
    assert (sand.typical, sand.law) == (17 * HOUR, "water")
    assert compound.temp == pytest.approx((70 - 32) / 1.8)
    assert (compound.humidity, compound.thickness) == (0.5, pytest.approx(0.0254 / 16))


def test_the_polyester_filler_takes_twice_as_long_ten_degrees_colder():
    """Pot life 60, 45, 30 min at 15, 20, 25 °C in the data sheet of a polyester paste: 60 / 30 = 2."""
    sand = MATERIALS["two-part-filler"].stage("sand")
    assert sand is not None
    assert sand.activation is not None
    assert exp(sand.activation / 8.314462618 * (1 / 288.15 - 1 / 298.15)) == pytest.approx(2, rel=0.01)


def test_open_and_pot_times_lie_within_what_was_printed():
    """PU adhesive closed within 10 to 20 min (two data sheets); grout 35 to 55 min and 1 to 2 h (two data sheets);
    filler open 10 to 15 min (a formulator)."""
    assert 10 <= (MATERIALS["polyurethane-construction-adhesive"].open_time or 0) <= 20
    assert 35 <= (MATERIALS["cement-grout"].pot_life or 0) <= 120
    assert 10 <= (MATERIALS["two-part-filler"].pot_life or 0) <= 15


@pytest.mark.parametrize(
    ("family", "least", "most"),
    [
        ("acrylic-latex-wall-paint", 300, 400),  # one data sheet, at 5.3 to 4.0 mil wet
        ("waterborne-polyurethane", 350, 450),  # a data sheet
        ("oil-modified-polyurethane", 350, 700),  # data sheets
        ("premixed-tile-adhesive", 18, 23),  # a data sheet, 1/4 in square notch
    ],
)
def test_spread_lies_within_what_was_printed(family: str, least: float, most: float):
    """ft²/gal; 1 ft² = 0.09290304 m² and 1 gal = 3.785411784 l exactly, so 1 ft²/gal = 0.02454 m²/l."""
    material = MATERIALS[family]
    assert material.spread is not None
    assert material.spread_range is not None
    assert least <= material.spread / 0.024542 <= most
    assert material.spread_range == pytest.approx((least * 0.024542, most * 0.024542), rel=1e-4)


@EVERY
def test_a_film_spreads_no_further_than_its_volume(material: Material):
    """1 litre at the reference thickness covers 0.001 m³ / thickness; 5 % for rounding."""
    if material.spread is not None:
        assert material.spread <= 0.001 / material.thickness * 1.05


@pytest.mark.parametrize(
    ("family", "low", "high"),
    [
        ("acrylic-latex-wall-paint", 50, 90),  # two data sheets
        ("stain-blocking-waterborne-primer", 35, 90),  # one data sheet: 35 °F and above
        ("waterborne-alkyd-enamel", 50, 90),  # one data sheet: 50 °F during application and dry time
        ("oil-modified-polyurethane", 50, 90),  # makers' notes: poor below 50 and above 90 °F
        ("solvent-alkyd-enamel", 45, 90),  # MIL-HDBK-1110 7.4.1: most paints
        ("two-part-filler", 59, 95),  # a data sheet: 15 °C and above
    ],
)
def test_the_air_limits_are_those_that_were_printed(family: str, low: float, high: float):
    limits = MATERIALS[family].limits
    assert limits is not None
    assert limits.temp_low == pytest.approx((low - 32) / 1.8)
    assert limits.temp_high == pytest.approx((high - 32) / 1.8)


def test_films_keep_five_degrees_fahrenheit_above_the_dew_point():
    """5 °F above the dew point and rising, for every paint, primer and clear finish.

    MIL-HDBK-1110, 9.6.6 (1996; found) says that specifications "often require" it; UFC 3-190-06 (2004) took it over.
    """
    for material in TRADE.materials:
        if material.group in ("paints", "primers", "clear finishes"):
            assert material.limits is not None
            assert material.limits.dew_margin == pytest.approx(5 / 1.8)


def test_a_floor_is_closed_until_it_may_be_coated_again():
    coated = ("-floor", "-floor-coating", "-floor-primer", "-floor-paint")
    floors = [material for material in TRADE.materials if material.id.endswith(coated)]
    assert len(floors) == 6
    assert {material.room_closed_until for material in floors} == {"recoat"}
    assert all(not m.room_closed_until for m in TRADE.materials if m not in floors)


def test_tape_comes_off_clean_for_fourteen_days_and_within_a_day_of_the_last_coat():
    """Makers' ratings of the standard painters' grade, 14 days, and pulled within 24 h (advice pages, secondary)."""
    assert TRADE.tape.clean_for == 14 * DAY
    assert TRADE.tape.pull_by == 24 * HOUR
    assert "score" in TRADE.tape.remedy.title


def test_dust_and_noise_have_cautions_and_old_houses_have_more():
    """40 CFR 745 Subpart E: target housing is from before 1978. Every kind of caution that there is has a text."""
    kinds = {kind for caution in TRADE.cautions for kind in (caution.kind, *caution.also)}
    assert kinds | {"dusty"} == set(CAUTION_KINDS)
    lead = next(caution for caution in TRADE.cautions if caution.name == "lead paint")
    assert (dict(lead.years)["us"], lead.kind) == (1978, "old paint")
    assert all(caution.source for caution in TRADE.cautions)


def test_a_powder_is_counted_by_the_paste_that_it_makes():
    """25 lb = 11.339809 kg; at 1.1 l/kg 12.47 l. A gallon is 3.785 l whatever is in it."""
    compound, paint = MATERIALS["setting-type-compound-45"], MATERIALS["acrylic-latex-wall-paint"]
    assert next(p.litres for p in compound.packs if p.label == "25 lb") == pytest.approx(12.4738, rel=1e-4)
    assert next(p.litres for p in paint.packs if p.label == "1 gal" and not p.metric) == pytest.approx(3.785412)
    assert {pack.metric for pack in paint.packs} == {True, False}


def test_every_family_that_may_stand_in_for_another_says_what_it_is_fit_for():
    """`sooner` proposes another family only where it stands all that the one in use does (common practice)."""
    assert all(material.fit_for for material in TRADE.materials if material.group in SWAPPED)
    enamel, ceiling, wall = (
        set(MATERIALS[name].fit_for)
        for name in ("waterborne-alkyd-enamel", "acrylic-latex-ceiling-paint", "acrylic-latex-wall-paint")
    )
    assert not enamel <= ceiling and not enamel <= wall and not wall <= ceiling
