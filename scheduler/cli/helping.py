"""The help, and what is wrong with a command line, in another language than that of the code.

The library for the command line knows English only. What we say ourselves stands in English at each command and is
the key under which a language has its own; what the library says is said anew out of what it hands over.
"""

from __future__ import annotations

import gettext
import inspect
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

import typer
import typer.main

from scheduler.model.names import nearest
from scheduler.telling.words.sentences import sentences_in
from scheduler.told import in_words, told

EXAMPLE = "Example:"


def run_in(lang: str, app: typer.Typer, words: Sequence[str], name: str) -> object:
    """Run the command line of an application with its help in a language."""
    known = sentences_in(lang, "help")
    command: Any = typer.main.get_command(app)
    for each in (command, *getattr(command, "commands", {}).values()):
        _turn(each, known)
    with _headings(known):
        done: object = command(args=[*words], prog_name=name, standalone_mode=False)
    return done


@contextmanager
def _headings(known: Mapping[str, str]) -> Iterator[None]:
    """What the library hands to gettext is answered out of the sentences, instead of out of a compiled file."""
    theirs = gettext.dgettext
    vars(gettext)["dgettext"] = lambda _domain, text: known.get(text, text)
    try:
        yield
    finally:
        vars(gettext)["dgettext"] = theirs


def _turn(command: Any, known: Mapping[str, str]) -> None:
    command.help, command.short_help = (_said(text, known) for text in (command.help, command.short_help))
    for name in ("options_metavar", "subcommand_metavar"):
        if hasattr(command, name):
            setattr(command, name, in_words(getattr(command, name), known))
    theirs = command.get_params

    def get_params(context: Any) -> list[Any]:
        found: list[Any] = theirs(context)
        for param in found:
            if getattr(param, "help", None):
                param.help = _said(param.help, known)
        return found

    def format_usage(context: Any, formatter: Any) -> None:
        pieces = " ".join(command.collect_usage_pieces(context))
        formatter.write_usage(context.command_path, pieces, prefix=known["Usage: "])

    command.get_params, command.format_usage = get_params, format_usage


def _said(text: str | None, known: Mapping[str, str]) -> str | None:
    """A text of several paragraphs, each by its own English; an example is typed in every language alike."""
    if not text:
        return text
    paragraphs = [" ".join(each.split()) for each in inspect.cleandoc(text).split("\n\n")]
    return "\n\n".join(
        known[EXAMPLE] + each.removeprefix(EXAMPLE) if each.startswith(EXAMPLE) else known.get(each, each)
        for each in paragraphs
    )


def wrong_words(error: Any, command: str, lang: str, commands: Sequence[str]) -> str:
    """What is wrong with the words of the command line, in one line. `commands` are those that there are."""
    said = _wrong(error, commands)
    return in_words(
        told("{command}: {said}; see {command} --help", command=command, said=said), sentences_in(lang, "help")
    )


def _wrong(error: Any, commands: Sequence[str]) -> str:
    kind, param = type(error).__name__, getattr(error, "param", None)
    if kind == "NoSuchOption":
        said = _no_option(error.option_name, error.possibilities or ())
    elif kind == "BadOptionUsage":
        given = any(word.startswith(f"{error.option_name}=") for word in sys.argv)
        said = told("{option} takes no value", option=error.option_name)
        if not given:
            said = told("{option} needs a value behind it", option=error.option_name)
    elif param is not None:
        missing = kind == "MissingParameter"
        said = told("{name} is missing", name=_name(param, error.ctx)) if missing else _no_value(param, error.ctx)
    elif (first := next(iter(sys.argv[1:]), "")) in commands:
        said = "there are more words here than the command takes"
    else:
        said = _no_command(first, commands)
    return said


def _no_option(name: str, near: Sequence[str]) -> str:
    if near:
        return told("there is no option {option}; did you mean {names}?", option=name, names=", ".join(sorted(near)))
    return told("there is no option {option}", option=name)


def _no_command(name: str, commands: Sequence[str]) -> str:
    near = nearest(name, commands)
    if near is not None:
        return told("there is no command “{name}”; did you mean “{near}”?", name=name, near=near)
    return told("there is no command “{name}”", name=name)


def _no_value(param: Any, context: Any) -> str:
    name, shown = _name(param, context), str(getattr(param, "display_type", lambda _: "")(context))
    least, most = getattr(param, "min", None), getattr(param, "max", None)
    if "|" in shown:
        return told("{name} takes one of {names}", name=name, names=", ".join(shown.strip("[]<>{}").split("|")))
    if least is not None and most is not None:
        return told("{name} takes a whole number from {least} to {most}", name=name, least=least, most=most)
    if least is not None:
        return told("{name} takes a whole number from {least} up", name=name, least=least)
    if isinstance(param.default, int):
        return told("{name} takes a whole number", name=name)
    return told("{name} does not take this", name=name)


def _name(param: Any, context: Any) -> str:
    """How a parameter is called on the command line: `--seed`, `JOB`."""
    hint = param.get_error_hint() if param.param_type_name == "option" else param.metavar or param.name.upper()
    return str(hint).strip("'")
