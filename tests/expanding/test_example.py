"""The shipped example holds everything that the trade does in a room, and says what to beware of where it can hurt.

The list of dangers is common practice, no source; the texts at the steps are the example's and the profiles'.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.expanding import expand
from scheduler.model.graph import TaskGraph
from scheduler.reading.jobfile import read_job
from scheduler.reading.profiles import read_trade

EXAMPLE = Path(__file__).parents[2] / "examples" / "hobby-room" / "job.yaml"


@pytest.fixture(scope="module")
def found() -> TaskGraph:
    return expand(read_job(EXAMPLE), read_trade(EXAMPLE.parent))


def cautions(graph: TaskGraph, name: str) -> str:
    return " ".join(graph.task(name).cautions).lower()


def test_it_has_fifty_steps_or_more_without_counting_remedies(found: TaskGraph) -> None:
    assert len([task for task in found.tasks if task.remedy_of is None]) >= 50


def test_three_colours_of_two_coats_are_taped_off_from_one_another(found: TaskGraph) -> None:
    assert len(found.choices) == 3
    for name in ("chalk-white", "moss-green", "ochre"):
        assert {f"{name}-tape", f"{name}-coat-1", f"{name}-coat-2", f"{name}-pull"} <= {
            task.id for task in found.tasks
        }


def test_the_doors_on_order_hold_the_work_around_the_opening_and_nothing_else(found: TaskGraph) -> None:
    """What is at the opening follows the hanging of the doors, one after the other; the colours do not."""
    later = {"hang-doors"}
    for task in found.tasks:
        if any(link.after == task.id and link.before in later for link in found.links):
            later.add(task.id)
    assert [task.id for task in found.tasks if task.needs] == ["hang-doors"]
    work = {"case", "fill", "sand", "wipe", "caulk", "prime"}
    assert {f"{name}-opening" for name in work} | {"enamel-opening-1", "enamel-opening-2", "put-back"} <= later
    assert not later & {"prime-walls", "prime-panelling", "moss-green-pull", "chalk-white-pull", "ochre-pull"}


def test_every_dusty_step_warns_of_dust_and_in_this_old_house_of_lead_and_asbestos(found: TaskGraph) -> None:
    dusty = [task.id for task in found.tasks if task.dusty and task.remedy_of is None]
    assert {"strip", "scrape", "sand-patches", "sand", "sand-opening", "cut-sheets", "cut-trim"} <= set(dusty)
    for name in dusty:
        for danger in ("mask", "silica", "lead", "asbestos"):
            assert danger in cautions(found, name), f"{name} does not warn of {danger}"


def test_every_noisy_step_warns_of_saw_and_nailer(found: TaskGraph) -> None:
    noisy = [task.id for task in found.tasks if task.noisy]
    assert len(noisy) >= 10
    for name in noisy:
        assert "nailer" in cautions(found, name), name


def test_every_step_with_the_ladder_warns_of_it(found: TaskGraph) -> None:
    on_ladder = [task.id for task in found.tasks if "step-ladder" in dict(task.takes)]
    assert on_ladder
    for name in on_ladder:
        assert "ladder" in cautions(found, name), name


@pytest.mark.parametrize(
    ("danger", "names"),
    [
        ("fumes", ["block-stain"]),
        ("rags", ["moss-green-coat-1", "moss-green-coat-2", "enamel-opening-1", "enamel-opening-2"]),
        ("voltage", ["power-off"]),
        ("box", ["box-rings"]),
        ("circuits off", ["box-rings", "plates"]),
        ("two people", ["clear", "cut-sheets", "hang-doors", "put-back"]),
        ("permit", ["check-opening"]),
        ("electrician", ["power-off", "box-rings"]),
    ],
)
def test_a_danger_is_named_at_the_steps_that_have_it(found: TaskGraph, danger: str, names: list[str]) -> None:
    for name in names:
        assert danger in cautions(found, name), f"{name} does not warn of {danger}"


def test_dust_is_made_in_the_garage_where_it_can_be(found: TaskGraph) -> None:
    assert [task.id for task in found.tasks if task.room == "garage"] == ["cut-sheets", "cut-trim"]
    assert all(task.film is None for task in found.tasks if task.room == "garage")


def test_wet_edges_are_in_one_piece_and_what_can_pause_may(found: TaskGraph) -> None:
    for task in found.tasks:
        if task.film and task.id.partition("-")[0] in ("prime", "enamel", "chalk", "moss", "ochre", "glue"):
            assert task.smallest_piece is None, task.id
    assert found.task("fill").smallest_piece == 30
    assert found.task("sand").smallest_piece == 30
