"""Jobs that a person might really have, at random: measured rooms with methods and colours, and steps by hand.

All invented. Every writer takes a Random. What is written may contradict itself or leave too few hours; whoever takes
a job reads and plans it first, and draws another one if that cannot be done.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from random import Random

from scheduler.reading.starter import KINDS, usual
from scheduler.reading.starters.answers import Answers
from scheduler.reading.starters.jobtext import job_text
from scheduler.reading.starters.questions import QUESTIONS, answered, named
from scheduler.units import UnclearQuantityError
from tests.support.starts import _HOLES, _ITEMS, _PARTS, _SIZES, _WORDS

EXAMPLES = Path(__file__).parents[2] / "examples"

HOURS = (
    """\
  - {on: Saturday, from: 8:30, to: 17:00, people: 2, break: 12:00 to 12:45}
  - {on: Sunday, from: 10:00, to: 16:00}
  - {on: [Tuesday, Thursday], from: 18:30, to: 21:00, quiet: yes}
""",
    """\
  - {on: weekends, from: 8:00, to: 18:00, people: 2}
""",
    """\
  - {on: weekdays, from: 17:00, to: 21:00}
  - {on: Saturday, from: 9:00, to: 17:00, people: 2, break: 13:00 to 14:00}
""",
    """\
  - {on: every day, from: 7:00, to: 16:00, people: 2, break: 11:30 to 12:00}
""",
)
ROOM = """\
  {name}:
    length: {length} ft
    width: {width} ft
    height: 8 ft
    openings:
      {name} door: {{on: south wall, width: 32 in, height: 80 in}}
      {name} window: {{on: east wall, width: 4 ft, height: 4 ft, sill: 3 ft}}
    air: {{day: {day} °F, night: {night} °F, humidity: {humidity} %}}
"""
PLAIN_ROOM = "  {name}: {{air: {{day: {day} °F, night: {night} °F, humidity: {humidity} %}}}}\n"
PARTS = {
    "walls": ("[prime]", "[patch, prime]", "[skim, sand, wipe down, prime]", "[]"),
    "ceiling": ("[prime]", "[patch, prime]", "[]"),
    "panel": (
        "[backer, rails and battens, fill, sand: {over: new work}, wipe down, prime]",
        "[backer: {fixing: glued and nailed}, rails and battens, caulk, prime]",
    ),
    "base": ("[base, fill, caulk, prime]", "[base, shoe, caulk]"),
    "shelf": ("[shelves, fill]",),
}
PAINTS = {
    "walls": ("acrylic-latex-wall-paint", "waterborne-alkyd-enamel"),
    "ceiling": ("acrylic-latex-ceiling-paint",),
    "panel": ("waterborne-alkyd-enamel", "acrylic-latex-wall-paint"),
    "base": ("acrylic-latex-trim-paint",),
}
COATS = (
    *("acrylic-bonding-primer", "shellac-based-primer", "waterborne-polyurethane", "oil-based-wood-stain"),
    *("solvent-alkyd-enamel", "waterborne-alkyd-enamel", "penetrating-oil", "oil-modified-polyurethane"),
)
FILMS = (
    *COATS,
    *("pva-wood-glue", "acrylic-latex-caulk", "lightweight-spackling", "setting-type-compound-45", "cement-grout"),
    *(
        "two-part-epoxy-adhesive",
        "waterborne-contact-cement",
        "drying-type-joint-compound",
        "neutral-silicone-sealant",
    ),
)
DAYS = tuple(date(2027, month, day) for month, day in ((1, 9), (3, 6), (3, 27), (6, 4), (10, 23)))
ZONES = ("America/Denver", "America/New_York", "Europe/Berlin", "Australia/Sydney", "Asia/Kathmandu", "UTC")


def example(random: Random) -> tuple[str, Mapping[str, bytes]]:
    """One of the jobs that ship: the text of its file, and what lies beside it."""
    folder = random.choice(sorted(path.parent for path in EXAMPLES.glob("*/job.yaml")))
    beside = {path.name: path.read_bytes() for path in folder.glob("*.csv")}
    return (folder / "job.yaml").read_text(encoding="utf-8"), beside


def starter(random: Random) -> tuple[str, Mapping[str, bytes]]:
    """A starter job of any kind, half of them with answers of a person's own."""
    kind, us = random.choice(KINDS), random.random() < 0.5
    begin = Answers(zone=random.choice(ZONES), us=us, today=random.choice(DAYS), room="den")
    if random.random() < 0.5:
        return job_text(replace(usual(kind, begin), start=begin.today)), {}
    colours = ", ".join(random.sample(_WORDS[:4], random.randint(1, 3)))
    order = ", ".join(
        f"{item} in {random.randint(0, 30)} days" for item in random.sample(_ITEMS, random.randint(0, 2))
    )
    texts = [
        kind,
        random.choice(_SIZES),
        random.choice(_HOLES),
        random.choice(_PARTS[kind]),
        random.choice(("", "1", "2", "3")),
        random.choice(("", "1", "2", colours)),
        random.choice(("", "Saturday 7:00 to 18:00", "weekends 8:00 to 17:00", "every day 9:00 to 17:30")),
        random.choice(("", "1", "2", "1, 2 on Sunday")),
        order,
        random.choice(("", "tomorrow", "2027-03-12")),
        random.choice(("", "none", "19:00 to 8:00")),
        "",
        "",
    ]
    answers = begin
    for question, text in zip(QUESTIONS, texts, strict=True):
        try:
            answers = answered(question, text, answers)
        except UnclearQuantityError:
            answers = answered(question, "", answers)
    return job_text(named(answers)), {}


