"""What the faults of a job leave unknown, so that looking further does not make a second mistake of the first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubts:
    """`parts` are the ids of parts of the scope of which something is not known: measures, room, methods; `entries`
    those of steps and colours with a fault in them. `any_name`: a whole section could not be read, and any name may
    be one of it. `materials` are families whose own files have faults. `any_fault`: there is one, so what depends
    on the job as a whole is not asked. A job without a fault leaves no doubt.
    """

    parts: frozenset[str] = frozenset()
    entries: frozenset[str] = frozenset()
    any_name: bool = False
    materials: frozenset[str] = frozenset()
    any_fault: bool = False

    def may_be(self, name: str) -> bool:
        """Whether a step that is not there may be one that a fault hides: its entry, or one that its part brings."""
        hidden = self.parts | self.entries
        return self.any_name or any(name == each or name.startswith(f"{each}-") for each in hidden)

    def more(
        self,
        *,
        parts: Iterable[str] = (),
        entries: Iterable[str] = (),
        materials: Iterable[str] = (),
        any_fault: bool = False,
    ) -> Doubts:
        """The same with more doubts."""
        return Doubts(
            parts=self.parts.union(parts),
            entries=self.entries.union(entries),
            materials=self.materials.union(materials),
            any_name=self.any_name,
            any_fault=self.any_fault or any_fault,
        )


NO_DOUBTS = Doubts()
UNKNOWN = ""
"""The id of a material of which a fault leaves unknown which it is; no name in a file comes to it."""
