"""profiles/methods/ -> the methods that a job names: the shipped ones, and a person's own beside the job file.

    profiles/methods/NAME.yaml      one method; NAME is what a job calls it

As with materials the names of the files are the index: only methods that a job names are read, and every own one, so
that a slip in it is found. An own method of the same name takes the place of the shipped one as a whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from scheduler.errors import Fault, InputError, wrong_input
from scheduler.model.job import Job
from scheduler.model.message import Message, message
from scheduler.model.method import Method, Methods
from scheduler.model.names import slug
from scheduler.reading.profilefolder import index
from scheduler.reading.remembered import remembered
from scheduler.reading.shipped import shipped_name, shipped_profiles
from scheduler.reading.textfile import shown
from scheduler.reading.yamlfile import load_yaml

FOLDER = "methods"
_INDEXED = ("method", "my-method")


def methods_named(job: Job) -> frozenset[str]:
    """The methods that a job needs: those it names, and those that paint its colours and tape them off."""
    scope = job.scope
    if scope is None:
        return frozenset()
    named = {call.method for part in scope.parts for call in part.calls}
    if not any(colour.on for colour in job.colours):
        return frozenset(named)
    kinds = {part.kind for part in scope.parts} - {"room", "other"}
    return frozenset({*named, "mask", *(f"paint-{kind}" for kind in kinds)})


def read_methods(job_folder: Path | None, names: Iterable[str] | None = None) -> Methods:
    """The methods called `names` (None: all) and all own ones; a name that is not there is left to who used it.

    Raises InputError with every fault of every file that was read.
    """
    methods, faults = look_at_methods(job_folder, names)
    if faults:
        raise InputError(faults)
    return methods


def look_at_methods(job_folder: Path | None, names: Iterable[str] | None = None) -> tuple[Methods, tuple[Fault, ...]]:
    """The same without those that have faults, and these faults."""
    own_folder = job_folder / "profiles" / FOLDER if job_folder is not None else None
    shipped_folder = shipped_profiles() / FOLDER
    faults: list[Fault] = []
    shipped = index(shipped_folder, *_INDEXED, faults)
    apart = own_folder is not None and own_folder.resolve() != shipped_folder
    own = index(own_folder, *_INDEXED, faults) if own_folder is not None and apart else {}
    known = {*shipped, *own}
    wanted = known if names is None else {*names, *own} & known
    loaded: dict[str, Method] = {}
    notes: list[Message] = []
    for name in sorted(wanted):
        replaces = shipped_name(shipped[name]) if name in own and name in shipped else None
        if replaces:
            notes.append(message("own.method", own=shown(own[name]), name=name))
        try:
            loaded[name] = (
                _read(own[name], name, shown(own[name]), replaces) if name in own else _shipped(name, shipped)
            )
        except InputError as error:
            faults += error.faults
    return Methods(loaded=loaded, known=tuple(sorted(known)), notes=tuple(notes)), tuple(faults)


def materials_of(methods: Methods, job: Job) -> frozenset[str]:
    """The families that the methods of a job lay: as an option says, by default or in the job, or plainly."""
    found: set[str] = set()
    for part in job.scope.parts if job.scope else ():
        for call in part.calls:
            method = methods.loaded.get(call.method)
            if method is not None:
                found |= _materials(method, {slug(said.name): slug(said.text) for said in call.options})
    return frozenset(found)


def _materials(method: Method, said: dict[str, str]) -> set[str]:
    """The families of one call; `said` are the options that were written."""
    plain = {slug(each.material) for each in method.templates if each.material and "{" not in each.material}
    options = [option for option in method.options if option.kind == "material"]
    elsewhere = {material for option in options for _, material in option.where}
    return plain | elsewhere | {said.get(slug(option.name), str(option.default)) for option in options}


def _shipped(name: str, files: Mapping[str, Path]) -> Method:
    path = files[name]
    return remembered(f"method-{name}", Method, lambda: _read(path, name, shipped_name(path), None))


def _read(path: Path, name: str, origin: str, replaces: str | None) -> Method:
    # What the forms are made of is slow to load, and of no use for methods that are remembered.
    from scheduler.reading.methodform import MethodForm
    from scheduler.reading.methodrecord import method_of
    from scheduler.reading.methodrules import broken_rules
    from scheduler.reading.profileparts import form_of

    data, positions = load_yaml(path, typed=False)
    if not isinstance(data, dict):
        raise wrong_input(positions.value(), "this is no method", "write `title: …`, `source: …`, `steps: …`")
    form = form_of(MethodForm, data, positions)
    broken = broken_rules(form, positions)
    if broken:
        raise InputError(broken)
    return method_of(name, form, origin, replaces)
