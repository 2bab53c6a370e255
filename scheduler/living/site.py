"""Everything that lies beside one job file, read together; and the plan that follows from it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from scheduler.diary.kept import Kept, Passed, read_kept
from scheduler.diary.passed import passed_sessions
from scheduler.diary.record import Files, Record, read_record
from scheduler.diary.standing import Standing, standing, strangers
from scheduler.errors import Fault, InputError, wrong_input
from scheduler.expanding import expand, in_hindsight
from scheduler.living.held import forbidden, held_in_place
from scheduler.living.household import Household, household
from scheduler.model.answer import Answer
from scheduler.model.basics import Span
from scheduler.model.diary import Entry
from scheduler.model.graph import TaskGraph
from scheduler.model.job import Job
from scheduler.model.material import Trade
from scheduler.model.spans import union
from scheduler.pipeline import HORIZONS, Made, Wish, make_plan, read

Tell = Callable[[float], None]
"""Hears the share of a search that is over."""


@dataclass(frozen=True, kw_only=True)
class Site:
    """A job as its file says it, the trade, the diary, and what was handed out last."""

    files: Files
    job: Job
    trade: Trade
    record: Record
    kept: Kept

    @cached_property
    def standing(self) -> Standing:
        """How the job stands by its diary."""
        return standing(self.job, self.record.entries)

    @cached_property
    def graph(self) -> TaskGraph:
        """All tasks of the job, with what the diary says of it."""
        stand = self.standing
        return in_hindsight(expand(stand.job, self.trade), stand.done, stand.begun)

    @property
    def titles(self) -> dict[str, str]:
        """The title of each task, by id."""
        return {task.id: task.title for task in self.graph.tasks}

    @property
    def wish(self) -> Wish:
        """How the plan handed out was sought: what follows it is sought alike."""
        kept = self.kept
        seed = kept.plan.seed if kept.plan is not None else 0
        return Wish(seed=seed) if kept.effort is None else Wish(seed=seed, effort=kept.effort)

    def household(self, now: int, weeks: int) -> Household:
        """When the household's calendars leave no time for work, for so many weeks from now on. Raises InputError."""
        more = [Path(file) for file in self.kept.busy]
        return household(self.job, self.files.job.parent, now, weeks, more, self.kept.margin)

    def with_busy(self, files: Sequence[Path], margin: int | None) -> Site:
        """The same with these calendars of the household as well, and another travel margin than the job's own."""
        more = tuple(str(file.absolute()) for file in files)
        return replace(self, kept=replace(self.kept, busy=more, margin=margin))

    def with_entries(self, entries: Sequence[Entry]) -> Site:
        """The same with these entries added to the diary."""
        record = self.record
        return replace(self, record=Record((*record.entries, *entries), record.torn, record.lines + len(entries)))

    def strangers(self) -> list[Fault]:
        """Faults of the entries that name what the job does not have."""
        if not self.record.entries:
            return []
        return list(strangers(self.record.entries, set(self.titles), self.job, str(self.files.diary)))

    def anew(self) -> Site:
        """The same as if no plan had been handed out and none of its sessions moved by hand; calendars have been told
        what they have been told."""
        kept = replace(self.kept, plan=None, answer=None, earlier=(), moves=())
        return replace(self, job=replace(self.job, moves=()), kept=kept)

    def passed(self, now: int) -> tuple[Passed, ...]:
        """Work handed out that was to be over by now, session by session, and nobody has said yet whether it is."""
        return passed_sessions(self.kept, self.standing, now)

    def open_questions(self, now: int) -> tuple[Passed, ...]:
        """The same, less a session that is still going on."""
        return tuple(session for session in self.passed(now) if session.span.end <= now)

    def binding(self, now: int) -> Mapping[str, tuple[Span, ...]]:
        """The pieces of the plan handed out, if others rely on it: what need not move stays there.

        A plan that was only looked at before the work began is a draft. It binds from the moment at which its first
        session begins, a calendar has it, or anything is recorded.
        """
        kept = self.kept
        if kept.answer is None or kept.plan is None:
            return {}
        begun = bool(kept.plan.sessions) and kept.plan.sessions[0].start < now
        told = kept.ledger is not None or self.record.entries or kept.passed
        return kept.answer.pieces if begun or told else {}


def job_file(path: Path) -> Path:
    """The job file that a person means by a file or by the folder that holds it."""
    return path / "job.yaml" if path.is_dir() else path


def open_site(path: Path, *, known_names: bool = True) -> Site:
    """Read a job and what lies beside it. Raises InputError with every fault of the first of these that has any.

    `known_names`: entries must name steps, items and rooms that the job has (not asked of whoever wants to take one
    of them back).
    """
    files = Files(job_file(path))
    job, trade = read(files.job)
    record, kept = read_record(files), read_kept(files)
    _of_this_job(kept, job, files)
    site = Site(files=files, job=replace(job, moves=kept.moves), trade=trade, record=record, kept=kept)
    if known_names and (faults := site.strangers()):
        raise InputError(faults)
    return site


def _of_this_job(kept: Kept, job: Job, files: Files) -> None:
    """Raises InputError if what is kept was made for another job: the folder was copied, or the job renamed."""
    if kept.plan is None or kept.plan.job_id == job.id:
        return
    away = f"{files.plan.name} and {files.diary.name}" if files.diary.exists() else files.plan.name
    said = f"this plan was made for “{kept.plan.job}”, and the job is called “{job.name}”"
    hint = f"in a copied folder, move {away} away; if you renamed the job, give it its old name"
    raise wrong_input(str(files.plan), said, hint)


def settled_now(site: Site, clock: int, *, told: bool) -> int:
    """The moment as of which to plan: not before the last thing that is recorded as having happened.

    `told`: the person named the moment. Raises InputError if that one lies before what is recorded.
    """
    last = site.standing.last
    if last is None or clock >= last:
        return clock
    if told:
        said = f"that is before the last work that is recorded (see `tackfree diary {site.files.job}`)"
        raise wrong_input("--as-of", said, "name a later time, or take the entry back")
    return last


def replan(
    site: Site,
    now: int,
    wish: Wish | None = None,
    *,
    restore: Answer | None = None,
    busy: tuple[Span, ...] = (),
    tell: Tell | None = None,
) -> Made:
    """The plan that follows from all that is known at `now`.

    It stays close to the plan handed out, or to the answer to be restored, keeps clear of the household's calendars,
    and leaves sessions where a person moved them as far as the rules allow. Raises InputError and NoPlanError.
    """
    stand = site.standing
    facts = stand.facts(now, site.binding(now) if restore is None else restore.pieces)
    known, wished = restore or site.kept.answer, wish or site.wish
    for weeks in (HORIZONS[0], HORIZONS[-1]):
        house = site.household(now, weeks)
        taken = union((*stand.lost, *busy, *house.spans))

        def make(job: Job, hurried: bool, taken: tuple[Span, ...] = taken) -> Made:
            how = replace(wished, effort=1) if hurried else wished
            return make_plan(job, site.trade, facts, how, busy=taken, tell=tell, known=None if hurried else known)

        made = held_in_place(stand.job, make)
        if made.plan.finish <= house.until:
            break
    said = (*made.plan.warnings, *forbidden(stand.job, made.plan), *house.warnings)
    return replace(made, plan=replace(made.plan, warnings=said))
