"""What the record adds to the work: dust that was made out of turn is wiped up all the same, and what was mended
before there was anything to mend can be mended again.

Where a room was wiped down before the dust, it is wiped down again after it. Where dust lies already and wet work
comes before any wipe-down that is still to be done, it is wiped down at once; in a job that has no wipe-down for the
room, by one that is made up for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain

from scheduler.expanding.dust import WIPED, WIPING, WIPING_PIECE
from scheduler.model.basics import Span
from scheduler.model.graph import Choice, ColourOrder, Link, Task, TaskGraph
from scheduler.model.message import Message, message
from scheduler.model.tradewords import TradeWords
from scheduler.wallclock import NEVER

Pieces = Mapping[str, Sequence[Span]]
"""When the tasks that were done, or begun, were worked on."""

AGAIN, AT_ONCE = "again", "at once"
MORE = {AGAIN: "{task}, again", AT_ONCE: "{task}, at once"}
"""What one more of a task is called."""


def in_hindsight(
    graph: TaskGraph,
    done: Pieces,
    begun: Mapping[str, tuple[Sequence[Span], int]],
    words: TradeWords = TradeWords(),  # noqa: B008 - it never changes
) -> TaskGraph:
    """The graph with the wipe-downs and the remedies that the record calls for, called so in the `words` of the
    trade.

    What has been recorded of such a step stays in the job, whatever is taken back later.
    """
    recorded = {**done, **{name: pieces for name, (pieces, _) in begun.items()}}
    graph = _mended_again(graph, done, recorded, words)
    usual = [task for task in graph.tasks if task.wipes and task.remedy_of is None]
    while recorded:  # what is added may call for more
        dust = _Dust(graph, done, recorded, words)
        added = next(chain(dust.wiped_again(), dust.wiped_at_once(usual), dust.wiped_by_nobody(usual)), None)
        if added is None:
            break
        first, more, links = added
        at = dust.places[first] + 1
        tasks = (*graph.tasks[:at], more, *graph.tasks[at:])
        graph = replace(graph, tasks=tasks, links=(*graph.links, *links))
    return graph


def _mended_again(graph: TaskGraph, done: Pieces, recorded: Pieces, words: TradeWords) -> TaskGraph:
    """The graph in which a remedy that was recorded before what it mends was done has another one in its place."""
    by_name = {task.id: task for task in graph.tasks}
    instead: dict[str, str] = {}
    added: dict[str, list[Task]] = {}
    for link in (*graph.links, *(link for choice in graph.choices for each in choice.options for link in each.links)):
        name = link.remedy
        if name is None or name in instead:
            continue
        first, last = by_name[name], _over(link.before, done)
        while name in recorded and (recorded[name][0].start < last or _again(name) in recorded):
            title = words(MORE[AGAIN]).format(task=first.title)
            more = replace(first, id=_again(name), title=title, added=message("added.again", because=first.added))
            added.setdefault(first.id, []).append(more)
            name = more.id
        instead[first.id] = name
    if not added:
        return graph
    waits = [link for link in graph.links if link.after in added]
    return replace(
        graph,
        tasks=tuple(each for task in graph.tasks for each in (task, *added.get(task.id, ()))),
        links=(
            *(_mended_by(link, instead) for link in graph.links),
            *(replace(link, after=more.id) for link in waits for more in added[link.after]),
        ),
        choices=tuple(_with_remedies(choice, instead) for choice in graph.choices),
    )


def _over(step: str, done: Pieces) -> int:
    """The end of a step that is done, else a moment that never comes."""
    return done[step][-1].end if step in done else NEVER


def _again(name: str) -> str:
    return f"{name}-{AGAIN}"


def _mended_by(link: Link, instead: Mapping[str, str]) -> Link:
    return link if link.remedy is None else replace(link, remedy=instead[link.remedy])


def _with_remedies(choice: Choice, instead: Mapping[str, str]) -> Choice:
    def mended(option: ColourOrder) -> ColourOrder:
        return replace(option, links=tuple(_mended_by(link, instead) for link in option.links))

    one, other = choice.options
    return replace(choice, options=(mended(one), mended(other)))


Added = tuple[str, Task, tuple[Link, ...]]
"""The wipe-down, or the dusty step, after which another wipe-down stands in the job, that one, and its links."""


class _Dust:
    """Which dust lies where it should not. Sets of tasks are whole numbers, a bit for each."""

    def __init__(self, graph: TaskGraph, done: Pieces, recorded: Pieces, words: TradeWords) -> None:
        self.graph, self.done, self.recorded, self.words = graph, done, recorded, words
        self.places = {task.id: at for at, task in enumerate(graph.tasks)}
        self.wiping = [task for task in graph.tasks if task.wipes and task.remedy_of is None]
        self.dusty = [task for task in graph.tasks if task.dusty and task.work.planned and task.remedy_of is None]
        self.ahead = [0] * len(graph.tasks)
        for link in sorted(graph.links, key=lambda link: self.places[link.before]):  # what comes before is complete
            before = self.places[link.before]
            self.ahead[self.places[link.after]] |= self.ahead[before] | 1 << before

    def wiped_again(self) -> Iterator[Added]:
        """For each wipe-down that was recorded too soon, another one in its place."""
        for task in self.wiping:
            again = self._another(task, AGAIN)
            late = self._late(task) if task.id in self.recorded else None
            if again.id in self.places or (late is None and again.id not in self.recorded):
                continue
            kind = "added.some dust after" if late is None else "added.dust after"
            reason = message(kind, wiping=task.title, dusty=None if late is None else late.title)
            yield task.id, replace(again, added=reason), tuple(self._in_place_of(task.id, again.id))

    def _late(self, wiping: Task) -> Task | None:
        """The first task whose dust that one was to wipe up, and which was not over when that began."""
        ahead, begin = self.ahead[self.places[wiping.id]], self.recorded[wiping.id][0].start
        for task in self.dusty:
            over = task.id in self.done and self.done[task.id][-1].end <= begin
            if not over and task.room == wiping.room and ahead >> self.places[task.id] & 1:
                return task
        return None

    def _in_place_of(self, first: str, again: str) -> Iterator[Link]:
        """What it follows, and what follows it, holds for the other one too; windows are no affair of dust."""
        for link in self.graph.links:
            if link.after == first:
                yield Link(before=link.before, after=again, stage=link.stage, wait=link.wait)
            elif link.before == first:
                yield Link(before=again, after=link.after, wait=link.wait)

    def wiped_at_once(self, usual: Sequence[Task]) -> Iterator[Added]:
        """For dust that lies in a room now: another one like the wipe-down that was to follow it."""
        for task in usual:
            more = self._another(task, AT_ONCE)
            while more.id in self.places and more.id in self.recorded:
                more = self._another(more, AGAIN)
            why = self._wanted_at_once(task)
            if more.id not in self.places and (why is not None or more.id in self.recorded):
                yield task.id, replace(more, added=why or message("added.dust lay")), ()

    def _wanted_at_once(self, wiping: Task) -> Message | None:
        """Why dust cannot wait for any wipe-down of the job; None if it can, or if this is not the first after it."""
        inside = [task for task in self.graph.tasks if task.room == wiping.room]
        wet = [task for task in inside if task.wet and task.remedy_of is None and task.id not in self.recorded]
        before = sum(1 << self.places[task.id] for task in wet)
        dust = self._lying(inside, before)
        if dust is None or wiping is not self._first_after(dust):
            return None
        if not wet or any(not self.ahead[self.places[task.id]] & before for task in self._to_wipe(inside)):
            return None
        return message("added.dust lies", dusty=dust.title, wet=wet[0].title)

    def wiped_by_nobody(self, usual: Sequence[Task]) -> Iterator[Added]:
        """For dust that lies in a room that no step of the job ever wipes down: a wipe-down of its own."""
        for room in sorted({task.room for task in self.dusty} - {task.room for task in usual}):
            inside = [task for task in self.graph.tasks if task.room == room]
            wet = [task for task in inside if task.wet and task.remedy_of is None and task.id not in self.recorded]
            name = f"{room}-wipe-down"
            while name in self.places:
                name = _again(name)
            dust = self._lying(inside, sum(1 << self.places[task.id] for task in wet))
            wanted = dust is not None and wet and not self._to_wipe(inside)
            if not wanted and name not in self.recorded:
                continue
            behind = dust or next(task for task in inside if task.dusty)
            why = message("added.nobody wipes", dusty=behind.title)
            more = Task(
                id=name,
                title=self.words(WIPED),
                room=room,
                work=WIPING,
                people=1,
                smallest_piece=WIPING_PIECE,
                wipes=True,
                added=why,
                place=behind.place,
            )
            yield behind.id, more, ()

    def _to_wipe(self, inside: Sequence[Task]) -> list[Task]:
        """The wipe-downs of a room that are still to be done."""
        return [task for task in inside if task.wipes and task.remedy_of is None and task.id not in self.recorded]

    def _lying(self, inside: Sequence[Task], wet: int) -> Task | None:
        """The task of a room whose dust was the last to fall, if nothing that is recorded has wiped it up.

        Nor will what is left of a wipe-down that was begun, if that has to wait for something `wet`.
        """
        here = [task for task in inside if task.id in self.recorded]
        makers = [task for task in here if task.dusty and not task.wipes]
        last = max(makers, key=lambda task: self.recorded[task.id][-1].end, default=None)
        if last is None:
            return None
        fell = self.recorded[last.id][-1].end
        wiping = [task for task in here if task.wipes and self.recorded[task.id][0].start >= fell]
        over = any(task.id in self.done or not self.ahead[self.places[task.id]] & wet for task in wiping)
        return None if over else last

    def _first_after(self, dust: Task) -> Task | None:
        """The first wipe-down that was to follow it, else the last of its room."""
        mine = [task for task in self.wiping if task.room == dust.room]
        after = [task for task in mine if self.ahead[self.places[task.id]] >> self.places[dust.id] & 1]
        return next(iter([*after, *mine[-1:]]), None)

    def _another(self, wiping: Task, which: str) -> Task:
        """One more wipe-down like that, with nothing wet about it."""
        name, title = f"{wiping.id}-{which.replace(' ', '-')}", self.words(MORE[which]).format(task=wiping.title)
        return replace(wiping, id=name, title=title, wet=False, film=None, added=None)
