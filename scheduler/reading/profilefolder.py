"""Folders of profiles: the names of the files are the index of what there is."""

from __future__ import annotations

from pathlib import Path

from scheduler.errors import Fault, Place
from scheduler.model.names import slug
from scheduler.reading.textfile import shown
from scheduler.told import told

_SUFFIXES = (".yaml", ".yml")


def yaml_files(folder: Path, faults: list[Fault]) -> list[Path]:
    """The YAML files of a folder by name; none if there is no such folder. One that can't be read is a fault."""
    try:
        return sorted(path for path in folder.iterdir() if path.suffix in _SUFFIXES)
    except FileNotFoundError:
        return []
    except OSError:
        hint = "check that it is a folder, and its rights"
        faults.append(Fault(Place(shown(folder)), "this folder can't be read", hint))
        return []


def index(folder: Path, kind: str, example: str, faults: list[Fault]) -> dict[str, Path]:
    """By name the file of each: `kind` is what they are, `example` a name for one. What has no name is a fault."""
    files: dict[str, Path] = {}
    for path in yaml_files(folder, faults):
        name, place = slug(path.stem), Place(shown(path))
        if name != path.stem:
            hint = told("call it `{part}{suffix}`", part=name or example, suffix=path.suffix)
            faults.append(
                Fault(place, told("`{path}` is no name of a {kind}", path=shown(Path(path.stem)), kind=kind), hint)
            )
        elif name in files:
            faults.append(
                Fault(
                    place,
                    told("there are two files of `{name}`", name=name),
                    told("keep this one or `{name}`", name=files[name].name),
                )
            )
        else:
            files[name] = path
    return files
