"""Files that the person wants written: looked at before anything is planned, so that nothing of theirs is lost."""

from __future__ import annotations

import os
import shlex
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.cli.shared import said_of, say_error, sentence
from scheduler.errors import Fault, InputError, Place, TackfreeError, UnwrittenError, wrong_input
from scheduler.files import is_one
from scheduler.telling.marks import GRAPH_ENDINGS, is_calendar, is_graph, is_page
from scheduler.told import either, told

if TYPE_CHECKING:
    from scheduler.calendar.write import Whom
    from scheduler.living.site import Site

_MOST_BYTES = 64 << 20
"""Of a file in which our mark is looked for; none of ours comes near."""


@dataclass(frozen=True, slots=True)
class Outputs:
    """Where a plan goes: a calendar file, a page and its language ("": the job's), the address of a calendar on a
    server and the file of its authority, and calendar files for others. `behind` is the address of one that is left
    as it is for once."""

    ics: Path | None = None
    page: Path | None = None
    lang: str = ""
    server: str | None = None
    ca: Path | None = None
    parts: Mapping[Whom, Path] = field(default_factory=dict)
    behind: str | None = None

    @property
    def by_option(self) -> dict[str, Path]:
        """The calendar files for others, by the option that names them."""
        return {f"--for {whom} --ics": file for whom, file in self.parts.items()}

    def or_else(self, before: Outputs) -> Outputs:
        """The same, where nothing is named as before. Raises InputError if two of them were to be one file."""
        page, lang = (before.page, before.lang) if self.page is None else (self.page, self.lang)
        server, ca = self.server or before.server, self.ca or before.ca
        parts = {**before.parts, **self.parts}
        files = [file for file in (self.ics or before.ics, page, *parts.values()) if file is not None]
        if any(is_one(one, other) for one, other in combinations(files, 2)):
            raise wrong_input("--ics", "another calendar or page of this job is written there", "name another file")
        return Outputs(self.ics or before.ics, page, lang, server, ca, parts, before.behind)


def check_outputs(*, ics: Path | None = None, page: Path | None = None, graph: Path | None = None) -> None:
    """Refuse what can't be written, or what would write over a file that is something else.

    A file that is there is written over only if it bears the mark of an earlier one of the same kind. A name under
    which the record of a job is kept is refused even where there is no such file yet. Raises InputError.
    """
    named = {"--ics": ics, "--page": page, "--graph": graph}
    faults = [fault for option, path in named.items() for fault in _faults(option, path)]
    given = [(option, path) for option, path in named.items() if path is not None]
    for (first, one), (option, other) in combinations(given, 2) if not faults else ():
        if is_one(one, other):
            faults.append(
                Fault(
                    Place(option), told("this is the file of {first} as well", first=first), "give each its own name"
                )
            )
    if faults:
        raise InputError(faults)


def unwritten(
    error: OSError, site: Site, job: Path, ics: Path | None, *, recorded: bool = False, published: bool = False
) -> UnwrittenError:
    """What to say when the plan that is kept, or the calendar that comes after it, could not be written."""
    kept = os.path.realpath(site.files.plan) == error.filename
    old = _old(("files.plan",) * kept + ("files.calendar",) * (ics is not None or published))
    holds = sentence("files.recorded holds", old=old) if recorded else old
    return UnwrittenError(error, holds, sentence("files.make room", command=_again(job, ics)))


def stopped(job: Path, ics: Path | None) -> str:
    """What to say when somebody presses Ctrl-C once something is recorded."""
    old = _old(("files.plan", *(("files.calendar",) if ics is not None else ())))
    return "\n" + sentence("cli.stopped", old=old, command=_again(job, ics))


def _old(files: Sequence[str]) -> str:
    named = sentence("and").join(map(sentence, files))
    return sentence("files.are old" if len(files) > 1 else "files.is old", files=named)


def _again(job: Path, ics: Path | None) -> str:
    """The command that writes what could not be written, as it is typed."""
    return shlex.join(["tackfree", "plan", str(job), *(["--ics", str(ics)] if ics is not None else [])])


def unprinted(error: OSError, ics: Path | None) -> UnwrittenError:
    """What to say when all is written, and only the text of it can't be."""
    error.filename = sentence("files.printed")
    written = sentence("files.plan new" if ics is None else "files.both new")
    return UnwrittenError(error, sentence("files.recorded holds", old=written), sentence("files.look at it"))


