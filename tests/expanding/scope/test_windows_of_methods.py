"""A method may say until when a step has to follow, and what is due if it comes later, as with the haze of grout."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.model.facts import Facts
from scheduler.model.plan import Plan
from scheduler.pipeline import Wish, make_plan
from tests.expanding.scope.test_trade_order import before
from tests.support.scoped import graph_of, text_of, unfolded
from tests.support.told import breaks

HAZE = "splash: {on: [east wall], up to: 4 ft, do: tile}"
DAILY = "hours: {on: every day, from: 7:00, to: 21:00, people: 2}"
WEEKLY = "hours: {on: Monday, from: 8:00, to: 17:00}"
BRIEFLY = "hours: {on: Monday, from: 8:00, to: 11:30}"
RUSHED = """\
title: glue and press
source: invented for the test
steps:
  glue:
    title: "Glue: {part}"
    phase: fill
    work: {per: "1", takes: 1 h, source: invented for the test}
    lays: {material: pva-wood-glue}
  press:
    title: "Press: {part}"
    phase: fill
    after:
      glue:
        stage: handle
        within: 5 min
        remedy: {title: scrape the glue, work: 15 min, source: invented for the test}
    work: {per: "1", takes: 1 h, source: invented for the test}
"""


def planned(text: str, folder: Path | None = None) -> Plan:
    job, trade = unfolded(text, folder)
    return make_plan(job, trade, Facts(now=job.start), Wish(effort=1)).plan


def broken(plan: Plan) -> list[str]:
    return breaks(plan)


@pytest.mark.parametrize("grout", ["cement-grout", "epoxy-grout"])
def test_grout_haze_has_a_day_to_come_off(grout: str) -> None:
    """From 45 min to 24 h after grouting; later than that a haze remover is due first (advice pages, secondary)."""
    graph = graph_of(HAZE.replace("do: tile", f"do: {{tile: {{grout: {grout}}}}}"))
    (link,) = (link for link in graph.links if link.after == "splash-polish" and link.before == "splash-grout")
    assert (link.stage, link.wait, link.within) == (None, 45, 24 * 60)
    assert link.remedy is not None
    remedy = graph.task(link.remedy)
    assert remedy.remedy_of == ("splash-grout", "splash-polish")
    assert remedy.added is not None and remedy.added.kind == "added.too late" and remedy.added["within"] == 24 * 60
    assert any("gloves" in caution.text for caution in remedy.cautions)


@pytest.mark.parametrize("hours", [DAILY, WEEKLY])
def test_whoever_has_the_hours_polishes_in_time(hours: str) -> None:
    """On the same day, or the next one."""
    plan = planned(text_of(HAZE).replace(DAILY, hours))
    waited = plan.step("splash-polish").start - plan.step("splash-grout").end
    assert 45 <= waited <= 24 * 60
    assert not [step for step in plan.steps if step.added]


def test_whoever_has_too_few_hours_is_told_of_the_haze_remover() -> None:
    """The area takes so long that nothing is left of the morning, and the next one is a week away.

    New grout cures for at least two weeks before an acid comes on it (Ceramic Tile Institute of America, field report
    FR-4, found 2026).
    """
    plan = planned(text_of(HAZE).replace(DAILY, BRIEFLY))
    (remedy,) = (step for step in plan.steps if step.added)
    assert plan.step("splash-grout").end + 14 * 24 * 60 <= remedy.start
    assert remedy.end <= plan.step("splash-polish").start
    assert broken(plan) == []


def test_a_window_that_ends_before_the_film_is_ready_is_mended_when_it_is(tmp_path: Path) -> None:
    """Found by planning a bathroom: five minutes after glueing nothing may be touched yet, not by the remedy either.

    The remedy was planned before the glue held, and the checker said that the plan breaks a rule.
    """
    methods = tmp_path / "profiles" / "methods"
    methods.mkdir(parents=True)
    (methods / "glue-and-press.yaml").write_text(RUSHED, encoding="utf-8")
    plan = planned(text_of("panel: {on: [east wall], do: glue and press}"), tmp_path)
    glue, press = plan.step("panel-glue"), plan.step("panel-press")
    (remedy,) = (step for step in plan.steps if step.added)
    assert glue.film is not None
    assert glue.film.stages["handle"] <= remedy.start < remedy.end <= press.start
    assert broken(plan) == []


BETWEEN = """\
title: coats with a rub
source: invented for the test
options:
  coats: {number: 3}
