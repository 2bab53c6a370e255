"""The files of a plan that were written before: remembered beside the job, and written again by every command that
changes the plan, so that no calendar and no page grows old because an option was forgotten."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.outfiles import Outcome, Outputs, check_outputs, unwritten_file
from scheduler.cli.shared import said_of, say_error, say_sentence, say_wrote, sentence
from scheduler.errors import InputError, TackfreeError
from scheduler.model.tradewords import LANGUAGES

if TYPE_CHECKING:
    from scheduler.calendar.write import Whom
    from scheduler.cli.calendars import Publishing
    from scheduler.cli.paging import Extra
    from scheduler.diary.kept import Kept
    from scheduler.living.change import CalendarsTold, ChangeResult
    from scheduler.living.site import Site
    from scheduler.model.plan import Plan
    from scheduler.pipeline import Made

NoFilesOption = Annotated[
    bool, typer.Option("--no-files", help="For once leave the calendar file, page and server of before as they are.")
]


NoPublishOption = Annotated[
    bool, typer.Option("--no-publish", help="For once leave the calendar on the server of before as it is.")
]


def remembered(job: Path, *, wanted: bool = True, publish: bool = True) -> Outputs:
    """Where the plan handed out last went, as far as it still can go there; nowhere if that is not `wanted`.

    `publish`: a server of before as well; if not, it is remembered as being behind. What has been moved or deleted
    since is not made again: that is said once, by leaving it out from then on. A copy of the folder writes nothing of
    the job that it is a copy of.
    """
    from scheduler.diary.kept import read_kept
    from scheduler.diary.record import Files
    from scheduler.living.site import is_copy
    from scheduler.reading.jobfile import job_file

    if not wanted:
        return Outputs()
    try:
        files = Files(job_file(job))
        kept = read_kept(files)
    except InputError:
        return Outputs()  # whoever reads the job next says what is wrong
    if is_copy(kept, files):
        return Outputs()
    folder = files.job.parent
    return Outputs(
        ics=_still(folder / kept.ics, "ics") if kept.ics else None,
        page=_still(folder / kept.page, "page") if kept.page else None,
        lang=_not_the_jobs(kept),
        server=kept.server if kept.server and publish else None,
        ca=Path(kept.ca) if kept.ca else None,
        parts=_parts(kept, folder),
        behind=None if publish or not kept.server else kept.server,
    )


def _not_the_jobs(kept: Kept) -> str:
    """The language of the page that was handed out, where it is not the job's ("" otherwise).

    Earlier versions had pages in languages that are none of the job's, which could not be told whole.
    """
    of_job = kept.plan is not None and kept.lang == kept.plan.language
    return "" if of_job or kept.lang not in LANGUAGES else kept.lang


def busy_before(job: Path) -> tuple[str, ...]:
    """The calendars of the household that the plan handed out last was to keep clear of."""
    from scheduler.diary.kept import read_kept
    from scheduler.diary.record import Files
    from scheduler.reading.jobfile import job_file

    try:
        return read_kept(Files(job_file(job))).busy
    except InputError:
        return ()  # whoever reads the job next says what is wrong


def _parts(kept: Kept, folder: Path) -> dict[Whom, Path]:
    """The calendar files for others that are still there."""
    whom: tuple[Whom, ...] = ("household", "helper")
    named = {each: _still(folder / kept.parts[each], "ics") for each in whom if each in kept.parts}
    return {each: file for each, file in named.items() if file is not None}


def _still(file: Path, kind: str) -> Path | None:
    """A file of before, if it is there and can be written; if not, why it is left out."""
    if not file.exists():
        say_sentence("cli.file gone", file=file, kind=kind)
        return None
    try:
        check_outputs(ics=file if kind == "ics" else None, page=file if kind == "page" else None)
    except InputError as error:
        for fault in error.faults:
            say_error(f"{said_of(InputError([fault]))}; {sentence('cli.left as it is')}")
        return None
    return file


def server_of(outputs: Outputs) -> Publishing | None:
    """The server of before; what keeps it from being reached is said, and the plan goes on without."""
    from scheduler.cli.calendars import Publishing

    if outputs.server is None:
        return None
    try:
        return Publishing(outputs.server, outputs.ca, overwrite=False)
    except TackfreeError as error:
        say_error(f"{said_of(error)}; {sentence('cli.server behind')}")
        return None


def address_of(*servers: Publishing | None) -> str | None:
    """The address, without a password, of the first of these servers that there is."""
    return next((server.url for server in servers if server is not None), None)


def publish_now(
    server: Publishing | None, site: Site, plan: Plan, told: CalendarsTold | None, files: Outcome
) -> None:
    """Bring a server that was named up to date; what fails is kept for later."""
    with files.gathered():
        if server is not None and told is not None:
            server.publish(site, plan, told, files.say)


def publish_again(
    server: Publishing | None, again: Outputs, site: Site, plan: Plan, told: CalendarsTold | None, files: Outcome
) -> None:
    """Bring the server of before up to date; if it can't be reached, or is left as it is, that is said, and how to
    catch up."""
    if again.behind is not None:
        files.say(lambda: say_error(f"{again.behind}: {sentence('cli.server behind')}"))
    if server is None or told is None:
        return
    from scheduler.calendar.server.publish import PartlyPublishedError

    try:
        server.publish(site, plan, told, files.say)
    except PartlyPublishedError as error:
        files.say(partial(say_error, said_of(error)))
    except TackfreeError as error:
        files.say(partial(say_error, f"{said_of(error)}; {sentence('cli.server behind')}"))


def page_again(outputs: Outputs, result: ChangeResult, files: Outcome) -> None:
    """Write the page of before after something was recorded."""
    write_page_to(outputs, result.site, result.made, result.now, result.before, None, files)


def write_page_to(
    outputs: Outputs,
    site: Site,
    made: Made,
    now: int,
    before: Plan | None,
    extras: list[Extra] | None,
    files: Outcome,
) -> None:
    """Write the page of a plan, if it has one; what fails is kept for later."""
    from scheduler.cli.paging import write_page

    if outputs.page is None:
        return
    with files.gathered(partial(unwritten_file, "page")):
        write_page(outputs.page, site, made, now, before, outputs.lang, extras)
        files.say(partial(say_wrote, outputs.page))
