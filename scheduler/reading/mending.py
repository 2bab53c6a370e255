"""Stand-ins for what is wrong in a file that has been found faulty, so that all the rest can still be checked.

A job made of mended data is only looked over, never planned. Entries of lists stay where they are: later faults still
find their places. A file is mended in two ways, as if what is wrong had been left out, and as if something fitting
stood there: a fault that comes of both is one of its own, whatever the person meant.
"""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.reading.yamlfile import YamlValue

Path = tuple[str | int, ...]

SOME_MATERIAL = "material"
"""Stands in for a family that is not known."""
_AIR: YamlValue = {"day": "20 °C", "night": "20 °C", "humidity": "50 %"}
_STAND_INS: dict[str, YamlValue] = {
    "job": "job",
    "start": "2027-01-01",
    "zone": "UTC",
    "hours": {"on": "every day", "from": "0:00", "to": "24:00"},
    "rooms": {},
    "from": "0:00",
    "to": "24:00",
    "air": _AIR,
    "material": SOME_MATERIAL,
    "lays": SOME_MATERIAL,
    "work": "1 h",
    "one coat": "1 h",
    "tape off": "1 h",
    "coats": "1",
}
_ITEM: YamlValue = {"comes": "2027-01-01"}
_BORDER: YamlValue = {"between": ["one", "other"], "tape off": "none"}


def mend(data: YamlValue, path: Path, *, missing: bool, example: YamlValue = None) -> Path:
    """Take out what stands at `path`, or put a stand-in where its absence would look like a further mistake.

    With an `example` of what belongs there, that is put in its place. The answer is the path of what was mended.
    """
    if path[:1] == ("borders",):
        return _put_at(data, path[:2], _BORDER)
    for whole, value in _stood_in_for(path, missing):
        return _put(data, whole, value)
    if example is not None and path[:1] != ("away",) and path and isinstance(path[-1], str):
        return _put(data, path, example)
    return _drop(data, path[:1] if path[:1] == ("away",) else path)


def _stood_in_for(path: Path, missing: bool) -> Iterator[tuple[Path, YamlValue]]:
    """What else stands for what is wrong at a path, where nothing or an example would not do: where, and what."""
    if path[:1] == ("on order",) and len(path) > 2:
        yield path[:2], _ITEM
    if path[:1] == ("rooms",) and "air" in path[2:]:
        yield path[: path.index("air", 2) + 1], _AIR
    if "follows" in path and len(path) > path.index("follows") + 3:
        yield path[: path.index("follows") + 3], "end"
    if path and (missing or path[-1] == "lays") and path[-1] in _STAND_INS:
        yield path, _STAND_INS[str(path[-1])]
    if missing and path[-1:] == ("on",) and path[0] in ("hours", "quiet hours"):
        yield path, "every day"


def inside(data: YamlValue, path: Path) -> YamlValue:
    """What stands at a path; an index into what is no list is passed over."""
    for step in path:
        if isinstance(step, int):
            if isinstance(data, list):
                data = data[step]
        else:
            data = data.get(step) if isinstance(data, dict) else None
    return data


def _put(data: YamlValue, path: Path, value: YamlValue) -> Path:
    """A value at a path of keys; nothing happens if the path leads nowhere, and then the file stays unread."""
    owner = inside(data, path[:-1])
    if isinstance(owner, dict):
        owner[str(path[-1])] = value
    return path


def _put_at(data: YamlValue, path: Path, value: YamlValue) -> Path:
    """A value in place of an entry of a list at the top; without a list there the whole key goes."""
    entries = inside(data, path[:1])
    if len(path) > 1 and isinstance(entries, list):
        entries[int(path[1])] = value
        return path
    return _drop(data, path[:1])


def _drop(data: YamlValue, path: Path) -> Path:
    """Takes out the innermost key on the path."""
    for length in range(len(path), 0, -1):
        owner = inside(data, path[: length - 1])
        if isinstance(path[length - 1], str) and isinstance(owner, dict) and path[length - 1] in owner:
            del owner[str(path[length - 1])]
            return path[:length]
    return path
