"""What a plan is told, for tests: which rules it breaks by its own doing, and any message in plain English."""

from __future__ import annotations

from scheduler.model.message import Message
from scheduler.model.plan import Plan
from scheduler.telling.views.index import Book


def breaks(plan: Plan) -> list[str]:
    """The sentences that say that the plan breaks a rule which nothing that was recorded made it break."""
    return [in_words(plan, each) for each in plan.warnings if each.kind in ("warned.broken", "warned.broken step")]


def in_words(plan: Plan, message: Message | None) -> str:
    """The sentence of a message about a plan; nothing for none."""
    return "" if message is None else Book(plan).say(message)
