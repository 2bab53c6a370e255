"""The public names of tackfree, sorted; nothing else. Each is loaded when it is first asked for.

>>> from scheduler import Facts, make_plan, read
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scheduler.errors import Fault, InputError, TackfreeError
    from scheduler.model.facts import Facts
    from scheduler.model.job import Job
    from scheduler.model.material import Trade
    from scheduler.model.plan import Plan
    from scheduler.model.refusal import NoPlanError
    from scheduler.pipeline import Made, Wish, make_plan, read

__all__ = [
    "Facts",
    "Fault",
    "InputError",
    "Job",
    "Made",
    "NoPlanError",
    "Plan",
    "TackfreeError",
    "Trade",
    "Wish",
    "make_plan",
    "read",
]

_HOMES = {
    "scheduler.errors": ("Fault", "InputError", "TackfreeError"),
    "scheduler.model.facts": ("Facts",),
    "scheduler.model.job": ("Job",),
    "scheduler.model.material": ("Trade",),
    "scheduler.model.plan": ("Plan",),
    "scheduler.model.refusal": ("NoPlanError",),
    "scheduler.pipeline": ("Made", "Wish", "make_plan", "read"),
}


def __getattr__(name: str) -> object:
    """A public name from the module it lives in (PEP 562): to import the package must not load the planner."""
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(home), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
