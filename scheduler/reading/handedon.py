"""What of a faulty job can be looked over further, and what its faults leave in doubt.

A fault is known by its place alone; the paths to what begins there say which entry it stands in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TypeVar

from scheduler.errors import Fault, Place
from scheduler.model.after import After
from scheduler.model.doubts import UNKNOWN, Doubts
from scheduler.model.job import Colour, Job, Lay, Step
from scheduler.model.names import slug
from scheduler.model.scope import Call, Change, Part, Scope
from scheduler.reading.mending import SOME_MATERIAL, Path
from scheduler.reading.positions import Positions

Named = TypeVar("Named", Step, Colour, Part)

_BRING = ("scope", "steps", "colours")
"""Sections out of which steps come."""
_TOGETHER = (
    "rooms",
    "scope",
    "changes",
    "drop",
    "order of work",
    "first time",
    "steps",
    "colours",
    "borders",
    "colour order",
)
"""Sections of which one decides what counts for something in another."""
_ABOUT = ("title", "air", "readings", "saw in")
"""What of a room no part of it depends on."""
_SAID_OF = ("do", "title", "over")
"""What of a part its measures do not depend on."""


class Faulty:
    """Where the faults of a file stand, and what of it they touch."""

    def __init__(self, at: Positions, faults: Iterable[Fault]) -> None:
        self.paths = at.paths()
        self.at_fault: set[Path] = set()
        for fault in faults:
            self.at_fault |= self._innermost(fault.place)

    def inside(self, place: Place | None) -> bool:
        """Whether a fault stands in what begins at a place."""
        begins = self._paths(place)
        return any(path[: len(whole)] == whole for path in self.at_fault for whole in begins if whole)

    def under(self, place: Place, wholes: Iterable[Path]) -> bool:
        """Whether what begins at a place lies in one of these."""
        return any(path[: len(whole)] == whole for path in self._paths(place) for whole in wholes)

    def entries(self, section: str) -> dict[str, set[Path]]:
        """By id the entries of a section that hold a fault, with the paths of these inside of them."""
        found: dict[str, set[Path]] = {}
        for path in self.at_fault:
            if len(path) > 1 and path[0] == section and isinstance(path[1], str):
                found.setdefault(slug(path[1]), set()).add(path[2:])
        return found

    def is_lost(self, section: str) -> bool:
        """Whether a section as a whole is not what it should be."""
        return (section,) in self.at_fault

    def without_doubt(self, idle: Iterable[Fault]) -> list[Fault]:
        """Of what counts for nothing in the file that which does so whatever is meant by what is wrong elsewhere."""
        tops = {path[0] for path in self.at_fault if path}
        if tops & {*_TOGETHER}:
            tops |= {*_TOGETHER}
        return [fault for fault in idle if not any(path[0] in tops for path in self._innermost(fault.place) if path)]

    def covers(self, place: Place) -> bool:
        """Whether what begins at a place lies, inside an entry, in something that has a fault as a whole."""
        wholes = (path for path in self.at_fault if len(path) > len(("section", "entry")))
        return self.under(place, wholes)

    def _paths(self, place: Place | None) -> list[Path]:
        return self.paths.get((place.line, place.column), []) if place else []

    def _innermost(self, place: Place) -> set[Path]:
        paths = self._paths(place)
        longer = {other[: len(path)] for path in paths for other in paths if len(other) > len(path)}
        return {path for path in paths if path not in longer}


def doubts_of(job: Job, faulty: Faulty) -> Doubts:
    """What the faults leave unknown."""
    rooms, unread = _depended_on("rooms", _ABOUT, faulty), faulty.is_lost("rooms")
    parts = _depended_on("scope", _SAID_OF, faulty)
    scope = job.scope.parts if job.scope else ()
    measured = {room.room for room in job.scope.rooms} if job.scope else set()
    unread = unread or bool(rooms - measured)  # a part that names no room may be in one of those
    parts |= {part.id for part in scope if unread or not part.room or part.room in rooms}
    while more := {part.id for part in scope if {*part.of, *part.over} & parts} - parts:
        parts |= more
    entries = {name for section in _BRING for name in faulty.entries(section)}
    return Doubts(
        parts=frozenset(parts),
        entries=frozenset(entries),
        any_fault=True,
        any_name=any(faulty.is_lost(section) for section in _BRING),
    )


def _depended_on(section: str, aside: tuple[str, ...], faulty: Faulty) -> set[str]:
    """The entries of a section with a fault in more than the keys that nothing else depends on."""
    entries = faulty.entries(section).items()
    return {name for name, paths in entries if not all(path and path[0] in aside for path in paths)}


def handed_on(job: Job, faulty: Faulty) -> Job:
    """The job without what has a fault of its own: nothing further is asked of it. Of two with one name it is the
    first."""
    rooms = {part.id: part.room for part in job.scope.parts} if job.scope else {}
    return replace(
        job,
        steps=tuple(_step(step, faulty) for step in _firsts(job.steps)),
        colours=tuple(_colour(colour, faulty, rooms) for colour in _firsts(job.colours)),
        borders=tuple(border for border in job.borders if not faulty.inside(border.place)),
        scope=None if job.scope is None else _scope(job.scope, faulty),
    )


def _firsts(named: Iterable[Named]) -> Iterable[Named]:
    found: dict[str, Named] = {}
    for each in named:
        found.setdefault(each.id, each)
    return found.values()


def _step(step: Step, faulty: Faulty) -> Step:
    return replace(step, lays=_lays(step.lays, faulty), after=_after(step.after, faulty))


def _lays(lays: Lay | None, faulty: Faulty) -> Lay | None:
    return replace(lays, material=UNKNOWN) if lays is not None and faulty.inside(lays.place) else lays


def _after(afters: Iterable[After], faulty: Faulty) -> tuple[After, ...]:
    return tuple(after for after in afters if not faulty.inside(after.place))


def _colour(colour: Colour, faulty: Faulty, rooms: Mapping[str, str]) -> Colour:
    """A colour on those parts alone that are there, in its room."""
    unread = colour.material == SOME_MATERIAL and colour.id in faulty.entries("colours")
    material = UNKNOWN if unread else colour.material
    on = tuple(name for name in colour.on if rooms.get(name) == colour.room)
    return replace(colour, material=material, on=on, after=_after(colour.after, faulty))


def _scope(scope: Scope, faulty: Faulty) -> Scope:
    rooms = {part.id: part.room for part in scope.parts}
    return replace(
        scope,
        parts=tuple(_part(part, faulty, rooms) for part in _firsts(scope.parts)),
        changes=tuple(_change(change, faulty) for change in scope.changes),
        dropped=tuple(each for each in scope.dropped if not faulty.inside(each[1])),
        first_time=tuple(each for each in scope.first_time if not faulty.inside(each[1])),
    )


def _change(change: Change, faulty: Faulty) -> Change:
    lays = change.fields.get("lays")
    fields = {**change.fields, "lays": _lays(lays, faulty)} if isinstance(lays, Lay) else change.fields
    return replace(change, fields=fields, after=None if change.after is None else _after(change.after, faulty))


def _part(part: Part, faulty: Faulty, rooms: Mapping[str, str]) -> Part:
    """A part with those of the others alone that are there, in its own room."""
    return replace(
        part,
        of=tuple(name for name in part.of if rooms.get(name) == part.room and name != part.id),
        over=tuple(name for name in part.over if name in rooms),
        calls=tuple(_call(call, faulty) for call in part.calls if not _is_lost(call, faulty)),
    )


def _is_lost(call: Call, faulty: Faulty) -> bool:
    return call.place is not None and faulty.covers(call.place)


def _call(call: Call, faulty: Faulty) -> Call:
    return replace(call, options=tuple(said for said in call.options if not faulty.inside(said.place)))
