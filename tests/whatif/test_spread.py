"""Questions are spread over processes, and the answers are those of one."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from pathlib import Path

import pytest

from scheduler.living.site import open_site
from scheduler.whatif import leeway as putting_off
from scheduler.whatif import odds as drawing
from scheduler.whatif.leeway import leeways
from scheduler.whatif.odds import Sampling, odds
from scheduler.whatif.spread import spread
from tests.support.lives import moment, shelf
from tests.whatif.jobs import IDLE, written

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="processes are copied on Linux only")


def test_answers_come_in_the_order_of_the_questions_from_as_many_processes_as_are_asked_for() -> None:
    """The first is answered here, the others elsewhere; what asks need not be picklable."""
    me = os.getpid()
    answers = list(spread(lambda question: (question, os.getpid() == me), range(20), here=1, at_most=2))
    assert answers == [(0, True), *((number, False) for number in range(1, 20))]


def test_few_questions_begin_no_process() -> None:
    """Three questions of which three are answered here; and eight, where one process is all there may be."""
    for size, here, at_most in ((3, 3, 4), (8, 1, 1)):
        assert set(spread(lambda _: os.getpid(), range(size), here, at_most)) == {os.getpid()}


def test_a_process_that_is_ended_from_outside_loses_no_answer() -> None:
    """What it was asked is answered here."""
    me = os.getpid()

    def ask(question: int) -> int:
        if os.getpid() != me:
            os.kill(os.getpid(), signal.SIGKILL)
        return question * question

    assert list(spread(ask, range(6), here=1, at_most=2)) == [0, 1, 4, 9, 16, 25]


def test_what_goes_wrong_elsewhere_is_raised_here() -> None:
    """As if it had been asked here; the answers before it have come."""
    answers = spread(lambda question: 1 / (3 - question), range(6), here=1, at_most=2)
    assert [next(answers) for _ in range(3)] == [1 / 3, 1 / 2, 1.0]
    with pytest.raises(ZeroDivisionError):
        next(answers)
    assert not multiprocessing.active_children()


def test_who_stops_asking_leaves_no_process_behind() -> None:
    """As Ctrl-C does in the middle of the answers."""
    answers = spread(lambda question: question, range(100), here=1, at_most=2)
    assert [next(answers), next(answers)] == [0, 1]
    with pytest.raises(KeyboardInterrupt):
        answers.throw(KeyboardInterrupt)
    assert not multiprocessing.active_children()


def test_leeway_and_odds_of_two_processes_are_those_of_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """To the minute, and draw by draw."""
    for room in (putting_off, drawing):
        monkeypatch.setattr(room, "SMALL", 1)
    site = open_site(shelf(tmp_path))
    alone, together = (leeways(site, moment("2027-01-08"), 2, processes=count)[1] for count in (1, 2))
    assert alone == together
    assert len(alone.found) > 2
    (tmp_path / "idle").mkdir()
    made = written(IDLE, tmp_path / "idle").made
    assert odds(made, Sampling(draws=60), processes=2) == odds(made, Sampling(draws=60), processes=1)