def random_job(random: Random) -> tuple[str, Mapping[str, bytes]]:
    """A job of one or two rooms: parts with methods in the first as a rule, steps by hand in any."""
    start = random.choice(DAYS)
    measured = random.random() < 0.6
    rooms = random.sample(("den", "hall", "shed", "bath"), random.randint(1, 2))
    items = random.sample(("boards", "glass"), random.randint(0, 2))
    lines = [f"job: Job {random.randint(1, 99)}", f"start: {start}", f"zone: {random.choice(ZONES)}", "measures: US"]
    lines += ["clock: 24 h", f"built: {random.choice((1955, 1999))}"]
    hours = random.choice(HOURS)
    if random.random() < 0.15:  # hours that run out, soon after the work could be done
        until = start + timedelta(days=random.randint(20, 70))
        hours = hours.replace("}\n", f", until: {until}}}\n")
    lines += ["hours:", hours.rstrip("\n")]
    if random.random() < 0.5:
        lines.append("quiet hours: {on: every day, from: 19:30, to: 8:00}")
    if random.random() < 0.3:
        away = start + timedelta(days=random.randint(5, 20))
        lines.append(f"away: {away} to {away + timedelta(days=2)}")
    lines += [f"set-up: {random.choice((0, 10, 15))} min", f"clear-up: {random.choice((0, 15, 20))} min"]
    lines.append("shared things: {step ladder: 1, nailer: 1, trestle: 1}")
    if items:
        lines.append("on order:")
        for item in items:
            comes = start + timedelta(days=random.randint(0, 25))
            lines.append(f"  {item}: {{comes: {comes}, order time: 2 weeks}}")
    lines.append("rooms:")
    for n, room in enumerate(rooms):
        air = {"day": random.choice((64, 68, 74)), "night": random.choice((56, 60, 66))}
        form = ROOM if measured and n == 0 else PLAIN_ROOM
        size = {"length": random.choice((9, 13)), "width": random.choice((8, 11))}
        lines.append(form.format(name=room, humidity=random.choice((35, 50, 65)), **air, **size).rstrip("\n"))
    if measured:
        lines += _scope(random, rooms[0])
    if not measured or random.random() < 0.8:
        lines += _steps(random, rooms, items)
    if not measured and random.random() < 0.4:
        lines += _colours(random, rooms[0])
    return "\n".join(lines) + "\n", {}


