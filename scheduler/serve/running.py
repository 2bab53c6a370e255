"""Serve jobs until somebody ends it: the first plan of each, then the server, and at the end nothing half written."""

from __future__ import annotations

import asyncio
import io
import socket
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import segno

from scheduler.diary.record import Files
from scheduler.model.page import Subscription
from scheduler.reading.jobfile import job_file
from scheduler.serve.app import App
from scheduler.serve.board import Board
from scheduler.serve.gate import Door
from scheduler.serve.keys import keys_file, keys_of
from scheduler.serve.planner import Planner, PlanRequest
from scheduler.serve.wire import listen, see_certificate, service


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is to be served, and how. `exact`: the clock was told a time, and is not that of the machine."""

    jobs: Sequence[Path]
    house: bool = False
    port: int | None = None
    new_secret: bool = False
    lang: str | None = None
    cert: Path | None = None
    key: Path | None = None
    names: Sequence[str] = ()
    exact: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Address:
    """Where a job is served: the address that may write, and the one that may only look."""

    title: str
    write: str
    look: str
    keys: Path


def serve(
    wanted: Wanted,
    now: Callable[[], datetime],
    tell: Callable[[str], None],
    shown: Callable[[Sequence[Address]], None],
) -> None:
    """Serve until Ctrl-C, which comes out as KeyboardInterrupt. `shown` hears of the addresses once they answer.

    Raises InputError, NoPlanError and UnwrittenError if a job can't be read, planned or kept at the beginning.
    """
    asyncio.run(_serve(wanted, now, tell, shown))


async def _serve(
    wanted: Wanted,
    now: Callable[[], datetime],
    tell: Callable[[str], None],
    shown: Callable[[Sequence[Address]], None],
) -> None:
    planner = Planner()
    jobs = [job_file(path) for path in wanted.jobs]
    boards: list[Board] = []
    bound: socket.socket | None = None
    try:
        if wanted.cert is not None and wanted.key is not None:
            see_certificate(wanted.cert, wanted.key)
        keys = [keys_of(jobs[0], port=wanted.port, anew=wanted.new_secret)]
        keys += [keys_of(job, port=keys[0].port, anew=wanted.new_secret) for job in jobs[1:]]
        door = _door(wanted, keys[0].port)
        bound = listen(door.port, house=wanted.house)
        origin = f"{door.scheme}://{_own_address() if wanted.house else '127.0.0.1'}:{door.port}"
        for job, own in zip(jobs, keys, strict=True):
            subscriptions = tuple(
                Subscription(kind=kind, address=address, code=code_of(address))
                for kind, secret in (("plan", own.look), ("household", own.house), ("helper", own.helper))
                for address in [f"{origin}/{secret}/plan.ics"]
            )
            question = PlanRequest(
                job=job,
                minute=0,
                exact=wanted.exact,
                lang=wanted.lang,
                subscriptions=subscriptions,
                look=f"{origin}/{own.look}/",
            )
            boards.append(Board(Files(job), own, planner.ask, question, now, tell))
        for board in boards:
            while not board.bodies:
                if (problem := await board.plan_once()) is not None:
                    raise problem.error
        app = App(boards, door).guarded(tell)

        def let_go() -> None:
            for board in boards:
                board.let_go()

        server = service(app, let_go, wanted.cert, wanted.key)
        work = [asyncio.create_task(board.work()) for board in boards]
        shown(
            [
                Address(
                    title=board.title,
                    write=f"{origin}/{board.keys.write}/",
                    look=f"{origin}/{board.keys.look}/",
                    keys=keys_file(board.files.job),
                )
                for board in boards
            ]
        )
        await server.serve(sockets=[bound])
        for task in work:
            task.cancel()
    finally:
        for board in boards:
            board.let_go()
            await board.close()
        planner.end()
        if bound is not None:
            bound.close()


def code_text(address: str) -> str:
    """The QR code of an address (ISO/IEC 18004) in half blocks, for a terminal."""
    out = io.StringIO()
    segno.make(address, error="l", micro=False).terminal(out, compact=True, border=2)
    return out.getvalue()


def code_of(address: str) -> str:
    """The same as markup."""
    return str(segno.make(address, error="m", micro=False).svg_inline(scale=4, border=2, omitsize=True))


def _door(wanted: Wanted, port: int) -> Door:
    """The names under which this machine may be asked."""
    own = socket.gethostname().lower()
    names = {"localhost", own, f"{own.removesuffix('.local')}.local"} if wanted.house else {"localhost"}
    names |= {name.lower() for name in wanted.names}
    return Door(port, frozenset(names), "https" if wanted.cert else "http", wanted.house)


def _own_address() -> str:
    """The address of this machine in its network: the one from which it would ask a neighbour. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(("10.255.255.255", 9))
            return str(asking.getsockname()[0])
        except OSError:
            return "127.0.0.1"
