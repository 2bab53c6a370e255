"""A few of the random edits of `edits`; the bench makes hundreds."""

from __future__ import annotations

import pytest

from tests.bench.edits import run
from tests.support.jobedits import edits, read_tree


@pytest.mark.long
def test_after_any_edit_a_plan_comes_and_the_record_stands() -> None:
    """Five edits of jobs with records: nothing that was recorded is lost, or planned again."""
    counts, failures = run(5, seed=7)
    assert failures == []
    assert counts["edits"] == 5


def test_a_rename_changes_a_name_wherever_it_stands_and_nothing_else() -> None:
    """Else the bench would call a rename what is none. `white` is a colour, and `off white` another one."""
    from random import Random

    text = "colours:\n  white: {on: walls}\n  off-white: {on: trim}\nborders:\n  - {between: [white, off-white]}\n"
    said = {}
    found = edits(Random(1), text)
    while len(said) < 2:
        kind, what, new = next(found)
        if kind == "rename":
            said[what.partition(" -> ")[0]] = read_tree(new)
    tree = said["rename colours: white"]
    assert list(tree["colours"].values()) == [{"on": "walls"}, {"on": "trim"}]
    assert tree["borders"][0]["between"] == list(tree["colours"])
    assert "off-white" in tree["colours"]
