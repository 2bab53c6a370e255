"""Random rooms with random methods on random parts; `python -m tests.bench.methods` draws hundreds of them."""

from __future__ import annotations

from random import Random

import pytest

from scheduler.errors import InputError
from scheduler.pipeline import Wish
from tests.bench.methods import found, planned
from tests.support.methodrooms import Planned, drawn, job_text, missing, unordered


@pytest.mark.parametrize("number", range(3))
def test_every_method_comes_to_a_step_and_no_rule_of_the_trade_is_broken(number: int) -> None:
    """By code that reads profiles/order.yaml anew; what is no plan is a fault at its line."""
    text = drawn(Random(f"suite/{number}"))
    try:
        one = planned(text, Wish(effort=1))
    except InputError as error:
        assert all(fault.place.line for fault in error.faults), text
    else:
        assert list(found(one)) == [], text


def test_the_check_sees_a_plan_that_stands_the_wrong_way_round() -> None:
    """A plan made without the rule that the ceiling is painted before the walls breaks it, one with it does not."""
    scope = "ceiling: paint ceiling\nwalls: paint walls"
    without = planned(job_text(scope) + "order of work: {ceiling before walls: left out}\n", Wish(effort=1))
    assert any("ceiling before walls" in each for each in unordered(without))
    assert not list(unordered(planned(job_text(scope), Wish(effort=1))))


def test_the_check_sees_a_method_that_came_to_nothing() -> None:
    one = planned(job_text("ceiling: paint ceiling"), Wish(effort=1))
    assert list(missing(Planned(plan=one.plan, scope={**one.scope, "walls": ["prime"]}))) == [
        "no step comes of `prime` on `walls`"
    ]
