"""Stand-ins for what is wrong in a file that has been found faulty, so that all the rest can still be checked.

A job is never made of mended data. Entries of lists stay where they are: later faults still find their places.
"""

from __future__ import annotations

from scheduler.reading.yamlfile import YamlValue

Path = tuple[str | int, ...]

_AIR: YamlValue = {"day": "20 °C", "night": "20 °C", "humidity": "50 %"}
_STAND_INS: dict[str, YamlValue] = {
    "job": "job",
    "start": "2027-01-01",
    "zone": "UTC",
    "hours": {"on": "every day", "from": "0:00", "to": "24:00"},
    "rooms": {},
    "from": "0:00",
    "to": "24:00",
    "on": "every day",
    "air": _AIR,
    "material": "material",
    "lays": "material",
    "work": "1 h",
    "one coat": "1 h",
    "tape off": "1 h",
    "coats": "1",
}
_ITEM: YamlValue = {"comes": "2027-01-01"}


def mend(data: YamlValue, path: Path, *, missing: bool) -> None:
    """Take out what stands at `path`, or put a stand-in where its absence would look like a further mistake."""
    if path[:1] == ("on order",) and len(path) > 2:
        _put(data, path[:2], _ITEM)
    elif path[:1] in (("away",), ("borders",)):
        _drop(data, path[:1])
    elif path[:1] == ("rooms",) and "air" in path[2:]:
        _put(data, path[: path.index("air", 2) + 1], _AIR)
    elif "follows" in path and len(path) > path.index("follows") + 3:
        _put(data, path[: path.index("follows") + 3], "end")
    elif path and (missing or path[-1] == "lays") and path[-1] in _STAND_INS:
        _put(data, path, _STAND_INS[str(path[-1])])
    else:
        _drop(data, path)


def _inside(data: YamlValue, path: Path) -> YamlValue:
    """What stands at a path; an index into what is no list is passed over."""
    for step in path:
        if isinstance(step, int):
            if isinstance(data, list):
                data = data[step]
        else:
            data = data.get(step) if isinstance(data, dict) else None
    return data


def _put(data: YamlValue, path: Path, value: YamlValue) -> None:
    """A value at a path of keys; nothing happens if the path leads nowhere, and then the file stays unread."""
    owner = _inside(data, path[:-1])
    if isinstance(owner, dict):
        owner[str(path[-1])] = value


def _drop(data: YamlValue, path: Path) -> None:
    """Takes out the innermost key on the path."""
    for length in range(len(path), 0, -1):
        owner = _inside(data, path[: length - 1])
        if isinstance(path[length - 1], str) and isinstance(owner, dict) and path[length - 1] in owner:
            del owner[str(path[length - 1])]
            return
