"""All commands by name. What one needs is loaded when it is called, and so are the commands themselves."""

from __future__ import annotations

import atexit
import gc
import os
import sys
from collections.abc import Sequence
from importlib import import_module

import typer

from scheduler.cli.shared import answer_in, language_of, said_of, say_error, say_fault, steady_output
from scheduler.errors import InputError, TackfreeError
from scheduler.model.refusal import NoPlanError
from scheduler.model.tradewords import ENGLISH
from scheduler.told import told

NAME = "tackfree"
HOMES = {
    "plan": ("planning", "What to do in which hours of which weekend."),
    "check": ("checking", "Read the job only: every fault at its line and column."),
    "starter": ("starting", "Write a job to edit: a few questions, or one of the kinds."),
    "did": ("recording", "A step was finished, or begun: record it, plan anew."),
    "felt": ("recording", "How a film felt, dry or not yet: its clock learns."),
    "late": ("recording", "An item comes on another day: record it, plan anew."),
    "arrived": ("recording", "An item is there: record it, plan anew."),
    "ordered": ("recording", "A thing was ordered: record it, plan anew."),
    "bought": ("recording", "A thing is in the house: it is off the list."),
    "lost": ("recording", "A day or session does not happen: record it, plan anew."),
    "add": ("editing", "A step more: into the job file, and planned anew."),
    "drop": ("editing", "A step less: out of the job file, and planned anew."),
    "serve": ("serving", "The page on the phones of the house, where a tap is a record."),
    "diary": ("diary", "What has been recorded of a job, one line an event."),
    "buy": ("buying", "What to buy, how much of it, and by when."),
    "leeway": ("leeway", "How late items and sessions may be before the end moves."),
    "odds": ("foresight", "How likely it is to be done by which day."),
    "sooner": ("foresight", "What would end the job sooner, and by how much."),
    "methods": ("methods", "What can be done to a part, and how: all methods."),
    "dry": ("dry", "When a coat is ready: each stage, in this air."),
    "schema": ("starting", "JSON Schema of the job file, or of what is printed."),
}
"""The commands in the order of `--help`: the module of this room that holds the function, and its help in a line."""

YOUNG = 20_000
"""New objects after which Python looks for some that only hold each other: hardly any of ours do, and at its own 700
it looks a hundred times while a command is loaded."""

_USAGE: tuple[type[Exception], ...] = (typer.BadParameter.__mro__[2],)
"""What an unknown option, a missing argument and the like raise: all that comes of the command line's words."""

_PLAINER = (
    ("Input should be a valid integer, unable to parse string as an integer", "this is no whole number"),
    ("Input should be", "it should be"),
    ("Value error, ", ""),
)
"""What the library for the command line says -> how it reads to somebody who is no programmer."""


def application(words: Sequence[str] = ()) -> typer.Typer:
    """The command line: with the one command that the words begin with, or with all where they begin otherwise."""
    app = typer.Typer(
        name=NAME,
        help="Which hours of which weekend: plans a job of several days around the hours you have and the hours that "
        "glue, filler, caulk and paint take to dry.",
        no_args_is_help=True,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    app.callback()(_no_more)
    for name in words[:1] if words and words[0] in HOMES else HOMES:
        home, said = HOMES[name]
        app.command(short_help=said)(getattr(import_module(f"scheduler.cli.{home}"), name))
    return app


def _no_more() -> None:
    """What comes before a command: nothing. With it a command is called by its name even where it is the only one."""


def main() -> None:
    """The command line. Exit codes: 0 done, 1 no plan is possible (or a calendar server did not take it), 2 what was
    handed in is wrong, 130 stopped with Ctrl-C."""
    gc.set_threshold(YOUNG)
    atexit.register(gc.freeze)  # to look through what ends with the process all the same takes a tenth of a plan
    steady_output()
    code = _code()
    try:
        sys.stdout.flush()
    except OSError:
        # What is left to print would be tried once more at the very end, with an exit code of its own.
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    sys.exit(code)


def _code() -> int:
    """Run the command; whatever goes wrong is said in a line a fault."""
    answer_in("")
    try:
        done = _run()
        sys.stdout.flush()
    except TackfreeError as error:
        return _say_wrong(error)
    except OSError as error:
        return _say_unwritten(error)
    except SystemExit as stop:
        # The command line's own answer to a pipe that was closed is 1, which means something else here.
        if isinstance(stop.__context__, BrokenPipeError):
            return 0
        raise
    except _USAGE as error:
        say_error(_usage(error))
        return 2
    return done if isinstance(done, int) else 0


def _run() -> object:
    """Run the command, with its help in the language of the system."""
    app, lang, words = application(sys.argv[1:]), language_of(None), sys.argv[1:] or ["--help"]
    if lang == ENGLISH:
        return app(args=words, prog_name=NAME, standalone_mode=False)
    from scheduler.cli.helping import run_in

    return run_in(lang, app, words, NAME)


def _say_wrong(error: TackfreeError) -> int:
    for fault in error.faults if isinstance(error, InputError) else ():
        say_fault(fault)
    if isinstance(error, NoPlanError):
        _say_refused(error)
    if not isinstance(error, InputError | NoPlanError):
        say_error(said_of(error))
    return error.exit_code


def _say_refused(error: NoPlanError) -> None:
    """What stands in the way of a plan: for the person, and for a program that asked with --json."""
    from scheduler.telling.refused import refused

    told = refused(error)
    if "--json" in sys.argv[1:]:
        from scheduler.telling.machine.refusal import refusal_json

        print(refusal_json(told), end="")
    for line in told.lines:
        say_error(line)


def _say_unwritten(error: OSError) -> int:
    if isinstance(error, BrokenPipeError):
        return 0  # whoever was reading has closed the pipe: all files are there by then, and nothing went wrong
    file, why = error.filename or "what is printed", error.strerror or str(error)
    say_error(
        told("{file}: {why}; check the name, the folder, its rights and the room on the disk", file=file, why=why)
    )
    return 2


def _usage(error: Exception) -> str:
    """What is wrong with the words of the command line, in one line."""
    context = getattr(error, "ctx", None)
    command = getattr(context, "command_path", NAME)
    lang = language_of(None)
    if lang != ENGLISH:
        from scheduler.cli.helping import wrong_words

        return wrong_words(error, command, lang, list(HOMES))
    said = " ".join(error.format_message().split()) if hasattr(error, "format_message") else str(error)
    for theirs, plain in _PLAINER:
        said = said.replace(theirs, plain)
    return told("{command}: {said}; see {command} --help", command=command, said=said.rstrip("."))
