"""Which tests run which lines of the code, and how long each takes: what `mutants` chooses its tests by.

    python -m tests.bench.covering TREE FILE [TESTS]...

Runs the short tests of a tree once (or those of some files, whose lines are replaced), in one process. Writes a line
for each that passes: its name, its seconds of the processor, and the stretches of code that it ran. A stretch is what
runs in one go inside a function: from the head of a block, or from behind a statement that holds blocks, to the next
such place. What is run while modules are imported belongs to no test.

Each file of tests runs in a fork of its own, so that a plan which its tests share is theirs, and not that of another
file whose turn came earlier.
"""

from __future__ import annotations

import ast
import builtins
import importlib.machinery
import json
import os
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from importlib.abc import MetaPathFinder
from itertools import groupby
from pathlib import Path
from types import CodeType, ModuleType
from typing import Any, ClassVar

import pytest

PACKAGE = "scheduler"
SEEN = "__stretches_seen__"
"""A name that all modules see: a byte for each stretch, 1 once it ran."""
BLOCKS = ("body", "orelse", "finalbody")
Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True)
class Stretch:
    """Some lines of a file inside a function, both ends among them; stretches of blocks lie inside others."""

    file: str
    first: int
    last: int


@dataclass(frozen=True)
class Ran:
    """A test that passed: its seconds of the processor, and a bit for each stretch, by the number of the stretch."""

    test: str
    seconds: float
    stretches: int

    @property
    def file(self) -> str:
        """The file it stands in."""
        return self.test.partition("::")[0]


@dataclass(frozen=True)
class Covering:
    """What all tests ran."""

    stretches: Sequence[Stretch]
    tests: Sequence[Ran]

    @classmethod
    def read(cls, tree: Path, file: Path) -> Covering:
        """What was written of a tree that has not been changed since."""
        lines = [json.loads(line) for line in file.read_text("utf-8").splitlines()]
        return cls(stretches_of(tree), [Ran(each[0], each[1], int(each[2], 16)) for each in lines])

    def running(self, file: str, line: int) -> list[Ran]:
        """The tests that run a line of a function; none for a line outside of functions."""
        around = [
            number
            for number, each in enumerate(self.stretches)
            if each.file == file and each.first <= line <= each.last
        ]
        if not around:
            return []
        bit = 1 << max(around, key=lambda number: (self.stretches[number].first, number))
        return [each for each in self.tests if each.stretches & bit]

    def running_any(self, file: str) -> list[Ran]:
        """The tests that run anything in a file."""
        bits = self._files.get(file, 0)
        return [each for each in self.tests if each.stretches & bits]

    @cached_property
    def _files(self) -> dict[str, int]:
        found: dict[str, int] = {}
        for number, each in enumerate(self.stretches):
            found[each.file] = found.get(each.file, 0) | 1 << number
        return found


# --- Stretches ---------------------------------------------------------------------------------------------------


def stretches_of(tree: Path) -> list[Stretch]:
    """All stretches of the package; the number of one is its place."""
    return [
        Stretch(str(path.relative_to(tree)), cut.held[0].lineno, cut.held[-1].end_lineno or cut.held[-1].lineno)
        for path in sorted((tree / PACKAGE).rglob("*.py"))
        for cut in _cuts(ast.parse(path.read_bytes()))
    ]


@dataclass(frozen=True)
class _Cut:
    """The statements of a stretch, the block that they stand in, and where in it they begin."""

    block: list[ast.stmt]
    at: int
    held: Sequence[ast.stmt]


def _cuts(module: ast.Module) -> list[_Cut]:
    """Where the stretches of a module lie, always in the same order."""
    functions = [each for each in ast.walk(module) if isinstance(each, Function)]
    return [cut for function in functions for block in _blocks(function) for cut in _in_one_go(block)]


def _blocks(node: ast.AST) -> Iterator[list[ast.stmt]]:
    """The blocks of a statement and of those in it, but not of functions and classes inside."""
    for name in BLOCKS:
        block = getattr(node, name, [])
        if block:
            yield block
        for each in block:
            if not isinstance(each, Function | ast.ClassDef):
                yield from _blocks(each)
    for part in (*getattr(node, "handlers", ()), *getattr(node, "cases", ())):
        yield from _blocks(part)


