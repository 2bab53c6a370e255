"""Options of a command line -> quantities; whatever is wrong is named after its option, all of it at once."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TypeVar
from zoneinfo import ZoneInfo

from pydantic import BaseModel, ConfigDict, ValidationError

from scheduler.errors import Fault, InputError, Place
from scheduler.reading import scalars as s
from scheduler.reading.times import FIRST_YEAR, LAST_YEAR, parse_moment
from scheduler.units import UnclearQuantityError
from scheduler.wallclock import at_local, to_minutes

FormT = TypeVar("FormT", bound=BaseModel)


class DryOptions(BaseModel):
    """The air, the thickness and the coats that `tackfree dry` is asked about; None: not said."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    temp: s.Temp | None = None
    night: s.Temp | None = None
    humidity: s.Share | None = None
    night_humidity: s.Share | None = None
    depth: s.Thickness | None = None
    coats: s.Coats | None = None
    zone: s.Zone | None = None


def read_options(form: type[FormT], texts: Mapping[str, str | None]) -> FormT:
    """The options that were given, read. Raises InputError with a fault for each that can't be."""
    try:
        return form.model_validate({name: text for name, text in texts.items() if text is not None})
    except ValidationError as error:
        raise InputError(
            [_fault(str(each["loc"][0]), each.get("ctx", {}).get("error")) for each in error.errors()]
        ) from None


def read_moment(option: str, text: str, zone: ZoneInfo) -> int:
    """The minute of `2027-01-16`, `2027-01-16 16:40` (on the wall in the zone) or `2027-01-16T16:40-07:00`."""
    try:
        moment = datetime.fromisoformat(text.strip())
        if moment.tzinfo is not None and FIRST_YEAR <= moment.year <= LAST_YEAR:
            return to_minutes(moment)
    except ValueError:
        pass  # no ISO moment: read it as a job file's moments are read
    try:
        return at_local(*parse_moment(text), zone)
    except UnclearQuantityError as unclear:
        raise InputError([_fault(option, unclear)]) from None


def _fault(option: str, error: object) -> Fault:
    place = Place(f"--{option.replace('_', '-')}")
    if isinstance(error, UnclearQuantityError):
        return Fault(place, error.message, error.hint)
    return Fault(place, "this can't be read", "see `tackfree dry --help`")
