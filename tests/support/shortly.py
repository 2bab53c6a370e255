"""A failure in few lines: its name and its reason are read where a long record of a run ends.

A falsifying example may be a whole job of a thousand lines, printed twice: in the report, and in the summary at the
end, where it pushes out of sight which test it was. Both are cut here; `-vv` shows all of it.
"""

from __future__ import annotations

from typing import Any

HEAD, TAIL = 30, 10
"""Lines that are kept of one report: the reason stands at the top, how to reproduce it at the end."""
WIDTH = 400
"""Signs of one line that are kept; the sentence that reproduces an example has about as many."""
REASON = 200
"""Signs of the reason in the summary."""


def shortened(lines: list[str]) -> list[str]:
    """The beginning and the end of some lines, with a word of what was left out between them."""
    lines = [line if len(line) <= WIDTH or "reproduce_failure" in line else line[:WIDTH] + " …" for line in lines]
    if len(lines) <= HEAD + TAIL:
        return lines
    return [*lines[:HEAD], f"E   … {len(lines) - HEAD - TAIL} lines left out, -vv shows them …", *lines[-TAIL:]]


def cut(shown: Any) -> None:
    """Cut what pytest shows of an exception, in place: each stretch of it, and the reason in the summary."""
    for traceback, crash, _ in getattr(shown, "chain", ()):
        for entry in traceback.reprentries:
            if hasattr(entry, "lines"):
                entry.lines = shortened(entry.lines)
        if crash is not None:
            first = crash.message.partition("\n")[0]
            crash.message = first if len(first) <= REASON else first[:REASON] + " …"
