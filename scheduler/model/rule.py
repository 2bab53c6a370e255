"""The rules of the trade's order between different surfaces of one room, as profiles/order.yaml says them."""

from __future__ import annotations

from dataclasses import dataclass

DOES = (
    "covers the floor",
    "uncovers the floor",
    "brings the furniture back",
    "readies a stair",
    "finishes a stair",
    "carries boards in",
    "hangs the boards",
    "tapes the boards",
    "plasters",
    "fixes the shelves",
    "plumbs the frame",
    "hangs the door",
    "fits the handles",
    "cuts the casing",
    "fixes the casing",
    "cuts the base",
    "covers the gap",
    "grouts the joints",
    "tests the slab",
    "opens the concrete",
    "coats the concrete",
)
"""What a step of a method may do that a rule goes by, beside its phase and its surface."""

OVERRULED = ("left out", "reversed")
"""What a job may want of a rule instead of what it says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Steps of one room: on these kinds of surface, in these phases, doing one of these things (none: any).

    `along` are lines that a trim runs along and nothing else; `where` phases of which one must be done on the same
    part, so that a base that is nailed is told from one that only gets paint; `last_coat` takes the last coat alone.
    """

    of: tuple[str, ...] = ()
    along: tuple[str, ...] = ()
    phases: tuple[str, ...] = ()
    does: tuple[str, ...] = ()
    where: tuple[str, ...] = ()
    last_coat: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """The steps of `first` come before those of `then` in the same room. Where both lie on one surface phase follows
    phase; there a rule holds only between what steps do (`does`).

    `stage` is how far the films of `first` must have come (None: by the phase of what follows). `moves` names the
    side, "first" or "then", that leaves its phase for this rule. `hard`: it holds as well where `first` waits for
    something on order that `then` does not need. `same_opening`: of steps at doors and windows those at the same one.
    `free_where_taped`: of two colours that are taped off against each
    other either may be first. `because`, `unless` and `source` are for whoever reads the file.
    """

    id: str
    first: Group
    then: Group
    because: str
    source: str
    unless: str = ""
    stage: str | None = None
    moves: str | None = None
    hard: bool = False
    same_opening: bool = False
    free_where_taped: bool = False
