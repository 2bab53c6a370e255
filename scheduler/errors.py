"""What can go wrong. Each kind carries values, knows its exit code, and reads as one line a fault.

TackfreeError
├── InputError    exit 2: what was handed in is wrong; every fault at its file, line and column
├── NoPlanError   exit 1: no plan is possible; which step, which rule, what would make it possible
└── PublishError  exit 1: the plan is made, and a calendar server did not take all of it
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """A spot in a file that a person wrote. Lines and columns count from 1; 0 means the whole file."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        if not self.line:
            return self.file
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Fault:
    """One mistake: where it stands, what is wrong, what would be right."""

    place: Place
    message: str
    hint: str = ""

    def __str__(self) -> str:
        tail = f"; {self.hint}" if self.hint else ""
        return f"{self.place}: {self.message}{tail}"


class TackfreeError(Exception):
    """Whatever this package raises on purpose."""

    exit_code = 1


class InputError(TackfreeError):
    """What was handed in is wrong. Carries every fault that was found once, in the order of the file."""

    exit_code = 2

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(
            sorted(dict.fromkeys(faults), key=lambda fault: (fault.place.file, fault.place.line, fault.place.column))
        )
        super().__init__("\n".join(str(fault) for fault in self.faults))


class NoPlanError(TackfreeError):
    """No plan keeps every rule. Says which step, which rule, and what would make it possible."""

    exit_code = 1

    def __init__(self, step: str, rule: str, remedy: str) -> None:
        self.step = step
        self.rule = rule
        self.remedy = remedy
        super().__init__(f"{step}: {rule}; {remedy}")


class PublishError(TackfreeError):
    """A calendar server did not take everything. The plan is made and kept; the same command does the rest."""

    exit_code = 1
