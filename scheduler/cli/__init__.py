"""Flags, files and exit codes: the only room that prints, and the only one that asks what time it is."""

from __future__ import annotations

from scheduler.cli.app import main

__all__ = ["main"]
