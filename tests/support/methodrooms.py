"""Rooms with methods on their parts: each method alone, in its usual company, and any on any part by chance.

`unordered` holds a plan against profiles/order.yaml, read as plain YAML and applied by code of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import product
from random import Random
from typing import Any

import networkx as nx
from ruamel.yaml import YAML

from scheduler.model.plan import Plan, PlannedStep
from scheduler.reading.shipped import shipped_profiles

HEAD = """\
job: {name}
start: 2027-01-09
zone: America/Denver
measures: US
built: 1964
hours:
  - {{on: Saturday, from: 8:30, to: 17:00, people: 2, break: 12:00 to 12:45}}
  - {{on: Sunday, from: 10:00, to: 16:00, people: 2}}
rooms:
  den:
    length: {length} ft
    width: {width} ft
    height: 8 ft
    openings:
      window: {{on: east wall, width: 3 ft, height: 4 ft, sill: 3 ft}}
      door: {{on: south wall, width: 32 in, height: 80 in}}
    air: {{day: 68 °F, night: 62 °F, humidity: 45 %}}
scope:
"""

PARTS: Mapping[str, tuple[str, str]] = {
    "ceiling": ("ceiling", ""),
    "walls": ("walls", ""),
    "panel": ("panel", "on: north wall, up to: 4 ft"),
    "casing": ("trim", "around: [window, door]"),
    "crown": ("trim", "along: ceiling"),
    "base": ("trim", "along: floor"),
    "leaf": ("doors", "surface: doors, around: door"),
    "floor": ("floor", ""),
    "shelf": ("other", ""),
}
"""Parts of a room: their kind, and how they are measured."""

ON: Mapping[str, tuple[str, ...]] = {
    "ceiling": ("wash", "drywall", "skim", "patch", "sand", "wipe down", "prime", "paint ceiling"),
    "walls": (
        *(
            "wash",
            "remove wallpaper",
            "drywall",
            "skim",
            "patch",
            "sand",
            "wipe down",
            "mask",
            "prime",
            "paint walls",
        ),
        *("strip tile", "tile backer", "membrane", "tile"),
    ),
    "panel": (
        "backer",
        "rails and battens",
        "panel mouldings",
        "wash",
        "prime",
        "paint panel",
        "tile",
        "stain and clear",
    ),
    "casing": ("wash", "hang a door", "case an opening", "fill", "sand", "caulk", "mask", "prime", "paint trim"),
    "crown": ("crown", "fill", "caulk", "prime", "paint trim"),
    "base": ("base", "fill", "sand", "caulk", "mask", "prime", "paint trim", "shoe", "stain and clear"),
    "leaf": ("wash", "sand", "prime", "paint doors"),
    "floor": ("take up carpet", "click floor", "varnish floor", "oil floor", "tile"),
    "shelf": ("shelves", "fill", "sand", "prime", "stain and clear"),
}
"""What people do to them."""


ALONE: Mapping[str, str] = {
    "backer": "panel: {on: north wall, up to: 4 ft, do: backer}",
    "base": "base: {along: floor, do: base}",
    "box-extenders": "walls: [box extenders: {boxes: 3}]",
    "case-an-opening": "casing: {around: [window, door], do: case an opening}",
    "caulk": "walls: {do: caulk, measured: {joints: 30 ft}}",
    "clear-and-protect": "den: clear and protect",
    "click-floor": "floor: [click floor: {uneven: 5}]",
    "crown": "crown: {along: ceiling, do: crown}",
    "drywall": "walls: drywall",
    "fill": "walls: {do: fill, measured: {holes: 40}}",
    "final-clean": "den: final clean",
    "hang-a-door": "casing: {around: door, do: hang a door}",
    "mask": "base: {along: floor, do: mask}",
    "membrane": "walls: {on: north wall, do: membrane}",
    "oil-floor": "den: wipe down\nfloor: oil floor",
    "paint-ceiling": "ceiling: paint ceiling",
    "paint-doors": "leaf: {surface: doors, around: door, do: paint doors}",
    "paint-fronts": "shelf: {count: 20, do: [paint fronts: {holes: 40}]}",
    "paint-panel": "panel: {on: north wall, up to: 4 ft, do: paint panel}",
    "paint-radiators": "shelf: {count: 20, do: [paint radiators: {rust: 3}]}",
    "paint-stair": "shelf: {count: 13, do: [paint stair: {balusters: 26}]}",
    "paint-trim": "base: {along: floor, do: paint trim}",
    "paint-walls": "walls: paint walls",
    "paint-windows": "casing: {around: window, do: [paint windows: {stuck: 1}]}",
    "panel-mouldings": "panel: {on: north wall, up to: 4 ft, do: panel mouldings}",
    "patch": "walls: patch",
    "prime": "walls: prime",
    "put-back": "den: put back",
    "rails-and-battens": "panel: {on: north wall, up to: 4 ft, do: rails and battens}",
    "remove-wallpaper": "walls: remove wallpaper",
    "renew-joint": "shelf: {length: 16 ft, do: renew joint}",
    "sand": "den: wipe down\nwalls: sand",
    "seal": "shelf: {length: 16 ft, do: seal}",
    "shelves": "shelf: {length: 12 ft, count: 3, do: shelves}",
    "shoe": "base: {along: floor, do: shoe}",
    "skim": "walls: skim",
    "stain-and-clear": "base: {along: floor, do: stain and clear}",
    "strip-tile": "walls: {on: north wall, do: strip tile}",
    "strip-trim-and-covers": "den: [strip trim and covers: {boxes: 3, old trim: 40 ft}]",
    "take-up-carpet": "floor: take up carpet",
    "tile": "walls: {on: north wall, do: tile}",
    "tile-backer": "walls: {on: north wall, do: tile backer}",
    "varnish-floor": "den: wipe down\nfloor: varnish floor",
    "wash": "walls: wash",
    "wipe-down": "den: wipe down",
}
"""A job for each method alone."""

COMPANY: Mapping[str, str] = {
    "base": "den: wipe down\nfloor: varnish floor\nbase: {along: floor, do: [base, fill, sand, wipe down, caulk, "
    "prime, paint trim]}\nwalls: [patch, prime, paint walls]",
    "click-floor": "den: wipe down\nwalls: [patch, prime, paint walls]\nfloor: [take up carpet, click floor]\n"
    "base: {along: floor, do: [base, fill, wipe down, caulk, prime, paint trim]}",
    "crown": "den: wipe down\nceiling: [patch, prime, paint ceiling]\ncrown: {along: ceiling, do: [crown, fill, "
    "caulk, prime, paint trim]}\nwalls: [patch, prime, paint walls]",
    "drywall": "ceiling: [drywall, prime, paint ceiling]\n"
    "walls: [drywall, prime: {primer: latex-drywall-primer}, paint walls]",
    "hang-a-door": "den: wipe down\ncasing: {around: door, do: [hang a door, case an opening, fill, wipe down, "
    "caulk, prime, paint trim]}\nleaf: {surface: doors, around: door, do: [sand, wipe down, prime, paint doors]}",
    "remove-wallpaper": "den: wipe down\nwalls: [remove wallpaper, patch, prime, paint walls]\n"
    "ceiling: [wash, paint ceiling]",
    "tile": "walls: {on: north wall, do: [strip tile, tile backer, membrane: {pipes: 3}, "
    "tile: {sealer: grout sealer}]}\nshelf: {length: 12 ft, over: walls, do: seal}",
    "wash": "den: wipe down\nceiling: [wash, paint ceiling]\n"
    "walls: [wash: {dirt: grease or smoke, old paint: glossy}, patch, prime, paint walls]\n"
    "base: {along: floor, do: [wash, sand, wipe down, caulk, prime, paint trim], measured: {joints: 48 ft}}",
}
"""Methods that meet others, with those that they usually meet."""


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan, and the `scope` of its file as plain YAML."""

    plan: Plan
    scope: Mapping[str, Any]


