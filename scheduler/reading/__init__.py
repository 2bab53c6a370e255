"""Files in, model out; every mistake with its file, line and column."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.reading.jobfile import job_schema, read_job, read_job_text

if TYPE_CHECKING:
    from scheduler.reading.starter import KINDS, starter_text

__all__ = ["KINDS", "job_schema", "read_job", "read_job_text", "starter_text"]


def __getattr__(name: str) -> object:
    """The starters, when they are asked for (PEP 562): who reads a job has no need of them."""
    if name in __all__:
        from scheduler.reading import starter

        return getattr(starter, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
