"""What stands on paper, read out of the PDF that the browser prints: sizes of text, page by page."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator

Matrix = tuple[float, float, float, float, float, float]
UNIT: Matrix = (1, 0, 0, 1, 0, 0)


def text_sizes(data: bytes) -> Iterator[set[float]]:
    """For each page that has text the sizes of its letters in points.

    Of the operators of a content stream (ISO 32000-1, 2008, table 51) the few that scale text: `cm` and `Tm` multiply
    a matrix, `q` and `Q` keep and restore it, `Tf` sets the size, `Tj` and `TJ` show text.
    """
    for found in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL):
        try:
            stream = zlib.decompress(found[1])
        except zlib.error:
            continue
        if b" Tf" in stream:
            yield _sizes(stream)


def _sizes(stream: bytes) -> set[float]:
    page, text, kept, size, sizes = UNIT, UNIT, list[Matrix](), 0.0, set[float]()
    for found in re.finditer(rb"([^\n]*?)\b(q|Q|cm|Tf|Tm|Tj|TJ)\s", stream):
        given, operator = found[1].split(), found[2]
        if operator == b"q":
            kept.append(page)
        elif operator == b"Q":
            page = kept.pop() if kept else UNIT
        elif operator == b"cm":
            page = _times(_matrix(given), page)
        elif operator == b"Tm":
            text = _matrix(given)
        elif operator == b"Tf":
            size = float(given[-1])
        else:
            sizes.add(round(abs(size * _times(text, page)[3]), 2))
    return sizes


def _matrix(given: list[bytes]) -> Matrix:
    a, b, c, d, e, f = map(float, given[-6:])
    return a, b, c, d, e, f


def _times(one: Matrix, two: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = two
    return a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m
