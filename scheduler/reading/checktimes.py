"""Checks of days and hours: what ends does so after it begins."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from scheduler.errors import Fault
from scheduler.reading.book import NameBook
from scheduler.told import told
from scheduler.wallclock import DAY


def hours_run_forward(book: NameBook) -> Iterator[Fault]:
    """Work hours end later on the same day."""
    for number, rule in enumerate(book.job.hours):
        if rule.end <= rule.start:
            yield Fault(
                book.at.value(("hours", number, "to")),
                "`to` is not after `from`",
                "write a later time of the same day; midnight is `24:00`",
            )


def breaks_lie_inside(book: NameBook) -> Iterator[Fault]:
    """A break lies inside its hours and leaves some of them."""
    for number, rule in enumerate(book.job.hours):
        for index, (start, end) in enumerate(rule.breaks or []):
            if rule.end > rule.start and not (rule.start <= start and end <= rule.end):
                place = book.at.value(("hours", number, "break", index))
                yield Fault(place, "this break is not inside the hours", "write one between `from` and `to`")
            elif (start, end) == (rule.start, rule.end):
                place = book.at.value(("hours", number, "break", index))
                yield Fault(place, "this break takes the hours whole", "leave some of them, or leave them out")


def hours_hold_for_a_while(book: NameBook) -> Iterator[Fault]:
    """Hours hold until a day that is not before the first one; in which weeks, a day of the first of them says."""
    for number, rule in enumerate(book.job.hours):
        if rule.every is not None and rule.since is None:
            place = book.at.key(("hours", number, "every"))
            yield Fault(
                place, "`every` counts weeks, and nothing says from which", "write `since: ` and its first day"
            )
        if rule.since and rule.until and rule.until < rule.since:
            place = book.at.value(("hours", number, "until"))
            yield Fault(place, "`until` is before `since`", "write the later day under `until`")


def quiet_lasts(book: NameBook) -> Iterator[Fault]:
    """Quiet hours do not begin and end at the same time."""
    for number, rule in enumerate(book.job.quiet_hours or []):
        if rule.start % DAY == rule.end % DAY and (rule.start, rule.end) != (0, DAY):
            place = book.at.value(("quiet hours", number, "to"))
            yield Fault(place, "`to` is the same time as `from`", "for the whole day write 0:00 and 24:00")


def done_after_start(book: NameBook) -> Iterator[Fault]:
    """The day to be done by is not before the start."""
    done, start = book.job.done_by, book.job.start[0]
    if done and not {"done by", "start"} & book.broken and done < start:
        yield Fault(
            book.at.value(("done by",)), told("this is before the start on {start}", start=start), "write a later day"
        )


def promised_after_start(book: NameBook) -> Iterator[Fault]:
    """The day by which a room or a step is promised is not before the start."""
    start = book.job.start[0]
    if "start" in book.broken:
        return
    promised = [(("rooms", name, "done by"), room.done_by) for name, room in book.job.rooms.items()]
    promised += [(("steps", name, "done by"), step.done_by) for name, step in (book.job.steps or {}).items()]
    for path, day in promised:
        if day is not None and day < start:
            yield Fault(
                book.at.value(path), told("this is before the start on {start}", start=start), "write a later day"
            )


def appointments_last(book: NameBook) -> Iterator[Fault]:
    """An appointment ends later on its day than it begins, and not before the start of the job."""
    for name, visit in (book.job.appointments or {}).items():
        if visit.end <= visit.start:
            place = book.at.value(("appointments", name, "to"))
            yield Fault(place, "`to` is not after `from`", "write a later time of the same day")
        if "start" not in book.broken and visit.on < book.job.start[0]:
            said = told("this is before the start on {start}", start=book.job.start[0])
            yield Fault(book.at.value(("appointments", name, "on")), said, "write a later day")


def built_before_start(book: NameBook) -> Iterator[Fault]:
    """The house was built by the year of the job."""
    built, year = book.job.built, book.job.start[0].year
    if built and not {"built", "start"} & book.broken and built > year:
        yield Fault(
            book.at.value(("built",)),
            told("this is after the start in {year}", year=year),
            "write the year of the house",
        )


def rooms_have_air(book: NameBook) -> Iterator[Fault]:
    """A room has air: its list of airs is not empty."""
    for name, room in book.job.rooms.items():
        if not room.air and "rooms" not in book.broken:
            hint = "write it, such as `air: {day: 20 °C, night: 18 °C, humidity: 50 %}`"
            yield Fault(book.at.value(("rooms", name, "air")), "no air stands in this list", hint)


def air_follows_air(book: NameBook) -> Iterator[Fault]:
    """Where the air changes by date every entry but the first says since when, one after the other."""
    for name, room in book.job.rooms.items():
        for number, (before, after) in enumerate(pairwise(room.air), start=1):
            path = ("rooms", name, "air", number)
            if after.since is None and path not in book.lost:
                hint = "write `since: ` and the first day of this air"
                yield Fault(book.at.value(path), "`since` is missing", hint)
            elif before.since and after.since and after.since <= before.since:
                said = told("this is not after {since}, where the entry before begins", since=before.since)
                yield Fault(book.at.value((*path, "since")), said, "write the entries in order of time")


def one_day_in_a_room(book: NameBook) -> Iterator[Fault]:
    """The hours that count as day are the same in all air of a room."""
    for name, room in book.job.rooms.items():
        for number, air in enumerate(room.air[1:], start=1):
            if air.day_hours and air.day_hours != room.air[0].day_hours:
                place = book.at.value(("rooms", name, "air", number, "day hours"))
                yield Fault(place, "the day hours of a room do not change", "write them in the first entry only")


def one_day_a_weekday(book: NameBook) -> Iterator[Fault]:
    """No day of the week has two kinds of day hours."""
    for name, room in book.job.rooms.items():
        said: set[int] = set()
        for number, rule in enumerate((room.air[0].day_hours if room.air else None) or ()):
            weekdays = frozenset[int]().union(*rule.on)
            if said & weekdays:
                place = book.at.value(("rooms", name, "air", 0, "day hours", number, "on"))
                yield Fault(place, "a day of these has day hours already", "name each day of the week once")
            said |= weekdays


def warmth_is_warmer(book: NameBook) -> Iterator[Fault]:
    """A room is warmer while somebody is there than it is some time by itself."""
    for name, room in book.job.rooms.items():
        coldest = min((min(air.day, air.night) for air in room.air), default=None)
        if room.warmed is not None and coldest is not None and room.warmed.temperature <= coldest:
            place = book.at.key(("rooms", name, "while somebody is there"))
            said = "this counts for nothing: the `air` is never colder"
            yield Fault(place, said, "leave it out, or write the air without heat under `air`")


def items_come(book: NameBook) -> Iterator[Fault]:
    """Of what is on order one knows when it comes, when it came, or how long it takes."""
    for name, item in (book.job.items or {}).items():
        silent = item.comes is None and item.arrived is None and item.order_time is None
        if silent and ("on order", name) not in book.lost:
            place = book.at.key(("on order", name))
            yield Fault(place, told("nothing says when `{name}` comes", name=name), "write `comes: ` and a day")


def items_come_between(book: NameBook) -> Iterator[Fault]:
    """The day on which something is expected lies between the earliest and the latest."""
    for name, item in (book.job.items or {}).items():
        if item.comes and item.between and not item.between[0] <= item.comes <= item.between[1]:
            place = book.at.value(("on order", name, "comes"))
            said = told(
                "this is not between {between} and {between2}", between=item.between[0], between2=item.between[1]
            )
            yield Fault(place, said, "write a day between them, or change `between`")
        elif item.between and item.comes is None:
            place = book.at.value(("on order", name, "between"))
            yield Fault(place, "`between` needs the likely day", "write `comes: ` and a day between them")


TIME_CHECKS = (
    hours_run_forward,
    breaks_lie_inside,
    hours_hold_for_a_while,
    quiet_lasts,
    done_after_start,
    promised_after_start,
    appointments_last,
    built_before_start,
    rooms_have_air,
    air_follows_air,
    one_day_in_a_room,
    one_day_a_weekday,
    warmth_is_warmer,
    items_come,
    items_come_between,
)
