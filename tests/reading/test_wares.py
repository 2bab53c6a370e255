"""profiles/wares.yaml: what is shipped holds, and a person's own file goes before it, entry by entry."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.errors import InputError
from scheduler.reading.wares import read_wares


def own(folder: Path, text: str) -> Path:
    (folder / "wares.yaml").write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize(
    ("name", "ware"),
    [
        ("backer sheet", "sheet"),
        ("batten board", "board"),
        ("rail board", "board"),
        ("base board", "moulding"),
        ("crown moulding", "moulding"),
        ("shoe moulding, finished", "moulding"),
        ("finish nail", "nail"),
        ("sandpaper sheet", "sandpaper"),
        ("masking tape", "masking-tape"),
        ("cement board", "cement-board"),
    ],
)
def test_names_that_methods_use_are_known(name: str, ware: str) -> None:
    """What the shipped methods call their boards and nails is sold as what it is."""
    found = read_wares(None).ware(name)
    assert found is not None
    assert found.id == ware


def test_sizes_are_read_in_their_unit() -> None:
    """A sheet of 4 × 8 ft is 32 ft² = 2.973 m²; a roll of 60 yd is 54.864 m."""
    shelf = read_wares(None)
    sheet, tape = shelf.ware("sheet"), shelf.ware("masking tape")
    assert sheet is not None and tape is not None
    assert sheet.sizes[0].amount == pytest.approx(32 * 0.09290304)
    assert tape.sizes[0].amount == pytest.approx(54.864)


def test_an_own_file_changes_what_it_names_and_nothing_else(tmp_path: Path) -> None:
    """Own boards in 10 ft only, a week of margin, more waste of paint, in pails; tape as before, and it is said."""
    shelf = read_wares(
        own(
            tmp_path,
            "margin: 7 days\nwaste: {paints: 20 %}\npacks: {paints: pail}\nwares:\n  board:\n"
            "    title: boards\n    sold_by: length\n    pack: board\n"
            "    us: [10 ft]\n    lead: 2 weeks\n    source: the yard down the road\n",
        )
    )
    board = shelf.ware("board")
    assert board is not None
    assert ([size.label for size in board.sizes], board.lead) == (["10 ft"], 14)
    assert (shelf.margin, shelf.waste["paints"], shelf.waste["primers"]) == (7, 0.20, 0.10)
    assert (shelf.packs["paints"], shelf.packs["primers"]) == ("pail", "can")
    assert shelf.ware("masking tape") is not None
    assert len(shelf.notes) == 1


WARE = "wares:\n  board:\n    title: boards\n    sold_by: length\n    pack: board\n    source: mine\n"


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (WARE + "    us: [10 lb]\n", 7, "no unit of length"),
        (WARE, 4, "sold in no size"),
        ("wares:\n  board:\n    title: boards\n    sold_by: lenght\n    pack: b\n    source: mine\n", 4, "lenght"),
        ("bulk: 1.5\n", 1, "not from 0.1 to 0.99"),
        ("margin: some days\n", 1, "no duration"),
        ("magrin: 3 days\n", 1, "magrin"),
        ("- board\n", 1, "says nothing of wares"),
    ],
)
def test_a_slip_in_an_own_file_is_named_at_its_place(tmp_path: Path, text: str, line: int, words: str) -> None:
    """File, line, what is wrong."""
    with pytest.raises(InputError) as caught:
        read_wares(own(tmp_path, text))
    (fault,) = caught.value.faults
    assert fault.place.line == line
    assert words in fault.message
    assert fault.hint
