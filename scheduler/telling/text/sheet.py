"""Lines of text of a given width: wrapped, in ASCII and in colour where that is asked for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from scheduler.telling.wording import to_ascii, wrap

STYLES = {"answer": "bold", "heading": "bold underline", "session": "bold", "caution": "yellow", "shout": "bold red"}
"""How the kinds of lines look where colour is asked for, in words of the rich library."""


@dataclass(frozen=True, slots=True)
class Line:
    """A sentence, what opens its first line, what its other lines are indented by (None: as far), and its kind."""

    text: str
    first: str = ""
    rest: str | None = None
    kind: str = ""

    @property
    def whole(self) -> str:
        """The line unwrapped, without indent."""
        return f"{self.first}{self.text}".strip()

    def height(self, width: int) -> int:
        """How many rows it takes at a width."""
        return len(wrap(self.text, width, self.first, self.rest))


def point(text: str, kind: str = "") -> Line:
    """One point of a section, a little further in than its heading."""
    return Line(text, first="  ", rest="    ", kind=kind)


LEAST_WIDTH = 40
"""Columns: nothing is wrapped narrower, however narrow a terminal is."""


@dataclass
class Sheet:
    """Lines as they are added, none wider than `width` columns, or than LEAST_WIDTH if that is more."""

    width: int
    ascii: bool
    _lines: list[tuple[str, str]] = field(default_factory=list)

    def add(self, line: Line) -> None:
        """Wrap a line and put it below the others."""
        text, first, rest = line.text, line.first, line.rest
        if self.ascii:
            text, first, rest = to_ascii(text), to_ascii(first), None if rest is None else to_ascii(rest)
        self._lines += [(part, line.kind) for part in wrap(text, max(self.width, LEAST_WIDTH), first, rest)]

    def gap(self) -> None:
        """An empty line."""
        self._lines.append(("", ""))

    def section(self, heading: str, lines: Iterable[Line], *, gap: bool = True) -> None:
        """An empty line (if `gap`), the heading (if there is one) and the lines; nothing at all if there are none."""
        found = list(lines)
        if not found:
            return
        if gap:
            self.gap()
        if heading:
            self.add(Line(heading, kind="heading"))
        for line in found:
            self.add(line)

    def points(self, heading: str, sentences: Iterable[str]) -> None:
        """A section of points that follows the one before it without an empty line."""
        self.section(heading, (point(sentence) for sentence in sentences), gap=False)

    @property
    def rows(self) -> int:
        """How many rows it has by now."""
        return len(self._lines)

    def text(self, colour: bool) -> str:
        """The whole sheet; the escape signs of colour take no columns."""
        return "".join((_coloured(line, kind) if colour else line) + "\n" for line, kind in self._lines)


def _coloured(line: str, kind: str) -> str:
    from rich.color import ColorSystem
    from rich.style import Style

    style = STYLES.get(kind)
    return Style.parse(style).render(line, color_system=ColorSystem.STANDARD) if style and line else line
