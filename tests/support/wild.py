"""Whole files written at random: what a person might hand in, with an odd value here and there.

Every writer takes a Random, so that the same ones serve a long run by a seed and hypothesis (`st.randoms()`). `odd`
is the share of values that are not what belongs there; with 0 nearly every file is sound.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from random import Random
from typing import TypeAlias

Plain: TypeAlias = "str | int | float | bool | list[Plain] | dict[str, Plain] | None"

ODD = (
    *("0", "-1", "1e308", "1e400", "9" * 40, "9" * 5000, "nan", "inf", "~", "true", "", " ", "x" * 700, "\t", "\0"),
    *("0001-01-01", "9999-12-31", "2027-02-30", "2199-12-31", "2000-01-01", "24:00", "25:61", "12 am", "1,5 h"),
    *("0 h", "-3 h", "1 min", "1000 h", "99999999 h", "1/0 h", "4 h to 2 h", "1 h to 900 h, likely 2 h", "3 weeks"),
    *("-500 °F", "140 °F", "999 °C", "0 %", "100 %", "101 %", "68", "0.001 mm", "140 mm", "100 m", "1 ft", "none"),
    *("\u202e", "\ud7ff", "\u200b", "ſ", "а", "½", "💥", "é" * 60, "a\nb", "{a}", "[x]", "*a", "&a", "!!x", "'", '"'),
)  # fmt: skip
"""Values that belong nowhere, or only just."""
ROOMS = ("study", "garage", "back hall", "küche", "浴室", "room 3")
MATERIALS = (
    *("acrylic-latex-wall-paint", "waterborne-alkyd-enamel", "latex-drywall-primer", "acrylic-latex-caulk"),
    *("setting-type-compound-45", "drying-type-joint-compound", "oil-based-wood-stain", "penetrating-oil"),
    *("polyurethane-construction-adhesive", "cement-thinset", "cement-grout", "solvent-alkyd-enamel", "shellac"),
)
STAGES = ("touch", "dust free", "handle", "recoat", "use", "end", "2 h", "3 days")
TIMES = ("end", "2 h", "30 min", "3 days")
PARTS: dict[str, tuple[str, ...]] = {
    "walls": ("patch", "skim", "sand", "wipe down", "prime", "paint walls", "seal"),
    "ceiling": ("patch", "prime", "paint ceiling", "wipe down"),
    "floor": ("varnish floor",),
    "base": ("base", "shoe", "caulk", "fill", "prime", "paint trim"),
    "panel": ("backer", "rails and battens", "panel mouldings", "fill", "prime", "paint panel"),
    "shelf": ("shelves", "seal"),
}
APART = ("Saturday", "Sunday", "weekdays")
"""Days of which none is among others: hours inside other hours add nothing."""
DAYS = ("Saturday", "Sunday", "weekends", "weekdays", "every day", "Tuesday", "Tuesday, Thursday")


class Writer:
    """Chooses values; now and then an odd one."""

    def __init__(self, random: Random, odd: float) -> None:
        self.random, self.odd = random, odd

    def one(self, *good: str) -> str:
        """One of the good values, or an odd one."""
        return self.random.choice(ODD if self.random.random() < self.odd else good)

    def may(self, share: float) -> bool:
        """True in that share of cases."""
        return self.random.random() < share

    def few(self, names: Sequence[str], least: int = 0, most: int = 3) -> list[str]:
        """Some of the names in any order."""
        return self.random.sample(list(names), min(len(names), self.random.randint(least, most)))

    def keys(self, found: dict[str, Plain]) -> dict[str, Plain]:
        """The mapping without a key, or with one that does not belong there, in the odd case."""
        if found and self.may(self.odd):
            del found[self.random.choice(list(found))]
        if self.may(self.odd):
            found[self.one("steps", "rooms", "follows", "on", "work", "titel", "x")] = self.one("x", "1 h")
        return found

    def day(self) -> str:
        """A day in the years of the job, as a rule."""
        return self.one(*(f"2027-0{month}-{day:02}" for month in (2, 3, 5) for day in (1, 9, 15, 28)))

    def work(self) -> str:
        """Hands-on time."""
        return self.one("20 min", "45 min", "1 h", "1.5 h", "3 h", "7 h", "20 h", "1 h to 3 h, likely 90 min")


def wild_job(random: Random, odd: float = 0.01, steps: int = 10) -> str:
    """A whole job file: block YAML at the top, flow below."""
    to = Writer(random, odd)
    rooms = to.few(ROOMS, 1, 3)
    items = to.few(("doors", "tiles", "glass")) if to.may(0.4) else []
    things = ["step ladder", "trestle"] if to.may(0.5) else []
    names = [f"step {number}" for number in range(random.randint(0, steps))]
    measured = to.may(0.5)
    parts = to.few(tuple(PARTS), 1, 3) if measured else []
    colours = to.few(("white", "green", "ochre"), 0, 3)
    job: dict[str, Plain] = {
        "job": to.one("Hobby room", "Bad é", "x", "Küche \u2014 1. Stock", "浴室"),
        "start": to.one("2027-01-09", "2027-01-09 08:00", "2026-10-30"),
        "zone": to.one("America/Denver", "Europe/Berlin", "UTC", "Australia/Lord_Howe", "Asia/Kathmandu"),
        "measures": to.one("US", "metric"),
        "hours": [_hours(to, days) for days in to.few(APART, 1, 3)],
        "rooms": {room: _room(to, measured and room == rooms[0]) for room in rooms},
        "steps": {},
    }
    job["steps"] = steps_said = dict[str, Plain]()
    for name in names:
        steps_said[name] = _step(to, rooms, items, things, steps_said)
    _more(to, job, items, things)
    if parts:
        job["scope"] = {part: _part(to, part, rooms[0], items) for part in parts}
        if to.may(0.2):
            job["pace"] = to.one("80 %", "150 %")
    if colours:
        job["colours"] = {colour: _colour(to, rooms, parts[n : n + 1]) for n, colour in enumerate(colours)}
    if len(colours) > 1:
        job["borders"] = [to.keys({"between": colours[:2], "tape off": to.one("20 min", "none")})]
        if to.may(0.5):  # an order counts only where two colours touch
            job["borders"] = [to.keys({"between": colours[:2], "tape off": "20 min"})]
            job["colour order"] = to.few(colours[:2], 2, 2)
    job = to.keys(job)
    order = list(job)
    if to.may(0.3):
        random.shuffle(order)
    return "".join(f"{_flow(key)}: {_flow(job[key])}\n" for key in order)


def _flow(value: Plain) -> str:
    """As flow YAML: a plain word where that can be, else in quotes."""
    if isinstance(value, str) and value.replace(" ", "").isalnum():
        return value
    return json.dumps(value, ensure_ascii=False)


def _hours(to: Writer, days: str) -> Plain:
    found: dict[str, Plain] = {
        "on": to.one(days),
        "from": to.one("8:30", "10:00", "7:00"),
        "to": to.one("17:00", "21:00", "24:00", "20:30"),
    }
    if to.may(0.3):
        found["people"] = to.one("2", "3")
    if to.may(0.3):
        found["break"] = to.one("12:00 to 12:45", "14:00 to 14:10")
    if to.may(0.2):
        found["quiet"] = to.one("yes", "no")
    if to.may(0.2):
        found[to.random.choice(("since", "until"))] = to.day()
    return to.keys(found)


def _room(to: Writer, measured: bool) -> Plain:
    found: dict[str, Plain] = {}
    if measured:
        found = {
            "length": to.one("9 ft", "16 ft", "3.2 m"),
            "width": to.one("9 ft", "11 ft", "2.8 m"),
            "height": to.one("8 ft", "2.5 m"),
        }
    if measured and to.may(0.5):
        found["openings"] = {
            "window": to.keys(
                {"on": to.one("east wall", "north wall"), "width": "3 ft", "height": "4 ft", "sill": "3 ft"}
            )
        }
    airs: list[Plain] = [_air(to)]
    if to.may(0.2):
        airs.append({**_air(to), "since": to.day()})
    if to.may(0.1):
        found["readings"] = to.one("air.csv")
    return to.keys({**found, "air": airs})


def _air(to: Writer) -> dict[str, Plain]:
    found: dict[str, Plain] = {
        "day": to.one("68 °F", "72 °F", "20 °C", "50 °F", "35 °C"),
        "night": to.one("60 °F", "64 °F", "16 °C", "36 °F"),
        "humidity": to.one("45 %", "60 %", "20 %", "84 %"),
    }
    return to.keys(found)


def _follows(to: Writer, before: dict[str, Plain]) -> list[Plain]:
    found: list[Plain] = []
    for name in to.few(list(before)[-4:], 0, 2):
        lays = "lays" in str(before[name])
        how: Plain = to.one(*(STAGES if lays else TIMES))
        if to.may(0.2):
            how = {"stage": to.one("end", "end", "handle" if lays else "end"), "wait": to.one("1 h", "2 days")}
            how["within"] = to.one("3 weeks", "3 days")
        found.append({name: how})
    return found


def _step(
    to: Writer, rooms: Sequence[str], items: Sequence[str], things: Sequence[str], before: dict[str, Plain]
) -> Plain:
    found: dict[str, Plain] = {"room": to.one(*rooms), "work": to.work(), "follows": _follows(to, before)}
    kind = to.random.choice(("plain", "lays", "dusty", "wipes", "plain"))
    if kind == "lays":
        found["lays"] = {"material": to.one(*MATERIALS), "coat": to.one("1", "2")}
        found["kind"] = "wet"
    elif kind == "dusty":
        found["kind"] = to.few(("dusty", "noisy"), 1, 2)
    elif kind == "wipes":
        found["kind"] = "wipes"
    more: tuple[tuple[float, str, Plain], ...] = (
        (0.1, "people", to.one("1")),
        (0.2, "pause", to.one("no", "30 min", "2 h")),
        (0.1, "title", to.one("Lay the long boards", "Bohren & dübeln", "Ω")),
        (0.1, "caution", to.one("mind the cable")),
        (0.1, "uses", {"batten": to.one("12 ft", "3"), to.one(*MATERIALS): to.one("1 gal", "300 ml")}),
        (0.2, "needs", to.few(items, 1, 2)),
        (0.2, "takes", {thing: to.one("1") for thing in to.few(things, 1, 2)}),
    )
    return to.keys({**found, **{key: value for share, key, value in more if value and to.may(share)}})


def _part(to: Writer, part: str, room: str, items: Sequence[str]) -> Plain:
    do: list[Plain] = list(to.few(PARTS[part], 1, 4))
    if do and to.may(0.1):
        options: dict[str, Plain] = {
            to.one("coats", "paint", "over", "stains", "needs"): to.one("2", *MATERIALS, *items)
        }
        do[-1] = {str(do[-1]): options}
    found: dict[str, Plain] = {"do": do}
    if part == "base":
        found["along"] = to.one("floor", "floor", "ceiling")
    elif part == "panel":
        found |= {"up to": to.one("golden section", "1/3", "4 ft", "1.2 m"), "on": to.one("north wall", "east wall")}
    elif part == "shelf":
        found |= {"surface": "other", "length": to.one("6 ft", "2 m")}
    if to.may(0.3):
        found["room"] = to.one(room)
    return to.keys(found)


def _colour(to: Writer, rooms: Sequence[str], parts: Sequence[str]) -> Plain:
    found: dict[str, Plain] = {"material": to.one(*MATERIALS[:2]), "coats": to.one("1", "2", "3")}
    painted = [part for part in parts if part in ("walls", "ceiling", "panel")]
    if painted and to.may(0.7):
        found["on"] = to.few(painted, 1, 2)
    else:
        found |= {"room": to.one(*rooms), "one coat": to.work(), "tape off": to.one("15 min", "1 h", "none")}
    return to.keys(found)


def _more(to: Writer, job: dict[str, Plain], items: Sequence[str], things: Sequence[str]) -> None:
    """What a job may leave out."""
    if items:
        job["on order"] = {
            item: to.keys({"comes": to.day()} if to.may(0.8) else {"arrived": to.day()}) for item in items
        }
    if things:
        job["shared things"] = {thing: to.one("1", "2") for thing in things}
    more: tuple[tuple[str, Plain], ...] = (
        ("clock", to.one("12 h", "24 h")),
        ("built", to.one("1964", "2001")),
        ("away", [to.one("2027-02-13 to 2027-02-14", "2027-01-16")]),
        ("quiet hours", {"on": to.one(*DAYS), "from": to.one("20:00"), "to": to.one("8:00", "23:00")}),
        ("set-up", to.one("15 min", "0 min", "1 h")),
        ("clear-up", to.one("20 min", "3 h")),
        ("done by", to.day()),
        ("busy", [to.one("home.ics")]),
    )
    job |= {key: value for key, value in more if to.may(0.2)}
    if "busy" in job or to.may(to.odd):
        job["travel margin"] = to.one("30 min")


def wild_diary(random: Random, odd: float = 0.02, names: Sequence[str] = ("step-0", "step-1", "step-2")) -> str:
    """A diary of up to eight entries on a job from `wild_job`."""
    to = Writer(random, odd)
    lines = []
    for number in range(random.randint(0, 8)):
        day = f"2027-01-{9 + number:02}"
        at, start, end = (f"{day}T{hour:02}:00:00-07:00" for hour in (18, 9, random.choice((10, 12, 17))))
        pieces: Plain = [[to.one(start), to.one(end)]]
        entry: dict[str, Plain] = random.choice(
            (
                {"what": "did", "step": to.one(*names), "pieces": pieces},
                {"what": "left", "step": to.one(*names), "pieces": pieces, "minutes_left": to.random.choice((45, 0))},
                {"what": "undone", "line": random.randint(0, number + 1)},
                {"what": "late", "item": to.one("doors", "tiles"), "expected": to.day()},
                {"what": "arrived", "item": to.one("doors", "tiles"), "on": to.day()},
                {"what": "lost", "from": to.one(start), "to": to.one(end)},
                {"what": "air", "room": to.one("study"), "time": to.one(start), "celsius": 20.5, "humidity": 0.4},
                {"what": "note", "text": to.one("opened the second bucket")},
            )
        )  # fmt: skip
        lines.append(json.dumps(to.keys({"at": to.one(at), **entry}), ensure_ascii=to.may(0.5)))
    return "\n".join(lines) + ("\n" if to.may(0.9) else "")


def wild_readings(random: Random, odd: float = 0.01) -> str:
    """A log of the air: a head in one of its spellings, and up to fifty rows."""
    to = Writer(random, odd)
    sign = random.choice((",", ";", "\t"))
    scale = to.one("temp_c", "temp_f", "temperature (°C)", "Temp °F")
    rows = [sign.join((to.one("time", "Time", "timestamp"), scale, to.one("rh", "humidity", "RH %")))]
    for hour in range(random.randint(0, 50)):
        when = f"2027-01-{9 + hour // 24:02} {hour % 24:02}:00"
        degrees = f"{random.uniform(-5, 30):.1f}" if "c" in scale.lower() else f"{random.uniform(25, 90):.1f}"
        rows.append(sign.join((to.one(when), to.one(degrees), to.one(f"{random.uniform(10, 99):.0f}"))))
    return random.choice(("\n", "\n", "\r\n")).join(rows) + random.choice(("", "\n"))


def wild_calendar(random: Random, odd: float = 0.02) -> str:
    """A household's calendar: single events, whole days, series and their changed dates, zones of its own."""
    to = Writer(random, odd)
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//home//EN"]
    if to.may(0.3):
        lines += ["BEGIN:VTIMEZONE", "TZID:Ours", "BEGIN:STANDARD", to.one("DTSTART:20001105T020000")]
        lines += ["TZOFFSETFROM:-0600", to.one("TZOFFSETTO:-0700", "TZOFFSETTO:+2400"), "RRULE:" + _rule(to)]
        lines += ["END:STANDARD", "END:VTIMEZONE"]
    for number in range(random.randint(0, 6)):
        lines += ["BEGIN:VEVENT", f"UID:{to.one(f'u{number}', 'u0')}", "DTSTAMP:20260101T000000Z", *_event(to)]
        lines += [line for line in ("STATUS:CANCELLED", "TRANSP:TRANSPARENT", "SEQUENCE:3") if to.may(0.1)]
        lines.append(to.one("END:VEVENT"))
    lines.append(to.one("END:VCALENDAR"))
    return random.choice(("\r\n", "\n")).join(lines) + "\r\n"


