"""What the job file calls otherwise than it did when it was recorded: recognised where that is certain, else said.

An edit of the job file never takes the record away. A step whose id alone was changed is known again by its title or
by the rest of its id, if everything else about it is as it was and nothing else fits; so are the steps of a part or a
colour that has another name now, an item of the same title, and the only room of a job. What is recognised is written
into the diary, where it can be taken back like any other entry. What is not certain is left to the person.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import takewhile

from scheduler.diary.kept import Kept
from scheduler.errors import wrong_input
from scheduler.expanding.hindsight import AGAIN, AT_ONCE
from scheduler.model.diary import Kind, Renamed
from scheduler.model.graph import Task, TaskGraph
from scheduler.model.job import Job
from scheduler.model.ledger import Ledger
from scheduler.model.names import meant, slug
from scheduler.model.plan import Plan
from scheduler.telling.words import words_of
from scheduler.told import told

_ADDED = tuple(f"-{which.replace(' ', '-')}" for which in (AGAIN, AT_ONCE))
"""What the ids of wipe-downs end with that the record called for."""

WORDS: Mapping[Kind, str] = {"step": "step", "item": "item on order", "room": "room"}
"""What each kind is called in a sentence."""


def marks(graph: TaskGraph) -> dict[str, str]:
    """By the id of each task a mark of all that it is apart from its names: alike for tasks that differ in those."""
    return {task.id: _mark(task) for task in graph.tasks}


def _mark(task: Task) -> str:
    bare = replace(
        task,
        id="",
        title="",
        room="",
        film=None if task.film is None else replace(task.film, room=""),
        uses=(),  # what a coat uses up is counted by its colour
        colour=None,
        remedy_of=None,
        added=None,
        place=None,
    )
    return hashlib.sha256(repr(bare).encode("utf-8", "surrogatepass")).hexdigest()[:16]


def recognised(kept: Kept, job: Job, graph: TaskGraph, lost: Collection[tuple[Kind, str]]) -> tuple[Renamed, ...]:
    """What of the names that are `lost` is certainly called otherwise now; `kept` is what was handed out before."""
    if kept.plan is None or not lost:
        return ()
    rooms = _rooms(kept.plan, job)
    found: dict[Kind, Mapping[str, str]] = {
        "step": _steps(kept, graph, rooms),
        "item": _items(kept.plan, job),
        "room": rooms,
    }
    events = []
    for kind, old in lost:
        new = found[kind].get(old) or (_of_the_record(old, found[kind]) if kind == "step" else None)
        if new is not None:
            events.append(Renamed(kind=kind, old=old, new=new))
    return tuple(events)


def _rooms(plan: Plan, job: Job) -> dict[str, str]:
    """The room that has another name now, if one only has gone and one only has come."""
    was, now = {step.room for step in plan.steps}, {room.id for room in job.rooms}
    return dict(zip(was - now, now - was, strict=True)) if len(was - now) == len(now - was) == 1 else {}


def _items(plan: Plan, job: Job) -> dict[str, str]:
    was = {item.item: item.title for item in plan.items} | {each.appointment: each.title for each in plan.visits}
    now = {item.id: item.title for item in job.items} | {visit.id: visit.title for visit in job.appointments}
    gone, come = was.keys() - now.keys(), now.keys() - was.keys()
    fits = {old: [new for new in come if slug(now[new]) == slug(was[old])] for old in gone}
    if len(gone) == len(come) == 1:  # of what has no title of its own, nothing but the name can have changed
        fits |= {old: [new for new in come if slug(now[new]) == new] for old in gone if slug(was[old]) == old}
    return _certain(fits)


def _steps(kept: Kept, graph: TaskGraph, rooms: Mapping[str, str]) -> dict[str, str]:
    titles = {step.id: step.title for step in kept.plan.steps} if kept.plan is not None else {}
    now = {task.id: task.title for task in graph.tasks}
    fits: dict[str, list[str]] = {}
    for old, alike in _alike(kept, graph, rooms).items():
        titled = [new for new in alike if slug(now[new]) == slug(titles[old])]
        bare = [new for new in alike if slug(now[new]) == new and slug(titles[old]) == old]
        fits[old] = titled or [new for new in alike if _tail(old, new)] or bare
    certain = _certain(fits)
    return {**_of_the_same_name(certain, titles, now), **certain}


def _of_the_same_name(certain: Mapping[str, str], was: Collection[str], now: Collection[str]) -> dict[str, str]:
    """The other steps of a part or a colour of which one step is certain, though something else in them has changed
    as well: where that is `cream` now, `warm-white-coat-3` is `cream-coat-3`."""
    found: dict[str, str] = {}
    for old, new in certain.items():
        words, others = old.split("-"), new.split("-")
        alike = sum(
            1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(words[::-1], others[::-1], strict=False))
        )
        first, then = "-".join(words[: len(words) - alike]), "-".join(others[: len(others) - alike])
        if alike and first and then and not any(name.startswith(f"{first}-") for name in now):
            pairs = {name: then + name.removeprefix(first) for name in was if name.startswith(f"{first}-")}
            found |= {name: today for name, today in pairs.items() if today in now and today not in was}
    return found


def _alike(kept: Kept, graph: TaskGraph, rooms: Mapping[str, str]) -> dict[str, list[str]]:
    """For each step that has gone those that have come since and are like it in all but their names."""
    was = {step.id: rooms.get(step.room, step.room) for step in kept.plan.steps} if kept.plan is not None else {}
    now = {task.id: (task.room, _mark(task)) for task in graph.tasks}
    come = [name for name in now if name not in was]
    return {
        old: [new for new in come if now[new] == (was[old], kept.marks.get(old))] for old in was if old not in now
    }


def _tail(old: str, new: str) -> bool:
    """Whether two ids end alike: `long-wall-prime` and `north-prime`."""
    return old.split("-")[1:][-1:] == new.split("-")[1:][-1:] != []


def _certain(fits: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """Those for which one thing only fits, if that fits nothing else."""
    wanted = [new for several in fits.values() for new in several]
    return {old: several[0] for old, several in fits.items() if len(several) == 1 and wanted.count(several[0]) == 1}


def _of_the_record(old: str, names: Mapping[str, str]) -> str | None:
    """The new name of a wipe-down that the record called for: that of the one it repeats, with the same ending."""
    for ending in _ADDED:
        base = old.removesuffix(ending)
        if base != old:
            new = names.get(base) or _of_the_record(base, names)
            return None if new is None else new + ending
    return None


def asked_for(text: str, lost: Collection[tuple[Kind, str]], known: Mapping[Kind, Collection[str]]) -> list[Renamed]:
    """What a person means by OLD=NEW. OLD may also be what several of the lost steps begin with: a part, a colour.

    `lost` are recorded and not in the job, `known` is what the job has. Raises InputError.
    """
    where = "--renamed"
    old, equals, new = (part.strip() for part in text.partition("="))
    old, new = slug(old), slug(new)
    if not equals or not old or not new:
        raise wrong_input(
            where, told("`{text}` is no OLD=NEW", text=text), "write the id that was recorded, `=`, the id of today"
        )
    kinds = [kind for kind, name in lost if name == old]
    if not kinds:
        several = [name for kind, name in lost if kind == "step" and name.startswith(f"{old}-")]
        pairs = [(name, new + name.removeprefix(old)) for name in several]
        found = [Renamed(kind="step", old=name, new=now) for name, now in pairs if now in known["step"]]
        if found:
            return found
        if several:
            said = told("the job has no step `{pairs}` for `{pairs2}`", pairs=pairs[0][1], pairs2=pairs[0][0])
            raise wrong_input(where, said, meant(pairs[0][1], known["step"]))
        if any(old in names for names in known.values()):
            raise wrong_input(where, told("the job still has `{old}`", old=old), "name what it has no longer")
        names = [name for _, name in lost]
        hint = meant(old, names) if names else "see what is: `tackfree diary JOB`"
        raise wrong_input(where, told("nothing is recorded about `{old}`", old=old), hint)
    kind = next((kind for kind in kinds if new in known[kind]), None)
    if kind is None:
        raise wrong_input(
            where, told("the job has no {words} `{new}`", words=WORDS[kinds[0]], new=new), meant(new, known[kinds[0]])
        )
    return [Renamed(kind=kind, old=old, new=new)]


def renamed_kept(kept: Kept, events: Sequence[Renamed]) -> Kept:
    """What was handed out, with the steps by their names of today: so that what need not move stays."""
    names = {event.old: event.new for event in events if event.kind == "step"}
    if not names:
        return kept

    def now(name: str) -> str:
        return names.get(name, name)

    answer = kept.answer
    if answer is not None:
        answer = replace(answer, pieces={now(name): spans for name, spans in answer.pieces.items()})
    seen = kept.seen
    if seen is not None:
        seen = replace(seen, pieces={now(name): spans for name, spans in seen.pieces.items()})
    return replace(
        kept,
        plan=None if kept.plan is None else _renamed_plan(kept.plan, names),
        ledger=None if kept.ledger is None else _renamed_ledger(kept.ledger, names),
        answer=answer,
        passed=tuple(
            replace(
                session,
                steps={now(name): spans for name, spans in session.steps.items()},
                ends=tuple(map(now, session.ends)),
            )
            for session in kept.passed
        ),
        moves=tuple(
            replace(move, steps=tuple(map(now, move.steps)), loose=tuple(map(now, move.loose))) for move in kept.moves
        ),
        marks={now(name): mark for name, mark in kept.marks.items()},
        seen=seen,
    )


def _renamed_plan(plan: Plan, names: Mapping[str, str]) -> Plan:
    return replace(
        plan,
        steps=tuple(replace(step, id=names.get(step.id, step.id)) for step in plan.steps),
        sessions=tuple(
            replace(session, steps=tuple(names.get(name, name) for name in session.steps))
            for session in plan.sessions
        ),
        former=tuple(former for former in plan.former if former.name not in names),
    )


def _renamed_ledger(ledger: Ledger, names: Mapping[str, str]) -> Ledger:
    return replace(
        ledger,
        entries=tuple(
            replace(
                entry,
                event=replace(entry.event, steps=tuple(names.get(name, name) for name in entry.event.steps)),
            )
            for entry in ledger.entries
        ),
    )


def how_to_carry_over(
    lost: Sequence[tuple[Kind, str]], kept: Kept, job: Job, graph: TaskGraph, taken: Collection[str], file: str
) -> Iterator[str]:
    """A line that names what is recorded and not in the job any more, with the command that gives it its new name.

    `taken` are steps about which something is recorded: none of them is what another one is called now. `file` is the
    job file.
    """
    if not lost:
        return
    names = ", ".join(f"`{name}`" for _, name in lost)
    kind, first = lost[0]
    alike = _may_be(kind, first, kept, job, graph, taken)
    new = alike[0] if len(alike) == 1 else "NEW"
    command = f"tackfree diary {file} --renamed {first}={new}"
    yield words_of(job).tell("notes.no longer", names=names, command=command)


def _may_be(kind: Kind, name: str, kept: Kept, job: Job, graph: TaskGraph, taken: Collection[str]) -> Sequence[str]:
    """What a name that has gone may be called now: steps that are like it, the items that have come since."""
    if kept.plan is None:
        return []
    if kind == "item":
        return [item.id for item in job.items if all(item.id != was.item for was in kept.plan.items)]
    alike = _alike(kept, graph, _rooms(kept.plan, job)).get(name, ()) if kind == "step" else ()
    return [each for each in alike if each not in taken]
