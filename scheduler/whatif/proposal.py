"""One change that a person could make: to the job, to its file, and in words; and what it would cost them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from scheduler.model.beware import Beware
from scheduler.model.foresight import Drop, Edit, Put
from scheduler.model.job import Job
from scheduler.model.material import HEATING, Trade
from scheduler.model.plan import Plan
from scheduler.model.region import regions_of
from scheduler.telling.dates import LocalFace, face_of
from scheduler.telling.words import Words, words_of
from scheduler.whatif.engine import Tried
from scheduler.whatif.job_file import FileKeys, said


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """What a change takes: in words, and in minutes of the person's own time (None: none, or nobody can tell)."""

    words: str
    labour: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """`job` turns a job into the changed one, `edit` does the same to its file. `cost` asks what came of it.

    `how` says what to do where it is not the file that changes, `cautions` what to beware of in doing it.
    """

    kind: str
    words: str
    job: Callable[[Job], Job]
    edit: Edit
    cost: Callable[[Tried], Cost]
    how: str = ""
    cautions: tuple[Beware, ...] = ()

    def said(self, words: Words) -> str:
        """What to do, in words of the job file."""
        return self.how or said(self.edit, words)

    def clashes(self, other: Proposal) -> bool:
        """Whether the two write at the same place."""
        mine = {part.path for part in self.edit if isinstance(part, Put | Drop)}
        theirs = {part.path for part in other.edit if isinstance(part, Put | Drop)}
        return any(a[: len(b)] == b or b[: len(a)] == a for a in mine for b in theirs)


@dataclass(frozen=True, kw_only=True)
class Situation:
    """What changes are thought up for.

    `job` is as the diary left it, `filed` as its file says it, `keys` that file's own keys. `trade` knows all
    families that may be used instead of others; `name` is what the person calls the job on the command line. `stages`
    are, by task, the stages of its film that others wait for.
    """

    job: Job
    filed: Job
    keys: FileKeys
    trade: Trade
    plan: Plan
    name: str = "JOB"
    begun: frozenset[str] = frozenset()
    stages: Mapping[str, frozenset[str]] = field(default_factory=dict)

    @property
    def face(self) -> LocalFace:
        """How days and times are said to whoever reads of a change."""
        return face_of(self.job.zone, self.job.clock24, self.job.language)

    @cached_property
    def words(self) -> Words:
        """The words of the language of the job."""
        return words_of(self.job)

    @property
    def heating(self) -> tuple[Beware, ...]:
        """What must be said to whoever is told to heat a room."""
        return self.trade.cautions_for(HEATING, regions_of(self.job.country), self.job.built)


def free(words: str) -> Callable[[Tried], Cost]:
    """A cost that does not depend on what came of the change."""
    return lambda _: Cost(words=words)
