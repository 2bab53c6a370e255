"""What `tackfree plan` does with calendars: the household's, the one that comes back, and the one on a server."""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.shared import is_plain, month_ago, read_from, said_of, say_error, say_sentence, say_wrote, sentence
from scheduler.cli.waiting import face_of, face_of_plan
from scheduler.errors import Fault, InputError, Place, TackfreeError, wrong_input
from scheduler.told import told

if TYPE_CHECKING:
    from scheduler.calendar.recognised import Recognised
    from scheduler.calendar.server.client import Server
    from scheduler.calendar.server.differences import MovedByHand
    from scheduler.calendar.server.publish import Published
    from scheduler.calendar.server.resources import Times
    from scheduler.cli.outfiles import Outcome, Outputs
    from scheduler.living.change import CalendarsTold, Handing
    from scheduler.living.site import Site
    from scheduler.model.ledger import CalendarEvent
    from scheduler.model.plan import Plan


NEEDED = "httpx"
"""What the rooms of the server import, of which the package can be installed without."""

RETURNED = 10 << 20
"""Bytes of a calendar that is exported back, at most."""

MONTH = 31 * 24 * 60
"""Minutes; whoever wants to be told earlier meant another number."""


class Detail(StrEnum):
    """What a calendar holds: the sessions, or every step in them as well."""

    sessions = "sessions"
    steps = "steps"


class ForWhom(StrEnum):
    """Who else a calendar file is for."""

    household = "household"
    helper = "helper"


ForOption = Annotated[
    ForWhom | None,
    typer.Option("--for", help="The file of --ics holds only what is out of use, or only the sessions for two."),
]
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
    list[str] | None,
    typer.Option(
        "--busy",
        help="A calendar of the household, a file or on a server; nobody works then. Repeatable.",
        metavar="FILE|URL",
    ),
]
MarginOption = Annotated[
    str | None,
    typer.Option("--margin", help="Time to get there and back, around each of these: '30 min'.", metavar="TIME"),
]
MovedOption = Annotated[
    str | None,
    typer.Option(
        "--moved",
        help="A calendar exported back, or on a server: plan around what you moved in it.",
        metavar="FILE|URL",
    ),
]
PublishOption = Annotated[
    str | None, typer.Option("--publish", help="Bring a calendar on a server up to date (CalDAV).", metavar="URL")
]
OverwriteOption = Annotated[
    bool,
    typer.Option("--overwrite-moved", help="With --publish: put back what somebody moved or deleted on the server."),
]
CaOption = Annotated[
    Path | None,
    typer.Option("--ca", help="The certificate of the authority of one's own server (PEM).", metavar="FILE"),
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
        ca=where.ca,
        parts=where.parts,
    )


def named_outputs(
    ics: Path | None, whom: ForWhom | None, page: Path | None, lang: str, server: str | None, ca: Path | None
) -> Outputs:
    """Where the options of the command line have a plan go. Raises InputError for a calendar for others without a
    file."""
    from scheduler.cli.outfiles import Outputs

    if whom is None:
        return Outputs(ics, page, lang, server, ca)
    if ics is None:
        raise wrong_input(
            "--for", "there is no calendar file that it could be", told("add one: --ics {whom}.ics", whom=whom.value)
        )
    return Outputs(None, page, lang, server, ca, {whom.value: ics})


@dataclass(frozen=True, slots=True)
class AskedCalendars:
    """Calendars of the household that somebody named: files, and addresses without a password; what came of each
    address that was asked, and why nothing did."""

    named: tuple[str, ...]
    came: Mapping[str, Sequence[tuple[str, bytes]]]
    failed: Mapping[str, TackfreeError]

    def seen_by(self, site: Site, now: int) -> Site:
        """The job with what these calendars say now. Where one did not come, what was seen there last holds, which is
        said; raises why it did not if nothing was."""
        if not self.came and not self.failed:
            return site
        from scheduler.living.household import busy_there

        found, wrong = busy_there(site.job, now, self.came)
        for address, error in {**self.failed, **wrong}.items():
            if address not in site.kept.busy_there:
                raise error
            say_error(f"{said_of(error)}; {sentence('cli.busy hold')}")
        return site.with_busy_there(found)


