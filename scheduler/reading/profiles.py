"""profiles/ -> the trade: the shipped data, and a person's own profiles/ beside the job file, which come first.

    profiles/materials/NAME.yaml    one family; NAME is what a job calls it
    profiles/tape.yaml              masking tape
    profiles/cautions.yaml          cautions wherever a step is dusty or noisy
    profiles/kinds.yaml             which steps are of one kind of work
    profiles/order.yaml             what comes before what between the surfaces of a room
    profiles/wares.yaml             how all of it is sold (see `reading.wares`)

The names of the files are the index: only the families that a job names are read, and every own one, so that a slip
in it is found. A family may be `based_on` another: what it doesn't say itself it takes from there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TypeAlias

from scheduler.errors import Fault, InputError, Place, wrong_input
from scheduler.model.job import Job, Lay
from scheduler.model.material import Caution, KindOfWork, Material, Tape, Trade
from scheduler.model.message import Message, message
from scheduler.model.names import meant, slug
from scheduler.model.plainform import Record
from scheduler.model.rule import Rule
from scheduler.model.shopping import Shelf
from scheduler.reading.order import FILE as ORDER
from scheduler.reading.order import over, read_order
from scheduler.reading.positions import Positions
from scheduler.reading.profilefolder import index, yaml_files
from scheduler.reading.remembered import remembered
from scheduler.reading.shipped import shipped_name, shipped_profiles
from scheduler.reading.textfile import shown
from scheduler.reading.wares import FILE, read_wares
from scheduler.reading.yamlfile import YamlValue, load_yaml
from scheduler.told import told

OWN_FOLDER = "profiles"
_INDEXED = ("family", "my-paint")
_TAPE, _CAUTIONS, _KINDS = "tape.yaml", "cautions.yaml", "kinds.yaml"
Mapped: TypeAlias = dict[str, YamlValue]


def read_trade(job_folder: Path | None, names: Iterable[str] | None = None) -> Trade:
    """The families called `names` (None: all) and all own ones, the tape and the cautions.

    An unknown name loads everything, so that whoever complains about it can offer what there is. Raises InputError
    with every fault of every file that was read.
    """
    trade, faults = look_at_trade(job_folder, names)
    if faults:
        raise InputError(faults)
    return trade


def look_at_trade(job_folder: Path | None, names: Iterable[str] | None = None) -> tuple[Trade, tuple[Fault, ...]]:
    """The same without the families that have faults, and these faults; for an own tape or shelf with some the
    shipped one stands in."""
    reader = _Reader(_own_profiles(job_folder))
    trade = reader.trade(names)
    return trade, tuple(reader.found)


def named_in(job: Job) -> frozenset[str]:
    """The families that steps, colours and changes of a job lay: what `read_trade` has to read for it."""
    laid = {step.lays.material for step in job.steps if step.lays is not None}
    changed = (change.fields.get("lays") for change in (job.scope.changes if job.scope else job.changes))
    laid |= {lay.material for lay in changed if isinstance(lay, Lay)}
    return frozenset(laid | {colour.material for colour in job.colours})


def used_in(job: Job) -> frozenset[str]:
    """The ids of all that steps and colours of a job use up, families and other things alike."""
    steps = (use for step in job.steps for use in step.uses)
    colours = (use for colour in job.colours for use in (*colour.uses, *colour.tape_uses))
    return frozenset(slug(use.what) for use in (*steps, *colours))


def _own_profiles(job_folder: Path | None) -> Path | None:
    """The person's folder, if there is one; the shipped one itself is not counted twice."""
    folder = job_folder / OWN_FOLDER if job_folder is not None else None
    if folder is None or not folder.is_dir() or folder.resolve() == shipped_profiles():
        return None
    return folder


