"""All commands by name. Each one imports what it needs when it runs, so that `--help` is quick."""

from __future__ import annotations

import sys

import typer

from scheduler.cli.buying import buy
from scheduler.cli.checking import check
from scheduler.cli.diary import diary
from scheduler.cli.dry import dry
from scheduler.cli.foresight import odds, sooner
from scheduler.cli.leeway import leeway
from scheduler.cli.planning import plan
from scheduler.cli.recording import arrived, did, late, lost
from scheduler.cli.shared import say_error
from scheduler.cli.starting import schema, starter
from scheduler.errors import InputError, NoPlanError, TackfreeError

app = typer.Typer(
    name="tackfree",
    help="Which hours of which weekend: plans a job of several days around the hours you have and the hours that "
    "glue, filler, caulk and paint take to dry.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)
for command in (plan, check, starter, did, late, arrived, lost, diary, buy, leeway, odds, sooner, dry, schema):
    app.command()(command)


def main() -> None:
    """The command line. Exit codes: 0 done, 1 no plan is possible (or a calendar server did not take it), 2 what was
    handed in is wrong."""
    try:
        app()
    except InputError as error:
        for fault in error.faults:
            say_error(str(fault))
        sys.exit(error.exit_code)
    except TackfreeError as error:
        say_error(f"No plan is possible. {error}" if isinstance(error, NoPlanError) else str(error))
        sys.exit(error.exit_code)
    except BrokenPipeError:
        # Whoever was reading has closed the pipe: nothing is left to say, and nothing went wrong.
        sys.stderr.close()
        sys.exit(0)
    except OSError as error:
        said = f"{error.filename or 'a file'}: {error.strerror or error}"
        say_error(f"{said}; check the name, the folder, its rights and the room on the disk")
        sys.exit(2)
