"""Where each value of a YAML file stands, asked by the path that leads to it."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field

from scheduler.errors import Place


@dataclass(slots=True)
class Spot:
    """One value: where it begins, where its key begins (its own beginning in a list), and what it holds.

    `flow`: its key stands between `{` and `}`.
    """

    line: int
    column: int
    key_line: int
    key_column: int
    parts: dict[str | int, Spot] = field(default_factory=dict)
    flow: bool = False


@dataclass(frozen=True, slots=True)
class Positions:
    """Places in one file by path, e.g. `value(["steps", "clear", "work"])`.

    A path that leads further than the file goes ends at the last value that is there, and an index into what is
    no list is passed over; so the short forms (`lays: primer` for `lays: {material: primer}`, one word for a
    list of one) need no paths of their own.
    """

    file: str
    root: Spot

    def value(self, path: Iterable[str | int] = ()) -> Place:
        """Where the value at `path` begins."""
        spot, _ = self._walk(path)
        return Place(self.file, spot.line, spot.column)

    def key(self, path: Iterable[str | int] = ()) -> Place:
        """Where the key of the value at `path` begins; in a list, where the entry begins."""
        spot, _ = self._walk(path)
        return Place(self.file, spot.key_line, spot.key_column)

    def has(self, path: Iterable[str | int]) -> bool:
        """Whether the file goes as far as `path`."""
        return self._walk(path)[1]

    def keys(self, path: Iterable[str | int]) -> tuple[str, ...]:
        """The keys that stand in the mapping at `path`; none if it is not there or no mapping."""
        spot, whole = self._walk(path)
        return tuple(key for key in spot.parts if isinstance(key, str)) if whole else ()

    def spot(self, path: Iterable[str | int]) -> Spot:
        """The value at `path`, or the last one before it that is there."""
        return self._walk(path)[0]

    def paths(self) -> dict[tuple[int, int], list[tuple[str | int, ...]]]:
        """Line and column of every value and of every key -> the paths to what begins there, the outermost first."""
        found: dict[tuple[int, int], list[tuple[str | int, ...]]] = {}
        waiting: deque[tuple[tuple[str | int, ...], Spot]] = deque([((), self.root)])
        while waiting:
            path, spot = waiting.popleft()
            for begins in {(spot.line, spot.column), (spot.key_line, spot.key_column)}:
                found.setdefault(begins, []).append(path)
            waiting += [((*path, step), part) for step, part in spot.parts.items()]
        return found

    def _walk(self, path: Iterable[str | int]) -> tuple[Spot, bool]:
        spot, whole = self.root, True
        for step in path:
            further = spot.parts.get(step)
            if further is not None:
                spot = further
                continue
            whole = False
            if isinstance(step, str):
                break
        return spot, whole
