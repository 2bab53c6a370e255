"""What `tackfree plan` does with calendars: the household's, the one that comes back, and the one on a server."""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.shared import is_plain, read_from, say_error, say_wrote
from scheduler.errors import Fault, InputError, Place

if TYPE_CHECKING:
    from scheduler.calendar.server.access import Access
    from scheduler.calendar.server.client import Server
    from scheduler.calendar.server.differences import MovedByHand
    from scheduler.calendar.server.publish import Published
    from scheduler.calendar.server.resources import Times
    from scheduler.cli.outfiles import Outputs
    from scheduler.living.change import Handing, Told
    from scheduler.living.site import Site
    from scheduler.model.ledger import CalendarEvent
    from scheduler.model.plan import Plan


MONTH = 31 * 24 * 60
"""Minutes; whoever wants to be told earlier meant another number."""


class Detail(StrEnum):
    """What a calendar holds: the sessions, or every step in them as well."""

    sessions = "sessions"
    steps = "steps"


DetailOption = Annotated[
    Detail | None, typer.Option("--detail", help="What the calendar holds: the sessions, or every step as well.")
]
ZonedOption = Annotated[
    bool | None, typer.Option("--zoned/--utc", help="Local times in the calendar file instead of UTC.")
]
WithoutCancelledOption = Annotated[
    bool, typer.Option("--without-cancelled", help="Leave withdrawn events out of the file, for a first import.")
]
RemindOption = Annotated[
    int | None, typer.Option("--remind", help="Alarm so many minutes before each session.", min=0, max=MONTH)
]
BusyOption = Annotated[
    list[Path] | None,
    typer.Option("--busy", help="A calendar file of the household; nobody works then. Repeatable.", metavar="FILE"),
]
MarginOption = Annotated[
    str | None,
    typer.Option("--margin", help="Time to get there and back, around each of these: '30 min'.", metavar="TIME"),
]
MovedOption = Annotated[
    Path | None,
    typer.Option("--moved", help="A calendar exported back: plan around what you moved in it.", metavar="FILE"),
]
PublishOption = Annotated[
    str | None, typer.Option("--publish", help="Bring a calendar on a server up to date (CalDAV).", metavar="URL")
]
OverwriteOption = Annotated[
    bool, typer.Option("--overwrite-moved", help="With --publish: put back what somebody moved on the server.")
]


def handing_of(
    where: Outputs,
    remind: int | None,
    detail: Detail | None,
    zoned: bool | None,
    without_cancelled: bool,
    by_hand: bool,
    server: str | None,
) -> Handing:
    """How the plan is handed out, by the options of the command line; `server` is an address without a password."""
    from scheduler.living.change import Handing

    return Handing(
        ics=where.ics,
        remind=remind,
        every_step=None if detail is None else detail is Detail.steps,
        zoned=zoned,
        without_cancelled=without_cancelled,
        by_hand=by_hand,
        published=server is not None,
        page=where.page,
        lang=None if where.page is None else where.lang,
        server=server,
    )


def with_busy(site: Site, files: Sequence[Path] | None, margin: str | None) -> Site:
    """The job with calendars named on the command line. Raises InputError for a file that is not there."""
    from scheduler.units import parse_duration

    missing = [file for file in files or () if not file.is_file()]
    if missing:
        raise InputError([Fault(Place(str(file)), "there is no such file", "check the name") for file in missing])
    with read_from("--margin"):
        minutes = None if margin is None else parse_duration(margin)
    return site.with_busy(files or (), minutes)


def take_back(site: Site, file: Path, now: int, say: Callable[[str], None]) -> Site:
    """The job with its sessions where a calendar that came back has them; which these are is said."""
    from scheduler.calendar.by_hand import moved_words
    from scheduler.living.moving import take_moves

    site, taken = take_moves(site, file, now)
    for event, move in taken.moved:
        say(_shown(f"Moved by hand: {moved_words(event, move.now, site.job.zone, site.job.clock24)}."))
    if not taken.moved:
        say(f"No session was moved in {file}.")
    for note in taken.notes:
        say_error(_shown(note))
    return site


def _shown(text: str) -> str:
    from scheduler.telling.wording import to_ascii

    return to_ascii(text) if is_plain() else text


class Publishing:
    """A server on which the plan is to be. Made before anything is planned, so that a wrong address costs nothing."""

    def __init__(self, url: str, *, overwrite: bool) -> None:
        """Raises InputError for what is no address, and if the package for it is missing."""
        from scheduler.calendar.server.access import access
        from scheduler.calendar.server.client import Server

        self._access: Access = access(url, os.environ)
        self._server: Server = Server(self._access)
        self._overwrite = overwrite

    @property
    def url(self) -> str:
        """The address, without a password."""
        return self._access.url

    def publish(self, site: Site, plan: Plan, told: Told) -> Callable[[], None]:
        """Bring the calendar up to date; the answer says what that took. Raises InputError and PublishError."""
        from scheduler.calendar.server.publish import publish

        if self._access.bare:
            say_error(f"{self._access.url}: what goes there is not encrypted, and that holds for the password too.")
        ledger = told.after.by_uid()
        done = publish(
            self._server,
            told.content,
            site.job.id,
            ledger,
            known=_known(site, told),
            overwrite=self._overwrite,
        )
        events = {uid: entry.event for uid, entry in ledger.items()}
        return lambda: self._say(done, plan, events)

    def _say(self, done: Published, plan: Plan, events: dict[str, CalendarEvent]) -> None:
        counts = f"{done.created} new, {done.updated} changed, {done.removed} removed, {done.unchanged} as they were"
        say_error(f"Published to {self._access.url}: {counts}.")
        for line in self._moved(done, plan, events):
            say_error(_shown(line))

    def _moved(self, done: Published, plan: Plan, events: dict[str, CalendarEvent]) -> Iterator[str]:
        for move in done.moved:
            event = events.get(move.uid)
            said = move.uid if event is None else _stands(event, move, plan)
            gone = " The plan has withdrawn it." if move.withdrawn else ""
            yield f"Moved by hand, {'put back' if self._overwrite else 'left alone'}: {said}.{gone}"
        if done.moved and not self._overwrite:
            yield "To plan around what was moved, export that calendar, then: tackfree plan JOB --moved FILE"
            yield "To have the plan's times again: --overwrite-moved"


def _stands(event: CalendarEvent, move: MovedByHand, plan: Plan) -> str:
    from scheduler.calendar.by_hand import moved_words

    return moved_words(event, move.now, plan.zone, plan.clock24)


def _known(site: Site, told: Told) -> dict[str, list[Times]]:
    """Where each event was before, and where the person put it: an event that is there has not been moved since."""
    known: dict[str, list[Times]] = defaultdict(list)
    for entry in told.before.entries if told.before else ():
        known[entry.event.uid].append((entry.event.start, entry.event.end))
    for move in site.job.moves:
        known[move.uid].append((move.now.start, move.now.end))
    return known


def say_written(path: Path, *, new: bool) -> None:
    """The file is written; the first time, how it gets into a calendar and stays right there."""
    from scheduler.calendar.by_hand import ways_in

    say_wrote(path)
    if new:
        say_error(ways_in().rstrip("\n"))
