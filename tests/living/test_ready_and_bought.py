"""What a session has ready is what the list of what to buy has for its steps: neither knows of a thing that the other
leaves out."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from scheduler.living.buying import to_buy
from scheduler.living.site import open_site
from scheduler.reading import KINDS, starter_text
from scheduler.telling.views.index import Book
from scheduler.telling.views.sessions import have_ready
from scheduler.telling.wording import thing_words
from tests.support.starts import TODAY

ROOT = Path(__file__).parents[2]
EXAMPLES = ("bath-splashback", "cold-garage", "floor", "hobby-room")
OWN_NAMES = """
wares:
  masking tape:
    title: blue tape from the drawer
    sold_by: length
    pack: roll
    us: [60 yd]
    source: the roll in the drawer
"""


def job_folder(folder: Path, kind: str) -> Path:
    """A starter job of that kind, or an example, in a folder of its own."""
    if kind in KINDS:
        (folder / "job.yaml").write_text(starter_text(kind, TODAY), encoding="utf-8")
    else:
        shutil.copytree(ROOT / kind, folder, dirs_exist_ok=True)
    return folder


@pytest.mark.parametrize("kind", [*KINDS[::2], *(f"examples/{name}" for name in EXAMPLES)])
def test_a_session_has_ready_what_is_bought_for_its_steps(tmp_path: Path, kind: str) -> None:
    """All that is listed for a step lies ready where it is done, and nothing else but shared tools."""
    site = open_site(job_folder(tmp_path, kind))
    plan, found = to_buy(site, site.job.start)
    book = Book(plan)
    assert found.lots
    for session in book.sessions:
        steps = {piece.step.id for piece in book.pieces(session)}
        bought = {lot.title for lot in found.lots if steps & set(lot.steps) and lot.on_order is None}
        due = {each.title for each in found.deliveries if steps & set(each.steps)}
        tools = {
            thing_words(thing) + (f" ×{count}" if count > 1 else "")
            for name in steps
            for thing, count in book.steps[name].takes
        }
        assert set(have_ready(book, session)) == bought | due | tools


def test_a_name_of_ones_own_is_on_both_lists(tmp_path: Path) -> None:
    """Who calls the tape otherwise in an own wares.yaml finds it under that name when the tools are laid out."""
    folder = job_folder(tmp_path, KINDS[1])
    (folder / "profiles").mkdir()
    (folder / "profiles" / "wares.yaml").write_text(OWN_NAMES, encoding="utf-8")
    site = open_site(folder)
    plan, found = to_buy(site, site.job.start)
    book = Book(plan)
    ready = {thing for session in book.sessions for thing in have_ready(book, session)}
    assert "blue tape from the drawer" in ready & {lot.title for lot in found.lots}
