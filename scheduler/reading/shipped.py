"""Where the profiles that come with the package lie: inside it in a wheel, beside it in a checkout."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from scheduler.errors import wrong_input

_PACKAGE = Path(__file__).resolve().parents[1]


@cache
def shipped_profiles() -> Path:
    """The folder with materials/, methods/ and tape.yaml. Raises InputError if the installation lacks it."""
    for folder in (_PACKAGE / "profiles", _PACKAGE.parent / "profiles"):
        if (folder / "tape.yaml").is_file():
            return folder
    raise wrong_input(str(_PACKAGE), "the profiles are missing here", "install the package again")


def shipped_name(path: Path) -> str:
    """A shipped file as a person may look it up, whatever folder the package lies in: `profiles/tape.yaml`."""
    return f"profiles/{path.relative_to(shipped_profiles()).as_posix()}"