def _event(to: Writer) -> list[str]:
    month, day, hour = to.random.randint(1, 12), to.random.randint(1, 31), to.random.randint(0, 23)
    zone = to.one("", ";TZID=America/Denver", ";TZID=Ours", ";TZID=Pacific Standard Time", ";TZID=Nowhere")
    start = to.one(f"2027{month:02}{day:02}T{hour:02}0000")
    if to.may(0.2):
        lines = [f"DTSTART;VALUE=DATE:{start[:8]}"]
    else:
        lines = [
            f"DTSTART{zone}:{start}{to.one('', '', 'Z')}",
            to.one("DURATION:PT2H", "DURATION:P3D", "DTEND:" + start),
        ]
    if to.may(0.4):
        lines.append("RRULE:" + _rule(to))
    if to.may(0.2):
        lines.append(f"{to.one('EXDATE', 'RDATE')}{zone}:{start}")
    if to.may(0.1):
        lines.append(f"RECURRENCE-ID{to.one('', ';RANGE=THISANDFUTURE')}:{start}")
    return lines


def _rule(to: Writer) -> str:
    parts = [f"FREQ={to.one('DAILY', 'WEEKLY', 'MONTHLY', 'YEARLY', 'HOURLY', 'SECONDLY')}"]
    for name, values in (
        ("INTERVAL", ("1", "2", "5", "999999999")),
        ("BYDAY", ("MO,WE", "-1SU", "2TU", "53MO")),
        ("BYMONTH", ("1", "2,11", "12")),
        ("BYMONTHDAY", ("1", "-1", "31", "30,31")),
        ("BYHOUR", ("9,14", "23")),
        ("BYSETPOS", ("1", "-1", "366")),
        ("BYWEEKNO", ("20", "53", "-1")),
        ("COUNT", ("1", "60", "999999999")),
        ("UNTIL", ("20270601T000000Z", "20260101", "99991231T235959Z")),
    ):
        if to.may(0.2):
            parts.append(f"{name}={to.one(*values)}")
    return ";".join(parts)
