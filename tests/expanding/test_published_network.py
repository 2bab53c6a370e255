"""A published network, carried by a job through the expansion, keeps its paths, its means and its variances.

House-building project of Hillier & Lieberman, Introduction to Operations Research, chapter on project management
with PERT/CPM: three estimates in weeks, mean and variance as printed (from memory; the table agrees with itself).
Mean (a + 4m + b) / 6 and variance ((b − a) / 6)²: Malcolm, Roseboom, Clark & Fazar, Operations Research 7, 1959.
"""

from __future__ import annotations

import networkx as nx
import pytest

from scheduler.expanding import expand
from scheduler.model.basics import Estimate
from scheduler.model.graph import TaskGraph
from tests.support.builders import job, step, trade

WEEK = 7 * 24 * 60

HOUSE = {
    "A": ("", (1, 2, 3), 2, 1 / 9),
    "B": ("A", (2, 3.5, 8), 4, 1),
    "C": ("B", (6, 9, 18), 10, 4),
    "D": ("C", (4, 5.5, 10), 6, 1),
    "E": ("C", (1, 4.5, 5), 4, 4 / 9),
    "F": ("E", (4, 4, 10), 5, 1),
    "G": ("D", (5, 6.5, 11), 7, 1),
    "H": ("EG", (5, 8, 17), 9, 4),
    "I": ("C", (3, 7.5, 9), 7, 1),
    "J": ("FI", (3, 9, 9), 8, 1),
    "K": ("J", (4, 4, 4), 4, 0),
    "L": ("J", (1, 5.5, 7), 5, 1),
    "M": ("H", (1, 2, 3), 2, 1 / 9),
    "N": ("KL", (5, 5.5, 9), 6, 4 / 9),
}
"""Activity: (what it follows, (optimistic, likely, pessimistic), mean, variance), in weeks."""


def house() -> TaskGraph:
    steps = []
    for name, (follows, weeks, _, _) in HOUSE.items():
        low, likely, high = (round(week * WEEK) for week in weeks)
        steps.append(step(name, (low, likely, high), follows=list(follows)))
    return expand(job(*steps), trade())


@pytest.mark.parametrize("name", HOUSE)
def test_mean_and_variance_of_each_activity_are_as_printed(name: str) -> None:
    _, _, mean, variance = HOUSE[name]
    work = house().task(name).work
    assert work.mean / WEEK == pytest.approx(mean, abs=1e-9)
    assert work.variance / WEEK**2 == pytest.approx(variance, abs=1e-9)


def test_the_six_paths_are_as_long_as_printed_and_the_longest_takes_44_weeks() -> None:
    found = house()
    network = nx.DiGraph((link.before, link.after) for link in found.links)
    weeks = {task.id: task.work.mean / WEEK for task in found.tasks}
    ends = [name for name in weeks if not network.out_degree(name)]
    paths = {"".join(path): sum(weeks[name] for name in path) for path in nx.all_simple_paths(network, "A", ends)}
    assert sorted(paths.values(), reverse=True) == pytest.approx([44, 43, 42, 41, 40, 31])
    assert max(paths, key=lambda path: paths[path]) == "ABCEFJLN"


def test_the_variance_of_the_critical_path_is_9() -> None:
    """1/9 + 1 + 4 + 4/9 + 1 + 1 + 1 + 4/9 = 9 weeks²."""
    found = house()
    assert sum(found.task(name).work.variance for name in "ABCEFJLN") / WEEK**2 == pytest.approx(9)


def test_the_time_set_aside_is_the_mean_rounded_up_to_the_minute() -> None:
    """(10 + 4·20 + 31) / 6 = 20.17 minutes: 21 are set aside."""
    assert Estimate(10, 20, 31).planned == 21
    assert Estimate.sure(45).planned == 45
