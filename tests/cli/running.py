"""Run a command in this process, as the console script does."""

from __future__ import annotations

import io
import sys
from contextlib import redirect_stderr, redirect_stdout
from typing import NamedTuple
from unittest.mock import patch

from scheduler.cli import main


class Ran(NamedTuple):
    """Exit code, standard output, standard error."""

    code: int
    out: str
    err: str


def run(*args: str, encoding: str = "utf-8") -> Ran:
    """`tackfree` with these arguments on a terminal of that encoding."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding=encoding, write_through=True) for _ in range(2))
    code = 0
    with patch.object(sys, "argv", ["tackfree", *args]), redirect_stdout(out), redirect_stderr(err):
        try:
            main()
        except SystemExit as stop:
            code = stop.code if isinstance(stop.code, int) else int(stop.code is not None)
    return Ran(code, *(stream.buffer.getvalue().decode(encoding) for stream in (out, err)))
