"""A failure is read in few lines, however large the example is that it was found with."""

from __future__ import annotations

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from tests.support import shortly

MANY = st.lists(st.integers(0, 9), min_size=3_000, max_size=3_000)


def test_name_and_reason_of_a_failure_stay_in_the_last_hundred_lines() -> None:
    """A property that fails for 3,000 numbers, printed one a line: the reason, the call and the way back remain."""

    @settings(max_examples=1, phases=[Phase.generate], print_blob=True)
    @given(numbers=MANY)
    def never(numbers: list[int]) -> None:
        assert not numbers, "there are numbers"

    with pytest.raises(AssertionError) as raised:
        never()
    shown = raised.getrepr(style="short")
    assert len(str(shown).splitlines()) > 1_000
    shortly.cut(shown)
    lines = str(shown).splitlines()
    assert len(lines) < 80
    assert any("there are numbers" in line for line in lines)
    assert any("never(" in line for line in lines)
    assert any("lines left out" in line for line in lines)
    assert any("reproduce_failure" in line for line in lines)
    assert shown.reprcrash is not None
    assert shown.reprcrash.message == "AssertionError: there are numbers"


def test_what_is_short_is_shown_as_it_is() -> None:
    """Forty lines are not cut, and none of their signs."""
    lines = [f"E   line {number}" for number in range(40)]
    assert shortly.shortened(lines) == lines
