"""What a check may look at: the shape of the job, every name in the file, and where each value stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scheduler.errors import Fault
from scheduler.model.names import meant, slug
from scheduler.reading.mending import Path
from scheduler.reading.positions import Positions
from scheduler.reading.shape import ChangeShape, ColourShape, JobShape, StepShape
from scheduler.reading.yamlfile import YamlValue
from scheduler.told import told

NAMED = ("rooms", "on order", "shared things", "appointments", "scope", "steps", "colours")
"""Sections whose entries have names that other entries refer to."""


@dataclass(frozen=True, slots=True)
class NameBook:
    """`names` holds, by section, the id of each name with the name as it was written, faulty entries included.

    `broken` are the keys at the top that hold a fault already: what counts over all of them is not checked then.
    `mended` are the paths to what something else stands in for, `lost` those to blocks that had a key nobody knows.
    """

    job: JobShape
    at: Positions
    names: dict[str, dict[str, str]]
    broken: frozenset[str]
    mended: frozenset[Path] = frozenset()
    lost: frozenset[Path] = frozenset()

    def is_doubtful(self, *path: str | int) -> bool:
        """Whether something at, in or around a path could not be read."""
        near = (*self.mended, *self.lost)
        return any(other[: len(path)] == path or path[: len(other)] == other for other in near)

    def work(self) -> Iterator[tuple[tuple[str, str], StepShape | ColourShape]]:
        """Steps and colours with their paths."""
        for name, step in (self.job.steps or {}).items():
            yield ("steps", name), step
        for name, colour in (self.job.colours or {}).items():
            yield ("colours", name), colour

    def entries(self) -> Iterator[tuple[tuple[str, str], StepShape | ColourShape | ChangeShape]]:
        """Steps, colours and changes with their paths: all that takes, needs and follows something."""
        yield from self.work()
        for name, change in (self.job.changes or {}).items():
            yield ("changes", name), change

    def unknown(self, name: str, path: tuple[str | int, ...], what: str, *sections: str) -> Iterator[Fault]:
        """A fault if none of the sections knows the name: `what` it would be, and the nearest one."""
        if any(section in self.broken and not self.names[section] for section in sections):
            return  # the section itself could not be read
        if all(slug(name) not in self.names[section] for section in sections):
            known = {key: said for section in sections for key, said in self.names[section].items()}
            place = self.at.key(path) if path[-1] == name and self.at.has(path) else self.at.value(path)
            yield Fault(
                place, told("no {what} is called `{name}`", what=what, name=name), meant(name, known.values())
            )


def names_in(data: YamlValue) -> dict[str, dict[str, str]]:
    """Every name in the file by section and id; of two with the same id the first."""
    names: dict[str, dict[str, str]] = {}
    for section in NAMED:
        entries = data.get(section) if isinstance(data, dict) else None
        keys = list(entries) if isinstance(entries, dict) else []
        names[section] = {slug(key): key for key in reversed(keys)}
    return names