steps:
  coat:
    title: "Coat {n}: {part}"
    phase: floor
    cycle: coats
    work: {per: "1", takes: 1 h, source: invented for the test}
    lays: {material: waterborne-polyurethane-floor}
  rub:
    title: "Rub after coat {n}: {part}"
    phase: floor
    cycle: coats
    between: yes
    kind: dusty
    ABRADES
    work: {per: "1", takes: 30 min, source: invented for the test}
  wipe:
    title: "Wipe after coat {n}: {part}"
    phase: floor
    cycle: coats
    between: yes
    kind: wipes
    work: {per: "1", takes: 10 min, source: invented for the test}
"""


@pytest.mark.parametrize(("abrades", "due"), [("abrades: yes", False), ("abrades: no", True)])
def test_a_rub_between_coats_is_the_remedy_of_a_window_that_closes(tmp_path: Path, abrades: str, due: bool) -> None:
    """The recoat window of the finish closes within days; on Mondays alone a coat comes a week after the one before.

    The method's own rub does what the remedy would do: both in the same hour were seen.
    """
    (tmp_path / "profiles" / "methods").mkdir(parents=True)
    (tmp_path / "profiles" / "methods" / "rubbed.yaml").write_text(BETWEEN.replace("ABRADES", abrades))
    plan = planned(text_of("floor: rubbed").replace(DAILY, WEEKLY), tmp_path)
    assert any(step.added is not None for step in plan.steps) is due
    assert not broken(plan)


def test_a_sanded_floor_gets_its_first_coat_within_two_days() -> None:
    """Bare wood takes up dirt and water (common practice, no source): later it is sanded lightly once more.

    Only the first coat: the second one lies on the first.
    """
    graph = graph_of("floor: varnish floor")
    limits = {link.after: link.within for link in graph.links if link.before == "floor-sand-edges" and link.within}
    assert limits["floor-coat-1"] == 2 * 24 * 60
    assert "floor-coat-2" not in limits


@pytest.mark.parametrize(
    ("scope", "first", "then", "minutes"),
    [
        ("floor: take up carpet", "floor-mist", "floor-cut-carpet", 120),
        ("walls: [wash: {dirt: grease or smoke}]", "walls-wash-east-wall", "walls-rinse-east-wall", 30),
        ("ceiling: [wash: {dirt: grease or smoke}]", "ceiling-wash", "ceiling-rinse", 30),
    ],
)
def test_what_is_wetted_is_dealt_with_before_it_is_dry_again(scope: str, first: str, then: str, minutes: int) -> None:
    """A carpet was misted a week before it was pulled up, and three walls stood in their suds while the fourth was
    washed (common practice, no source)."""
    assert [
        link.within for link in graph_of(scope).links if (link.before, link.after) == (first, then) and link.remedy
    ] == [minutes]


def test_underlay_is_rolled_out_when_the_planks_may_be_laid() -> None:
    """Boxes lie in for 48 h: underlay was rolled out a week before, and would have been walked on."""
    waits = {
        link.wait for link in graph_of("floor: click floor").links if link.after == "floor-underlay" and link.wait
    }
    assert waits == {48 * 60}


def test_walls_of_a_method_that_comes_again_keep_names_of_their_own(tmp_path: Path) -> None:
    """`each: wall` goes together with `cycle`: each coat of a wall follows the coat before on that wall alone."""
    text = BETWEEN.replace("ABRADES", "abrades: yes").replace("cycle: coats\n", "cycle: coats\n    each: wall\n")
    (tmp_path / "profiles" / "methods").mkdir(parents=True)
    text = text.replace("phase: floor", "phase: paint").replace("waterborne-polyurethane-floor", "shellac")
    (tmp_path / "profiles" / "methods" / "rubbed.yaml").write_text(text)
    job, _ = unfolded(text_of("walls: rubbed"), tmp_path)
    assert len({step.id for step in job.steps}) == len(job.steps) == 4 * (3 + 2 + 2)
    (second,) = (step for step in job.steps if step.id == "walls-coat-2-north-wall")
    assert {after.step for after in second.after} >= {"walls-wipe-1-north-wall"}
    assert all("north-wall" in after.step for after in second.after)


PAPER = """\
title: strip the paper
source: invented for the test
fits: [walls]
steps:
  wet:
    title: "Wet the paper: {part}"
    phase: strip
    each: wall
    kind: wet
    pause: no
    work: {per: area, takes: 18 m²/h, source: invented for the test}
  scrape:
    title: "Scrape it off: {part}"
    phase: strip
    each: wall
    pause: no
    work: {per: area, takes: 6 m²/h, source: invented for the test}
    after:
      wet:
        wait: 15 min
        within: 40 min
        remedy: {title: wet it again, work: 15 min, source: invented for the test}
