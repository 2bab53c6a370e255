"""Cautions by region: every cell is filled, years are those of the region, and only what was read is cited."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from scheduler.expanding import expand
from scheduler.expanding.draft import sheet_weight
from scheduler.model.material import Caution, Trade
from scheduler.model.region import regions_of
from scheduler.reading.profiles import read_trade
from scheduler.reading.zonenames import country_of, country_said
from tests.cli.running import run
from tests.reading.test_every_number import mapping, shipped_profiles
from tests.support.scoped import unfolded

REGIONS = ("us", "uk", "de", "at", "eu", "elsewhere")

HAZARDS = (
    "lead paint", "asbestos", "silica", "wood dust", "solvent", "stripper", "isocyanate", "epoxy", "polyester filler",
    "oily rags", "flammable vapour", "carbon monoxide", "ladder", "nailer", "saw", "lifting", "glass",
    "wet electricity", "open boxes", "hidden lines", "water and drains", "cement", "acid", "mould", "noise",
    "egress and alarms", "household", "sleeping", "waste", "contact cement", "structure", "floor sander",
    "dust", "washing out",
)  # fmt: skip
"""What finishing a room by hand may do to somebody: a list drawn up apart from the profiles, by other hands."""


def cell(caution: Caution, region: str) -> str:
    """Whose rule a caution knows in a region: `+` its own, else the region that it falls back to; "" none."""
    chain = regions_of({"uk": "GB", "eu": "IT", "elsewhere": None}.get(region, region))  # Italy has none of its own
    found = next((where for where in chain if where in {name for name, _ in caution.rules}), "")
    asks = any(where in chain for where, _ in caution.asks)
    return "" if not found or not asks else "+" if found == region else found


@pytest.fixture(scope="module")
def trade() -> Trade:
    return read_trade(None)


@pytest.fixture(scope="module")
def named(trade: Trade) -> dict[str, Caution]:
    return {caution.name: caution for caution in trade.cautions}


@pytest.mark.parametrize("hazard", HAZARDS)
def test_every_hazard_has_a_rule_and_somebody_to_ask_in_every_region(named: dict[str, Caution], hazard: str) -> None:
    """A region that says nothing of its own is heard through the next one: Austria through the Union."""
    assert [region for region in REGIONS if not cell(named[hazard], region)] == []


def test_the_table_of_hazards_shows_what_is_empty_and_what_falls_back(named: dict[str, Caution]) -> None:
    """`python -m tests.trade`: its own rule, that of the next region, and none (nobody to ask counts as none)."""
    lead = named["lead paint"]
    assert [cell(lead, region) for region in REGIONS] == ["+"] * 6
    assert cell(replace(lead, rules=(("eu", "a rule"),)), "at") == "eu"
    assert cell(replace(lead, rules=(("us", "a rule"),)), "at") == ""
    assert cell(replace(lead, asks=()), "us") == ""


@pytest.mark.parametrize("hazard", HAZARDS)
def test_a_hazard_is_one_sentence_that_a_person_reads(named: dict[str, Caution], hazard: str) -> None:
    """At most 27 words, neutral of region, the rule never inside it."""
    text = named[hazard].text
    assert len(text.split()) <= 27
    assert not re.search(r"\b(CFR|NFPA|OSHA|TRGS|COSHH|EN \d|ISO)\b", text)


DANGERS = {
    "lead paint": ("lead", "mask"), "asbestos": ("asbestos", "licensed"), "silica": ("silica", "mask"),
    "wood dust": ("wood dust", "mask"), "dust": ("dust", "mask"),
    "solvent": ("fumes", "mask"), "stripper": ("burns", "gloves"),
    "isocyanate": ("isocyanates", "gloves"), "epoxy": ("sensitises", "gloves"), "polyester filler": ("fumes", "mask"),
    "oily rags": ("ignite", "water"), "flammable vapour": ("vapour", "flames"),
    "carbon monoxide": ("monoxide", "alarm"),
    "ladder": ("ladder", "three points"), "nailer": ("nailer", "trigger"), "saw": ("saw", "guard"),
    "lifting": ("heavy", "two carry"), "glass": ("glass", "gloves"), "wet electricity": ("electric", "RCD/GFCI"),
    "open boxes": ("boxes", "tested dead"), "hidden lines": ("cables and pipes", "find"),
    "water and drains": ("drains", "water off"), "washing out": ("drains", "bucket"),
    "cement": ("burns", "gloves"), "acid": ("acid", "goggles"),
    "mould": ("mould", "mask"), "noise": ("noise", "ear"), "egress and alarms": ("fire", "way out"),
    "household": ("children", "keep them out"), "sleeping": ("fresh coats", "airing"),
    "waste": ("hazardous waste", "keep apart"), "contact cement": ("flashes", "mask"),
    "structure": ("load", "engineer"), "floor sander": ("ignites", "mask"), "boxes": ("burn", "flush"),
    "wiring": ("live wires", "licensed electrician"),
}  # fmt: skip
"""What is dangerous and what protects from it, for each hazard: chosen by hand from its sentence, no source."""


@pytest.mark.parametrize("region", ["US", "GB", "IE", "DE", "AT", "NO", "CH", "AU", "NZ", "CA", "ZA", "IN", "JP"])
def test_a_hazard_in_a_few_words_still_names_the_danger_and_what_protects_from_it(trade: Trade, region: str) -> None:
    """At most 72 letters, so that it stands in one row of 80 beside its letter; with the mask where one helps."""
    assert {caution.name for caution in trade.cautions} == set(DANGERS)
    for caution in trade.cautions:
        short = caution.said(regions_of(region)).brief
        assert len(short) <= 72, short
        assert all(word in short for word in DANGERS[caution.name]), short


def _other_cautions(value: object) -> Iterator[Any]:
    """Every entry under `cautions` of a profile, however deep."""
    if isinstance(value, list):
        for part in value:
            yield from _other_cautions(part)
    if isinstance(value, dict):
        for name, part in value.items():
            if name == "cautions":
                yield from part if isinstance(part, list) else [part]
            else:
                yield from _other_cautions(part)


def test_every_other_caution_of_the_profiles_has_few_words_too_without_its_source() -> None:
    """Those of materials, of methods' steps and of remedies."""
    shipped = shipped_profiles()
    files = [path for folder in ("materials", "methods") for path in sorted((shipped / folder).iterdir())]
    found = [each for path in files for each in _other_cautions(mapping(path))]
    assert len(found) > 70
    for each in found:
        text, short = each["text"], each["short"]
        assert len(short) <= 72 and "(" not in short, short
        assert ("licensed" in text) <= ("licensed" in short or "local code" in short), "a trade is never cut out"
        assert ("asbestos" in text) <= ("asbestos" in short)


