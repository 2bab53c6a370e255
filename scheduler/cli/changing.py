"""What the commands that record something share: words into days and lengths, and the change on the terminal."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated
from zoneinfo import ZoneInfo

import typer

from scheduler.cli.again import busy_before, page_again, publish_again, remembered, server_of
from scheduler.cli.calendars import ask_busy
from scheduler.cli.outfiles import Outcome, check_outputs, stopped, unprinted, unwritten
from scheduler.cli.shared import (
    is_asked,
    is_coloured,
    is_plain,
    now_for,
    read_from,
    say_error,
    say_sentence,
    say_wrote,
    sentence,
    time_for,
    typed,
    width,
)
from scheduler.cli.waiting import Waiting, face_of, face_of_plan
from scheduler.errors import wrong_input
from scheduler.model.refusal import NoPlanError
from scheduler.told import told
from scheduler.wallclock import DAY, at_local, local_date

if TYPE_CHECKING:
    from scheduler.calendar.by_hand import HandList
    from scheduler.living.change import CalendarsTold, ChangeResult, Clock, Request
    from scheduler.living.requests import When
    from scheduler.living.site import Site
    from scheduler.model.diary import Entry
    from scheduler.model.job import Job
    from scheduler.model.plan import Plan
    from scheduler.reading.saiddays import Way

ODD = 7 * DAY
"""An end that moves by so much because of work that was done may well come of a slip."""

ByHandOption = Annotated[
    bool, typer.Option("--by-hand", help="List what to change by hand in a calendar that takes no file again.")
]


@dataclass(frozen=True, slots=True)
class Asked:
    """The options that all commands share which record something."""

    as_of: str | None = None
    reason: str = ""
    dry_run: bool = False
    ics: Path | None = None
    by_hand: bool = False
    as_json: bool = False
    no_files: bool = False
    no_publish: bool = False
    every: bool = False
    within: float | None = None
    """Seconds after which no better plan is looked for (None: as long as it takes)."""
    parts: tuple[Path, ...] = ()
    """Calendar files for others, which are written again."""


def clock_of(as_of: str | None) -> Clock:
    """What time it is: as told, else by the clock of this machine."""
    from scheduler.living.change import Clock

    return Clock(
        of=lambda job: now_for(job, as_of),
        shows=lambda job: time_for(ZoneInfo(job.zone), as_of),
        told=as_of is not None,
        behind=_say_behind,
    )


def _say_behind(job: Job, shown: int, now: int) -> None:
    """The clock of this machine lags behind the record: what counts as now, and what to do."""
    face = face_of(job)
    say_sentence("cli.behind", shown=face.moment(shown), now=face.moment(now))


def record(path: Path, request: Request, asked: Asked) -> None:
    """Record what is asked for, plan anew and show it. Raises what `living.change` does, and UnwrittenError.

    All files are written before anything of the plan is printed.
    """
    from scheduler.living.change import Handing, change
    from scheduler.telling.wording import one_line

    check_outputs(ics=asked.ics)
    again = remembered(path, wanted=not asked.no_files and not asked.dry_run, publish=not asked.no_publish)
    server, files, asked_of = server_of(again), Outcome(), ask_busy(busy_before(path), again.ca, asked.as_of)
    asked = replace(asked, ics=asked.ics or again.ics, parts=tuple(again.parts.values()))
    waiting = Waiting(asked.within)
    written: list[tuple[Site, Sequence[Entry]]] = []

    def say(site: Site, entries: Sequence[Entry], now: int) -> None:
        """What is said as soon as an entry is on the disk: whatever comes after that, it is not lost."""
        written.append((site, entries))
        waiting.face = face_of(site.job)
        _say_recorded(site, entries, asked)
        _say_notes(site, entries, now)

    try:
        with waiting:
            result = change(
                path,
                request,
                clock_of(asked.as_of),
                reason=one_line(asked.reason),
                dry_run=asked.dry_run,
                handing=Handing(
                    ics=asked.ics, by_hand=asked.by_hand, published=server is not None, parts=again.parts
                ),
                confirm=_confirm if is_asked() else None,
                recorded=say,
                renewed=asked_of.seen_by,
                watch=waiting,
            )
    except NoPlanError:
        for site, entries in written:
            say_how_to_take_back(site, entries)
        raise
    except KeyboardInterrupt:
        if written:
            say_error(stopped(path, asked.ics))
        raise
    page_again(again, result, files)
    publish_again(server, again, result.site, result.made.plan, result.told, files)
    try:
        _show(result, asked)
        sys.stdout.flush()
    except OSError as error:
        if isinstance(error, BrokenPipeError) or asked.dry_run or result.unwritten is not None:
            raise
        raise unprinted(error, asked.ics) from None
    finally:
        if result.unwritten is not None:
            raise unwritten(result.unwritten, result.site, path, asked.ics, recorded=True)
        files.tell()
    files.raise_first()
    waiting.leave(result.made.plan)


def say_how_to_take_back(site: Site, entries: Sequence[Entry]) -> None:
    """No plan came of a diary with these entries: they hold, and this is how to be rid of them."""
    from scheduler.living.notes import how_to_take_back
    from scheduler.model.diary import living

    how = how_to_take_back(site, entries) or how_to_take_back(site, living(site.entries)[-1:])
    if how:
        say_sentence("cli.holds")
        say_error(f"  {how}")


def _say_recorded(site: Site, entries: Sequence[Entry], asked: Asked) -> None:
    from scheduler.model.diary import Undone
    from scheduler.telling.text.diary import Teller

    teller = Teller(site.job, site.titles)
    events = {entry.line: entry.event for entry in site.entries}
    with suppress(OSError):  # a closed pipe keeps nothing from being planned and written; it is met again below
        for entry in entries if not asked.as_json else ():
            undone = isinstance(entry.event, Undone)
            event = events[entry.event.line] if isinstance(entry.event, Undone) else entry.event
            _print(teller.recorded(event, undone=undone))


def _confirm(site: Site, entries: Sequence[Entry]) -> None:
    """Ask whether what looks like a slip is so. Raises InputError for a no: nothing is recorded then."""
    from scheduler.living.notes import out_of_order

    for doubt in out_of_order(site, entries):
        _print(doubt)
        if typed(sentence("cli.is that so")).lower() not in sentence("cli.yes").split():
            raise wrong_input("--at", "nothing is recorded", "say it again with the time at which it ended")


def _say_notes(site: Site, entries: Sequence[Entry], now: int) -> None:
    from scheduler.living.notes import notes

    for note in notes(site, entries, now):
        say_error(note)


def _print(text: str) -> None:
    from scheduler.telling.wording import to_ascii, wrap

    print("\n".join(wrap(to_ascii(text) if is_plain() else text, width(), rest="  ")), flush=True)


def _show(result: ChangeResult, asked: Asked) -> None:
    from scheduler.telling.text.moves import moves_json, what_moves

    after = result.made.plan
    say_found(result.site)
    if asked.as_json:
        more = list_object(result.told, after)
        sys.stdout.write(moves_json(what_moves(result.before or after, after), after, broke=result.broke, more=more))
    else:
        _show_text(result, asked)
    for file in (asked.ics, *asked.parts) if not asked.dry_run and result.unwritten is None else ():
        if file is not None:
            say_wrote(file)
    say_passed(result.site, result.now)


def _show_text(result: ChangeResult, asked: Asked) -> None:
    from scheduler.telling.text.aftermath import aftermath, aftermath_brief, aftermath_text
    from scheduler.telling.text.diary import Teller
    from scheduler.telling.text.learned import aftersaid, newly_learned
    from scheduler.telling.text.moves import mostly_earlier, moves_brief, moves_text, new_warnings, what_moves
    from scheduler.telling.views.agreed import broken_first
    from scheduler.telling.views.index import Book

    after, before = result.made.plan, result.before or result.made.plan
    look, book = (width(), is_coloured(), is_plain()), Book(after)
    if asked.dry_run:
        _print(book.words.of("moves", "dry run"))
        _say_notes(result.site, result.entries, result.now)
    if result.before is None:
        print(book.words.of("moves", "first"))
    say_edited(result.opened, after)
    moves, follows = what_moves(before, after), aftermath(before, after)
    for broken in broken_first(book):
        _print(book.say(broken))
    if asked.every:
        print(moves_text(moves, after, *look), end="")
        print(aftermath_text(follows, after, *look), end="")
    else:
        teller = Teller(result.site.job, result.site.titles, result.site.entries)
        over = [session.span for session in result.site.open_questions(result.now)]
        begun = [move.before.start for move in moves.moved]
        passed = [start for start in begun if any(span.start <= start < span.end for span in over)]
        partly = any(result.site.has_record_of(span) for span in over)
        earlier = mostly_earlier(moves, after)
        passed_by = "" if earlier else teller.unrecorded(passed, partly=partly)
        cause = passed_by or teller.first_cause(result.entries, before, after, earlier=earlier)
        print(moves_brief(moves, after, cause, *look), end="")
        print(aftermath_brief(follows, after, *look), end="")
    for said in (*_another_order(result), *aftersaid(result.entries, before, after), *newly_learned(before, after)):
        _print(said)
    _show_broken(result, look)
    for line in new_warnings(before, after):
        _print(line)
    if result.told is not None and result.told.by_hand is not None:
        say_by_hand(result.told.by_hand, after)


def _another_order(result: ChangeResult) -> Iterator[str]:
    """What is to be said of colours that have changed places."""
    from scheduler.living.colour_order import changed_places

    before, site, made = result.opened.kept.answer, result.site, result.made
    if before is not None and changed_places(made, before):
        from scheduler.model.spans import union
        from scheduler.telling.text.moves import turned_text
        from scheduler.whatif.engine import Trials
        from scheduler.whatif.turned import turned

        busy = union((*site.standing.lost, *site.household(result.now, made.weeks).spans))
        yield turned_text(turned(made, before, Trials(made, site.trade, site.wish, busy)), site.job.language)


def _show_broken(result: ChangeResult, look: tuple[int, bool, bool]) -> None:
    """The rules that the new entries broke, and how to take these back where the plan may look odd for them."""
    from scheduler.living.notes import how_to_take_back
    from scheduler.telling.text.aftermath import broken_text
    from scheduler.telling.views.index import Book

    print(broken_text(result.broke, result.made.plan, *look), end="")
    after, before = result.made.plan, result.before
    later = before is not None and after.finish - before.finish >= ODD and result.is_of_work
    how = how_to_take_back(result.site, result.entries)
    if (result.broke or later) and how:
        print(f"{Book(after).words.of('moves', 'take back')}\n  {how}")


def say_by_hand(what: HandList, plan: Plan) -> None:
    """What to change by hand in a calendar that had been told of an earlier plan."""
    from scheduler.calendar.by_hand import by_hand

    print(sentence("byhand.heading"))
    print(by_hand(what, face_of_plan(plan), width(), is_plain()), end="")


def list_object(told: CalendarsTold | None, plan: Plan) -> dict[str, object]:
    """The same for other programs, if it was asked for."""
    if told is None or told.by_hand is None:
        return {}
    from scheduler.calendar.by_hand import by_hand_object

    return {"by_hand": by_hand_object(told.by_hand, ZoneInfo(plan.zone))}


def can_keep(path: Path) -> bool:
    """Whether a plan can be kept beside the job; if not, that is said."""
    from scheduler.reading.jobfile import job_file

    folder = job_file(path).parent
    if not folder.exists() or os.access(folder, os.W_OK):
        return True
    say_sentence("cli.not kept", folder=folder)
    return False


def say_found(site: Site, *, all_of_it: bool = False) -> None:
    """What was found in the diary: a half-written line, and what the job file calls otherwise now or has no longer.

    `all_of_it`: also what has been said before.
    """
    from scheduler.living.notes import carried_over

    for line in carried_over(site, all_of_it=all_of_it):
        say_error(line)
    if site.record.torn:
        say_sentence("cli.torn", diary=site.files.diary, broken=site.files.broken.name)


def say_edited(site: Site, after: Plan) -> None:
    """What an edit of the job file has changed since the plan that was handed out before: said by the command that
    hands out the next."""
    from scheduler.telling.text.edits import edit_text, what_was_edited

    if site.edited and site.kept.plan is not None:
        kinds = {task.id: (task.kind, task.by_hand) for task in site.graph.tasks}
        edit = what_was_edited(site.kept.plan, after, kinds)
        print(edit_text(edit, after, width(), is_coloured(), is_plain()))


def say_passed(site: Site, now: int) -> None:
    """The sessions of which nobody has said whether they took place, with the commands that say it."""
    if not site.open_questions(now):
        return
    from scheduler.living.asking import how_to_say

    for line in how_to_say(site, now):
        say_error(line)


def day_from(text: str, where: str, site: Site, now: int, way: Way) -> date:
    """A day as a person says it: `2027-01-16`, `sunday`, `16.1.`, `2 weeks`. Raises InputError."""
    from scheduler.reading.saiddays import said_day

    with read_from(where):
        return said_day(text, local_date(now, ZoneInfo(site.job.zone)), way, us=_in_us(site.job))


def _in_us(job: Job) -> bool:
    """Whether dates of a job are written with the month first."""
    return not job.metric and job.zone.startswith(("America/", "US/", "Pacific/Honolulu"))


def length_from(text: str, where: str) -> int:
    """Minutes, at least one, from `1 h` or `45 min`. Raises InputError."""
    from scheduler.model.diary import MOST_LEFT
    from scheduler.units import UnclearQuantityError, parse_duration

    with read_from(where):
        minutes = parse_duration(text)
        if minutes > MOST_LEFT:
            raise UnclearQuantityError(
                told("`{text}` is more than any step has left", text=text), "write it as `1 h`"
            )
    if minutes < 1:
        raise wrong_input(where, "no work is left then", "leave it out: the step is done")
    return minutes


def clock_from(text: str, site: Site, now: int, where: str, end: When | None) -> int:
    """A minute from `14:10`, on the day on which the work ended, or `2027-01-16 14:10`. Raises InputError."""
    day = at_local(end.day, DAY, ZoneInfo(site.job.zone)) - 1 if end is not None else now
    found = when_from(text, site, day, where).minute
    if found is None:
        raise wrong_input(where, "a beginning has a time of day", "add it: `2027-01-16 14:10`")
    return found


def when_from(text: str | None, site: Site, now: int, where: str) -> When:
    """A moment that has been, as a person says it: `16:40` (today), `sunday 16:40`, `2027-01-16 16:40`, `16.1.`;
    nothing is today. Raises InputError.

    Where clocks go back and show `1:30` twice, it is the last of the two that has been.
    """
    from scheduler.living.requests import When
    from scheduler.reading.options import read_moment
    from scheduler.reading.saiddays import said_moment

    zone = ZoneInfo(site.job.zone)
    today = local_date(now, zone)
    if text is None:
        return When(today, None)
    if re.fullmatch(r"\s*\d{4}-\d\d-\d\d\s*", text):
        return When(day_from(text, where, site, now, "back"), None)
    if "-" in text:
        minute = read_moment(where.removeprefix("--"), text, zone)
        return When(local_date(minute, zone), minute)
    with read_from(where):
        day, clock = said_moment(text, today, "back", us=_in_us(site.job))
    if clock is None:
        return When(day, None)
    first, second = at_local(day, clock, zone), at_local(day, clock, zone, fold=1)
    return When(day, second if first < second <= now else first)
