"""The rules of the trade, checked on a finished plan. Written apart from the planner, and sharing nothing with it."""

from __future__ import annotations

from scheduler.verifying.rules import CHECKS, rule_name, verify

__all__ = ["CHECKS", "rule_name", "verify"]
