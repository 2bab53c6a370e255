"""How many random mistakes the tests notice: one small change of the code, or of a number of the profiles, at a time.

    python -m tests.bench.mutants [--each N] [--room ROOM]... [--data N] [--seed S] [--patience SECONDS] [--survivors]

N changes in each room, drawn from all that can be made there: a comparison turned or its border moved, a sum turned,
a whole number one more, `and` for `or`, a `not` left out, `min` for `max`, `break` for `continue`, a truth turned, a
call or an addition left out (A. J. Offutt and others, "An experimental determination of sufficient mutant
operators", ACM Transactions on Software Engineering and Methodology 5, 1996; from memory). Each is tried in a copy
of the tree, against the short tests that run its line, until one fails or their time is spent (`trying`). Which tests
those are is found by running all of them once (`covering`); that is kept in a folder outside of the tree, and run
again for tests that became others. A change of data makes one number of a profile 1.5 times as large. Sums in
`records.json` and printed text in the READMEs notice every change and know nothing: their tests are left out.

What behaves as before whatever it is given is no mistake. Such changes are listed with the reason in
`equivalent.json` beside this file, by the line as it was and as it became; they are drawn, named, and not counted.

Prints what came of each, then a table by room, and as its last line the same as JSON. Takes some seconds of the
processor for each change that is noticed, and PATIENCE more for each that is not. What was tried is kept by seed: a
run that was cut goes on where it ended; `--survivors` tries again what nothing noticed.
"""

from __future__ import annotations

import argparse
import ast
import compileall
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from filecmp import cmp
from functools import cache
from itertools import groupby
from pathlib import Path
from random import Random

from tests.bench import trying
from tests.bench.covering import PACKAGE, Covering, Ran

ROOT = Path(__file__).parents[2]
EQUIVALENT = Path(__file__).with_name("equivalent.json")
DATA = "profiles"
"""The room of numbers."""
FACTOR = 1.5
NO_WITNESS = ("test_remembered.py", "test_readme.py", "test_citations.py")
"""What holds sums or printed text of today against themselves notices every change, and knows nothing."""
TABLES = ("test_second_table.py", "test_second_numbers.py", "test_stages_alike.py", "test_profiles_shipped.py")
RECKONING = ("drying", "buying", "expanding", "reading")

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
    """A change, and what came of it: the test that noticed it, or "" if none did of so many that might."""

    change: Change
    noticed: str
    tests: int


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


# --- Which tests may notice --------------------------------------------------------------------------------------


def tests_of(change: Change, covering: Covering, patience: float) -> list[Ran]:
    """The tests that are tried: those of the room first, then one of each other file, then a second; the cheap first.

    Those that run the line; of a line that is run while its module is imported, and of one that no test runs, those
    that run anything in the module or in one that imports it. Of a number, those that hold numbers against other
    tables, then those that name its profile, then all others of the rooms that reckon with it.
    """
    tests = [each for each in covering.tests if Path(each.file).name not in NO_WITNESS]
    if change.room == DATA:
        return _within(_of_number(change, tests), patience)
    names = {each.test for each in covering.running(change.file, change.line)}
    if not names:
        files = [change.file, *importers(change.file)]
        names = {each.test for file in files for each in covering.running_any(file)}
    tests = [each for each in tests if each.test in names]
    own = f"tests/{change.room}/" if change.room != "ground" else "tests/test_"
    near = _within(_in_turn([each for each in tests if each.file.startswith(own)]), patience / 2)
    taken = {each.test for each in near}
    return _within([*near, *_in_turn([each for each in tests if each.test not in taken])], patience)


def _of_number(change: Change, tests: Sequence[Ran]) -> list[Ran]:
    name = Path(change.file).stem

    @cache
    def nearness(file: str) -> int:
        if Path(file).name in TABLES:
            return 0
        if name in (ROOT / file).read_text("utf-8"):
            return 1
        return 2 if file.split("/")[1] in RECKONING else 3

    return [each for near in range(4) for each in _in_turn([each for each in tests if nearness(each.file) == near])]


def _in_turn(tests: Sequence[Ran]) -> list[Ran]:
    """The cheapest of each file, then the second of each, and so on."""
    found = []
    for _, group in groupby(sorted(tests, key=lambda each: (each.file, each.seconds)), key=lambda each: each.file):
        found += [(rank, each.seconds, each) for rank, each in enumerate(group)]
    return [each for _, _, each in sorted(found, key=lambda each: each[:2])]


def _within(tests: Sequence[Ran], patience: float) -> list[Ran]:
    """As many as the time lasts for."""
    found = []
    for each in tests:
        patience -= each.seconds
        if patience < 0:
            break
        found.append(each)
    return found


