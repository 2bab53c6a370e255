"""How many random mistakes the tests notice: one small change of the code, or of a number of the profiles, at a time.

    python -m tests.bench.mutants [--each N] [--room ROOM]... [--data N] [--seed S] [--patience SECONDS]

N changes in each room, drawn from all that can be made there: a comparison turned or its border moved, a sum turned,
a whole number one more, `and` for `or`, a `not` left out, `min` for `max`, `break` for `continue`, a truth turned, a
call or an addition left out (A. J. Offutt and others, "An experimental determination of sufficient mutant
operators", ACM Transactions on Software Engineering and Methodology 5, 1996; from memory). Each is tried in a copy
of the tree, against the tests that know its module: those that import it, those of the room of its name, those that
import that room, until one fails. The long ones are left out. A change of data makes one number of a profile 1.5
times as large, against the tests that read profiles; not against the sums in `records.json`, which notice every
change and know nothing.

What behaves as before whatever it is given is no mistake. Such changes are listed with the reason in
`equivalent.json` beside this file, by the line as it was and as it became; they are drawn, named, and not counted.

Prints what came of each, then a table by room, and as its last line the same as JSON. Takes about ten seconds of the
processor for each change that is noticed, and up to all of the time of its tests for each that is not.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from queue import SimpleQueue
from random import Random

ROOT = Path(__file__).parents[2]
EQUIVALENT = Path(__file__).with_name("equivalent.json")
COPIED = ("scheduler", "tests", "profiles", "examples", "README.md", "pyproject.toml", "LICENSE", ".ci")
DATA = "profiles"
"""The room of numbers."""
FACTOR = 1.5
TOO_LONG = "its tests take longer than the patience"

TURNED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
OTHER: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
}  # fmt: skip
NAMES = {"min": "max", "max": "min", "any": "all", "all": "any"}


@dataclass(frozen=True)
class Change:
    """One change of a file: what stands from one sign to another is replaced; and its line before and after."""

    room: str
    file: str
    line: int
    begin: int
    end: int
    instead: str
    was: str
    now: str


@dataclass(frozen=True)
class Tried:
    """A change, and what came of it: the test that noticed it, or "" if none did."""

    change: Change
    noticed: str


def changes_of(file: str, text: str) -> Iterator[Change]:
    """All changes of a module of the code."""
    starts = [0]
    for line in text.splitlines(keepends=True):
        starts.append(starts[-1] + len(line.encode()))
    content = text.encode()
    lines = text.splitlines()
    for node in _behaving(ast.parse(text)):
        for other in _others(node):
            assert isinstance(node, ast.expr | ast.stmt)
            begin = starts[node.lineno - 1] + node.col_offset
            end = starts[(node.end_lineno or node.lineno) - 1] + (node.end_col_offset or 0)
            new = ast.unparse(other)
            if isinstance(node, ast.expr):
                new = f"({new})"
            before, after = (
                content[starts[node.lineno - 1] : begin].decode(),
                content[end:].decode().partition("\n")[0],
            )
            now = f"{before}{new}{after}".strip()
            yield Change(room_of(file), file, node.lineno, begin, end, new, lines[node.lineno - 1].strip(), now)


def _behaving(node: ast.AST) -> Iterator[ast.AST]:
    """The nodes below one, but for decorators, types and the like: to turn those changes no behaviour."""
    for field, value in ast.iter_fields(node):
        if field in ("decorator_list", "annotation", "returns") or (field == "value" and _is_strict(node)):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield child
                yield from _behaving(child)


def _is_strict(node: ast.AST) -> bool:
    return isinstance(node, ast.keyword) and node.arg in ("strict", "slots", "frozen", "kw_only", "repr", "compare")


def room_of(file: str) -> str:
    """The folder of a module below the package; the modules that lie in none are the ground."""
    parts = Path(file).parts
    return parts[1] if len(parts) > 2 else "ground"


def _others(node: ast.AST) -> Iterator[ast.AST]:
    """What may stand in the place of a node."""
    match node:
        case ast.Compare(left=left, ops=[op], comparators=right) if type(op) in TURNED:
            yield ast.Compare(left, [TURNED[type(op)]()], right)
        case ast.BinOp(left=left, op=op, right=right) if type(op) in OTHER and not _text(left) and not _text(right):
            yield ast.BinOp(left, OTHER[type(op)](), right)
        case ast.BoolOp(op=op, values=values):
            yield ast.BoolOp(ast.Or() if isinstance(op, ast.And) else ast.And(), values)
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield operand
        case ast.Call(func=ast.Name(id=name), args=args, keywords=words) if name in NAMES:
            yield ast.Call(ast.Name(NAMES[name]), args, words)
        case ast.Constant(value=bool() as value):
            yield ast.Constant(not value)
        case ast.Constant(value=int() as value):
            yield ast.Constant(value + 1)
        case ast.Continue():
            yield ast.Break()
        case ast.Break():
            yield ast.Continue()
        case ast.Expr(value=ast.Call()) | ast.AugAssign():
            yield ast.Pass()
        case ast.IfExp(test=test, body=body, orelse=orelse):
            yield ast.IfExp(test, orelse, body)


def _text(node: ast.expr) -> bool:
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


NUMBER = re.compile(r"(?<![\w.\-/])\d+(?:\.\d+)?(?![\w.\-]|/\d)")
SILENT = re.compile(r"^\s*(#|source:|sources:|title:|note|cite|says?:|text:|\"?[\w ]+\"?:\s*\"|- \")|\bsource:")


def numbers_of(file: str, text: str) -> Iterator[Change]:
    """Each number of a profile, 1.5 times as large; not those in sentences, sources and comments."""
    at = 0
    for number, line in enumerate(text.splitlines(keepends=True), start=1):
        said = line.split(" #")[0]
        if not SILENT.search(said):
            for found in NUMBER.finditer(said):
                new = f"{float(found[0]) * FACTOR:g}"
                if new != found[0]:
                    begin, end = (at + len(line[:place].encode()) for place in found.span())
                    now = f"{line[: found.start()]}{new}{line[found.end() :]}".strip()
                    yield Change(DATA, file, number, begin, end, new, line.strip(), now)
        at += len(line.encode())


@cache
def known() -> dict[tuple[str, str, str], str]:
    """The reasons why some changes are none, by file, line before and line after."""
    listed = json.loads(EQUIVALENT.read_text("utf-8"))
    return {(each["file"], each["was"], each["now"]): each["because"] for each in listed}


def drawn(seed: int, each: int, rooms: Sequence[str], data: int) -> list[Change]:
    """So many changes of each room, and so many numbers; the same for the same seed and the same code."""
    files = sorted((ROOT / "scheduler").rglob("*.py"))
    every: dict[str, list[Change]] = {}
    for path in files:
        name = str(path.relative_to(ROOT))
        for change in changes_of(name, path.read_text("utf-8")):
            every.setdefault(change.room, []).append(change)
    found = []
    for room in sorted(rooms or every):
        random = Random(f"{seed} {room}")
        found += random.sample(every[room], min(each, len(every[room])))
    numbers = [
        change
        for path in sorted((ROOT / DATA).rglob("*.yaml"))
        if path.parent.name != "words"
        for change in numbers_of(str(path.relative_to(ROOT)), path.read_text("utf-8"))
    ]
    return found + Random(f"{seed} {DATA}").sample(numbers, min(data, len(numbers)))


# --- Which tests know a module -----------------------------------------------------------------------------------


@cache
def imports(path: Path) -> frozenset[str]:
    """What a file imports, by its full name: modules, and names out of modules."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return frozenset(found)


