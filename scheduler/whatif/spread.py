"""Independent questions spread over processes, as many as there are cores; the answers are those of one process.

Where a process can't be copied as it stands (`fork`), or there is one core, all is answered here: to begin a fresh
one takes longer than most questions.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from itertools import islice
from typing import Any, TypeVar

Question = TypeVar("Question")
Answer = TypeVar("Answer")

SHARES = 8
"""In how many shares each process gets its questions: the last ones keep all of them busy."""

_asked: list[Callable[[Any], Any]] = []
"""What a process that was begun here answers with: it was there when the process was copied."""


def cores() -> int:
    """How many processes this one may keep busy."""
    return len(os.sched_getaffinity(0)) if sys.platform == "linux" else 1


def spread(
    ask: Callable[[Question], Answer], questions: Sequence[Question], here: int, at_most: int | None = None
) -> Iterator[Answer]:
    """The answers in the order of the questions. The first few are answered `here`, which is all of a small job; the
    rest by as many processes as there are cores (or `at_most`). Questions and answers go from one to the other, so
    they must be picklable; what `ask` holds need not be.

    Whatever ends the loop ends the processes. If one of them is ended from outside, what is left is answered here.
    """
    processes = min(cores() if at_most is None else at_most, len(questions) - here)
    yield from map(ask, islice(questions, here if processes > 1 else None))
    if processes <= 1:
        return
    answered = here
    try:
        for answer in _by_processes(ask, questions[here:], processes):
            answered += 1
            yield answer
    except BrokenProcessPool:
        yield from map(ask, questions[answered:])


def _by_processes(
    ask: Callable[[Question], Answer], questions: Sequence[Question], processes: int
) -> Iterator[Answer]:
    others = multiprocessing.active_children()
    pool = ProcessPoolExecutor(processes, multiprocessing.get_context("fork"), _begin, (ask,))
    try:
        yield from pool.map(_answer, questions, chunksize=max(1, len(questions) // (processes * SHARES)))
        pool.shutdown()
    except BaseException:  # Ctrl-C too: nobody waits for what is still being asked
        pool.shutdown(wait=False, cancel_futures=True)
        for process in multiprocessing.active_children():
            if process not in others:
                process.terminate()
        raise


def _begin(ask: Callable[[Any], Any]) -> None:
    """In a new process: Ctrl-C is for the one that waits, which ends this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _asked[:] = [ask]


def _answer(question: Any) -> Any:
    return _asked[0](question)
