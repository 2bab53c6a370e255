"""The connections: how many, and how long one may take over its request; and an end that does not wait for listeners.

The server library has no limit of its own for the time of a request's head; a stalled connection would stay forever.
"""

from __future__ import annotations

import asyncio
import errno
import logging
import socket
import ssl
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import Any, ClassVar

import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

from scheduler.errors import wrong_input
from scheduler.told import told

HEAD_SECONDS = 8.0
"""Within which a request's head is there, on a new connection or on one that is used again."""
CONNECTIONS, CONNECTIONS_OF_ONE = 200, 100
"""Open at a time, in all and of one address."""
GRACE = 5
"""Seconds that answers have to end at the end."""


class Patience(H11Protocol):
    """A connection that is closed when its request does not come."""

    _open: ClassVar[Counter[str]] = Counter()

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self._late: asyncio.TimerHandle | None = None
        self._caller = ""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Count it, and begin to wait for its request."""
        super().connection_made(transport)
        self._caller = self.client[0] if self.client else ""
        self._open[self._caller] += 1
        if self._open[self._caller] > CONNECTIONS_OF_ONE or self._open.total() > CONNECTIONS:
            transport.abort()
        else:
            self._wait()

    def data_received(self, data: bytes) -> None:
        """Take what came; from the head on the request has its own limit."""
        super().data_received(data)
        self._wait()

    def on_response_complete(self) -> None:
        """Wait for the next one."""
        super().on_response_complete()
        self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget it."""
        super().connection_lost(exc)
        self._open[self._caller] -= 1
        if self._open[self._caller] <= 0:
            del self._open[self._caller]
        if self._late is not None:
            self._late.cancel()

    def _wait(self) -> None:
        waits = self.cycle is None or self.cycle.response_complete
        if not waits and self._late is not None:
            self._late.cancel()
            self._late = None
        elif waits and self._late is None:
            self._late = self.loop.call_later(HEAD_SECONDS, self.transport.abort)


class Service(uvicorn.Server):
    """The server: told to end, it lets its listeners go first."""

    def __init__(self, config: uvicorn.Config, let_go: Callable[[], None]) -> None:
        super().__init__(config)
        self._let_go = let_go

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Ctrl-C, or a polite kill. An event stream that is open would hold up the end for ever."""
        self._let_go()
        super().handle_exit(sig, frame)


def listen(port: int, *, house: bool) -> socket.socket:
    """The socket that is listened on. Raises InputError where the port is taken: another one would be another
    address, and the calendars and phones of the house know this one."""
    bound = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        bound.bind(("0.0.0.0" if house else "127.0.0.1", port))
        bound.listen(128)
    except OSError as error:
        bound.close()
        why = "is taken by another program" if error.errno == errno.EADDRINUSE else "can't be listened on"
        raise wrong_input(
            "--port", told("the port {port} {why}", port=port, why=why), "name another one, or end that program"
        ) from None
    return bound


def see_certificate(cert: Path, key: Path) -> None:
    """Raises InputError for a certificate and a key that can't be served with: nobody is asked for a pass phrase."""
    for option, path in (("--cert", cert), ("--key", key)):
        if not path.is_file():
            raise wrong_input(f"{option} {path}", "there is no such file", "name the file in PEM form")
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(cert, key, password="")
    except OSError as error:  # what the library refuses is one, too
        mixed = isinstance(error, ssl.SSLError) and error.reason == "KEY_VALUES_MISMATCH"
        said = (
            "the key belongs to another certificate" if mixed else "these can't be read as a certificate and its key"
        )
        raise wrong_input(f"--cert {cert}", said, "give both in PEM form, the key without a pass phrase") from None


def service(app: ASGIApp, let_go: Callable[[], None], cert: Path | None = None, key: Path | None = None) -> Service:
    """The server of an application. It writes no log: what is worth a line is said by the application itself."""
    logging.getLogger("uvicorn").setLevel(logging.CRITICAL + 1)
    config = uvicorn.Config(
        app,
        http=Patience,
        ws="none",
        lifespan="off",
        loop="asyncio",
        access_log=False,
        log_config=None,
        server_header=False,
        proxy_headers=False,
        limit_concurrency=CONNECTIONS,
        timeout_keep_alive=10,
        timeout_graceful_shutdown=GRACE,
        ssl_certfile=cert,
        ssl_keyfile=key,
    )
    return Service(config, let_go)
