"""How many of which size: the cheapest set of containers that holds enough.

Nobody knows the prices of a shop. What is taken as known is that a container of k times the size costs k^b times as
much, b below 1 (`Shelf.bulk`). By that price the answer is exact: it never holds too little, none of its containers
could be left out, and who needs more never gets less.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from scheduler.model.shopping import Size

CLOSE = 1e-9
"""Share of an amount that is only a matter of rounding in the last digits."""


def fewest(need: float, sizes: Sequence[Size], bulk: float, *, mixed: bool = True) -> tuple[tuple[int, Size], ...]:
    """The cheapest containers that hold `need`; at the same price those with fewer of them. Largest size first.

    All amounts are in one unit. Nothing is needed: nothing is bought. Without `mixed` all are of one size.
    """
    if need <= 0 or not sizes:
        return ()
    if not mixed:
        alone = [(math.ceil(need * (1 - CLOSE) / size.amount), size) for size in sizes]
        return (min(alone, key=lambda each: (round(each[0] * each[1].amount ** bulk, 9), each[0])),)
    ordered = sorted({size.amount: size for size in sizes}.values(), key=lambda size: -size.amount)
    best = _Search(need * (1 - CLOSE), [size.amount for size in ordered], bulk).best
    return tuple((count, size) for count, size in zip(best, ordered, strict=True) if count)


class _Search:
    """Branch and bound over the count of each size, the largest first, which is the cheapest by the litre."""

    def __init__(self, need: float, amounts: list[float], bulk: float) -> None:
        self.amounts, self.prices = amounts, [amount**bulk for amount in amounts]
        self.rates = [price / amount for price, amount in zip(self.prices, amounts, strict=True)]
        self.best: tuple[int, ...] = ()
        self.value = (math.inf, math.inf)
        self._try(need, (), 0.0)

    def _try(self, left: float, counts: tuple[int, ...], price: float) -> None:
        at = len(counts)
        if left <= 0:
            counts += (0,) * (len(self.amounts) - at)
            value = (round(price, 9), sum(counts))
            if value < self.value:
                self.best, self.value = counts, value
            return
        if at == len(self.amounts) or price + left * self.rates[at] > self.value[0] + CLOSE:
            return
        size, dear = self.amounts[at], self.prices[at]
        most = math.ceil(left / size)
        last = at == len(self.amounts) - 1
        for count in (most,) if last else range(most, -1, -1):
            rest, spent = left - count * size, price + count * dear
            if spent <= self.value[0] + CLOSE:
                self._try(rest, (*counts, count), spent)
            # The fewer of this size, the more is left for sizes that are dearer by the litre.
            if not last and rest > 0 and spent + rest * self.rates[at + 1] > self.value[0] + CLOSE:
                return
