"""One profile for every property: the same examples on every run, and no deadline (a slow machine is no fault).

What the shipped profiles come to is kept in a folder of the run's own, not in that of whoever runs the tests. What
fails is reported in few lines; TACKFREE_QUICKLY leaves out the search for a smaller example, which takes minutes.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Generator
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings

from tests.support import shortly

LATER = (Phase.shrink, Phase.explain)

settings.register_profile(
    "tackfree",
    derandomize=True,
    deadline=None,
    database=None,
    phases=[phase for phase in Phase if "TACKFREE_QUICKLY" not in os.environ or phase not in LATER],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.load_profile("tackfree")


def pytest_configure(config: pytest.Config) -> None:
    """The folder, before anything is read; workers share that of the run they belong to."""
    if "PYTEST_XDIST_WORKER" not in os.environ:
        folder = tempfile.TemporaryDirectory(prefix="tackfree-tests-", ignore_cleanup_errors=True)
        os.environ["TACKFREE_CACHE"] = folder.name
        config.add_cleanup(folder.cleanup)
    os.environ["LC_ALL"] = "C.UTF-8"  # what is said of no job is said in the language of the system


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The long ones first, so that no worker is left with one of them at the end."""
    items.sort(key=lambda item: item.get_closest_marker("long") is None)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Tests of one module stay with one worker, which plans once what they share; who is idle takes from others."""
    if config.getoption("dist") != "load":
        return None
    from xdist.scheduler import WorkStealingScheduling

    return WorkStealingScheduling(config, log)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """A failure, cut to what is read of it."""
    report = yield
    if report.failed and item.config.get_verbosity() < 2:
        shortly.cut(report.longrepr)
    return report
