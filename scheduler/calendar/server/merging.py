"""An event on a server that changes: only what is ours in it is replaced, property by property. Pure text.

What other people and programs wrote is kept to the letter: who is invited, a place, categories, notes under ours,
alarms of their own, and properties that nobody here knows. What we wrote ourselves is known by short sums of it that
stand in the event (WROTE), so that a note of ours that has changed is not taken for one of theirs.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

MARK = "X-TACKFREE-SENT"
"""What was sent in an event: of which job, for when, and a sum of its content."""
WROTE = "X-TACKFREE-WROTE"
"""Sums of all that we wrote into an event and others may write as well."""
SUFFIX = "@tackfree"
"""How the UIDs of this program end; what holds no such word is never even opened."""

_OURS = frozenset(["UID", "DTSTAMP", "LAST-MODIFIED", "DTSTART", "DTEND", "DURATION", "SUMMARY", "STATUS", "TRANSP"])
"""Ours alone: when and what it is. With DTEND a duration of theirs would be one end too many."""
_OF_BOTH = frozenset(["LOCATION", "URL", "COLOR"])
"""One value: theirs if they gave another."""
_KNOWN = _OURS | _OF_BOTH | {"DESCRIPTION", "CATEGORIES", "SEQUENCE", "RELATED-TO", MARK, WROTE}
_BREAK = "\\n"
"""How a line break stands in a text (RFC 5545, section 3.3.11)."""


def digest(name: str, text: str) -> str:
    """The sum by which a value of ours is known again, whatever signs a server has escaped anew."""
    plain = " ".join(text.replace("\\", "").split())
    return hashlib.sha256(f"{name}:{plain}".encode()).hexdigest()[:8]


def wrote(event: bytes) -> str:
    """The sums of all that we write into an event and others may write as well."""
    part = _event(event)
    texts = [(name, each) for name in ("DESCRIPTION", *_OF_BOTH, "CATEGORIES") for each in _texts(part, name)]
    return " ".join(sorted({digest(name, each) for name, each in texts if each.strip()}))


@dataclass
class _Part:
    """A component as lines, in their order, and the components in it."""

    kind: str
    lines: list[str] = field(default_factory=list)
    parts: list[_Part] = field(default_factory=list)

    def of(self, name: str) -> list[str]:
        return [line for line in self.lines if _name(line) == name]

    def value(self, name: str) -> str:
        found = self.of(name)
        return _value(found[0]) if found else ""

    def text(self) -> Iterator[str]:
        yield f"BEGIN:{self.kind}"
        yield from self.lines
        for part in self.parts:
            yield from part.text()
        yield f"END:{self.kind}"


def merged(wanted: bytes, there: str) -> bytes:
    """The event as it is to be, with all that others wrote into the one that is there; both as calendar files."""
    ours_whole, theirs_whole = _whole(wanted), _whole(there.encode())
    ours = _first(ours_whole, "VEVENT")
    theirs = next((part for part in theirs_whole.parts if part.kind == "VEVENT"), None)
    if theirs is None:
        return wanted
    known = set(theirs.value(WROTE).split())
    event = _Part("VEVENT", list(_lines(ours, theirs, known)), list(_alarms(ours, theirs)))
    zones = {
        part.value("TZID"): part for part in (*theirs_whole.parts, *ours_whole.parts) if part.kind == "VTIMEZONE"
    }
    whole = _Part("VCALENDAR", ours_whole.lines, [*zones.values(), event])
    return b"".join(_folded(line) for line in whole.text())


def _lines(ours: _Part, theirs: _Part, known: set[str]) -> Iterator[str]:
    marked = bool(theirs.of(WROTE))
    for line in ours.lines:
        name = _name(line)
        if name in _OF_BOTH and _others(theirs, name, known):
            continue
        if name == "DESCRIPTION":
            continue
        yield _higher(line, theirs) if name == "SEQUENCE" else line
    for name in sorted(_OF_BOTH):
        yield from theirs.of(name) if _others(theirs, name, known) else ()
    # Before there were sums in it, all notes in an event were ours.
    notes = [line for line in _texts(theirs, "DESCRIPTION") if digest("DESCRIPTION", line) not in known]
    mine = ours.value("DESCRIPTION")
    more = _BREAK.join(notes).strip() if marked else ""
    more = more.removeprefix(_BREAK)
    if mine or more.replace(_BREAK, "").strip():
        yield "DESCRIPTION:" + _BREAK.join(each for each in (mine, more) if each.replace(_BREAK, "").strip())
    for line in theirs.of("CATEGORIES"):
        kept = [each for each in _listed(_value(line)) if digest("CATEGORIES", each) not in known]
        if kept:
            yield f"{line[: len(line) - len(_value(line))]}{','.join(kept)}"
    for line in theirs.of("RELATED-TO"):
        if not _value(line).endswith(SUFFIX):
            yield line
    yield from (line for line in theirs.lines if _name(line) not in _KNOWN)


def _others(theirs: _Part, name: str, known: set[str]) -> bool:
    """Whether somebody else gave an event this value."""
    return any(digest(name, each) not in known for each in _texts(theirs, name) if each.strip())


def _higher(line: str, theirs: _Part) -> str:
    """A version that is not below the one that is there: programs and servers refuse an older one."""
    number = theirs.value("SEQUENCE")
    return f"SEQUENCE:{max(int(_value(line)), int(number) if number.isdigit() else 0)}"


def _alarms(ours: _Part, theirs: _Part) -> Iterator[_Part]:
    """Ours as they are to be, one that was dismissed dismissed, as long as it rings at the same time; and theirs."""
    same_time = _start(ours) == _start(theirs)
    mine = {part.value("UID"): part for part in ours.parts if part.kind == "VALARM"}
    for part in theirs.parts:
        if part.kind != "VALARM":
            yield part
        elif part.value("UID") in mine:
            alarm = mine.pop(part.value("UID"))
            if same_time and alarm.value("TRIGGER") == part.value("TRIGGER"):
                alarm.lines += part.of("ACKNOWLEDGED")
            yield alarm
        elif not _is_ours(part, theirs):
            yield part
    yield from mine.values()


def _start(part: _Part) -> str:
    return "".join(part.of("DTSTART"))


def _is_ours(alarm: _Part, event: _Part) -> bool:
    """Ours by its UID, or, of an earlier tackfree, by saying what the event is called."""
    name = alarm.value("UID")
    return name.endswith(SUFFIX) or (
        not name and bool(event.of(MARK)) and alarm.value("DESCRIPTION") == event.value("SUMMARY")
    )


def _texts(part: _Part, name: str) -> Iterator[str]:
    for line in part.of(name):
        if name == "CATEGORIES":
            yield from _listed(_value(line))
        else:
            yield from _value(line).replace("\\N", _BREAK).split(_BREAK) if name == "DESCRIPTION" else [_value(line)]


def _listed(value: str) -> Iterator[str]:
    """The values between commas that are not escaped."""
    begun = ""
    for piece in value.split(","):
        begun += piece
        if begun.endswith("\\") and not begun.endswith("\\\\"):
            begun += ","
            continue
        if begun.strip():
            yield begun.strip()
        begun = ""


def _event(data: bytes) -> _Part:
    return _first(_Part("", [], _read(data)), "VEVENT")


def _whole(data: bytes) -> _Part:
    return _first(_Part("", [], _read(data)), "VCALENDAR")


def _first(part: _Part, kind: str) -> _Part:
    return next(each for each in part.parts if each.kind == kind)


def _read(data: bytes) -> list[_Part]:
    """The components of a text that was read before: what has no beginning or no end is passed over."""
    root = _Part("")
    stack = [root]
    for line in _unfolded(data.decode("utf-8", "replace")):
        name = _name(line)
        if name == "BEGIN":
            part = _Part(_value(line).strip().upper())
            stack[-1].parts.append(part)
            stack.append(part)
        elif name == "END":
            if len(stack) > 1:
                stack.pop()
        elif name:
            stack[-1].lines.append(line)
    return root.parts


def _unfolded(text: str) -> Iterable[str]:
    return [line for line in re.sub(r"\r?\n[ \t]", "", text).splitlines() if line]


def _folded(line: str) -> bytes:
    """A line in pieces of at most 75 bytes, none of which parts a letter (RFC 5545, section 3.1)."""
    pieces, size = [""], 0
    for sign in line:
        width = len(sign.encode())
        if size + width > 74:
            pieces.append("")
            size = 0
        pieces[-1] += sign
        size += width
    return "\r\n ".join(pieces).encode() + b"\r\n"


def _name(line: str) -> str:
    end = next((at for at, sign in enumerate(line) if sign in ":;"), len(line))
    return line[:end].strip().upper()


def _value(line: str) -> str:
    quoted = False
    for at, sign in enumerate(line):
        quoted ^= sign == '"'
        if sign == ":" and not quoted:
            return line[at + 1 :]
    return ""
