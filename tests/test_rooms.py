"""A line of code knows its room: who may import whom is written in pyproject.toml and held here."""

import subprocess
import sys
from pathlib import Path

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
