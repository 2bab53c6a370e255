"""One profile for every property: the same examples on every run, and no deadline (a slow machine is no fault).

What the shipped profiles come to is kept in a folder of the run's own, not in that of whoever runs the tests.
"""

from __future__ import annotations

import os
import tempfile

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "tackfree",
    derandomize=True,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.load_profile("tackfree")


def pytest_configure(config: pytest.Config) -> None:
    """The folder, before anything is read; workers share that of the run they belong to."""
    if "PYTEST_XDIST_WORKER" not in os.environ:
        folder = tempfile.TemporaryDirectory(prefix="tackfree-tests-", ignore_cleanup_errors=True)
        os.environ["TACKFREE_CACHE"] = folder.name
        config.add_cleanup(folder.cleanup)
