"""Files in, model out; every mistake with its file, line and column."""

from scheduler.reading.jobfile import job_schema, read_job, read_job_text
from scheduler.reading.starter import KINDS, starter_text

__all__ = ["KINDS", "job_schema", "read_job", "read_job_text", "starter_text"]