US_MEASURE = re.compile(r"\d (?:in|ft|lb|°F|gauge)(?![a-z])")
METRIC = re.compile(r"\d (?:mm|cm|m|°C|kg)(?![a-z])")


def test_a_measure_of_the_trade_is_told_in_both(trade: Trade) -> None:
    """Cautions and titles name a measure for whoever measures in inches, and for whoever does in millimetres."""
    shipped = shipped_profiles()
    files = [path for folder in ("materials", "methods") for path in sorted((shipped / folder).iterdir())]
    found = [each[form] for path in files for each in _other_cautions(mapping(path)) for form in ("text", "short")]
    found += [caution.said(regions_of(region)).brief for caution in trade.cautions for region in ("US", "DE")]
    found += [step["title"] for path in files for step in mapping(path).get("steps", {}).values() if "title" in step]
    measured = [said for said in found if US_MEASURE.search(said)]
    assert len(measured) > 20
    assert [said for said in measured if not METRIC.search(said)] == []


def test_what_is_cited_was_read(trade: Trade) -> None:
    """A wrong number in a citation is worse than none: where no rule of a region was seen, none is printed."""
    for caution in trade.cautions:
        for region, _ in caution.cites:
            rules = [rule for where, rule in caution.rules if where in (region, "elsewhere")]
            assert any("found" in rule or "secondary" in rule for rule in rules), (caution.name, region)
        assert not any("from memory" in cite for _, cite in caution.cites)


