"""Invitations that the owner of a calendar declined take no time.

No file says whose calendar it is. It is whoever is invited to each of its invitations; where several people are, an
invitation counts as declined only if all of them declined it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import reduce

from scheduler.reading.busy.events import Event


def without_declined(events: Sequence[Event]) -> list[Event]:
    """The same events, those that were declined taking no time."""
    invited = [frozenset(address for address, _ in event.answers) for event in events if event.answers]
    owners = reduce(frozenset.intersection, invited) if invited else frozenset[str]()
    return [replace(event, free=True) if _declined(event, owners) else event for event in events]


def _declined(event: Event, owners: frozenset[str]) -> bool:
    """Whether all who may own the calendar declined; of one who is named twice the last answer counts."""
    answers = {address: answer for address, answer in event.answers if address in owners}
    return bool(answers) and set(answers.values()) == {"DECLINED"}
