"""Checks of names: what is named is there, once, and has what is asked of it."""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.errors import Fault
from scheduler.model.basics import POT_LIFE
from scheduler.model.names import coat_of, pull_of, slug, tape_of
from scheduler.reading.book import NAMED, NameBook
from scheduler.reading.scalars import END
from scheduler.reading.shape import ChangeShape, ColourShape, HowShape, StepShape
from scheduler.told import either, told


def names_are_apart(book: NameBook) -> Iterator[Fault]:
    """Two names of a section differ by more than signs and capitals; so do a step, a colour and an appointment."""
    seen: dict[tuple[str, str], str] = {}
    for section in NAMED:
        group = "steps" if section in ("colours", "appointments") else section
        entries = book.at.root.parts.get(section)
        for key in entries.parts if entries else ():
            name = str(key)
            other = seen.setdefault((group, slug(name)), name)
            if other is not name and slug(name):
                place = book.at.key((section, name))
                yield Fault(
                    place,
                    told("`{name}` is the same name as `{other}`", name=name, other=other),
                    "name one of them otherwise",
                )


def there_is_a_room(book: NameBook) -> Iterator[Fault]:
    """A job has a room: a film dries in its air."""
    if not book.job.rooms and "rooms" not in book.broken:
        yield Fault(book.at.key(("rooms",)), "there is no room in it", "write a name, and `air: ` under it")


def there_is_work(book: NameBook) -> Iterator[Fault]:
    """A job has a scope, a step or a colour."""
    sections = {"scope", "steps", "colours"}
    if not any(book.names[section] for section in sections) and not sections & book.broken:
        yield Fault(book.at.value(), "there is nothing to do in this job", "write `steps:` and a step under it")


def rooms_are_known(book: NameBook) -> Iterator[Fault]:
    """A step names a room of the job, unless there is only one."""
    for path, work in book.entries():
        if work.room is not None:
            yield from book.unknown(work.room, (*path, "room"), "room", "rooms")
        elif (
            not isinstance(work, ChangeShape)
            and not _is_on_a_part(work)
            and not book.is_doubtful(*path, "on")
            and len(book.names["rooms"]) > 1
            and not book.is_doubtful(*path, "room")
        ):
            some = either(f"`room: {name}`" for name in list(book.names["rooms"].values())[:2])
            yield Fault(
                book.at.key(path), "`room` is missing, and there is more than one", told("write {some}", some=some)
            )


def hours_are_in_rooms(book: NameBook) -> Iterator[Fault]:
    """Hours that hold in some rooms alone name rooms of the job."""
    for number, rule in enumerate(book.job.hours):
        for place, name in enumerate(rule.rooms or ()):
            yield from book.unknown(name, ("hours", number, "in", place), "room", "rooms")


def _is_on_a_part(work: StepShape | ColourShape) -> bool:
    """Whether a part of the scope, which is in a room, says where the work is."""
    return bool(work.on) if isinstance(work, ColourShape) else work.part is not None


def items_are_on_order(book: NameBook) -> Iterator[Fault]:
    """What a step needs is on order."""
    for path, work in book.entries():
        for number, name in enumerate(work.needs or []):
            yield from book.unknown(name, (*path, "needs", number), "item on order", "on order")
    for visit, asked in (book.job.appointments or {}).items():
        for number, name in enumerate(asked.needs or []):
            yield from book.unknown(name, ("appointments", visit, "needs", number), "item on order", "on order")


def things_are_there(book: NameBook) -> Iterator[Fault]:
    """A step takes shared things that there are, and no more of them."""
    owned = {slug(name): count for name, count in (book.job.things or {}).items()}
    for path, work in book.entries():
        for name, taken in (work.takes or {}).items():
            count = taken.count
            here = (*path, "takes", name)
            yield from book.unknown(name, here, "shared thing", "shared things")
            if count > owned.get(slug(name), count):
                there = owned[slug(name)]
                said = told(
                    "this takes {count} of `{name}`, and there {there}", count=count, name=name, there=_so_many(there)
                )
                yield Fault(book.at.value(here), said, "take fewer, or add to `shared things`")


