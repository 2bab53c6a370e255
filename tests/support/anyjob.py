"""Random job files of several rooms that read without a fault, with every key that there is.

A file grows piece by piece: what a person might add next, sensible or not. A piece that is a fault is left away.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from random import Random
from typing import Any

from scheduler.errors import InputError
from scheduler.expanding import expand
from scheduler.model.method import PHASES, Method, MethodOption
from scheduler.model.names import slug
from scheduler.reading.methods import read_methods
from tests.support.leaves import text_of_data
from tests.support.scoped import unfolded

Data = dict[str, Any]
Piece = Callable[[Random, Data], None]
METHODS = read_methods(None).loaded
PAINTS = ("acrylic-latex-wall-paint", "waterborne-alkyd-enamel", "acrylic-latex-ceiling-paint")
FILMS = ("acrylic-bonding-primer", "pva-wood-glue", "acrylic-latex-caulk", "cement-grout", *PAINTS)
MATERIALS = {
    "primer": "solvent-alkyd-primer",
    "paint": "acrylic-latex-trim-paint",
    "finish": "oil-modified-polyurethane-floor",
    "sealant": "polyurethane-sealant",
}
DAYS = ("2027-01-09", "2027-01-16", "2027-01-23", "2027-02-06", "2027-02-20", "2027-03-13")
WALLS = ("north wall", "east wall", "south wall", "west wall")
KINDS = ("walls", "panel", "ceiling", "floor", "trim", "doors", "room", "other")
FOR_ALL = ("title", "over", "measured", "area")
FITTING = {
    "walls": ("on",),
    "panel": ("on", "from", "up to", "width"),
    "trim": ("around", "along", "on", "length"),
    "doors": ("around", "count"),
    "other": ("length", "count"),
    "ceiling": (),
    "floor": ("length",),
    "room": (),
}
COUNTED = {
    "fill": {"holes": 30},
    "sand": {"holes": 40},
    "caulk": {"joints": "20 ft"},
    "rails-and-battens": {"battens": 9},
}
STAGES = ("recoat", "handle", "sand", "touch", "use", "end", "paint over")


def begun(random: Random) -> Data:
    """One or two rooms, measured or not, and one step."""
    data: Data = {
        "job": "Any",
        "start": "2027-01-09",
        "zone": random.choice(("America/Denver", "Europe/Vienna", "Asia/Tokyo")),
        "hours": [{"on": "every day", "from": "7:00", "to": "20:00", "people": 2}],
        "rooms": {name: _room(random, name) for name in ("den", "hall")[: random.choice((1, 2, 2))]},
        "steps": {"first": {"work": "1 h", "room": "den"}},
    }
    return data


THINGS = {"step ladder": 1, "nailer": 1, "lamp": 2}


def grown(random: Random, pieces: int) -> Data:
    """A job of so many pieces, fewer where some of them are faults."""
    data = begun(random)
    for number in range(pieces):
        data = with_piece(random, data, (_part,) if number < pieces // 2 else PIECES) or data
    return data


def with_piece(random: Random, data: Data, pieces: tuple[Piece, ...]) -> Data | None:
    """The job with one more piece, or None where that is a fault."""
    more = deepcopy(data)
    random.choice(pieces)(random, more)
    return more if more != data and ids_of(more) is not None else None


def ids_of(data: Data) -> list[str] | None:
    """The ids of all that is to be done, or None where the file is faulty."""
    try:
        return [task.id for task in expand(*unfolded(text_of_data(data))).tasks if task.remedy_of is None]
    except InputError:
        return None


def _some(random: Random, keys: dict[str, Callable[[], Any]], share: float = 0.3) -> Data:
    return {key: value() for key, value in keys.items() if random.random() < share}


def _room(random: Random, name: str) -> Data:
    air = {"day": "70 °F", "night": "64 °F", "humidity": "45 %"}
    air |= _some(random, {"night humidity": lambda: "55 %", "day hours": lambda: "7:00 to 21:00"}, 0.2)
    later = {"day": "72 °F", "night": "66 °F", "humidity": "50 %", "since": "2027-02-01"}
    room: Data = {"air": [air, later] if random.random() < 0.3 else air}
    if name == "den" or random.random() < 0.7:
        room |= {"length": "12 ft", "width": "10 ft", "height": "8 ft"}
        openings = {
            "window": {"on": "east wall", "width": "3 ft", "height": "3 ft", "sill": "3 ft"},
            "door": {"on": "south wall", "width": "30 in", "height": "80 in"},
        }
        room["openings"] = {key: value for key, value in openings.items() if random.random() < 0.8}
    return room | _some(random, {"title": lambda: f"The {name}"})


def _numbered(random: Random, section: Data, word: str) -> str:
    return next(
        name for number in range(99) if (name := f"{word} {chr(97 + number % 26)}{number // 26 or ''}") not in section
    )


def _hours(random: Random, data: Data) -> None:
    rule = {"on": random.choice(("Saturday", "weekdays", "Sunday")), "from": "8:00", "to": "21:00"}
    rule |= _some(
        random,
        {
            "people": lambda: random.choice((1, 2, 3)),
            "break": lambda: "12:00 to 12:30",
            "quiet": lambda: random.choice(("yes", "no")),
            "since": lambda: random.choice(DAYS[1:]),
            "until": lambda: random.choice(DAYS),
        },
    )
    data["hours"] = [*data["hours"], rule]


def _whole(random: Random, data: Data) -> None:
    things = {
        "quiet hours": lambda: [{"on": "every day", "from": "19:00", "to": "8:00"}],
        "away": lambda: [{"on": random.choice(DAYS[1:]), "why": "a wedding"}],
        "set-up": lambda: "15 min",
        "clear-up": lambda: "20 min",
        "travel margin": lambda: "30 min",
        "shared things": lambda: dict(THINGS),
        "done by": lambda: "2027-06-01",
        "built": lambda: random.choice((1950, 2001)),
        "clock": lambda: random.choice(("12 h", "24 h")),
        "measures": lambda: random.choice(("US", "metric")),
        "pace": lambda: random.choice(("80 %", "120 %")),
        "first time": lambda: [random.choice(_called(data) or ["mask"])],
    }
    key = random.choice(list(things))
    data[key] = things[key]()


def _called(data: Data) -> list[str]:
    """The methods that a job names."""
    calls = [call for part in data.get("scope", {}).values() for call in part.get("do", [])]
    return [call if isinstance(call, str) else next(iter(call)) for call in calls]


def _item(random: Random, data: Data) -> None:
    items = data.setdefault("on order", {})
    item = {"comes": "2027-02-06"}
    item |= _some(
        random,
        {
            "title": lambda: "Something ordered",
            "between": lambda: "2027-01-30 and 2027-02-20",
            "order time": lambda: "2 weeks",
            "arrived": lambda: "2027-01-08",
        },
    )
    items[_numbered(random, items, "item")] = item


def _takes(random: Random, data: Data) -> Data:
    """One of the things of the job, which has some from then on."""
    return {random.choice(list(data.setdefault("shared things", dict(THINGS)))): 1}


def _follows(random: Random, data: Data) -> list[Data]:
    names = [*data.get("steps", {}), *data.get("colours", {}), *random.sample(ids_of(data) or ["first"], 1)]
    how: Data = _some(
        random,
        {"stage": lambda: random.choice(STAGES), "wait": lambda: "1 h", "within": lambda: "10 d"},
        0.5,
    )
    return [{random.choice(names): how}]


def _step(random: Random, data: Data) -> None:
    steps = data.setdefault("steps", {})
    ids = ids_of(data) or []
    name = random.choice(ids) if ids and random.random() < 0.1 else _numbered(random, steps, "step")
    steps[name] = {"work": "2 h", "room": random.choice(list(data["rooms"])), **_keys_of_step(random, data, 0.2)}


def _keys_of_step(random: Random, data: Data, share: float) -> Data:
    parts = list(data.get("scope", {})) or ["walls"]
    placed = {"part": random.choice(parts), "phase": random.choice(PHASES)} if random.random() < share else {}
    return placed | _some(
        random,
        {
            "title": lambda: "Something to do",
            "people": lambda: random.choice((1, 2)),
            "pause": lambda: random.choice(("no", "20 min", "3 h")),
            "kind": lambda: random.choice(("dusty", "noisy", "wet", "wipes", ["noisy", "dusty"])),
            "lays": lambda: random.choice(
                (
                    random.choice(FILMS),
                    {"material": random.choice(FILMS), "coat": random.choice((1, 2)), "thickness": "1/16 in"},
                )
            ),
            "follows": lambda: _follows(random, data),
            "needs": lambda: random.choice(list(data.get("on order", {})) or ["none"]),
            "takes": lambda: _takes(random, data),
            "caution": lambda: "Mind the cat.",
            "uses": lambda: {"masking tape": "20 ft"},
            "disturbs": lambda: random.choice(("old paint", "nothing", "old texture")),
        },
        share,
    )


def _part(random: Random, data: Data) -> None:
    scope = data.setdefault("scope", {})
    kind = random.choice(KINDS)
    name = random.choice(
        (kind if kind in KINDS[:6] and kind != "panel" else "thing", _numbered(random, scope, "part"))
    )
    if kind == "room":
        name = random.choice(list(data["rooms"]))
    part: Data = {} if name in (*KINDS, *data["rooms"]) else {"surface": kind}
    if random.random() < 0.25 and len(scope) > 1:
        name, part = _numbered(random, scope, "both"), {"of": random.sample(list(scope), 2)}
        part["do"] = [random.choice(("prime", "wipe down", "sand", "caulk", "fill"))]
        scope[name] = part
        return
    part |= _keys_of_part(random, data, kind, 0.15)
    part["do"] = [_call(random, kind) for _ in range(random.choice((0, 1, 1, 2, 3)))]
    called = [slug(call if isinstance(call, str) else next(iter(call))) for call in part["do"]]
    counted = next((COUNTED[name] for name in called if name in COUNTED), None)
    if counted is not None and random.random() < 0.8:
        part["measured"] = counted
    if len(data["rooms"]) > 1 and kind != "room":
        part["room"] = random.choice(list(data["rooms"]))
    scope[name] = {key: value for key, value in part.items() if value != []}


def _keys_of_part(random: Random, data: Data, kind: str, share: float) -> Data:
    scope = list(data.get("scope", {})) or ["none"]
    usual = {
        "panel": {"up to": "1/2", "on": ["north wall", "east wall"]},
        "trim": {"along": "floor"},
        "other": {"length": "10 ft"},
        "doors": {"count": 3},
    }.get(kind, {})
    keys: dict[str, Callable[[], Any]] = {
        "title": lambda: "A thing of its own",
        "on": lambda: [random.choice(WALLS)],
        "from": lambda: "1 ft",
        "up to": lambda: random.choice(("1/3", "golden section", "5 ft")),
        "width": lambda: "4 ft",
        "around": lambda: [random.choice(("window", "door"))],
        "along": lambda: random.choice(("floor", "ceiling", ["floor", "ceiling"])),
        "area": lambda: "30 ft²",
        "length": lambda: "14 ft",
        "count": lambda: 4,
        "over": lambda: [random.choice(scope)],
        "measured": lambda: random.choice(({"holes": 30}, {"joints": "20 ft"}, {"battens": 12}, {"boxes": 2})),
    }
    if random.random() < 0.7:  # as a surface of that kind is measured
        keys = {key: value for key, value in keys.items() if key in FITTING.get(kind, keys) or key in FOR_ALL}
    return (usual if random.random() < 0.7 else {}) | _some(random, keys, share)


def _call(random: Random, kind: str) -> Any:
    fit = [name for name, method in METHODS.items() if not method.fits or kind in method.fits]
    name = random.choice(fit)
    options = {option.name: _value(random, METHODS[name], option) for option in METHODS[name].options}
    said = {key: value for key, value in options.items() if random.random() < 0.25}
    return {name.replace("-", " "): said} if said else name.replace("-", " ")


def _value(random: Random, method: Method, option: MethodOption) -> Any:
    if option.kind == "choice":
        return random.choice(option.choices)
    if option.kind == "number":
        return random.choice((1, 2, 3, int(float(option.default))))
    if option.kind == "length":
        usual = float(option.default) or 3.0
        return f"{usual * random.choice((0.5, 1.5, 2)):.3g} m"
    return MATERIALS.get(option.name, "two-part-filler") if option.kind == "material" else "a thing bought"


def _colour(random: Random, data: Data) -> None:
    colours = data.setdefault("colours", {})
    name = _numbered(random, colours, "colour")
    colour: Data = {"material": random.choice(PAINTS), "coats": random.choice((1, 2))}
    if data.get("scope") and random.random() < 0.7:
        colour["on"] = random.sample(list(data["scope"]), min(len(data["scope"]), random.choice((1, 2))))
    else:
        colour |= {"one coat": "1 h", "room": random.choice(list(data["rooms"]))}
    if random.random() < 0.3:
        colour |= {"tape off": "30 min", "pull tape": "25 min"}
    colours[name] = colour | _keys_of_colour(random, data, 0.15)


def _keys_of_colour(random: Random, data: Data, share: float) -> Data:
    return _some(
        random,
        {
            "title": lambda: "A fine colour",
            "one coat": lambda: "2 h",
            "tape off": lambda: random.choice(("30 min", "none")),
            "thickness": lambda: "0.1 mm",
            "people": lambda: random.choice((1, 2)),
            "follows": lambda: _follows(random, data),
            "needs": lambda: random.choice(list(data.get("on order", {})) or ["none"]),
            "takes": lambda: _takes(random, data),
            "uses": lambda: {"acrylic-latex-wall-paint": "1 L"},
            "caution": lambda: "Stir it well.",
        },
        share,
    )


def _border(random: Random, data: Data) -> None:
    names = list(data.get("colours", {}))
    if len(names) > 1:
        border = {"between": random.sample(names, 2), "tape off": random.choice(("20 min", "none"))}
        data["borders"] = [*data.get("borders", []), border]


def _order(random: Random, data: Data) -> None:
    names = list(data.get("colours", {}))
    data["colour order"] = random.sample(names, random.randint(0, len(names)))


def _change(random: Random, data: Data) -> None:
    keys = {key: value for key, value in _keys_of_step(random, data, 0.2).items() if key not in ("part", "phase")}
    data.setdefault("changes", {})[random.choice(ids_of(data) or ["none"])] = keys | _some(
        random, {"work": lambda: "95 min", "room": lambda: random.choice(list(data["rooms"]))}
    )


def _drop(random: Random, data: Data) -> None:
    data["drop"] = [*data.get("drop", []), random.choice(ids_of(data) or ["none"])]


def _another_key(random: Random, data: Data) -> None:
    """A key more in an entry that is there."""
    section = random.choice([key for key in ("steps", "scope", "colours", "rooms") if data.get(key)])
    name = random.choice(list(data[section]))
    entry = data[section][name]
    if not isinstance(entry, dict):
        return
    if section == "steps":
        more = _keys_of_step(random, data, 0.15)
    elif section == "scope":
        more = _keys_of_part(random, data, "", 0.15)
    elif section == "colours":
        more = _keys_of_colour(random, data, 0.15)
    else:
        openings = {"gap": {"on": "north wall", "width": "2 ft", "height": "7 ft", "leaves": random.choice((1, 2))}}
        keys = {
            "saw in": lambda: random.choice(list(data["rooms"])),
            "openings": lambda: {**entry.get("openings", {}), **openings},
            "walls": lambda: {"north wall": "12 ft", "east wall": "9 ft", "south wall": "12 ft", "west wall": "9 ft"},
        }
        more = _some(random, keys)
    data[section][name] = {**entry, **more}


PIECES: tuple[Piece, ...] = (
    *(_hours, _whole, _whole, _item, _step, _step, _part, _part, _part, _part, _colour, _colour),
    *(_border, _order, _change, _change, _drop, _another_key, _another_key, _another_key),
)
