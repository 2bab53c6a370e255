"""A job of thousands of steps is read in seconds, and one beyond reason is refused in one line."""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.errors import InputError
from scheduler.expanding import expand
from scheduler.expanding.expand import MOST_STEPS
from scheduler.reading import read_job_text
from tests.support.builders import trade

pytestmark = pytest.mark.long

HEAD = """\
job: Long
start: 2027-01-09
zone: UTC
hours: {on: Saturday, from: 8:30, to: 17:00}
rooms:
  den: {air: {day: 68 °F, night: 60 °F, humidity: 45 %}}
  hall: {air: {day: 68 °F, night: 60 °F, humidity: 45 %}}
steps:
"""
KINDS = ("dusty", "wipes", "wet", "noisy")


def lines_of(text: str) -> list[str]:
    """The faults of a job, none if it has none."""
    try:
        expand(read_job_text(text, "job.yaml"), trade())
    except InputError as error:
        return [str(fault) for fault in error.faults]
    return []


def chain(count: int, kinds: tuple[str, ...] = ("noisy",)) -> str:
    """Steps that follow one another, of these kinds by turns."""
    return HEAD + "".join(
        f"  s{n}: {{room: den, work: 1 h, kind: {kinds[n % len(kinds)]}{f', follows: s{n - 1}' if n else ''}}}\n"
        for n in range(count)
    )


def test_thousands_of_steps_with_dust_in_one_room() -> None:
    """Dust, a wipe, wet work, 1,200 times over. Each dusty step was compared with each wet one: minutes for this."""
    assert lines_of(chain(3600, ("dusty", "wipes", "wet"))) == []


def test_more_steps_than_any_job_has() -> None:
    """Step 5,001 is in line 8 + 5001: that one is named, and nothing else is complained of."""
    assert lines_of(chain(MOST_STEPS + 1)) == [
        f"job.yaml:{8 + MOST_STEPS + 1}:3: from here on there are more than 5000 steps, 5001 altogether; "
        "make several jobs of it"
    ]


def test_a_circle_of_a_thousand_steps_fits_in_a_line() -> None:
    """The beginning and the end of it are named."""
    text = chain(1000).replace("  s0: {room: den, work: 1 h", "  s0: {follows: s999, room: den, work: 1 h")
    (line,) = lines_of(text)
    assert line == (
        "job.yaml:9:3: the order goes round in a circle: s0 follows s999, s999 follows s998, s998 follows s997, "
        "s997 follows s996, and so on over 992 more, s4 follows s3, s3 follows s2, s2 follows s1, s1 follows s0; "
        "take one of these out"
    )


@st.composite
def some_steps(draw: st.DrawFn) -> list[tuple[str, str, list[int]]]:
    """Up to nine steps: kind, room, and which of those before it each follows."""
    return [
        (
            draw(st.sampled_from(KINDS)),
            draw(st.sampled_from(("den", "hall"))),
            sorted(draw(st.sets(st.integers(0, number - 1), max_size=3))) if number else [],
        )
        for number in range(draw(st.integers(1, 9)))
    ]


@settings(max_examples=200)
@given(some_steps())
def test_dust_that_nothing_wipes_up_is_found(steps: list[tuple[str, str, list[int]]]) -> None:
    """By the words of the rule, asked of an independent library of graphs: dust is a fault if wet work follows it in
    its room and no wiping step of the room follows the dust without following that wet work as well."""
    graph = nx.DiGraph()
    graph.add_nodes_from(range(len(steps)))
    graph.add_edges_from((before, number) for number, (_, _, follows) in enumerate(steps) for before in follows)
    wanted = set()
    for dusty, (kind, room, _) in enumerate(steps):
        later = {each for each in nx.descendants(graph, dusty) if steps[each][1] == room}
        for wet in later if kind == "dusty" else ():
            wiped = any(steps[w][0] == "wipes" and w not in nx.descendants(graph, wet) for w in later)
            if steps[wet][0] == "wet" and not wiped:
                wanted.add(dusty)
    text = HEAD + "".join(
        f"  s{n}: {{room: {room}, work: 1 h, kind: {kind}, follows: [{', '.join(f's{b}' for b in follows)}]}}\n"
        for n, (kind, room, follows) in enumerate(steps)
    )
    found = {int(line.split(":")[1]) - 9 for line in lines_of(text.replace(", follows: []", ""))}
    assert found == wanted


@pytest.mark.parametrize("count", [2, 8, 9])
def test_a_short_circle_is_named_whole(count: int) -> None:
    """Eight steps are all named; of nine one is left out."""
    text = chain(count).replace("  s0: {room", f"  s0: {{follows: s{count - 1}, room")
    (line,) = lines_of(text)
    names = [0, *reversed(range(count)), 0][: count + 1]
    links = [f"s{after} follows s{before}" for after, before in pairwise(names)]
    assert all(link in line for link in links) == (count <= 8)
