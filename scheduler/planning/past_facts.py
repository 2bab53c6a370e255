"""What a step that was done out of turn leaves owing.

A chain of links puts A before B by way of X. Where X is a fact before A is, neither link of the chain can keep A and
B in order any longer: the one into X asks nothing more, and the one out of X is met. So B waits for A itself.

And where X was begun on a film that was not far enough, the rest of X waits for that film: what is laid on it now
would only make more of the same fault.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace

from scheduler.model.facts import Facts
from scheduler.model.graph import Link, Task


class Past:
    """What the record leaves of the order: `done`; `over`, which asks for nothing any more; `left`, which still can.

    Work in one piece that was begun is not left standing, nor is what is wet, whatever was forgotten before it. What
    may pause may wait. `begun` is all that was begun, `laid` what is done or begun: its film, if any, is there.
    """

    def __init__(self, tasks: Iterable[Task], facts: Facts) -> None:
        begun = [task for task in tasks if task.id in facts.begun]
        goes_on = {task.id for task in begun if task.smallest_piece is None or task.wet or task.film is not None}
        self.begun = facts.begun.keys()
        self.laid = facts.done.keys() | facts.begun.keys()
        self.done = facts.done.keys()
        self.over = facts.done.keys() | goes_on
        self.left = facts.begun.keys() - goes_on


def owed(links: Iterable[Link], passed: Past) -> tuple[Link, ...]:
    """The links that hold besides the given ones because of what was done, or begun, out of turn.

    B starts no earlier than X might have started after A: at that stage of A, and after that wait. A window from A
    to X is no affair of B's. The rest of a step that was begun waits for what that step follows, if it is not done,
    and for the stage of a film that it is laid on.
    """
    if not passed.over and not passed.left:
        return ()
    into: dict[str, list[Link]] = {}
    for link in links:
        into.setdefault(link.after, []).append(link)
    known: dict[str, tuple[Link, ...]] = {}
    found: dict[Link, None] = {}
    for after in into.keys() & passed.begun:
        under = (link for link in into[after] if link.stage is not None and link.before in passed.laid)
        found |= dict.fromkeys(_bare(link) for link in under)
    for after in into.keys() - passed.over:
        for link in into[after]:
            if link.before in passed.over:
                found |= dict.fromkeys(replace(due, after=after) for due in _due(link.before, into, passed, known))
            if after in passed.left and link.before not in passed.done:
                found[_bare(link)] = None
    return tuple(sorted(found, key=lambda link: (link.before, link.after, link.stage or "", link.wait)))


def _due(
    step: str, into: Mapping[str, list[Link]], passed: Past, known: dict[str, tuple[Link, ...]]
) -> tuple[Link, ...]:
    """What a step that is over should have waited for and did not: each chain of facts up to what is not done.

    A chain may be as long as the job: what lies behind is worked out first, without going deep.
    """
    left = [step]
    while left:
        at = left[-1]
        behind = {link.before for link in into.get(at, ())} & passed.over - known.keys()
        if behind and at not in known:
            left += sorted(behind)
            continue
        left.pop()
        known.setdefault(at, tuple(dict.fromkeys(_last_of(into.get(at, ()), passed, known))))
    return known[step]


def _last_of(links: Iterable[Link], passed: Past, known: Mapping[str, Collection[Link]]) -> Iterator[Link]:
    for link in links:
        if link.before in passed.over:
            yield from known[link.before]
        if link.before not in passed.done:
            yield replace(_bare(link), after="")


def _bare(link: Link) -> Link:
    """The same wait without its window."""
    return Link(before=link.before, after=link.after, stage=link.stage, wait=link.wait)