def tests_of(change: Change) -> list[str]:
    """The files of tests that know what is changed: who imports its module, its room, who imports the room."""
    every = sorted(path for path in (ROOT / "tests").rglob("test_*.py") if "bench" not in path.parts)
    if change.room == DATA:
        first = (
            "reading/test_second_table.py",
            "reading/test_second_numbers.py",
            "reading/test_profiles_shipped.py",
            "cli/test_dry.py",
            "cli/test_buy.py",
        )
        rooms = (*first, "drying", "buying", "expanding/scope", "reading", "expanding")
        mine = [path for path in every if str(path.relative_to(ROOT / "tests")).startswith(rooms)]
        mine.sort(key=lambda path: str(path.relative_to(ROOT / "tests")) not in first[:3])
        return [str(path.relative_to(ROOT)) for path in mine if path.name != "test_remembered.py"]
    module = change.file.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    folder = "expanding/scope" if "/scope/" in change.file else change.room
    known = [path for path in every if _reaches(path, module)]
    same = [path for path in every if f"{path.relative_to(ROOT / 'tests')}".startswith(f"{folder}/")]
    room = [path for path in every if _reaches(path, f"scheduler.{change.room}")]
    said = [str(path.relative_to(ROOT)) for path in dict.fromkeys([*known, *same, *room])]
    return said or [str(path.relative_to(ROOT)) for path in every if "scheduler.cli" in str(imports(path))]


