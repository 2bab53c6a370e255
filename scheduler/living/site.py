"""Everything that lies beside one job file, read together; and the plan that follows from it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.diary.kept import BusyThere, Kept, Passed
from scheduler.diary.passed import passed_sessions
from scheduler.diary.record import Files, Record
from scheduler.diary.standing import Standing, standing, strangers
from scheduler.errors import wrong_input
from scheduler.expanding import expand, in_hindsight
from scheduler.files import is_address, is_one
from scheduler.living.broken import broken_rules
from scheduler.living.held import forbidden, held_in_place
from scheduler.living.household import Household, household
from scheduler.living.memory import Memory
from scheduler.living.renaming import recognised, renamed_kept
from scheduler.model.answer import Answer
from scheduler.model.basics import Span
from scheduler.model.broken import PastBreak
from scheduler.model.diary import Entry, Kind, Renamed, by_todays_names, living
from scheduler.model.graph import TaskGraph
from scheduler.model.job import Job
from scheduler.model.learned import Learned
from scheduler.model.material import Trade
from scheduler.model.message import as_written
from scheduler.model.plan import Former
from scheduler.model.spans import union
from scheduler.model.watch import Watch
from scheduler.pipeline import HORIZONS, Made, Wish, make_plan, taught
from scheduler.planning.past_rules import past_breaks
from scheduler.planning.reuse import mark_of
from scheduler.reading.jobfile import job_file, named_file
from scheduler.told import told


@dataclass(frozen=True, kw_only=True)
class Site:
    """A job as its file says it, the trade, the diary, and what was handed out last.

    `recognised` are the last entries of the diary if they are not on the disk yet: they say what the job file calls
    otherwise now. Whoever writes the next entry writes them too.
    """

    files: Files
    job: Job
    trade: Trade
    record: Record
    kept: Kept
    recognised: tuple[Entry, ...] = ()

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """The diary with everything by the name that it has in the job file today."""
        return by_todays_names(self.record.entries)

    @cached_property
    def standing(self) -> Standing:
        """How the job stands by its diary."""
        return standing(self.job, self.entries)

    @cached_property
    def graph(self) -> TaskGraph:
        """All tasks of the job, with what the diary says of it."""
        stand = self.standing
        return in_hindsight(expand(stand.job, self.trade), stand.done, stand.begun, self.trade.words)

    @cached_property
    def titles(self) -> dict[str, str]:
        """The title of each task, by id."""
        return {task.id: task.title for task in self.graph.tasks}

    @property
    def item_titles(self) -> dict[str, str]:
        """The title of each item on order, by id."""
        return {item.id: item.title for item in self.job.items}

    @property
    def wish(self) -> Wish:
        """How the plan handed out was sought: what follows it is sought alike."""
        kept = self.kept
        seed = kept.plan.seed if kept.plan is not None else 0
        return Wish(seed=seed) if kept.effort is None else Wish(seed=seed, effort=kept.effort)

    def household(self, now: int, weeks: int) -> Household:
        """When the household's calendars leave no time for work, for so many weeks from now on. Raises InputError."""
        kept = self.kept
        return household(self.job, self.files.job.parent, now, weeks, kept.busy, kept.margin, kept.busy_there)

    def with_busy(self, named: Sequence[str], margin: int | None) -> Site:
        """The same with these calendars of the household as well, files and addresses, and another travel margin than
        the job's own."""
        more = tuple(name if is_address(name) else str(Path(name).absolute()) for name in named)
        there = {name: seen for name, seen in self.kept.busy_there.items() if name in more}
        return replace(self, kept=replace(self.kept, busy=more, busy_there=there, margin=margin))

    def with_busy_there(self, there: Mapping[str, BusyThere]) -> Site:
        """The same with what calendars on servers say now."""
        return replace(self, kept=replace(self.kept, busy_there={**self.kept.busy_there, **there}))

    def with_entries(self, entries: Sequence[Entry]) -> Site:
        """The same with these entries added to the diary."""
        if not entries:
            return self
        record = self.record
        return replace(self, record=Record((*record.entries, *entries), record.torn, record.lines + len(entries)))

    @property
    def known(self) -> Mapping[Kind, Collection[str]]:
        """The ids of all that an entry can be about."""
        items = [*(item.id for item in self.job.items), *(visit.id for visit in self.job.appointments)]
        rooms = [room.id for room in self.job.rooms]
        return {"step": list(self.titles), "item": items, "room": rooms}

    @cached_property
    def lost_names(self) -> tuple[tuple[Kind, str], ...]:
        """What is recorded and not in the job any more."""
        return strangers(self.entries, self.known) if self.entries else ()

    def former(self) -> tuple[Former, ...]:
        """The steps that are recorded and not in the job any more, with the titles that they had."""
        plan, stand = self.kept.plan, self.standing
        # What was carried over to another step, and taken back from it, went by the title of that one for a while.
        lent = [entry.event for entry in self.record.entries if isinstance(entry.event, Renamed)]
        titles = {event.old: self.titles[event.new] for event in lent if event.new in self.titles}
        titles |= {step.id: step.title for step in plan.steps} if plan is not None else {}
        titles |= {step.name: step.title for step in plan.former} if plan is not None else {}
        whole = {name: (pieces, 0) for name, pieces in stand.done.items()} | dict(stand.begun)
        return tuple(
            Former(name=name, title=titles.get(name, name), pieces=whole[name][0], left=whole[name][1])
            for kind, name in self.lost_names
            if kind == "step" and name in whole
        )

    def broke(self, made: Made) -> tuple[PastBreak, ...]:
        """The rules that what is recorded broke, by the dry clocks of a plan of this job."""
        stand, ground = self.standing, made.ground
        facts = stand.facts(ground.facts.now, [task.id for task in ground.graph.tasks])
        films = ground.films if ground.past is None else ground.past
        return past_breaks(ground.graph, facts, films, stand.job.items, ZoneInfo(self.job.zone))

    def learned(self, now: int) -> Learned:
        """What the record teaches."""
        stand = self.standing
        return taught(stand.job, self.trade, stand.facts(now, self.titles)) if self.entries else Learned()

    def anew(self) -> Site:
        """The same as if no plan had been handed out and none of its sessions moved by hand; calendars have been told
        what they have been told."""
        kept = replace(self.kept, plan=None, answer=None, earlier=(), moves=())
        return replace(self, job=replace(self.job, moves=()), kept=kept)

    @cached_property
    def mark(self) -> str:
        """Of the job as its file has it, whatever it is called and whatever was recorded or moved by hand."""
        return mark_of(replace(self.job, id="", name="", moves=()))

    @property
    def edited(self) -> bool:
        """Whether the job file has been edited since a plan was handed out."""
        return self.kept.plan is not None and self.kept.read not in ("", self.mark)

    def all_passed(self, now: int) -> tuple[Passed, ...]:
        """Work handed out that was to be over by now, session by session, and nobody has said yet whether it is;
        with the steps that the job file has no longer: they may come back to it."""
        return passed_sessions(self.kept, self.standing, now)

    def passed(self, now: int) -> tuple[Passed, ...]:
        """The same, less the steps that the job file has no longer: nobody is asked about them."""
        known = self.titles
        return tuple(
            replace(
                session,
                steps={name: pieces for name, pieces in session.steps.items() if name in known},
                ends=tuple(name for name in session.ends if name in known),
            )
            for session in self.all_passed(now)
            if any(name in known for name in session.steps)
        )

    def open_questions(self, now: int) -> tuple[Passed, ...]:
        """The same, less a session that is still going on."""
        return tuple(session for session in self.passed(now) if session.span.end <= now)

    def has_record_of(self, span: Span) -> bool:
        """Whether any work is recorded in that time."""
        stand = self.standing
        recorded = (*stand.done.values(), *(pieces for pieces, _ in stand.begun.values()))
        return any(each.start < span.end and span.start < each.end for pieces in recorded for each in pieces)

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


