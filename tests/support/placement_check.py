"""What is wrong with a placement, minute by minute and straight from the docstrings of `Problem`.

Nothing here is shared with the planner but the records and the dry clock. It is slow and plain on purpose.
"""

from __future__ import annotations

from scheduler.solver.problem import Hold, Lag, Placement, Problem, Wait

Pieces = list[tuple[int, int]]


def faults(problem: Problem, placement: Placement) -> list[str]:
    """Every rule the placement breaks, in words. None: it is sound."""
    return _Check(problem, placement).all()


def minutes_late(problem: Problem, placement: Placement) -> list[int]:
    """By how many minutes each promise is broken: of a thing counted minute by minute."""
    check, found = _Check(problem, placement), []
    for promise in problem.promises:
        if promise.ends:
            reached = [check.after(lag, check.end(i)) for i, lag in promise.ends if check.placed(i)]
            found.append(max([0, *(minute - promise.by for minute in reached)]))
            continue
        out: set[int] = set()
        for number in promise.holds:
            hold = problem.holds[number]
            if check.pieces[hold.taker]:
                for start, end in check.holding(hold):
                    out |= set(range(start, end))
        longest = run = 0
        for minute in sorted(out):
            run = run + 1 if minute - 1 in out else 1
            longest = max(longest, run)
        found.append(max(0, (len(out) if promise.in_all else longest) - promise.at_most))
    return found


