"""Every quantity of a part by its name: given by the person, of a method, an option, shared, measured or laid out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from math import ceil

from scheduler.expanding.scope import layout
from scheduler.expanding.scope.geometry import EPS, MeasuredRoom, Strip, casing, outline
from scheduler.model.formula import Formula
from scheduler.model.scope import Part

LEAF = 4.0
"""Square metres of both faces of a door that nobody measured: 2 × 0.9 m × 2.1 m, and its edges."""
EDGES = 1.05
"""A leaf with its edges, in areas of its two faces (common practice, no source)."""
LEFT_BEHIND = ("holes", "joints", "fine joints", "inside edges")
"""What carpentry leaves on one surface, and a method for several of them adds up."""
SCARFS = "scarfs"
_LAYOUT = ("battens", "batten run", "sheets", "seam run")
_ONLY_ONE = ("height", "room height", "floor area", "perimeter")


class UnknownQuantityError(LookupError):
    """A formula names a quantity that nobody knows. `hint` says what would help."""

    def __init__(self, name: str, hint: str) -> None:
        self.name, self.hint = name, hint
        super().__init__(name)


def measured(site: MeasuredRoom, part: Part) -> dict[str, float]:
    """The quantities of one part out of its measures: m, m² and pieces. Of several, as the person counted each; bands
    of a wall that meet are one piece of wall."""
    if part.of:
        members = [site.part(name) for name in part.of]
        return _as_one(site, members, [_as_counted(site, one) for one in members])
    room = site.room
    perimeter = sum(wall.length for wall in room.walls)
    strips = site.strips(part)
    cased = site.cased(part)
    around = sum(sum(casing(opening)) for opening in cased)
    counted = room.openings if part.kind == "room" else cased
    moulded, casings = site.moulded(part), 0.0 if part.kind == "doors" else around  # casings belong to the trim
    found = {
        "room height": room.height,
        "floor area": room.length * room.width,
        "perimeter": perimeter,
        "height": max((strip.height for strip in strips), default=0.0),
        "walls": float(len(strips)),
        "casings": casings,
        "mouldings": sum(moulded),
        "doors": float(sum(opening.sill < EPS for opening in counted)),
        "windows": float(sum(opening.sill >= EPS for opening in counted)),
        "leaves": float(sum(opening.leaves for opening in cased if opening.sill < EPS)),
        "leaf area": sum(EDGES * 2 * opening.width * opening.height for opening in cased if opening.sill < EPS),
        "count": float(part.count or 1),
        **dict.fromkeys(("area", "run", "top", "around", "edges", "cut in", "openings"), 0.0),
    }
    found |= _of_walls(site, strips) if strips else _of_others(part, found)
    if part.area is not None:
        found |= {"area": part.area}
    if part.length is not None:
        found |= {"run": part.length, "edges": part.length, "cut in": part.length}
    return found


def _of_walls(site: MeasuredRoom, strips: list[Strip]) -> dict[str, float]:
    area = run = top = around = cut_in = cuts = 0.0
    for strip in strips:
        found = site.openings(strip)
        area += strip.width * strip.height - sum(opening.width * cut for opening, cut in found)
        run += strip.width - sum(opening.width for opening, _ in found if opening.sill <= strip.start + EPS)
        heads = [opening.width for opening, _ in found if opening.sill + opening.height >= strip.top - EPS]
        top += strip.width - sum(heads)
        around += sum(outline(strip, opening) for opening, _ in found)
        cut_in += strip.height * (1 if strip.whole else 2)
        cuts += len(found)
    foot = sum(strip.width for strip in strips if strip.start < EPS)
    return {
        "area": max(0.0, area),
        "run": max(0.0, run),
        "top": max(0.0, top),
        "around": around,
        "openings": cuts,
        "edges": around + min(foot, max(0.0, run)),
        "cut in": max(0.0, top) + max(0.0, run) + around + cut_in,
    }


def _of_others(part: Part, found: Mapping[str, float]) -> dict[str, float]:
    if part.kind in ("ceiling", "floor", "room"):
        edge = found["perimeter"]
        return {"area": found["floor area"], "run": edge, "top": edge, "edges": edge, "cut in": edge}
    length = found["mouldings"] + found["casings"]
    around = found["casings"]
    lines = {"run": length, "edges": 2 * length, "cut in": 2 * length, "around": around}
    if part.kind != "doors":
        return lines
    if found["leaves"] == 0 and part.area is None and part.count is not None:
        counted = part.count * LEAF  # doors that nobody measured
        return {**lines, "leaves": float(part.count), "leaf area": counted, "area": counted}
    return {**lines, "area": found["leaf area"]}


def measured_on(site: MeasuredRoom, part: Part, wall: str | None) -> dict[str, float]:
    """The quantities of a part on one wall; for None of what of it is on none, such as a ceiling that it stands for.
    What the person counted of it is shared out by area."""
    if part.of:
        members = [one for name in part.of if _lies_on(site, one := site.part(name), wall)]
        here = members if wall is None else [replace(one, on=(wall,)) for one in members]
        return _as_one(site, here, [measured_on(site, one, wall) for one in members])
    if wall is None:
        return _as_counted(site, part)
    plain = replace(part, area=None, length=None)
    whole, found = measured(site, plain), measured(site, replace(plain, on=(wall,)))
    share = found["area"] / whole["area"] if whole["area"] else 0.0
    said = {"area": part.area, "run": part.length, **dict(part.given)}
    return found | {name: value * share for name, value in said.items() if name in found and value is not None}


def _lies_on(site: MeasuredRoom, part: Part, wall: str | None) -> bool:
    """Whether some of a part is on a wall; for None whether some of it is on none."""
    if part.of:
        return any(_lies_on(site, site.part(name), wall) for name in part.of)
    walls = {strip.wall.id for strip in site.strips(part)}
    return not walls if wall is None else wall in walls


def off_walls(site: MeasuredRoom, part: Part) -> list[Part]:
    """What a part stands for that is on no wall."""
    members = [site.part(name) for name in part.of]
    single = (each for one in members for each in (off_walls(site, one) if one.of else [one]))
    return [each for each in single if _lies_on(site, each, None)]


def _as_counted(site: MeasuredRoom, part: Part) -> dict[str, float]:
    found = measured(site, part)
    return found | {name: value for name, value in part.given if name in found}


def _as_one(site: MeasuredRoom, members: list[Part], found: list[dict[str, float]]) -> dict[str, float]:
    """What is found of several parts, as one. A line between two colours on a wall makes no two walls of it."""
    whole = _added(found)
    bands = [each for one in members if not _is_counted(one) for each in site.strips(one) if each.whole]
    joined = _joined(bands)
    if len(joined) < len(bands):
        apart, together = _of_walls(site, bands), _of_walls(site, joined)
        whole |= {name: whole[name] - apart[name] + together[name] for name in together}
        whole["walls"] -= len(bands) - len(joined)
        whole["height"] = max(whole["height"], *(band.height for band in joined))
    return whole


def _is_counted(part: Part) -> bool:
    """Whether the person said some of what there is of a part, or it stands for others."""
    return bool(part.of or part.given) or part.area is not None or part.length is not None


def _joined(bands: list[Strip]) -> list[Strip]:
    """Bands of whole walls; those of one wall that meet are one."""
    found: list[Strip] = []
    for band in sorted(bands, key=lambda each: (each.wall.id, each.start)):
        last = found[-1] if found else None
        if last is not None and last.wall.id == band.wall.id and band.start <= last.top + EPS:
            found[-1] = replace(last, top=max(last.top, band.top))
        else:
            found.append(band)
    return found


def _added(members: list[dict[str, float]]) -> dict[str, float]:
    """The quantities of several parts as one: heights and the room itself are not added up."""
    names = dict.fromkeys(name for member in members for name in member)
    return {name: (max if name in _ONLY_ONE else sum)(member.get(name, 0.0) for member in members) for name in names}


@dataclass
class Quantities:
    """What the formulas of one method on one part may ask for. `used` gathers what was asked, `own` what is given.

    In metres, square metres, cubic metres and pieces; the number of an option as the job says it.
    """

    site: MeasuredRoom
    part: Part
    own: Mapping[str, float]
    options: Mapping[str, float]
    local: Mapping[str, Formula]
    shared: Mapping[str, float]
    measures: Mapping[str, float]
    used: dict[str, float] = field(default_factory=dict)
    _open: list[str] = field(default_factory=list)

    def __call__(self, name: str) -> float:
        """The quantity of that name; each asked is remembered. Raises UnknownQuantityError."""
        if name not in self.used:
            self.used[name] = self._find(name)
        return self.used[name]

    def _find(self, name: str) -> float:
        if name in self.own:
            return self.own[name]
        if name in self.local:
            if name in self._open:
                raise UnknownQuantityError(name, "it is worked out of itself")
            self._open.append(name)
            value = self.local[name].value(self)
            self._open.pop()
            return value
        for known in (self.options, self.shared, self.measures):
            if name in known:
                return known[name]
        if name in _LAYOUT:
            return self._laid_out(name)
        if name == SCARFS:
            return self._scarfs()
        return self._shared_nothing(name)

    def _shared_nothing(self, name: str) -> float:
        if name in LEFT_BEHIND:  # what carpentry leaves behind; nobody left any here
            return 0.0
        raise UnknownQuantityError(name, "write it under `measured`")

    def _scarfs(self) -> float:
        """The joints within single lengths of a moulding that are longer than a board of the shop."""
        board = self("longest board")
        if board <= EPS:
            raise UnknownQuantityError("longest board", "write one above nothing")
        found = (length for name in self.part.of or (self.part.id,) for length in self._moulded(name))
        return float(sum(ceil(length / board - EPS) - 1 for length in found))

    def _moulded(self, name: str) -> list[float]:
        return self.site.moulded(self.part if name == self.part.id else self.site.part(name))

    def _laid_out(self, name: str) -> float:
        grid, found = self.grid(), self.fields()
        if name == "sheets":
            return layout.sheets(found, grid)
        if name == "seam run":
            return layout.seam_run(found, grid)
        lengths = layout.battens(found, grid)
        return float(len(lengths)) if name == "battens" else sum(lengths)

    def grid(self) -> layout.Grid:
        """The layout asked for by options. Raises UnknownQuantityError if it can't be."""
        grid = layout.Grid(
            spacing=self("spacing"),
            batten=self.options.get("batten width", 0.0),
            sheet_width=self.options.get("sheet width", 1.2192),
            sheet_height=self.options.get("sheet height", 2.4384),
            rails=2 * self.options.get("rail width", 0.0),
        )
        if grid.spacing <= EPS or layout.too_wide(grid):
            raise UnknownQuantityError("spacing", "write one above nothing and no wider than a sheet")
        return grid

    def fields(self) -> list[layout.Field]:
        """The stretches of wall of the part, those of its members among them."""
        return layout.fields(self.site, strips_below(self.site, self.part))

    def lengths(self, name: str) -> tuple[float, ...]:
        """The single lengths (metres) of a list that are cut from stock, longest first."""
        strips = strips_below(self.site, self.part)
        lists: dict[str, Callable[[], Iterable[float]]] = {
            "batten lengths": lambda: layout.battens(self.fields(), self.grid()),
            "rail lengths": lambda: [f.width for f in self.fields() if f.ends],
            "top lengths": lambda: [strip.width for strip in strips],
            "moulding lengths": lambda: self.site.moulded(self.part),
            "casing lengths": lambda: [each for opening in self.site.cased(self.part) for each in casing(opening)],
            "stool lengths": lambda: [
                opening.width + 2 * self("horns") for opening in self.site.cased(self.part) if opening.sill > EPS
            ],
        }
        return tuple(sorted(lists[name](), reverse=True))


def strips_below(site: MeasuredRoom, part: Part) -> list[Strip]:
    """The bands of wall of a part and of all that it stands for."""
    return [*site.strips(part), *(strip for name in part.of for strip in strips_below(site, site.part(name)))]


def reach(site: MeasuredRoom, part: Part) -> float:
    """How high one has to reach for a part, metres."""
    if part.kind in ("ceiling", "room") or "ceiling" in part.along:
        return site.room.height
    fronts = part.kind == "doors" and part.area is not None  # whose area is said, such as those of a kitchen
    heads = [] if fronts else [opening.sill + opening.height for opening in site.cased(part)]
    tops = [strip.top for strip in site.strips(part)]
    return max([0.0, *heads, *tops, *(reach(site, site.part(name)) for name in part.of)])
