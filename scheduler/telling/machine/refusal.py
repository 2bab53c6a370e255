"""That no plan is possible, for other programs."""

from __future__ import annotations

from scheduler.telling.machine.json_text import json_text
from scheduler.telling.refused import Refused

FORMAT = 1


def refusal_json(told: Refused) -> str:
    """What stands in the way of a plan, and the entries of the job file that cannot hold together, set by set."""
    return json_text(
        {
            "format": FORMAT,
            "plan": None,
            "step": told.step,
            "rule": told.rule,
            "remedy": told.remedy,
            "cannot_hold_together": [
                [
                    {
                        "file": fault.place.file,
                        "line": fault.place.line,
                        "column": fault.place.column,
                        "message": fault.message,
                    }
                    for fault in entries
                ]
                for entries in told.entries
            ],
            "cautions": list(told.cautions),
        }
    )
