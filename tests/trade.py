"""What the trade's data shows, in tables: the order of the work, stages in every air, nights, sources, hazards.

    python -m tests.trade

prints them, each beside what it would be without the rule it is about; 1 if one of them shows a fault. Nothing here
is kept from an earlier run: both columns are worked out anew. What it takes: about a minute.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from textwrap import fill
from unittest.mock import patch

from scheduler.drying import clocks
from scheduler.drying.psychro import dew_point, kept_humidity
from scheduler.model.material import Trade
from scheduler.reading.profiles import read_trade
from tests.drying.test_night import WORKED
from tests.drying.test_stage_order import AIRS, turned
from tests.reading.test_cautions import HAZARDS, REGIONS, cell
from tests.reading.test_every_number import MATERIALS, OTHERS, bare_numbers, mapping, numbers, source_of, whole

WIDTH = 100


def turned_alone(trade: Trade) -> int:
    """How often stages are turned round if each has its own clock alone, and nothing holds it."""
    with patch.object(clocks, "earlier", lambda material, stage: ()):
        return sum(1 for _ in turned(trade))


def bare() -> dict[str, tuple[int, int]]:
    """By kind of file: how many numbers there are, and how many of them have no source."""
    found = {"materials": [0, 0], "methods": [0, 0], "wares, tape, order, kinds": [0, 0]}
    for path in MATERIALS:
        family = whole(path)
        for at, written in numbers(family):
            found["materials"][0] += 1
            found["materials"][1] += not source_of(family, at, written)
    for path in OTHERS:
        kind = "methods" if path.parent.name == "methods" else "wares, tape, order, kinds"
        found[kind][0] += sum(1 for _ in numbers(mapping(path)))
        found[kind][1] += sum(1 for _ in bare_numbers(mapping(path)))
    return {kind: (count, without) for kind, (count, without) in found.items()}


def _rules(trade: Trade) -> Iterator[str]:
    for rule in trade.order:
        yield fill(
            f"{rule.id.replace('-', ' ')}: {rule.source}", WIDTH, initial_indent="  ", subsequent_indent="      "
        )


def _nights() -> Iterator[str]:
    yield "  day °C  humidity  night °C  dew point  (PsychroLib)  night %: as by day  with its water  (PsychroLib)"
    for day, humidity, night, dew, _, raw, _ in WORKED:
        ours = dew_point(day, humidity), kept_humidity(day, humidity, night)
        yield (
            f"  {day:6.1f}  {humidity * 100:7.0f}  {night:9.1f}  {ours[0]:9.2f}  {dew:11.2f}"
            f"  {humidity * 100:17.0f}  {ours[1] * 100:14.1f}  {raw * 100:11.1f}"
        )


def _hazards(trade: Trade) -> Iterator[str]:
    named = {caution.name: caution for caution in trade.cautions}
    yield f"  {'':20s}{''.join(f'{region:>11s}' for region in REGIONS)}"
    for hazard in HAZARDS:
        cells = (cell(named[hazard], region) or "EMPTY" for region in REGIONS)
        yield f"  {hazard:20s}{''.join(f'{each:>11s}' for each in cells)}"


def main() -> int:
    """Print the tables; 1 if a stage is turned round, a number has no source, or a cell is empty."""
    trade = read_trade(None)
    by_source = Counter("common practice" if "(" not in rule.source else "read" for rule in trade.order)
    print(f"The order of the work: {len(trade.order)} rules, {dict(by_source)}")
    print("\n".join(_rules(trade)))
    now, alone = sum(1 for _ in turned(trade)), turned_alone(trade)
    print(
        f"\nStages before one that they stand on, {len(trade.materials)} families in {len(AIRS)} airs, low to high:"
    )
    print(f"  each by its own clock {alone}, held by the order of stages {now}")
    print("\nNights that keep the day's water:")
    print("\n".join(_nights()))
    print("\nNumbers without a source:")
    without = bare()
    for kind, (count, bad) in without.items():
        print(f"  {kind:28s}{bad:4d} of {count}")
    empty = sum(line.count("EMPTY") for line in _hazards(trade))
    print(f"\nHazards by region (+: a rule of its own; a name: the region that it falls back to), {empty} empty:")
    print("\n".join(_hazards(trade)))
    return int(bool(now or empty or any(bad for _, bad in without.values())))


if __name__ == "__main__":
    sys.exit(main())
