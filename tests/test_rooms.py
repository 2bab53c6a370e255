"""A line of code knows its room: who may import whom is written in pyproject.toml and held here."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import networkx as nx

ROOT = Path(__file__).parent.parent


def test_the_import_directions_hold() -> None:
    """Stages never import each other; the vocabulary lies below them and the ground below that."""
    linter = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run([linter, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


def test_only_cli_asks_what_time_it_is() -> None:
    """`now` is handed in: no other room calls for the clock."""
    import scheduler

    package = Path(scheduler.__file__).parent
    asking = [
        str(file.relative_to(package))
        for file in sorted(package.rglob("*.py"))
        if any(call in file.read_text("utf-8") for call in ("datetime.now(", "time.time(", "date.today(", "utcnow("))
    ]
    assert all(name.startswith("cli/") for name in asking), asking


def test_only_cli_prints() -> None:
    """Text goes out through one room."""
    import scheduler

    package = Path(scheduler.__file__).parent
    printing = [
        str(file.relative_to(package))
        for file in sorted(package.rglob("*.py"))
        if any(line.lstrip().startswith("print(") for line in file.read_text("utf-8").splitlines())
    ]
    assert all(name.startswith("cli/") for name in printing), printing


def test_no_two_modules_need_each_other() -> None:
    """No circle of imports, not even of those that only types need or that come when a function runs."""
    import scheduler

    package = Path(scheduler.__file__).parent
    names = {".".join(file.relative_to(package.parent).with_suffix("").parts): file for file in package.rglob("*.py")}
    names = {name.removesuffix(".__init__"): file for name, file in names.items()}
    network: nx.DiGraph = nx.DiGraph()
    for name, file in names.items():
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module in names:
                inner = [f"{node.module}.{each.name}" for each in node.names]
                network.add_edges_from((name, each if each in names else node.module) for each in inner)
    assert network.number_of_edges() > 500, "the imports were not found"
    assert [circle for circle in nx.strongly_connected_components(network) if len(circle) > 1] == []


def test_the_picture_in_readme_names_every_room() -> None:
    """Whoever reads the layout in README finds each folder of the code in it, and no other."""
    import scheduler

    package = Path(scheduler.__file__).parent
    rooms = {path.name for path in package.iterdir() if (path / "__init__.py").exists()}
    shown = (ROOT / "README.md").read_text("utf-8").partition("\nscheduler/\n")[2].partition("```")[0]
    told = {line.split("/")[0].strip() for line in shown.splitlines() if line.startswith("  ") and "/" in line[:16]}
    assert told == rooms


def test_a_class_name_stands_for_one_thing() -> None:
    """Whoever reads of a `Field` need not ask which one; what is for its module alone begins with `_`."""
    import scheduler

    homes: dict[str, list[str]] = {}
    for file in sorted(Path(scheduler.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                homes.setdefault(node.name, []).append(file.name)
    assert {name: files for name, files in homes.items() if len(files) > 1} == {}
