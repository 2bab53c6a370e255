"""How wide text will be, what fits, and where it goes: reckoned beforehand, so that labels never collide.

The widths are those of a wide face (DejaVu Sans, read off its advance widths and rounded up); any other sans serif
takes less room. What is not known is taken as a full em.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

_WIDTHS = {
    0.34: "ijlI.,:;|'’ /\\",
    0.41: "t()[]!-f",
    0.42: "r",
    0.53: '“”"`°*szJ',
    0.6: "Lvky?c",
    0.65: "abdeghnopquxTFES0123456789$€_–YP",
    0.79: "ABCDGHKNOQUVXZR&",
    0.84: "~#+=<>",
    1.0: "mwMW%@—…→",
}
_WIDTH = {letter: width for width, letters in _WIDTHS.items() for letter in letters}
BOLD = 1.18
"""How much wider bold letters are at most (DejaVu Sans Bold against the widths above)."""

_UNKNOWN = 1.1
"""The width of a letter that is not among those above, in sizes of the type."""
_TWO = 1.45
"""The width of what is two letters in one, in sizes of the type."""


def text_width(text: str, size: float) -> float:
    """An upper bound for how wide the text is at that font size, in the same unit."""
    return size * sum(_WIDTH.get(letter) or _other(letter) for letter in text)


def _other(letter: str) -> float:
    """Accents leave a letter as wide as it is; what decomposes into two letters is as wide as a pair of them."""
    bare = [part for part in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(part)]
    if len(bare) > 1:
        return _TWO
    return _WIDTH.get(bare[0], _UNKNOWN) if bare else 0.0


def fitted(text: str, size: float, room: float) -> str:
    """The text, cut with an ellipsis if it is wider than `room`; nothing if not even that fits."""
    if text_width(text, size) <= room:
        return text
    while text and text_width(f"{text}…", size) > room:
        text = text[:-1].rstrip(" ,;:(–")
    return f"{text}…" if text else ""


def wrapped(text: str, size: float, room: float, lines: int) -> tuple[str, ...]:
    """The text in at most so many lines of that width, the last one cut if it must be."""
    found: list[str] = []
    words = text.split()
    while words and len(found) < lines - 1:
        line = ""
        while words and text_width(f"{line} {words[0]}".strip(), size) <= room:
            line = f"{line} {words.pop(0)}".strip()
        if not line:
            break
        found.append(line)
    return (*found, fitted(" ".join(words), size, room)) if words else tuple(found)


def spread(wanted: Sequence[tuple[float, float]], low: float, high: float) -> tuple[float, ...]:
    """Tops for boxes of (wanted top, height), in that order, none over another, between `low` and `high`.

    Each is as near to where it is wanted as the ones before it allow; if the last ones would stick out at the bottom
    they push the others up. If they don't all fit they go on below `high`.
    """
    tops: list[float] = []
    free = low
    for top, height in wanted:
        tops.append(max(top, free))
        free = tops[-1] + height
    limit = max(high, low + sum(height for _, height in wanted))
    for i in range(len(tops) - 1, -1, -1):
        tops[i] = min(tops[i], limit - wanted[i][1])
        limit = tops[i]
    return tuple(tops)


def lanes(boxes: Sequence[tuple[float, float]], gap: float) -> tuple[int, ...]:
    """For each box (left, width) the first lane in which it touches none placed before it."""
    ends: list[float] = []
    found = []
    for left, width in boxes:
        lane = next((lane for lane, end in enumerate(ends) if end + gap <= left), len(ends))
        if lane == len(ends):
            ends.append(0.0)
        ends[lane] = left + width
        found.append(lane)
    return tuple(found)
