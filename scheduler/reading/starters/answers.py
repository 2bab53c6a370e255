"""What the questions have brought so far: each adds its own part. Metres, and minutes of the day, inside."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from scheduler.units import UnclearQuantityError, format_length

PANEL, REPAINT, FLOOR, BATHROOM = KINDS = ("panel wall", "repaint a room", "floor", "bathroom wall")
"""The kinds of starter job, by the words that people use for the work."""

WALLS = ("north wall", "east wall", "south wall", "west wall")
"""The walls of a measured room: north and south are as long as the room, east and west as wide."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A door or a window: its wall, and metres. A door has no sill."""

    name: str
    wall: str
    width: float
    height: float
    sill: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Work hours on some days of the week (Monday = 0), in minutes of the day, and how many people are there."""

    days: tuple[int, ...]
    start: int
    end: int
    people: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """All that is known of a job to begin with.

    `parts` are what a kind of work is done to; `band` is from which height up to which a panel goes, metres (None:
    the ceiling); `material` is the name of the choice; `colours` are (name, part); `order` is (name, day). `pause` is
    the break of a long day and `quiet` when nobody makes noise, minutes of the day; `done_by` is the day by
    which it is wished to be done (None: none); `patches` are the holes that are filled (None: a share of the area).
    """

    zone: str
    us: bool
    today: date
    room: str = ""
    kind: str = REPAINT
    metric: bool = False
    length: float = 0.0
    width: float = 0.0
    height: float = 0.0
    holes: tuple[Hole, ...] = ()
    parts: tuple[str, ...] = ()
    band: tuple[float, float | None] = (0.0, None)
    material: str = ""
    colours: tuple[tuple[str, str], ...] = ()
    coats: int = 2
    hours: tuple[Stretch, ...] = ()
    order: tuple[tuple[str, date], ...] = ()
    start: date | None = None
    pause: tuple[int, int] | None = (12 * 60, 12 * 60 + 45)
    quiet: tuple[int, int] | None = (20 * 60, 7 * 60)
    done_by: date | None = None
    patches: int | None = None

    def wall(self, name: str) -> float:
        """Metres of a wall."""
        return self.length if name in ("north wall", "south wall") else self.width

    def long(self, metres: float) -> str:
        """A length as the person measures."""
        return format_length(metres, metric=self.metric)

    @property
    def alone(self) -> bool:
        """Whether there are never two people."""
        return all(stretch.people < 2 for stretch in self.hours)


def unclear(message: str, hint: str) -> UnclearQuantityError:
    """What is wrong with an answer, and what would be right."""
    return UnclearQuantityError(message, hint)
