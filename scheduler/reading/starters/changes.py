"""What a starter job says beside its scope: its colours, what waits for what is on order, and what is otherwise than
usual in steps that methods bring."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from scheduler.model.names import slug
from scheduler.reading.starters.answers import (
    BATHROOM,
    DRYWALL,
    FLOOR,
    FRONTS,
    JOINT,
    PANEL,
    PLANKS,
    REPAINT,
    SHOWER,
    STAIR,
    WALLPAPER,
    WALLS,
    WASH,
    WINDOWS,
    Answers,
)
from scheduler.reading.starters.rooms import CARPET, FURNITURE, SHOE
from scheduler.reading.starters.stuff import CONCRETE, families
from scheduler.reading.starters.words import quoted
from scheduler.told import told

_ALONE = "alone: the hours are those of two people, so count on more"
_BEHIND_TILE = "local codes say what stands behind tile that gets wet; water and wiring in it are for licensed trades"
_PLUMBER = "water and drain are for a licensed plumber where local code says so (common practice, no source)"


def colours_of(job: Answers) -> list[str]:
    """The lines under `colours`."""
    return [line for one in job.each for line in _colours(one, job)]


def order_of_colours(job: Answers) -> tuple[str, ...]:
    """The colours whose order is that of the trade, unless the person changes it.

    The ceiling is first by the order of the trade. What is sanded is sanded before the trim is finished (common
    practice, no source; some do the trim first); without walls there is nothing that the trim touches.
    """
    down = [name for kind in ("walls", "trim") for name, part in job.coloured if part == kind]
    return tuple(down) if len(down) > 1 else ()


_PAINTS = {
    "walls": "acrylic-latex-wall-paint",
    "wall above": "acrylic-latex-wall-paint",
    "ceiling": "acrylic-latex-ceiling-paint",
    "trim": "waterborne-alkyd-enamel",
}


def _colours(one: Answers, job: Answers) -> Iterator[str]:
    """A line for each colour of a kind of work; it waits for its paint, if that is on order."""
    waits = [name for name, step in awaited(job) if step == COLOUR]
    for name, part in one.colours:
        its = [quoted(item) for item in waits if name in _painted_with(item, job)]
        needs = f", needs: [{', '.join(its)}]" if its else ""
        paint = _PAINTS.get(part) or families(one)[0]
        yield f"  {quoted(name)}: {{on: {part}, material: {paint}, coats: {one.coats}{needs}}}"


def _painted_with(item: str, job: Answers) -> list[str]:
    """The colours that wait for some paint: the one whose name it says, those of a part that it says, or all."""
    words = slug(item).split("-")
    called = [name for name, _ in job.coloured if f"-{slug(name)}-" in f"-{slug(item)}-"]
    parts = [name for name, part in job.coloured if part in words or part.removesuffix("s") in words]
    return [max(called, key=len)] if called else parts or [name for name, _ in job.coloured]


COLOUR = "colour"
"""Stands for all colours, where a step is asked for."""

FIXTURE = "fit what is fixed for good"
"""Stands for a step by hand: what is no material of the tiling is hung once the tile is there, and sealed after."""

BOARDS = "carry boards"
"""Stands for the step that carries new board in."""

_AWAITED: Mapping[str, tuple[tuple[str, str], ...]] = {
    PANEL: (
        (r"sheet|backer|adhesive|glue", "panelling-cut-sheets"),
        (r"paint|enamel|colou?r", COLOUR),
        (r"primer", "panelling-prime"),
        (r"extender|ring|box", "panelling-extend-boxes"),
        (r"", "panelling-cut-boards"),
    ),
    REPAINT: ((r"paint|colou?r", COLOUR), (r"", COLOUR)),
    FLOOR: (
        (r"sander|belt|paper", "floor-sand-floor"),
        (r"grinder|diamond", "floor-open"),
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
    PLANKS: (
        (r"underlay", "floor-underlay"),
        (r"shoe|moulding|molding", "base-shoe"),
        (r"", "floor-carry-boxes"),
    ),
    WALLPAPER: ((r"paint|colou?r", COLOUR), (r"primer", "walls-prime"), (r"", COLOUR)),
    FRONTS: ((r"paint|enamel|colou?r", "fronts-faces-1"), (r"", "fronts-prime-faces")),
    JOINT: ((r"", "old-joint-seal-joint"),),
    SHOWER: (
        (r"grout", "surround-grout"),
        (r"seal|silicone", "surround-joint-seal"),
        (r"board|backer", "surround-hang-backer"),
        (r"membrane|band|collar", "surround-bands"),
        (r"paint|colou?r", COLOUR),
        (r"tile|adhesive|mortar|thinset", "surround-cut-tile"),
        (r"", FIXTURE),
    ),
    DRYWALL: ((r"paint|colou?r", COLOUR), (r"", BOARDS)),
    WINDOWS: ((r"", "windows-coat-1"),),
    STAIR: ((r"", "stair-coat-1"),),
}
"""By words of its name: which step waits for what is on order. The last is that of the main thing."""


def awaited(job: Answers) -> list[tuple[str, str]]:
    """Each item on order and the step that waits for it: of the first kind of work in which its name means something,
    else of the first kind."""
    there = [(words, step) for one in job.each for words, step in _waiting(one, job)]
    named = [each for each in there if each[0]]
    found = (
        (name, [step for words, step in (*named, *there) if re.search(words, name.lower())]) for name, _ in job.order
    )
    return [(name, steps[0]) for name, steps in found]


def _waiting(one: Answers, job: Answers) -> Iterator[tuple[str, str]]:
    """The steps of a kind of work that may wait for something, as they are in this job."""
    oiled = one.kind == FLOOR and families(one)[0].startswith("penetrating-oil")
    absent = {
        "floor-coat-1" if oiled else "floor-oil-1",
        "floor-sand-floor" if one.kind == FLOOR and families(one)[0] == CONCRETE else "floor-open",
        *(() if SHOE in one.parts else ("base-shoe",)),
        *(() if job.coloured else (COLOUR,)),
    }
    for words, step in _AWAITED[one.kind]:
        if step not in absent:
            yield words, f"{one.parts[0]}-carry-boards" if step == BOARDS else step


def main_step(job: Answers) -> str:
    """The id of a step that every job of this kind has, for an example."""
    if job.kind in (REPAINT, DRYWALL):
        parts = [part for part in job.parts if part != WASH]
        ends = {"trim": "sand"} if job.kind == REPAINT else {}
        plain = "patch" if job.kind == REPAINT else "carry-boards"
        hung = job.kind == REPAINT and DRYWALL in job.kinds  # new board is not patched
        return f"{parts[0]}-{'prime' if hung and parts[0] != 'trim' else ends.get(parts[0], plain)}"
    return {
        PANEL: "panelling-cut-boards",
        FLOOR: "floor-open" if families(job)[:1] == (CONCRETE,) else "floor-sand-floor",
        BATHROOM: "splashback-cut-tile",
        PLANKS: "floor-carry-boxes",
        WALLPAPER: "walls-try-a-corner",
        FRONTS: "fronts-take-off",
        JOINT: "old-joint-seal-joint",
        SHOWER: "surround-cut-tile",
        WINDOWS: "windows-hardware-off",
        STAIR: "stair-wash-stair",
    }[job.kind]


def fixtures_of(job: Answers) -> list[str]:
    """The lines under `steps`: what is hung for good once it has come, after tile and paint, before the sealant."""
    joint = "joint" if BATHROOM in job.kinds else "surround joint"
    said = f"work: 1 h 30 min, pause: no, part: {joint}, phase: fixtures"
    return [
        line
        for name, step in awaited(job)
        if step == FIXTURE
        for line in (
            f"  {quoted(job.say(told('fit {name}', name=name)))}: {{{said}, needs: [{quoted(name)}],",
            f'    caution: "{job.say(_PLUMBER)}"}}',
        )
    ]


def changes_of(job: Answers) -> list[str]:
    """The lines under `changes`: what waits for something on order, a caution, steps of two where there is one."""
    fields: dict[str, dict[str, str]] = {}
    for name, step in awaited(job):
        if step not in (COLOUR, FIXTURE):
            needs = fields.setdefault(step, {}).get("needs")
            fields[step]["needs"] = f"{needs[:-1]}, {quoted(name)}]" if needs else f"[{quoted(name)}]"
    for kind, step in ((BATHROOM, "splashback-set-out-tile"), (SHOWER, "surround-set-out-tile")):
        if kind in job.kinds:
            fields.setdefault(step, {})["caution"] = f'"{job.say(_BEHIND_TILE)}"'
    for step in _of_two(job) if job.alone else ():
        fields.setdefault(step, {})["people"] = "1"
        if not step.endswith("-carry-in"):  # its method has a caution of its own
            fields[step]["caution"] = f'"{job.say(_ALONE)}"'
    return [
        f"  {step}: {{{', '.join(f'{key}: {value}' for key, value in each.items())}}}"
        for step, each in fields.items()
    ]


def _of_two(job: Answers) -> Iterator[str]:
    """The steps that methods plan for two people."""
    room = slug(job.room)
    if any(one.kind in (PANEL, REPAINT, WALLPAPER) or FURNITURE in one.parts for one in job.each):
        yield from (f"{room}-clear", f"{room}-carry-in")
    for one in job.each:
        if one.kind == PANEL:
            yield from ("panelling-cut-sheets", "panelling-fit-sheets", "panelling-top-rail")
            tails = [f"-{slug(wall)}" for wall in WALLS if wall in one.parts] if len(one.parts) > 1 else [""]
            yield from (f"panelling-glue{tail}" for tail in tails)
        if one.kind == PLANKS:
            yield "floor-carry-boxes"
            yield from ("floor-carry-rolls",) if CARPET in one.parts else ()
        if one.kind == DRYWALL:
            yield from (f"{part}-{step}" for part in one.parts for step in ("carry-boards", "hang"))
        if one.kind == SHOWER:
            yield from ("surround-rubble-out", "surround-hang-backer")
