"""Values noted at moments, of which only the greatest so far matters: asked and noted in logarithmic time."""

from __future__ import annotations

from bisect import bisect_left, bisect_right

from scheduler.solver.network import LONG_AGO


class Stairs:
    """The greatest value noted at any moment before another one. What can never be the answer is forgotten."""

    __slots__ = ("_moments", "_values")

    def __init__(self) -> None:
        self._moments: list[int] = []
        self._values: list[int] = []

    def copy(self) -> Stairs:
        """Stairs of its own with the same steps."""
        other = Stairs()
        other._moments, other._values = self._moments[:], self._values[:]
        return other

    def note(self, moment: int, value: int) -> None:
        """Write down a value at a moment."""
        moments, values = self._moments, self._values
        low = high = bisect_right(moments, moment)
        if low:
            if values[low - 1] >= value:
                return
            if moments[low - 1] == moment:
                low -= 1
        while high < len(values) and values[high] <= value:
            high += 1
        moments[low:high] = (moment,)
        values[low:high] = (value,)

    def before(self, moment: int) -> int:
        """The greatest value noted at an earlier moment; long ago if there is none."""
        at = bisect_left(self._moments, moment)
        return self._values[at - 1] if at else LONG_AGO
