"""Who waits for a plan: hears how far the search is, and may have it end with the best found so far."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class SoFar:
    """How far a search is: the share of its effort, and the finish found and its bound in minutes, None while there
    are none.
    """

    share: float
    finish: int | None = None
    bound: int | None = None


class Watch(Protocol):
    """What a search tells while it lasts.

    Whoever waits interrupts it by a KeyboardInterrupt, from `hear` or from anywhere. A search then ends with the best
    that it has found; while it has found nothing, the interrupt goes on up.
    """

    def begin(self) -> None:
        """A search begins."""

    def end(self) -> None:
        """It is over."""

    def hear(self, so_far: SoFar) -> None:
        """Called again and again, after a few placements each."""
