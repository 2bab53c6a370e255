"""One stretch of hours, filled in several ways after one beginning: backtracking over who is served next.

The first way is the natural one of its manner: the earliest start first and then the order, or the order first among
those who could start before the first of them could be done. Another one is gone on with only while no more is idle
than in the best so far. Who was served up to a moment is looked at once, in whatever order.

What pauses and soils may begin with a piece on purpose, so that others clean before the rest. If something stays idle
then, a piece longer by that much is tried.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from scheduler.solver.beam.remaining import Leftover
from scheduler.solver.generation import Schedule
from scheduler.solver.network import LONG_AGO, ReadyTimes

GOOD = 3
"""With how many ways without coming later than before no more are tried."""

TRIES = 100
"""How many are served at most in one stretch once its first way has come to an end, or to where it is stuck."""

WIDE = 8
"""How many may be served next at one moment at most."""

Windows = Mapping[int, Sequence[tuple[int, ReadyTimes]]]
"""Whose window ends how long after the end of each activity."""


class Manner(NamedTuple):
    """How one stretch is filled: whether the most urgent come first among those who could start before the first of
    them could be done; whether what soils may begin with a piece on purpose; and by how much everybody strays from
    the order, if at all, but who is to keep a window.
    """

    by_order: bool = False
    in_pieces: bool = False
    strays: Sequence[float] = ()


class Way(NamedTuple):
    """A schedule up to the end of a stretch: how late what is left comes, what was idle before that end, a bit for
    everybody placed and one for everybody begun.
    """

    late: int
    idle: int
    placed: int
    schedule: Schedule


class _Next(NamedTuple):
    """Who could be served next: when, in which place of the order, with a piece of how many minutes (0: all)."""

    start: int
    rank: float
    piece: int
    who: int


class _Moment(NamedTuple):
    """A moment at which it is open who comes next: who was placed or begun, a bit each; with which pieces; who came
    last; who could come, the first of them last; and what stays idle before that whoever it is.
    """

    schedule: Schedule
    served: int
    pieces: tuple[tuple[int, int], ...]
    last: _Next | None
    able: list[_Next]
    idle: int


class Stretch:
    """The ways to go on from one beginning to the end of the hours in [begin, end)."""

    def __init__(
        self,
        before: Way,
        begin: int,
        end: int,
        left: Leftover,
        windows: Windows,
        field: tuple[int, int],
        manner: Manner,
    ) -> None:
        self.before = before
        self.begin = begin
        self.end = end
        self.left = left
        self.windows = windows
        self.field = field
        self.manner = manner
        self.best: Way | None = None
        self.good = 0
        self.tried = 0
        self.turned = False
        self.seen: set[tuple[int, tuple[tuple[int, int], ...], int]] = set()

    def ways(self) -> Iterator[Way]:
        """The natural one, then others, until enough are good or enough were tried. None if all get stuck."""
        schedule = self.before.schedule.copy()
        schedule.let_go(self.end)
        first = self._moment(schedule, 0, (), None)
        if not first.able:
            yield self._way(first)
        moments = [first]
        while moments and self.good < GOOD and self.tried < TRIES:
            moment = moments[-1]
            more_idle = self.best is not None and self.before.idle + moment.idle > self.best.idle
            after = None if more_idle else self._next(moment)
            if after is None:
                moments.pop()
            elif after.able:
                moments.append(after)
            else:
                way = self._way(after)
                self._lengthen([*moments, after], way.idle - self.before.idle)
                yield way

    def _moment(
        self, schedule: Schedule, served: int, pieces: tuple[tuple[int, int], ...], last: _Next | None
    ) -> _Moment:
        able = self._able(schedule, pieces)
        idle = self._idle(schedule, min(able).start) if able else 0
        return _Moment(schedule, served, pieces, last, able[WIDE - 1 :: -1], idle)

    def _able(self, schedule: Schedule, pieces: tuple[tuple[int, int], ...]) -> list[_Next]:
        """Who could be served next, in the order of the manner; no second piece of anybody on purpose."""
        able = [_Next(start, rank, 0, i) for start, rank, i in schedule.able(self.end)]
        if strays := self.manner.strays:
            hurried = schedule.hurried
            able = [_Next(at, rank if i in hurried else rank + strays[i], 0, i) for at, rank, _, i in able]
        if self.manner.in_pieces:
            activities, begun = schedule.problem.activities, {i for i, _ in pieces}
            able += [
                follower._replace(piece=activities[follower.who].smallest or 0)
                for follower in able
                if follower.start > LONG_AGO and follower.who not in begun and schedule.may_begin(follower.who)
            ]
        able.sort()
        if self.manner.by_order and able and able[0].start > LONG_AGO:
            done = min(start + (piece or schedule.left[i]) for start, _, piece, i in able)
            able = [follower for follower in able if follower.start < done]
            able.sort(key=lambda follower: (follower.rank, follower.piece, follower.start))
        return able

    def _next(self, moment: _Moment) -> _Moment | None:
        """The moment after the next one who can be served; None if there is none."""
        able = moment.able
        while able:
            chosen = able.pop()
            start, _, piece, i = chosen
            served = moment.served | 1 << (i + len(moment.schedule.pieces) if piece else i)
            pieces = (*moment.pieces, (i, piece)) if piece else moment.pieces
            if (served, pieces, start) in self.seen:
                continue
            self.seen.add((served, pieces, start))
            self.tried += self.turned
            schedule = moment.schedule.copy()
            if piece:
                if not schedule.begin_piece(i, piece, self.end):
                    continue
                return self._moment(schedule, served, pieces, chosen)
            schedule.call(i)
            if schedule.serve(i) is not None:
                self.turned = True
                continue
            spans = schedule.pieces[i]
            if spans is None:  # put off: it may come again
                served = moment.served
            schedule.let_go(self.end)
            if not spans or start == LONG_AGO or not schedule.network.minutes[i]:  # nothing to choose
                able.clear()
            for j, until in self.windows.get(i, ()) if spans else ():
                schedule.hurry(j, until[schedule.ends[i]])
            return self._moment(schedule, served, pieces, chosen)
        return None

    def _lengthen(self, path: Sequence[_Moment], idle: int) -> None:
        """Where the last piece on purpose was begun, a piece that is longer by what stays idle may come next."""
        for k in range(len(path) - 1, 0, -1):
            last, moment = path[k].last, path[k - 1]
            if last is not None and last.piece:
                smallest = moment.schedule.problem.activities[last.who].smallest or 0
                if idle and last.piece + idle <= moment.schedule.left[last.who] - smallest:
                    moment.able.append(last._replace(piece=last.piece + idle))
                return

    def _way(self, moment: _Moment) -> Way:
        schedule = moment.schedule
        self.turned = True
        late = self.left.lateness(schedule, self.end)
        idle = self.before.idle + self._idle(schedule, self.end)
        way = Way(late, idle, self.before.placed | moment.served, schedule)
        self.good += late <= self.before.late
        if self.best is None or way[:2] < self.best[:2]:
            self.best = way
        return way

    def _idle(self, schedule: Schedule, until: int) -> int:
        return schedule.line.idle(self.begin, until, self.field)
