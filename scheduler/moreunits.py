"""Units that are too rare for a table of our own (`dm`, `hl`, `fortnight`, `stone`): pint knows them.

Loaded only when one is met: pint takes longer to load than a whole job takes to read.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pint


def factor_of(unit: str, base: str) -> Fraction | None:
    """How many of the unit `base` (in pint's words) make one `unit`; None if it is no unit of that kind."""
    if not unit.replace(" ", "").isalpha() or not unit.isascii():
        return None
    import pint

    try:
        size = _registry().Quantity(Fraction(1), unit.replace(" ", "_")).to(base).magnitude
    except (pint.PintError, AttributeError, TypeError, ValueError, ArithmeticError):
        return None
    return Fraction(size).limit_denominator(10**12)


@cache
def _registry() -> pint.UnitRegistry[Fraction]:
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)
