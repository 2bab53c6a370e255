"""Answers about time: the hours of the week, how many people are there, and the first day."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

from scheduler.reading.saiddays import said_day
from scheduler.reading.starters.answers import BATHROOM, DRYWALL, PANEL, PLANKS, SHOWER, Answers, HoursAnswer, unclear
from scheduler.reading.times import parse_clock, parse_weekdays
from scheduler.reading.wares import read_wares
from scheduler.told import told
from scheduler.wallclock import WEEKDAYS

DAYS = WEEKDAYS
DAYS_BY_NAME = {name for day in DAYS for name in (day.lower(), day[:3].lower())} | {"weekend", "weekends"}
"""Days of which the next one after today is meant."""
SHORTEST = 60
"""Minutes of a stretch; what is shorter is all set-up and clear-up."""
MOST_PEOPLE = 6
"""In one room of a house; who wants more has mistyped."""

_USED_FIRST = {
    **{PANEL: ("sheet", "board"), BATHROOM: ("tile",), SHOWER: ("tile", "cement board")},
    **{PLANKS: ("click flooring",), DRYWALL: ("drywall",)},
}
"""The wares, as profiles/wares.yaml calls them, without which such work does not get far."""

NUMBERS = {"one": 1, "two": 2, "three": 3}
"""Small numbers as words."""

_CLOCK = r"\d[\d:.]*\s*(?:[ap]\.?m\b\.?)?|noon|midday"
_STRETCH = re.compile(rf"\s*(\D+?)\s*(?:\bfrom\s+)?({_CLOCK})\s*(?:\bto\b|\buntil\b|[-–])\s*({_CLOCK})\s*(?:[,;]|$)")
_PART_OF_DAY = re.compile(r"\s*(\D*?)\s*\b(evenings?|mornings?|afternoons?)\s*(?:[,;]|$)")
_PARTS_OF_DAY = {"evening": (1110, 1260), "morning": (540, 720), "afternoon": (780, 1020)}
"""Minutes of the day, where nobody says more: half past six to nine, nine to noon, one to five (common practice)."""
_NUMBER_WORDS = re.compile(r"\b(?:one|two|three)\b")
_PEOPLE = re.compile(r"(\d+)(?:\s+people)?(?:\s+on\s+(.+))?")
_EXAMPLE = "`Saturday 9:00 to 17:00, Tuesday and Thursday 18:30 to 21:00`"


def read_hours(text: str, so_far: Answers) -> Answers:
    """`Saturday 9:00 to 17:00, Tuesday and Thursday 18:30 to 21:00`."""
    hours: list[HoursAnswer] = []
    at, plain = 0, text.strip()
    while at < len(plain):
        found = _STRETCH.match(plain.lower(), at)
        named = _PART_OF_DAY.match(plain.lower(), at)
        if named is not None and (found is None or named.end() <= found.start(2)):
            start, end = _PARTS_OF_DAY[named[2].removesuffix("s")]
            hours.append(HoursAnswer(days=_days(_bare(named[1]) or "weekdays"), start=start, end=end))
            at = named.end()
            continue
        if found is None:
            raise unclear(
                told("`{plain}` is no day with its hours", plain=plain[at:].strip()),
                told("write it such as {example}", example=_EXAMPLE),
            )
        start, end = (_clock(found[number], found[3]) for number in (2, 3))
        days = _days(_bare(found[1]))
        hours.append(HoursAnswer(days=days, start=start, end=end))
        at = found.end()
    _hold(hours)
    if not hours:
        raise unclear("no hours are named", told("write them such as {example}", example=_EXAMPLE))
    return replace(so_far, hours=tuple(hours))


def _bare(days: str) -> str:
    """The days without the words around them: `and weekday evenings` is `weekday`."""
    return re.sub(r"^(?:and|on|in the)\s+|\s+(?:evening|morning|afternoon)s?$", "", days.strip(" ,;"))


def _days(text: str) -> tuple[int, ...]:
    """Days of the week, one by one or as `Monday to Friday`."""
    ends = re.fullmatch(r"(\w+)\s*(?:-|–|\bto\b)\s*(\w+)", text)
    if ends is None:
        return tuple(sorted(parse_weekdays(text)))
    first, last = (min(parse_weekdays(word)) for word in ends.groups())
    return tuple(sorted({(first + day) % 7 for day in range((last - first) % 7 + 1)}))


def _clock(text: str, end: str) -> int:
    """Minutes of the day. Bare hours are read where the end of the stretch shows that they count to 24."""
    bare = re.fullmatch(r"\d{1,2}", text.strip())
    return parse_clock(f"{text.strip()}:00" if bare and re.fullmatch(r"1[3-9]|2[0-4]", end.strip()) else text.strip())


def _hold(hours: list[HoursAnswer]) -> None:
    """Each stretch is long enough to work in, and none lies over another."""
    for number, one in enumerate(hours):
        if one.end - one.start < SHORTEST:
            said = f"{clock(one.start)} to {clock(one.end)}"
            backwards = one.end <= one.start
            raise unclear(
                told(
                    "`{said}` {part}",
                    said=said,
                    part="ends before it begins" if backwards else "is less than an hour",
                ),
                "write the earlier time first" if backwards else "setting up and clearing up take that long",
            )
        for other in hours[:number]:
            both = set(one.days) & set(other.days)
            if both and one.start < other.end and other.start < one.end:
                raise unclear(told("{days} is there twice", days=DAYS[min(both)]), "write its hours once")


def read_people(text: str, so_far: Answers) -> Answers:
    """`1`, `2`, `1, 2 on Saturday and Sunday`: how many people are there."""
    most, by_day = 1, dict[int, int]()
    plain = re.sub(r"\b(?:just|only)\b", "", text.lower()).strip()
    plain = "1" if plain in ("me", "i", "myself", "alone", "by myself") else plain
    plain = _NUMBER_WORDS.sub(lambda found: str(NUMBERS[found[0]]), plain).replace(" of us", "")
    for entry in re.split(r"\s*[,;]\s*(?=\d)", plain):
        found = _PEOPLE.fullmatch(entry)
        if found is None:
            raise unclear(
                told("`{entry}` is no number of people", entry=entry), "write it such as `1`, or `1, 2 on Saturday`"
            )
        count = int(found[1][:3])
        if not 1 <= count <= MOST_PEOPLE:
            raise unclear(
                told("`{found}` is no number of people here", found=found[1]),
                told("write a number from 1 to {most_people}", most_people=MOST_PEOPLE),
            )
        if found[2] is None:
            most = count
        else:
            by_day |= dict.fromkeys(parse_weekdays(found[2]), count)
    worked = {day for stretch in so_far.hours for day in stretch.days}
    idle = sorted(set(by_day) - worked)
    if idle and not set(by_day) & worked:
        raise unclear(
            told("there are no hours on {days}", days=DAYS[idle[0]]),
            told("name one of {names}", names=", ".join(_names(worked))),
        )
    split = [part for stretch in so_far.hours for part in _split(stretch, by_day, most)]
    return replace(so_far, hours=tuple(split))


def _split(stretch: HoursAnswer, by_day: dict[int, int], most: int) -> list[HoursAnswer]:
    """The stretch, in parts where not the same number of people is there on all its days."""
    counts = dict.fromkeys(by_day.get(day, most) for day in stretch.days)
    return [
        replace(stretch, people=count, days=tuple(day for day in stretch.days if by_day.get(day, most) == count))
        for count in counts
    ]


def read_quiet(text: str, so_far: Answers) -> Answers:
    """`20:00 to 7:00`, or `none`: when there is no saw, nailer or sander."""
    plain = text.strip().lower()
    if plain in ("none", "no", "never", "nothing"):
        return replace(so_far, quiet=None)
    found = _STRETCH.fullmatch(plain if plain[:1].isalpha() else f"every day {plain}")
    if found is None:
        raise unclear(
            told("`{text}` is no stretch of the day", text=text.strip()),
            "write it such as `20:00 to 7:00`, or `none`",
        )
    start, end = _clock(found[2], found[3]), _clock(found[3], found[3])
    if start == end:
        raise unclear(
            told("`{text}` ends as it begins", text=text.strip()), "write it such as `20:00 to 7:00`, or `none`"
        )
    return replace(so_far, quiet=(start, end))


def read_start(text: str, so_far: Answers) -> Answers:
    """The first day: `2027-01-09`, `today`, `tomorrow`, or a day of the week."""
    plain = text.strip().lower().removeprefix("next ").removeprefix("this ").removeprefix("on ")
    if plain in ("as soon as possible", "asap", "at once"):
        day = first_day(so_far)
    elif plain in DAYS_BY_NAME:
        wanted = parse_weekdays(plain)
        day = next(each for each in _ahead(so_far.today, 1) if each.weekday() in wanted)
    else:
        day = said_day(plain, so_far.today, "ahead", us=so_far.us)
    if day < so_far.today:
        raise unclear(
            told("`{text}` has passed", text=text.strip()), told("write a day from {today} on", today=so_far.today)
        )
    if (day - so_far.today).days > 730:
        raise unclear(told("`{text}` is more than two years away", text=text.strip()), "check the year")
    return replace(so_far, start=day)


def first_day(so_far: Answers) -> date:
    """The next day after today on which there are hours, and by which what is used first can lie in the room."""
    days = {day for stretch in so_far.hours for day in stretch.days}
    ahead = _ahead(so_far.today, 1 + _days_before(so_far))
    return next((each for each in ahead if each.weekday() in days), so_far.today)


def _ahead(today: date, first: int) -> list[date]:
    return [today + timedelta(days) for days in range(first, first + 7)]


def _days_before(so_far: Answers) -> int:
    """How long what is bought for the first steps is ordered and lies in the room before it is used.

    Whoever has told what is on order has told what is waited for.
    """
    if so_far.order:
        return 0
    shelf = read_wares(None)
    first = (name for kind in so_far.kinds for name in _USED_FIRST.get(kind, ()))
    wares = [ware for name in first if (ware := shelf.ware(name)) is not None]
    return max((ware.settles + (ware.lead + shelf.margin if ware.lead else 0) for ware in wares), default=0)


def clock(minutes: int) -> str:
    """A time of day as a job file holds it, `18:30`."""
    return f"{minutes // 60}:{minutes % 60:02d}"


def day_names(days: tuple[int, ...]) -> str:
    """Days as a job file holds them: `Saturday`, `[Tuesday, Thursday]`, `weekdays`."""
    groups = {tuple(range(5)): "weekdays", (5, 6): "weekends", tuple(range(7)): "every day"}
    names = _names(set(days))
    return groups.get(days) or (names[0] if len(names) == 1 else f"[{', '.join(names)}]")


def _names(days: set[int]) -> list[str]:
    return [DAYS[day] for day in sorted(days)]