@cache
def importers(file: str) -> list[str]:
    """The modules that import a module, or names out of it."""
    module = file.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    every = [str(path.relative_to(ROOT)) for path in sorted((ROOT / PACKAGE).rglob("*.py"))]
    return [each for each in every if module in imports(ROOT / each)]


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


# --- Trying ------------------------------------------------------------------------------------------------------


def prepare(keep: Path, anew: bool) -> Covering:
    """The copy as the tree is now, and what its tests run: all of it once, then that of tests that became others."""
    copy, ran, later = keep / "tree", keep / "ran.jsonl", keep / "later.jsonl"
    if anew or not ran.is_file():
        shutil.rmtree(copy, ignore_errors=True)
        trying.tree(copy)
        _record(keep, ran, [])
    fresh = [file for name in trying.COPIED for file in _differ(copy, name)]
    for file in fresh:
        (copy / file).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / file, copy / file)
    tests = [file for file in fresh if Path(file).match("test_*.py") and file.startswith("tests/")]
    covering = Covering.read(ran)
    if tests:
        _record(keep, later, tests)
        covering = covering.renewed(Covering.read(later))
        covering.written(ran)
    compileall.compile_dir(copy / PACKAGE, quiet=2)
    return covering.as_in(copy)


def _differ(copy: Path, name: str) -> list[str]:
    """The files below a name that aren't in the copy as they are here."""
    here = ROOT / name
    files = [path for path in here.rglob("*") if path.is_file()] if here.is_dir() else [here]
    said = [path.relative_to(ROOT) for path in files if path.suffix != ".pyc"]
    return [str(each) for each in said if not (copy / each).is_file() or not cmp(ROOT / each, copy / each, False)]


def _record(keep: Path, file: Path, tests: Sequence[str]) -> None:
    command = [sys.executable, "-m", "tests.bench.covering", str(keep / "tree"), str(file), *tests]
    environ = {**os.environ, **trying.environment(keep)}
    subprocess.run(command, cwd=keep / "tree", env=environ, stdout=subprocess.DEVNULL, check=True)


def tried(change: Change, keep: Path, tests: Sequence[Ran]) -> Tried:
    """A change, made and taken back."""
    content = (keep / "tree" / change.file).read_bytes()
    changed = content[: change.begin] + change.instead.encode() + content[change.end :]
    return Tried(change, trying.failed(keep, change.file, changed, tests), len(tests))


def logged(log: Path) -> dict[Change, Tried]:
    """What an earlier run with the same seed has tried."""
    lines = log.read_text("utf-8").splitlines() if log.is_file() else []
    found = [json.loads(line) for line in lines]
    tries = [Tried(Change(**each["change"]), each["noticed"], each["tests"]) for each in found]
    return {each.change: each for each in tries}


def table(found: Sequence[Tried]) -> list[str]:
    """By room: how many were drawn, noticed, not noticed in the time of their tests, and of no consequence."""
    columns = ("noticed", "survived", "equal")
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
    """Noticed, equal (no mistake at all), or survived."""
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
    parser.add_argument("--patience", type=float, default=60, help="seconds of the processor for one change's tests")
    parser.add_argument("--keep", type=Path, default=Path(tempfile.gettempdir()) / "tackfree-mutants", help="folder")
    parser.add_argument("--anew", action="store_true", help="run all tests once more before")
    parser.add_argument("--survivors", action="store_true", help="only what nothing noticed in an earlier run")
    asked = parser.parse_args()
    keep: Path = asked.keep.resolve()
    keep.mkdir(parents=True, exist_ok=True)
    covering = prepare(keep, asked.anew)
    trying.load_foreign()
    log = keep / f"tried-{asked.seed}.jsonl"
    before = logged(log)
    changes = drawn(asked.seed, asked.each, asked.room, asked.data)
    if asked.survivors:
        changes = [each.change for each in before.values() if kind_of(each) == "survived"]
        before = {}
    found: list[Tried] = []
    for change in changes:
        each = before.get(change) or tried(change, keep, tests_of(change, covering, asked.patience))
        if change not in before:
            with log.open("a", encoding="utf-8") as file:
                file.write(json.dumps(asdict(each)) + "\n")
        found.append(each)
        said = f"{change.file}:{change.line}: {change.was}  ->  {change.now}"
        print(f"{kind_of(each)}: {said}  {each.noticed or f'({each.tests} tests)'}", flush=True)
    print("\n".join(table(found)))
    survived = [asdict(each.change) for each in found if kind_of(each) == "survived"]
    print(
        json.dumps(
            {"drawn": len(found), "noticed": sum(kind_of(each) == "noticed" for each in found), "survived": survived}
        )
    )


if __name__ == "__main__":
    main()
