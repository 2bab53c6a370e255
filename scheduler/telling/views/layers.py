"""What lies on each surface, coat upon coat: the films of a plan by surface, the lowest first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import takewhile

from scheduler.model.plan import PlannedItem, PlannedStep
from scheduler.telling.views.index import COVERS, Book


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One film on one surface: laid from `start` to `laid`, and the minutes until which hands stay off, from which
    the plan's next step may go on it, from which it may be used (None: never, or nobody asks).

    `shared`: the same film was told of at a surface before this one.
    """

    step: PlannedStep
    start: int
    laid: int
    hands_off: int | None
    next_on: int | None
    in_use: int | None
    shared: bool = False

    @property
    def done(self) -> bool:
        """Whether it has really been laid."""
        return self.step.state == "done"

    @property
    def settled(self) -> int:
        """The minute from which nothing more is to be said of it."""
        return max(minute for minute in (self.laid, self.hands_off, self.next_on, self.in_use) if minute is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """A surface of a room with its layers, from the bare ground upwards; `waits` is what has to come before the
    first of them."""

    title: str
    room: str
    layers: tuple[Layer, ...]
    waits: PlannedItem | None = None


def surfaces(book: Book) -> tuple[Surface, ...]:
    """All surfaces on which films lie: first those on which what holds up the end lies last, then as in the job;
    those of one room together."""
    steps = [step for step in book.plan.steps if step.film is not None]
    lying: dict[tuple[str, str], list[PlannedStep]] = defaultdict(list)
    stacks = _stacks(book, steps)
    for step in steps:
        for title in _titles(step) or (stacks[step.id],):
            lying[book.room(step), title].append(step)
    told: set[str] = set()
    found = []
    for room, title in _in_order(book, lying):
        films = lying[room, title]
        layers = tuple(_layer(book, film, shared=film.id in told) for film in films)
        told |= {film.id for film in films}
        found.append(Surface(title=title, room=room, layers=layers, waits=_waits(book, films[0])))
    return tuple(found)


def _titles(step: PlannedStep) -> tuple[str, ...]:
    return step.film.surfaces if step.film is not None else ()


def _in_order(book: Book, lying: dict[tuple[str, str], list[PlannedStep]]) -> list[tuple[str, str]]:
    rooms = list(dict.fromkeys(room for room, _ in lying))
    holding = {step.id: rank for rank, step in enumerate(book.plan.chain())}

    def rank(key: tuple[str, str]) -> int:
        return min(holding.get(film.id, len(book.plan.steps)) for film in lying[key])

    def of_room(room: str) -> int:
        return min(rank(key) for key in lying if key[0] == room)

    return sorted(lying, key=lambda key: (of_room(key[0]), rooms.index(key[0]), rank(key)))


def _layer(book: Book, step: PlannedStep, *, shared: bool) -> Layer:
    assert step.film is not None
    touch = "touch" if "touch" in step.film.stages else "handle"
    waited = [(waiter.start, stage) for stage in book.waited_stages(step) for waiter in book.waiters(step, stage)]
    minutes = [minute for _, stage in sorted(waited)[:1] if (minute := book.reached(step, stage)) is not None]
    return Layer(
        step=step,
        start=step.start,
        laid=step.end,
        hands_off=book.reached(step, touch),
        next_on=minutes[0] if minutes else None,
        in_use=book.reached(step, "use"),
        shared=shared,
    )


def _stacks(book: Book, steps: list[PlannedStep]) -> dict[str, str]:
    """Films whose surface nobody named: what covers another lies on the same one, and is called by the words with
    which all titles of it begin."""
    lowest: dict[str, str] = {}
    for step in steps:
        lowest[step.id] = next((lowest.get(film, film) for film in _covered(book, step)), step.id)
    titles: dict[str, list[str]] = defaultdict(list)
    for step in steps:
        titles[lowest[step.id]].append(book.title(step))
    return {step: _beginning(titles[first]) or book.title(first) for step, first in lowest.items()}


def _beginning(titles: list[str]) -> str:
    """The words with which all titles begin; what only begins after their last comma (`, coat`) is left out."""
    words = zip(*(title.split() for title in titles), strict=False)
    alike = takewhile(lambda each: len(set(each)) == 1, words)
    found = " ".join(first for first, *_ in alike).rstrip(" ,:;–-")
    return found if found in titles else found.rpartition(",")[0] or found


def _covered(book: Book, step: PlannedStep) -> Iterator[str]:
    """The films that a step goes on, itself or after one that prepares them."""
    for link in step.after:
        earlier = book.steps.get(link.step)
        if earlier is None:
            continue
        if earlier.film is not None and link.stage in COVERS:
            yield earlier.id
        elif earlier.film is None:
            for deeper in earlier.after:
                under = book.steps.get(deeper.step)
                if under is not None and under.film is not None and deeper.stage in COVERS:
                    yield under.id


def _waits(book: Book, film: PlannedStep) -> PlannedItem | None:
    """What is not there yet and has to come before the first film of a surface: for its step, or for one before it
    that lays none."""
    seen, ahead = set[str](), [film]
    while ahead:
        step = ahead.pop()
        if step.id in seen:
            continue
        seen.add(step.id)
        items = [book.items[name] for name in step.needs if name in book.items]
        late = [item for item in items if item.arrived is None and item.expected is not None]
        if late:
            return max(late, key=lambda item: (item.expected or book.face.day(0), item.item))
        before = (book.steps.get(link.step) for link in step.after if link.stage == "end")
        ahead += [each for each in before if each is not None and each.film is None and each.room == film.room]
    return None
