"""The command starts our own package, whatever lies where it is called, beside it, or on PYTHONPATH."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tomllib
from importlib.util import find_spec
from pathlib import Path

import pytest

import scheduler
from tests.cli.conftest import JOB

ROOT = Path(__file__).parents[2]
PACKAGE = Path(scheduler.__file__).parent
SCRIPT = "import sys\nfrom tackfree import main\nsys.exit(main())\n"
"""What an installer writes for `tackfree = "tackfree:main"`."""
CLASHES = ("scheduler", "typer", "json", "pathlib", "filelock", "ruamel", "networkx", "click")


@pytest.fixture
def installed(tmp_path: Path) -> tuple[Path, Path]:
    """A command as it is installed: its script, and the folder in which the module that it starts lies."""
    site, command = tmp_path / "site", tmp_path / "bin" / "tackfree"
    site.mkdir()
    command.parent.mkdir()
    beside = find_spec("tackfree")
    start = PACKAGE / "tackfree.py" if beside is None or beside.origin is None else Path(beside.origin)
    shutil.copy(start, site / "tackfree.py")
    command.write_text(SCRIPT, "utf-8")
    return command, site


def in_the_way(folder: Path) -> None:
    """Files of a person's own that are called like what the program imports."""
    for name in CLASHES:
        (folder / f"{name}.py").write_text(f"raise SystemExit('{name} of somebody else')\n", "utf-8")


def checked(words: list[str], cwd: Path, path: list[str]) -> str:
    """What `check` says of a job called scheduler.yaml there."""
    (cwd / "scheduler.yaml").write_text(JOB, "utf-8")
    ran = subprocess.run(
        [sys.executable, *words, "check", "scheduler.yaml"],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    return ran.stdout


@pytest.mark.parametrize("place", ["where it is called", "beside the command"])
def test_what_is_called_like_an_import_is_not_imported(
    installed: tuple[Path, Path], tmp_path: Path, place: str
) -> None:
    """A job, or a script for it, may have any name: scheduler.py too, as may typer.py and json.py."""
    command, site = installed
    here = tmp_path / "here"
    here.mkdir()
    in_the_way(here if place == "where it is called" else command.parent)
    ways = [[str(command)], ["-m", "tackfree"]]
    for words in ways:
        found = checked(words, here, [str(site), str(PACKAGE.parent)])
    assert found.endswith("\n1 step, 0 materials: no fault found.\n")


@pytest.mark.parametrize("empty", ["", "."])
def test_a_gap_in_pythonpath_is_not_imported_from(installed: tuple[Path, Path], tmp_path: Path, empty: str) -> None:
    """`PYTHONPATH=:/somewhere` stands for the folder in which one happens to be, ahead of all others."""
    command, site = installed
    here = tmp_path / "here"
    here.mkdir()
    for name in ("scheduler", "typer", "ruamel"):
        (here / f"{name}.py").write_text(f"raise SystemExit('{name} of somebody else')\n", "utf-8")
    assert "no fault found" in checked([str(command)], here, [empty, str(site), str(PACKAGE.parent)])


@pytest.mark.parametrize("kind", ["module", "package"])
def test_another_scheduler_on_pythonpath_is_not_started(
    installed: tuple[Path, Path], tmp_path: Path, kind: str
) -> None:
    """Other people's packages are called so, too; ours is known by what it holds."""
    command, site = installed
    theirs = tmp_path / "theirs"
    (theirs / "scheduler" / "cli").mkdir(parents=True)
    if kind == "package":
        (theirs / "scheduler" / "__init__.py").write_text("raise SystemExit('another scheduler')\n", "utf-8")
        (theirs / "scheduler" / "cli" / "__init__.py").touch()
    else:
        (theirs / "scheduler.py").write_text("raise SystemExit('another scheduler')\n", "utf-8")
    assert "no fault found" in checked([str(command)], tmp_path, [str(theirs), str(site), str(PACKAGE.parent)])


def test_it_starts_where_the_folder_is_gone(installed: tuple[Path, Path], tmp_path: Path) -> None:
    """Somebody has taken away the folder in which the terminal stands."""
    command, site = installed
    gone = tmp_path / "gone"
    gone.mkdir()
    (tmp_path / "job.yaml").write_text(JOB, "utf-8")
    shell = f'cd "{gone}" && rmdir "{gone}" && exec {sys.executable} {command} check {tmp_path}'
    path = os.pathsep.join([str(site), str(PACKAGE.parent)])
    ran = subprocess.run(
        ["bash", "-c", shell], env={**os.environ, "PYTHONPATH": path}, capture_output=True, text=True, check=False
    )
    assert (ran.returncode, ran.stderr) == (0, "")


def test_the_command_is_the_module_beside_the_package() -> None:
    """pyproject.toml: the wheel gets the file under that name, and the command starts it."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    assert project["project"]["scripts"] == {"tackfree": "tackfree:main"}
    wheel = project["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert wheel["force-include"]["scheduler/tackfree.py"] == "tackfree.py"
