"""What the record taught: how long steps took and how films felt, and the factors that follow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Took:
    """The minutes that a person said a step took; of one that is not `whole`, until it was left."""

    minutes: int
    whole: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How the film of a step felt at a minute: it had reached the stage by then, or not yet."""

    step: str
    stage: str
    minute: int
    reached: bool


@dataclass(frozen=True, slots=True, order=True)
class Work:
    """What was recorded of a step of a kind: low, likely, high minutes reckoned; at least and at most so many taken.

    Equal ends: it took just that. No upper end (infinity): begun, and not finished after so much.
    """

    kind: str
    low: float
    likely: float
    high: float
    least: float
    most: float


@dataclass(frozen=True, slots=True, order=True)
class FilmReading:
    """A look at a film that is laid: of this material, at `multiple` times the typical amount on its stage's clock,
    the film had reached the stage or not. `film` is the id of the step that laid it."""

    material: str
    film: str
    stage: str
    multiple: float
    reached: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """One factor. `about` is "pace" (`of` is a kind of work) or "dries" (`of` is a material, in a `room`).

    `factor` is what the plan reckons with, `found` the median of what the records say, `low` and `high` the ends of
    their 80 % range. `seen` is what the records show by themselves, on average; of these `odd` ones count little, and
    `contradicted` are the (step, stage) of films that were said to be dry and, later, not yet. `steps` are those
    whose records it comes from; none, where it follows from other lessons alone. `fixed`: the job file has the last
    word on it. `by_hand`: of steps whose minutes the person wrote themselves. `title` and `room_title` are what a
    person calls them.
    """

    about: str
    of: str
    factor: float
    found: float
    low: float
    high: float
    steps: tuple[str, ...] = ()
    seen: float = 1.0
    odd: tuple[str, ...] = ()
    contradicted: tuple[tuple[str, str], ...] = ()
    fixed: bool = False
    by_hand: bool = False
    room: str = ""
    title: str = ""
    room_title: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """All that a record taught. `works` are the records of pace by step, `readings` those of films by room, with the
    look that each stands for."""

    lessons: tuple[Lesson, ...] = ()
    works: Mapping[str, Work] = field(default_factory=dict)
    readings: Mapping[str, tuple[tuple[Look, FilmReading], ...]] = field(default_factory=dict)
