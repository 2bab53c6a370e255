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
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import Any, TypeVar

Question = TypeVar("Question")
Answer = TypeVar("Answer")


@dataclass(frozen=True)
class _Failed:
    """What comes back in place of an answer."""

    error: Exception


def cores() -> int:
    """How many processes this one may keep busy."""
    return len(os.sched_getaffinity(0)) if sys.platform == "linux" else 1


def spread(
    ask: Callable[[Question], Answer], questions: Sequence[Question], here: int, at_most: int | None = None
) -> Iterator[Answer]:
    """The answers in the order of the questions. The first few are answered `here`, which is all of a small job; the
    rest by as many processes as there are cores (or `at_most`). Answers must be picklable; questions, and what `ask`
    holds, need not be.

    Whatever ends the loop ends the processes. If one of them is ended from outside, what it was asked is answered
    here. What goes wrong there is raised here.
    """
    processes = min(cores() if at_most is None else at_most, len(questions) - here)
    if processes <= 1:
        yield from map(ask, questions)
        return
    yield from map(ask, questions[:here])
    yield from _by_processes(ask, questions[here:], processes)


def _by_processes(
    ask: Callable[[Question], Answer], questions: Sequence[Question], processes: int
) -> Iterator[Answer]:
    """Each process is asked every so many-th question, and sends its answers one after the other."""
    copied = multiprocessing.get_context("fork")
    workers = []
    try:
        for number in range(processes):
            receiving, sending = copied.Pipe(duplex=False)
            process = copied.Process(target=_answer, args=(ask, questions[number::processes], sending), daemon=True)
            process.start()
            sending.close()  # so that its end is heard here
            workers.append((process, receiving))
        for number, question in enumerate(questions):
            try:
                answer = workers[number % processes][1].recv()
            except (EOFError, OSError):
                answer = ask(question)
            if isinstance(answer, _Failed):
                raise answer.error
            yield answer
    finally:
        for process, receiving in workers:
            process.terminate()
            process.join()
            receiving.close()


def _answer(ask: Callable[[Any], Any], questions: Sequence[Any], sending: Connection) -> None:
    """In a new process. Ctrl-C is for the one that waits, which ends this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for question in questions:
        try:
            sending.send(ask(question))
        except Exception as error:
            sending.send(_Failed(error))
            return
