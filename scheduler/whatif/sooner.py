"""What would bring the finish forward: every change that a person could make, each planned again, and the best pairs.

A change that the bound shows not to help is not searched: no plan of the changed job ends sooner than the plan that
is. Everything else is planned from scratch, with a part of the effort of the plan, so that whoever makes the change
gets the finish that was promised, or an earlier one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import combinations

from scheduler.model.basics import Span
from scheduler.model.foresight import Foreseen, Sooner
from scheduler.model.graph import TaskGraph
from scheduler.model.job import Job
from scheduler.model.material import Trade
from scheduler.model.plan import Plan
from scheduler.pipeline import Made, Wish
from scheduler.telling.words import Words
from scheduler.whatif.changes_air import air_changes
from scheduler.whatif.changes_hours import hour_changes
from scheduler.whatif.changes_work import work_changes
from scheduler.whatif.engine import Trials, Tried, late_in
from scheduler.whatif.job_file import FileKeys
from scheduler.whatif.proposal import Proposal, Situation
from scheduler.whatif.spread import spread

BEST, LIKELY = 6, 6
"""Of how many kinds of change the best that helps, and of how many the strongest that does not help by itself, are
paired with each other."""

SMALL = 250
"""Steps times changes that are planned before other processes begin: a small job needs none."""


def changes(scene: Situation) -> list[Proposal]:
    """Every change, kind by kind."""
    return [*work_changes(scene), *air_changes(scene), *hour_changes(scene)]


def sooner(
    made: Made,
    filed: Job,
    keys: FileKeys,
    trade: Trade,
    wish: Wish,
    *,
    busy: tuple[Span, ...] = (),
    name: str = "JOB",
    pairs: bool = False,
    tell: Callable[[float, int | None], None] | None = None,
    processes: int | None = None,
) -> Foreseen:
    """What ends sooner than the plan, the best first; with `pairs` also two changes at once.

    `filed` is the job as its file says it and `keys` that file's keys; `trade` knows all families. `tell` hears the
    share of the changes that have been tried, and the earliest finish among them. They are spread over `processes`
    (as many as there are cores).
    """
    ground, plan = made.ground, made.plan
    listed = changes(scene_of(made, filed, keys, trade, name))
    trials = Trials(made, trade, wish, busy)
    here = -(-SMALL // max(len(plan.steps), 1))
    results: list[tuple[Proposal, Tried]] = []

    def heard(share: float, tried: Iterable[Tried]) -> None:
        if tell is not None:
            tell(share, min((each.finish for each in tried if each.finish is not None), default=None))

    changed = [change.job(ground.job) for change in listed]
    for change, tried in zip(listed, spread(trials.plan, changed, here, processes), strict=True):
        results.append((change, tried))
        share = len(results) / (len(listed) + 1) * (0.5 if pairs else 1.0)
        heard(share, (tried for _, tried in results))
    better = _ranked(plan, (((change,), tried) for change, tried in results))
    couples = list(_pool_pairs(results)) if pairs else []
    both: list[Tried] = []
    changed = [other.job(one.job(ground.job)) for (one, _), (other, _) in couples]
    for tried in spread(trials.plan, changed, here, processes):
        both.append(tried)
        heard(0.5 + len(both) / (len(couples) + 1) / 2, [tried for _, tried in results] + both)
    two = list(_helping(couples, both))
    heard(1.0, ())
    return Foreseen(
        plan=plan,
        better=better,
        pairs=_ranked(plan, two),
        tried=tuple(Counter(change.kind for change in listed).items()),
        proven=sum(tried.proven for _, tried in results),
        pairs_tried=len(couples),
    )


def scene_of(made: Made, filed: Job, keys: FileKeys, trade: Trade, name: str) -> Situation:
    """What changes to the job of a plan are thought up for."""
    ground = made.ground
    return Situation(
        job=ground.job,
        filed=filed,
        keys=keys,
        trade=trade,
        plan=made.plan,
        name=name,
        begun=frozenset(ground.facts.done) | frozenset(ground.facts.begun),
        stages=_waited_for(ground.graph),
    )


def _waited_for(graph: TaskGraph) -> dict[str, frozenset[str]]:
    """By task, the stages of its film that others wait for."""
    links = [*graph.links, *(link for c in graph.choices for option in c.options for link in option.links)]
    stages: dict[str, frozenset[str]] = {}
    for link in links:
        if link.stage is not None:
            stages[link.before] = stages.get(link.before, frozenset()) | {link.stage}
    return stages


def _helping(
    couples: Sequence[tuple[tuple[Proposal, Tried], tuple[Proposal, Tried]]], both: Sequence[Tried]
) -> Iterator[tuple[tuple[Proposal, ...], Tried]]:
    """Pairs that end sooner than either of the two by itself."""
    for ((one, alone), (other, by_itself)), tried in zip(couples, both, strict=True):
        singles = [each.finish for each in (alone, by_itself) if each.finish is not None]
        if tried.finish is not None and all(tried.finish < finish for finish in singles):
            yield (one, other), tried


def _pool_pairs(
    results: Sequence[tuple[Proposal, Tried]],
) -> Iterator[tuple[tuple[Proposal, Tried], tuple[Proposal, Tried]]]:
    """The pairs worth trying: the best of each kind that helps, the strongest of kinds that do not by themselves."""
    best: dict[str, tuple[Proposal, Tried]] = {}
    strongest: dict[str, tuple[Proposal, Tried]] = {}
    for change, tried in results:
        if tried.finish is not None:
            known = best.get(change.kind)
            if known is None or known[1].finish is None or tried.finish < known[1].finish:
                best[change.kind] = change, tried
        else:
            strongest[change.kind] = change, tried
    helping = sorted(best.values(), key=lambda entry: entry[1].finish or 0)[:BEST]
    others = [entry for kind, entry in strongest.items() if kind not in best][:LIKELY]
    for one, other in combinations([*helping, *others], 2):
        if not one[0].clashes(other[0]):
            yield one, other


def _ranked(plan: Plan, results: Iterable[tuple[tuple[Proposal, ...], Tried]]) -> tuple[Sooner, ...]:
    """Those that keep more of what was promised and agreed, then those that end sooner, the soonest first; of two
    that end alike the one that takes less of their time."""
    found, words = [], Words(lang=plan.language)
    finish, late = plan.finish, late_in(plan)
    for made, tried in results:
        if tried.finish is None or (tried.late, tried.finish) >= (late, finish):
            continue
        costs = [change.cost(tried) for change in made]
        labour = [cost.labour for cost in costs if cost.labour is not None]
        found.append(
            Sooner(
                kind=" and ".join(change.kind for change in made),
                change="; ".join(change.words for change in made),
                finish=tried.finish,
                saves=finish - tried.finish,
                keeps=late - tried.late,
                costs="; ".join(cost.words for cost in costs),
                labour=sum(labour) if labour else None,
                edit=tuple(part for change in made for part in change.edit),
                said="; ".join(change.said(words) for change in made),
                changes=tuple(change.words for change in made) if len(made) > 1 else (),
                cautions=tuple(dict.fromkeys(caution for change in made for caution in change.cautions)),
            )
        )
    return tuple(sorted(found, key=lambda entry: (-entry.keeps, -entry.saves, entry.labour or 0, entry.kind)))
