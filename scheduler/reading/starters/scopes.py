"""What is done in a starter job, by the kind of work: its `scope`."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

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
    WASH,
    WINDOWS,
    Answers,
)
from scheduler.reading.starters.rooms import CARPET, FURNITURE, SHOE, windows_of
from scheduler.reading.starters.stuff import CONCRETE, PLASTERED, families
from scheduler.reading.starters.words import noted, quoted

_WIDE = 100
"""Signs of a line of methods that is still read at a glance."""
_WHOLE = "the room as a whole"


Line = tuple[str, str]
"""Something that stands in the file, and the note behind it (none: empty)."""


@dataclass(frozen=True, slots=True)
class ScopePart:
    """A part of the room in the `scope`: the methods, and what is said of the part before and after them."""

    name: str
    do: tuple[Line, ...]
    head: tuple[Line, ...] = ()
    tail: tuple[Line, ...] = ()
    note: str = ""

    def lines(self, say: Callable[[str], str]) -> Iterator[str]:
        """As it stands in the file: methods in one line where they are few and need no note."""
        note = say(self.note) if self.note else ""
        more = self.head or self.tail
        do = "    do" if more else f"  {self.name}"
        flat = f"{do}: [{', '.join(call for call, _ in self.do)}]"
        short = len(flat) + (0 if more else len(note)) < _WIDE and not any(also for _, also in self.do)
        if more:
            yield _line(f"  {self.name}:", note)
        yield from (_line(f"    {text}", say(also)) for text, also in self.head)
        yield _line(flat if short else f"{do}:", "" if more else note)
        if not short:
            yield from (_line(f"{'  ' if more else ''}    - {call}", say(also)) for call, also in self.do)
        yield from (_line(f"    {text}", say(also)) for text, also in self.tail)


def _line(text: str, note: str) -> str:
    return noted(text, note) if note else text


@dataclass(frozen=True, slots=True)
class ScopeWork:
    """What is done of a kind of work: methods on the room as a whole, with what is said to them, and on its parts."""

    room: Mapping[str, Mapping[str, str]]
    parts: tuple[ScopePart, ...]


def scope_of(job: Answers) -> list[str]:
    """The lines under `scope`: what all kinds of work do, each method once."""
    works = [_WORKS[one.kind](one) for one in job.each]
    whole: dict[str, dict[str, str]] = {}
    for work in works:
        for method, said in work.room.items():
            whole[method] = _joined(whole[method], said) if method in whole else dict(said)
    parts: dict[str, ScopePart] = {}
    for part in (part for work in works for part in work.parts):
        parts[part.name] = _merged(parts[part.name], part) if part.name in parts else part
    calls = [_call(method, whole[method]) for method in _ROOM_METHODS if method in whole]
    room = [ScopePart(name=quoted(job.room), do=tuple(calls), note=_WHOLE)] if calls else []
    return [line for part in (*room, *parts.values()) for line in part.lines(job.say)]


_ROOM_METHODS = ("clear and protect", "strip trim and covers", "put back", "final clean")
"""Of the room as a whole, in their order."""
_METHODS = ("wash", "remove wallpaper", "drywall", "patch", "prime")
"""Of walls and ceiling, in their order."""
_EMPTY = {"furniture": "none"}


def _joined(one: Mapping[str, str], other: Mapping[str, str]) -> dict[str, str]:
    """What two kinds of work say of a method: the furniture goes out if one wants it, more boxes count."""
    both = {**one, **other}
    if "boxes" in both:
        both["boxes"] = str(max(int(each.get("boxes", "0")) for each in (one, other)))
    if both.get("furniture") == "none" and one.get("furniture") != other.get("furniture"):
        del both["furniture"]
    return both


def _call(method: str, said: Mapping[str, str]) -> Line:
    """A method with what is said to it, and a note."""
    boxes, base = (
        "switches and sockets; `loose paint: to scrape` adds that",
        "switches and sockets; the old base that comes off",
    )
    note = "" if not method.startswith("strip") else base if "old trim" in said else boxes
    options = ", ".join(f"{key}: {value}" for key, value in said.items())
    return (f"{method}: {{{options}}}" if options else method), note


def _merged(one: ScopePart, other: ScopePart) -> ScopePart:
    """A part on which two kinds of work do something: each method once, with what is said to it. New board is neither
    washed nor patched."""
    calls: dict[str, Line] = {}
    for call, note in (*one.do, *other.do):
        method = call.partition(":")[0]
        if method not in calls or (":" in call and ":" not in calls[method][0]):
            calls[method] = (call, note)
    if "drywall" in calls:
        calls = {method: call for method, call in calls.items() if method not in ("wash", "patch")}
        calls["prime"] = ("prime", "")
    order = {method: number for number, method in enumerate(_METHODS)}
    do = sorted(calls.values(), key=lambda call: order.get(call[0].partition(":")[0], len(order)))
    return ScopePart(one.name, tuple(do), one.head or other.head, one.tail or other.tail, one.note or other.note)


def _plain(*calls: str) -> tuple[Line, ...]:
    return tuple((call, "") for call in calls)


def _panel(job: Answers) -> ScopeWork:
    walls = ", ".join(job.parts)
    old = job.long(sum(job.wall(name) for name in job.parts))
    spacing = "625 mm, sheet width: 1.25 m, sheet height: 2.5 m" if job.metric else "16 in"
    top = _top(job, "or a share of the wall: golden section, 1/3")
    panelling = ScopePart(
        name="panelling",
        head=(*_plain(f"title: {job.say('Panelling')}", f"on: [{walls}]"), *top),
        do=(
            (
                f"backer: {{fixing: glued and nailed, spacing: {spacing}}}",
                "over the old wall; the spacing of the studs",
            ),
            ("box extenders: {boxes: 2}", "boxes come forward to the new face"),
            *_plain("rails and battens", "fill", "sand: {over: new work}", "wipe down", "caulk", "prime"),
        ),
    )
    above = ScopePart(
        name="wall above",
        head=_plain(f"title: {job.say('Wall above the panelling')}", "surface: walls", f"on: [{walls}]"),
        do=_plain("patch", "prime"),
        note="what the panelling leaves of these walls",
    )
    room = {
        "clear and protect": {},
        "strip trim and covers": {"boxes": "2", "old trim": old},
        "put back": {"boxes": "2"},
    }
    return ScopeWork(room, (panelling, above) if len(job.colours) > 1 else (panelling,))


_MIST = "mist-coat-emulsion"


def _repaint(job: Answers) -> ScopeWork:
    primed = families(job)
    primer = _plain(f"prime: {{primer: {primed[0]}}}") if primed else ()
    trimmed = () if primed == (_MIST,) else primer  # it goes into plaster, and lies on nothing else
    washed = (("wash", "`{dirt: grease or smoke}` for a kitchen"),) if WASH in job.parts else ()
    parts = [
        ScopePart(part, (*washed, _patched(job, part), *primer)) for part in ("ceiling", "walls") if part in job.parts
    ]
    if "trim" in job.parts:
        around = ", ".join(hole.name for hole in job.holes)
        gaps = job.long(2 * (job.length + job.width))
        parts.append(
            ScopePart(
                name="trim",
                head=_plain("along: floor", *([f"around: [{around}]"] if around else [])),
                do=(*washed, *_plain("sand", "wipe down", "caulk"), *trimmed),
                tail=((f"measured: {{joints: {gaps}}}", "gaps along it that are caulked"),),
                note="base, and casing of doors and windows",
            )
        )
    room: dict[str, dict[str, str]] = {
        **{"clear and protect": {}, "strip trim and covers": {"boxes": "4"}, "put back": {"boxes": "4"}},
        "final clean": {},
    }
    return ScopeWork(room, tuple(parts))


def _patched(job: Answers, part: str) -> Line:
    """What is patched: so many holes, which stand at the walls if these are painted, or a share of the area."""
    if job.patches is None:
        return "patch: {share: 5, stains: 0}", "percent that is patched; stains to block"
    count = job.patches if part == ("walls" if "walls" in job.parts else "ceiling") else 0
    return f"patch: {{holes: {count}, share: 0, stains: 0}}", "holes to fill; stains to block"


def _floor(job: Answers) -> ScopeWork:
    finish = families(job)[0]
    oiled = finish.startswith("penetrating-oil")
    method = f"oil floor: {{oil: {finish}" if oiled else f"varnish floor: {{finish: {finish}"
    note = "sanded to bare wood, then coat by coat: the room is out of use meanwhile"
    if finish == CONCRETE:
        method = f"coat concrete: {{coating: {finish}"
        note = "`face: etched` or `painted before` instead of ground; no car on it for a week"
    floor = ScopePart("floor", _plain(f"{method}, coats: {job.coats}}}"), note=note)
    return ScopeWork(_moved(job), (floor, *_shoe(job)))


def _planks(job: Answers) -> ScopeWork:
    doors = sum(hole.sill is None for hole in job.holes)
    carpet = _plain("take up carpet") if CARPET in job.parts else ()
    laid = f"click floor: {{planks: {families(job)[0]}, doors: {doors}}}"
    floor = ScopePart("floor", (*carpet, (laid, "`uneven: 10` is a tenth that is levelled first")))
    return ScopeWork(_moved(job), (floor, *_shoe(job)))


def _moved(job: Answers) -> dict[str, dict[str, str]]:
    """The room as a whole where only its floor is done."""
    moved: dict[str, dict[str, str]] = {"clear and protect": {}, "put back": {}} if FURNITURE in job.parts else {}
    return {**moved, "final clean": {}}


def _shoe(job: Answers) -> Iterator[ScopePart]:
    if SHOE in job.parts:
        yield ScopePart(
            "base",
            _plain("shoe"),
            head=_plain("along: floor", "over: floor"),
            note="covers the gap between floor and wall",
        )


def _bathroom(job: Answers) -> ScopeWork:
    return ScopeWork(_bath(2), (_tiled(job, "splashback", "Splashback"), *_around(job, "splashback", "joint")))


def _shower(job: Answers) -> ScopeWork:
    below = (
        *_plain("strip tile", "tile backer"),
        ("membrane: {pipes: 3}", "pipes that come through it: each gets a collar"),
    )
    return ScopeWork(
        _bath(2), (_tiled(job, "surround", "Surround", below), *_around(job, "surround", "surround joint"))
    )


def _bath(boxes: int) -> dict[str, dict[str, str]]:
    """The room as a whole where walls are tiled."""
    count = {"boxes": str(boxes)}
    return {
        "clear and protect": _EMPTY,
        "strip trim and covers": count,
        "put back": {**count, **_EMPTY},
        "final clean": {},
    }


def _tiled(job: Answers, name: str, title: str, below: tuple[Line, ...] = ()) -> ScopePart:
    adhesive, grout = families(job)
    tile = "tile length: 20 cm, tile height: 10 cm" if job.metric else "tile length: 6 in, tile height: 3 in"
    foot = (f"from: {job.long(job.band[0])}",) if job.band[0] else ()
    return ScopePart(
        name=name,
        head=(
            *_plain(f"title: {job.say(title)}", f"on: [{', '.join(job.parts)}]", *foot),
            *_top(job, "the top of the tile"),
        ),
        do=(*below, *_plain(f"tile: {{adhesive: {adhesive}, grout: {grout}, {tile}}}")),
    )


def _around(job: Answers, tiled: str, joint: str) -> Iterator[ScopePart]:
    """What is around tile: the walls that it leaves, if they are painted, and the joint that is sealed last."""
    painted = any(part == "walls" for _, part in job.coloured)
    if any(part == "walls" for _, part in job.colours):
        yield ScopePart("walls", _plain("patch", "prime"), note="what the tile leaves of them")
    over = (f"over: [{tiled}{', walls' if painted else ''}]", "sealed last: paint does not hold on it")
    length = f"length: {job.long(sum(job.wall(name) for name in job.parts))}"
    seal = f"seal: {{bead: {'6 mm' if job.metric else '1/4 in'}}}"
    yield ScopePart(
        joint,
        _plain(seal),
        head=(*_plain(f"title: {job.say('Joint where tile meets basin, bath and corner')}", length), over),
    )


def _wallpaper(job: Answers) -> ScopeWork:
    paper = f"remove wallpaper: {{paper: {families(job)[0]}, layers: {job.count('layers')}}}"
    do = (
        (paper, "wetted and scraped wall by wall"),
        ("patch: {share: 10}", "percent that is patched"),
        ("prime", ""),
    )
    room = {"clear and protect": {}, "put back": {"boxes": "2"}, "final clean": {}}
    return ScopeWork(room, (ScopePart("walls", do),))


def _drywall(job: Answers) -> ScopeWork:
    plastered = families(job) == (PLASTERED,)
    board = "drywall: {finish: under plaster}" if plastered else f"drywall: {{finish: {families(job)[0]}}}"
    primer = _plain("plaster", "mist coat") if plastered else _plain("prime")
    parts = tuple(
        ScopePart(part, ((board, "on bare studs, once what is in them is accepted"), *primer)) for part in job.parts
    )
    return ScopeWork({"clear and protect": _EMPTY, "final clean": {}}, parts)


def _fronts(job: Answers) -> ScopeWork:
    said = f"holes: {job.count('holes')}, paint: {families(job)[0]}, coats: {job.coats}"
    head = _plain(f"title: {job.say('Fronts')}", f"count: {job.count('fronts')}")
    note = "off, coated on both sides where there is room for them, on again"
    return ScopeWork(
        {"final clean": {}}, (ScopePart("fronts", _plain(f"paint fronts: {{{said}}}"), head=head, note=note),)
    )


def _joint(job: Answers) -> ScopeWork:
    bead = "6 mm" if job.metric else "1/4 in"
    do = _plain(f"renew joint: {{old: {families(job)[0]}, bead: {bead}}}")
    head = _plain(f"title: {job.say('Joint')}", f"length: {job.long(job.run)}")
    return ScopeWork({}, (ScopePart("old joint", do, head=head, note="the bath is out of use until it has cured"),))


def _windows(job: Answers) -> ScopeWork:
    said = f"paint: {families(job)[0]}, coats: {job.coats}, panes: {job.count('panes')}, stuck: {job.count('stuck')}"
    head = _plain(f"title: {job.say('Windows')}", "surface: trim", f"around: [{', '.join(windows_of(job))}]")
    part = ScopePart(
        "windows", _plain(f"paint windows: {{{said}}}"), head=head, note="in the morning: a wet sash stands open"
    )
    return ScopeWork({"clear and protect": _EMPTY, "final clean": {}}, (part,))


def _stair(job: Answers) -> ScopeWork:
    said = f"balusters: {job.count('balusters')}, treads: {families(job)[0]}, coats: {job.coats}"
    head = _plain(f"title: {job.say('Stair')}", f"count: {job.count('treads')}")
    return ScopeWork({"final clean": {}}, (ScopePart("stair", _plain(f"paint stair: {{{said}}}"), head=head),))


_WORKS: Mapping[str, Callable[[Answers], ScopeWork]] = {
    **{PANEL: _panel, REPAINT: _repaint, FLOOR: _floor, BATHROOM: _bathroom, PLANKS: _planks, WALLPAPER: _wallpaper},
    **{FRONTS: _fronts, JOINT: _joint, SHOWER: _shower, DRYWALL: _drywall, WINDOWS: _windows, STAIR: _stair},
}


def _top(job: Answers, note: str) -> list[Line]:
    """How high a panel goes; nothing where it goes up to the ceiling."""
    return [] if job.band[1] is None else [(f"up to: {job.long(job.band[1])}", note)]
