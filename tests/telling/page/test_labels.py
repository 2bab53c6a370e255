"""Labels get room by reckoning: what is said to fit fits, and no two are put over each other."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from scheduler.telling.page.picture.labels import fitted, lanes, spread, text_width, wrapped

BOXES = st.lists(st.tuples(st.floats(0, 300), st.floats(5, 30)), max_size=15)


def test_widths_are_no_less_than_those_of_a_wide_face() -> None:
    """Advance widths of DejaVu Sans 2.37 in thousandths of an em, read from its `hmtx` table."""
    wide = {"W": 989, "m": 974, "M": 863, "i": 278, "0": 636, "a": 613, "R": 695, "–": 500, "…": 1000, " ": 318}
    for letter, width in wide.items():
        assert text_width(letter, 1000) >= width, letter


def test_two_letters_in_one_are_as_wide_as_both() -> None:
    """Ligatures and ĳ: f is 352 wide, i and j are 278 (DejaVu Sans 2.37, `hmtx`). Accents make no letter wider."""
    for letter, width in {"ﬁ": 352 + 278, "ﬀ": 2 * 352, "ĳ": 2 * 278}.items():
        assert text_width(letter, 1000) >= width, letter
    assert text_width("é", 1000) == text_width("e", 1000)


@given(st.text(max_size=60), st.floats(20, 200))
def test_fitted_text_is_no_wider_than_its_room(text: str, room: float) -> None:
    assert text_width(fitted(text, 10, room), 10) <= room


@given(st.text(max_size=120), st.floats(30, 200), st.integers(1, 3))
def test_wrapped_text_keeps_to_its_lines_and_its_width(text: str, room: float, lines: int) -> None:
    found = wrapped(text, 10, room, lines)
    assert len(found) <= lines
    assert all(text_width(line, 10) <= room for line in found)


def test_what_fits_is_left_as_it_is() -> None:
    assert fitted("Prime", 10, 100) == "Prime"
    assert wrapped("Prime the walls", 10, 200, 2) == ("Prime the walls",)


def test_a_name_that_is_cut_says_so() -> None:
    """The first words in the first line, the rest cut with an ellipsis: 10 letters of 6.5 are 65 wide."""
    assert wrapped("aaaaaaaaaa bbbbbbbbbbbbbbb", 10, 66, 2) == ("aaaaaaaaaa", "bbbbbbbb…")


@given(BOXES)
def test_labels_of_a_column_never_overlap(boxes: list[tuple[float, float]]) -> None:
    tops = spread(boxes, 0, 300)
    heights = [height for _, height in boxes]
    for (one, height), (other, _) in pairwise(zip(tops, heights, strict=True)):
        assert one + height <= other + 1e-6


@given(BOXES)
def test_labels_that_fit_stay_in_their_column(boxes: list[tuple[float, float]]) -> None:
    tops = spread(boxes, 0, 500)
    assert all(top >= -1e-6 and top + height <= 500 + 1e-6 for top, (_, height) in zip(tops, boxes, strict=True))


def test_a_label_with_room_is_where_it_is_wanted() -> None:
    assert spread([(10, 12), (50, 12)], 0, 100) == (10, 50)


@given(st.lists(st.tuples(st.floats(0, 300), st.floats(1, 80)), max_size=15))
def test_flags_of_one_line_never_touch(boxes: list[tuple[float, float]]) -> None:
    boxes = sorted(boxes)
    rows = lanes(boxes, 6)
    for i, (left, width) in enumerate(boxes):
        for j in range(i + 1, len(boxes)):
            if rows[i] == rows[j]:
                assert left + width + 6 <= boxes[j][0] + 1e-6
