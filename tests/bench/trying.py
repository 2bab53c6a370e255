"""One changed file, and the tests that might notice: run in a fork, until one fails or their time is spent.

The process has loaded what others wrote (pytest, hypothesis, pydantic, …), and nothing of ours. The fork loads the
package and the tests from a copy of the tree in which the file is changed. So every change counts, wherever it
stands, also in programs that a test starts.
"""

from __future__ import annotations

import importlib
import os
import resource
import shutil
import signal
import sys
import time
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

import pytest

from tests.bench.covering import PACKAGE, Ran

COPIED = ("scheduler", "tests", "profiles", "examples", "README.md", "pyproject.toml", "LICENSE", ".ci")
FOREIGN = (
    "hypothesis", "pydantic", "ruamel.yaml", "networkx", "icalendar", "jinja2", "typer", "rich.console", "pint",
    "babel.dates", "freezegun", "recurring_ical_events", "starlette.applications", "httpx", "segno",
    "dateutil.rrule", "vobject", "jsonschema",
)  # fmt: skip
BATCHES = (4.0, 16.0)
"""Seconds of the tests that are run first, and of those that come next; all others are the third batch."""
ENDLESS = "does not end"
MOST_BYTES = 6 << 30


def tree(folder: Path) -> None:
    """A copy of all that tests read."""
    folder.mkdir(parents=True)
    for name in COPIED:
        source = Path(__file__).parents[2] / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__", ".*"))
        else:
            shutil.copy(source, folder / name)


def environment(keep: Path) -> dict[str, str]:
    """As a worker of one long run: what the shipped profiles come to is read once for all that leave them alone."""
    return {
        "PYTHONPATH": str(keep / "tree"),
        "TACKFREE_CACHE": str(keep / "cache"),
        "TACKFREE_QUICKLY": "1",
        "PYTEST_XDIST_WORKER": "mutants",
    }


def load_foreign() -> None:
    """What every fork has without loading it."""
    for name in FOREIGN:
        with suppress(ImportError):
            importlib.import_module(name)


def failed(keep: Path, file: str, content: bytes, tests: Sequence[Ran]) -> str:
    """The first test that fails where a file holds something else; "" if none does, ENDLESS if one goes on and on."""
    path = keep / "tree" / file
    before = path.read_bytes()
    path.write_bytes(content)
    try:
        return _in_a_fork(keep, tests)
    finally:
        path.write_bytes(before)


def _in_a_fork(keep: Path, tests: Sequence[Ran]) -> str:
    answer = keep / "answer.txt"
    answer.unlink(missing_ok=True)
    child = os.fork()
    if not child:
        try:
            os.setpgrp()
            answer.write_text(_first_to_fail(keep, tests), "utf-8")
        finally:
            os._exit(0)
    until = time.monotonic() + 300 + 20 * sum(each.seconds for each in tests)
    while os.waitpid(child, os.WNOHANG) == (0, 0):
        if time.monotonic() > until:
            os.killpg(child, signal.SIGKILL)
        time.sleep(0.02)
    with suppress(ProcessLookupError):  # what a test started and left behind
        os.killpg(child, signal.SIGKILL)
    return answer.read_text("utf-8") if answer.is_file() else ENDLESS


def _first_to_fail(keep: Path, tests: Sequence[Ran]) -> str:
    """In the fork: batch by batch, since many a change is noticed by the first."""
    for name in [name for name in sys.modules if name.partition(".")[0] in (PACKAGE, "tests")]:
        del sys.modules[name]
    os.environ.update(environment(keep), PYTHONDONTWRITEBYTECODE="1")
    os.chdir(keep / "tree")
    sys.path.insert(0, str(keep / "tree"))
    sys.dont_write_bytecode = True
    importlib.invalidate_caches()
    quiet = os.open(keep / "output.txt", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    for batch in _batches(tests):
        most = time.process_time() + 40 + 8 * sum(each.seconds for each in batch)
        resource.setrlimit(resource.RLIMIT_CPU, (int(most), resource.getrlimit(resource.RLIMIT_CPU)[1]))
        chosen = _Chosen(batch)
        files = list(dict.fromkeys(each.file for each in batch))
        code = pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", *files], plugins=[chosen])
        if chosen.failed or code not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
            return chosen.failed or f"pytest ends with {code!r}"
    return ""


def _batches(tests: Sequence[Ran]) -> list[list[Ran]]:
    batches: list[list[Ran]] = [[]]
    spent = 0.0
    for each in tests:
        if len(batches) <= len(BATCHES) and spent >= BATCHES[len(batches) - 1]:
            batches.append([])
            spent = 0.0
        batches[-1].append(each)
        spent += each.seconds
    return [batch for batch in batches if batch]


class _Chosen:
    """Leaves all other tests of the files out, and keeps the name of the first that fails."""

    def __init__(self, tests: Sequence[Ran]) -> None:
        self.names = {each.test for each in tests}
        self.failed = ""

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Those that are asked for, in the order in which they stand."""
        items[:] = [each for each in items if each.nodeid in self.names]

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Also one that can't be prepared fails."""
        if report.failed:
            self.failed = self.failed or report.nodeid

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """A module that can't be loaded fails all of its tests."""
        if report.failed:
            self.failed = self.failed or report.nodeid
