"""No example in a README file that nobody ran: every console block is run in order, and its output compared.

A line that is only `…` stands for any number of lines left out. A block opened as ```yaml NAME is first written to
that file. What the files say of keys, programs, files and places is held against what there is.
"""

from __future__ import annotations

import importlib.util
import re
import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from scheduler.cli.app import HOMES
from scheduler.reading import job_schema, starter_text
from scheduler.reading.shipped import shipped_profiles
from scheduler.reading.yamlfile import load_yaml
from tests.support.consoles import FILES, FRONT, LEFT_OUT, ROOT, agrees, blocks, commands, renewed, run_all

README = FRONT.read_text("utf-8")
EXAMPLES, PROFILES, TESTS = (file.read_text("utf-8") for file in FILES[1:])
EVERY = pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(ROOT)))


def links(text: str) -> list[str]:
    """Where the links and pictures of a text lead, outside of its blocks."""
    return re.findall(r"\]\(([^)\s]+)\)", re.sub(r"(?ms)^```.*?^```$", "", text))


@pytest.mark.long
@EVERY
def test_every_console_block_prints_what_it_shows(file: Path, tmp_path: Path) -> None:
    """A reader who types what a file shows sees what it shows (else: `python -m tests.support.consoles`)."""
    text = file.read_text("utf-8")
    ran = []
    for shown in run_all(text, tmp_path):
        assert agrees(shown.lines, shown.printed), f"$ {shown.command}\n" + "\n".join(shown.printed)
        ran.append(f"$ {shown.command}")
    assert ran == commands(text)


def test_the_blocks_are_found() -> None:
    """As many lines are typed as stand in the text, and each file has some."""
    for file in FILES:
        text = file.read_text("utf-8")
        assert len(commands(text)) == len(re.findall(r"(?m)^\$ ", text)) > 0
        assert len(list(blocks(text))) == len(re.findall(r"(?m)^```", text)) / 2
    assert len(commands(EXAMPLES)) > 10


def test_every_command_is_shown_at_work() -> None:
    """Whoever reads the pages sees each command typed, and what it prints."""
    typed = {line.split()[2] for text in (README, EXAMPLES, PROFILES, TESTS) for line in commands(text)}
    assert set(HOMES) - typed == set()


@EVERY
def test_no_block_leaves_everything_out(file: Path) -> None:
    """Under each command stands a line of what it prints: `…` alone agrees with a crash as well."""
    for block in blocks(file.read_text("utf-8")):
        if block.language == "console":
            for stretch in re.split(r"(?m)^\$ .*$", "\n".join(block.lines))[1:]:
                assert any(line.strip() not in ("", LEFT_OUT) for line in stretch.splitlines()), block.lines


def test_what_is_shown_of_the_starter_is_in_it() -> None:
    """The values that README shows of the file of `tackfree starter … --kind repaint` stand there, in this order."""
    (shown,) = (block for block in blocks(README) if "  spare room:" in block.lines)
    written = starter_text("repaint", date(2026, 12, 1))
    assert agrees([LEFT_OUT, *shown.lines, LEFT_OUT], written.splitlines())


@pytest.mark.parametrize("words", ["tackfree plan", "pytest"])
def test_the_set_up_lines_are_one_line_each(words: str) -> None:
    """One line installs and plans the example, one line installs and runs the tests; CI takes them from here."""
    lines = [line for line in README.splitlines() if line.startswith("python3 -m venv") and words in line]
    assert len(lines) == 1


def test_the_front_page_is_short_and_reads_alone() -> None:
    """A page of a package index shows it without the files beside it: no picture, no link leads to one of them."""
    assert len(README.splitlines()) <= 250
    assert [target for target in links(README) if not target.startswith(("https://", "#"))] == []
    assert all(str(file.relative_to(ROOT)) in README for file in FILES[1:])


@EVERY
def test_every_link_leads_somewhere(file: Path) -> None:
    """A link to a file finds it beside the page, one within the page its heading."""
    text = file.read_text("utf-8")
    outside = re.sub(r"(?ms)^```.*?^```$", "", text)
    headings = {
        re.sub(r"[^\w\- ]", "", line.lstrip("# ")).lower().replace(" ", "-")
        for line in re.findall(r"(?m)^#+ .*", outside)
    }
    for target in links(text):
        if target.startswith("#"):
            assert target[1:] in headings, target
        elif not target.startswith("https://"):
            assert (file.parent / target).exists(), target