"""
HALL = """\
job: Paper off the hall
start: 2027-02-06
zone: Europe/Paris
hours: {on: Saturday, %s}
rooms:
  hall: {length: 4 m, width: 3 m, height: 2.5 m, air: {day: 19 °C, night: 17 °C, humidity: 50 %%}}
scope:
  walls: [strip the paper]
"""


@pytest.mark.parametrize(
    ("hours", "again"), [("from: 9:00, to: 17:00, break: 12:00 to 13:00", False), ("from: 9:00, to: 11:20", True)]
)
def test_what_dries_within_the_hour_is_done_in_one_go(hours: str, again: bool, tmp_path: Path) -> None:
    """A wall is wetted shortly before it is scraped, not before lunch, though three walls with one wetted twice would
    end an hour and a half sooner. Where a wall of 10 m² (35 min, 15 min, 100 min) fits into no morning, it is wetted
    once more: there is a plan."""
    folder = tmp_path / "profiles" / "methods"
    folder.mkdir(parents=True)
    (folder / "strip-the-paper.yaml").write_text(PAPER, encoding="utf-8")
    plan = planned(HALL % hours, tmp_path)
    remedies = [step.id for step in plan.steps if step.added is not None]
    assert bool(remedies) is again
    assert breaks(plan) == []
    for wall in () if again else ("north", "east", "south", "west"):
        wet, scrape = (plan.step(f"walls-{step}-{wall}-wall") for step in ("wet", "scrape"))
        assert 15 <= scrape.start - wet.end <= 40


TWO_PARTS = """\
colours:
  sage: {on: walls, material: acrylic-latex-wall-paint, coats: 2}
  gloss: {on: base, material: waterborne-alkyd-enamel, coats: 2}
"""


def test_a_film_binds_no_step_that_only_meets_it_at_an_edge() -> None:
    """The primer of the walls has a window, within which their own coats follow. The bead above the base and the
    enamel below it wait until it is dry, and may come weeks later."""
    graph = graph_of(
        "walls: [patch, prime]\nbase: {along: floor, do: [fill, caulk, prime], measured: {holes: 30, joints: 12 ft}}",
        TWO_PARTS,
    )
    after = {link.after: link for link in graph.links if link.before == "walls-prime"}
    assert after["sage-coat-1"].until == "recoat_by"
    others = after.keys() - {"sage-coat-1"}
    assert {"base-caulk", "gloss-coat-1"} <= others
    assert {after[name].until for name in others} == {None}


def test_what_is_sealed_below_a_skim_coat_is_not_coated_again() -> None:
    """Torn paper is sealed and skimmed over: nobody scuffs that sealer before the walls are primed, weeks later."""
    graph = graph_of("wall: {on: north wall, do: [remove wallpaper, skim, prime]}")
    sealed = [link for link in graph.links if link.before == "wall-seal-torn"]
    assert sealed
    assert {link.until for link in sealed} == {None}


def test_a_primer_under_plaster_is_not_scuffed_for_the_mist_coat() -> None:
    """What lies under 3 mm of plaster nobody can abrade, and the mist coat lies on the plaster (common practice, no
    source). Where nothing is laid over it, whoever primes again after its window abrades it."""
    papered = "walls: [remove wallpaper, {}mist coat]"
    under, bare = (graph_of(papered.format(between)) for between in ("plaster: {over: old plaster}, ", ""))
    assert {"walls-seal-torn", "walls-skim-north-wall"} <= before(under, "walls-mist-1")
    assert not [task.id for task in under.tasks if task.remedy_of and task.remedy_of[1] == "walls-mist-1"]
    assert [task.remedy_of for task in bare.tasks if task.remedy_of and task.remedy_of[1] == "walls-mist-1"] == [
        ("walls-seal-torn", "walls-mist-1")
    ]
