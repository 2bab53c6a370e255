"""A job that is served in this process, on a loop in a thread of its own; and a way to ask it without any library."""

from __future__ import annotations

import asyncio
import json
import socket
import threading
import time
import uuid
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http.client import HTTPException, HTTPResponse
from pathlib import Path
from typing import Any

from scheduler.diary.record import Files, read_record
from scheduler.model.page import Subscription
from scheduler.serve.app import App
from scheduler.serve.board import Board
from scheduler.serve.gate import Door
from scheduler.serve.keys import keys_of
from scheduler.serve.planner import Drawn, PlanRequest, Unplanned, plan_anew
from scheduler.serve.running import code_of
from scheduler.serve.wire import Service, listen, service

JOB = """\
job: "<b>Two</b> walls"
start: 2027-01-09
zone: America/Denver
measures: US
hours:
  - {on: Saturday, from: 9:00, to: 17:00, people: 2}
  - {on: Sunday, from: 10:00, to: 14:00}
rooms:
  den: {air: {day: 70 °F, night: 65 °F, humidity: 45 %}}
on order:
  boards: {comes: 2027-01-16, order time: 10 days}
steps:
  sand: {work: 1 h}
  first: {title: First coat, work: 2 h, lays: acrylic-latex-wall-paint, follows: [sand]}
  second: {title: Second coat, work: 1 h, lays: acrylic-latex-wall-paint, follows: [first: recoat]}
  shelf: {title: Hang the shelf, work: 1 h, people: 2, follows: [second: recoat], needs: [boards]}
  lamp: {work: 30 min}
"""
"""Invented."""
NOW = datetime(2027, 1, 9, 17, 0, tzinfo=UTC)
"""Ten in the morning of the first Saturday."""


@dataclass
class Reply:
    """One answer. Status 0: the connection was closed without one."""

    status: int = 0
    headers: dict[str, str] = field(default_factory=dict)
    body: bytes = b""

    @property
    def text(self) -> str:
        return self.body.decode("utf-8", "replace")

    @property
    def says(self) -> Any:
        return json.loads(self.body)


class Served:
    """A job, served. The clock stands still at `now` unless a test sets it."""

    def __init__(self, job: Path, plan: Callable[..., Any] | None = None, house: bool = True) -> None:
        self.job, self.files, self.now, self.said = job, Files(job), NOW, list[str]()
        self.plans: list[PlanRequest] = []
        self.keys = keys_of(job, port=None, anew=False)
        self._bound = listen(0, house=False)
        self.port = self._bound.getsockname()[1]
        self.host = f"127.0.0.1:{self.port}"
        self.origin = f"http://{self.host}"
        self.door = Door(self.port, frozenset({"localhost", "laptop.local"}), house=house)
        self._plan = plan or plan_anew
        self._ready = threading.Event()
        self._thread = threading.Thread(target=lambda: asyncio.run(self._serve()), daemon=True)
        self._thread.start()
        assert self._ready.wait(60)

    async def _ask(self, question: PlanRequest) -> Drawn | Unplanned | None:
        self.plans.append(question)
        return await asyncio.to_thread(self._plan, question)

    async def _serve(self) -> None:
        address = f"{self.origin}/{self.keys.look}/plan.ics"
        feed = Subscription(kind="plan", address=address, code=code_of(address))
        look = f"{self.origin}/{self.keys.look}/"
        question = PlanRequest(job=self.job, minute=0, exact=True, lang="en", subscriptions=(feed,), look=look)
        self.loop = asyncio.get_running_loop()
        self.board = Board(self.files, self.keys, self._ask, question, lambda: self.now, self.said.append)
        while not self.board.bodies:
            assert await self.board.plan_once() is None, self.board.faults
        self.app = App([self.board], self.door)
        self.service: Service = service(self.app.guarded(self.said.append), self.board.let_go)
        work = asyncio.create_task(self.board.work())
        self._ready.set()
        await self.service.serve(sockets=[self._bound])
        work.cancel()
        await self.board.close()

    def end(self) -> float:
        """Tell it to end, as Ctrl-C does; how long that took."""
        begun = time.monotonic()
        self.loop.call_soon_threadsafe(self.service.handle_exit, 2, None)
        self._thread.join(20)
        assert not self._thread.is_alive()
        return time.monotonic() - begun

    # ---- asking

    def connect(self, seconds: float = 5.0) -> socket.socket:
        return socket.create_connection(("127.0.0.1", self.port), seconds)

    def head(self, method: str, target: str, headers: dict[str, str | None]) -> bytes:
        """A request's head; a header of None is left out."""
        whole = {"Host": self.host, "Connection": "close", **headers}
        lines = [f"{name}: {value}" for name, value in whole.items() if value is not None]
        return "\r\n".join([f"{method} {target} HTTP/1.1", *lines, "", ""]).encode("latin-1")

    def raw(self, data: bytes, method: str = "GET") -> Reply:
        with self.connect() as sock:
            with suppress(ConnectionError):  # refused before all of it was sent
                sock.sendall(data)
            try:
                answer = HTTPResponse(sock, method=method)
                answer.begin()
                found = {name.lower(): value for name, value in answer.getheaders()}
                streamed = "event-stream" in found.get("content-type", "")
                body = answer.read1() if streamed else answer.read()
            except (ConnectionError, HTTPException):
                return Reply()
            return Reply(answer.status, found, body)

    def ask(self, method: str, path: str, body: bytes = b"", **headers: str | None) -> Reply:
        named: dict[str, str | None] = {"Content-Length": str(len(body))} if body or method == "POST" else {}
        named |= {name.replace("_", "-"): value for name, value in headers.items()}
        return self.raw(self.head(method, path, named) + body, method)

    def get(self, name: str = "", secret: str | None = None, **headers: str | None) -> Reply:
        return self.ask("GET", f"/{self.keys.write if secret is None else secret}/{name}", **headers)

    def tap(self, tap: object, secret: str | None = None, **headers: str | None) -> Reply:
        """A tap, as the page sends it."""
        body = tap if isinstance(tap, bytes) else json.dumps(tap).encode()
        named: dict[str, str | None] = {
            "Origin": self.origin,
            "Content-Type": "application/json",
            "X-Tackfree-Token": self.keys.token,
        }
        named |= {name.replace("_", "-"): value for name, value in headers.items()}
        return self.ask("POST", f"/{self.keys.write if secret is None else secret}/diary", body, **named)

    def record(self, **tap: object) -> Reply:
        return self.tap({"id": str(uuid.uuid4()), **tap})

    # ---- what is there

    @property
    def lines(self) -> list[dict[str, Any]]:
        text = self.files.diary.read_text("utf-8") if self.files.diary.exists() else ""
        assert not text or text.endswith("\n")
        # Read after the text, while taps may still be written: every line that was there is an entry.
        assert len(read_record(self.files).entries) >= len(text.splitlines())
        return [json.loads(line) for line in text.splitlines()]

    def settled(self, seconds: float = 20.0) -> Any:
        """The plan once all that is recorded is planned for."""
        until = time.monotonic() + seconds
        while self.board.planning or self.board._due.is_set():
            assert time.monotonic() < until
            time.sleep(0.02)
        return self.get("plan.json").says

    def forget(self) -> None:
        """As if nobody had asked anything yet."""
        self.app._rates._buckets.clear()


def new_job(folder: Path, text: str = JOB) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    job = folder / "job.yaml"
    job.write_text(text, encoding="utf-8")
    return job