def ask_busy(named: Sequence[str], ca: Path | None, as_of: str | None) -> AskedCalendars:
    """Ask the calendars that are on a server what is in them, from a month ago on; all of it if a day is named as of
    which to plan. Raises InputError for what is no address."""
    from scheduler.files import is_address

    names, came, failed = list[str](), dict[str, Sequence[tuple[str, bytes]]](), dict[str, TackfreeError]()
    for name in named:
        if not is_address(name):
            names.append(name)
            continue
        with closing(server_at(name, ca, "--busy")) as server:
            address = server.access.url
            names.append(address)
            try:
                came[address] = server.texts(None if as_of is not None else month_ago())
            except TackfreeError as error:
                failed[address] = error
    return AskedCalendars(tuple(names), came, failed)


def with_busy(site: Site, asked: AskedCalendars, margin: str | None, now: int) -> Site:
    """The job with calendars named on the command line. Raises InputError for a file that is not there, and what kept
    a server from being asked."""
    from scheduler.files import is_address
    from scheduler.units import parse_duration

    missing = [name for name in asked.named if not is_address(name) and not Path(name).exists()]
    if missing:
        raise InputError([Fault(Place(name), "there is no such file", "check the name") for name in missing])
    with read_from("--margin"):
        minutes = None if margin is None else parse_duration(margin)
    return asked.seen_by(site.with_busy(asked.named, minutes), now)


def server_at(url: str, ca: Path | None, option: str) -> Server:
    """A calendar on a server that `option` names.

    Raises InputError for what is no address, for a file of certificates that is none, and where the library is
    missing; PublishError for a proxy that is none.
    """
    if find_spec(NEEDED) is None:
        said = told("what is on a server needs the package `{package}`", package=NEEDED)
        raise wrong_input(option, said, "install it: pip install 'tackfree[caldav]'")
    from scheduler.calendar.server.access import access
    from scheduler.calendar.server.client import Server

    return Server(access(url, os.environ, option, None if ca is None else str(ca)), option)


def returned(where: str, ca: Path | None) -> tuple[str, list[tuple[str, bytes]]]:
    """A calendar that came back: where it is, and the name and the bytes of all that it consists of. `where` is a
    file, or the address of a calendar on a server. Raises InputError and PublishError."""
    from scheduler.files import is_address
    from scheduler.reading.textfile import read_bytes, shown

    if not is_address(where):
        name = shown(Path(where))
        return name, [(name, read_bytes(Path(where), RETURNED))]
    with closing(server_at(where, ca, "--moved")) as server:
        return server.access.url, server.texts()


def take_back(
    site: Site, back: tuple[str, list[tuple[str, bytes]]] | None, now: int, say: Callable[[str], None]
) -> tuple[Site, Recognised | None]:
    """The job with its sessions where a calendar that came back has them, which are said; and what stands in it."""
    if back is None:
        return site, None
    from scheduler.calendar.by_hand import moved_words
    from scheduler.living.moving import take_moves

    where, sources = back
    site, taken = take_moves(site, where, sources, now)
    for event, move in taken.moved:
        say(_shown(sentence("cli.moved", event=moved_words(event, move.now, face_of(site.job)))))
    if not taken.moved:
        say(sentence("cli.none moved", where=where))
    for note in taken.notes:
        say_error(_shown(note))
    return site, taken.seen


def _shown(text: str) -> str:
    from scheduler.telling.wording import to_ascii

    return to_ascii(text) if is_plain() else text


