"""What the questions have brought so far: each adds its own part. Metres, and minutes of the day, inside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date

from scheduler.model.tradewords import ENGLISH
from scheduler.told import in_words
from scheduler.units import UnclearQuantityError, format_length

PANEL, REPAINT, FLOOR, BATHROOM = ("panel wall", "repaint a room", "floor", "bathroom wall")
PLANKS, WALLPAPER, FRONTS, JOINT = ("floor of planks", "wallpaper to paint", "cabinet fronts", "shower joint")
SHOWER, DRYWALL, WINDOWS, STAIR = ("shower wall", "drywall", "windows", "stair")
KINDS = (
    *(PANEL, REPAINT, FLOOR, BATHROOM, PLANKS, WALLPAPER),
    *(FRONTS, JOINT, SHOWER, DRYWALL, WINDOWS, STAIR),
)
"""The kinds of starter job, by the words that people use for the work."""
BANDS = (PANEL, BATHROOM, SHOWER)
"""Those that go up a wall from one height to another."""
WALL_COLOURS = (REPAINT, WALLPAPER, DRYWALL, BATHROOM, SHOWER)
"""Those after which the walls may be painted."""
WET = (BATHROOM, SHOWER, JOINT)
"""Those in a damp room."""
WASH = "wash"
"""Stands among the parts of a repaint for washing them first."""

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
class HoursAnswer:
    """Work hours on some days of the week (Monday = 0), in minutes of the day, and how many people are there."""

    days: tuple[int, ...]
    start: int
    end: int
    people: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Doing:
    """What is done of one kind of work.

    `parts` are what it is done to; `band` is from which height up to which a panel goes, metres (None: the ceiling);
    `material` is the name of the choice; `colours` are (name, part); `patches` are the holes that are filled (None: a
    share of the area); `run` is the length of a joint, metres; `counts` are (what is counted, how many).
    """

    kind: str = REPAINT
    parts: tuple[str, ...] = ()
    band: tuple[float, float | None] = (0.0, None)
    material: str = ""
    colours: tuple[tuple[str, str], ...] = ()
    coats: int = 2
    patches: int | None = None
    run: float = 0.0
    counts: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers(Doing):
    """All that is known of a job to begin with: what is done of the kind that is talked of, and of the `others`.

    `kinds` are all of them, in their order; `order` is (name, day). `pause` is the break of a long day and `quiet`
    when nobody makes noise, minutes of the day; `done_by` is the day by which it is wished to be done (None: none).
    """

    zone: str
    us: bool
    today: date
    room: str = ""
    kinds: tuple[str, ...] = (REPAINT,)
    others: tuple[Doing, ...] = ()
    metric: bool = False
    length: float = 0.0
    width: float = 0.0
    height: float = 0.0
    holes: tuple[Hole, ...] = ()
    hours: tuple[HoursAnswer, ...] = ()
    order: tuple[tuple[str, date], ...] = ()
    start: date | None = None
    pause: tuple[int, int] | None = (12 * 60, 12 * 60 + 45)
    quiet: tuple[int, int] | None = (20 * 60, 7 * 60)
    done_by: date | None = None
    language: str = ENGLISH
    """That in which the job is told."""
    words: Mapping[str, str] = field(default_factory=dict, compare=False, repr=False)
    """The sentences of that language by their English ones, for what stands in the file (see `scheduler.told`)."""

    def say(self, text: str) -> str:
        """A sentence of ours in the language of the job."""
        return in_words(text, self.words)

    def on(self, kind: str) -> Answers:
        """The same, talking of another kind of work."""
        if kind == self.kind:
            return self
        here = Doing(**{each.name: getattr(self, each.name) for each in fields(Doing)})
        wanted = next((each for each in self.others if each.kind == kind), Doing(kind=kind))
        others = (*(each for each in self.others if each.kind != kind), here)
        return replace(self, others=others, **{each.name: getattr(wanted, each.name) for each in fields(Doing)})

    @property
    def each(self) -> tuple[Answers, ...]:
        """The same for each kind of work, talking of it."""
        return tuple(self.on(kind) for kind in self.kinds)

    @property
    def coloured(self) -> tuple[tuple[str, str], ...]:
        """The colours of all kinds of work, and the parts that they are on."""
        return tuple(colour for one in self.each for colour in one.colours)

    def count(self, what: str) -> int:
        """How many there are of what is counted."""
        return dict(self.counts).get(what, 0)

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
