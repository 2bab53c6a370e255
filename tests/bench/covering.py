"""Which tests run which lines of the code, and how long each takes: what `mutants` chooses its tests by.

    python -m tests.bench.covering TREE FILE [TESTS]...

Runs the short tests of a tree once, or those of some files, in one process. Writes its stretches of code, and a line
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
from dataclasses import astuple, dataclass, replace
from functools import cached_property, reduce
from importlib.abc import MetaPathFinder
from itertools import groupby
from operator import or_
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

    def holds(self, line: int) -> bool:
        """Whether a line is one of them."""
        return self.first <= line <= self.last


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
    """What all tests ran, by the stretches that the code had then. `moved` are files that have others now."""

    stretches: Sequence[Stretch]
    tests: Sequence[Ran]
    moved: frozenset[str] = frozenset()

    @classmethod
    def read(cls, file: Path) -> Covering:
        """What was written: the stretches, then a line for each test."""
        head, *lines = (json.loads(line) for line in file.read_text("utf-8").splitlines())
        return cls([Stretch(*each) for each in head], [Ran(test, spent, int(ran, 16)) for test, spent, ran in lines])

    def written(self, file: Path) -> None:
        """As it is read."""
        lines = [
            [astuple(each) for each in self.stretches],
            *([*astuple(each)[:2], f"{each.stretches:x}"] for each in self.tests),
        ]
        file.write_text("".join(json.dumps(line) + "\n" for line in lines), "utf-8")

    def renewed(self, fresh: Covering) -> Covering:
        """With the tests of some files as they ran later. A stretch that is not where it was is any of its file."""
        place = {each: 1 << number for number, each in enumerate(self.stretches)}
        bits = [place.get(each) or self._all_of(each.file) for each in fresh.stretches]
        files = {each.file for each in fresh.tests}
        added = [
            replace(
                ran, stretches=reduce(or_, (bit for number, bit in enumerate(bits) if ran.stretches >> number & 1), 0)
            )
            for ran in fresh.tests
        ]
        return replace(self, tests=[*(each for each in self.tests if each.file not in files), *added])

    def as_in(self, tree: Path) -> Covering:
        """It says which files have other stretches in a tree by now."""
        odd = {*self.stretches} ^ {*stretches_of(tree)}
        return replace(self, moved=frozenset(each.file for each in odd))

    def running(self, file: str, line: int) -> list[Ran]:
        """The tests that run a line of a function; none for a line outside of functions, or in a file that moved."""
        if file in self.moved:
            return []
        held = [number for number in self._numbers.get(file, ()) if self.stretches[number].holds(line)]
        if not held:
            return []
        return self._having(1 << max(held, key=lambda number: (self.stretches[number].first, number)))

    def running_any(self, file: str) -> list[Ran]:
        """The tests that run anything in a file."""
        return self._having(self._all_of(file))

    def _all_of(self, file: str) -> int:
        return sum(1 << number for number in self._numbers.get(file, ()))

    def _having(self, bits: int) -> list[Ran]:
        return [each for each in self.tests if each.stretches & bits]

    @cached_property
    def _numbers(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = {}
        for number, each in enumerate(self.stretches):
            found.setdefault(each.file, []).append(number)
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
    Covering(stretches, []).written(file)
    args = ["-q", "-m", "not long", "-p", "no:cacheprovider", "-p", "no:xdist", *sys.argv[3:]]
    pytest.main(args, plugins=[Recorder(seen, file)])


if __name__ == "__main__":
    main()
