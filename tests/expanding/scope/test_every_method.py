"""Every shipped method is used by a job that plans, says where its numbers come from, and how long it takes."""

from __future__ import annotations

import re
from typing import Any

import pytest

from scheduler.model.facts import Facts
from scheduler.model.material import CAUTION_KINDS
from scheduler.model.method import PHASES, Method
from scheduler.pipeline import Wish, make_plan
from scheduler.reading.methods import read_methods
from tests.support.builders import minute
from tests.support.scoped import graph_of, text_of, unfolded
from tests.support.told import breaks

METHODS = read_methods(None).loaded
TAGS = re.compile(r"found|secondary|from memory|common practice, no source|as (the|glued)")
WINDOW = "window: {on: east wall, width: 3 ft, height: 3 ft, sill: 3 ft}"
OPENINGS = f"{{{WINDOW}, door: {{on: south wall, width: 3 ft, height: 7 ft}}}}"
ON = {
    "room": "den: [{call}]",
    "walls": "walls: [{call}]",
    "panel": "wainscot: {{on: [east wall, west wall], up to: 1/2, do: [{call}]}}",
    "ceiling": "ceiling: [{call}]",
    "floor": "floor: [{call}]",
    "trim": "frame: {{around: [window, door], along: floor, do: [{call}]}}",
    "doors": "doors: [{call}]",
    "other": "thing: {{do: [{call}]{counted}}}",
}
COUNTED = {
    **{"fill": "measured: {holes: 30}", "sand": "measured: {holes: 30}", "caulk": "measured: {joints: 20 ft}"},
    **{
        "prime": "area: 40 ft²",
        "seal": "length: 10 ft",
        "shelves": "length: 10 ft, count: 3",
        "mask": "length: 10 ft",
        "renew-joint": "length: 10 ft",
        "paint-stair": "count: 13",
        "paint-fronts": "count: 6",
        "paint-radiators": "count: 20",
    },
}
"""What there is of a thing that has no measures of its own, by the method that goes by it."""
SAID = {
    "strip-trim-and-covers": ["{boxes: 3, old trim: 30 ft, loose paint: to scrape}", "{old trim: 30 ft}"],
    "put-back": ["{boxes: 3}"],
    "hang-a-door": ["{leaf: new in an old frame, edges: planed or cut}", "{leaf: bifold or sliding}"],
    "tile-backer": ["{valve: new by a plumber}"],
    "patch": ["{stains: 2, second: second coat where it shrank}", "{cracks: 6 ft, large holes: 1}"],
    "skim": ["{over: old texture, below: bonding primer}", "{over: new board}"],
    "backer": ["{fixing: glued and nailed}", "{fixing: glued only, over: old texture}"],
    "box-extenders": ["{boxes: 4}"],
    "fill": ["{second: second fill of deep holes, nails: standing proud}"],
    "base": ["{floor: uneven, backs: to prime}", "{fixing: screwed into plugs}", "{fixing: glued}"],
    "case-an-opening": ["{jambs: to extend}"],
    "plaster": ["{corners: 2 m}", "{over: old plaster}"],
    "coat-concrete": [
        "{cracks: 3 m}",
        "{face: etched, cracks: 3 m}",
        "{face: painted before, first: none, cracks: 3 m}",
    ],
    "shoe": ["{bought: raw}"],
    "oil-floor": ["{pad: between coats}"],
    "varnish-floor": ["{cloth: damp}", "{cloth: vacuum and tack cloth}", "{colour: stained}"],
    "wipe-down": ["{cloth: wet}", "{cloth: barely damp}"],
    "sand": ["{over: old paint}", "{over: old texture}", "{over: new work}"],
    "caulk": ["{when: before prime}", "{when: after prime}"],
    "prime": ["{spots: 3}"],
    "seal": ["{old: old sealant to cut out}"],
    "paint-trim": ["{doors: 1}", "{rub: between coats}"],
    "paint-doors": ["{rub: between coats, leaves: off on trestles, handles: off and on}"],
    "wash": ["{mould: 2}", "{dirt: grease or smoke, old paint: glossy}"],
    "drywall": ["{finish: under gloss or side light, corners: 8 ft, wiring: by an electrician, pipes: by a plumber}"],
    "click-floor": [
        "{uneven: 5, dragging doors: 1}",
        "{planks: engineered wood, over: concrete}",
    ],
    "take-up-carpet": [
        "{stairs: 3, stains: to seal}",
        "{pad: glued, below: concrete}",
    ],
    "remove-wallpaper": [
        "{paper: strippable vinyl, wetted: wall by wall}",
        "{paper: painted or wood chip}",
    ],
    "paint-windows": ["{stuck: 1, putty: 1}", "{glass: masked}"],
    "renew-joint": ["{grout: 2 ft}", "{old: latex}"],
    "tile": ["{sealer: grout sealer}", "{laid: large on a floor}", "{over: old tile}"],
    "paint-stair": [
        "{balusters: 20, loose parts: 2, turned: turned}",
        "{treads: all in one go, rail: clear, balusters: 20}",
    ],
    "paint-fronts": ["{holes: 4, new handles: 6}"],
    "paint-radiators": ["{rust: 3}"],
    "rails-and-battens": ["{floor: uneven}"],
}
COVERED = ("fill", "sand", "wipe-down", "caulk", "mask", "prime", "seal")
"""Methods for any surface; tried on something that has holes and joints."""


