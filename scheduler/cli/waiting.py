"""Waiting for a plan: how far the search is, and the brake that keeps what there is."""

from __future__ import annotations

import _thread
import re
import signal
import sys
import threading
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scheduler.cli.shared import sentence
from scheduler.errors import wrong_input
from scheduler.told import told

if TYPE_CHECKING:
    from scheduler.model.job import Job
    from scheduler.model.plan import Plan
    from scheduler.model.watch import SoFar
    from scheduler.telling.dates import LocalFace

WithinOption = Annotated[
    str | None,
    typer.Option("--within", help="Stop looking for a better plan after so long: 10 s.", metavar="TIME"),
]

PATIENCE = 1.0
"""Seconds that nobody minds: nothing is shown of what takes no longer."""

OFTEN = 0.2
"""Seconds between two looks at how far it is."""


class _ProgressLine:
    """One line of a terminal that shows how far something is, written over itself; none where errors go elsewhere."""

    def __init__(self, doing: str) -> None:
        self.doing = doing
        self.begun = time.perf_counter()
        self.shown = 0.0
        self.long = 0

    def show(self, share: float, more: Callable[[], str] = str) -> None:
        """The share that is over, and more that is worked out only if it is time to show something."""
        passed = time.perf_counter() - self.begun
        if not sys.stderr.isatty() or passed < PATIENCE or (passed - self.shown < OFTEN and share < 1):
            return
        self.shown = passed
        self.erase()
        if share < 1:
            said = f"{sentence(self.doing)}: {share:.0%}, {passed:.0f} s{more()} "
            self.long = len(said)
            print(f"\r{said}", end="", file=sys.stderr, flush=True)

    def erase(self) -> None:
        """Nothing is left of it."""
        if self.long:
            print("\r" + " " * self.long + "\r", end="", file=sys.stderr, flush=True)
            self.long = 0


def progress(doing: str, so_far: str, job: Job) -> Callable[[float, int | None], None]:
    """Shows the share of something long that is over, and a finish that is known by now, on a terminal only."""
    line, face = _ProgressLine(doing), face_of(job)

    def show(share: float, finish: int | None) -> None:
        line.show(share, lambda: "" if finish is None else f"; {sentence(so_far)} {face.date(finish)}")

    return show


class Waiting:
    """Who waits for a plan: the `Watch` of a search.

    Within its context Ctrl-C, the end of the terminal, or the end of `within` seconds ends a search with the best
    plan found so far. A second Ctrl-C, or one while nothing has been found, ends the command.
    """

    def __init__(self, within: float | None = None) -> None:
        self.searching = False
        self.stopped = False
        self.face: LocalFace | None = None
        """Says when the best plan so far would be done, once the zone of the job is known."""
        self._within = within
        self._over = self._timed = False
        self._found = False
        self._line = _ProgressLine("wait.better")
        self._handlers: dict[int, Any] = {}
        self._timer: threading.Timer | None = None

    def __enter__(self) -> Waiting:
        if threading.current_thread() is threading.main_thread():
            for name in ("SIGINT", "SIGHUP"):
                if hasattr(signal, name):
                    number = getattr(signal, name)
                    self._handlers[number] = signal.signal(number, self._heard)
        if self._within is not None:
            self._timer = threading.Timer(self._within, self._time_is_up)
            self._timer.daemon = True
            self._timer.start()
        return self

    def __exit__(self, *_: object) -> None:
        if self._timer is not None:
            self._timer.cancel()
        for number, handler in self._handlers.items():
            signal.signal(number, handler)
        self._line.erase()

    def begin(self) -> None:
        """A search begins: from now on an interrupt may end it."""
        self.searching, self._found = True, False

    def end(self) -> None:
        """It is over: an interrupt ends the command again."""
        self.searching = False
        self._line.erase()

    def hear(self, so_far: SoFar) -> None:
        """Shows how far it is; one that begins after the stop ends with the first plan it finds."""
        self._found = so_far.finish is not None
        if self._over and self._found:
            raise KeyboardInterrupt
        self._line.show(so_far.share, lambda: self._words(so_far))

    def _words(self, so_far: SoFar) -> str:
        if self.face is None or so_far.finish is None:
            return ""
        done = sentence("wait.done", day=self.face.date(so_far.finish))
        return done if so_far.bound is None else done + sentence("wait.at best", day=self.face.date(so_far.bound))

    def leave(self, plan: Plan) -> None:
        """End the command with exit code 130 if the plan is the one that was there when somebody stopped it."""
        if self.stopped and plan.bound.stopped:
            raise typer.Exit(130)

    def _time_is_up(self) -> None:
        self._over = self._timed = True
        _thread.interrupt_main()

    def _heard(self, *_: object) -> None:
        """Ctrl-C, the end of the terminal, or that of the time: that one alone ends nothing but a search."""
        timed, self._timed = self._timed, False
        if timed and not (self.searching and self._found):
            return
        if not timed:
            self.stopped = self._over = True
        raise KeyboardInterrupt


def face_of(job: Job) -> LocalFace:
    """How moments of a job are said."""
    from scheduler.telling import dates

    return dates.face_of(job.zone, job.clock24, job.language)


def face_of_plan(plan: Plan) -> LocalFace:
    """How moments of a plan are said."""
    from scheduler.telling import dates

    return dates.face_of(plan.zone, plan.clock24, plan.language)


def seconds_of(text: str | None) -> float | None:
    """The seconds of a limit in time: `10 s`, `2 min`. Raises InputError for what is none."""
    from scheduler.units import UnclearQuantityError, parse_duration

    if text is None:
        return None
    try:
        plain = re.fullmatch(r"(\d{1,6}(?:\.\d+)?) ?(?:s|sec|seconds?)?", text.strip())
        seconds = float(plain[1]) if plain else 60.0 * parse_duration(text)
    except (ValueError, UnclearQuantityError):
        seconds = 0.0
    if seconds <= 0:
        raise wrong_input("--within", told("“{text}” is no time to wait", text=text), "write 10 s or 2 min")
    return seconds