def open_site(path: Path, memory: Memory | None = None) -> Site:
    """Read a job and what lies beside it. Raises InputError with every fault of the first of these that has any.

    `memory` is for whoever opens the same job many times a minute.

    What was recorded, or handed out, under a name that the job file has changed since is carried over to the name of
    today, where that is certain.
    """
    files = Files(job_file(path))
    _one_record(named_file(path), files)
    memory = memory or Memory()
    job, trade = memory.job(files)
    record, kept = memory.record(files), memory.kept(files)
    job, kept = _under_its_first_title(kept, job, files)
    site = Site(files=files, job=replace(job, moves=kept.moves), trade=trade, record=record, kept=kept)
    events = recognised(kept, site.job, site.graph, site.lost_names) if record.entries else ()
    at = max((entry.at for entry in record.entries), default=0)
    first = record.lines + 1
    command = first if len(events) > 1 else None
    entries = tuple(Entry(line=line, at=at, event=event, command=command) for line, event in enumerate(events, first))
    return _carried_over(by_todays_steps(replace(site.with_entries(entries), recognised=entries)))


def _carried_over(site: Site) -> Site:
    """The same, with the steps of the plan handed out that are called otherwise now, and of which nothing is
    recorded, by the names of today: they stay where they are. The diary has nothing to say of them."""
    planned = site.kept.plan.steps if site.kept.plan is not None else ()
    recorded = {*site.standing.done, *site.standing.begun}
    gone: list[tuple[Kind, str]] = [
        ("step", step.id) for step in planned if step.id not in site.titles and step.id not in recorded
    ]
    kept = renamed_kept(site.kept, recognised(site.kept, site.job, site.graph, gone))
    return site if kept is site.kept else replace(site, kept=kept, job=replace(site.job, moves=kept.moves))


