"""The plan as a graph: networkx reads both forms back, and its longest path is the chain that bounds the plan."""

from __future__ import annotations

import io
import json
import random
from dataclasses import replace
from pathlib import Path

import networkx as nx
import pytest

from scheduler.cli.outfiles import check_outputs
from scheduler.errors import InputError
from scheduler.model.facts import Facts
from scheduler.model.plan import Plan
from scheduler.pipeline import make_plan
from scheduler.reading.jobfile import read_job_text
from scheduler.telling.machine.graph import WRITERS, graph_file, graph_of
from tests.cli.running import run
from tests.support.builders import trade
from tests.support.plans import hobby_room

HOURS = """job: Chain
zone: UTC
start: 2027-01-11
hours: {on: every day, from: "00:00", to: "24:00", people: 20}
rooms: {shed: {air: {day: 20 C, night: 20 C, humidity: 50 %}}}
steps:
"""
"""Work at any hour, and hands for all: only what follows what is left to hold a step."""


def read_back(plan: Plan, ending: str) -> nx.MultiDiGraph:
    content = graph_file(plan, ending)
    if ending == ".json":
        return nx.node_link_graph(json.loads(content), edges="edges")
    return nx.read_graphml(io.BytesIO(content), force_multigraph=True)


def waits(graph: nx.MultiDiGraph) -> list[tuple[str, str, dict[str, object]]]:
    """The edges in order, without the number that GraphML gives to each."""
    edges = (
        (a, b, {key: value for key, value in kept.items() if key != "id"}) for a, b, kept in graph.edges(data=True)
    )
    return sorted(edges, key=str)


@pytest.mark.parametrize("ending", sorted(WRITERS))
def test_networkx_reads_back_what_was_written(ending: str) -> None:
    """Steps, times, stages and waits are as they were; a file is the same bytes for the same plan."""
    made, found = graph_of(hobby_room()), read_back(hobby_room(), ending)
    assert dict(found.nodes(data=True)) == dict(made.nodes(data=True))
    assert waits(found) == waits(made)
    assert found.is_directed() and nx.is_directed_acyclic_graph(found)
    assert graph_file(hobby_room(), ending) == graph_file(hobby_room(), ending)


def test_an_edge_says_when_a_step_may_start_and_why() -> None:
    """From the end of the coat that is waited for to the moment at which the next may begin, as the plan has it."""
    plan = hobby_room()
    edges = [(a, b, values) for a, b, values in graph_of(plan).edges(data=True) if values["stage"] == "recoat"]
    for before, after, values in edges:
        (wait,) = (each for each in plan.step(after).after if each.step == before and each.stage == "recoat")
        assert values["wait_minutes"] == wait.ready - plan.step(before).end
    assert edges


def test_a_title_that_no_xml_may_hold_is_cleaned() -> None:
    """A control character in a title would be no XML (XML 1.0, section 2.2), and the file could not be read."""
    plan = hobby_room()
    steps = tuple(replace(each, title="\x01<&\ufffe") for each in plan.steps)
    found = read_back(replace(plan, steps=steps), ".graphml")
    assert {values["title"] for _, values in found.nodes(data=True)} == {"<&"}


def longest(graph: nx.MultiDiGraph) -> int:
    """The minutes of the longest path: the work of its steps, and what is waited between them."""
    flat = nx.DiGraph()
    for name, values in graph.nodes(data=True):
        flat.add_edge((name, "starts"), (name, "ends"), weight=values["labour_minutes"])
    for before, after, values in graph.edges(data=True):
        flat.add_edge((before, "ends"), (after, "starts"), weight=values["wait_minutes"])
    return int(nx.dag_longest_path_length(flat, weight="weight"))


@pytest.mark.parametrize("seed", range(8))
def test_the_longest_path_is_the_chain_that_bounds_the_plan(seed: int) -> None:
    """Where only the order holds anything, no plan ends before the longest path, and the plan ends just then."""
    chance = random.Random(seed)
    lines = []
    for number in range(8):
        before = chance.sample(range(number), min(number, chance.randint(0, 2)))
        follows = ", ".join(f"{{s{each}: {chance.randint(1, 90)} min}}" for each in before)
        lines.append(f"  s{number}: {{room: shed, work: {chance.randint(5, 60)} min, follows: [{follows}]}}")
    job = read_job_text(HOURS + "\n".join(lines) + "\n", "job.yaml")
    plan = make_plan(job, trade(), Facts(now=job.start)).plan
    assert plan.bound.finish_not_before - job.start == longest(read_back(plan, ".graphml")) == plan.finish - job.start


def test_a_graph_is_written_beside_the_plan_and_over_an_earlier_one_only(tmp_path: Path) -> None:
    """The ending of the name says in which form; a file of somebody else is left as it is."""
    job = tmp_path / "job.yaml"
    job.write_text(HOURS + "  a: {room: shed, work: 1 h}\n", "utf-8")
    for name in ("plan.graphml", "plan.json"):
        for _ in range(2):
            done = run("plan", str(job), "--as-of", "2027-01-10", "--graph", str(tmp_path / name))
            assert (done.code, done.err) == (0, f"Wrote {tmp_path / name}.\n")
    other = tmp_path / "mine.json"
    other.write_text("{}", "utf-8")
    ours, ending = "this is there already, and no graph of tackfree", "by its ending"
    for path, said in ((other, ours), (tmp_path / "x.txt", ending)):
        with pytest.raises(InputError, match=said):
            check_outputs(graph=path)
    assert other.read_text("utf-8") == "{}"
