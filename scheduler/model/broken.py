"""What the verifier has to say: one rule that a plan breaks, at which step, in a sentence."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Broken:
    """A rule that a plan breaks. `step` is the id of the step, or "" where the plan as a whole is meant.

    `rule` is the name of the check ("work hours"); `said` is one sentence, its times local to the job.
    """

    rule: str
    step: str
    said: str

    def __str__(self) -> str:
        where = f"{self.step}: " if self.step else ""
        return f"{where}{self.said} ({self.rule})"
