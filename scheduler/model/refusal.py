"""That no plan is possible, as a record: which step, which rule, what would help, and what cannot hold together."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.errors import Place, TackfreeError
from scheduler.model.job import Job
from scheduler.model.message import Message


@dataclass(frozen=True, slots=True)
class AskedFor:
    """Something that a job file asks for, and where: the file as a whole for what stands nowhere by itself."""

    place: Place
    said: Message


@dataclass(frozen=True, slots=True)
class Refusal:
    """`step` is the title of the step that has no place, "" where it is several entries together.

    `sets` are entries of the job file that cannot hold together: one set, or several that are each too much.
    `cautions` is what to beware of in doing what `remedy` says.
    """

    step: str
    rule: Message
    remedy: Message
    sets: tuple[tuple[AskedFor, ...], ...] = ()
    cautions: tuple[str, ...] = ()


class NoPlanError(TackfreeError):
    """No plan keeps every rule of a job. Why is a record until somebody tells it (`telling.refused`), in the language
    of the job."""

    exit_code = 1

    def __init__(self, refusal: Refusal, job: Job) -> None:
        self.refusal, self.job = refusal, job
        super().__init__(f"no plan is possible: {refusal.step or job.name}: {refusal.rule.kind}")