def _reaches(path: Path, module: str) -> bool:
    """Whether a test imports a module, itself or by a helper of the tests."""
    direct = imports(path)
    helpers = {name for name in direct if name.startswith("tests.")}
    files = [ROOT / (name.replace(".", "/") + ".py") for name in helpers]
    return any(module in imports(file) for file in (path, *(file for file in files if file.is_file())))


# --- Trying ------------------------------------------------------------------------------------------------------


def tree(folder: Path) -> Path:
    """A copy of all that tests read."""
    folder.mkdir()
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__", ".*"))
        else:
            shutil.copy(source, folder / name)
    return folder


def tried(change: Change, folder: Path, tests: Sequence[str], patience: int) -> Tried:
    """The change made in a copy, its tests run until one fails, and the change taken back."""
    file = folder / change.file
    content = file.read_bytes()
    file.write_bytes(content[: change.begin] + change.instead.encode() + content[change.end :])
    try:
        return Tried(change, _failed(folder, tests, patience))
    finally:
        file.write_bytes(content)


def _failed(folder: Path, tests: Sequence[str], patience: int) -> str:
    """The first test that fails, "" if none does."""
    limited = ["sh", "-c", 'ulimit -t "$0"; exec "$@"', str(patience)]
    command = [sys.executable, "-m", "pytest", "-x", "-q", "--no-header", "-p", "no:cacheprovider", "-p", "no:xdist"]
    environ = {**os.environ, "PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1", "TACKFREE_QUICKLY": "1"}
    ran = subprocess.run(
        [*limited, *command, "-m", "not long", *tests],
        cwd=folder,
        env=environ,
        capture_output=True,
        text=True,
        check=False,
    )
    if ran.returncode == 0:
        return ""
    if ran.returncode < 0 and -ran.returncode in (signal.SIGXCPU, signal.SIGKILL):
        return TOO_LONG
    failed = re.search(r"(?m)^(?:FAILED|ERROR) (\S+)", ran.stdout)
    return failed[1] if failed else (ran.stdout + ran.stderr).strip().splitlines()[-1]


def table(found: Sequence[Tried]) -> list[str]:
    """By room: how many were drawn, noticed, not noticed, of no consequence, and not decided in the time."""
    columns = ("noticed", "survived", "equal", "undecided")
    lines = [f"{'room':<12}{'drawn':>7}" + "".join(f"{name:>11}" for name in columns) + f"{'share':>8}"]
    for room in [*sorted({each.change.room for each in found}), "all"]:
        mine = [each for each in found if room in (each.change.room, "all")]
        counts = Counter(kind_of(each) for each in mine)
        real = counts["noticed"] + counts["survived"]
        share = f"{counts['noticed'] / real:.0%}" if real else "-"
        said = "".join(f"{counts[name]:>11}" for name in columns)
        lines.append(f"{room:<12}{len(mine):>7}{said}{share:>8}")
    return lines


def kind_of(each: Tried) -> str:
    """Noticed, survived, equal (no mistake at all), or undecided: a loop without end, or too little patience."""
    if each.noticed == TOO_LONG:
        return "undecided"
    if each.noticed:
        return "noticed"
    change = each.change
    return "equal" if (change.file, change.was, change.now) in known() else "survived"


def main() -> None:
    """Draw, try, tell."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--each", type=int, default=20, help="changes of each room")
    parser.add_argument("--room", action="append", default=[], help="only this room (may be given again)")
    parser.add_argument("--data", type=int, default=0, help="changes of numbers of the profiles")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--patience", type=int, default=900, help="seconds of the processor for one change")
    parser.add_argument("--processes", type=int, default=2)
    asked = parser.parse_args()
    found: list[Tried] = []
    with tempfile.TemporaryDirectory() as name, ThreadPoolExecutor(asked.processes) as pool:
        free: SimpleQueue[Path] = SimpleQueue()
        for number in range(asked.processes):
            free.put(tree(Path(name) / str(number)))

        def one(change: Change) -> Tried:
            folder = free.get()
            try:
                return tried(change, folder, tests_of(change), asked.patience)
            finally:
                free.put(folder)

        for each in pool.map(one, drawn(asked.seed, asked.each, asked.room, asked.data)):
            found.append(each)
            change = each.change
            print(
                f"{kind_of(each)}: {change.file}:{change.line}: {change.was}  ->  {change.now}  {each.noticed}",
                flush=True,
            )
    print("\n".join(table(found)))
    survived = [asdict(each.change) for each in found if kind_of(each) == "survived"]
    print(
        json.dumps(
            {"drawn": len(found), "noticed": sum(kind_of(each) == "noticed" for each in found), "survived": survived}
        )
    )


if __name__ == "__main__":
    main()