class Publishing:
    """A server on which the plan is to be. Made before anything is planned, so that a wrong address costs nothing."""

    def __init__(self, url: str, ca: Path | None, *, overwrite: bool) -> None:
        """Raises InputError for what is no address, and for a file of certificates that is none."""
        self._server = server_at(url, ca, "--publish")
        self._access = self._server.access
        self._overwrite = overwrite

    @property
    def url(self) -> str:
        """The address, without a password."""
        return self._access.url

    def publish(self, site: Site, plan: Plan, told: CalendarsTold, say: Callable[[Callable[[], None]], None]) -> None:
        """Bring the calendar up to date, and have what that took said later. Raises InputError and PublishError."""
        from scheduler.calendar.server.publish import publish, why_not_all
        from scheduler.living.change import remember_published

        if self._access.bare:
            say_sentence("cli.bare", url=self._access.url)
        ledger = told.after.by_uid()
        with closing(self._server) as server:
            done = publish(
                server,
                told.content,
                site.job.id,
                ledger,
                known=known_times(site, told),
                overwrite=self._overwrite,
                had=site.kept.on_server if site.kept.server == self._access.url else (),
            )
        remember_published(site.files, self._access.url, done.there)
        events = {uid: entry.event for uid, entry in ledger.items()}
        say(lambda: self._say(done, plan, events))
        error = why_not_all(self._access.url, done, {uid: event.summary for uid, event in events.items()})
        if error is not None:
            raise error

    def _say(self, done: Published, plan: Plan, events: dict[str, CalendarEvent]) -> None:
        say_sentence(
            "cli.published",
            url=self._access.url,
            new=done.created,
            changed=done.updated,
            removed=done.removed,
            same=done.unchanged,
        )
        for line in (*self._moved(done, plan, events), *self._deleted(done, plan, events)):
            say_error(_shown(line))

    def _moved(self, done: Published, plan: Plan, events: dict[str, CalendarEvent]) -> Iterator[str]:
        for move in done.moved:
            event = events.get(move.uid)
            said = move.uid if event is None else _stands(event, move, plan)
            gone = sentence("cli.withdrawn") if move.withdrawn else ""
            yield sentence("cli.put back" if self._overwrite else "cli.left alone", event=said, gone=gone)
        if done.moved and not self._overwrite:
            yield sentence("cli.plan around", url=self._access.url)
            yield sentence("cli.times again")

    def _deleted(self, done: Published, plan: Plan, events: dict[str, CalendarEvent]) -> Iterator[str]:
        """What was deleted or called off on the server and is not over yet: it stays so until somebody wants it."""
        from scheduler.calendar.by_hand import event_words
        from scheduler.calendar.events import moment_of

        ahead = [events[uid] for uid in done.deleted if uid in events and moment_of(events[uid].end) > plan.as_of]
        for event in sorted(ahead, key=lambda event: (moment_of(event.start), event.uid)):
            name = "cli.deleted put back" if self._overwrite else "cli.deleted left out"
            yield sentence(name, event=event_words(event, face_of_plan(plan)))
        if ahead and not self._overwrite:
            yield sentence("cli.have again")


def _stands(event: CalendarEvent, move: MovedByHand, plan: Plan) -> str:
    from scheduler.calendar.by_hand import moved_words

    return moved_words(event, move.now, face_of_plan(plan))


def known_times(site: Site, told: CalendarsTold) -> dict[str, list[Times]]:
    """Where each event was before, and where the person put it: an event that is there has not been moved since."""
    known: dict[str, list[Times]] = defaultdict(list)
    for entry in told.before.entries if told.before else ():
        known[entry.event.uid].append((entry.event.start, entry.event.end))
    for move in site.job.moves:
        known[move.uid].append((move.now.start, move.now.end))
    return known


def say_all_written(where: Outputs, new: bool, plan: Plan, told: CalendarsTold | None, files: Outcome) -> None:
    """Have it said which calendar files are written, and that times in them are in UTC which were to be local."""
    if where.ics is not None:
        files.say(partial(say_written, where.ics, new=new))
    if told is not None and told.zoned:
        files.say(partial(_say_in_utc, plan, told))
    for file in where.parts.values():
        files.say(partial(say_wrote, file))


def _say_in_utc(plan: Plan, told: CalendarsTold) -> None:
    from scheduler.calendar.write import left_in_utc

    some, whole = left_in_utc(plan, told.after)
    if some == whole > 0:
        say_sentence("cli.all in utc", zone=plan.zone)
    elif some:
        say_sentence("cli.one in utc" if some == 1 else "cli.some in utc", count=some)


def say_written(path: Path, *, new: bool) -> None:
    """The file is written; the first time, how it gets into a calendar and stays right there."""
    say_wrote(path)
    if new:
        say_sentence("cli.ways in")
