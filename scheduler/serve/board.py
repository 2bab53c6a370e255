"""One job that is served: what is at hand of it, who listens, and the loop that plans when something has changed."""

from __future__ import annotations

import asyncio
import html
import json
from collections.abc import AsyncIterator, Callable, Coroutine
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from scheduler.diary.record import Files
from scheduler.living.memory import Mark, mark_of
from scheduler.serve.answers import Body
from scheduler.serve.keys import Keys
from scheduler.serve.planner import PAGES, Drawn, EndedError, PlanRequest, Unplanned
from scheduler.serve.recording import Recorder, TapResult, not_now
from scheduler.serve.taps import Tap
from scheduler.telling.page import FAULT_MARK
from scheduler.wallclock import to_minutes

GATHER = 0.1
"""Seconds in which taps gather before it is planned for all of them."""
LOOK = 1.0
"""Seconds after which the files are looked at again: commands at the laptop change them, too."""
AGAIN = 5.0
"""Seconds until it is tried again where the planner was ended by something."""
OLD = 60
"""Minutes after which a plan is made anew though nothing has changed: time has."""
BEAT = 10.0
"""Seconds after which a listener hears that the server is there."""
Plan = Callable[[PlanRequest], Coroutine[Any, Any, Drawn | Unplanned | None]]
"""Asks a planner in another process."""


@dataclass(eq=False)
class Board:
    """All of one job. Lives on the event loop; `now` is the clock."""

    files: Files
    keys: Keys
    plan: Plan
    question: PlanRequest
    now: Callable[[], datetime]
    tell: Callable[[str], None]
    bodies: dict[str, Body] = field(default_factory=dict)
    version: str = ""
    planning: bool = False
    faults: tuple[str, ...] = ()
    _drawn: Drawn | None = None
    _mark: Mark | None = None
    _planned: int = 0
    _due: asyncio.Event = field(default_factory=asyncio.Event)
    _listeners: set[asyncio.Event] = field(default_factory=set)
    _ended: bool = False
    _waiting: list[tuple[Tap, int, asyncio.Future[TapResult]]] = field(default_factory=list)
    _writer: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(1))
    _writing: asyncio.Task[None] | None = None

    def __post_init__(self) -> None:
        self._recorder = Recorder(self.files.job)

    @property
    def title(self) -> str:
        """What the job is called on the terminal: its folder, or its file."""
        job = self.files.job.resolve()
        return job.parent.name if job.stem == "job" else job.stem

    @property
    def state(self) -> bytes:
        """What a page that listens is told, as JSON."""
        return json.dumps({"version": self.version, "planning": self.planning}).encode()

    # ---- recording

    async def record(self, tap: Tap, minute: int) -> TapResult:
        """Put a tap on the disk, with all others that wait; answered when it is there."""
        done: asyncio.Future[TapResult] = asyncio.get_running_loop().create_future()
        self._waiting.append((tap, minute, done))
        if self._writing is None or self._writing.done():
            self._writing = asyncio.create_task(self._write())
        answer = await asyncio.shield(done)
        if answer.status == 200 and answer.says.get("line") is not None:
            self._due.set()
            self._plans()
        return answer

    async def _write(self) -> None:
        while self._waiting:
            taken, self._waiting = self._waiting, []
            taps, minute = [tap for tap, _, _ in taken], max(minute for _, minute, _ in taken)
            put = partial(self._recorder.record, taps, minute, exact=self.question.exact)
            try:
                answers = await asyncio.get_running_loop().run_in_executor(self._writer, put)
            except Exception:  # whoever waits is told so, whatever it is
                answers = [TapResult(503, {"recorded": False, "said": not_now(self.question.job)})] * len(taps)
            for (_, _, done), answer in zip(taken, answers, strict=True):
                if not done.done():
                    done.set_result(answer)

    def _look_anew(self) -> None:
        """Read what lies beside the job now, ahead of the next tap: a plan has just been kept there."""
        if not self._ended:
            self._writer.submit(self._recorder.look)

    # ---- planning

    async def work(self) -> None:
        """Plan whenever there is something to plan for, as long as it is served."""
        while not self._ended:
            with suppress(TimeoutError):
                await asyncio.wait_for(self._due.wait(), LOOK)
            if self._due.is_set() or self._has_changed() or self._is_old():
                await asyncio.sleep(GATHER)
                self._due.clear()
                await self.plan_once()

    async def plan_once(self) -> Unplanned | None:
        """One plan for all that is recorded by now; what keeps it from being made, if anything does."""
        minute = to_minutes(self.now())
        self._plans()
        try:
            found = await self.plan(
                replace(
                    self.question,
                    minute=minute,
                    token=self.keys.token,
                    moves=self._drawn.moves if self._drawn else None,
                )
            )
        except EndedError:
            self.tell("The process that plans was ended by something; it is started anew.")
            await asyncio.sleep(AGAIN)
            found = None
        self._planned = minute
        self._look_anew()
        if found is None:
            self._due.set()  # something came in between
            return None
        self._mark = found.mark
        if isinstance(found, Drawn):
            self._drawn, self.faults = found, ()
        else:
            self.faults = found.faults
        if self._drawn is not None:
            self._publish(self._drawn)
        self.planning = self._due.is_set()
        self._say()
        return found if isinstance(found, Unplanned) else None

    def _plans(self) -> None:
        """Say that it is planned, to whoever has not heard so yet: with many taps and pages that is nobody."""
        if not self.planning:
            self.planning = True
            self._say()

    def _has_changed(self) -> bool:
        return mark_of(self.files) != self._mark

    def _is_old(self) -> bool:
        return not self.question.exact and to_minutes(self.now()) - self._planned >= OLD

    def _publish(self, drawn: Drawn) -> None:
        """Hand this out from now on."""
        for name, body in drawn.bodies.items():
            self._hand_out(name, _with_faults(body, self.faults) if name in PAGES else body)
        self.version = self.bodies["look"].tag

    def _hand_out(self, name: str, body: Body) -> None:
        before = self.bodies.get(name)
        if before is not None and before.tag == body.tag:
            return
        changed = self.now().replace(microsecond=0)
        if before is not None and before.changed is not None:
            changed = max(changed, before.changed + timedelta(seconds=1))
        self.bodies[name] = replace(body, changed=changed)

    # ---- listening

    def _say(self) -> None:
        for listener in self._listeners:
            listener.set()

    async def listen(self) -> AsyncIterator[bytes]:
        """An event stream (HTML Standard, server-sent events): how it stands first, then each change, and a beat."""
        heard = asyncio.Event()
        self._listeners.add(heard)
        try:
            yield b"retry: 2000\n\n"
            while not self._ended:
                yield b"data: " + self.state + b"\n\n"
                heard.clear()
                with suppress(TimeoutError):
                    await asyncio.wait_for(heard.wait(), BEAT)
        finally:
            self._listeners.discard(heard)

    def let_go(self) -> None:
        """End what never ends by itself."""
        self._ended = True
        self._due.set()
        self._say()

    async def close(self) -> None:
        """See what has begun to be written through."""
        if self._writing is not None:
            await self._writing
        self._writer.shutdown(wait=True)


def _with_faults(page: Body, faults: tuple[str, ...]) -> Body:
    if not faults:
        return page
    lines = "".join(f"<li>{html.escape(fault)}</li>" for fault in faults[:5])
    said = f'<ul class="faults" role="alert">{lines}</ul>'
    content = page.content.replace(FAULT_MARK.encode(), said.encode())
    return Body.of(content, page.kind, page.cache, page.policy)
