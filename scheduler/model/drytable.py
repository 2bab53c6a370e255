"""When one coat is ready, stage by stage; what would make it faster; what keeps its air from being fit."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.model.basics import Span
from scheduler.model.clock import StageClock
from scheduler.model.job import Room
from scheduler.model.material import Material
from scheduler.model.message import Message
from scheduler.wallclock import NEVER


@dataclass(frozen=True, slots=True, kw_only=True)
class DryStage:
    """One stage of a coat laid at `start`. All moments are minutes (UTC); NEVER: not within the air that is known.

    `at` goes with the profile's typical time, `soonest` and `latest` with its low and high ones. `reference` is
    the typical time at the profile's reference air and thickness, in minutes.
    """

    stage: str
    start: int
    at: int
    soonest: int
    latest: int
    reference: int
    clock: StageClock

    @property
    def reached(self) -> bool:
        """Whether the stage comes within the air that is known."""
        return self.at < NEVER

    @property
    def hours(self) -> float | None:
        """Elapsed hours from the start, or None if the stage is not reached."""
        return (self.at - self.start) / 60 if self.reached else None

    def share(self, minute: int) -> float:
        """How far the coat has come on its way to this stage at a minute: 0 at the start, 1 when it is there."""
        return min(self._share(clock, minute) for clock in (self.clock, *(each for _, each in self.clock.after)))

    def _share(self, stage: StageClock, minute: int) -> float:
        if stage.amount <= 0:
            return 1.0
        done = (stage.clock.at(minute) - stage.clock.at(self.start)) / stage.amount
        return min(1.0, max(0.0, done))


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoilt:
    """What spoils a film for good, and when (minute): `kind` is "cold", "frost" or "water".

    `value` is the temperature then (°C), `bound` the one that it must not fall below (None for water). `until` is the
    stage at which it would have been past that.
    """

    kind: str
    at: int
    value: float
    bound: float | None
    until: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DryTable:
    """All stages of one coat, in the order of the profile. `ratio` is actual over reference thickness.

    A film that is `spoilt` reaches no stage after that.
    """

    material: str
    title: str
    group: str
    start: int
    ratio: float
    stages: tuple[DryStage, ...]
    warnings: tuple[Message, ...] = ()
    spoilt: Spoilt | None = None

    def stage(self, name: str) -> DryStage | None:
        """The named stage, or None if this family has none such."""
        return next((stage for stage in self.stages if stage.stage == name), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Faster:
    """One change that brings `stage` sooner: `saves` minutes (None: it is not reached at all without the change)."""

    change: Message
    stage: str
    saves: int | None
    table: DryTable


@dataclass(frozen=True, slots=True, kw_only=True)
class Hindrance:
    """One limit that the air breaks: from `start` to `end` (minutes), at worst at `value` where `bound` is allowed.

    `limit` is "temp_low", "temp_high", "humidity_low", "humidity_high", "dew_margin" or "unknown" (no air is
    known). Temperatures and margins in °C, humidities as fractions. `said` is what is told of it, `cure` what would
    mend it.
    """

    limit: str
    start: int
    end: int
    value: float
    bound: float
    said: Message
    cure: Message


@dataclass(frozen=True, slots=True, kw_only=True)
class DryAnswer:
    """All that can be said of one family laid in one air. Moments are minutes (UTC).

    `tables` has one table a coat (fewer than `coats` if a coat never gets there). `faster` is about the last of
    them. `hindrances` are the limits that the air breaks while some coat needs it fit, `unfit` the spans in which it
    is not, and `fit_from` the first moment from the start on at which the first coat could be laid without any
    (None: none is known). `asked` are the limits, None if the profile has none. `nights` are the
    humidities (fractions) of the nights of the room's `air`, period by period, where they keep the day's water too.
    `spoilt` is what spoils the last of the coats. `cautions` are those of its laying, and of heating where that would
    cure its air.
    """

    material: Material
    room: Room
    zone: str
    clock24: bool
    metric: bool
    start: int
    coats: int
    tables: tuple[DryTable, ...]
    faster: tuple[Faster, ...]
    nights: tuple[float, ...]
    asked: Message | None
    hindrances: tuple[Hindrance, ...]
    unfit: tuple[Span, ...]
    fit_from: int | None
    spoilt: Message | None
    cautions: tuple[str, ...]
    warnings: tuple[Message, ...]

    @property
    def table(self) -> DryTable:
        """The table of the last coat that the air lets be laid."""
        return self.tables[-1]

    @property
    def complete(self) -> bool:
        """Whether every coat that was asked for can be laid."""
        return len(self.tables) == self.coats