def job_text(scope: str, name: str = "room", length: int = 14, width: int = 12) -> str:
    """A job file of one room, two people at weekends, with this scope."""
    lines = "".join(f"  {line}\n" for line in scope.splitlines())
    return HEAD.format(name=name, length=length, width=width) + lines


ROOM = "den-"
"""What the steps of the room as a whole are called."""
DUSTY = {"sand", "drywall", "tile backer"}
"""Methods after which a room is wiped down."""
FINISHES = ("varnish floor", "oil floor", "tile", "click floor")
"""A surface gets one of them."""
LEAVES = {"base", "crown", "case an opening", "shelves"}
"""Methods that leave holes and joints."""


def drawn(random: Random) -> str:
    """A room with one to five parts, and one to four methods on each; dust is wiped up."""
    lines = ["den: [wipe down]"]
    for name in random.sample(sorted(PARTS), random.randint(1, 5)):
        methods = random.sample(ON[name], random.randint(1, min(4, len(ON[name]))))
        finishes = [each for each in methods if each in FINISHES]
        methods = [each for each in methods if each not in finishes[1:]]
        if DUSTY & {*methods} and "wipe down" not in methods:
            methods.append("wipe down")
        said = [PARTS[name][1]] if PARTS[name][1] else []
        if name == "shelf":
            said = ["length: 12 ft, count: 3"] if "shelves" in methods else []
            said += ["area: 24 ft²"] if {"sand", "prime", "stain and clear", "wipe down"} & {*methods} else []
        left = {"fill": "holes: 30", "caulk": "joints: 20 ft"}
        counted = [each for method, each in left.items() if method in methods and not LEAVES & {*methods}]
        said += [f"measured: {{{', '.join(counted)}}}"] if counted else []
        lines.append(f"{name}: {{{', '.join([*said, 'do: [' + ', '.join(methods) + ']'])}}}")
    return job_text("\n".join(lines), length=random.randint(8, 18), width=random.randint(7, 14))


