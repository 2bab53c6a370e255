"""Every message of the tool in one list, to be read as somebody would who has made the mistake.

    python -m tests.messages

The list is made from the source: each place that builds a fault, refuses a value, gives up a plan or says something
on the error stream, and every function that hands its own words on to such a place. What is filled in is ‹in these›.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TypeAlias

import scheduler
from scheduler.reading.busy.guard import SMALLER
from scheduler.told import quoted

PACKAGE = Path(scheduler.__file__).parent

SINKS: dict[str, tuple[int | None, int | None]] = {
    "Fault": (1, 2),
    "wrong_input": (1, 2),
    "UnclearQuantityError": (0, 1),
    "UnwrittenError": (1, 2),
    "PublishError": (0, None),
    "UnusableError": (0, None),
    "note": (1, None),
    "fault": (1, 2),
    "amiss": (1, 2),
    "refuse": (1, 2),
    "add": (1, 2),
    "unclear": (0, 1),
    "refused": (0, 1),
    "failed": (0, 1),
    "say_error": (0, None),
}
"""What takes a message: which argument says what is wrong, and which what would be right."""
WRITES = {
    "reads": 1,
    "one_of": 1,
    "unknown": 2,
    "three": 0,
    "named": 2,
    "_not_to_come": 3,
    "need_stage": 3,
    "meant": 2,
    "say": 0,
}
"""What takes words that only fill a place in a message, or are its remedy: which argument they are."""
HANDED_ON = ("diary/kept.py", "model/ledger.py")
"""Files whose ValueErrors say why the plan handed out can't be read."""
_USUAL = {"refuse": SMALLER}
"""The remedy where none is said."""
TABLES = ("_RULES", "_SAID", "_BELONGS", "_PLAINER", "_ALL", "_UNTRUSTED", "REFUSED", "COMMANDS")
"""Names of tables whose texts come out as messages."""
WORDS = ("_DAY_NAMES", "DAYS", "MONTH_NAMES")
"""Names of tables whose texts fill a place in a message."""
SAYING = (
    "_cannot_ever",
    "_too_late",
    "never_fit",
    "meant",
    "zone_meant",
    "_instead",
    "how_to_say",
    "_has",
    "said_of",
    "_busy",
    "kind_of",
    "_kind",
    "way_out",
    "_write",
    "_so_many",
)
"""Functions whose returned texts are parts of messages."""


@dataclass(frozen=True, order=True)
class Message:
    """`kind` is what takes it; a remedy of None: that kind has none."""

    file: str
    line: int
    kind: str
    says: str
    remedy: str | None

    def __str__(self) -> str:
        tail = f"; {self.remedy}" if self.remedy else ""
        return f"{self.file}:{self.line}: {self.says}{tail}"


Function: TypeAlias = ast.FunctionDef | ast.AsyncFunctionDef
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)
Known: TypeAlias = dict[str, list[ast.expr]]
Sinks: TypeAlias = dict[str, tuple[int | None, int | None]]
FILLED = ("why", "what", "said", "message")
"""Names of parameters that are words of the caller even where they only fill a place in a sentence."""


@cache
def _nodes(node: ast.AST) -> tuple[ast.AST, ...]:
    return tuple(ast.walk(node))


@cache
def _trees() -> Mapping[Path, ast.Module]:
    """Every file of the package, but for the words of other languages."""
    paths = (path for path in sorted(PACKAGE.rglob("*.py")) if path.parent.name != "words" or path.stem == "en")
    return {path: ast.parse(path.read_text("utf-8")) for path in paths}


@cache
def messages() -> tuple[Message, ...]:
    """Every message, by file and line."""
    found = {message for path, tree in _trees().items() for message in _in_file(path, tree, _sinks_of(path, tree))}
    return tuple(sorted(found, key=lambda each: (each.file, each.line, each.says, each.remedy or "")))


@cache
def _sinks_of(path: Path, tree: ast.Module) -> Sinks:
    handed_on = path.relative_to(PACKAGE).as_posix() in HANDED_ON
    return {**SINKS, **_helpers(tree), **({"ValueError": (0, None)} if handed_on else {})}


