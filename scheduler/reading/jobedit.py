"""A step written into a job file, or taken out of it, as a person would: a line at its place, all else as it stands.

Texts in, texts out. What stands in a form that no line fits into raises UnclearQuantityError, with what to write
where.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from scheduler.model.names import slug
from scheduler.told import told
from scheduler.units import UnclearQuantityError

_TOP = re.compile(r"[^\s#]")
_PLAIN = re.compile(r"[^\W\d_][^\W_]*(?:[ -][^\W_]+)*")
_NO_NAMES = ("yes", "no", "on", "off", "true", "false", "null", "y", "n")
_FLOW = re.compile(r"(drop:\s*\[)(.*?)(\s*\].*)")


def with_step(text: str, name: str, fields: Mapping[str, str], after: str | None = None) -> str:
    """The file with a step more: under `steps`, behind the one of the name `after` if that stands there too."""
    lines, end = _lines(text)
    entry = f"{_key(name)}: {{{', '.join(f'{key}: {value}' for key, value in fields.items())}}}"
    first, last = _section(lines, "steps", entry)
    if first < 0:
        gap = [""] if lines and lines[-1].strip() else []
        return end.join([*lines, *gap, "steps:", f"  {entry}", ""])
    own = _entries(lines, first, last)
    indent = " " * (own[0][2] if own else 2)
    at = next((stop for key, (_, stop, _) in _by_id(lines, own).items() if key == after), None)
    if at is None:
        at = own[-1][1] if own else first + 1
    return end.join([*lines[:at], f"{indent}{entry}", *lines[at:], ""])


def without_step(text: str, name: str) -> str:
    """The file without a step: one of its own becomes a comment, one that a method brings stands under `drop`."""
    lines, end = _lines(text)
    first, last = _section(lines, "steps", f"# {name}")
    span = _by_id(lines, _entries(lines, first, last)).get(name) if first >= 0 else None
    if span is None:
        return end.join([*_dropped(lines, name), ""])
    start, stop, indent = span
    left = [f"{line[:indent]}# {line[indent:]}" if line.strip() else line for line in lines[start:stop]]
    return end.join([*lines[:start], *left, *lines[stop:], ""])


def _lines(text: str) -> tuple[list[str], str]:
    """The lines, and how they end."""
    end = "\r\n" if "\r\n" in text else "\n"
    lines = text.split(end)
    return (lines[:-1] if lines[-1] == "" else lines), end


def _section(lines: Sequence[str], key: str, entry: str) -> tuple[int, int]:
    """The line of a key of the file, and where what stands under it ends; -1 if there is none."""
    first = next((at for at, line in enumerate(lines) if re.match(rf"{key}\s*:", line)), -1)
    if first < 0:
        return -1, -1
    behind = lines[first].partition(":")[2].partition("#")[0].strip()
    if behind:
        raise UnclearQuantityError(
            told("`{key}` stands in one line of the file", key=key),
            told("write this into it: `{entry}`", entry=entry),
        )
    last = next((at for at in range(first + 1, len(lines)) if _TOP.match(lines[at])), len(lines))
    return first, last


def _entries(lines: Sequence[str], first: int, last: int) -> list[tuple[int, int, int]]:
    """The entries of a section: first line, line behind the last, and how far they are indented."""
    inside = [at for at in range(first + 1, last) if lines[at].strip() and not lines[at].lstrip().startswith("#")]
    if not inside:
        return []
    indent = len(lines[inside[0]]) - len(lines[inside[0]].lstrip())
    starts = [at for at in inside if len(lines[at]) - len(lines[at].lstrip()) == indent]
    ends = [max(at for at in inside if at < stop) + 1 for stop in [*starts[1:], last]]
    return [(start, stop, indent) for start, stop in zip(starts, ends, strict=True)]


def _by_id(lines: Sequence[str], entries: Sequence[tuple[int, int, int]]) -> dict[str, tuple[int, int, int]]:
    return {slug(lines[entry[0]].partition(":")[0].strip(" \"'")): entry for entry in entries}


def _dropped(lines: Sequence[str], name: str) -> list[str]:
    """The lines with a name more under `drop`."""
    at = next((at for at, line in enumerate(lines) if line.startswith("drop:")), -1)
    if at < 0:
        gap = [""] if lines and lines[-1].strip() else []
        return [*lines, *gap, f"drop: [{name}]"]
    found = _FLOW.fullmatch(lines[at])
    if found is None:
        raise UnclearQuantityError(
            "`drop` is no list in one line of the file", told("write this into it: `{name}`", name=name)
        )
    names = f"{found[2]}, {name}" if found[2].strip() else name
    return [*lines[:at], f"{found[1]}{names}{found[3]}", *lines[at + 1 :]]


def _key(name: str) -> str:
    """A name as it stands in the file: in quotes if it could be taken for something else."""
    return name if _PLAIN.fullmatch(name) and slug(name) not in _NO_NAMES else f'"{name}"'