def _scope(random: Random, room: str) -> list[str]:
    names = random.sample(list(PARTS), random.randint(1, 3))
    lines = ["scope:"]
    if random.random() < 0.6:
        lines.append(f"  {room}: [clear and protect, put back]")
    colours = []
    for name in names:
        do = random.choice(PARTS[name])
        if name == "panel":
            lines.append(f"  panel: {{on: [north wall], up to: 4 ft, do: {do}}}")
        elif name == "base":
            lines.append(f"  base: {{along: floor, do: {do}}}")
        elif name == "shelf":
            lines.append(f"  shelf: {{surface: other, length: 6 ft, do: {do}}}")
        else:
            lines.append(f"  {name}: {{surface: {name}}}" if do == "[]" else f"  {name}: {do}")
        if name in PAINTS:
            coats = random.randint(1, 2)
            paint = random.choice(PAINTS[name])
            word = {"walls": "white", "ceiling": "chalk", "panel": "moss", "base": "ochre"}[name]
            colours.append(f"  {word}: {{on: {name}, material: {paint}, coats: {coats}}}")
    lines = lines if len(lines) > 1 else []
    return [*lines, *(["colours:", *colours] if colours else [])]


def _colours(random: Random, room: str) -> list[str]:
    lines = ["colours:"]
    names = random.sample(("white", "green", "ochre"), random.randint(1, 3))
    for name in names:
        paint = random.choice(PAINTS["walls"])
        tape = random.choice(("none", "20 min"))
        lines.append(
            f"  {name}: {{room: {room}, material: {paint}, coats: {random.randint(1, 2)}, "
            f"one coat: {random.choice((30, 50, 80))} min, tape off: {tape}}}"
        )
    if len(names) > 1:
        lines.append("borders:")
        lines.append(f"  - {{between: [{names[0]}, {names[1]}], tape off: 15 min}}")
    return lines


def _steps(random: Random, rooms: Sequence[str], items: Sequence[str]) -> list[str]:
    lines, names, laid = ["steps:"], list[str](), dict[str, str]()
    dusty: dict[str, list[str]] = {}
    for number in range(random.randint(3, 9)):
        room = random.choice(rooms)
        kind = random.choice(("plain", "plain", "lays", "lays", "dusty", "wet"))
        if kind in ("lays", "wet") and dusty.get(room) and random.random() < 0.9:
            wipe = f"wipe {number}"
            lines.append(
                f"  {wipe}: {{room: {room}, work: 20 min, kind: wipes, follows: [{', '.join(dusty[room])}]}}"
            )
            names.append(wipe)
            dusty[room] = []
        name = f"{'sand' if kind == 'dusty' else 'coat' if kind == 'lays' else 'fit'} {number}"
        follows = [_follow(random, before, laid) for before in random.sample(names[-3:], min(len(names), 2))]
        follows = follows[: random.choice((0, 1, 1, 2))]
        if kind in ("lays", "wet"):
            follows += [other for other in names if other.startswith("wipe") and other not in " ".join(follows)][-1:]
        said = [f"room: {room}", f"work: {random.choice((10, 20, 45, 60, 90, 150, 240))} min"]
        if kind == "lays":
            laid[name] = random.choice(FILMS)
            said += [f"lays: {laid[name]}"]
        elif kind == "wet":
            said += ["kind: wet"]
        elif kind == "dusty":
            said += [f"kind: [{random.choice(('dusty', 'dusty, noisy'))}]"]
            dusty.setdefault(room, []).append(name)
        if kind == "plain":
            said += [random.choice(("pause: 30 min", "pause: no", "pause: 20 min", "pause: 1 h"))]
        if random.random() < 0.15:
            said.append("people: 2")
        if random.random() < 0.2:
            said.append(f"takes: {random.choice(('step ladder', 'nailer', 'trestle'))}")
        if items and random.random() < 0.3:
            said.append(f"needs: [{random.choice(items)}]")
        if follows:
            said.append(f"follows: [{', '.join(dict.fromkeys(follows))}]")
        lines.append(f"  {name}: {{{', '.join(said)}}}")
        names.append(name)
    return lines


def _follow(random: Random, before: str, laid: Mapping[str, str]) -> str:
    """A step that is followed: at its end, at a stage of its film, or within a time."""
    if random.random() < 0.25:
        return f"{before}: {{stage: end, within: {random.choice(('30 min', '4 h', '1 day', '3 days'))}}}"
    if before in laid:
        return f"{before}: {random.choice(('recoat', 'recoat', 'use') if laid[before] in COATS else ('use', 'end'))}"
    return f"{before}: {random.choice(('2 h', '1 day'))}" if random.random() < 0.2 else before
