"""A job in which everything is that can be looked over, and every single mistake of a kind that can be made in it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

from scheduler.reading.yamlfile import YamlValue, parse_yaml

WHOLE = """\
job: Two rooms
start: 2027-01-09
zone: America/Denver
measures: US
clock: 12 h
done by: 2027-06-15
built: 1964
pace: 90 %
set-up: 15 min
clear-up: 20 min
first time: prime
hours:
  - {on: Saturday, from: 8:30, to: 17:00, people: 2, break: 12:00 to 12:45}
  - {on: [Tuesday, Thursday], from: 18:30, to: 21:00, quiet: yes, since: 2027-01-20, until: 2027-09-30}
quiet hours:
  - {on: every day, from: 20:00, to: 8:00}
away:
  - {on: 2027-02-20, why: wedding}
  - 2027-03-20 to 2027-03-21
shared things:
  step ladder: 2
rooms:
  den:
    length: 13 ft
    width: 11 ft
    height: 8 ft
    openings:
      window: {on: south wall, width: 4 ft, height: 4 ft, sill: 30 in}
      door: {on: north wall, width: 30 in, height: 80 in}
    air:
      - {day: 68 °F, night: 60 °F, humidity: 45 %, night humidity: 55 %}
      - {day: 70 °F, night: 65 °F, humidity: 40 %, since: 2027-02-01}
  hall:
    length: 4 m
    width: 2 m
    height: 2.5 m
    saw in: den
    air: {day: 68 °F, night: 60 °F, humidity: 45 %}
on order:
  doors: {title: Doors, comes: 2027-02-18, between: 2027-02-15 and 2027-03-10, order time: 3 weeks}
scope:
  den: {do: [clear and protect, {put back: {boxes: 2}}]}
  walls: {room: den, do: [{patch: {stains: 3}}, {prime: {primer: latex-drywall-primer}}]}
  ceiling: {room: den, do: [prime]}
  panel: {room: den, on: [west wall], up to: 38 in, do: [{backer: {spacing: 16 in, fixing: glued and nailed}}]}
  doorway: {room: den, around: door, do: [{hang a door: {needs: doors}}, case an opening]}
  trims: {room: den, surface: trim, length: 40 ft, do: [sand]}
  both: {room: den, of: [walls, ceiling], do: [wipe down]}
changes:
  walls-prime: {work: 3 h, people: 2}
drop: panel-glue
steps:
  clear:
    title: Clear the hall
    room: hall
    work: 1 h to 3 h, likely 90 min
    people: 2
    kind: [dusty, noisy]
    needs: doors
    takes: {step ladder: 1}
    caution: Wear a respirator.
  sweep: {room: hall, work: 15 min, kind: wipes, follows: clear}
  fill:
    room: hall
    work: 45 min
    lays: {material: lightweight-spackling, thickness: 1/16 in}
    follows: sweep
    uses: {batten: 12 ft}
  base coat:
    room: hall
    work: 2 h
    pause: no
    lays: latex-drywall-primer
    follows:
      - sweep
      - fill: {stage: sand, wait: 1 h, within: 14 days}
      - walls-prime: recoat
colours:
  chalk white:
    on: walls
    material: acrylic-latex-wall-paint
    coats: 2
  ash: {on: ceiling, material: acrylic-latex-ceiling-paint, coats: 2, tape off: none}
  deep green:
    room: hall
    material: acrylic-latex-wall-paint
    coats: 2
    one coat: 1 h
    pull tape: 10 min
    people: 2
    follows:
      - base coat: 4 h
      - chalk white
borders:
  - {between: [chalk white, deep green], tape off: 25 min}
  - {between: [ash, deep green], tape off: 15 min}
colour order: [chalk white, deep green]
"""

GARBAGE = ("zzyzx", "-7 qq", "1e9")
"""What no value of a job is: a word, a quantity in no unit, a number beyond all."""
NEEDED = (
    *("job", "start", "zone", "hours", "from", "to", "day", "night", "humidity", "air", "length", "width", "height"),
    *("work", "material", "coats", "one coat", "between"),
)
"""Keys whose absence is a mistake; that of others only says something else."""
NAMED = ("rooms", "on order", "shared things", "scope", "steps", "colours", "openings")
"""Sections whose entries are referred to: without them, or under another name, every reference is a mistake."""


def data_of(text: str) -> dict[str, Any]:
    """The job as plain data, every value the text that was written."""
    data, _ = parse_yaml(text, "job.yaml", typed=False)
    assert isinstance(data, dict)
    return data


def text_of(data: dict[str, YamlValue]) -> str:
    """The job as a file again: one entry a line."""
    return "".join(f"{json.dumps(key)}: {json.dumps(value, ensure_ascii=False)}\n" for key, value in data.items())


def mistakes(data: dict[str, YamlValue]) -> Iterator[tuple[str, str]]:
    """Each single mistake, as a name that says where and what, and the file that holds it."""
    for path in _paths(data):
        where = ".".join(str(step) for step in path)
        for garbage in GARBAGE:
            if not isinstance(_at(data, path), dict | list):
                yield f"{where} = {garbage}", _with(data, path, garbage)
        yield f"{where} is a list", _with(data, path, [["zz"]])
        if path[-1] not in NAMED:
            yield f"{where} is a block", _with(data, path, {"zz": "yx"})
        if isinstance(_at(data, path), dict | list) and path[-2:-1] != ("scope",):  # there a word is a method
            yield f"{where} is a word", _with(data, path, "zzyzx")
        if isinstance(path[-1], str) and path[-1] in NEEDED and "scope" not in path and "on order" not in path:
            yield f"{where} empty", _with(data, path, None)
            yield f"{where} left out", _without(data, path)
        if isinstance(path[-1], str) and path[-2:-1] not in {(name,) for name in NAMED}:
            yield f"{where} misspelt", _renamed(data, path)


def _paths(node: object, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    if path:
        yield path
    entries: Iterator[tuple[str | int, object]] = iter(())
    if isinstance(node, dict):
        entries = iter(node.items())
    elif isinstance(node, list):
        entries = iter(enumerate(node))
    for step, value in entries:
        yield from _paths(value, (*path, step))


def _at(data: Any, path: tuple[str | int, ...]) -> Any:
    for step in path:
        data = data[step]
    return data


def _with(data: dict[str, YamlValue], path: tuple[str | int, ...], value: object) -> str:
    copy = deepcopy(data)
    _at(copy, path[:-1])[path[-1]] = value
    return text_of(copy)


def _without(data: dict[str, YamlValue], path: tuple[str | int, ...]) -> str:
    copy = deepcopy(data)
    del _at(copy, path[:-1])[path[-1]]
    return text_of(copy)


def _renamed(data: dict[str, YamlValue], path: tuple[str | int, ...]) -> str:
    copy = deepcopy(data)
    owner = _at(copy, path[:-1])
    entries = list(owner.items())
    owner.clear()
    owner.update({f"{key}qx" if key == path[-1] else key: value for key, value in entries})
    return text_of(copy)
