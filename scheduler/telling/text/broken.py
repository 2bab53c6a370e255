"""The rules that what has happened broke, for reading."""

from __future__ import annotations

from collections.abc import Iterable

from scheduler.model.broken import Broken
from scheduler.model.plan import Plan
from scheduler.telling.text.sheet import Sheet
from scheduler.telling.views.index import Book


def broken_text(
    broken: Iterable[Broken],
    plan: Plan,
    width: int = 80,
    colour: bool = False,
    ascii: bool = False,  # noqa: A002
) -> str:
    """A short block with a point for each; empty without any. The plan knows the titles and the clock."""
    book, sheet = Book(plan), Sheet(width, ascii)
    sheet.points(book.words.of("agenda", "broken"), (book.say(each.said) for each in broken))
    return sheet.text(colour)
