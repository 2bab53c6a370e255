"""Small sums over named quantities, as a method writes them: `2 * batten run / spacing + 4`, `ceil(run / 2 ft)`.

Names are words with spaces between them; a number with a unit of length is metres. Everything is a number in metres,
square metres, cubic metres or pieces: what a name means is said where it is provided, not here.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from scheduler.told import told
from scheduler.units import LENGTHS, UnclearQuantityError, parse_length

HINT = "write a sum of names and numbers such as `2 * run / spacing`"
_FRACTION = rf"\d+/\d+(?=\s*(?:{'|'.join(LENGTHS)})\b)"  # `1/4 in` is a length; `1/4 * run` a share
_TOKEN = re.compile(
    rf"\s*(?:(?P<number>{_FRACTION}|\d+(?:\.\d+)?(?:\s+\d+/\d+)?)"
    r"|(?P<name>[a-z]+(?:[ -][a-z]+)*)|(?P<sign>[-+*/(),]))"
)
_FUNCTIONS: dict[str, Callable[..., float]] = {
    "ceil": lambda value: float(math.ceil(value - 1e-9)),
    "max": max,
    "min": min,
}
_DEEPEST = 12
"""Brackets inside one another."""


@dataclass(frozen=True, slots=True)
class Formula:
    """A sum that was read: its text, and its parts in postfix order (numbers, names, operators)."""

    text: str
    parts: tuple[float | str | tuple[str, int], ...]

    @property
    def names(self) -> frozenset[str]:
        """The quantities that it asks for."""
        return frozenset(part for part in self.parts if isinstance(part, str) and part not in "+-*/")

    def value(self, known: Callable[[str], float]) -> float:
        """The number, each name as `known` has it. A division by nothing is nothing."""
        stack: list[float] = []
        for part in self.parts:
            if isinstance(part, tuple):
                name, count = part
                stack[-count:] = [_FUNCTIONS[name](*stack[-count:])]
            elif not isinstance(part, str):
                stack.append(part)
            elif part in "+-*/":
                right = stack.pop()
                stack[-1] = _combined(part, stack[-1], right)
            else:
                stack.append(known(part))
        return stack[0]


def _combined(sign: str, left: float, right: float) -> float:
    if sign == "+":
        return left + right
    if sign == "-":
        return left - right
    if sign == "*":
        return left * right
    return left / right if right else 0.0


def parse_formula(text: str) -> Formula:
    """The formula of a text. Raises UnclearQuantityError."""
    return _SumReader(text).whole()


class _SumReader:
    """Reads a sum from left to right; products bind before sums."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.tokens: list[tuple[str, str]] = []
        self.at = 0
        self.parts: list[float | str | tuple[str, int]] = []
        self._split()

    def _split(self) -> None:
        at, text = 0, self.text.strip().lower()
        while at < len(text):
            found = _TOKEN.match(text, at)
            if found is None:
                raise UnclearQuantityError(
                    told("`{text}` can't be worked out at `{text2}`", text=self.text, text2=text[at : at + 10]), HINT
                )
            kind = str(found.lastgroup)
            self.tokens.append((kind, found[kind]))
            at = found.end()

    def whole(self) -> Formula:
        self._sum(0)
        if self.at < len(self.tokens):
            raise self._unclear()
        return Formula(" ".join(self.text.split()), tuple(self.parts))

    def _peek(self) -> tuple[str, str]:
        return self.tokens[self.at] if self.at < len(self.tokens) else ("", "")

    def _take(self) -> tuple[str, str]:
        token = self._peek()
        self.at += 1
        return token

    def _unclear(self) -> UnclearQuantityError:
        rest = self._peek()[1] or "its end"
        return UnclearQuantityError(told("`{text}` can't be worked out at `{rest}`", text=self.text, rest=rest), HINT)

    def _sum(self, depth: int) -> None:
        self._product(depth)
        while self._peek() in (("sign", "+"), ("sign", "-")):
            sign = self._take()[1]
            self._product(depth)
            self.parts.append(sign)

    def _product(self, depth: int) -> None:
        self._single(depth)
        while self._peek() in (("sign", "*"), ("sign", "/")):
            sign = self._take()[1]
            self._single(depth)
            self.parts.append(sign)

    def _single(self, depth: int) -> None:
        if depth > _DEEPEST:
            raise UnclearQuantityError(told("`{text}` has too many brackets", text=self.text), HINT)
        kind, word = self._peek()
        if kind == "number":
            self._take()
            self.parts.append(self._number(word))
        elif (kind, word) == ("sign", "("):
            self._take()
            self._sum(depth + 1)
            self._close()
        elif kind == "name":
            self._take()
            if self._peek() == ("sign", "("):
                self._call(word, depth)
            else:
                self.parts.append(word)
        else:
            raise self._unclear()

    def _number(self, digits: str) -> float:
        kind, unit = self._peek()
        if kind == "name" and unit in LENGTHS:
            self._take()
            return parse_length(f"{digits} {unit}")
        if " " in digits:
            raise self._unclear()
        return float(digits)

    def _call(self, name: str, depth: int) -> None:
        if name not in _FUNCTIONS:
            raise UnclearQuantityError(
                told("`{name}` is nothing that can be worked out", name=name), "there are ceil, max and min"
            )
        self._take()
        count = 1
        self._sum(depth + 1)
        while self._peek() == ("sign", ","):
            self._take()
            self._sum(depth + 1)
            count += 1
        self._close()
        if (name == "ceil") != (count == 1):
            raise UnclearQuantityError(
                told("`{name}` has {count} values in `{text}`", name=name, count=count, text=self.text), HINT
            )
        self.parts.append((name, count))

    def _close(self) -> None:
        if self._take() != ("sign", ")"):
            raise UnclearQuantityError(told("a bracket in `{text}` is not closed", text=self.text), HINT)