def _so_many(there: int) -> str:
    return told("is 1") if there == 1 else told("are {there}", there=there)


def heaters_are_there(book: NameBook) -> Iterator[Fault]:
    """What warms a room while somebody is there is a shared thing. Fewer than the rooms that it warms do so in turn;
    where a step takes it as well, there is one for each room beside that.
    """
    owned = {slug(name): count for name, count in (book.job.things or {}).items()}
    steps: dict[str, int] = {}
    for _, work in book.entries():
        for name, taken in (work.takes or {}).items():
            steps[slug(name)] = max(taken.count, steps.get(slug(name), 0))
    rooms: dict[str, int] = {}
    for name, room in book.job.rooms.items():
        if room.warmed is None or room.warmed.takes is None:
            continue
        thing, here = room.warmed.takes, ("rooms", name, "while somebody is there", "takes")
        yield from book.unknown(thing, here, "shared thing", "shared things")
        rooms[slug(thing)] = rooms.get(slug(thing), 0) + 1
        there, asked = owned.get(slug(thing)), rooms[slug(thing)] + steps.get(slug(thing), 0)
        if there is not None and asked > there and slug(thing) in steps:
            said = told(
                "{asked} of `{thing}` are asked for, by rooms and a step, and there {there}",
                asked=asked,
                thing=thing,
                there=_so_many(there),
            )
            yield Fault(book.at.value(here), said, "add to `shared things`, or leave `takes` out")


def hands_are_there(book: NameBook) -> Iterator[Fault]:
    """There are work hours, and some have as many people as a step takes."""
    if "hours" in book.broken:
        return
    if not book.job.hours:
        hint = "write a line such as `- {on: Saturday, from: 8:30, to: 17:00}`"
        yield Fault(book.at.key(("hours",)), "there are no work hours in it", hint)
        return
    most = max(rule.people for rule in book.job.hours)
    for path, work in book.entries():
        least = work.people[0] if isinstance(work, StepShape) else work.people
        if least is not None and least > most:
            said = told("this takes {least} people, and no hours have more than {most}", least=least, most=most)
            yield Fault(book.at.value((*path, "people")), said, "write fewer, or add hours with more people")


def more_hands_are_quicker(book: NameBook) -> Iterator[Fault]:
    """Where more people may be at it, each further number says how long it takes then: less long than with fewer."""
    for name, step in (book.job.steps or {}).items():
        least, most = step.people
        said, path = step.more_hands or {}, ("steps", name)
        if book.is_doubtful(*path, "people") or book.is_doubtful(*path, "more hands"):
            continue
        for number in range(least + 1, most + 1):
            if number not in said:
                hint = told("write `more hands: {{{number}: 2 h}}`", number=number)
                yield Fault(
                    book.at.value((*path, "people")),
                    told("nothing says how long it takes {number} people", number=number),
                    hint,
                )
        before = step.work.planned
        for number, work in sorted(said.items()):
            place = book.at.value((*path, "more hands", str(number)))
            if not least < number <= most:
                hint = told(
                    "write `people: {min} to {max}`, or leave it out", min=min(least, number), max=max(most, number)
                )
                yield Fault(place, told("`people` does not let {number} people be at it", number=number), hint)
            elif work.planned >= before:
                yield Fault(place, "this takes no less time than fewer people need", "write less, or leave it out")
            before = min(before, work.planned)


def kinds_agree(book: NameBook) -> Iterator[Fault]:
    """A step that makes dust is neither wet nor the one that wipes the dust away."""
    for path, step in book.entries():
        for other in ("wet", "wipes"):
            if not isinstance(step, ColourShape) and step.kind and {"dusty", other} <= set(step.kind):
                place = book.at.value((*path, "kind"))
                yield Fault(place, told("a step can't be dusty and {other}", other=other), "make two steps of it")


