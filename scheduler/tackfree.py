"""Starts the command line: of this package, and not of what else is called `scheduler` or `typer` where it is called.

Once installed this file lies beside the package, as the module `tackfree`: the command starts that, so that not even
`import scheduler` is left to a file beside the command, or in a folder that PYTHONPATH names.
"""

from __future__ import annotations

import os
import sys

_MARK = os.path.join("scheduler", "drying", "psychro.py")
"""What no other package of that name has."""


def main() -> None:
    """The command line."""
    leave_out_chance_places()
    load_own_package()
    from scheduler.cli import main as command

    command()


def leave_out_chance_places() -> None:
    """Import nothing from where the person stands, nor from beside the command: their files are no modules.

    Both stand ahead of the standard library, unless Python was told to be safe. A folder that holds this package
    stays.
    """
    places = [] if sys.flags.safe_path else sys.path[:1]
    by_chance = {os.path.realpath(place) for place in [*places, *_standing()]}
    library = os.path.dirname(os.__file__)
    ahead = sys.path.index(library) if library in sys.path else len(places)
    sys.path[:ahead] = [
        place
        for place in sys.path[:ahead]
        if _holds_package(place) or not os.path.isdir(place or ".") or os.path.realpath(place) not in by_chance
    ]


def load_own_package() -> None:
    """Load this package, even if a folder that comes before it on the path has something else of its name."""
    home = next((place for place in sys.path if _holds_package(place)), None)
    if home is None or "scheduler" in sys.modules:
        return
    from importlib.machinery import PathFinder
    from importlib.util import module_from_spec

    spec = PathFinder.find_spec("scheduler", [home])
    assert spec is not None and spec.loader is not None
    sys.modules["scheduler"] = module_from_spec(spec)
    spec.loader.exec_module(sys.modules["scheduler"])


def _standing() -> list[str]:
    try:
        return [os.getcwd()]
    except OSError:
        return []  # the folder is gone


def _holds_package(place: str) -> bool:
    return os.path.isfile(os.path.join(place, _MARK))


if __name__ == "__main__":
    main()