WIPED = ("sand", "varnish-floor")
"""Methods that make dust and leave the wiping to another."""


def cases() -> list[tuple[str, str, str]]:
    found = []
    for name, method in METHODS.items():
        surface = "other" if name in (*COVERED, "paint-fronts") else (method.fits or ("other",))[0]
        found += [(name, surface, said) for said in SAID.get(name, [""])]
    return found


def on(surface: str, name: str, call: str) -> str:
    counted = f", {COUNTED[name]}" if name in COUNTED else ""
    return ON[surface].format(call=call, counted=counted)


def marked(case: tuple[str, str, str]) -> Any:
    """Who scrapes wallpaper with whom is settled by proofs, whatever the effort."""
    return pytest.param(*case, marks=[pytest.mark.long] if case[0] == "remove-wallpaper" else [])


@pytest.mark.parametrize(("name", "surface", "said"), [marked(case) for case in cases()])
def test_a_job_that_uses_it_plans_and_the_verifier_accepts(name: str, surface: str, said: str) -> None:
    call = f"{name}: {said}" if said else name
    wipe = "\nden: [wipe down]" if surface != "room" and name in WIPED else ""
    job, trade = unfolded(text_of(on(surface, name, call) + wipe, openings=OPENINGS))
    made = {template.id for template in METHODS[name].templates if any(template.id in step.id for step in job.steps)}
    assert made, "it brings no step"
    plan = make_plan(job, trade, Facts(now=minute("2027-01-01")), Wish(effort=100)).plan
    assert {step.id for step in job.steps} <= {step.id for step in plan.steps}
    assert not breaks(plan)


@pytest.mark.parametrize("case", cases(), ids=lambda case: f"{case[0]} {case[2]}")
def test_what_is_on_order_for_a_method_is_waited_for(case: tuple[str, str, str]) -> None:
    """`needs` on a call holds back some step of every method, whatever its options: none takes it in silence."""
    name, surface, said = case
    call = f"{name}: {{{f'{said[1:-1]}, ' if said else ''}needs: parts}}"
    wipe = "\nden: [wipe down]" if surface != "room" and name in WIPED else ""
    text = text_of(on(surface, name, call) + wipe, openings=OPENINGS)
    ordered = "on order: {parts: {comes: 2027-03-01}}\nscope:\n"
    job = unfolded(text.replace("scope:\n", ordered, 1))[0]
    assert any(step.needs == ("parts",) for step in job.steps)


def test_the_studs_are_looked_at_before_the_boards_come() -> None:
    """Who looks at the studs, and the electrician after that, need no board: the boards are carried in once there."""
    text = text_of("walls: [drywall: {needs: parts, wiring: by an electrician}]")
    ordered = "on order: {parts: {comes: 2027-03-01}}\nscope:\n"
    waits = {step.id for step in unfolded(text.replace("scope:\n", ordered, 1))[0].steps if step.needs}
    assert "walls-carry-boards" in waits
    assert not waits & {"walls-check-studs", "walls-wire"}


