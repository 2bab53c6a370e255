"""Single lengths out of stock: a cutting plan that buys as few metres as possible, then as few boards.

Of n lengths out of one board n − 1 cuts are lost, and a last one where something is left over. The answer is exact
where the number of cases allows it (lengths that are alike count as one case); else first-fit decreasing, made better
by cutting two boards at a time anew, which is exact again for these two.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import cache
from itertools import combinations
from math import gcd, prod

from scheduler.model.shopping import CutPlan, Size, StockLength

GRAIN = 10_000
"""Lengths are counted in tenths of a millimetre, so that sums are exact."""
MOST_CASES = 60_000
"""States times patterns up to which the exact answer is sought."""
MOST_CASES_OF_TWO = 20_000
"""The same for the lengths of two boards."""
MOST_PIECES = 150
"""Lengths up to which it is sought: each board is one step down in a recursion."""

Bin = tuple[int, tuple[int, ...]]
"""A stock length and the lengths cut out of it."""
Pattern = tuple[int, tuple[int, ...]]
"""A stock length and how many of each kind of length are cut out of it."""


def cut(lengths: Sequence[float], stock: Sequence[Size], kerf: float, per_cut: float = 0.0) -> CutPlan:
    """The plan for these lengths (metres) out of any number of each stock.

    `per_cut` is added to every length, as far as the longest stock goes. One that no stock holds is joined out of
    equal parts, as few as can be.
    """
    longest = max(size.amount for size in stock)
    joined = tuple(sorted((each for each in lengths if _grains(each) > _grains(longest)), reverse=True))
    pieces = sorted((_grains(part) for each in lengths for part in _parts(each, per_cut, longest)), reverse=True)
    solver = _Solver([_grains(size.amount) for size in stock], _grains(kerf))
    bins, best = solver.solve([piece for piece in pieces if piece])
    labels = {_grains(size.amount): size for size in stock}
    boards = tuple(
        StockLength(
            label=labels[length].label,
            length=labels[length].amount,
            pieces=tuple(piece / GRAIN for piece in taken),
        )
        for length, taken in sorted(bins, key=lambda each: (-each[0], [-piece for piece in each[1]]))
    )
    return CutPlan(boards=boards, best=best, joined=joined)


def _grains(metres: float) -> int:
    return round(metres * GRAIN)


def _parts(length: float, per_cut: float, longest: float) -> list[float]:
    """A length in equal parts that the longest stock holds, each with its allowance if there is room for it."""
    count = max(1, -(-_grains(length) // _grains(longest)))
    return [min(length / count + per_cut, longest)] * count


class _Solver:
    """Stock lengths and the loss of a cut, in grains."""

    def __init__(self, stock: list[int], kerf: int) -> None:
        self.stock, self.kerf = sorted(set(stock)), kerf

    def solve(self, pieces: list[int]) -> tuple[list[Bin], bool]:
        """Boards with their pieces, and whether no fewer metres of stock do."""
        if not pieces:
            return [], True
        exact = self._exact(pieces, MOST_CASES)
        if exact is not None:
            return exact, True
        bins = min((self._first_fit(pieces, size) for size in self.stock if size >= pieces[0]), key=_cost)
        bins = self._improved(bins)
        # Stock is sold in steps: no plan buys less than the pieces, rounded up to the measure that all stock shares.
        return bins, _cost(bins)[0] == self._least(pieces)

    def holder(self, pieces: Sequence[int]) -> int | None:
        """The shortest stock out of which the pieces can be cut."""
        taken = sum(pieces) + self.kerf * (len(pieces) - 1)
        return next((size for size in self.stock if taken <= size), None)

    def _least(self, pieces: Sequence[int]) -> int:
        step = gcd(*self.stock)
        return -(-sum(pieces) // step) * step

    def _exact(self, pieces: Sequence[int], most: int) -> list[Bin] | None:
        """The best plan, or None where there are too many cases."""
        counts = Counter(pieces)
        kinds = sorted(counts, reverse=True)
        states = prod(count + 1 for count in counts.values())
        if states > most or len(pieces) > MOST_PIECES:
            return None
        patterns = self._patterns(kinds, [counts[kind] for kind in kinds], most // states)
        if patterns is None:
            return None
        return _cheapest(kinds, [counts[kind] for kind in kinds], patterns)

    def _patterns(self, kinds: list[int], counts: list[int], most: int) -> list[Pattern] | None:
        """Every set of pieces that some stock holds, and out of which; None if there are too many."""
        found: list[Pattern] = []
        longest = self.stock[-1] + self.kerf

        def add(at: int, taken: tuple[int, ...], used: int) -> bool:
            if at == len(kinds):
                if used:
                    found.append((next(size for size in self.stock if used - self.kerf <= size), taken))
                return len(found) <= most
            for count in range(counts[at] + 1):
                more = used + count * (kinds[at] + self.kerf)
                if more > longest:
                    break
                if not add(at + 1, (*taken, count), more):
                    return False
            return True

        return found if add(0, (), 0) else None

    def _first_fit(self, pieces: Sequence[int], size: int) -> list[Bin]:
        """First-fit decreasing into one stock; then each board becomes the shortest that does."""
        bins: list[list[int]] = []
        for piece in pieces:
            for taken in bins:
                if sum(taken) + piece + self.kerf * len(taken) <= size:
                    taken.append(piece)
                    break
            else:
                bins.append([piece])
        return [self._bin(taken) for taken in bins]

    def _bin(self, pieces: Sequence[int]) -> Bin:
        size = self.holder(pieces)
        assert size is not None
        return size, tuple(sorted(pieces, reverse=True))

    def _improved(self, bins: list[Bin]) -> list[Bin]:
        """Two boards at a time are cut anew, until no pair can be bettered. Pairs that are alike are tried once."""
        tried: set[tuple[Bin, ...]] = set()
        while True:
            numbers: dict[Bin, list[int]] = {}
            for number, each in enumerate(bins):
                numbers.setdefault(each, []).append(number)
            distinct = sorted(number for same in numbers.values() for number in same[:2])
            found = None
            for one, other in combinations(distinct, 2):
                pair = tuple(sorted((bins[one], bins[other])))
                if pair not in tried:
                    tried.add(pair)
                    anew = self._exact([*pair[0][1], *pair[1][1]], MOST_CASES_OF_TWO)
                    if anew is not None and _cost(anew) < _cost(pair):
                        found = (one, other, anew)
                        break
            if found is None:
                return bins
            bins = [each for number, each in enumerate(bins) if number not in found[:2]] + found[2]


def _cost(bins: Sequence[Bin]) -> tuple[int, int]:
    return sum(size for size, _ in bins), len(bins)


def _cheapest(kinds: list[int], counts: list[int], patterns: list[Pattern]) -> list[Bin]:
    """Over all ways to use up the counts; the longest piece left is cut next, so that no order counts twice."""
    by_first = [
        [each for each in patterns if each[1][first] and not any(each[1][:first])] for first in range(len(kinds))
    ]

    @cache
    def best(left: tuple[int, ...]) -> tuple[int, int, Pattern | None]:
        """Metres and boards for what is left, and the board to cut next."""
        first = next((number for number, count in enumerate(left) if count), None)
        if first is None:
            return 0, 0, None
        found: list[tuple[int, int, Pattern]] = []
        for size, taken in by_first[first]:
            if all(some <= there for some, there in zip(taken, left, strict=True)):
                total, boards, _ = best(_less(left, taken))
                found.append((total + size, boards + 1, (size, taken)))
        return min(found, key=lambda each: each[:2])

    bins: list[Bin] = []
    left = tuple(counts)
    while (pattern := best(left)[2]) is not None:
        size, taken = pattern
        bins.append((size, tuple(kind for kind, count in zip(kinds, taken, strict=True) for _ in range(count))))
        left = _less(left, taken)
    return bins


def _less(left: tuple[int, ...], taken: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(there - some for some, there in zip(taken, left, strict=True))
