"""Where things stand in a job file, by id: the paths that an edit names, with the keys as the person wrote them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import cast

from scheduler.model.foresight import Add, Drop, Edit, Put, Written
from scheduler.model.names import slug
from scheduler.reading.yamlfile import load_yaml
from scheduler.telling.words import Words

Path = tuple[str | int, ...]
ARROW = " → "


@dataclass(frozen=True, slots=True)
class FileKeys:
    """The plain data of a job file, every scalar as it was written (as `reading.yamlfile` gives it, untyped)."""

    data: Mapping[str, object]

    def named(self, section: str, name: str) -> Path | None:
        """The path of an entry of a section by its id; None if the file does not have it (a method brought it)."""
        entries = self.data.get(section)
        if isinstance(entries, Mapping):
            for key in entries:
                if slug(str(key)) == name:
                    return section, str(key)
        return None

    def work(self, name: str) -> Path:
        """The path of a step or a colour by its id; of a step that a method brought, its entry under `changes`."""
        found = self.named("steps", name) or self.named("colours", name) or self.named("changes", name)
        return found or ("changes", name)

    def at(self, path: Path) -> object:
        """What stands at a path; None if nothing does."""
        value: object = self.data
        for step in path:
            if isinstance(step, int) and isinstance(value, list) and step < len(value):
                value = value[step]
            elif isinstance(step, str) and isinstance(value, Mapping):
                value = value.get(step)
            else:
                return None
        return value

    def entry(self, path: Path, number: int) -> Path:
        """The path of an entry of a list, or of the one entry that stands there without a list."""
        return (*path, number) if isinstance(self.at(path), list) else path

    def listed(self, path: Path) -> list[Written]:
        """The entries at a path, one without a list included."""
        value = self.at(path)
        if value is None:
            return []
        return cast("list[Written]", list(value) if isinstance(value, list) else [value])


def keys_of(file: FilePath) -> FileKeys:
    """The keys of the job file at that place. Raises InputError."""
    data, _ = load_yaml(file, typed=False)
    return FileKeys(data if isinstance(data, dict) else {})


def said(edit: Edit, words: Words) -> str:
    """An edit in words of the job file: where to write what."""
    return "; ".join(_said(part, words) for part in edit)


def _said(part: Put | Add | Drop, words: Words) -> str:
    where = ARROW.join(
        step if isinstance(step, str) else words.tell("edit.entry", number=step + 1) for step in part.path
    )
    if isinstance(part, Drop):
        return words.tell("edit.take out", where=where)
    name = "edit.add to" if isinstance(part, Add) else "edit.write"
    return words.tell(name, where=where, value=written(part.value))


def written(value: Written) -> str:
    """A value in one line of the job file."""
    if isinstance(value, list):
        return f"[{', '.join(written(part) for part in value)}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{key}: {written(part)}' for key, part in value.items())}}}"
    return value
