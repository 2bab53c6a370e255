"""The plan handed out last, kept beside the job: so that a change can be told, undone, and passed on to a calendar.

It is this program's own memory, in one JSON file that is only ever written whole. A person loses nothing of their own
with it: the record is the diary.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from scheduler.diary.jsonwords import TOO_MUCH, said_of
from scheduler.diary.record import Files
from scheduler.errors import InputError, Place, wrong_input
from scheduler.files import write_whole
from scheduler.model.answer import Answer
from scheduler.model.basics import Span
from scheduler.model.byhand import HandMove
from scheduler.model.ledger import Ledger, from_kept, kept_form
from scheduler.model.plainform import ForeignError, plain, rich
from scheduler.model.plan import Plan, in_todays_fields
from scheduler.told import told

FORMAT = 1
"""The form of the file of the plan handed out; any other is refused."""
MOST_BYTES = 32 << 20
"""Of the file."""
MOST_EARLIER = 100
"""Plans handed out before that are remembered."""
MOST_PARTS = 2_000_000
"""Lists and records in it. Five thousand steps with hundreds of entries in the diary stay below both."""
_APART = ("plan", "ledger")
"""What stands in the file in a form of its own."""
_MOVE_AWAY = "move the file away: the next plan is then made anew, and a calendar gets every event as a new one"


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """What had been handed out when the entry on a line of the diary was written, or those on the lines `to` another
    (None: that one alone)."""

    line: int
    answer: Answer
    to: int | None = None

    @property
    def lines(self) -> range:
        """The lines of these entries."""
        return range(self.line, (self.line if self.to is None else self.to) + 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Passed:
    """A session that was handed out and has passed; nobody has said yet whether it took place.

    `steps` are the pieces it had in it, by task; `ends` names the tasks that were to be finished in it.
    """

    span: Span
    steps: Mapping[str, tuple[Span, ...]]
    ends: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """The plan that somebody last looked at, in short: as of when, for how many lines of the diary it was made, when
    it ended, and when each step was to be worked on."""

    as_of: int
    lines: int
    finish: int
    pieces: Mapping[str, tuple[Span, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class BusyThere:
    """What a calendar on a server said when it was asked last: busy minutes, and warnings without a word of it."""

    spans: tuple[Span, ...]
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """The plan handed out last with the answer behind it, what went before, and what calendars have been told.

    `remind` is the reminder that the calendar file was last written with, `every_step` and `zoned` its form, `effort`
    the effort of the search (None: the usual one). `busy` are calendars of the household beyond those that the job
    names, files and addresses, `busy_there` is what was seen at these addresses last, `margin` another travel margin
    than the job's own; `moves` are the sessions that the person has moved by hand. `home` is where the job file lay,
    `marks` tells the steps by all that they are apart from their names (see `living.renaming`), `read` the job as it
    was read from its file: another mark, and it has been edited. `ics`, `page` (in the language `lang`) and `server`
    are where the plan was written to, files seen from the folder of the job. `ca` is the file of the authority of a
    server of one's own, `on_server` are the events that were put there, `parts` calendar files for others by whom
    they are for.
    `lines` is how many lines of the diary the plan was made for (None: not known). `seen` is the plan that was last
    printed as a whole: a command that records something says what it moves, and hands out another. `listed` are the
    editions of the calendar from which and to which a list by hand led (None: none was asked for yet).
    """

    plan: Plan | None = None
    ledger: Ledger | None = None
    answer: Answer | None = None
    earlier: tuple[Before, ...] = ()
    passed: tuple[Passed, ...] = ()
    remind: int | None = None
    effort: int | None = None
    busy: tuple[str, ...] = ()
    busy_there: Mapping[str, BusyThere] = field(default_factory=dict)
    margin: int | None = None
    moves: tuple[HandMove, ...] = ()
    every_step: bool = False
    zoned: bool = False
    home: str = ""
    marks: Mapping[str, str] = field(default_factory=dict)
    read: str = ""
    ics: str = ""
    page: str = ""
    lang: str = "en"
    server: str = ""
    ca: str = ""
    on_server: tuple[str, ...] = ()
    parts: Mapping[str, str] = field(default_factory=dict)
    lines: int | None = None
    seen: Seen | None = None
    listed: tuple[int, int] | None = None

    def before_line(self, line: int) -> Answer | None:
        """The answer that had been handed out when that entry was written."""
        return next((before.answer for before in self.earlier if line in before.lines), None)


def read_kept(files: Files) -> Kept:
    """What is kept; nothing if there is no such file. Raises InputError for a file that this program did not write.

    A plan that another version of the program laid down in other fields is passed over; the rest is read.
    """
    try:
        with files.plan.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        return Kept()
    whole = _whole(data, str(files.plan))
    try:
        _check_format(whole.get("format"))
        kept = rich(Kept, {name: part for name, part in whole.items() if name not in _APART})
        ledger = None if whole.get("calendar") is None else from_kept(whole["calendar"])
    except ValueError as error:
        raise _refused(Place(str(files.plan), 1, 1), str(error)) from None
    return replace(kept, plan=_plan(whole.get("plan")), ledger=ledger)


def _check_format(found: object) -> None:
    if type(found) is not int:
        raise ForeignError("format")
    if found != FORMAT:
        raise ValueError(
            told(
                "another version of tackfree wrote it (form {found}; this one reads form {format})",
                found=found,
                format=FORMAT,
            )
        )


def _whole(data: bytes, name: str) -> dict[str, object]:
    if len(data) > MOST_BYTES or data.count(b"[") + data.count(b"{") > MOST_PARTS:
        raise _refused(Place(name), "it is larger than any that tackfree writes")
    try:
        whole = json.loads(data)
    except json.JSONDecodeError as error:
        raise _refused(Place(name, error.lineno, error.colno), said_of(error)) from None
    except UnicodeDecodeError:
        raise _refused(Place(name, 1, 1), "it is no text") from None
    except (ValueError, RecursionError):
        raise _refused(Place(name, 1, 1), TOO_MUCH) from None
    if not isinstance(whole, dict):
        raise _refused(Place(name, 1, 1), "it does not begin with {")
    return whole


def _refused(place: Place, why: str) -> InputError:
    return wrong_input(place, told("this is no kept plan: {why}", why=why), _MOVE_AWAY)


def write_kept(files: Files, kept: Kept) -> None:
    """Keep this from now on. Only under the lock. Raises OSError; the file is then as it was."""
    keep_bytes(files, kept_bytes(kept))


def keep_bytes(files: Files, content: bytes) -> None:
    """As `write_kept`, for whoever has made the bytes before it took the lock."""
    if not files.plan.exists() or files.plan.read_bytes() != content:
        write_whole(files.plan, content)


def kept_bytes(kept: Kept) -> bytes:
    """The file's content: the same bytes for the same memory."""
    memory = plain(replace(kept, plan=None, ledger=None))
    assert isinstance(memory, dict)
    parts = {"format": FORMAT, **{name: part for name, part in memory.items() if name not in _APART}}
    parts["plan"] = plain(kept.plan)
    parts["calendar"] = None if kept.ledger is None else kept_form(kept.ledger)
    lines = [f"{json.dumps(name)}: {json.dumps(part, ensure_ascii=True)}" for name, part in parts.items()]
    return ("{" + ",\n".join(lines) + "}\n").encode("ascii")


def with_answer_before(kept: Kept, line: int) -> Kept:
    """The same, remembering what had been handed out when the entry on that line was written, the newest one.

    Of what was handed out long ago nothing is remembered: it would come to more with every entry of a long job.
    """
    if kept.answer is None or kept.before_line(line) is not None:
        return kept
    last = kept.earlier[-1] if kept.earlier else None
    if last is not None and last.answer == kept.answer and last.lines.stop == line:
        return replace(kept, earlier=(*kept.earlier[:-1], replace(last, to=line)))
    return replace(kept, earlier=(*kept.earlier, Before(line=line, answer=kept.answer))[-MOST_EARLIER:])


def _plan(value: object) -> Plan | None:
    if value is None:
        return None
    try:
        return rich(Plan, in_todays_fields(value))
    except (ForeignError, RecursionError):
        return None