def _helpers(tree: ast.Module) -> Sinks:
    """Every function of a module that hands words of its caller on to what takes a message."""
    sinks = dict(SINKS)
    functions = [node for node in _nodes(tree) if isinstance(node, FUNCTIONS) and node.name != "__init__"]
    grown = True
    while grown:
        grown = False
        for function in functions:
            if function.name in sinks:
                continue
            names = [each.arg for each in function.args.args if each.arg not in ("self", "cls")]
            taken = _handed_on(function, names, sinks)
            if taken is not None:
                sinks[function.name] = taken
                grown = True
    return sinks


def _handed_on(function: Function, names: list[str], sinks: Sinks) -> tuple[int | None, int | None] | None:
    for node in _nodes(function):
        if not isinstance(node, ast.Call) or _called(node) not in sinks:
            continue
        says, remedy = (_argument(node, at) for at in sinks[_called(node)])
        inside = [each.id for each in _nodes(says) if isinstance(each, ast.Name)] if says is not None else []
        inside += [name for name in _filled_in(function, says) if name in FILLED]
        direct = isinstance(says, ast.Name)
        said = next((name for name in inside if name in names and (direct or name in FILLED)), None)
        if said is not None:
            hint = remedy.id if isinstance(remedy, ast.Name) and remedy.id in names else None
            return names.index(said), names.index(hint) if hint else None
    return None


def _filled_in(function: Function, says: ast.expr | None) -> list[str]:
    """The names in the sentence that a name stands for."""
    known = _assigned(_nodes(function))
    sentences = known.get(says.id, []) if isinstance(says, ast.Name) else []
    return [each.id for one in sentences for each in _nodes(one) if isinstance(each, ast.Name)]


def _called(call: ast.Call) -> str:
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    return "" if name == "add" and len(call.args) < 3 else name


def _argument(call: ast.Call, at: int | None) -> ast.expr | None:
    if at is None:
        return None
    if at < len(call.args):
        return call.args[at]
    named = [each.value for each in call.keywords if each.arg in ("message", "hint", "said")]
    return named[at - len(call.args)] if at - len(call.args) < len(named) else None


def _in_file(path: Path, tree: ast.Module, sinks: Sinks) -> Iterator[Message]:
    file = path.relative_to(PACKAGE.parent).as_posix()
    scopes: list[ast.Module | Function] = [tree]
    scopes += [node for node in _nodes(tree) if isinstance(node, FUNCTIONS)]
    constants = _assigned(tree.body)
    for scope in scopes:
        known = _known(scope, tree)
        for node in _own(scope):
            if isinstance(node, ast.Call) and _called(node) in sinks:
                says, remedy = (_argument(node, at) for at in sinks[_called(node)])
                has = sinks[_called(node)][1] is not None
                for text in _texts(says, known):
                    for hint in (
                        _texts(remedy, known)
                        if remedy is not None
                        else [_USUAL.get(_called(node), "" if has else None)]
                    ):
                        if _says_something(text):
                            yield Message(file, node.lineno, _called(node), text, hint)
            if isinstance(scope, FUNCTIONS) and scope.name in SAYING and isinstance(node, ast.Return | ast.Yield):
                for text in _texts(node.value, known):
                    if _says_something(text):
                        yield Message(file, node.lineno, scope.name, text, None)
    yield from _complaints(file, tree, constants)
    for node in _nodes(tree):
        if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            if isinstance(target, ast.Name) and target.id in TABLES:
                for line, text in _cells(node.value):
                    yield Message(file, line, target.id, re.sub(r"{(\w+)[^}]*}", r"‹\1›", text), None)


