"""`tackfree serve`: the living page and the feed for the phones of the house, until Ctrl-C."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Annotated
from zoneinfo import ZoneInfo

import typer

from scheduler.cli.paging import LangOption
from scheduler.cli.shared import AsOfOption, say_error, say_sentence, sentence, time_for
from scheduler.errors import wrong_input
from scheduler.told import listing, told

if TYPE_CHECKING:
    from scheduler.serve.running import Address

NEEDED = ("starlette", "uvicorn", "segno")


def serve(
    jobs: Annotated[
        list[Path],
        typer.Argument(help="The job file, or its folder; several if several are served.", metavar="JOB..."),
    ],
    house: Annotated[bool, typer.Option("--house", help="Open it to the phones in this network.")] = False,
    port: Annotated[
        int | None, typer.Option("--port", help="The port, kept from then on (8765).", min=1, max=65535)
    ] = None,
    new_secret: Annotated[
        bool, typer.Option("--new-secret", help="New addresses: whoever has the old ones is out.")
    ] = False,
    lang: LangOption = None,
    cert: Annotated[
        Path | None, typer.Option("--cert", help="Certificate for https, with --key.", metavar="FILE")
    ] = None,
    key: Annotated[Path | None, typer.Option("--key", help="The private key of --cert.", metavar="FILE")] = None,
    name: Annotated[
        list[str] | None,
        typer.Option("--name", help="A name that this network has for this machine. Repeatable.", metavar="NAME"),
    ] = None,
    as_of: AsOfOption = None,
) -> None:
    """The page of a job on the phones of the house: a tap records, as `did` does; and a calendar to subscribe to.

    It listens on this machine alone unless --house is given. End it with Ctrl-C.

    Example: tackfree serve examples/hobby-room --house
    """
    missing = [package for package in NEEDED if find_spec(package) is None]
    if missing:
        said = told(
            "serving needs {names}",
            names=listing(told("the package `{package}`", package=package) for package in missing),
        )
        raise wrong_input("serve", said, "install it: pip install 'tackfree[serve]'")
    if (cert is None) != (key is None):
        raise wrong_input("--cert", "a certificate and its key go together", "give both, --cert and --key")
    from scheduler.pipeline import read
    from scheduler.reading.jobfile import job_file
    from scheduler.serve.running import Wanted
    from scheduler.serve.running import serve as serve_jobs
    from scheduler.wallclock import to_datetime

    if len({job_file(job).resolve() for job in jobs}) < len(jobs):
        raise wrong_input("JOB", "one job stands twice here", "name each once")
    zone = ZoneInfo(read(job_file(jobs[0]))[0].zone)
    wanted = Wanted(
        jobs=jobs,
        house=house,
        port=port,
        new_secret=new_secret,
        lang=lang.value if lang else None,
        cert=cert,
        key=key,
        names=name or (),
        exact=as_of is not None,
    )

    def now() -> datetime:
        return datetime.now(UTC) if as_of is None else to_datetime(time_for(zone, as_of), ZoneInfo("UTC"))

    time_for(zone, as_of)
    try:
        serve_jobs(wanted, now, say_error, lambda found: _show(found, house=house, bare=cert is None))
    except KeyboardInterrupt:
        say_sentence("serve.ended")
        raise


def _show(found: Sequence[Address], *, house: bool, bare: bool) -> None:
    """The addresses, on a terminal alone: what goes into a file is read by others."""
    from scheduler.serve.running import code_text

    for address in found:
        if not sys.stdout.isatty():
            print(sentence("serve.serving", title=address.title, keys=address.keys), flush=True)
            continue
        print(sentence("serve.look and record", title=address.title))
        if house:
            print(code_text(address.write))
        print(f"  {address.write}")
        print(sentence("serve.look only", title=address.title))
        if house:
            print(code_text(address.look))
        print(f"  {address.look}", flush=True)
    if house and bare:
        say_sentence("serve.bare")
    if sys.stdout.isatty():
        say_sentence("serve.how to end")
