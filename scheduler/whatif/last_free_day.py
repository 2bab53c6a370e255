"""How far something can slip before the end moves: as few questions as will do, each answered by a full plan. Pure.

What one plan knows, another need not find out again. A plan in which it comes late is also a plan for its coming
earlier, so ends can only rise with the day; a pause that begins earlier and ends later is the harder one. So halving
is right, a search that missed an earlier end is mended by the others, and where what is possible and what is proven
meet, nothing is left to ask.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from scheduler.model.leeway import Ending
from scheduler.wallclock import NEVER

EndIf = Callable[[date, int, int | None], tuple[int, int]]
"""When the job ends if it comes on that day, and the minute that it is proven to need at least.

It is told what minute is known to be needed, and, if it is only asked whether the job can end by then, that minute.
"""


@dataclass
class Endings:
    """What is known of pauses, by the minute at which each begins and the day on which it is over.

    It is the end of the best plan, and the end that is proven to be needed.
    """

    planned: Ending
    _known: dict[tuple[int, date], tuple[int, int]] = field(default_factory=dict)

    def learn(self, begin: int, day: date, finish: int, needed: int) -> None:
        """One more plan."""
        before, proven = self._known.get((begin, day), (NEVER, 0))
        self._known[begin, day] = min(finish, before), max(needed, proven)

    def learn_all(self, other: Endings) -> None:
        """All that somebody else knows."""
        for (begin, day), known in other._known.items():
            self.learn(begin, day, *known)

    def possible(self, begin: int, day: date) -> int:
        """The earliest end that a plan for an equal or a harder pause shows to be possible."""
        harder = [finish for (other, late), (finish, _) in self._known.items() if other <= begin and late >= day]
        return min(harder, default=NEVER)

    def needed(self, begin: int, day: date) -> int:
        """The latest end that an equal or an easier pause, or none, is proven to need."""
        easier = [needed for (other, late), (_, needed) in self._known.items() if other >= begin and late <= day]
        return max(easier + ([finish_of(self.planned)] if self.planned.proven else []), default=0)

    def ending(self, begin: int, day: date) -> Ending:
        """What is known of one pause by now."""
        finish = self.possible(begin, day)
        return Ending(finish=finish if finish < NEVER else None, proven=self.needed(begin, day) >= finish)


class EndingsByDay:
    """The endings of one thing by day. It asks for a plan only where what is known leaves anything open."""

    def __init__(self, end_if: EndIf, known: Endings, begin: int = 0) -> None:
        self._end_if, self._known, self._begin = end_if, known, begin
        self.count = 0
        """How many plans were made."""

    def __call__(self, day: date) -> Ending:
        """The ending if it comes on that day."""
        self._ask(day, None)
        return self.known(day)

    def ends_by(self, day: date, goal: int) -> bool:
        """Whether the job ends by that minute if it comes on that day: for that less has to be found out."""
        if self._known.possible(self._begin, day) > goal >= self._known.needed(self._begin, day):
            self._ask(day, goal)
        return self._known.possible(self._begin, day) <= goal

    def _ask(self, day: date, goal: int | None) -> None:
        needed = self._known.needed(self._begin, day)
        if needed < self._known.possible(self._begin, day):
            self.count += 1
            self._known.learn(self._begin, day, *self._end_if(day, needed, goal))

    def known(self, day: date) -> Ending:
        """What is known by now of the ending for a day."""
        return self._known.ending(self._begin, day)


def last_free(asked: EndingsByDay, days: Sequence[date], ending: Ending) -> date | None:
    """The last of the ascending days on which it may come with the end no later; None if not even on the first.

    The nearest days are asked first, at doubling distances: most things have little leeway.
    """
    goal = finish_of(ending)
    low, step = -1, 1
    high = len(days)
    while low + step < high:
        if asked.ends_by(days[low + step], goal):
            low, step = low + step, step * 2
        else:
            high = low + step
            break
    while high - low > 1:
        middle = (low + high) // 2
        if asked.ends_by(days[middle], goal):
            low = middle
        else:
            high = middle
    return days[low] if low >= 0 else None


def curve(asked: EndingsByDay, days: Sequence[date]) -> Mapping[date, Ending]:
    """The ending for each of these days: the last one first, so that the others can learn from it."""
    for day in sorted(days, reverse=True):
        asked(day)
    return {day: asked.known(day) for day in days}


def finish_of(ending: Ending) -> int:
    """The finish, later than any plan where none is possible."""
    return NEVER if ending.finish is None else ending.finish
