"""Of plans that end at the same time the one on fewer days is the better one."""

from __future__ import annotations

from scheduler.solver.objective import days_used
from scheduler.solver.problem import Activity, Lag, Problem, Result, Slot, Wait
from scheduler.solver.search import search


def test_work_is_gathered_on_the_days_that_are_needed_anyway() -> None:
    """Days of 100 minutes; a coat of 40 on day 0 and the next, three days later, need days 0 and 3 whatever
    happens.

    The second coat ends at minute 80 of day 3 at the earliest (40 + 40 minutes after the first one began). Side
    work of 50 and 20 minutes could go on days 1 and 2, but fits beside the coats: 40 + 50 on day 0, 20 + 40 on
    day 3.
    """
    sizes = (40, 40, 50, 20)
    problem = Problem(
        activities=tuple(Activity(minutes=m, smallest=None, demand=(1,), release=0) for m in sizes),
        waits=(Wait(before=0, after=1, lag=Lag(3 * 1440)),),
        slots=tuple(Slot(day * 1440, day * 1440 + 100, (1,), day) for day in range(4)),
    )
    result = search(problem, 2_000)
    assert isinstance(result, Result)
    assert result.placement.finish == 3 * 1440 + 80
    assert sorted(days_used(problem, result.placement)) == [0, 3]
