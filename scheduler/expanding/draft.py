"""The task graph while it is being put together."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from scheduler.errors import Fault, Place
from scheduler.model.basics import Estimate
from scheduler.model.beware import Beware
from scheduler.model.doubts import NO_DOUBTS, Doubts
from scheduler.model.graph import Choice, Film, Link, Task
from scheduler.model.job import Job, Lay
from scheduler.model.material import Material, Remedy, Trade
from scheduler.model.message import Message
from scheduler.model.region import regions_of
from scheduler.told import told
from scheduler.units import parse_length

SHEET = 4 * 8 * 0.3048**2
"""m² of a sheet of 4 × 8 ft."""

POUND = 0.45359237
"""kg: NIST SP 811 (2008)."""

WEIGHT = "weight: a sheet of {what}, {size}, weighs about {weight}"
WEIGHT_SHORT = "weight: {what}, {weight} a sheet"
WEIGHED = "computed, density from memory"
"""What is said of a sheet that somebody lifts, and where it comes from."""

OLD_STUFF = ("old paint", "old texture")


@dataclass(frozen=True, slots=True)
class Target:
    """What stands behind a name in `follows`: the task that ends it, and the task that lays its last film.

    `material` is None for a step that lays no film, and where `unknown` (a fault already) it might have been
    any.
    """

    name: str
    last: str
    film: str | None = None
    material: Material | None = None
    unknown: bool = False


@dataclass(slots=True)
class Draft:
    """Tasks, links and faults so far. `owners` says which step or colour of the file a task came from.

    `border_windows` are the windows of the tape of a colour that has none of its own: they hold only where it is
    second at a border.
    """

    job: Job
    trade: Trade
    tasks: dict[str, Task] = field(default_factory=dict)
    links: set[Link] = field(default_factory=set)
    choices: list[Choice] = field(default_factory=list)
    closed: dict[str, str] = field(default_factory=dict)
    border_windows: dict[str, tuple[Link, ...]] = field(default_factory=dict)
    targets: dict[str, Target] = field(default_factory=dict)
    owners: dict[str, str] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    doubts: Doubts = NO_DOUBTS

    def place_of(self, name: str) -> Place | None:
        """Where a task, or an appointment, stands in the file."""
        visits = {visit.id: visit.place for visit in self.job.appointments}
        return visits[name] if name in visits else self.tasks[name].place

    def fault(self, place: Place | None, message: str, hint: str) -> None:
        """Take down a mistake at its place, or at the file as a whole where nothing closer is known."""
        self.faults.append(Fault(place or self.job.place or Place(self.job.name), message, hint))

    def add(
        self, task: Task, owner: str, dangers: tuple[str, ...] = (), disturbs: tuple[str, ...] | None = None
    ) -> None:
        """Put in a task, with the cautions that the trade has for its kind.

        Of a dusty one of which nobody says what it disturbs it is taken that it tears up old paint and texture.
        """
        if disturbs is None:
            disturbs = OLD_STUFF if task.dusty else ()
        kinds = {*dangers, *disturbs, *_dust(task, dangers), *(["noisy"] if task.noisy else [])}
        weights = self._weights(task) if "lifting" in kinds else ()
        due = self._cautions_of(kinds, task.room)
        self.tasks[task.id] = replace(task, cautions=once((*task.cautions, *due, *weights)))
        self.owners[task.id] = owner

    def add_work(self, task: str, extra: Estimate) -> None:
        """Make a task longer."""
        self.tasks[task] = replace(self.tasks[task], work=self.tasks[task].work.plus(extra))

    def add_remedy(self, remedy: Remedy, before: str, after: str, reason: Message) -> str:
        """Put in the task that mends a missed window between two tasks; the name under which it was put in."""
        name, count = f"{after}-remedy", 1
        while name in self.tasks:
            count += 1
            name = f"{after}-remedy-{count}"
        mended = self.tasks[before]
        task = Task(
            id=name,
            title=f"{remedy.title[:1].upper()}{remedy.title[1:]} ({mended.title})",
            room=mended.room,
            work=Estimate.sure(remedy.work),
            people=1,
            smallest_piece=None,
            dusty=remedy.dusty,
            noisy=remedy.noisy,
            wipes=remedy.dusty,  # a remedy that makes dust includes its own wiping down
            cautions=remedy.cautions,
            remedy_of=(before, after),
            added=reason,
            place=self.tasks[after].place,
        )
        self.add(task, self.owners[after], disturbs=())  # it mends what was just laid, nothing old
        if remedy.wait:
            self.links.add(Link(before=before, after=name, wait=remedy.wait))
        return name

    def laid(self, lay: Lay, material: Material, room: str) -> Film:
        """The film of a step; its thickness against the profile's own."""
        ratio = 1.0 if lay.thickness is None else lay.thickness / material.thickness
        moisture = lay.moisture
        if moisture is not None and material.acclimates is None:
            self.fault(
                lay.place,
                told("`{id}` is no wood that comes near the moisture of a room", id=material.id),
                "leave it out",
            )
            moisture = None
        return Film(
            material=material.id, coat=lay.coat, ratio=ratio, room=room, moisture=moisture, surfaces=lay.surfaces
        )

    def kind_of(
        self,
        material: Material | None,
        phase: str,
        dusty: bool = False,
        noisy: bool = False,
        wipes: bool = False,
    ) -> str:
        """The kind of work of a step that lays this material in this phase of the trade."""
        marks = frozenset(mark for mark, is_so in (("dusty", dusty), ("noisy", noisy), ("wipes", wipes)) if is_so)
        return self.trade.kind_of(material.group if material is not None else "", phase, marks)

    def _cautions_of(self, kinds: set[str], room: str) -> Iterable[Beware]:
        title = next((each.title for each in self.job.rooms if each.id == room), room)
        return self.trade.cautions_for(kinds, regions_of(self.job.country), self.job.built, title)

    def _weights(self, task: Task) -> Iterable[Beware]:
        """What a whole sheet weighs of each that the step uses, where its name says how thick it is."""
        for caution in self.trade.cautions:
            for use in task.uses:
                kilograms = sheet_weight(use.what, caution.densities)
                if kilograms is not None:
                    pounds = kilograms / POUND
                    weight = f"{kilograms:.0f} kg" if self.job.metric else f"{pounds:.0f} lb"
                    size = "1.22 × 2.44 m" if self.job.metric else "4 × 8 ft"
                    words, what = self.trade.words, self.trade.words(use.what)
                    said = words(WEIGHT).format(what=what, size=size, weight=weight)
                    short = words(WEIGHT_SHORT).format(what=what, weight=weight)
                    yield Beware(f"{said} ({words(WEIGHED)})", said, short)


