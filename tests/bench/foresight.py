"""What foresight costs against one plan: `python -m tests.bench.foresight [JOB]`.

Prints the seconds of one plan at default effort (the planning alone, and with the reading of the files as the command
does it), of `odds` with 2,000 draws, of `sooner` without and with pairs, of `leeway` over four weeks, and the ratios;
then how cautious it is to keep to the order of the plan: the same draws, each planned again by who knew all that
comes. The last line is the same as JSON. Seconds are of processor time, of all processes together, the least of
several runs. Without JOB it is the hobby room.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from resource import RUSAGE_CHILDREN, RUSAGE_SELF, getrusage
from statistics import mean
from zoneinfo import ZoneInfo

from scheduler.living.site import open_site
from scheduler.model.facts import Facts
from scheduler.pipeline import Wish, make_plan, read
from scheduler.reading.profiles import read_trade
from scheduler.reading.yamlfile import load_yaml
from scheduler.solver.conflicts import Stuck
from scheduler.solver.draws import Draws
from scheduler.solver.search import DEFAULT_EFFORT, search
from scheduler.wallclock import DAY, at_local, local_date
from scheduler.whatif.job_file import FileKeys
from scheduler.whatif.leeway import leeways
from scheduler.whatif.odds import Sampling, odds
from scheduler.whatif.sooner import sooner
from scheduler.whatif.uncertainty import doubts

HOBBY_ROOM = Path(__file__).parents[2] / "examples" / "hobby-room" / "job.yaml"
DRAWS = 2_000
REPLANNED = 60
WEEKS = 4


def seconds(work: Callable[[], object], times: int) -> float:
    """The least of several runs."""
    runs = []
    for _ in range(times):
        start = _used()
        work()
        runs.append(_used() - start)
    return min(runs)


def _used() -> float:
    """Seconds of this process and of those that it began and that are over."""
    return sum(use.ru_utime + use.ru_stime for use in map(getrusage, (RUSAGE_SELF, RUSAGE_CHILDREN)))


def main() -> None:
    """Measure and print."""
    file = Path(sys.argv[1]) if len(sys.argv) > 1 else HOBBY_ROOM
    job, trade = read(file)
    facts = Facts(now=job.start - 4 * DAY)
    made = make_plan(job, trade, facts)
    families = read_trade(file.parent, None)
    data, _ = load_yaml(file, typed=False)
    keys = FileKeys(data if isinstance(data, dict) else {})
    plan = seconds(lambda: make_plan(job, trade, facts), 5)
    reading = seconds(lambda: read(file), 3)
    drawing = seconds(lambda: odds(made, Sampling(draws=DRAWS)), 2)
    single = seconds(lambda: sooner(made, job, keys, families, Wish()), 2)
    site = open_site(file)
    late = seconds(lambda: leeways(site, facts.now, WEEKS), 1)
    paired = seconds(lambda: sooner(made, job, keys, families, Wish(), pairs=True), 1)
    all_families = seconds(lambda: read_trade(file.parent, None), 2)

    run = Draws(doubts(made).uncertain, 0)
    zone = ZoneInfo(job.zone)
    later: list[float] = []
    worse = 0
    for draw in range(REPLANNED):
        kept, again = run.outcome(draw).finish, search(run.replanned(draw), DEFAULT_EFFORT)
        if kept is not None and not isinstance(again, Stuck):
            days = (local_date(kept, zone) - local_date(again.placement.finish, zone)).days
            later.append(days)
            worse += days > 0
    found = odds(made, Sampling(draws=DRAWS))
    figures = {
        "plan_s": plan,
        "reading_s": reading,
        "odds_2000_s": drawing,
        "sooner_s": single,
        "sooner_pairs_s": paired,
        "all_families_s": all_families,
        "leeway_s": late,
        "odds_2000_over_plan": drawing / plan,
        "sooner_over_plan": single / plan,
        "sooner_pairs_over_plan": paired / plan,
        "odds_2000_command_over_plan_command": (reading + plan + drawing) / (reading + plan),
        "sooner_command_over_plan_command": (reading + plan + all_families + single) / (reading + plan),
        "leeway_command_over_plan_command": (reading + late) / (reading + plan),
        "kept_order_later_days": mean(later),
        "kept_order_later_share": worse / len(later),
        "kept_order_at_most_days": max(later),
        "error_of_80_percent_date_days": -1.0 if found.error is None else found.error,
        "as_of_days_before": (job.start - at_local(local_date(facts.now, zone), 0, zone)) / DAY,
    }
    for name, figure in figures.items():
        print(f"{name:38} {figure:10.3f}")
    print(json.dumps({name: round(figure, 3) for name, figure in figures.items()}))


if __name__ == "__main__":
    main()