class _Check:
    def __init__(self, problem: Problem, placement: Placement) -> None:
        self.problem = problem
        self.pieces: list[Pieces] = [[(s.start, s.end) for s in spans] for spans in placement.pieces]
        options = [pair[taken] for pair, taken in zip(problem.choices, placement.options, strict=True)]
        self.waits: list[Wait] = [*problem.waits, *(wait for option in options for wait in option.waits)]
        self.minutes = [activity.minutes for activity in problem.activities]
        for option in options:
            for i, extra in option.extra:
                self.minutes[i] += extra
        self.moments: dict[int, int] = {}
        self.found: list[str] = []

    def all(self) -> list[str]:
        for i in range(len(self.problem.activities)):
            self.work(i)
            self.start(i)
        for wait in self.waits:
            self.wait(wait)
        self.called_for()
        self.capacity()
        self.barriers()
        self.soils()
        self.things()
        return self.found

    def complain(self, text: str) -> None:
        self.found.append(text)

    def after(self, lag: Lag, end: int) -> int:
        if lag.clock is None:
            return end + int(lag.amount) + lag.then
        return self.problem.clocks[lag.clock].ready(end, lag.amount) + lag.then

    def new(self, i: int) -> Pieces:
        """The pieces that are not facts."""
        return self.pieces[i][len(self.problem.activities[i].fixed) :]

    def moment(self, i: int) -> bool:
        return not self.minutes[i] and not self.problem.activities[i].fixed

    def placed(self, i: int) -> bool:
        return bool(self.pieces[i]) or (self.moment(i) and not self.problem.activities[i].optional)

    def end(self, i: int) -> int:
        if self.pieces[i]:
            return self.pieces[i][-1][1]
        if i not in self.moments:  # a moment: as early as its waits allow
            self.moments[i] = max(
                [self.problem.activities[i].release]
                + [
                    self.after(w.lag, self.end(w.before))
                    for w in self.waits
                    if w.after == i and self.placed(w.before)
                ]
            )
        return self.moments[i]

    def work(self, i: int) -> None:
        """As many minutes as asked for, in pieces that are long enough, after what is done already."""
        activity, new = self.problem.activities[i], self.new(i)
        if self.pieces[i][: len(activity.fixed)] != [tuple(span) for span in activity.fixed]:
            self.complain(f"{i}: facts are changed")
        if activity.optional and not self.pieces[i]:
            return
        if sum(end - start for start, end in new) != self.minutes[i]:
            self.complain(f"{i}: the pieces do not add up to {self.minutes[i]}")
        if any(a[1] > b[0] for a, b in zip(self.pieces[i], self.pieces[i][1:], strict=False)):
            self.complain(f"{i}: pieces out of order")
        if activity.smallest is None and len(new) > 1:
            self.complain(f"{i}: cut into pieces")
        if len(new) > 1 and min(end - start for start, end in new) < (activity.smallest or 0):
            self.complain(f"{i}: a piece is too small")

    def start(self, i: int) -> None:
        """Nothing begins before its release, nor outside the spans that fit."""
        activity, new = self.problem.activities[i], self.new(i)
        if not new:
            return
        if new[0][0] < activity.release:
            self.complain(f"{i}: before its release")
        if activity.fit is not None and not activity.fixed:
            hold = self.after(activity.hold, new[-1][1])
            if not any(span.start <= new[0][0] < span.end and hold <= span.end for span in activity.fit):
                self.complain(f"{i}: does not fit")

    def wait(self, wait: Wait) -> None:
        """After the lag; past the window only with the remedy in between."""
        new = self.new(wait.after)
        if not self.placed(wait.before) or not new:
            return
        ended, begun = self.end(wait.before), new[0][0]
        if begun < self.after(wait.lag, ended):
            self.complain(f"{wait.after}: too early after {wait.before}")
        if wait.until is None or self.problem.activities[wait.after].fixed or begun <= self.after(wait.until, ended):
            return
        remedy = [] if wait.remedy is None else self.pieces[wait.remedy]
        if not remedy or remedy[0][0] < ended or remedy[-1][1] > begun:
            self.complain(f"{wait.after}: too late after {wait.before}")

    def called_for(self) -> None:
        """An optional one is there only because a window was missed."""
        for i, activity in enumerate(self.problem.activities):
            calls = [
                w
                for w in self.waits
                if w.remedy == i
                and w.until is not None
                and self.new(w.after)
                and self.placed(w.before)
                and self.new(w.after)[0][0] > self.after(w.until, self.end(w.before))
            ]
            if activity.optional and self.pieces[i] and not calls:
                self.complain(f"{i}: nothing calls for it")

    def capacity(self) -> None:
        """In every minute no more is taken of anything than there is."""
        given = {minute: slot.capacity for slot in self.problem.slots for minute in range(slot.start, slot.end)}
        taken: dict[int, list[int]] = {}
        for i, activity in enumerate(self.problem.activities):
            for start, end in self.new(i):
                for minute in range(start, end):
                    if minute not in given:
                        self.complain(f"{i}: runs at {minute}, outside the slots")
                        break
                    so_far = taken.setdefault(minute, [0] * len(activity.demand))
                    for r, amount in enumerate(activity.demand):
                        so_far[r] += amount
        for minute, amounts in sorted(taken.items()):
            if any(a > b for a, b in zip(amounts, given.get(minute, amounts), strict=True)):
                self.complain(f"more than there is is taken at {minute}")
                break

    def barriers(self) -> None:
        """While one is laid and until it is ready, what it bars stands still. Facts are not held against anyone."""
        for barrier in self.problem.barriers:
            spans = self.pieces[barrier.by]
            if not spans:
                continue
            closed_from, closed_to = spans[0][0], self.after(barrier.until, spans[-1][1])
            for j in barrier.bars - {barrier.by}:
                if any(start < closed_to and end > closed_from for start, end in self.new(j)):
                    self.complain(f"{j}: runs while {barrier.by} bars it")

    def things(self) -> None:
        """Of everything no more is taken than there is while anybody has it whose start is no fact; and nobody gives
        back what has not been taken. An appointment finds ready what it waits for.
        """
        taken: list[list[tuple[int, int, int]]] = [
            [(closure.start, closure.end, closure.places) for closure in thing.closed]
            for thing in self.problem.things
        ]
        mine: list[list[tuple[int, int]]] = [[] for _ in self.problem.things]
        for hold in self.problem.holds:
            spans = self.pieces[hold.taker]
            if not spans:
                continue
            end = spans[-1][1]
            own = self.holding(hold)
            if hold.giver is not None and not hold.at_work:
                giver = self.pieces[hold.giver]
                if (giver[0][0] if hold.at_start else giver[-1][1]) < end:
                    self.complain(f"{hold.taker}: what it takes is given back before its end")
            taken[hold.thing] += [(a, b, hold.places) for a, b in own]
            if self.new(hold.taker):
                mine[hold.thing] += own
        for number, thing in enumerate(self.problem.things):
            for a, b in mine[number]:
                for at in {a, *(begin for begin, _, _ in taken[number] if a <= begin < b)}:
                    if sum(places for begin, until, places in taken[number] if begin <= at < until) > thing.places:
                        self.complain(f"more of thing {number} is taken at {at} than there is")
        for wait in self.waits:
            spans = self.problem.activities[wait.after].fixed
            booked = self.problem.activities[wait.after].booked and self.placed(wait.before)
            if booked and self.after(wait.lag, self.end(wait.before)) > spans[0].start:
                self.complain(f"{wait.before}: not ready for the appointment {wait.after}")

    def holding(self, hold: Hold) -> Pieces:
        """From when to when something is taken by a hold whose taker has its place."""
        spans = self.pieces[hold.taker]
        if hold.at_work:
            return spans
        giver, end = self.pieces[hold.taker if hold.giver is None else hold.giver], spans[-1][1]
        event = giver[0][0] if hold.at_start else giver[-1][1]
        return [(spans[0][0], max(end, self.after(hold.lag, event), end if hold.until is None else hold.until))]

    def soils(self) -> None:
        """After what soils comes what cleans, and only then what wants it clean."""
        for soil in self.problem.soils:
            for i in soil.soils:
                for j in soil.wants_clean - {i}:
                    if self.pieces[j] and not self.problem.activities[j].fixed:
                        self.clean(soil.cleans, i, self.pieces[j][0][0], j)

    def clean(self, cleans: frozenset[int], i: int, begun: int, j: int) -> None:
        for start, end in self.pieces[i]:
            if start >= begun:
                continue
            cleaned = any(
                self.pieces[c]
                and not self.unfinished(c)
                and end <= self.pieces[c][0][0]
                and self.pieces[c][-1][1] <= begun
                for c in cleans - {i}
            )
            if not cleaned and not (i in cleans and self.pieces[i][-1][1] <= begun):
                self.complain(f"{j}: begins at {begun} where {i} soiled at {start}")

    def unfinished(self, i: int) -> bool:
        return len(self.pieces[i]) == len(self.problem.activities[i].fixed) and bool(self.minutes[i])
