"""The small words that every other record uses: spans, estimates, the stages of a film."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

STAGES = (
    "touch",
    "dust_free",
    "handle",
    "sand",
    "recoat",
    "recoat_by",
    "paint_over",
    "tape",
    "use",
    "full",
)
"""The stages of a film, in the words of the coating standards (ASTM D1640, ISO 9117, ASTM C679).

`recoat_by` is the end of the recoat window; every other word names the moment from which something is allowed.
"""


class Span(NamedTuple):
    """Half-open interval [start, end) in whole minutes since the epoch, UTC."""

    start: int
    end: int

    @property
    def minutes(self) -> int:
        """Length in minutes."""
        return self.end - self.start


OPEN = "open"
"""What a step follows that joins or wipes a film while it is open: from its end on, until the open time is over."""

OPEN_UNTIL = "open_until"
"""The end of the open time of a glue, as a stage of its film: a window closes there, and it is no stage else."""

POT_LIFE = "pot_life"
"""What a step follows that mixes a batch: it lays the batch, and is over before the pot life is. Among the stages of
a film it is the end of that life, counted from the mixing, and no stage else."""

WINDOW_ENDS = frozenset({OPEN_UNTIL, POT_LIFE})
"""Ends of windows that stand among the clocks of a film and are told as no stage of it."""

STANDS_ON: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "handle": ("touch", "dust_free"),
        "sand": ("touch", "dust_free"),
        "recoat": ("touch", "dust_free"),
        "recoat_by": ("touch", "dust_free", "recoat"),
        "paint_over": ("touch", "dust_free"),
        "tape": ("touch", "dust_free", "handle"),
        "use": ("touch", "dust_free", "handle"),
        "full": ("touch", "dust_free", "handle", "sand", "recoat", "paint_over", "tape", "use"),
    }
)
"""What a stage comes no earlier than, in any air: a film that a finger moves is not handled, sanded, taped or coated
again. By the definitions of ASTM D1640 and ISO 9117 (from memory) and common practice; between `touch` and
`dust_free` they leave either order (set-to-touch comes before dust-free, dry-to-touch after it)."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """How long hands-on work takes, in minutes: low, likely and high. A single value has all three alike."""

    low: int
    likely: int
    high: int

    @classmethod
    def sure(cls, minutes: int) -> Estimate:
        """An estimate without spread."""
        return cls(minutes, minutes, minutes)

    @property
    def mean(self) -> float:
        """(low + 4·likely + high) / 6, minutes (Malcolm et al., Operations Research 7, 1959)."""
        return (self.low + 4 * self.likely + self.high) / 6

    @property
    def variance(self) -> float:
        """((high − low) / 6)², minutes² (Malcolm et al., Operations Research 7, 1959)."""
        return ((self.high - self.low) / 6) ** 2

    @property
    def planned(self) -> int:
        """The whole minutes that a plan sets aside: the mean, rounded up."""
        return -(-(self.low + 4 * self.likely + self.high) // 6)

    def plus(self, other: Estimate) -> Estimate:
        """Both one after the other, value by value."""
        return Estimate(self.low + other.low, self.likely + other.likely, self.high + other.high)