@pytest.mark.source("hazard-years")
@pytest.mark.parametrize(
    ("kind", "country", "built", "due"),
    [
        ("old paint", "US", 1977, True),
        ("old paint", "US", 1978, False),
        ("old paint", "GB", 1985, True),
        ("old paint", "GB", 1992, False),
        ("old paint", "DE", 1989, True),
        ("old paint", "DE", 1990, False),
        ("old paint", "JP", 2015, True),
        ("old texture", "US", 1979, True),
        ("old texture", "US", 1980, False),
        ("old texture", "GB", 1985, True),
        ("old texture", "GB", 2000, False),
        ("old texture", "DE", 1994, True),
        ("old texture", "DE", 1995, False),
        ("old texture", "AT", 2003, True),
        ("old texture", "AT", 2004, False),
        ("old texture", "IT", 2004, True),
        ("old texture", "IT", 2005, False),
        ("old texture", "AU", 2003, True),
        ("old texture", "AU", 2004, False),
        ("old texture", "IE", 1999, True),
        ("old texture", "IE", 2000, False),
        ("old paint", "IE", 2015, True),
        ("old texture", "NL", 1993, True),
        ("old texture", "NL", 1994, False),
        ("old texture", "CH", 1989, True),
        ("old texture", "CH", 1990, False),
        ("old texture", "NO", 2004, True),
        ("old texture", "NO", 2005, False),
        ("old texture", "NZ", 1999, True),
        ("old texture", "NZ", 2000, False),
        ("old paint", "NZ", 1989, True),
        ("old paint", "NZ", 1990, False),
        ("old texture", "ZA", 2008, True),
        ("old texture", "ZA", 2009, False),
        ("old texture", "IN", 2015, True),
        ("old texture", "JP", 2015, True),
    ],
)
def test_the_year_is_that_of_the_region(trade: Trade, kind: str, country: str, built: int, due: bool) -> None:
    """40 CFR 745.103 (before 1978) and 16 CFR 1304 (1978, with two years for old stock: from memory) in the US; a
    British trade paper of 2015 and advice pages; the German environment agency's notice of 2020 with the experts'
    margin to 1995; a university's and a waste authority's page in Austria; the Union's directive 1999/77/EC; the
    Australian network; the public information service of Ireland and the safety authority of New Zealand;
    chronologies of national bans for the Netherlands, Switzerland and South Africa; Norway by the Union's. In a
    country of which nothing is known, whatever is old is taken to hold it."""
    said = [c.name for c in trade.cautions if c.kind == kind and c.holds({kind}, regions_of(country), built)]
    assert bool(said) is due


def test_a_house_of_an_unknown_year_counts_as_old(trade: Trade) -> None:
    assert trade.cautions_for({"old texture"}, regions_of("GB"), None)


@pytest.mark.parametrize(
    ("zone", "country"),
    [
        *(("Europe/Dublin", "IE"), ("Europe/Zurich", "CH"), ("Europe/Oslo", "NO"), ("Africa/Johannesburg", "ZA")),
        *(("Asia/Kolkata", "IN"), ("Europe/Amsterdam", "NL"), ("Europe/Stockholm", "SE"), ("Europe/Helsinki", "FI")),
        *(("Pacific/Auckland", "NZ"), ("Europe/Copenhagen", "DK")),
        ("Europe/London", "GB"),
        ("Europe/Vienna", "AT"),
        ("America/Denver", "US"),
        ("US/Eastern", "US"),
        ("UTC", None),
    ],
)
def test_the_country_is_that_of_the_time_zone(zone: str, country: str | None) -> None:
    """Table zone.tab of the tz database; an old name of before 1993 begins with its country."""
    assert country_of(zone) == country