def missing(one: Planned) -> Iterator[str]:
    """Each method of a scope that no step of the plan comes of."""
    for part, said in one.scope.items():
        calls = (said if not isinstance(said, dict) else said["do"]) or []
        for call in [calls] if isinstance(calls, str) else calls:
            name = (call if isinstance(call, str) else next(iter(call))).replace(" ", "-")
            ids = {(each.get("id") or key).replace(" ", "-") for key, each in _methods()[name]["steps"].items()}
            if not any(step.id.startswith(f"{part}-{each}") for each in ids for step in one.plan.steps):
                yield f"no step comes of `{name}` on `{part}`"


def unordered(one: Planned) -> Iterator[str]:
    """Each pair of steps of a plan that stands the wrong way round by a rule of the trade.

    What a rule asks is not asked where an earlier one, the order on one part or of the room as a whole asks for the
    opposite.
    """
    placed = (_placed(step, one.scope, _methods()) for step in one.plan.steps)
    steps = [each for each in placed if each is not None]
    asked = nx.DiGraph(
        (after.step, each["step"].id)
        for each in steps
        for after in each["step"].after
        if any(other["step"].id == after.step and other["part"] == each["part"] for other in steps)
    )
    asked.add_edges_from(
        (after.step, step.id)
        for step in one.plan.steps
        for after in step.after
        if step.id.startswith(ROOM) or after.step.startswith(ROOM)
    )
    asked.add_nodes_from(each["step"].id for each in steps)
    for name, rule in _loaded(shipped_profiles() / "order.yaml")["rules"].items():
        firsts = [each for each in steps if _is_in(each, rule["first"], steps)]
        thens = [each for each in steps if _is_in(each, rule["then"], steps)]
        pairs = [pair for pair in product(firsts, thens) if _is_bound(rule, *pair, firsts, thens)]
        for first, then in pairs:
            mine, theirs = first["step"], then["step"]
            if nx.has_path(asked, theirs.id, mine.id):
                continue
            asked.add_edge(mine.id, theirs.id)
            if mine.end > theirs.start:
                yield f"{name}: {mine.id} ends after {theirs.id} begins"


def _is_bound(
    rule: Mapping[str, Any],
    first: dict[str, Any],
    then: dict[str, Any],
    firsts: list[dict[str, Any]],
    thens: list[dict[str, Any]],
) -> bool:
    """Whether a rule speaks of these two: not of two on one surface, unless it goes by what they do."""
    by_deed = "does" in rule["first"] and "does" in rule["then"]
    if (first["part"] == then["part"] and not by_deed) or first in thens or then in firsts:
        return False
    return not rule.get("same_opening") or bool(set(first["around"]) & set(then["around"]))


@cache
def _methods() -> Mapping[str, Any]:
    return {path.stem: _loaded(path) for path in (shipped_profiles() / "methods").glob("*.yaml")}


def _loaded(path: Any) -> Any:
    return YAML(typ="safe").load(path.read_text("utf-8"))


def _placed(step: PlannedStep, scope: Mapping[str, Any], methods: Mapping[str, Any]) -> dict[str, Any] | None:
    """A step with the part, the kind, the phase and the deeds that the file of its method gives it; no remedy."""
    if step.added is not None:
        return None
    for part in sorted(scope, key=len, reverse=True):
        if not step.id.startswith(f"{part}-") or part not in PARTS:
            continue
        said = scope[part] if isinstance(scope[part], dict) else {"do": scope[part]}
        for call in [said["do"]] if isinstance(said["do"], str) else said["do"]:
            name = call if isinstance(call, str) else next(iter(call))
            for key, one in methods[name.replace(" ", "-")]["steps"].items():
                named = (one.get("id") or key).replace(" ", "-")
                tail = step.id.removeprefix(f"{part}-{named}")
                if step.id.startswith(f"{part}-{named}") and (not tail or tail[1:2].isdigit() or "wall" in tail):
                    around = said.get("around", [])
                    return {
                        "step": step,
                        "part": part,
                        "kind": PARTS[part][0],
                        "phase": one["phase"],
                        "does": one.get("does"),
                        "along": said.get("along"),
                        "around": [around] if isinstance(around, str) else around,
                        "cycle": (name, key, int(tail[1:2])) if tail[1:2].isdigit() else None,
                    }
    return None


def _is_in(each: Mapping[str, Any], group: Mapping[str, Any], steps: list[dict[str, Any]]) -> bool:
    def among(key: str, value: Any) -> bool:
        wanted = group.get(key)
        return wanted is None or value == wanted or (isinstance(wanted, list) and value in wanted)

    if not (among("of", each["kind"]) and among("phase", each["phase"]) and among("does", each["does"])):
        return False
    if "along" in group and each["along"] != group["along"]:
        return False
    if "where" in group and not any(one["part"] == each["part"] and one["phase"] == group["where"] for one in steps):
        return False
    if group.get("last_coat") and each["cycle"] is not None:
        later = [one["cycle"] for one in steps if one["part"] == each["part"] and one["cycle"] is not None]
        return not any(one[:2] == each["cycle"][:2] and one[2] > each["cycle"][2] for one in later)
    return True
