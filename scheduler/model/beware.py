"""What to beware of at a step, in the lengths in which it is said."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Beware:
    """A caution as it stands at a step. `text` is all of it, with what it rests on; `plain` the same without that
    (""; there is none); `short` a few words that name the danger and what protects from it (""; it is short enough);
    `name` what it is called once it has been said.
    """

    text: str
    plain: str = ""
    short: str = ""
    name: str = ""

    @property
    def uncited(self) -> str:
        """All of it but what it rests on."""
        return self.plain or self.text

    @property
    def called(self) -> str:
        """What it is called where it has been said before."""
        return self.name or self.brief

    @property
    def brief(self) -> str:
        """The fewest words that still name the danger and what protects from it."""
        return self.short or self.uncited
