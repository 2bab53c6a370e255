"""A good scope, changed at random, is a task graph or a list of faults; never anything else."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.errors import InputError
from scheduler.expanding import expand
from tests.expanding.scope.test_grows import COLOURS, ROOM
from tests.support.scoped import text_of, unfolded

WINDOW = "{window: {on: east wall, width: 3 ft, height: 3 ft, sill: 3 ft}}"
LINES = text_of(ROOM, COLOURS, openings=WINDOW).splitlines()
VALUES = (
    *(
        "0",
        "-1",
        "16 in",
        "0 in",
        "99999",
        "1/0 in",
        "golden section",
        "window",
        "walls",
        "den",
        "nothing",
        "[]",
        "{}",
    ),
    *("", "100 m", "0.001 mm", "yes", "base", "[walls, walls]", "joinery", "1 mm"),
)


@st.composite
def mangled(draw: st.DrawFn) -> str:
    """Lines of the room and the scope taken out, doubled, swapped, or with another value or word in them."""
    lines = list(LINES)
    for _ in range(draw(st.integers(1, 3))):
        at = draw(st.integers(8, len(lines) - 1))
        change = draw(st.sampled_from(("cut", "double", "swap", "value", "word")))
        value = draw(st.sampled_from(VALUES))
        if change == "cut":
            del lines[at]
        elif change == "double":
            lines.insert(at, lines[at])
        elif change == "swap":
            other = draw(st.integers(8, len(lines) - 1))
            lines[at], lines[other] = lines[other], lines[at]
        elif change == "value":
            lines[at] = f"{lines[at].partition(': ')[0]}: {value}"
        else:
            words = lines[at].split(" ")
            words[draw(st.integers(0, len(words) - 1))] = value
            lines[at] = " ".join(words)
    return "\n".join(lines) + "\n"


@settings(max_examples=60)
@given(mangled())
def test_a_mangled_scope_is_a_graph_or_faults(text: str) -> None:
    try:
        expand(*unfolded(text))
    except InputError as error:
        assert error.faults
        for fault in error.faults:
            assert fault.hint
            assert "\n" not in str(fault)
