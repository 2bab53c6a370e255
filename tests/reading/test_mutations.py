"""A good job, changed at random, is a job or a list of faults; never anything else."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.errors import InputError
from scheduler.model.job import Job
from scheduler.reading import read_job_text, starter_text
from scheduler.reading.yamlfile import parse_yaml
from tests.reading.jobs import GOOD
from tests.support.damage import spots

pytestmark = pytest.mark.long

BASES = (GOOD, starter_text("repaint a room"))
PIECES = st.sampled_from(
    [
        *(
            "\t",
            "\r\n",
            "\r",
            "\0",
            "\ufeff",
            ": ",
            "- ",
            "  ",
            "&a ",
            "*a",
            "!x ",
            "{",
            "}",
            "[",
            "]",
            "#",
            "'",
            '"',
            "|\n",
        ),
        *(
            "? ",
            "%",
            "@",
            ",",
            "~",
            "yes",
            "-1",
            "0",
            "9" * 30,
            "1e9",
            ".inf",
            "2027-02-30",
            "0001-01-01",
            "9999-12-31",
        ),
        *(
            "20°",
            "24:00",
            "12 am",
            "1/0 h",
            "chalk white",
            "prime: recoat",
            "<<",
            "\u0430",
            "\u202e",
            "½",
            "\ud7ff",
            "𝟙",
        ),
    ]
)


def outcome(text: str) -> Job | InputError:
    """What comes of a text; any other exception fails the test."""
    try:
        return read_job_text(text, "job.yaml")
    except InputError as error:
        assert error.faults
        for fault in error.faults:
            assert "\n" not in str(fault)
            assert fault.hint
            assert len(str(fault)) < 600
        return error


@st.composite
def mangled(draw: st.DrawFn) -> str:
    """A good job with pieces put in, passages cut out or doubled, and lines swapped."""
    text = draw(st.sampled_from(BASES))
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(text)))
        end = min(len(text), at + draw(st.integers(0, 40)))
        change = draw(st.sampled_from(("put in", "cut", "double", "replace", "swap lines")))
        if change == "put in":
            text = text[:at] + draw(PIECES | st.text(max_size=5)) + text[at:]
        elif change == "cut":
            text = text[:at] + text[end:]
        elif change == "double":
            text = text[:end] + text[at:]
        elif change == "replace":
            text = text[:at] + draw(PIECES) + text[end:]
        else:
            lines = text.splitlines(keepends=True) or [""]
            one, other = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
            lines[one], lines[other] = lines[other], lines[one]
            text = "".join(lines)
    return text


@settings(max_examples=100)
@given(mangled())
def test_a_mangled_text_is_a_job_or_faults(text: str) -> None:
    """Characters, passages and lines changed at random."""
    outcome(text)


SCALARS = st.sampled_from(
    [
        "",
        "x",
        "1",
        "-1",
        "1 h",
        "2 days",
        "68 °F",
        "45 %",
        "8:30",
        "Saturday",
        "2027-02-01",
        "clear",
        "prime",
        "yes",
        "end",
    ]
)
VALUES = st.recursive(
    st.none() | SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(SCALARS, inner, max_size=3),
    max_leaves=6,
)
KEYS = st.sampled_from(
    [
        "steps",
        "colours",
        "rooms",
        "hours",
        "on",
        "from",
        "to",
        "air",
        "since",
        "follows",
        "lays",
        "work",
        "room",
        "follow",
    ]
)


@st.composite
def rebuilt(draw: st.DrawFn) -> str:
    """A good job with values of another form, keys added and keys taken out, written as flow YAML."""
    data, _ = parse_yaml(draw(st.sampled_from(BASES)), "job.yaml", typed=False)
    for _ in range(draw(st.integers(1, 4))):
        owner, key = draw(st.sampled_from(spots(data)))
        change = draw(st.sampled_from(("value", "value", "take out", "add")))
        if change == "value":
            owner[key] = draw(VALUES)
        elif change == "take out":
            del owner[key]
        elif isinstance(owner, dict):
            owner[draw(KEYS)] = draw(VALUES)
        if not spots(data):
            break
    return json.dumps(data, ensure_ascii=False)


@settings(max_examples=100)
@given(rebuilt())
def test_a_rebuilt_job_is_a_job_or_faults(text: str) -> None:
    """Whole values changed at random: lists for texts, mappings for lists, nothing for something."""
    outcome(text)


@settings(max_examples=40)
@given(rebuilt())
def test_the_same_text_brings_the_same_lines(text: str) -> None:
    """Reading has no memory and no order of its own."""
    assert str(outcome(text)) == str(outcome(text))
