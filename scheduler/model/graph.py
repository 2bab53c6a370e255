"""The task graph: what is to be done, what follows what at which stage, and what may still be chosen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from scheduler.errors import Place
from scheduler.model.basics import POT_LIFE, Estimate
from scheduler.model.beware import Beware
from scheduler.model.keep import Keep
from scheduler.model.message import Message
from scheduler.model.supply import Use


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """The film that a task lays. `ratio` is actual over reference thickness (1 = as in the profile); `moisture` is
    that of wood when it comes, if somebody measured it. `surfaces`: as with `model.job.Lay`."""

    material: str
    coat: int
    ratio: float
    room: str
    moisture: float | None = None
    surfaces: tuple[str, ...] = field(default=(), compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A step in the graph. See `model.job.Step` for the fields of the same name.

    `remedy_of` is the (before, after) pair of the link whose missed window this task mends; such a task is
    in the plan only if the window is missed. `added` says why it, or what the record called for, was added to the
    steps of the job. `colour` is the id of the colour whose coat it is. `kind` is the kind of work ("": none, as of a
    remedy), `by_hand` whether the person wrote its minutes themselves, so that no rate of a method is in them.
    """

    id: str
    title: str
    room: str
    work: Estimate
    people: int
    smallest_piece: int | None
    hands: tuple[tuple[int, Estimate], ...] = ()
    dusty: bool = False
    noisy: bool = False
    wet: bool = False
    wipes: bool = False
    film: Film | None = None
    takes: tuple[tuple[str, int], ...] = ()
    keeps: tuple[Keep, ...] = ()
    needs: tuple[str, ...] = ()
    cautions: tuple[Beware, ...] = ()
    uses: tuple[Use, ...] = ()
    colour: str | None = None
    kind: str = ""
    by_hand: bool = False
    remedy_of: tuple[str, str] | None = None
    added: Message | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """`after` starts no earlier than `before` is at `stage` (its end, if None) and `wait` more minutes have gone.

    `until` names the stage of `before` that ends the window (`recoat_by`), and `within` the minutes from
    the end of `before` that do. A window that is missed is mended by the task `remedy`; without a remedy it
    must not be missed. Until the pot life is over the batch mixed by `before` is to be laid by `after`: that life is
    the one of what `after` lays, and `after` ends in it.
    `strict`: not even with one, as long as nothing of `before` has been done; the remedy is for facts. `firm`: the
    same as long as any plan keeps it.
    `place` and `limit_place` are where the person wrote it, and the time of `within`.
    """

    before: str
    after: str
    stage: str | None = None
    wait: int = 0
    until: str | None = None
    within: int | None = None
    remedy: str | None = None
    strict: bool = False
    firm: bool = False
    place: Place | None = field(default=None, compare=False)
    limit_place: Place | None = field(default=None, compare=False)

    @property
    def closing(self) -> str:
        """The task whose film says when the window closes."""
        return self.after if self.until == POT_LIFE else self.before


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourOrder:
    """One answer to a choice: `leader` is the task that comes first, with the links and the work that then hold.

    `extra` adds hands-on time to tasks (taping along a border that is there already).
    """

    name: str
    leader: str
    links: tuple[Link, ...]
    extra: tuple[tuple[str, Estimate], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A question that the planner settles: which of two neighbouring colours comes first."""

    id: str
    options: tuple[ColourOrder, ColourOrder]


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """Somebody else's work at a fixed time, in minutes. It takes no hands of ours, nothing of ours runs in its rooms,
    what it comes `after` is ready by its start, what it `needs` of what is on order is there on its day, and what
    comes `then` waits for its end."""

    id: str
    title: str
    start: int
    end: int
    rooms: tuple[str, ...]
    after: tuple[Link, ...] = ()
    then: tuple[Link, ...] = ()
    needs: tuple[str, ...] = ()
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskGraph:
    """Everything that is to be done. Tasks are in an order that agrees with the links (ties by id).

    `closed` maps a task to the stage of its film before which nobody else works in its room. `visits` are the
    appointments, with the links that begin or end at one.
    """

    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    choices: tuple[Choice, ...] = ()
    closed: Mapping[str, str] = field(default_factory=dict)
    visits: tuple[Visit, ...] = ()

    def task(self, name: str) -> Task:
        """The task of that id. Raises KeyError."""
        for task in self.tasks:
            if task.id == name:
                return task
        raise KeyError(name)
