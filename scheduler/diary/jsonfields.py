"""The fields of one JSON object, each of its kind: a line of the diary, or what a phone sent."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from datetime import date, datetime

from scheduler.model.diary import MOST_LEFT
from scheduler.model.names import meant
from scheduler.told import told
from scheduler.wallclock import to_minutes

YEARS = range(2000, 2200)
"""Years in which a job may lie."""
_WRITE_TIME = "write it with its offset, such as `2027-01-09T16:40:00-07:00`"


class JsonFields(ABC):
    """Typed access to the fields of an object. Each raises what `amiss` makes for a field of another kind."""

    def __init__(self, fields: Mapping[str, object]) -> None:
        self.fields = fields

    @abstractmethod
    def amiss(self, name: str, message: str, hint: str) -> Exception:
        """The error for a field: what is wrong with it, and what would be right."""

    def value(self, name: str) -> object:
        """What stands there."""
        if name not in self.fields:
            raise self.amiss(
                name, told("`{name}` is missing in this line", name=name), told('write `"{name}": …`', name=name)
            )
        return self.fields[name]

    def text_of(self, name: str) -> str:
        """A text that is not empty."""
        value = self.value(name)
        if not isinstance(value, str) or not value.strip():
            raise self.amiss(name, told("`{name}` is no text", name=name), "write it between double quotes")
        return value

    def one_of(self, name: str, among: Sequence[str]) -> str:
        """One of a few words."""
        value = self.text_of(name)
        if value not in among:
            raise self.amiss(name, told("`{value}` is no `{name}`", value=value, name=name), meant(value, among))
        return value

    def time(self, name: str) -> int:
        """The minute (UTC) of a moment."""
        return self.as_time(name, self.value(name))

    def as_time(self, name: str, value: object) -> int:
        """The minute (UTC) of a moment that stands somewhere in a field."""
        try:
            moment = datetime.fromisoformat(value if isinstance(value, str) else "")
            if moment.year in YEARS:
                return to_minutes(moment)
        except (ValueError, OverflowError):
            pass
        raise self.amiss(name, told("`{name}` holds what is no time", name=name), _WRITE_TIME)

    def day(self, name: str) -> date:
        """A day."""
        try:
            found = date.fromisoformat(self.text_of(name))
            if found.year in YEARS:
                return found
        except ValueError:
            pass
        raise self.amiss(name, told("`{name}` is no day", name=name), "write it as `2027-01-09`")

    def whole(self, name: str, least: int) -> int:
        """A count, from `least` up."""
        value = self.value(name)
        if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= MOST_LEFT:
            raise self.amiss(
                name,
                told("`{name}` is no whole number from {least} up", name=name, least=least),
                "write such a number, without quotes",
            )
        return value

    def yes_or_no(self, name: str) -> bool:
        """Whether something is so."""
        value = self.value(name)
        if not isinstance(value, bool):
            raise self.amiss(
                name, told("`{name}` is neither true nor false", name=name), "write one of them, without quotes"
            )
        return value

    def number(self, name: str, low: float, high: float) -> float:
        """A number between two others, these included."""
        value = self.value(name)
        if not isinstance(value, int | float) or isinstance(value, bool) or not low <= value <= high:
            raise self.amiss(
                name,
                told("`{name}` is no number from {low} to {high}", name=name, low=f"{low:g}", high=f"{high:g}"),
                "write such a number, without quotes",
            )
        return float(value)
