"""What a change does to a plan: which sessions and steps move, which stay, what is new and what is gone."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.model.basics import Span


@dataclass(frozen=True, slots=True, kw_only=True)
class StepMove:
    """A step before and after. `before` and `after` run from its first start to its last end, in minutes."""

    step: str
    title: str
    before: Span
    after: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionMove:
    """A session at other times than before, in minutes."""

    before: Span
    after: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """The difference between two plans of one job. Finishes are in minutes; `new` and `gone` are (id, title, why).

    `moved` holds steps that are still to be done and whose pieces differ; `recorded` those that are done by now
    at other times than planned; `stayed` counts the steps whose pieces are the same in both plans.
    """

    finish_before: int
    finish_after: int
    sessions_moved: tuple[SessionMove, ...]
    sessions_new: tuple[Span, ...]
    sessions_gone: tuple[Span, ...]
    moved: tuple[StepMove, ...]
    recorded: tuple[StepMove, ...]
    stayed: int
    new: tuple[tuple[str, str, str], ...]
    gone: tuple[tuple[str, str, str], ...]

    @property
    def nothing(self) -> bool:
        """Whether the two plans are at the same times throughout."""
        lists = (self.sessions_moved, self.sessions_new, self.sessions_gone, self.moved, self.new, self.gone)
        return self.finish_before == self.finish_after and not any(lists)


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """Colours that come in another order than before: `pairs` of titles, what comes first now and what came first.

    In the old order promises would be broken by `late` minutes more, the work would end `later` by so many minutes,
    and take so many `days` on site more; none of it counts where the old order is not `possible` any more.
    """

    pairs: tuple[tuple[str, str], ...]
    possible: bool
    late: int
    later: int
    days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkEdit:
    """A step whose work an edit of the job file has changed: its minutes before and after; None where it is not in
    the job."""

    title: str
    before: int | None
    after: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """What an edit of the job file did to the plan handed out as of `since`. All moments are minutes."""

    since: int
    work: tuple[WorkEdit, ...]
    finish_before: int
    finish_after: int