def sheet_weight(name: str, densities: Iterable[tuple[str, float]]) -> float | None:
    """Kilograms of a sheet of 4 × 8 ft whose name begins with its thickness: `3/4 in mdf`. None if it says no
    thickness, or nothing of which the density is known."""
    plain = " ".join(name.lower().split())
    found = re.match(r"[0-9 /.]+ ?(?:in|inch|mm|cm)\b", plain)
    density = next((each for word, each in densities if word in plain), None)
    if found is None or density is None:
        return None
    return parse_length(found[0]) * SHEET * density


def _dust(task: Task, dangers: tuple[str, ...]) -> tuple[str, ...]:
    """The dust of a task: of a saw or another loud tool of a method it is wood, of a quiet sanding compound and
    plaster, unless its dangers say so themselves. What a loud step of a person's own cuts nobody knows: it may be
    stone."""
    if not task.dusty or {"mineral dust", "wood dust"} & set(dangers):
        return ("dusty",) if task.dusty else ()
    loud = "cutting dust" if task.by_hand else "wood dust"
    return ("dusty", loud if task.noisy else "mineral dust")


def once(cautions: Iterable[Beware]) -> tuple[Beware, ...]:
    """Cautions in their order, each once."""
    return tuple(dict.fromkeys(cautions))