def followed_steps_are_known(book: NameBook) -> Iterator[Fault]:
    """A step follows steps, colours and single tasks of colours of the job, and not itself."""
    tasks = {task for name, colour in (book.job.colours or {}).items() for task in _tasks_of(name, colour)}
    for path, work in book.entries():
        for number, entry in enumerate(work.follows or []):
            for name in entry:
                here = (*path, "follows", number, name)
                place = book.at.value((*path, "follows", number))
                if slug(name) == slug(path[1]):
                    yield Fault(
                        place, told("`{name}` follows itself", name=name), "name the step that comes before it"
                    )
                elif not book.names["scope"] and "scope" not in book.broken and slug(name) not in tasks:
                    # with a scope its methods may bring a step of that name: `expanding` knows
                    yield from book.unknown(name, here, "step or colour", "steps", "colours", "appointments")


def appointments_name_what_there_is(book: NameBook) -> Iterator[Fault]:
    """An appointment is in rooms of the job, comes after and before steps and colours of it, and waits for no limit:
    it never moves, so nothing can be too late for it but what it comes after."""
    tasks = {task for name, colour in (book.job.colours or {}).items() for task in _tasks_of(name, colour)}
    scoped = bool(book.names["scope"]) or "scope" in book.broken
    for name, visit in (book.job.appointments or {}).items():
        path = ("appointments", name)
        for number, room in enumerate(visit.rooms or []):
            yield from book.unknown(room, (*path, "in", number), "room", "rooms")
        for number, other in enumerate(visit.before or []):
            if not scoped and slug(other) not in tasks:
                yield from book.unknown(other, (*path, "before", number), "step or colour", "steps", "colours")
        for number, entry in enumerate(visit.after or []):
            for other, how in entry.items():
                if not scoped and slug(other) not in tasks:
                    here = (*path, "after", number, other)
                    yield from book.unknown(other, here, "step or colour", "steps", "colours")
                if how.within is not None:
                    place = book.at.value((*path, "after", number, other, "within"))
                    yield Fault(place, "an appointment never moves, so it keeps no `within`", "leave it out")


def what_is_promised_is_there(book: NameBook) -> Iterator[Fault]:
    """What is out of use for so long at most is a shared thing of the job."""
    for name in book.job.at_most or {}:
        yield from book.unknown(name, ("at most", name), "shared thing", "shared things")


def films_are_followed_at_a_stage(book: NameBook) -> Iterator[Fault]:
    """Whoever follows a step with a film says at which stage, after which time, or at its end: it may still be wet.

    A colour ends when its tape is off, so its name alone is clear, unless nothing is taped for it.
    """
    films = {slug(name) for name, step in (book.job.steps or {}).items() if step.lays is not None}
    if "borders" not in book.broken:
        touched = {slug(name) for border in book.job.borders or [] for name in border.between}
        untaped = {slug(name) for name, colour in (book.job.colours or {}).items() if _is_untaped(colour)}
        films |= untaped - touched
    films |= {coat for name, colour in (book.job.colours or {}).items() for coat in _coats_of(name, colour)}
    for path, work in book.entries():
        for number, entry in enumerate(work.follows or []):
            for name, how in entry.items():
                clear = how.stage is not None or how.wait is not None or slug(name) == slug(path[1])
                if slug(name) in films and not clear and not book.is_doubtful(*path, "follows", number):
                    yield Fault(
                        book.at.value((*path, "follows", number)),
                        told("`{name}` lays a film, and nothing says how dry it must be", name=name),
                        told(
                            "write `{name}: recoat` or another stage, a time such as `{name}: 2 h`, or `{name}: end`",
                            name=name,
                        ),
                    )


def _coats_of(name: str, colour: ColourShape) -> list[str]:
    return [coat_of(slug(name), coat) for coat in range(1, colour.coats + 1)]