def _complaints(file: str, tree: ast.Module, constants: Known) -> Iterator[Message]:
    """What the rules of profiles yield: where, what is wrong, what would be right."""
    for function in _nodes(tree):
        if not isinstance(function, ast.FunctionDef) or "Complaint" not in ast.unparse(
            function.returns or ast.Pass()
        ):
            continue
        known = {**constants, **_assigned(_nodes(function))}
        for node in _nodes(function):
            if isinstance(node, ast.Yield) and isinstance(node.value, ast.Tuple) and len(node.value.elts) == 3:
                _, says, remedy = node.value.elts
                for text in _texts(says, known):
                    for hint in _texts(remedy, known):
                        if _says_something(text):
                            yield Message(file, node.lineno, "Complaint", text, hint)


def _cells(table: ast.expr) -> Iterator[tuple[int, str]]:
    """The texts of a table, but for its first column: there stand codes, or the words of a library."""
    if isinstance(table, ast.Dict):
        rows: list[ast.expr] = list(table.values)
    elif isinstance(table, ast.Tuple):
        rows = [cell for row in table.elts for cell in (row.elts[1:] if isinstance(row, ast.Tuple) else [row])]
    else:
        rows = []
    for row in rows:
        for each in _nodes(row):
            if isinstance(each, ast.Constant) and isinstance(each.value, str) and each.value:
                yield each.lineno, each.value


def _says_something(text: str) -> bool:
    """Whether there is a word of its own in it, and not only what is filled in."""
    return bool(re.search(r"[a-z]{2}", re.sub(r"‹[^›]*›", "", text)))


@cache
def _own(scope: ast.Module | Function) -> tuple[ast.AST, ...]:
    """The nodes of a function without those of the functions in it; of a module those outside of functions."""
    waiting, found = [*ast.iter_child_nodes(scope)], list[ast.AST]()
    while waiting:
        node = waiting.pop()
        if not isinstance(node, FUNCTIONS):
            found.append(node)
            waiting += ast.iter_child_nodes(node)
    return tuple(found)


@cache
def _known(scope: ast.Module | Function, tree: ast.Module) -> Known:
    """What names stand for in a function, and outside of it."""
    return {**_assigned(tree.body), **(_assigned(_nodes(scope)) if isinstance(scope, FUNCTIONS) else {})}


def _assigned(nodes: Iterable[ast.AST]) -> Known:
    """Names that stand for a text, with all that they are set to."""
    found: Known = {}
    for node in nodes:
        if not isinstance(node, ast.Assign) or len(node.targets) != 1:
            continue
        target, value = node.targets[0], node.value
        if isinstance(target, ast.Name):
            found.setdefault(target.id, []).append(value)
        elif isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
            for name, each in zip(target.elts, value.elts, strict=True):
                if isinstance(name, ast.Name):
                    found.setdefault(name.id, []).append(each)
    return found


def _texts(node: ast.AST | None, known: Known, depth: int = 0) -> list[str]:
    """Every text that an expression may be."""
    if node is None or depth > 4:
        return []
    if isinstance(node, ast.Constant):
        return [node.value] if isinstance(node.value, str) else []
    if isinstance(node, ast.JoinedStr):
        parts = [part.value if isinstance(part, ast.Constant) else _hole(part) for part in node.values]
        return ["".join(str(part) for part in parts)]
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        left, right = _texts(node.left, known, depth + 1), _texts(node.right, known, depth + 1)
        return [a + b for a in left for b in right]
    if isinstance(node, ast.IfExp):
        return [*_texts(node.body, known, depth + 1), *_texts(node.orelse, known, depth + 1)]
    if isinstance(node, ast.BoolOp):
        return [text for each in node.values for text in _texts(each, known, depth + 1)]
    if isinstance(node, ast.Tuple):
        return [text for each in node.elts for text in _texts(each, known, depth + 1)]
    if isinstance(node, ast.Call) and _called(node) == "told":
        values = {each.arg: f"‹{ast.unparse(each.value)}›" for each in node.keywords if each.arg}
        return [text.format(**values) for text in _texts(node.args[0], known, depth + 1)]
    if isinstance(node, ast.Name) and node.id in known:
        return [text for each in known[node.id] for text in _texts(each, known, depth + 1)] or [f"‹{node.id}›"]
    return [f"‹{ast.unparse(node)}›"]


