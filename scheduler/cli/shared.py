"""What all commands share: what time it is, what terminal this is, how an error is said."""

from __future__ import annotations

import io
import os
import re
import shutil
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated
from zoneinfo import ZoneInfo

import typer

from scheduler.errors import Fault, TackfreeError, wrong_input
from scheduler.model.tradewords import ENGLISH, LANGUAGES
from scheduler.told import in_words, told
from scheduler.wallclock import EPOCH, at_local, local_date, to_minutes

if TYPE_CHECKING:
    from scheduler.model.job import Job


def _named(job: Path) -> Path:
    _Spoken.job = job
    return job


JobArgument = Annotated[
    Path,
    typer.Argument(help="The job file, or the folder that holds its job.yaml.", metavar="JOB", callback=_named),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for other programs instead of text.")]
AsOfOption = Annotated[
    str | None,
    typer.Option("--as-of", help="Plan as if it were this time (2027-01-16 or 2027-01-16T09:30).", metavar="TIME"),
]
SeedOption = Annotated[int, typer.Option("--seed", help="Seed of the search: same input, same seed, same plan.")]

_FURTHER = "  "
"""Opens the second and every further line of an error."""


def steady_output() -> None:
    """Make sure that printing never fails for a stream that is closed, or for a letter that the terminal has not."""
    if sys.stdout is None:
        sys.stdout = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 - open as long as the program runs
    if sys.stderr is None:
        sys.stderr = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115
    if sys.stdout is sys.__stdout__ and isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")


def say_error(text: str) -> None:
    """A sentence on standard error, in letters that it has: on a terminal in lines that fit, else in one.

    If nobody listens there, the exit code says enough.
    """
    _print_error(in_words(text, _known()), "")


def say_fault(fault: Fault) -> None:
    """One fault, as `say_error` says a sentence; file, line and column always stand whole in its first line."""
    place = f"{fault.place}: "
    _print_error(fault.said(_known()).removeprefix(place), place)


def said_of(error: Exception) -> str:
    """What an error of ours says, in the language in which this command answers."""
    return error.said(_known()) if isinstance(error, TackfreeError) else str(error)


def _known() -> Mapping[str, str]:
    """The sentences of the language in which this command answers, by their English ones."""
    lang = _Spoken.lang or spoken(_Spoken.job)
    if lang == ENGLISH:
        return {}
    from scheduler.telling.words.sentences import sentences_in

    return sentences_in(lang)


def spoken(job: Path | None) -> str:
    """The language of a job that is not read, if its file says one; else that of the system."""
    from scheduler.reading.jobfile import language_said

    return (language_said(job) if job is not None else None) or language_of(None)


def _print_error(text: str, first: str) -> None:
    if _is_ascii(sys.stderr.encoding):
        from scheduler.telling.wording import to_ascii

        text, first = to_ascii(text), to_ascii(first)
    if not sys.stderr.isatty():
        with suppress(OSError):
            print(f"{first}{text}", file=sys.stderr)
        return
    from scheduler.telling.wording import columns, wrap

    wide = _width_of_errors()
    lines: list[str] = []
    if columns(first) > wide // 2:  # a long name of a file stands alone, and is never cut
        lines, first = [first.rstrip()], _FURTHER
    for number, line in enumerate(text.split("\n")):
        lines += wrap(line, wide, "" if number else first, _FURTHER)
    with suppress(OSError):
        print("\n".join(lines), file=sys.stderr)


def _width_of_errors() -> int:
    """Columns of the terminal on which errors are shown: the output may go elsewhere."""
    if "COLUMNS" in os.environ:
        return width()
    try:
        return min(100, max(40, os.get_terminal_size(sys.stderr.fileno()).columns))
    except OSError:
        return width()


class _Spoken:
    """In which language this command answers: that of the job, once one is read; `job` is the one that is named."""

    lang = ""
    job: Path | None = None


def answer_in(lang: str, job: Path | None = None) -> None:
    """From now on this command answers in that language; if it is "", in that of the job."""
    _Spoken.lang, _Spoken.job = lang, job


def sentence(name: str, **values: object) -> str:
    """A sentence of the command itself, in the language of the job that it is about."""
    from scheduler.telling.words import Words

    return Words(lang=_Spoken.lang or spoken(_Spoken.job)).tell(name, **values)


def say_sentence(name: str, **values: object) -> None:
    """The same on standard error."""
    say_error(sentence(name, **values))


def say_wrote(file: Path) -> None:
    """The one sentence about a file that is there now."""
    from scheduler.telling.wording import one_line

    say_sentence("cli.wrote", file=one_line(str(file)))


def is_asked() -> bool:
    """Whether there is somebody to ask."""
    return sys.stdin is not None and sys.stdin.isatty() and sys.stdout.isatty()


def typed(prompt: str) -> str:
    """What the person types on the terminal; letters that it does not know come as a sign that nobody types.

    Raises EOFError at the end of input, KeyboardInterrupt for Ctrl-C.
    """
    try:
        return input(prompt).replace("\t", " ").strip()
    except UnicodeDecodeError:
        return "\0"


def now_for(job: Job, as_of: str | None) -> int:
    """The minute as of which a job is planned; this command answers in the language of that job from now on.

    Without `--as-of` it is now; before the job begins it is the beginning of today, so that the same input gives the
    same plan all day long. Raises InputError for a time that cannot be read, or that no
    plan can be made for.
    """
    answer_in(job.language)
    zone = ZoneInfo(job.zone)
    now = time_for(zone, as_of)
    return at_local(local_date(now, zone), 0, zone) if as_of is None and now < job.start else now


def time_for(zone: ZoneInfo, as_of: str | None) -> int:
    """The minute that it is, or that `--as-of` says, in that zone. Raises InputError as `now_for` does."""
    return _machine_time() if as_of is None else _read_time(as_of, zone)


def today_for(zone: ZoneInfo, as_of: str | None) -> date:
    """The day that it is, or that `--as-of` says, in that zone. Raises InputError as `now_for` does."""
    return local_date(time_for(zone, as_of), zone)


def month_ago() -> datetime:
    """The time in UTC a month ago, by the clock of this machine. Raises InputError for a clock that is far off."""
    return EPOCH + timedelta(minutes=_machine_time(), days=-31)


def _machine_time() -> int:
    machine = datetime.now(UTC)
    if not _is_planned_for(machine):
        said = told("this machine takes it to be {machine}", machine=f"{machine:%Y-%m-%d}")
        raise wrong_input("clock", said, "set its clock, or say what time it is with --as-of")
    return to_minutes(machine)


def _read_time(text: str, zone: ZoneInfo) -> int:
    try:
        moment = datetime.fromisoformat(text)
        if not _is_planned_for(moment):
            said = told("“{text}” is too far away to plan for", text=text)
            raise wrong_input("--as-of", said, "write a year from 2000 to 2199")
        if moment.tzinfo is None:
            return at_local(moment.date(), moment.hour * 60 + moment.minute, zone)
        return to_minutes(moment)
    except (ValueError, OverflowError):
        return _said_time(text, zone)


def _said_time(text: str, zone: ZoneInfo) -> int:
    """The minute of a date in words, `16 January 2027 9:30`."""
    from scheduler.reading.times import parse_moment
    from scheduler.units import UnclearQuantityError

    try:
        return at_local(*parse_moment(text), zone)
    except UnclearQuantityError:
        raise wrong_input(
            "--as-of", told("“{text}” is no time", text=text), "write 2027-01-16 or 2027-01-16T09:30"
        ) from None


def _is_planned_for(moment: datetime) -> bool:
    """Whether it is in the years that a job file and a diary can hold."""
    from scheduler.reading.times import FIRST_YEAR, LAST_YEAR

    return FIRST_YEAR <= moment.year <= LAST_YEAR


def language_of(job: Job | None) -> str:
    """The language in which somebody is answered: the job's; where there is none yet, that of the person's system
    (the first of the variables of POSIX for messages that is set), if jobs are told in it."""
    if job is not None:
        return job.language
    said = next((value for name in ("LC_ALL", "LC_MESSAGES", "LANG") if (value := os.environ.get(name))), "")
    return next((lang for lang in LANGUAGES if re.match(rf"{lang}(?![a-z])", said)), ENGLISH)


def width() -> int:
    """Columns of the terminal, between 40 and 100; 80 where there is none."""
    return min(100, max(40, shutil.get_terminal_size((80, 24)).columns))


def is_plain() -> bool:
    """Whether the output can only show ASCII."""
    return _is_ascii(sys.stdout.encoding)


def _is_ascii(encoding: str | None) -> bool:
    return not (encoding or "ascii").lower().replace("-", "").startswith("utf")


def is_coloured() -> bool:
    """Whether to colour the output: on a terminal, unless NO_COLOR is set."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR")


@contextmanager
def read_from(where: str) -> Iterator[None]:
    """What can't be read in here is a fault of the argument or the option of that name. Raises InputError."""
    from scheduler.units import UnclearQuantityError

    try:
        yield
    except UnclearQuantityError as unclear:
        raise wrong_input(where, unclear.message, unclear.hint) from None
