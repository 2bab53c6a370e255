"""The plan of a job that is served, made in a process of its own: everything that is handed out, ready as bytes.

The lock is held for keeping alone: a tap does not wait for a plan. If the job was edited or another plan handed out
meanwhile, nothing is kept, and it is planned again; what was recorded meanwhile is planned for next.
"""

from __future__ import annotations

import asyncio
import os
import pickle
import sys
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from scheduler.diary.kept import keep_bytes, kept_bytes
from scheduler.diary.record import Files, locked
from scheduler.errors import Fault, InputError, Place, TackfreeError
from scheduler.living.buying import page_shopping
from scheduler.living.change import Clock, Handing, hand_out, next_kept, opened, settle
from scheduler.living.memory import Mark, Memory, mark_of
from scheduler.living.paging import page_facts
from scheduler.living.site import Site
from scheduler.model.diary import living
from scheduler.model.moves import Moves
from scheduler.model.page import Live, Recent, Subscription
from scheduler.model.refusal import NoPlanError
from scheduler.model.tradewords import ENGLISH
from scheduler.reading.jobfile import language_said
from scheduler.serve.answers import CALENDAR, FRESH, HTML, JSON, WEEK, Body
from scheduler.serve.recording import clock_at
from scheduler.telling.machine.plan import plan_json
from scheduler.telling.page import TOKEN_MARK, live_policy, page
from scheduler.telling.refused import refused
from scheduler.telling.text.diary import Teller
from scheduler.telling.text.moves import what_moves
from scheduler.telling.words.sentences import sentences_in
from scheduler.told import in_words, told

RECENT = 8
"""Entries of the diary that can be taken back on the page."""
PAGES = ("look", "write")
"""The page for whoever may only look, and the same with a token."""
LESS = 5
"""Steps of priority that the process gives way to the server, once somebody can see a plan."""
SIZE = 8
"""Bytes that say how many bytes of a question or an answer follow."""


