"""Record, re-plan, hand out: one change of a job under way from beginning to end, under one lock.

The record comes first and is on the disk before anything is planned: what happened has happened, whether or not a
plan can be made of it. Then comes the plan that is kept, and the calendar file last: after a kill in between, the
next command finds the same and writes the rest.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from scheduler.diary.kept import Kept, Passed, read_kept, with_answer_before, write_kept
from scheduler.diary.record import Files, add, locked, set_aside
from scheduler.errors import UnwrittenError
from scheduler.files import write_whole
from scheduler.living.broken import broken_rules
from scheduler.living.memory import Memory
from scheduler.living.renaming import marks
from scheduler.living.since import last_seen, seen_as
from scheduler.living.site import Site, apart_from_what_is_read, by_todays_steps, open_site, replan, settled_now
from scheduler.model.answer import Answer
from scheduler.model.broken import Broken, PastBreak
from scheduler.model.diary import Air, Did, Entry, Event, Felt, Left, Undone, living
from scheduler.model.job import Job
from scheduler.model.ledger import Ledger
from scheduler.model.plan import Plan
from scheduler.model.refusal import NoPlanError
from scheduler.model.watch import Watch
from scheduler.pipeline import Made, Wish
from scheduler.reading.jobfile import job_file

if TYPE_CHECKING:
    from scheduler.calendar.by_hand import HandList
    from scheduler.calendar.recognised import Recognised
    from scheduler.calendar.write import Whom

Request = Callable[[Site, int], Sequence[Event]]
"""From a job as it stands at a moment to the events that are to be recorded. Raises InputError."""


LAG = 30
"""Minutes by which a clock lags where it is set wrong; two machines may differ by less."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """What time it is for a job: `of` is the minute as of which it is planned, `shows` the one at which something is
    recorded (before a job begins it is planned as of the beginning of the day).

    `told`: the person named it; else it may be taken further on by what is recorded. `behind` hears of a clock that
    lags behind the record: the job, what the clock shows, and as of when it is planned.
    """

    of: Callable[[Job], int]
    shows: Callable[[Job], int]
    told: bool
    behind: Callable[[Job, int, int], None] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Handing:
    """How a plan is handed out: into which calendar file, with which reminder, whether to list it for a hand, and
    whether it goes to a server. `page`, `lang`, `server` and `parts` (files for others) are where else it goes, to be
    remembered. What is None is as it was the time before. `seen` is what stands in the calendar that is kept by hand,
    if it was brought along. `served` is the address of the page for whoever looks, where one is served."""

    ics: Path | None = None
    remind: int | None = None
    every_step: bool | None = None
    zoned: bool | None = None
    without_cancelled: bool = False
    by_hand: bool = False
    published: bool = False
    page: Path | None = None
    lang: str | None = None
    server: str | None = None
    ca: Path | None = None
    parts: Mapping[Whom, Path] = field(default_factory=dict)
    seen: Recognised | None = None
    served: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarsTold:
    """What calendars had been told before and have been now; `content` is the calendar file. `by_hand`: what to
    change in a calendar that takes no file, if that was asked for. `zoned`: its times were to be local ones."""

    before: Ledger | None
    after: Ledger
    content: bytes
    by_hand: HandList | None = None
    zoned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeResult:
    """What came of it. `opened` is the job as it was found, `before` the plan handed out before (None: none could be
    made), `made` the new one.

    `broke` are the rules that the new entries show broken, and that were not before them.
    """

    site: Site
    opened: Site
    now: int
    entries: tuple[Entry, ...]
    before: Plan | None
    made: Made
    passed: tuple[Passed, ...]
    broke: tuple[Broken, ...] = ()
    told: CalendarsTold | None = None
    unwritten: OSError | None = None
    """Why the plan kept or the calendar file is still the one from before."""

    @property
    def is_of_work(self) -> bool:
        """Whether the entries say that something was worked on."""
        return any(isinstance(entry.event, Did | Left) for entry in self.entries)


def change(
    path: Path,
    request: Request,
    clock: Clock,
    *,
    reason: str = "",
    dry_run: bool = False,
    handing: Handing | None = None,
    confirm: Callable[[Site, Sequence[Entry]], None] | None = None,
    recorded: Callable[[Site, Sequence[Entry], int], None] | None = None,
    renewed: Callable[[Site, int], Site] | None = None,
    watch: Watch | None = None,
) -> ChangeResult:
    """Record what a request asks for and plan anew. `recorded` hears of the entries as soon as they are on the disk,
    `confirm` just before: what it raises keeps them from it. `renewed` is given the job and the moment first of all,
    and gives it back with what is known anew of its surroundings.

    `dry_run` writes nothing. Raises InputError and UnwrittenError (nothing is recorded then) and NoPlanError (it is).
    """
    handing = _unless(dry_run, handing or Handing())
    files = Files(job_file(path))
    with nullcontext() if dry_run else locked(files):
        site = open_site(path)
        site = site if renewed is None else renewed(site, clock.of(site.job))
        entries = entries_of(site, request, clock, reason)
        changed = site.with_entries(entries)
        now = _settled(changed, clock)
        apart_from_what_is_read(site, {"--ics": handing.ics})
        if confirm is not None and not dry_run:
            confirm(changed, entries)
        before = handed_before(site, now, watch)
        if not dry_run:
            put_down(site, entries, now)
            if recorded is not None:
                recorded(changed, entries, now)
        changed, made = settle(before, entries, now, watch)
        told, unwritten = None, None
        try:
            told = hand_out(changed, made, now, handing, keep=not dry_run)
        except OSError as error:
            unwritten = error
        return ChangeResult(
            site=changed,
            opened=site,
            now=now,
            entries=tuple(entries),
            before=before.kept.plan,
            made=made,
            passed=changed.passed(now),
            broke=_newly_broken(site, changed, made),
            told=told,
            unwritten=unwritten,
        )


def put_down(site: Site, entries: Sequence[Entry], now: int) -> None:
    """Put entries on the disk, after what was recognised when the job was read. Raises UnwrittenError; none of them
    is there then."""
    try:
        set_aside(site.files, site.record)
        fresh = [*(replace(entry, at=now) for entry in site.recognised), *entries]
        if fresh:
            add(site.files, fresh, ZoneInfo(site.job.zone))
    except OSError as error:
        why, then = "nothing is recorded", "make room or see to its rights, and say it again"
        raise UnwrittenError(error, why, then) from None


def _newly_broken(before: Site, after: Site, made: Made) -> tuple[Broken, ...]:
    """The rules that are broken by the record as it stands after a change, and were not before it; then those that
    had to give way in the plan for that."""
    known = {_happened(each) for each in before.broke(made)}
    now = after.broke(made)
    fresh = [each for each in now if _happened(each) not in known]
    told = set(broken_rules(now, made.plan))
    had = {(each.rule, each.step) for each in before.kept.plan.broken} if before.kept.plan is not None else set()
    gave = [each for each in made.plan.broken if each not in told and (each.rule, each.step) not in had]
    return (*broken_rules(fresh, made.plan), *gave)


def _happened(each: PastBreak) -> tuple[object, ...]:
    """What makes a broken rule another one: who broke it towards whom, and when."""
    return each.rule, each.step, each.other, each.began, each.since


def handed_before(site: Site, now: int, watch: Watch | None = None) -> Site:
    """The same with a plan handed out: where none is kept, the one that would have been, if there can be one."""
    if site.kept.plan is not None and site.kept.answer is not None:
        return site
    try:
        made = replan(site, now, watch=watch)
    except NoPlanError:
        return replace(site, kept=replace(site.kept, plan=None, answer=None))
    return replace(site, kept=replace(site.kept, plan=made.plan, answer=made.answer))


def settle(site: Site, entries: Sequence[Entry], now: int, watch: Watch | None = None) -> tuple[Site, Made]:
    """The job with these entries, and the plan that follows: pure. Raises NoPlanError.

    It remembers what had been handed out before them, so that they can be taken back without a trace.
    """
    kept = site.kept
    fresh = [*unplanned(site), *entries]
    for entry in fresh:
        kept = with_answer_before(kept, entry.line)
    changed = by_todays_steps(replace(site.with_entries(entries), kept=kept))
    return changed, replan(changed, now, restore=_restored(changed, fresh), watch=watch)


def unplanned(site: Site) -> list[Entry]:
    """The entries that were recorded after the plan handed out was made, by whoever only records."""
    lines, recognised = site.kept.lines, {entry.line for entry in site.recognised}
    if lines is None:
        return []
    return [entry for entry in site.record.entries if entry.line > lines and entry.line not in recognised]


def jot(path: Path, request: Request, clock: Clock, reason: str = "") -> tuple[Site, list[Entry]]:
    """Record what a request asks for, and plan nothing: the job as it stands then, and the entries.

    Raises InputError and UnwrittenError.
    """
    files = Files(job_file(path))
    with locked(files):
        site = open_site(path)
        entries = entries_of(site, request, clock, reason)
        put_down(site, entries, clock.of(site.job))
        return site.with_entries(entries), entries


@contextmanager
def opened(path: Path, clock: Clock, *, keep: bool, memory: Memory | None = None) -> Iterator[tuple[Site, int]]:
    """A job and the moment as of which to plan it; under the lock, if something is to be kept.

    A half-written line of the diary is set aside then, and what was recognised under its new name is written down.
    """
    files = Files(job_file(path))
    with locked(files) if keep else nullcontext():
        site = open_site(path, memory)
        now = _settled(site, clock)
        if keep:
            with suppress(UnwrittenError):  # a full disk takes no plan away: the next command recognises the same
                put_down(site, (), now)
        yield site, now


def _settled(site: Site, clock: Clock) -> int:
    """The moment as of which to plan; a clock that lags behind what is recorded is told of. Raises InputError.

    Before a job begins no clock lags: it is played through, and the record runs ahead.
    """
    now, shown = settled_now(site, clock.of(site.job), named=clock.told), clock.shows(site.job)
    if clock.behind is not None and site.job.start <= shown <= now - LAG:
        clock.behind(site.job, shown, now)
    return now


def hand_out(
    site: Site,
    made: Made,
    now: int,
    handing: Handing,
    *,
    wish: Wish | None = None,
    keep: bool = True,
    looked: bool = False,
) -> CalendarsTold | None:
    """Pass a plan on to a calendar if that is wanted, and keep it as the one handed out unless `keep` is false; and
    as the one that somebody `looked` at, if it is printed as a whole.

    It is kept before the calendar file is written: an event must never change twice under one SEQUENCE. Raises
    OSError with the name of the file that could not be written; what comes after it is as it was, too.
    """
    kept = _in_form(site, handing)
    content, told = b"", None
    ledger = kept.ledger
    if handing.ics is not None or handing.by_hand or handing.published or handing.parts:
        from scheduler.calendar.write import calendar
        from scheduler.living.buying import list_of

        content, ledger = calendar(
            made.plan,
            previous=kept.ledger,
            remind=kept.remind,
            detail="steps" if kept.every_step else "sessions",
            zoned=kept.zoned,
            without_cancelled=handing.without_cancelled,
            moves=made.ground.job.moves,
            lots=[lot for lot in list_of(site, made).lots if lot.to_be_bought],
            page=handing.served,
        )
        listed, what = _to_list(kept, ledger, handing, made.plan) if handing.by_hand else (kept.listed, None)
        told = CalendarsTold(before=kept.ledger, after=ledger, content=content, by_hand=what, zoned=kept.zoned)
        kept = replace(kept, listed=listed)
    if keep:
        whole = next_kept(replace(site, kept=kept), made, now, ledger, wish)
        write_kept(site.files, replace(whole, seen=seen_as(made.plan, site.record.lines)) if looked else whole)
    if handing.ics is not None:
        write_whole(handing.ics, content)
    for whom, file in handing.parts.items():
        from scheduler.calendar.write import part_for

        write_whole(file, part_for(whom, made.plan, told.after if told else Ledger(), zoned=kept.zoned))
    return told


def _to_list(kept: Kept, after: Ledger, handing: Handing, plan: Plan) -> tuple[tuple[int, int], HandList]:
    """The list for a calendar that is kept by hand, and from which edition to which it leads.

    Unless it is seen what stands there, that calendar is taken to be where the list before led to, or else to hold
    the first calendar of all; the same list comes again until something moves.
    """
    from scheduler.calendar.by_hand import hand_list, in_edition
    from scheduler.calendar.events import moment_of
    from scheduler.calendar.recognised import as_states

    first = 0 if kept.ledger is None or not kept.ledger.entries else 1
    since, last = kept.listed or (first, first)
    listed = (since if last == after.edition and kept.listed else last, after.edition)
    now = in_edition(after, after.edition)
    if handing.seen is None:
        return listed, hand_list(in_edition(after, listed[0]), now)
    before = as_states(handing.seen)
    # What is over and was taken out by hand need not come back.
    return listed, hand_list(
        before, {n: each for n, each in now.items() if n in before or moment_of(each.end) > plan.as_of}
    )


def next_kept(
    site: Site,
    made: Made,
    now: int,
    ledger: Ledger | None = None,
    wish: Wish | None = None,
) -> Kept:
    """What is to be kept once a plan has been handed out: pure."""
    holding = {entry.line for entry in living(site.record.entries)}
    return replace(
        site.kept,
        plan=made.plan,
        answer=made.answer,
        earlier=tuple(before for before in site.kept.earlier if not holding.isdisjoint(before.lines)),
        passed=site.all_passed(now),
        ledger=ledger,
        effort=(wish or site.wish).effort,
        moves=made.ground.job.moves,
        home=str(site.files.job.resolve()),
        marks=marks(made.ground.reckoned or made.ground.graph),
        read=site.mark,
        lines=site.record.lines,
        seen=last_seen(site.kept),
    )


def _in_form(site: Site, handing: Handing) -> Kept:
    """What is kept, with what is said anew about the form of the calendar file, and where it goes."""
    kept = site.kept
    return replace(
        kept,
        ics=kept.ics if handing.ics is None else _seen_from(site, handing.ics),
        parts={**kept.parts, **{whom: _seen_from(site, file) for whom, file in handing.parts.items()}},
        page=kept.page if handing.page is None else _seen_from(site, handing.page),
        lang=kept.lang if handing.lang is None else handing.lang or site.job.language,
        server=handing.server or kept.server,
        ca=kept.ca if handing.ca is None else str(handing.ca.resolve()),
        on_server=kept.on_server if handing.server in (None, kept.server) else (),
        remind=kept.remind if handing.remind is None else handing.remind,
        every_step=kept.every_step if handing.every_step is None else handing.every_step,
        zoned=kept.zoned if handing.zoned is None else handing.zoned,
    )


def remember_published(files: Files, server: str, there: Sequence[str]) -> None:
    """Keep which events of the plan were put on that server: one that is gone from there later was deleted. A disk
    that does not take it is no harm: the events are known there by their marks."""
    with suppress(OSError), locked(files):
        kept = read_kept(files)
        if kept.server == server:
            write_kept(files, replace(kept, on_server=tuple(sorted(there))))


def _seen_from(site: Site, file: Path) -> str:
    """A file as it is named from the folder of the job: one inside of it moves with it."""
    folder, file = site.files.job.resolve().parent, file.resolve()
    return file.relative_to(folder).as_posix() if file.is_relative_to(folder) else str(file)


def _unless(dry_run: bool, handing: Handing) -> Handing:
    """The same, without the files if nothing is to be written."""
    return replace(handing, ics=None, parts={}) if dry_run else handing


def entries_of(site: Site, request: Request, clock: Clock, reason: str = "", tap: str = "") -> list[Entry]:
    """What is asked for as entries on the next lines, the first by the name of the tap that asked for it, if one did.

    Raises InputError if one contradicts what is known by then.
    """
    from scheduler.diary.objections import object_to

    time = clock.shows(site.job)
    events = request(site, max(time, site.standing.last or time))
    now = max(time, site.standing.last or time)
    if not clock.told and time < site.job.start:
        # A job that lies altogether in the future may be played through without naming the time again and again.
        now = max([now, *(event.pieces[-1].end for event in events if isinstance(event, Did | Left))])
        now = max([now, *(event.minute for event in events if isinstance(event, Air | Felt))])
    entries: list[Entry] = []
    first = site.record.lines + 1
    for line, event in enumerate(events, first):
        object_to(event, site.with_entries(entries).standing, now)
        command = first if len(events) > 1 else None
        name = tap if line == first else ""
        entries.append(Entry(line=line, at=now, event=event, reason=reason, command=command, tap=name))
    return entries


def _restored(site: Site, entries: Sequence[Entry]) -> Answer | None:
    """What had been handed out before the entries that are taken back, if they were the newest of all that hold."""
    undone = sorted(entry.event.line for entry in entries if isinstance(entry.event, Undone))
    fresh = {entry.line for entry in entries}
    if not undone or any(other.line > undone[0] and other.line not in fresh for other in living(site.record.entries)):
        return None
    before = (site.kept.before_line(line) for line in undone)
    return next((answer for answer in before if answer is not None), None)