def _in_one_go(block: list[ast.stmt]) -> Iterator[_Cut]:
    first = 0
    for at, each in enumerate(block):
        if at == len(block) - 1 or any(hasattr(each, name) for name in (*BLOCKS, "cases")):
            yield _Cut(block, first, block[first : at + 1])
            first = at + 1


# --- Watching ----------------------------------------------------------------------------------------------------


class Watched(importlib.machinery.SourceFileLoader):
    """Loads a module in which each stretch says that it ran."""

    numbers: ClassVar[dict[str, int]] = {}
    """The number of the first stretch of each file."""

    def get_code(self, fullname: str) -> CodeType:
        """Never what was compiled before: that says nothing."""
        path = self.get_filename(fullname)
        module = ast.parse(Path(path).read_bytes())
        for number, cut in reversed([*enumerate(_cuts(module), start=self.numbers.get(path, 0))]):
            says = ast.parse(f"{SEEN}[{number}] = 1").body[0]
            for node in ast.walk(says):
                ast.copy_location(node, cut.held[0])
            cut.block.insert(cut.at + _is_docstring(cut.held[0]), says)
        return compile(module, path, "exec", dont_inherit=True)


def _is_docstring(statement: ast.stmt) -> bool:
    return isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant)


class Finder(MetaPathFinder):
    """Finds the modules of the package as ever, and has them watched."""

    def find_spec(self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None) -> Any:
        """As the ordinary finder has it, with another loader."""
        if fullname.partition(".")[0] != PACKAGE:
            return None
        spec = importlib.machinery.PathFinder.find_spec(fullname, path, target)
        if spec is not None and spec.origin is not None:
            spec.loader = Watched(fullname, spec.origin)
        return spec


class Recorder:
    """Runs the tests of each file in a fork, and writes what each of them ran."""

    def __init__(self, seen: bytearray, file: Path) -> None:
        self.seen = seen
        self.file = file
        self.passed = False

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """In place of pytest's own loop."""
        for name, group in groupby(session.items, key=lambda item: item.nodeid.partition("::")[0]):
            print(name, flush=True)
            child = os.fork()
            if not child:
                try:
                    self._run([*group])
                finally:
                    os._exit(0)
            os.waitpid(child, 0)
        return True

    def _run(self, items: Sequence[pytest.Item]) -> None:
        with self.file.open("a", encoding="utf-8") as file:
            for item, following in zip(items, [*items[1:], None], strict=True):
                self.seen[:] = bytes(len(self.seen))
                self.passed = True
                began = time.process_time()
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
                seconds = time.process_time() - began
                if self.passed:
                    ran = int(bytes(self.seen[::-1]).translate(bytes.maketrans(b"\0\1", b"01")), 2)
                    file.write(json.dumps([item.nodeid, round(seconds, 4), f"{ran:x}"]) + "\n")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """One that is skipped is as one that fails: it tells nothing."""
        self.passed = self.passed and report.passed


def main() -> None:
    """The short tests of a tree, into a file."""
    tree, file = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve()
    stretches = stretches_of(tree)
    for number, each in reversed([*enumerate(stretches)]):
        Watched.numbers[str(tree / each.file)] = number
    seen = bytearray(len(stretches))
    setattr(builtins, SEEN, seen)
    for name in [name for name in sys.modules if name.partition(".")[0] in (PACKAGE, "tests")]:
        del sys.modules[name]
    os.chdir(tree)
    sys.path.insert(0, str(tree))
    sys.meta_path.insert(0, Finder())
    tests = sys.argv[3:]
    lines = file.read_text("utf-8").splitlines(keepends=True) if tests and file.is_file() else []
    file.write_text("".join(line for line in lines if json.loads(line)[0].partition("::")[0] not in tests), "utf-8")
    args = ["-q", "-m", "not long", "-p", "no:cacheprovider", "-p", "no:xdist", *tests]
    pytest.main(args, plugins=[Recorder(seen, file)])


if __name__ == "__main__":
    main()
