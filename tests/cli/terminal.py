"""A command on a terminal of its own (a pseudo-terminal), with somebody who answers its questions."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Sequence
from pathlib import Path
from select import select
from typing import NamedTuple

import pytest

pty = pytest.importorskip("pty", reason="no pseudo-terminals here")

CTRL_C, CTRL_D = "\x03", "\x04"
_CODE = "from scheduler.cli import main; main()"
_PATIENCE = 2.0
_TRIES = 30
"""Seconds in which something is printed as a rule, and how often they are waited for. Meanwhile a Ctrl-C is pressed
again, as a person would: one that falls between the prompt and the reading of a line is heard with the next key."""


class Shown(NamedTuple):
    """Exit code, and all that stood on the terminal, what was typed included."""

    code: int
    text: str


def at_terminal(
    args: Sequence[str], typed: Sequence[str], cwd: Path, *, prompt: str = "\n> ", **environ: str
) -> Shown:
    """`tackfree` with these arguments; at each prompt the next of these is typed, and Enter once they are used up."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(cwd)
        signal.signal(signal.SIGINT, signal.default_int_handler)  # the tests may run where it is ignored
        os.execve(sys.executable, [sys.executable, "-c", _CODE, *args], {**os.environ, "COLUMNS": "80", **environ})
    answers, seen, shown, answer, tries = list(typed), 0, b"", "", _TRIES
    while tries:
        if not select([terminal], [], [], _PATIENCE)[0]:
            tries -= 1
            if answer == CTRL_C:
                os.write(terminal, CTRL_C.encode())
            continue
        try:
            read = os.read(terminal, 4096)
        except OSError:  # so Linux says that the other end is closed
            break
        if not read:
            break
        shown, tries = shown + read, _TRIES
        while shown.replace(b"\r\n", b"\n").count(prompt.encode()) > seen:
            seen += 1
            answer = answers.pop(0) if answers else ""
            os.write(terminal, answer.encode() + (b"" if answer in (CTRL_C, CTRL_D) else b"\n"))
    os.close(terminal)
    _, status = os.waitpid(pid, 0)
    return Shown(os.waitstatus_to_exitcode(status), shown.decode("utf-8", "replace").replace("\r\n", "\n"))