def _tasks_of(name: str, colour: ColourShape) -> list[str]:
    """The ids of all that a colour becomes; whether anything is taped `expanding` knows."""
    return [tape_of(slug(name)), *_coats_of(name, colour), pull_of(slug(name))]


def _is_untaped(colour: ColourShape) -> bool:
    """Whether nothing of its own is taped for a colour; on parts of the scope something is, unless it says `none`."""
    return colour.on is None if colour.tape_off is None else colour.tape_off.high == 0


def stages_belong_to_films(book: NameBook) -> Iterator[Fault]:
    """A stage is one of a film: a step that lays none is followed at its end, or after a time.

    What lays a batch follows the step that mixes it, which lays nothing itself.
    """
    steps = (book.job.steps or {}).items()
    bare = {slug(name) for name, step in steps if step.lays is None and ("steps", name) not in book.lost}
    for path, work in book.entries():
        for number, entry in enumerate(work.follows or []):
            for name, how in entry.items():
                if slug(name) in bare and how.stage not in (None, END, POT_LIFE):
                    yield Fault(
                        book.at.value((*path, "follows", number, name, "stage")),
                        told("`{name}` lays no film, so it has no stage", name=name),
                        told("write `{name}` alone, or a time such as `{name}: 2 h`", name=name),
                    )


def windows_are_wide(book: NameBook) -> Iterator[Fault]:
    """The latest start after a step is not before the earliest."""
    for path, work in book.entries():
        for number, entry in enumerate(work.follows or []):
            for name, how in entry.items():
                if _too_narrow(how):
                    place = book.at.value((*path, "follows", number, name, "within"))
                    yield Fault(place, "`within` is shorter than `wait`", "write a longer time under `within`")


def _too_narrow(how: HowShape) -> bool:
    return how.wait is not None and how.within is not None and how.within < how.wait


def borders_are_known(book: NameBook) -> Iterator[Fault]:
    """A border lies between two different colours of the job, and is written once."""
    seen: set[frozenset[str]] = set()
    for number, border in enumerate(book.job.borders or []):
        path = ("borders", number, "between")
        for index, name in enumerate(border.between):
            yield from book.unknown(name, (*path, index), "colour", "colours")
        pair = frozenset(slug(name) for name in border.between)
        if len(pair) == 1:
            said = told("`{between}` has no border with itself", between=border.between[0])
            yield Fault(book.at.value((*path, 1)), said, "name two colours")
        elif pair in seen:
            yield Fault(book.at.value(("borders", number)), "this border is here already", "leave one of the two out")
        seen.add(pair)


def colour_order_is_sound(book: NameBook) -> Iterator[Fault]:
    """An order of colours names colours of the job, each once. Those that it leaves out are the planner's choice."""
    order = book.job.colour_order
    if order is None or "colour order" in book.broken:
        return
    for number, name in enumerate(order):
        yield from book.unknown(name, ("colour order", number), "colour", "colours")
    seen: set[str] = set()
    for number, name in enumerate(order):
        if slug(name) in seen:
            place = book.at.value(("colour order", number))
            yield Fault(place, told("`{name}` is in the order twice", name=name), "name each colour once")
        seen.add(slug(name))
    if len(order) < 2:
        said = "one colour is no order" if order else "no colour stands in this order"
        yield Fault(book.at.key(("colour order",)), said, "name two colours or more, or no order")


NAME_CHECKS = (
    names_are_apart,
    there_is_a_room,
    there_is_work,
    rooms_are_known,
    items_are_on_order,
    hours_are_in_rooms,
    things_are_there,
    heaters_are_there,
    hands_are_there,
    more_hands_are_quicker,
    kinds_agree,
    followed_steps_are_known,
    appointments_name_what_there_is,
    what_is_promised_is_there,
    films_are_followed_at_a_stage,
    stages_belong_to_films,
    windows_are_wide,
    borders_are_known,
    colour_order_is_sound,
)
