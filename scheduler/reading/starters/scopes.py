"""What is done in a starter job, by the kind of work: its `scope`, its colours, and what is otherwise than usual."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from scheduler.model.names import slug
from scheduler.reading.starters.answers import BATHROOM, FLOOR, PANEL, REPAINT, WALLS, Answers
from scheduler.reading.starters.stuff import families
from scheduler.reading.starters.words import noted, quoted

_ALONE = "alone: the hours are those of two people, so count on more"
_BEHIND_TILE = "local codes say what stands behind tile that gets wet; water and wiring in it are for licensed trades"


_PLUMBER = "water and drain are for a licensed plumber where local code says so (common practice, no source)"
_WHOLE = "the room as a whole"
_BOXES = "switches and sockets"


@dataclass(frozen=True, slots=True)
class Work:
    """The lines of a kind of work: under `scope`, under `colours`, and the ids under `drop`.

    `first` are colours whose order is that of the trade, unless the person changes it.
    """

    scope: tuple[str, ...]
    colours: tuple[str, ...] = ()
    drop: tuple[str, ...] = ()
    first: tuple[str, ...] = ()


def work_of(job: Answers) -> Work:
    """What is done in this job."""
    return {PANEL: _panel, REPAINT: _repaint, FLOOR: _floor, BATHROOM: _bathroom}[job.kind](job)


def _panel(job: Answers) -> Work:
    walls = ", ".join(job.parts)
    old = job.long(sum(job.wall(name) for name in job.parts))
    spacing = "625 mm, sheet width: 1.25 m, sheet height: 2.5 m" if job.metric else "16 in"
    scope = [
        noted(f"  {quoted(job.room)}:", _WHOLE),
        "    - clear and protect",
        noted(
            f"    - strip trim and covers: {{boxes: 2, old trim: {old}}}", f"{_BOXES}; the old base that comes off"
        ),
        "    - put back: {boxes: 2}",
        "  panelling:",
        "    title: Panelling",
        f"    on: [{walls}]",
        *_top(job, "or a share of the wall: golden section, 1/3"),
        "    do:",
        "      # sheets over the old wall; the spacing is that of the studs, and of the battens",
        f"      - backer: {{fixing: glued and nailed, spacing: {spacing}}}",
        noted("      - box extenders: {boxes: 2}", "boxes come forward to the new face"),
        "      - rails and battens",
        "      - fill",
        "      - sand: {over: new work}",
        "      - wipe down",
        "      - caulk",
        "      - prime",
    ]
    above = len(job.colours) > 1
    if above:
        scope += [
            noted("  wall above:", "what the panelling leaves of these walls"),
            "    title: Wall above the panelling",
            "    surface: walls",
            f"    on: [{walls}]",
            "    do: [patch, prime]",
        ]
    paints = {"panelling": families(job)[0], "wall above": "acrylic-latex-wall-paint"}
    return Work(tuple(scope), tuple(_colours(job, paints)))


def _repaint(job: Answers) -> Work:
    primed = families(job)
    primer = f"prime: {{primer: {primed[0]}}}" if primed else ""
    scope = [
        noted(f"  {quoted(job.room)}:", _WHOLE),
        "    - clear and protect",
        noted("    - strip trim and covers: {boxes: 4}", f"{_BOXES}; `loose paint: to scrape` adds that"),
        "    - put back: {boxes: 4}",
        "    - final clean",
    ]
    for part in ("ceiling", "walls"):
        if part in job.parts:
            scope += [
                f"  {part}:",
                _patched(job, part),
            ]
            scope += [f"    - {primer}"] if primer else []
    if "trim" in job.parts:
        around = ", ".join(hole.name for hole in job.holes)
        gaps = job.long(2 * (job.length + job.width))
        scope += [
            noted("  trim:", "base, and casing of doors and windows"),
            "    along: floor",
            *([f"    around: [{around}]"] if around else []),
            f"    do: [sand, wipe down, caulk{f', {primer}' if primer else ''}]",
            noted(f"    measured: {{joints: {gaps}}}", "gaps along it that are caulked"),
        ]
    paints = {
        "walls": "acrylic-latex-wall-paint",
        "ceiling": "acrylic-latex-ceiling-paint",
        "trim": "waterborne-alkyd-enamel",
    }
    # The ceiling is first by the order of the trade. What is sanded is sanded before the trim is finished (common
    # practice, no source; some do the trim first); without walls there is nothing that the trim touches.
    touching = ("walls", "trim") if "walls" in job.parts else ()
    down = [name for kind in touching for name, part in job.colours if part == kind]
    return Work(tuple(scope), tuple(_colours(job, paints)), first=tuple(down) if len(down) > 1 else ())


def _patched(job: Answers, part: str) -> str:
    """What is patched: so many holes, which stand at the walls if these are painted, or a share of the area."""
    if job.patches is None:
        return noted("    - patch: {share: 5, stains: 0}", "percent that is patched; stains to block")
    count = job.patches if part == ("walls" if "walls" in job.parts else "ceiling") else 0
    return noted(f"    - patch: {{holes: {count}, share: 0, stains: 0}}", "holes to fill; stains to block")


def _floor(job: Answers) -> Work:
    finish = families(job)[0]
    oiled = finish.startswith("penetrating-oil")
    method = f"oil floor: {{oil: {finish}" if oiled else f"varnish floor: {{finish: {finish}"
    whole = ["clear and protect", "put back", "final clean"] if "furniture" in job.parts else ["final clean"]
    scope = [
        f"  {quoted(job.room)}: [{', '.join(whole)}]",
        noted("  floor:", "sanded to bare wood, then coat by coat: the room is out of use meanwhile"),
        f"    - {method}, coats: {job.coats}}}",
    ]
    if "shoe moulding" in job.parts:
        scope.append(noted("  base: {along: floor, over: floor, do: shoe}", "covers the gap between floor and wall"))
    room = slug(job.room)
    bare = (f"{room}-cover", f"{room}-uncover") if "furniture" in job.parts else ()
    return Work(tuple(scope), drop=bare)


def _bathroom(job: Answers) -> Work:
    adhesive, grout = families(job)
    walls = ", ".join(job.parts)
    tile = "tile length: 20 cm, tile height: 10 cm" if job.metric else "tile length: 6 in, tile height: 3 in"
    painted = bool(job.colours)
    scope = [
        noted(f"  {quoted(job.room)}:", _WHOLE),
        "    - clear and protect: {furniture: none}",
        noted("    - strip trim and covers: {boxes: 2}", _BOXES),
        "    - put back: {boxes: 2, furniture: none}",
        "    - final clean",
        "  splashback:",
        "    title: Splashback",
        f"    on: [{walls}]",
        f"    from: {job.long(job.band[0])}",
        *_top(job, "the top of the tile"),
        "    do:",
        f"      - tile: {{adhesive: {adhesive}, grout: {grout}, {tile}}}",
    ]
    if painted:
        scope.append(noted("  walls: [patch, prime]", "what the tile leaves of them"))
    scope += [
        "  joint:",
        "    title: Joint where tile meets basin, bath and corner",
        f"    length: {job.long(sum(job.wall(name) for name in job.parts))}",
        noted(f"    over: [splashback{', walls' if painted else ''}]", "sealed last: paint does not hold on it"),
        f"    do: {{seal: {{bead: {'6 mm' if job.metric else '1/4 in'}}}}}",
    ]
    return Work(tuple(scope), tuple(_colours(job, {"walls": "acrylic-latex-wall-paint"})))


def _top(job: Answers, note: str) -> list[str]:
    """How high a panel goes; nothing where it goes up to the ceiling."""
    return [] if job.band[1] is None else [noted(f"    up to: {job.long(job.band[1])}", note)]


def _colours(job: Answers, paints: dict[str, str]) -> Iterator[str]:
    """A line for each colour; it waits for its paint, if that is on order."""
    waits = [name for name, step in awaited(job) if step == COLOUR]
    for name, part in job.colours:
        its = [quoted(item) for item in waits if name in _painted_with(item, job)]
        needs = f", needs: [{', '.join(its)}]" if its else ""
        yield f"  {quoted(name)}: {{on: {part}, material: {paints[part]}, coats: {job.coats}{needs}}}"


def _painted_with(item: str, job: Answers) -> list[str]:
    """The colours that wait for some paint: the one whose name it says, those of a part that it says, or all."""
    words = slug(item).split("-")
    called = [name for name, _ in job.colours if f"-{slug(name)}-" in f"-{slug(item)}-"]
    parts = [name for name, part in job.colours if part in words or part.removesuffix("s") in words]
    return [max(called, key=len)] if called else parts or [name for name, _ in job.colours]


COLOUR = "colour"
"""Stands for all colours, where a step is asked for."""

FIXTURE = "fit what is fixed for good"
"""Stands for a step by hand: what is no material of the tiling is hung once the tile is there, and sealed after."""

_AWAITED: dict[str, tuple[tuple[str, str], ...]] = {
    PANEL: (
        (r"sheet|backer|adhesive|glue", "panelling-cut-sheets"),
        (r"paint|enamel|colou?r", COLOUR),
        (r"primer", "panelling-prime"),
        (r"extender|ring|box", "panelling-extend-boxes"),
        (r"", "panelling-cut-boards"),
    ),
    REPAINT: ((r"", COLOUR),),
    FLOOR: (
        (r"sander|belt|paper", "floor-sand-floor"),
        (r"shoe|moulding|molding", "base-shoe"),
        (r"", "floor-oil-1"),
        (r"", "floor-coat-1"),
    ),
    BATHROOM: (
        (r"grout", "splashback-grout"),
        (r"seal|silicone", "joint-seal"),
        (r"paint|colou?r", COLOUR),
        (r"tile|adhesive|mortar|thinset", "splashback-cut-tile"),
        (r"", FIXTURE),
    ),
}
"""By words of its name: which step waits for what is on order. The last is that of the main thing."""


def awaited(job: Answers) -> list[tuple[str, str]]:
    """Each item on order and the step that waits for it."""
    there = _AWAITED[job.kind]
    if job.kind == FLOOR:
        oiled = families(job)[0].startswith("penetrating-oil")
        absent = {
            "floor-coat-1" if oiled else "floor-oil-1",
            *(() if "shoe moulding" in job.parts else ("base-shoe",)),
        }
        there = tuple(each for each in there if each[1] not in absent)
    if not job.colours:
        there = tuple(each for each in there if each[1] != COLOUR)
    found = [(name, [step for words, step in there if re.search(words, name.lower())]) for name, _ in job.order]
    return [(name, steps[0]) for name, steps in found]


def main_step(job: Answers) -> str:
    """The id of a step that every job of this kind has, for an example."""
    if job.kind == REPAINT:
        return "trim-sand" if job.parts == ("trim",) else f"{job.parts[0]}-patch"
    return {PANEL: "panelling-cut-boards", FLOOR: "floor-sand-floor", BATHROOM: "splashback-cut-tile"}[job.kind]


def fixtures_of(job: Answers) -> list[str]:
    """The lines under `steps`: what is hung for good once it has come, after tile and paint, before the sealant."""
    said = f'work: 1 h 30 min, pause: no, part: joint, phase: fixtures, caution: "{_PLUMBER}"'
    return [
        f"  {quoted(f'fit {name}')}: {{{said}, needs: [{quoted(name)}]}}"
        for name, step in awaited(job)
        if step == FIXTURE
    ]


def changes_of(job: Answers) -> list[str]:
    """The lines under `changes`: what waits for something on order, a caution, steps of two where there is one."""
    fields: dict[str, dict[str, str]] = {}
    for name, step in awaited(job):
        if step not in (COLOUR, FIXTURE):
            needs = fields.setdefault(step, {}).get("needs")
            fields[step]["needs"] = f"{needs[:-1]}, {quoted(name)}]" if needs else f"[{quoted(name)}]"
    if job.kind == BATHROOM:
        fields.setdefault("splashback-set-out-tile", {})["caution"] = f'"{_BEHIND_TILE}"'
    for step in _of_two(job) if job.alone else ():
        fields.setdefault(step, {})["people"] = "1"
        if not step.endswith("-carry-in"):  # its method has a caution of its own
            fields[step]["caution"] = f'"{_ALONE}"'
    return [
        f"  {step}: {{{', '.join(f'{key}: {value}' for key, value in each.items())}}}"
        for step, each in fields.items()
    ]


def _of_two(job: Answers) -> Iterator[str]:
    """The steps that methods plan for two people."""
    room = slug(job.room)
    if job.kind in (PANEL, REPAINT) or (job.kind == FLOOR and "furniture" in job.parts):
        yield from (f"{room}-clear", f"{room}-carry-in")
    if job.kind == PANEL:
        yield from ("panelling-cut-sheets", "panelling-fit-sheets", "panelling-top-rail")
        tails = [f"-{slug(wall)}" for wall in WALLS if wall in job.parts] if len(job.parts) > 1 else [""]
        yield from (f"panelling-glue{tail}" for tail in tails)
