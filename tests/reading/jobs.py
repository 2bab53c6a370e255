"""One small job that everything is in, and the means to change one line of it."""

from __future__ import annotations

GOOD = """\
job: Hobby room
start: 2027-01-09
zone: America/Denver
measures: US
clock: 12 h
done by: 2027-03-15
built: 1964
hours:
  - on: Saturday
    from: 8:30
    to: 17:00
    people: 2
    break: 12:00 to 12:45
  - on: [Tuesday, Thursday]
    from: 6:30 pm
    to: 21:00
    quiet: yes
    since: 2027-01-20
    until: 2027-06-30
quiet hours:
  - on: every day
    from: 20:00
    to: 8:00
away:
  - 2027-02-13 to 2027-02-14
  - on: 2027-02-20
    why: wedding
set-up: 15 min
clear-up: 20 min
shared things:
  step ladder: 1
rooms:
  hobby room:
    air: {day: 68 °F, night: 60 °F, humidity: 45 %}
  hall:
    title: The hall
    air:
      - day: 20 °C
        night: 14 °C
        humidity: 45 %
        night humidity: 55 %
        day hours: 7:00 to 22:00
      - day: 70 °F
        night: 65 °F
        humidity: 40 %
        since: 2027-02-01
on order:
  doors:
    title: Pair of hinged doors
    comes: 2027-02-18
    between: 2027-02-15 and 2027-03-10
    order time: 3 weeks
steps:
  clear:
    title: Clear the room
    room: hobby room
    work: 1 h to 3 h, likely 90 min
    people: 2
    kind: [dusty, noisy]
    needs: doors
    takes: {step ladder: 1}
    caution: Wear a respirator.
  fill:
    room: hobby room
    work: 45 min
    lays: {material: filler, thickness: 1/16 in}
    follows: clear
  prime:
    room: hobby room
    work: 2 h
    lays: primer
    follows:
      - clear
      - fill: {stage: sand, wait: 1 h, within: 14 days}
colours:
  chalk white:
    room: hobby room
    material: wall paint
    coats: 2
    one coat: 1 h 30 min
    tape off: 20 min
    follows:
      - prime: recoat
  deep green:
    room: hobby room
    material: wall paint
    coats: 2
    one coat: 1 h
    pull tape: 10 min
    follows:
      - prime: 4 h
borders:
  - between: [chalk white, deep green]
    tape off: 25 min
colour order: [chalk white, deep green]
"""


def changed(*edits: tuple[str, str]) -> str:
    """GOOD with some passages replaced, each of which stands in it exactly once."""
    text = GOOD
    for old, new in edits:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        text = text.replace(old, new)
    return text


def without(key: str) -> str:
    """GOOD without one key at the top and all that stands under it."""
    kept, inside = [], False
    for line in GOOD.splitlines(keepends=True):
        if not line.startswith(" "):
            inside = line.startswith(f"{key}:")
        kept += [] if inside else [line]
    return "".join(kept)
