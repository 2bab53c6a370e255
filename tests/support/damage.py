"""Sound files, damaged: bytes, lines, values, pieces of other files; or whole values of what a file says."""

from __future__ import annotations

import json
from random import Random
from typing import Any

from tests.support.wild import ODD

VALUES = (
    *ODD,
    *("null", "[]", "{}", "[[1]]", "{a: b}", "!!binary x", "FREQ=SECONDLY", "19000101T000000Z", "-P9999D", "\\n"),
    *("TZID=Nowhere:", "RRULE:FREQ=YEARLY;BYDAY=53MO"),
)
"""What is put after a `:`, `,` or `=`."""
NUMBERS = (0, 1, -1, 0.5, 60, 10**6, 10**9, 10**18, -(10**9), 1e300, 2.5, True, None)


def damaged(data: bytes, other: bytes, random: Random) -> bytes:
    """One to four damages."""
    for _ in range(random.choice((1, 1, 1, 2, 4))):
        data = random.choice((_value, _value, _value, _line, _line, _byte, _cut, _splice, _ends))(data, other, random)
    return data


def _value(data: bytes, other: bytes, random: Random) -> bytes:
    """Another value after a `:`, `,` or `=`."""
    signs = [at for at, byte in enumerate(data) if byte in b":,={["]
    if not signs:
        return data
    at = random.choice(signs) + 1
    end = at
    while end < len(data) and data[end] not in b",}]\r\n":
        end += 1
    return data[:at] + b" " * random.choice((0, 1)) + random.choice(VALUES).encode() + data[end:]


def _line(data: bytes, other: bytes, random: Random) -> bytes:
    """A line away, twice, further in, elsewhere, or out of another file."""
    lines = data.split(b"\n")
    at = random.randrange(len(lines))
    what = random.randrange(5)
    if what == 0:
        del lines[at]
    elif what == 1:
        lines.insert(at, lines[at])
    elif what == 2:
        lines[at] = random.choice((b"  ", b"\t", b" ", b"- ")) + lines[at]
    elif what == 3:
        lines.insert(random.randrange(len(lines)), lines.pop(at))
    else:
        lines.insert(at, random.choice(other.split(b"\n")))
    return b"\n".join(lines)


def _byte(data: bytes, other: bytes, random: Random) -> bytes:
    """One byte is another."""
    if not data:
        return b"\xff"
    at = random.randrange(len(data))
    return data[:at] + bytes([random.randrange(256)]) + data[at + 1 :]


def _cut(data: bytes, other: bytes, random: Random) -> bytes:
    """A stretch is missing, or the rest of the file."""
    start = random.randrange(len(data) + 1)
    return data[:start] + data[min(len(data), start + random.choice((1, 8, 100, len(data)))) :]


def _splice(data: bytes, other: bytes, random: Random) -> bytes:
    """A stretch of another file in the middle, or the same once more."""
    piece = random.choice((other, data))
    start = random.randrange(len(piece) + 1)
    at = random.randrange(len(data) + 1)
    return data[:at] + piece[start : start + random.choice((3, 30, 300))] + data[at:]


def _ends(data: bytes, other: bytes, random: Random) -> bytes:
    """Other line ends, another encoding, a mark at the beginning, depth, length."""
    text = data.decode("utf-8", "replace")
    return random.choice(
        (
            data.replace(b"\n", b"\r\n"),
            data.replace(b"\n", b"\r"),
            text.encode("utf-16"),
            text.encode("latin-1", "replace"),
            b"\xef\xbb\xbf" + data,
            data + b"[" * 5000,
            data + b"\nx: " + b"y" * 100_000,
            data * 3,
            b"",
        )
    )


def spots(data: Any) -> list[tuple[Any, Any]]:
    """Every (owner, key) in plain data."""
    if isinstance(data, dict):
        here = [(data, key) for key in data]
    else:
        here = [(data, number) for number in range(len(data))] if isinstance(data, list) else []
    return here + [spot for owner, key in here for spot in spots(owner[key])]


def rebuilt(data: Any, other: Any, random: Random) -> Any:
    """Plain data in which one to three values are others, are gone, stand twice, or come out of `other`."""
    # Copies only: a piece that is in both would be damaged in both, and might come to hold itself.
    data, other = copied(data), copied(other)
    theirs = [(key, owner[key]) for owner, key in spots(other)] or [("", None)]
    for _ in range(random.choice((1, 1, 2, 3))):
        places = spots(data)
        if not places:
            break
        owner, key = random.choice(places)
        what = random.randrange(6)
        alike = [value for name, value in theirs if name == key and isinstance(name, str)]
        if what == 0:
            del owner[key]
        elif what == 1 and isinstance(owner, list):
            owner.insert(random.randrange(len(owner) + 1), copied(owner[key]))
        elif what <= 3 and alike:
            owner[key] = copied(random.choice(alike))
        elif type(owner[key]) in (int, float):
            owner[key] = random.choice((*NUMBERS, owner[key] + random.randint(-3000, 3000)))
        elif what == 4:
            owner[key] = copied(random.choice(theirs)[1])
        else:
            owner[key] = copied(random.choice((*VALUES, *NUMBERS, [], {})))
    return data


def copied(data: Any) -> Any:
    """Plain data that shares nothing with this."""
    return json.loads(json.dumps(data))