def by_todays_steps(site: Site) -> Site:
    """The same, with the plan handed out in the names that steps have by the diary."""
    renamings = [entry.event for entry in living(site.record.entries) if isinstance(entry.event, Renamed)]
    had = {step.id for step in site.kept.plan.steps} if site.kept.plan is not None else set()
    fresh = [event for event in renamings if event.old in had and event.old not in site.titles]
    kept = renamed_kept(site.kept, fresh)
    return replace(site, kept=kept, job=replace(site.job, moves=kept.moves)) if fresh else site


def _one_record(named: Path, files: Files) -> None:
    """Raises InputError for a record that lies beside a link to the job file: it would be passed over in silence."""
    if named == files.job:
        return
    beside = Files(named)
    for mine, its in ((beside.diary, files.diary), (beside.plan, files.plan)):
        if mine.exists() and not (its.exists() and mine.samefile(its)):
            said = told(
                "this lies beside a link to {job}, and what is recorded of a job lies beside its file", job=files.job
            )
            raise wrong_input(str(mine), said, told("move it to {its}, or away", its=its))


def apart_from_what_is_read(site: Site, outputs: Mapping[str, Path | None]) -> None:
    """Raises InputError for a file to be written, by its option, that is read as a calendar of the household."""
    read_from = [site.files.job.parent / busy.file for busy in site.job.busy]
    read_from += [Path(name) for name in site.kept.busy if not is_address(name)]
    for option, path in outputs.items():
        if path is not None and any(is_one(path, calendar) for calendar in read_from):
            said = "this job reads that file as a calendar of the household"
            raise wrong_input(f"{option} {path}", said, "name another")


def _under_its_first_title(kept: Kept, job: Job, files: Files) -> tuple[Job, Kept]:
    """A job that has another title now stays the job that calendars know, by the id of its first title.

    A copy of the folder, beside which the first job goes on, is a job of its own: calendars know nothing of it.
    """
    if kept.plan is None or kept.plan.job_id == job.id:
        return job, kept
    if is_copy(kept, files):
        return job, replace(kept, ledger=None, listed=None)
    return replace(job, id=kept.plan.job_id), kept


def is_copy(kept: Kept, files: Files) -> bool:
    """Whether what is kept was made for a job file that still lies elsewhere."""
    home = Path(kept.home) if kept.home else files.job
    return home.resolve() != files.job.resolve() and home.exists() and Files(home).plan.exists()


def settled_now(site: Site, clock: int, *, named: bool) -> int:
    """The moment as of which to plan: not before the last thing that is recorded as having happened.

    `named`: the person named the moment. Raises InputError if that one lies before what is recorded.
    """
    last = site.standing.last
    if last is None or clock >= last:
        return clock
    if named:
        said = told("that is before the last work that is recorded (see `tackfree diary {job}`)", job=site.files.job)
        raise wrong_input("--as-of", said, "name a later time, or take the entry back")
    return last


def replan(
    site: Site,
    now: int,
    wish: Wish | None = None,
    *,
    restore: Answer | None = None,
    busy: tuple[Span, ...] = (),
    watch: Watch | None = None,
) -> Made:
    """The plan that follows from all that is known at `now`.

    It stays close to the plan handed out, or to the answer to be restored, keeps clear of the household's calendars,
    and leaves sessions where a person moved them as far as the rules allow. Raises InputError and NoPlanError.
    """
    stand = site.standing
    facts = stand.facts(now, site.titles, site.binding(now) if restore is None else restore.pieces)
    known, wished = restore or site.kept.answer, wish or site.wish
    for weeks in (HORIZONS[0], HORIZONS[-1]):
        house = site.household(now, weeks)
        taken = union((*stand.lost, *busy, *house.spans))

        def make(job: Job, hurried: bool, taken: tuple[Span, ...] = taken) -> Made:
            how = replace(wished, effort=1) if hurried else wished
            return make_plan(job, site.trade, facts, how, busy=taken, watch=watch, known=None if hurried else known)

        made = held_in_place(stand.job, make)
        if made.plan.finish <= house.until:
            break
    said = (*made.plan.warnings, *forbidden(stand.job, made.plan), *map(as_written, house.warnings))
    broken = (*made.plan.broken, *broken_rules(site.broke(made), made.plan))
    return replace(made, plan=replace(made.plan, warnings=said, broken=broken, former=site.former()))
