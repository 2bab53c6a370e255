"""Every example of the repository as a calendar: as planned first, and once more after a delay."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from scheduler.calendar.write import calendar
from scheduler.living.site import open_site, replan
from scheduler.model.basics import Span
from scheduler.model.diary import Entry, Event, Late, Lost
from scheduler.model.ledger import Ledger
from scheduler.model.plan import Plan
from scheduler.pipeline import Wish

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
IN_A_HURRY = Wish(effort=1)
"""The times matter here, not how good the plan is."""


@dataclass(frozen=True)
class Written:
    """A calendar file, in UTC and with local times, and what it is to say."""

    utc: bytes
    zoned: bytes
    ledger: Ledger


def examples() -> list[str]:
    """The names of the examples."""
    return sorted(folder.name for folder in EXAMPLES.iterdir() if (folder / "job.yaml").is_file())


@cache
def before_and_after(example: str) -> tuple[Written, Written]:
    """An example as a calendar; and again with its first session lost, and all that is on order two weeks late."""
    with TemporaryDirectory() as folder:
        beside = shutil.ignore_patterns("*.plan.json", "*.diary.jsonl*", ".*")
        shutil.copytree(EXAMPLES / example, folder, ignore=beside, dirs_exist_ok=True)
        site = open_site(Path(folder))
        now = site.job.start
        first = replan(site, now, IN_A_HURRY)
        lost = first.plan.sessions[0]
        events: list[Event] = [
            Late(item=item.id, expected=item.expected + timedelta(days=14))
            for item in site.job.items
            if item.expected and not item.arrived
        ]
        events.append(Lost(span=Span(lost.start, lost.end)))
        late = site.with_entries([Entry(line=line, at=now, event=event) for line, event in enumerate(events, 1)])
        then = replan(late, now, IN_A_HURRY)
    old = _written(first.plan, None)
    return old, _written(then.plan, old.ledger)


def _written(plan: Plan, previous: Ledger | None) -> Written:
    utc, ledger = calendar(plan, previous=previous, remind=60, detail="steps")
    zoned, _ = calendar(plan, previous=previous, remind=60, detail="steps", zoned=True)
    return Written(utc, zoned, ledger)