def test_every_template_is_made_by_some_of_these_jobs() -> None:
    """No template of a shipped method that nobody ever sees."""
    seen: set[str] = set()
    for name, surface, said in cases():
        job, _ = unfolded(text_of(on(surface, name, f"{name}: {said}" if said else name), openings=OPENINGS))
        ids = {step.id for step in job.steps}
        seen |= {f"{name}/{each.id}" for each in METHODS[name].templates if any(f"-{each.id}" in one for one in ids)}
    assert {f"{name}/{each.id}" for name, method in METHODS.items() for each in method.templates} == seen


@pytest.mark.parametrize("method", METHODS.values(), ids=lambda method: method.id)
def test_it_says_where_its_rates_come_from(method: Method) -> None:
    for template in method.templates:
        for labour in template.labour:
            assert TAGS.search(labour.source), f"{template.id}: {labour.source}"
        assert template.phase in PHASES
        assert set(template.dangers) <= set(CAUTION_KINDS)
    assert 1 <= method.learning <= 3


def test_the_list_of_the_trade_is_shipped() -> None:
    """What the project asks for at least, in its own words."""
    assert set(METHODS) >= {
        *("clear-and-protect", "strip-trim-and-covers", "patch", "skim", "backer", "box-extenders"),
        *("rails-and-battens", "panel-mouldings", "base", "crown", "case-an-opening", "hang-a-door", "shelves"),
        *("fill", "sand", "wipe-down", "caulk", "mask", "prime", "paint-walls", "paint-ceiling", "paint-trim"),
        *("paint-doors", "varnish-floor", "oil-floor", "tile", "seal", "put-back", "final-clean"),
    }


def test_sanding_and_stripping_of_the_old_says_so_and_sawing_of_new_boards_does_not() -> None:
    for method in METHODS.values():
        for template in method.templates:
            if template.saw:
                assert not template.disturbs, f"{method.id}/{template.id}"
    assert {"old paint"} <= {old for each in METHODS["strip-trim-and-covers"].templates for old in each.disturbs}


@pytest.mark.parametrize(
    ("said", "times"),
    [("", {"set-tile": 1, "grout": 1}), ("{adhesive: premixed-tile-adhesive}", {"set-tile": 0, "grout": 1})],
)
def test_cement_is_warned_of_once_and_where_there_is_some(said: str, times: dict[str, int]) -> None:
    """Mortar and grout bring the caution of cement themselves: a ready-mixed adhesive holds none. Tile is cut wet."""
    graph = graph_of(f"splash: {{on: north wall, do: [tile: {said or '{}'}]}}")
    for name, count in times.items():
        cautions = [caution.text for caution in graph.task(f"splash-{name}").cautions]
        assert sum("cement burns" in words for words in cautions) == count, name
    assert any("cut and drill wet" in caution.text for caution in graph.task("splash-cut-tile").cautions)


@pytest.mark.parametrize(
    ("said", "wiped"), [("{boxes: 3}", 0), ("{old trim: 10 ft}", 1), ("{loose paint: to scrape}", 1)]
)
def test_nobody_vacuums_where_nothing_made_dust(said: str, wiped: int) -> None:
    """Cover plates come off without dust; trim that is pried off and paint that is scraped off leave some."""
    graph = graph_of(f"den: [strip trim and covers: {said}]")
    assert len([task for task in graph.tasks if task.wipes and task.work.likely]) == wiped


@pytest.mark.parametrize("call", ["varnish floor", "oil floor"])
def test_the_hired_sanders_are_fetched_before_the_floor_is_sanded(call: str) -> None:
    """They are not used up, and nobody gets far without them."""
    graph = graph_of(f"floor: [{call}]\nden: [wipe down]")
    (sanding,) = (task for task in graph.tasks if "three passes" in task.title and task.remedy_of is None)
    assert [use.amount for use in sanding.uses if use.what == "floor sander"] == [2], "the drum and the edger"
