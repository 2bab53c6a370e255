"""YAML 1.2 -> plain data and the place of every value. Whatever a file may hold, the answer is data or faults.

No object of the parser gets out of here. The limits stand well above the largest honest file and well below what
would make a person wait: a "bomb" of anchors, a pit of brackets or a wrong file is refused in the first second.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TypeAlias

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    CollectionEndEvent,
    DocumentStartEvent,
    Event,
    MappingStartEvent,
    NodeEvent,
    ScalarEvent,
    SequenceStartEvent,
)

from scheduler.errors import Fault, InputError, Place, brief, untyped_character, wrong_input
from scheduler.reading.positions import Positions, Spot
from scheduler.reading.textfile import MAX_BYTES, check_text, read_text, shown
from scheduler.told import told

YamlValue: TypeAlias = "bool | int | float | str | list[YamlValue] | dict[str, YamlValue] | None"

MAX_VALUES = 60_000
"""Values in a file, those behind an alias counted each time they are used."""
MAX_DEPTH = 24
"""Lists and mappings inside one another."""

_EMPTY = re.compile(r"(?:~|null|Null|NULL)?")
_TRUTH = {word: word.lower() == "true" for word in ("true", "True", "TRUE", "false", "False", "FALSE")}
_WHOLE = re.compile(r"[-+]?[0-9]{1,18}")
_DECIMAL = re.compile(r"[-+]?(?:\.[0-9]{1,18}|[0-9]{1,18}(?:\.[0-9]{0,18})?)(?:[eE][-+]?[0-9]{1,3})?")

# What the parser says -> what is wrong, what would be right. The first part that is in its sentence counts.
_SAID = (
    (r"character '\t'", "a tab stands here", "indent with spaces"),
    ("mapping values are not allowed", "a second `: ` in one value, or a line that stands too far to the right",
     "put a text that holds `: ` in quotes; line keys of one kind up"),
    ("could not find expected ':'", "there is no `: ` after this key", "write `key: value`"),
    ("end>, but found '<scalar>'", "a text follows here after a value that has ended",
     "put all of it in one pair of quotes, or on a line of its own"),
    ("expected <block end>", "this line does not line up with those it belongs to", "indent it as far as they are"),
    ("'<document start>'", "this line does not line up with those it belongs to", "indent it as far as they are"),
    ("unexpected end of stream", "a quote is opened and never closed", "close it"),
    ("expected ',' or ']'", "a `[` is not closed", "put `,` between its entries and `]` at its end"),
    ("expected ',' or '}'", "a `{` is not closed", "put `,` between its entries and `}` at its end"),
    ("sequence entries are not allowed", "a list entry begins inside a value", "put it on a line of its own"),
    ("expected the node content", "a value is missing here", "write one, or take the sign before it away"),
    ("expected alphabetic or numeric", "`&` or `*` begins a name here, and none follows", "put the text in quotes"),
    ("escape", "`\\` stands in double quotes before a sign that it can't stand before",
     "write `\\\\` for one `\\`, or use single quotes"),
    ("document separator", "a quote is still open at this line of dashes", "close it before"),
    ("indentation", "`|` or `>` begins a text here", "begin the text on the next line, or put it in quotes"),
    ("or a line break", "`|` or `>` begins a text here", "begin the text on the next line, or put it in quotes"),
    ("mapping keys are not allowed", "`? ` begins a key inside a value", "put the text in quotes"),
    ("tag", "`!` begins a name here that means nothing", "put the text in quotes"),
    ("expected '!'", "`!` begins a name here that means nothing", "put the text in quotes"),
    ("expected URI", "`!` begins a name here that means nothing", "put the text in quotes"),
    ("YAML", "a line with `%` means nothing here", "take it out"),
    ("a digit", "a line with `%` means nothing here", "take it out"),
    ("that cannot start any token", "a text can't begin with this character", "put the text in quotes"),
)  # fmt: skip
_AT_ITS_BEGINNING = ("unexpected end of stream", "expected ',' or", "could not find expected ':'")


def load_yaml(path: Path, *, typed: bool = True, limit: int = MAX_BYTES) -> tuple[YamlValue, Positions]:
    """Plain data of one YAML file, and where each value stands. Raises InputError. See `parse_yaml`."""
    return parse_yaml(read_text(path, limit), shown(path), typed=typed)


def parse_yaml(text: str, name: str, *, typed: bool = True) -> tuple[YamlValue, Positions]:
    """Plain data (None, bool, int, float, str, list, dict with text keys) of one YAML text, and its places.

    `typed`: plain scalars become numbers and truth values as in the core schema of YAML 1.2 (section 10.3.2);
    dates stay text. Otherwise every scalar stays the text that the person wrote, and only an empty one is None.
    Raises InputError for what is no YAML (one fault), for keys that stand twice, keys that are no text, tags, unknown
    anchors (a fault each), and for what goes beyond the limits. `name` is the file's name in the faults.
    """
    data, positions, faults = compose_yaml(text, name, typed=typed)
    if faults:
        raise InputError(faults)
    return data, positions


def compose_yaml(text: str, name: str, *, typed: bool = True) -> tuple[YamlValue, Positions, list[Fault]]:
    """The same with the faults that leave the rest readable: of a key that stands twice the first one counts, an
    unknown anchor holds nothing. Raises InputError for what is no YAML, or goes beyond the limits.
    """
    return _Composer(check_text(text, name), name, typed).whole()


class _Composer:
    """Builds data out of the parser's events; anchors, limits and duplicates are its own business."""

    def __init__(self, text: str, name: str, typed: bool) -> None:
        self.text, self.name, self.typed = text, name, typed
        self.faults: list[Fault] = []
        self.anchors: dict[str, tuple[YamlValue, Spot, int]] = {}
        self.values = 0

    def whole(self) -> tuple[YamlValue, Positions, list[Fault]]:
        """The one document of the text, and the faults that leave it readable."""
        data: YamlValue = None
        root = Spot(1, 1, 1, 1)
        try:
            documents = 0
            for event in (events := self._events()):
                if isinstance(event, DocumentStartEvent):
                    documents += 1
                    if documents > 1:
                        self._stop(event, "a second document begins here", "keep one document in a file")
                    data, root = self._value(next(events), events, 1, None)
        except YAMLError as error:
            raise InputError([*self.faults, self._syntax(error)]) from None
        except (ValueError, AssertionError, OverflowError):
            # The parser's own slips: an escape beyond Unicode, a version directive that is none.
            said = "a `\\` or a `%` stands in this file where it means nothing"
            raise wrong_input(self.name, said, "take it out") from None
        return data, Positions(self.name, root), self.faults

    def _events(self) -> Iterator[Event]:
        yaml = YAML(typ="safe", pure=True)
        yield from yaml.parse(self.text)

    def _value(self, event: Event, events: Iterator[Event], depth: int, key: Place | None) -> tuple[YamlValue, Spot]:
        """The value that begins with `event`; `key` is where its key stands."""
        if depth > MAX_DEPTH:
            self._stop(
                event,
                told("more than {max_depth} lists and blocks inside one another", max_depth=MAX_DEPTH),
                "write it flatter",
            )
        before = self.values
        self._count(1, event)
        if isinstance(event, AliasEvent):
            return self._alias(event, key)
        here = self._place(event)
        spot = Spot(here.line, here.column, (key or here).line, (key or here).column)
        tag = getattr(event, "ctag", None)
        if tag is not None:
            self._fault(
                here, told("the tag `{tag}` stands here", tag=brief(str(tag))), "take it out; values need no tag"
            )
        data: YamlValue
        if isinstance(event, MappingStartEvent):
            data = self._mapping(event, events, depth, spot)
        elif isinstance(event, SequenceStartEvent):
            data = self._list(events, depth, spot)
        else:
            assert isinstance(event, ScalarEvent)  # the parser's grammar has nothing else here
            data = self._scalar(event, here)
            if event.value == "" and event.style is None and key is not None:
                spot.line, spot.column = key.line, key.column
        anchor = getattr(event, "anchor", None)
        if anchor is not None:
            self.anchors[anchor] = (data, spot, self.values - before)
        return data, spot

    def _mapping(
        self, start: MappingStartEvent, events: Iterator[Event], depth: int, spot: Spot
    ) -> dict[str, YamlValue]:
        data: dict[str, YamlValue] = {}
        while not isinstance(event := next(events), CollectionEndEvent):
            place = self._place(event)
            if isinstance(event, ScalarEvent) and untyped_character(event.value) is None:
                name: str | None = str(event.value)
            else:
                self._value(event, events, depth + 1, None)
                self._fault(place, "this key is no plain text", "write a word or a few as the key")
                name = None
            value, part = self._value(next(events), events, depth + 1, place)
            if name is None:
                continue  # nothing can be asked of what has no name
            part.flow = bool(start.flow_style)
            if name in data:
                first = spot.parts[name].key_line
                self._fault(
                    place,
                    told("`{name}` stands here twice, first in line {first}", name=brief(name), first=first),
                    "keep one of the two",
                )
            else:
                data[name], spot.parts[name] = value, part
        return data

    def _list(self, events: Iterator[Event], depth: int, spot: Spot) -> list[YamlValue]:
        data: list[YamlValue] = []
        while not isinstance(event := next(events), CollectionEndEvent):
            value, spot.parts[len(data)] = self._value(event, events, depth + 1, None)
            data.append(value)
        return data

    def _alias(self, event: NodeEvent, key: Place | None) -> tuple[YamlValue, Spot]:
        here = self._place(event)
        spot = Spot(here.line, here.column, (key or here).line, (key or here).column)
        if event.anchor not in self.anchors:
            anchor = brief(event.anchor)
            said = told("`*{anchor}` stands here, but no finished `&{anchor}` before it", anchor=anchor)
            self._fault(here, said, "write the value itself")
            return None, spot
        data, source, size = self.anchors[event.anchor]
        self._count(size, event)
        spot.parts = source.parts
        return data, spot

    def _scalar(self, event: ScalarEvent, here: Place) -> YamlValue:
        text = str(event.value)
        found = untyped_character(text)
        if found is not None:
            self._fault(here, told("{found} stands in this text", found=found[1]), "take it out; a text holds none")
        if event.style is not None:
            return text
        if _EMPTY.fullmatch(text):
            return None
        return _core(text) if self.typed else text

    def _count(self, values: int, event: Event) -> None:
        self.values += values
        if self.values > MAX_VALUES:
            self._stop(
                event,
                told("more than {max_values} values up to here", max_values=MAX_VALUES),
                "use fewer aliases, or split the file",
            )

    def _place(self, event: Event) -> Place:
        return Place(self.name, event.start_mark.line + 1, event.start_mark.column + 1)

    def _fault(self, place: Place, message: str, hint: str) -> None:
        self.faults.append(Fault(place, message, hint))

    def _stop(self, event: Event, message: str, hint: str) -> None:
        """Raises what was found so far and this last fault."""
        raise InputError([*self.faults, Fault(self._place(event), message, hint)])

    def _syntax(self, error: YAMLError) -> Fault:
        """The parser's complaint in plain words."""
        if not isinstance(error, MarkedYAMLError):
            said = "this is no file of keys and values"
            return Fault(Place(self.name), said, "see how `tackfree starter` writes one")
        problem = error.problem or ""
        mark = error.problem_mark or error.context_mark
        begin, end = error.context_mark, error.problem_mark
        if "'}', but got ':'" in problem and begin is not None and end is not None and begin.line == end.line:
            return Fault(
                Place(self.name, end.line + 1, end.column + 1),
                "a second `: ` stands in one value inside braces",
                "put a name with its options in brackets, such as `do: [prime: {spots: 3}]`, or a text in quotes",
            )
        if any(part in problem for part in _AT_ITS_BEGINNING):
            mark = error.context_mark or mark
        place = Place(self.name, mark.line + 1, mark.column + 1) if mark else Place(self.name)
        for part, message, hint in _SAID:
            if part in problem:
                return Fault(place, message, hint)
        return Fault(place, "this can't be read as keys and values", "put the text in quotes if it is meant so")


def _core(text: str) -> YamlValue:
    """A plain scalar by the core schema; numbers too long to be meant stay text."""
    if text in _TRUTH:
        return _TRUTH[text]
    if _WHOLE.fullmatch(text):
        return int(text)
    if _DECIMAL.fullmatch(text) and math.isfinite(float(text)):
        return float(text)
    return text
