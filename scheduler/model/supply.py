"""What a step uses up, so that what must be in the house can be counted."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """So much of one thing: a material family (`what` is its id) or a ware such as boards, sheets, nails.

    `amount` is net, before waste, in `unit`: L, kg, m, m2 or piece. `lengths` are the single lengths in metres
    that are cut from stock (boards, mouldings), for the cutting plan; their sum is the amount.
    """

    what: str
    amount: float
    unit: str
    lengths: tuple[float, ...] = ()