def unwritten_file(what: str, error: OSError) -> UnwrittenError:
    """The same when it is the page, or the graph."""
    kind = "files.page" if what == "page" else "files.graph"
    return UnwrittenError(error, sentence("files.not anew", what=sentence(kind)), sentence("files.plan again"))


_KINDS: Mapping[str, tuple[str, str, Callable[[bytes], bool]]] = {
    "--ics": ("calendar file", "plan.ics", is_calendar),
    "--page": ("page", "plan.html", is_page),
    "--graph": ("graph", "plan.graphml", is_graph),
}
"""By option: what is written, a name for it, and whether a file is one that was written before."""


class Outcome:
    """What became of the files of a plan, gathered while all of them are written and told after the plan: whoever
    closes a pipe loses no file, and a file that can't be written keeps nothing from being printed."""

    def __init__(self) -> None:
        self._said: list[Callable[[], None]] = []
        self._failed: list[TackfreeError] = []

    @contextmanager
    def gathered(self, saying: Callable[[OSError], TackfreeError] | None = None) -> Iterator[None]:
        """Whatever fails in here is kept for later; `saying` makes an error of ours of what the system refused."""
        try:
            yield
        except TackfreeError as error:
            self._failed.append(error)
        except OSError as error:
            if saying is None:
                raise
            self._failed.append(saying(error))

    def say(self, later: Callable[[], None]) -> None:
        """Have something said once the plan is printed."""
        self._said.append(later)

    def tell(self) -> None:
        """Say all that is to be said."""
        for say in self._said:
            say()

    def raise_first(self) -> None:
        """Raise what failed; of several the first, the others are said."""
        for error in self._failed[1:]:
            say_error(said_of(error))
        if self._failed:
            raise self._failed[0]


def _faults(option: str, path: Path | None) -> Iterator[Fault]:
    if path is None:
        return
    kind, example, _ = _KINDS[option]
    from scheduler.diary.record import is_kept_for_a_job
    from scheduler.reading.textfile import shown

    place = Place(f"{option} {shown(path)}")
    real = Path(os.path.realpath(path))  # what a link names is written, not the link
    if str(path) == "-":
        yield Fault(
            place,
            "a file is written, and nothing goes to the screen",
            told("name it, such as {example}", example=example),
        )
    elif option == "--graph" and path.suffix.lower() not in GRAPH_ENDINGS:
        said = "the name says how a graph is written, by its ending"
        yield Fault(
            place,
            said,
            told("write {names}", names=either(shown(path.with_suffix(each)) for each in GRAPH_ENDINGS)),
        )
    elif path.is_dir():
        yield Fault(place, "this is a folder", told("name a file in it, such as {path}", path=shown(path / example)))
    elif real.is_symlink():
        yield Fault(place, "this is a link that leads to itself", "name another")
    elif not real.parent.is_dir():
        yield Fault(
            place,
            told("there is no folder {folder}", folder=shown(_folder(path, real))),
            "make it first, or name another",
        )
    elif is_kept_for_a_job(real.name):
        yield Fault(
            place,
            "under such a name the record of a job is kept",
            told("name another, such as {example}", example=example),
        )
    elif not os.access(real.parent, os.W_OK):
        said = told("the folder {folder} can't be written to", folder=shown(_folder(path, real)))
        yield Fault(place, said, "name a file in another folder")
    elif _is_printed_to(real):
        yield Fault(place, "what is printed goes into this file", "give each its own name")
    elif path.exists() and not (path.is_file() and _is_earlier(option, path)):
        yield Fault(
            place,
            told("this is there already, and no {kind} of tackfree; it is left as it is", kind=kind),
            "name another",
        )


def _folder(path: Path, real: Path) -> Path:
    """The folder that a file lies in, as the person named it if they did."""
    return real.parent if path.is_symlink() else path.parent


def _is_printed_to(path: Path) -> bool:
    """Whether the shell has led the output into that very file, which is empty then, and not one to be replaced."""
    for stream in (sys.stdout, sys.stderr):
        try:
            if os.path.samestat(os.fstat(stream.fileno()), path.stat()):
                return True
        except (OSError, ValueError):
            continue  # no such file, or no stream of the system's
    return False


def _is_earlier(option: str, path: Path) -> bool:
    """Whether the file is empty, or one that this option has written before."""
    with path.open("rb") as file:
        content = file.read(_MOST_BYTES)
    return not content or _KINDS[option][2](content)
