"""What a single value of a job file may be: text in, a quantity of the model out, and how an editor checks it.

Each type is the plain Python type, a reader of the text that a person wrote, and a piece of JSON Schema. The readers
raise UnclearQuantityError, which pydantic collects with its place.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, TypeVar

from pydantic import BeforeValidator, WithJsonSchema

from scheduler.errors import brief
from scheduler.model.basics import OPEN, POT_LIFE, STAGES, Estimate
from scheduler.model.names import meant, slug, stranger
from scheduler.model.tradewords import LANGUAGES
from scheduler.reading.times import (
    FIRST_YEAR,
    parse_clock,
    parse_clocks,
    parse_date,
    parse_days,
    parse_every,
    parse_moment,
    parse_weekdays,
    parse_zone,
)
from scheduler.reading.zonenames import countries, country_said
from scheduler.told import told
from scheduler.units import (
    CommaError,
    UnclearQuantityError,
    format_duration,
    format_temp,
    parse_duration,
    parse_fraction,
    parse_length,
    parse_temp,
)

T = TypeVar("T")

LONGEST_NAME = 80
"""Letters of a name, a title or a quantity."""
LONGEST_TEXT = 500
"""Letters of a text, a note or a source."""
MOST_WORK = 1000 * 60
"""Minutes of hands-on time in one step; a longer one is several."""
AIR_RANGE = (-40.0, 60.0)
"""°C; no room in which a person works is colder or hotter."""
THICKEST = 0.15
"""Metres of one film, filling or bead."""
END = "end"

_A_DAY_OF_WORK = re.compile(r"[0-9]\s*(?:d|days?|wk|wks|weeks?)\b")
_YES, _NO = ("yes", "true", "on"), ("no", "false", "off")


def kind_of(value: object) -> str:
    """What stands in the file, in plain words."""
    if isinstance(value, dict):
        return "a block of keys and values"
    if isinstance(value, list):
        return "a list"
    return "nothing" if value is None else f"`{brief(str(value))}`"


def reads(parse: Callable[[str], T], write: str, longest: int = LONGEST_NAME) -> BeforeValidator:
    """A validator that hands a text to `parse`; no text, or far too much of it, is refused with `write`."""

    def read(value: object) -> T:
        if not isinstance(value, str):
            raise UnclearQuantityError(told("{what} stands here", what=kind_of(value)), write)
        if len(value) > longest:
            raise UnclearQuantityError(
                told("`{value}` has more than {longest} letters", value=brief(value, 20), longest=longest), write
            )
        try:
            return parse(value)
        except CommaError as comma:
            fitting = tuple(each for each in comma.readings if _is_read(parse, each))
            raise CommaError(comma.text, fitting or comma.readings) from None

    return BeforeValidator(read)


def _is_read(parse: Callable[[str], object], text: str) -> bool:
    try:
        parse(text)
    except UnclearQuantityError:
        return False
    return True


def _text(value: str) -> str:
    plain = " ".join(value.split())
    if not plain:
        raise UnclearQuantityError("this text is empty", "write a word or a few, or leave the key out")
    return plain


def _name(value: str) -> str:
    """The name as it stands in the file, so that its place can be found; its id is its slug."""
    plain = _text(value)
    if not slug(plain):
        raise UnclearQuantityError(
            told("`{plain}` has no letter and no digit", plain=plain), "write a name of letters or digits"
        )
    odd = stranger(plain)
    if odd is not None:
        raise UnclearQuantityError(
            told("`{plain}` mixes alphabets: it holds a {odd}", plain=plain, odd=odd),
            "write the name in one alphabet",
        )
    return value


def _count(least: int, most: int) -> Callable[[str], int]:
    def count(text: str) -> int:
        plain = text.strip()
        if not re.fullmatch(r"[-+]?[0-9]{1,12}", plain):
            raise UnclearQuantityError(
                told("`{plain}` is no whole number", plain=plain),
                told("write a number from {least} to {most}", least=least, most=most),
            )
        if not least <= int(plain) <= most:
            raise UnclearQuantityError(
                told("`{plain}` is less than {least}", plain=plain, least=least)
                if int(plain) < least
                else told("`{plain}` is more than {most}", plain=plain, most=most),
                told("write a number from {least} to {most}", least=least, most=most),
            )
        return int(plain)

    return count


@dataclass(frozen=True, slots=True)
class Longest:
    """So many minutes out of use at most: in one stretch, or in all."""

    minutes: int
    in_all: bool


_LONGEST = re.compile(r"(?P<time>.+?)(?:\s+in\s+(?P<how>all|one\s+stretch))?")


def _longest(text: str) -> Longest:
    """`3 days`, `30 h in all`, `2 days in one stretch`."""
    found = _LONGEST.fullmatch(" ".join(text.split()))
    if found is None:
        raise UnclearQuantityError("no time stands here", "write `3 days`, or `3 days in all`")
    return Longest(_some_time(found["time"]), found["how"] == "all")


@dataclass(frozen=True, slots=True)
class TakenUntil:
    """So many of a shared thing; and until when, if for longer than the work: a stage or a step, or so many
    minutes. A word that is a stage of films means that, and any other one a step."""

    count: int
    until: str = ""
    at_start: bool = False
    minutes: int = 0

    @property
    def stage(self) -> str | None:
        """The stage that is meant."""
        word = slug(self.until).replace("-", "_")
        return word if word in STAGES and not self.at_start else None

    @property
    def step(self) -> str | None:
        """The step that is meant, as an id."""
        return slug(self.until) if self.until and self.stage is None else None


_TAKEN = r"(?:\s+until\s+(?P<start>(?:the\s+)?start\s+of\s+)?(?P<until>.+)|\s+for\s+(?P<time>.+))?"
_TAKEN_NUMBER = re.compile(rf"(?P<count>\S+){_TAKEN}")
_TAKEN_SUM = re.compile(rf"(?P<count>.+?){_TAKEN}")


def _taken(text: str) -> TakenUntil:
    """`2`, `9 until handle`, `1 until lift the covers`, `1 until start of varnish`, `1 for 45 min`."""
    found = _TAKEN_NUMBER.fullmatch(text.strip())
    if found is None:
        said = told("`{text}` is no number, with or without an end", text=brief(text))
        raise UnclearQuantityError(said, "write `1`, `9 until handle`, `1 until lift the covers` or `1 for 45 min`")
    return _until(found, _count(1, 100)(found["count"]))


def taken_sum(text: str) -> tuple[str, TakenUntil]:
    """The same of a sum in place of the number, such as `pieces until handle`: the sum, and until when."""
    found = _TAKEN_SUM.fullmatch(text.strip())
    if found is None:
        raise UnclearQuantityError("nothing stands here", "write `1`, or `pieces until handle`")
    return found["count"], _until(found, 1)


def _until(found: re.Match[str], count: int) -> TakenUntil:
    if found["time"]:
        return TakenUntil(count, minutes=_some_time(found["time"]))
    return TakenUntil(count, _name(found["until"]) if found["until"] else "", bool(found["start"]))


def _hands(text: str) -> tuple[int, int]:
    """`2`, or `1 to 2` where more of them are quicker."""
    least, _, most = (part.strip() for part in text.partition(" to "))
    found = _count(1, 20)(least), _count(1, 20)(most or least)
    if found[1] < found[0]:
        raise UnclearQuantityError(
            told("`{text}` goes down", text=brief(text)), "write the smaller number first, `1 to 2`"
        )
    return found


def _some_time(text: str) -> int:
    minutes = parse_duration(text)
    if minutes == 0:
        raise UnclearQuantityError(told("`{text}` is no time at all", text=text), "write at least `1 min`")
    return minutes


def read_work(text: str) -> Estimate:
    """One duration, or `LOW to HIGH, likely LIKELY`."""
    found = re.fullmatch(r"(.+?) to (.+?), likely (.+)", text.strip())
    if found is None:
        if " to " in text:
            raise UnclearQuantityError(
                told("`{text}` does not say what is likely", text=text), "write it as `1 h to 3 h, likely 90 min`"
            )
        return Estimate.sure(_work_time(text))
    low, high, likely = (_work_time(part) for part in found.groups())
    if not low <= likely <= high:
        said = told(
            "{likely} is not between {low} and {high}",
            likely=format_duration(likely),
            low=format_duration(low),
            high=format_duration(high),
        )
        raise UnclearQuantityError(said, "write the shortest time, the longest, and a likely one between them")
    return Estimate(low, likely, high)


def _work_time(text: str) -> int:
    if _A_DAY_OF_WORK.search(text.lower()):
        raise UnclearQuantityError(
            told("`{text}`: a day of work has no fixed length", text=text), "write hours, such as `6 h`"
        )
    minutes = _some_time(text)
    if minutes > MOST_WORK:
        raise UnclearQuantityError(
            told("`{text}` is more than {most_work} h of work", text=text, most_work=MOST_WORK // 60),
            "split the step",
        )
    return minutes


def _whole_days(text: str) -> int:
    minutes = parse_duration(text)
    if minutes % (24 * 60):
        raise UnclearQuantityError(
            told("`{text}` is no whole number of days", text=text), "write days or weeks, such as `3 weeks`"
        )
    return minutes // (24 * 60)


def _yes_no(text: str) -> bool:
    word = text.strip().lower()
    if word not in _YES + _NO:
        raise UnclearQuantityError(told("`{word}` is neither yes nor no", word=word), "write `yes` or `no`")
    return word in _YES


def _pause(text: str) -> int:
    """The smallest piece in minutes; 0 for one piece only."""
    if text.strip().lower() in _NO:
        return 0
    return 30 if text.strip().lower() in _YES else _some_time(text)


def _air_temp(text: str) -> float:
    temp = parse_temp(text)
    if not AIR_RANGE[0] <= temp <= AIR_RANGE[1]:
        low, high = (format_temp(bound, metric=True) for bound in AIR_RANGE)
        hint = told("write one from {low} to {high}; `{text}` in the other scale?", low=low, high=high, text=text)
        raise UnclearQuantityError(told("`{text}` is no air to work in", text=text), hint)
    return temp


def _country(text: str) -> str:
    """The two letters of a country that is said by its name or by them."""
    code = country_said(text)
    if code is None:
        raise UnclearQuantityError(told("`{text}` is no country", text=brief(text, 40)), meant(text, countries()))
    return code


def _thickness(text: str) -> float:
    metres = parse_length(text)
    if not 0 < metres <= THICKEST:
        raise UnclearQuantityError(
            told("`{text}` is no thickness of a film", text=text), "write one such as `4 mil`, `1/16 in`, `0.1 mm`"
        )
    return metres


def _stage(text: str) -> str:
    """The name of a stage, or `end`."""
    name = slug(text).replace("-", "_")
    if name == "recoat_by":
        raise UnclearQuantityError("at `recoat by` a window closes, nothing begins", "write `recoat`")
    if name not in (END, OPEN, POT_LIFE, *STAGES):
        known = [END, OPEN, "pot life", *(stage.replace("_", " ") for stage in STAGES if stage != "recoat_by")]
        raise UnclearQuantityError(told("`{text}` is no stage of a film", text=text), meant(text, known))
    return name


def word_of(*words: str) -> Callable[[str], str]:
    """A reader of one of these words, however it is spelled with capitals and hyphens."""

    def choose(text: str) -> str:
        for word in words:
            if slug(text) == slug(word):
                return word
        raise UnclearQuantityError(told("`{text}` is not known here", text=text), meant(text, words))

    return choose


def language_of(text: str) -> str:
    """The two letters of a language that is said by its name or by them. Raises UnclearQuantityError."""
    named = {"english": "en", "german": "de", "deutsch": "de"}
    said = word_of(*LANGUAGES, *named)(text)
    return named.get(said, said)


def _clock_face(text: str) -> bool:
    hours = word_of("12 h", "24 h", "12", "24")(text)
    return hours.startswith("24")


def schema(kind: str, *examples: object, **more: Any) -> WithJsonSchema:
    """What an editor is told of a value."""
    return WithJsonSchema({"type": kind, **({"examples": list(examples)} if examples else {}), **more})


_DAYS_SAID = ("2027-01-09", "9 January 2027", "9.1.2027")
_CLOCK_EXAMPLES = ("8:30", "18:30", "6:30 pm")

Text = Annotated[
    str,
    reads(_text, told("write one text of up to {longest} letters", longest=LONGEST_TEXT), LONGEST_TEXT),
    schema("string"),
]
Name = Annotated[
    str, reads(_name, told("write one name of up to {longest} letters", longest=LONGEST_NAME)), schema("string")
]
Hands = Annotated[
    tuple[int, int],
    reads(_hands, "write a number, or `1 to 2`"),
    WithJsonSchema({"type": ["integer", "string"], "examples": [2, "1 to 2"]}),
]
People = Annotated[int, reads(_count(1, 20), "write a number"), schema("integer", 2, minimum=1, maximum=20)]
Count = Annotated[int, reads(_count(1, 100), "write a number"), schema("integer", 1, minimum=1, maximum=100)]
Takes = Annotated[
    TakenUntil,
    reads(_taken, "write a number, and `until` when if it is kept for longer"),
    WithJsonSchema({"type": ["integer", "string"], "examples": [1, "9 until handle", "1 for 45 min"]}),
]
AtMost = Annotated[
    Longest, reads(_longest, "write a time such as `3 days`"), schema("string", "3 days", "30 h in all")
]
Coats = Annotated[int, reads(_count(1, 10), "write a number"), schema("integer", 2, minimum=1, maximum=10)]
Year = Annotated[int, reads(_count(1600, FIRST_YEAR + 199), "write a year"), schema("integer", 1964, minimum=1600)]
YesNo = Annotated[bool, reads(_yes_no, "write `yes` or `no`"), WithJsonSchema({"enum": [True, False, "yes", "no"]})]
Minutes = Annotated[int, reads(parse_duration, "write a duration such as `15 min`"), schema("string", "15 min")]
SomeMinutes = Annotated[
    int, reads(_some_time, "write a duration such as `14 days`"), schema("string", "2 h", "14 days")
]
WholeDays = Annotated[int, reads(_whole_days, "write days or weeks"), schema("string", "3 weeks")]
Work = Annotated[
    Estimate,
    reads(read_work, "write a duration such as `1 h 30 min`"),
    schema("string", "1 h 30 min", "1 h to 3 h, likely 90 min"),
]
Pause = Annotated[
    int,
    reads(_pause, "write a duration such as `30 min`, or `no`"),
    WithJsonSchema({"type": ["string", "boolean"], "examples": ["30 min", "no"]}),
]
Clock = Annotated[int, reads(parse_clock, "write a time such as `8:30`"), schema("string", *_CLOCK_EXAMPLES)]
Clocks = Annotated[
    tuple[int, int], reads(parse_clocks, "write it as `12:00 to 12:45`"), schema("string", "12:00 to 12:45")
]
Day = Annotated[date, reads(parse_date, "write a date such as `2027-01-09`"), schema("string", *_DAYS_SAID)]
Days = Annotated[
    tuple[date, date],
    reads(parse_days, "write `2027-02-13 to 2027-02-14`"),
    schema("string", "2027-02-20", "2027-02-13 to 2027-02-14", "13 to 14 February 2027"),
]
EarlyLate = Annotated[
    tuple[date, date],
    reads(lambda text: parse_days(text, "and"), "write `2027-02-15 and 2027-03-10`"),
    schema("string", "2027-02-15 and 2027-03-10"),
]
Moment = Annotated[
    tuple[date, int],
    reads(parse_moment, "write a date such as `2027-01-09`"),
    schema("string", "2027-01-09", "2027-01-09 08:00", "9 January 2027 8:00"),
]
Weekdays = Annotated[
    frozenset[int],
    reads(parse_weekdays, "write a day such as `Saturday`"),
    schema("string", "Saturday", "weekdays", "weekends", "every day"),
]
Weeks = Annotated[
    int,
    reads(parse_every, "write `second week`, or `3 weeks`"),
    schema("string", "second week", "2 weeks", "3 weeks"),
]
Zone = Annotated[str, reads(parse_zone, "write a zone such as `America/Denver`"), schema("string", "America/Denver")]
Country = Annotated[
    str, reads(_country, "write a country such as `Germany`, or its two letters"), schema("string", "Germany", "GB")
]
Temp = Annotated[float, reads(_air_temp, "write a temperature such as `68 °F`"), schema("string", "68 °F", "20 °C")]
Share = Annotated[float, reads(parse_fraction, "write a share such as `45 %`"), schema("string", "45 %")]
Thickness = Annotated[
    float, reads(_thickness, "write a thickness such as `4 mil`"), schema("string", "4 mil", "1/16 in", "0.1 mm")
]
Stage = Annotated[
    str, reads(_stage, "write a stage, or `end`"), schema("string", enum=[END, OPEN, POT_LIFE, *STAGES])
]
Measures = Annotated[
    str, reads(word_of("US", "metric"), "write `US` or `metric`"), schema("string", enum=["US", "metric"])
]
Language = Annotated[
    str, reads(language_of, "write `en` for English or `de` for German"), schema("string", enum=[*LANGUAGES])
]
ClockFace = Annotated[bool, reads(_clock_face, "write `12 h` or `24 h`"), schema("string", enum=["12 h", "24 h"])]
Kind = Annotated[
    str,
    reads(word_of("dusty", "noisy", "wet", "wipes"), "write one or more of dusty, noisy, wet, wipes"),
    schema("string", enum=["dusty", "noisy", "wet", "wipes"]),
]