@dataclass
class _Reader:
    """Finds the files, reads those that are wanted, and gathers faults and notes."""

    own: Path | None
    shipped_files: dict[str, Path] = field(default_factory=dict)
    own_files: dict[str, Path] = field(default_factory=dict)
    found: list[Fault] = field(default_factory=list)
    notes: list[Message] = field(default_factory=list)

    def trade(self, names: Iterable[str] | None) -> Trade:
        self.shipped_files = index(shipped_profiles() / "materials", *_INDEXED, self.found)
        if self.own:
            self.own_files = index(self.own / "materials", *_INDEXED, self.found)
            self.strays(self.own)
        known = self.known()
        wanted = set(known) if names is None or not set(names) <= set(known) else {*names, *self.own_files}
        materials = [self.material(name) for name in sorted(wanted)]
        tape, cautions, shelf, order = self.tape(), self.cautions(), self.shelf(), self.order()
        return Trade(
            materials=tuple(material for material in materials if material is not None),
            tape=tape,
            cautions=cautions,
            shelf=shelf,
            kinds=self.single(_KINDS, tuple[KindOfWork, ...], _kinds),
            order=order,
            notes=tuple(self.notes),
            known=known,
        )

    def known(self) -> tuple[str, ...]:
        return tuple(sorted({*self.shipped_files, *self.own_files}))

    def strays(self, own: Path) -> None:
        """Own files that would be passed over in silence."""
        for path in yaml_files(own, self.found):
            if path.name not in (_TAPE, _CAUTIONS, _KINDS, FILE, ORDER):
                hint = told(
                    "move a material to `{own_folder}/materials/`, a method to `{own_folder}/methods/`",
                    own_folder=OWN_FOLDER,
                )
                self.fault(path, "nothing is read from this place", hint)

    def fault(self, path: Path, message: str, hint: str) -> None:
        self.found.append(Fault(Place(shown(path)), message, hint))

    def material(self, name: str) -> Material | None:
        """One family; None if it has faults, which are gathered."""
        own, shipped = self.own_files.get(name), self.shipped_files.get(name)
        try:
            if own is None:
                path = self.shipped_files[name]
                read = partial(self.read, path, name, shipped_name(path), None)
                return remembered(f"material-{name}", Material, read)
            replaces = shipped_name(shipped) if shipped else None
            material = self.read(own, name, shown(own), replaces)
        except InputError as error:
            self.found.extend(error.faults)
            return None
        if replaces:
            self.notes.append(message("own.profile", own=shown(own), name=name))
        return material

    def read(self, path: Path, name: str, origin: str, replaces: str | None) -> Material:
        """The family of a file. Raises InputError."""
        # What the forms are made of is slow to load, and of no use for families that are remembered.
        from scheduler.reading.profileform import MaterialForm
        from scheduler.reading.profileparts import form_of
        from scheduler.reading.profilerecord import material_of
        from scheduler.reading.profilerules import broken_rules

        data, positions = self.whole(path)
        form = form_of(MaterialForm, data, positions)
        broken = broken_rules(form, positions)
        if broken:
            raise InputError(broken)
        return material_of(name, form, origin, replaces)

    def whole(self, path: Path, trail: tuple[Path, ...] = ()) -> tuple[Mapped, Positions]:
        """The mapping of a file with what it takes from the family that it is based on, and the file's own places."""
        data, positions = _mapping(path)
        base = data.pop("based_on", None)
        if base is None:
            return data, positions
        below = self.base(str(base), path)
        place = positions.value(["based_on"])
        if below is None:
            others = [name for name in self.known() if name != path.stem]
            raise wrong_input(place, told("no other family is called `{base}`", base=base), meant(str(base), others))
        if below in (*trail, path):
            raise wrong_input(
                place, told("`{base}` is based on this family itself", base=base), "base one of them on nothing"
            )
        return _over(self.whole(below, (*trail, path))[0], data), positions

    def base(self, name: str, path: Path) -> Path | None:
        """The file of a base: for an own family an own one, unless it is that one itself; else a shipped one."""
        own, shipped = self.own_files.get(name), self.shipped_files.get(name)
        return own if own and own != path and path in self.own_files.values() else shipped

    def tape(self) -> Tape:
        return self.single(_TAPE, Tape, _tape)

    def cautions(self) -> tuple[Caution, ...]:
        return self.single(_CAUTIONS, tuple[Caution, ...], _cautions)

    def shelf(self) -> Shelf:
        try:
            return read_wares(self.own)
        except InputError as error:
            if self.own is None:
                raise
            self.found.extend(error.faults)
            return read_wares(None)

    def order(self) -> tuple[Rule, ...]:
        """The rules of the trade's order, a person's own before the shipped ones of the same name."""
        shipped = remembered("order", tuple[Rule, ...], lambda: read_order(shipped_profiles() / ORDER))
        own = self.own / ORDER if self.own and (self.own / ORDER).exists() else None
        if own is None:
            return shipped
        self.notes.append(message("own.order", own=shown(own), file=ORDER))
        try:
            return over(shipped, read_order(own))
        except InputError as error:
            self.found.extend(error.faults)
            return shipped

    def single(self, name: str, kind: type[Record], read: Callable[[Path], Record]) -> Record:
        """A file that there is one of; an own one takes the place of the shipped one as a whole.

        Faults of an own one are gathered, and the shipped one stands in for it.
        """
        own = self.own / name if self.own and (self.own / name).exists() else None
        if own:
            self.notes.append(message("own.file", own=shown(own), file=name))
            try:
                return read(own)
            except InputError as error:
                self.found.extend(error.faults)
        shipped = shipped_profiles() / name
        return remembered(shipped.stem, kind, lambda: read(shipped))


def _tape(path: Path) -> Tape:
    from scheduler.reading.profileform import TapeForm
    from scheduler.reading.profileparts import form_of
    from scheduler.reading.profilerecord import tape_of

    return tape_of(form_of(TapeForm, *_mapping(path)))


def _cautions(path: Path) -> tuple[Caution, ...]:
    from scheduler.reading.profileform import CautionsForm
    from scheduler.reading.profileparts import form_of
    from scheduler.reading.profilerecord import cautions_of

    return cautions_of(form_of(CautionsForm, *_mapping(path)))


def _kinds(path: Path) -> tuple[KindOfWork, ...]:
    from scheduler.reading.profileform import KindsForm
    from scheduler.reading.profileparts import form_of
    from scheduler.reading.profilerecord import kinds_of

    return kinds_of(form_of(KindsForm, *_mapping(path)))


def _mapping(path: Path) -> tuple[Mapped, Positions]:
    """A file's one mapping, every value as it was written."""
    data, positions = load_yaml(path, typed=False)
    if not isinstance(data, dict):
        raise wrong_input(positions.value(), "this is no profile", "write `title: …`, `stages: …` and so on")
    return data, positions


def _over(below: Mapped, above: Mapped) -> Mapped:
    """What the upper file says replaces what the lower one says, key by key; stages one by one."""
    stages, own = below.get("stages"), above.get("stages")
    both = isinstance(stages, dict) and isinstance(own, dict)
    return {**below, **above, **({"stages": {**stages, **own}} if both else {})}  # type: ignore[dict-item]