@pytest.mark.parametrize(
    ("said", "country"), [("Germany", "DE"), ("austria", "AT"), ("UK", "GB"), ("gb", "GB"), ("England", "GB")]
)
def test_a_country_is_said_by_its_name_or_its_two_letters(said: str, country: str) -> None:
    assert country_said(said) == country


def test_the_sentence_comes_first_and_the_rule_behind_it() -> None:
    caution = Caution(
        name="dust", text="mask on", kind="dusty", source="x", masks=(("eu", "FFP2"),), cites=(("de", "a rule"),),
        asks=(("elsewhere", "a doctor"),),
    )  # fmt: skip
    assert caution.said(regions_of("DE")).text == "dust: mask on (mask: FFP2; a rule)"
    assert caution.said(regions_of("FR")).text == "dust: mask on (mask: FFP2; ask: a doctor)"
    assert caution.said(regions_of(None)).text == "dust: mask on (ask: a doctor)"


JOB = """\
job: Flat
start: 2027-01-09
zone: {zone}
built: 1985
hours:
  - {{on: [Saturday, Sunday], from: 9:00, to: 17:00}}
rooms:
  hall: {{air: {{day: 20 °C, night: 16 °C, humidity: 50 %}}}}
steps:
  scrape: {{title: Scrape the old texture, work: 2 h, kind: dusty}}
  mirror: {{title: Take the mirror down, work: 20 min, dangers: glass}}
"""


def cautions(folder: Path, job: str) -> dict[str, list[str]]:
    (folder / "job.yaml").write_text(job, encoding="utf-8")
    ran = run("plan", str(folder), "--as-of", "2027-01-02", "--json")
    assert ran.code == 0, ran.err
    return {step["id"]: step["cautions"] for step in json.loads(ran.out)["steps"]}


def test_a_london_house_of_1985_may_hold_asbestos(tmp_path: Path) -> None:
    """In use there until 1999; in the US a house of 1985 is taken to be free of it."""
    london = cautions(tmp_path, JOB.format(zone="Europe/London"))
    assert any(said.startswith("asbestos: ") and "in use until 1999" in said for said in london["scrape"])
    assert [said.partition(":")[0] for said in london["mirror"]] == ["glass"]
    denver = cautions(tmp_path, JOB.format(zone="America/Denver"))
    assert not any(said.startswith("asbestos: ") for said in denver["scrape"])


def test_a_vienna_job_cites_no_rule_of_the_united_states(tmp_path: Path) -> None:
    vienna = cautions(tmp_path, JOB.format(zone="Europe/Vienna"))
    assert any("wholly banned 2004" in said for said in vienna["scrape"])
    assert not any("CFR" in said or "NIOSH" in said or "N95" in said for said in vienna["scrape"])


def test_where_goes_before_the_time_zone(tmp_path: Path) -> None:
    said = cautions(tmp_path, JOB.format(zone="America/Denver").replace("built", "where: Austria\nbuilt"))
    assert any("wholly banned 2004" in each for each in said["scrape"])