def _hole(part: ast.expr) -> str:
    return f"‹{ast.unparse(part.value)}›" if isinstance(part, ast.FormattedValue) else "‹…›"


@cache
def sentences() -> Mapping[str, str]:
    """Every sentence and word of ours of which messages are made, as it stands in the code, and where the first is.

    Of a sentence with something filled in that is its template; what is filled in outside of quotation marks, and
    stands in the code, is there as well.
    """
    found: dict[str, str] = {}
    for path, tree in _trees().items():
        if path.parent.name != "words" and path.stem != "told":
            file = path.relative_to(PACKAGE).as_posix()
            for line, text in _keys_in(path, tree):
                if re.search(r"[a-z]{2}", re.sub(r"{\w+}", "", text)):
                    found.setdefault(text, f"{file}:{line}")
    return found


def _keys_in(path: Path, tree: ast.Module) -> Iterator[tuple[int, str]]:
    sinks = _sinks_of(path, tree)
    scopes: list[ast.Module | Function] = [tree]
    scopes += [node for node in _nodes(tree) if isinstance(node, FUNCTIONS)]
    for scope in scopes:
        complains = isinstance(scope, FUNCTIONS) and "Complaint" in ast.unparse(scope.returns or ast.Pass())
        says = isinstance(scope, FUNCTIONS) and scope.name in SAYING
        for node in _own(scope):
            parts: list[ast.expr | None] = []
            if isinstance(node, ast.Call) and _called(node) == "told":
                parts = [node]
            elif isinstance(node, ast.Call) and _called(node) in sinks:
                parts = [_argument(node, at) for at in sinks[_called(node)]]
            elif isinstance(node, ast.Call) and _called(node) in WRITES:
                parts = [*node.args[WRITES[_called(node)] :][: 2 if _called(node) == "three" else 1]]
            elif says and isinstance(node, ast.Return | ast.Yield):
                parts = [node.value]
            elif complains and isinstance(node, ast.Yield) and isinstance(node.value, ast.Tuple):
                parts = [*node.value.elts[1:]]
            for part in parts:
                yield from ((node.lineno, text) for text in _keys(part, _known(scope, tree)))
    for node in _nodes(tree):
        if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            if isinstance(target, ast.Name) and target.id in {*TABLES, *WORDS}:
                yield from _cells(node.value)


def _keys(node: ast.AST | None, known: Known, depth: int = 0) -> Iterator[str]:
    """Every constant or template that an expression may be."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.JoinedStr):
        said = "".join(str(part.value) if isinstance(part, ast.Constant) else _hole(part) for part in node.values)
        if _says_something(re.sub(r"`[^`]*`", "", said)):
            yield f"{NOT_TOLD}{said}"
    elif depth > 5 or node is None:
        return
    elif isinstance(node, ast.Call) and _called(node) == "told":
        for template in _keys(node.args[0], known, depth + 1):
            yield template
            for each in node.keywords:
                if each.arg not in quoted(template):
                    yield from _keys(each.value, known, depth + 1)
    elif isinstance(node, ast.IfExp):
        yield from _keys(node.body, known, depth + 1)
        yield from _keys(node.orelse, known, depth + 1)
    elif isinstance(node, ast.BoolOp):
        for value in node.values:
            yield from _keys(value, known, depth + 1)
    elif isinstance(node, ast.Tuple):
        for value in node.elts:
            yield from _keys(value, known, depth + 1)
    elif isinstance(node, ast.Dict):
        for key in node.keys:
            yield from _keys(key, known, depth + 1)
    elif isinstance(node, ast.Call) and _called(node) == "get":
        for value in node.args[1:]:
            yield from _keys(value, known, depth + 1)
    elif isinstance(node, ast.Name):
        for value in known.get(node.id, []):
            yield from _keys(value, known, depth + 1)


NOT_TOLD = "filled in where nobody can say it in another language; write told(…): "
"""Before a sentence that does not say how it was made."""


def main() -> None:
    """Print the list."""
    for message in messages():
        print(message)


if __name__ == "__main__":
    main()
