"""Bytes -> content lines: unfolded, numbered, cut into name, parameters and value (RFC 5545, section 3.1)."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from typing import NamedTuple

from scheduler.reading.busy.guard import MAX_PROPERTY, Guard

_BOM = b"\xef\xbb\xbf"
_UP_TO_COLON = re.compile(r'[^":]*(?:"[^"]*"[^":]*)*:')
_PARAMETER = re.compile(r';([A-Za-z0-9-]+)=("[^"]*"|[^";]*)')
_NAME = re.compile(r"[A-Za-z0-9-]+")


class Property(NamedTuple):
    """One content line. `parameters` is what stands between name and colon, as it stands there."""

    line: int
    name: str
    parameters: str
    value: str

    def parameter(self, name: str) -> str:
        """The value of a parameter without its quotes, or an empty text."""
        for key, value in _PARAMETER.findall(self.parameters):
            if key.upper() == name:
                return str(value).strip('"')
        return ""


def properties(data: bytes, wanted: frozenset[str], guard: Guard) -> Iterator[Property]:
    """The content lines whose name is wanted; the others are passed over unread, however long they are.

    Lines may end with CR LF, LF or, if there is no LF in the whole file, CR. Unfolding is done on bytes, because
    a fold may part the bytes of one letter; bytes that are no UTF-8 become U+FFFD. A wanted line that is too
    long comes with an empty value, and one without a colon not at all.
    """
    for number, line in _unfolded(data, guard):
        head = _NAME.match(line)
        if head is None or (name := head.group().upper()) not in wanted:
            continue
        colon = line.find(":", head.end())
        if '"' in line[:colon]:
            quoted = _UP_TO_COLON.match(line)
            colon = quoted.end() - 1 if quoted else -1
        if colon >= 0:
            value = line[colon + 1 :].strip() if len(line) <= MAX_PROPERTY else ""
            yield Property(number, name, line[head.end() : colon], value)


def _unfolded(data: bytes, guard: Guard) -> Iterator[tuple[int, str]]:
    """Whole lines with the number, from 1, of the physical line on which each begins; blank ones are left out."""
    data = data.removeprefix(_BOM)
    if b"\n" not in data:
        data = data.replace(b"\r", b"\n")
    guard.count_lines(data.count(b"\n"))
    begun, parts, size = 0, list[bytes](), 0
    for number, raw in enumerate(io.BytesIO(data), 1):
        line = raw.rstrip(b"\r\n")
        if not line:
            continue
        if line[:1] in b" \t":
            size += len(line)
            if size <= 2 * MAX_PROPERTY:
                parts.append(line[1:])
            continue
        if parts:
            yield begun, b"".join(parts).decode("utf-8", "replace")
        begun, parts, size = number, [line[: 2 * MAX_PROPERTY]], len(line)
    if parts:
        yield begun, b"".join(parts).decode("utf-8", "replace")