class EndedError(Exception):
    """The process that plans is gone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRequest:
    """What is to be planned: as of when, in which language it is shown (None: the job's), with which calendars to
    subscribe to.

    `token` is what a page that may write sends with each tap, `look` the address of the one that may only look.
    `moves` is what moved with the plan before; it is shown on until something else moves.
    """

    job: Path
    minute: int
    exact: bool
    lang: str | None
    subscriptions: tuple[Subscription, ...] = ()
    token: str = ""
    look: str = ""
    moves: Moves | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """All that is handed out of a plan, packed and ready, and how the files stood that it was made of."""

    bodies: Mapping[str, Body]
    moves: Moves | None
    mark: Mark


@dataclass(frozen=True, slots=True)
class Unplanned:
    """Why there is no new plan, in a line a fault; and how the files stood."""

    faults: tuple[str, ...]
    mark: Mark
    error: TackfreeError | OSError


def plan_anew(question: PlanRequest, memory: Memory | None = None) -> Drawn | Unplanned | None:
    """The plan of a job as it stands now, kept as the one handed out. None if something came in between.

    What was only recorded in between keeps nothing back, else nobody would see a plan while several people tap: this
    plan is one of a shorter diary, and `Drawn.mark` says so.
    """
    files, memory = Files(question.job), memory or Memory()
    clock = clock_at(question.minute, exact=question.exact)
    mark, record = mark_of(files), _bytes_of(files.diary)
    try:
        site, now = _opened(files, clock, memory)
        before = site.kept.plan
        changed, made = settle(site, (), now)
        told = hand_out(changed, made, now, Handing(published=True, served=question.look), keep=False)
        assert told is not None
        content = kept_bytes(next_kept(changed, made, now, told.after))
        with locked(files):
            found = mark_of(files)
            if (found[0], found[2]) != (mark[0], mark[2]) or not _bytes_of(files.diary).startswith(record):
                return None
            keep_bytes(files, content)
            mark = (mark[0], mark[1], mark_of(files)[2])
    except (TackfreeError, OSError) as error:
        return Unplanned(_faults(error, question.job), mark, error)
    from scheduler.calendar.write import part_for
    from scheduler.whatif.asides import asides

    site = changed
    moves = question.moves if before is None else what_moves(before, made.plan)
    moves = question.moves if moves is None or moves.nothing else moves
    facts = replace(
        page_facts(made),
        shopping=page_shopping(site, made),
        moves=moves,
        asides=asides(site, made, now),
        live=Live(recent=_recent(site, question.lang), subscriptions=question.subscriptions),
    )
    plan, ledger = made.plan, told.after
    look = page(plan, facts, question.lang)
    write = look.replace(TOKEN_MARK, TOKEN_MARK.replace('""', f'"{question.token}"'))
    feeds = {
        "calendar": told.content,
        "household": part_for("household", plan, ledger),
        "helper": part_for("helper", plan, ledger),
    }
    bodies = {
        **{
            name: Body.of(each.encode(), HTML, WEEK, live_policy())
            for name, each in zip(PAGES, (look, write), strict=True)
        },
        "plan": Body.of(plan_json(plan).encode(), JSON, FRESH),
        **{name: Body.of(content, CALENDAR, FRESH) for name, content in feeds.items()},
    }
    return Drawn(bodies=bodies, moves=moves, mark=mark)


def _opened(files: Files, clock: Clock, memory: Memory) -> tuple[Site, int]:
    """A job and the moment as of which to plan it, under no lock: a tap does not wait for that. If something of the
    diary is to be put right first, that is done under it."""
    with opened(files.job, clock, keep=False, memory=memory) as (site, now):
        if not site.recognised and not site.record.torn:
            return site, now
    with opened(files.job, clock, keep=True, memory=memory) as (site, now):
        return site, now


def _bytes_of(diary: Path) -> bytes:
    return diary.read_bytes() if diary.exists() else b""


def _recent(site: Site, lang: str | None) -> tuple[Recent, ...]:
    """What was recorded last and holds, the newest first; of what came of one command the last."""
    titles = {**site.titles, **{former.name: former.title for former in site.former()}}
    teller = Teller(site.job, titles, site.entries, lang=lang)
    found: dict[int, Recent] = {}
    for entry in reversed(living(site.entries)):
        recent = Recent(line=entry.line, at=entry.at, said=teller.says(entry.event))
        found.setdefault(entry.command or entry.line, recent)
    return tuple(found.values())[:RECENT]


def _faults(error: TackfreeError | OSError, job: Path) -> tuple[str, ...]:
    """What is wrong, for a page, in the language that the job file says: files by their names alone, for where they
    lie is nobody's business there."""
    if isinstance(error, InputError):
        known = sentences_in(language_said(job) or ENGLISH)
        return tuple(_named(fault).said(known) for fault in error.faults)
    if isinstance(error, NoPlanError):
        return refused(error).lines
    if isinstance(error, OSError):
        return (f"{Path(str(error.filename)).name}: {error.strerror or error}",)
    known = sentences_in(language_said(job) or ENGLISH)
    return (in_words("What follows from the record could not be kept; see to the room on the disk.", known),)


def _named(fault: Fault) -> Fault:
    place = fault.place
    return replace(fault, place=Place(Path(place.file).name, place.line, place.column))


def answer_all() -> None:
    """In the process that plans: answer each question as it comes, until whoever asks is gone."""
    asked, answers = sys.stdin.buffer, os.fdopen(os.dup(1), "wb")
    memories: dict[Path, Memory] = {}
    usual = os.getpriority(os.PRIO_PROCESS, 0) if os.name == "posix" else 0
    os.dup2(2, 1)  # nothing that is printed by chance may get between the answers
    while (head := asked.read(SIZE)) and len(head) == SIZE:
        question = pickle.loads(asked.read(int.from_bytes(head)))
        try:
            found = plan_anew(question, memories.setdefault(question.job, Memory()))
        except Exception as error:  # a fault of this program takes no page away
            kind = type(error).__name__
            wrong = TackfreeError(told("The plan could not be made ({kind}); the one before it stays.", kind=kind))
            said = wrong.said(sentences_in(language_said(question.job) or ENGLISH))
            found = Unplanned((said,), mark_of(Files(question.job)), wrong)
        answer = pickle.dumps(found)
        answers.write(len(answer).to_bytes(SIZE) + answer)
        answers.flush()
        if os.name == "posix" and os.getpriority(os.PRIO_PROCESS, 0) == usual:
            os.nice(LESS)


class Planner:
    """Asks the process that plans, kept warm, one question at a time; where it is gone, another is started."""

    def __init__(self) -> None:
        self._process: asyncio.subprocess.Process | None = None
        self._free = asyncio.Lock()

    async def ask(self, question: PlanRequest) -> Drawn | Unplanned | None:
        """As `plan_anew`. Raises EndedError if the process was ended by something."""
        async with self._free:
            if self._process is None or self._process.returncode is not None:
                self._process = await self._started()
            asked, answers = self._process.stdin, self._process.stdout
            assert asked is not None
            assert answers is not None
            try:
                data = pickle.dumps(question)
                asked.write(len(data).to_bytes(SIZE) + data)
                await asked.drain()
                size = int.from_bytes(await answers.readexactly(SIZE))
                found: Drawn | Unplanned | None = pickle.loads(await answers.readexactly(size))
            except (OSError, EOFError):
                self.end()
                raise EndedError from None
            return found

    def end(self) -> None:
        """A plan half made is no loss: what is kept is only ever written whole."""
        if self._process is not None and self._process.returncode is None:
            self._process.kill()
        self._process = None

    @staticmethod
    async def _started() -> asyncio.subprocess.Process:
        """This very package in a fresh interpreter, away from Ctrl-C, which is for the server."""
        home = str(Path(__file__).parents[2])
        begin = (
            f"import sys; sys.path.insert(0, {home!r}); from scheduler.serve.planner import answer_all; answer_all()"
        )
        pipe = asyncio.subprocess.PIPE
        return await asyncio.create_subprocess_exec(
            sys.executable, "-P", "-c", begin, stdin=pipe, stdout=pipe, start_new_session=True
        )