def test_a_country_that_is_none_is_refused_with_the_nearest(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text(JOB.format(zone="UTC").replace("built", "where: Austira\nbuilt"), "utf-8")
    ran = run("check", str(tmp_path))
    assert ran.code == 2
    assert "job.yaml:4:8: `Austira` is no country" in ran.out + ran.err
    assert "did you mean `Austria`?" in ran.out + ran.err


@pytest.mark.parametrize(
    ("name", "pounds"), [("3/4 in mdf", 100), ("1/2 in mdf sheet", 67), ("1/2 in drywall", 62), ("18 mm plywood", 71)]
)
def test_a_sheet_is_weighed_by_its_thickness(named: dict[str, Caution], name: str, pounds: float) -> None:
    """4 × 8 ft is 2.973 m²; of 3/4 in MDF at 800 kg/m³ 2.973 × 0.01905 × 800 = 45.3 kg, 100 lb. Sellers say, from
    memory: MDF 3/4 in about 100 lb, 1/2 in 67; 1/2 in drywall 50 to 65."""
    kilograms = sheet_weight(name, named["lifting"].densities)
    assert kilograms is not None
    assert kilograms / 0.45359 == pytest.approx(pounds, abs=1)


@pytest.mark.parametrize("name", ["mdf", "backer sheet", "3/4 in glass"])
def test_what_says_no_thickness_or_is_unknown_is_not_weighed(named: dict[str, Caution], name: str) -> None:
    assert sheet_weight(name, named["lifting"].densities) is None


def test_a_step_that_lifts_sheets_says_what_one_weighs(tmp_path: Path) -> None:
    job = JOB.format(zone="America/Denver").replace("dangers: glass", "dangers: lifting, uses: {3/4 in mdf: 3}")
    said = cautions(tmp_path, job)["mirror"]
    assert "weight: a sheet of 3/4 in mdf, 4 × 8 ft, weighs about 100 lb (computed, density from memory)" in said


COLD = """\
job: Garage
start: 2027-01-09
zone: America/Denver
hours:
  - {on: [Saturday, Sunday], from: 9:00, to: 17:00}
rooms:
  garage:
    air:
      - {day: 64 °F, night: 40 °F, humidity: 30 %}
      - {since: 2027-02-06, day: 64 °F, night: 55 °F, humidity: 30 %}
steps:
  door: {work: 1 h, lays: waterborne-alkyd-enamel}
"""


def test_a_plan_that_advises_to_heat_says_with_what_not(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text(COLD, encoding="utf-8")
    ran = run("plan", str(tmp_path), "--as-of", "2027-01-02", "--json")
    said = json.loads(ran.out)["warnings"]
    assert any("heat the room to at least 50 °F" in each for each in said)
    assert sum(each.startswith("carbon monoxide: fuel heaters and generators kill") for each in said) == 1


def test_dry_says_so_too_and_only_where_it_advises_to_heat() -> None:
    cold, fit = (
        " ".join(run("dry", "acrylic-latex-wall-paint", "--temp", temp, "--zone", "America/Denver").out.split())
        for temp in ("8C", "20C")
    )
    assert "heat the room to at least 10 °C" in cold
    assert "carbon monoxide: fuel heaters and generators kill" in cold
    assert "carbon monoxide" not in fit


FREEZING = COLD.replace(
    "- {since: 2027-02-06, day: 64 °F, night: 55 °F, humidity: 30 %}",
    "- {since: 2027-02-06, day: 64 °F, night: 41 °F, humidity: 30 %}",
)


def test_a_refusal_that_advises_to_heat_says_with_what_not(tmp_path: Path) -> None:
    """No night is warm enough for the enamel (50 °F until the recoat), and the tool says: heat."""
    (tmp_path / "job.yaml").write_text(FREEZING, encoding="utf-8")
    ran = run("plan", str(tmp_path), "--as-of", "2027-01-02", "--json")
    assert ran.code == 1
    assert "heat the room to at least 50 °F at night" in json.loads(ran.out)["remedy"]
    (said,) = json.loads(ran.out)["cautions"]
    assert said.startswith("carbon monoxide: fuel heaters and generators kill")
    assert f"Beware: {said}" in ran.err.splitlines()


def test_a_refusal_that_is_not_of_the_air_speaks_of_no_heater(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text(
        FREEZING.replace("work: 1 h, lays: waterborne-alkyd-enamel", "work: 9 h, pause: no"), encoding="utf-8"
    )
    ran = run("plan", str(tmp_path), "--as-of", "2027-01-02", "--json")
    assert ran.code == 1
    assert json.loads(ran.out)["cautions"] == []


def test_what_is_sooner_by_heating_says_with_what_not(tmp_path: Path) -> None:
    """Warmer nights bring the second coat forward; a helper brings no caution of heaters with it."""
    job = (
        FREEZING.replace("night: 4", "night: 5")
        + "  again: {work: 1 h, lays: waterborne-alkyd-enamel, follows: {door: recoat}}\n"
    )
    job += "  hang: {work: 1 h, follows: {again: use}}\n"
    days = job.replace(
        "[Saturday, Sunday], from: 9:00, to: 17:00", "[Saturday, Sunday, Monday, Tuesday], from: 9:00, to: 11:00"
    )
    (tmp_path / "job.yaml").write_text(days, encoding="utf-8")
    ran = run("sooner", str(tmp_path), "--as-of", "2027-01-02", "--json")
    found = {entry["kind"]: entry["cautions"] for entry in json.loads(ran.out)}
    warm = {kind for kind in found if kind.startswith("warmer")}
    assert warm
    assert warm < set(found)
    for kind, cautions in found.items():
        assert [said.partition(":")[0] for said in cautions] == (["carbon monoxide"] if kind in warm else [])


def test_a_rule_of_the_air_that_gave_way_says_with_what_not_to_heat(tmp_path: Path) -> None:
    """Once something is recorded there is always a plan: it lays the enamel into the frost, and says to heat."""
    job = FREEZING.replace("steps:\n", "steps:\n  clean: {work: 1 h}\n")
    (tmp_path / "job.yaml").write_text(job, encoding="utf-8")
    assert run("did", str(tmp_path), "clean", "--at", "10:00", "--as-of", "2027-01-09 11:00").code == 0
    ran = run("plan", str(tmp_path), "--as-of", "2027-01-09 11:00", "--json")
    assert ran.code == 0, ran.err
    said = json.loads(ran.out)["warnings"]
    assert sum(each.startswith("carbon monoxide: fuel heaters and generators kill") for each in said) == 1


GARAGE = """\
job: Test
start: 2027-01-09
zone: Europe/Dublin
measures: metric
built: 1990
hours: {on: every day, from: 8:00, to: 18:00}
rooms:
  garage: {length: 5 m, width: 3 m, height: 2.4 m, air: {day: 18 °C, night: 16 °C, humidity: 50 %}}
  study: {length: 4 m, width: 3 m, height: 2.4 m, air: {day: 20 °C, night: 18 °C, humidity: 50 %}}
scope:
  garage walls: {surface: walls, room: garage, do: paint walls}
  study walls: {surface: walls, room: study, do: [patch, paint walls]}
steps:
  chases: {work: 2 h, room: study, kind: [dusty, noisy]}
  sweep: {work: 20 min, room: study, kind: wipes, follows: chases}
"""


@pytest.fixture(scope="module")
def garage() -> dict[str, str]:
    """The cautions of each step, in one text."""
    job, known = unfolded(GARAGE)
    return {task.id: " | ".join(each.text for each in task.cautions) for task in expand(job, known).tasks}


def test_nobody_is_told_not_to_sleep_in_a_garage(garage: dict[str, str]) -> None:
    assert "sleeping" in garage["study-walls-coat-1"]
    assert "sleeping" not in garage["garage-walls-coat-1"]


def test_a_patch_says_what_goes_down_no_drain_and_nothing_of_taps(garage: dict[str, str]) -> None:
    assert "down any drain" in garage["study-walls-patch"]
    assert "taps" not in garage["study-walls-patch"]


def test_a_loud_step_of_ones_own_makes_no_wood_dust_that_nobody_spoke_of(garage: dict[str, str]) -> None:
    """It may cut chases in masonry: the dust is said for the worse of the two."""
    assert "of masonry above all" in garage["chases"]
    assert "wood and MDF dust" not in garage["chases"]


def test_a_limit_of_noise_has_its_unit(trade: Trade) -> None:
    noise = next(each for each in trade.cautions if each.name == "noise")
    for country in ("US", "GB", "IE", "DE", "AU", "NZ", "CA", "ZA"):
        assert re.search(r"\(ear protection: .*\d dB\(A\)", noise.said(regions_of(country)).text)