def test_every_key_of_the_job_file_is_explained() -> None:
    """Whatever the schema lets a job file say stands in examples/README.md as a key: `key:` or in quotes."""
    schema = job_schema()
    forms = [schema, *schema["$defs"].values()]
    keys = {key for form in forms for key in form.get("properties", {})}
    assert len(keys) > 80, "the keys were not found"
    told = {key for key in keys if re.search(rf"(?<![\w-]){re.escape(key)}:|`{re.escape(key)}`", EXAMPLES)}
    assert keys - told == set()


NAMED = {
    "sources",
    "stages",
    "options",
    "quantities",
    "gives",
    "steps",
    "after",
    "only",
    "ready",
    "wares",
    "waste",
    "packs",
    "small_things",
    "where",
}
NAMED |= {"mask", "wear", "ask", "cite", "rules", "years", "densities"}  # of cautions: by region, by word
"""Keys under which a profile has names of its own."""


def keys_of(value: Any, named: bool = False) -> Iterator[str]:
    """The keys of a file, but what it calls things itself."""
    if isinstance(value, dict):
        for key, below in value.items():
            if not named:
                yield key
            yield from keys_of(below, named=not named and key in NAMED)
    elif isinstance(value, list):
        for each in value:
            yield from keys_of(each, named)


def test_every_key_of_the_shipped_profiles_is_explained() -> None:
    """Whatever a shipped file of data says is a key that profiles/README.md names; words of a language are none."""
    files = [path for path in shipped_profiles().rglob("*.yaml") if path.parent.name != "words"]
    keys = {key for path in files for key in keys_of(load_yaml(path)[0])}
    assert {"based_on", "exponent", "cycle", "remedy", "per_cut"} <= keys, "the keys were not found"
    assert {key for key in keys if not re.search(rf"(?<!\w){re.escape(key)}(?!\w)", PROFILES)} == set()


def test_every_program_that_is_named_is_there() -> None:
    """`python -m …` names a module, and every benchmark is in the list of tests/README.md."""
    for text in (README, EXAMPLES, PROFILES, TESTS):
        for name in re.findall(r"python -m (tests\.[\w.]*\w)", text):
            assert importlib.util.find_spec(name) is not None, name
    programs = {
        path.stem for path in (ROOT / "tests" / "bench").glob("*.py") if "__main__" in path.read_text("utf-8")
    }
    assert programs == set(re.findall(r"(?m)^\| `python -m tests\.bench\.(\w+)", TESTS))


def test_every_test_that_is_named_is_there() -> None:
    """The table of the outside sources leads to the tests that are held against them."""
    named = [name for row in re.findall(r"(?m)^\|.*\|$", TESTS) for name in re.findall(r"`([\w/]+\.py)`", row)]
    assert len(named) > 15, "the table was not found"
    assert [name for name in named if not (ROOT / "tests" / name).is_file()] == []
    assert [name for name in re.findall(r"`(tests/[\w/]+\.py)`", PROFILES) if not (ROOT / name).is_file()] == []


def test_the_licence_goes_with_the_package() -> None:
    """MIT, in the checkout, the wheel and the source package (what is in them once they are built: .ci/run)."""
    text = (ROOT / "LICENSE").read_text("utf-8")
    assert text.startswith("MIT License\n\nCopyright (c) 2026 the tackfree authors\n")
    assert "WITHOUT WARRANTY OF ANY KIND" in text
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    assert (project["project"]["license"], project["project"]["license-files"]) == ("MIT", ["LICENSE"])
    assert project["project"]["readme"] == "README.md"
    sources = set(project["tool"]["hatch"]["build"]["targets"]["sdist"]["include"])
    assert {"LICENSE", *(file.relative_to(ROOT).parts[0] for file in FILES)} <= sources
    assert re.search(r"(?m)^## Licence\n\nMIT, see `LICENSE`", README)


def test_the_comparison_can_fail() -> None:
    """The comparison of this file tells a wrong line, a missing line and a line too many."""
    assert agrees(["a", "…", "c"], ["a", "b", "c"])
    assert agrees(["a", "…"], ["a"])
    assert not agrees(["a", "c"], ["a", "b", "c"])
    assert not agrees(["a", "…", "d"], ["a", "b", "c"])
    assert not agrees([], ["a"])


def test_what_is_renewed_keeps_its_stretches() -> None:
    """Bringing a file up to date shows the same parts of an output, with what they say now."""
    printed = ["head", "noise", "finish: 7 March", "on 8 days", "noise", "tail 1", "tail 2"]
    shown = ["head", "…", "finish: 6 March", "on 9 days", "…", "tail 1"]
    assert renewed(shown, printed) == ["head", "…", "finish: 7 March", "on 8 days", "…", "tail 1", "tail 2"]
    assert renewed(["old"], printed) == printed
    assert agrees(renewed(shown, printed), printed)
