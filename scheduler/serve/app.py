"""The addresses of what is served, compared as they stand, and what each answers. Nothing else of the disk is here.

/SECRET/            the page                        GET, HEAD
/SECRET/plan.json   the plan                        GET, HEAD
/SECRET/plan.ics    the calendar, to subscribe to   GET, HEAD   (alone behind the secrets of household and helper)
/SECRET/events      what changes, as it changes     GET
/SECRET/diary       a tap                           POST        (not behind the secret that only looks)
"""

from __future__ import annotations

import asyncio
import json
from collections import Counter
from collections.abc import AsyncIterator, Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response, StreamingResponse
from starlette.types import Receive, Scope, Send

from scheduler.serve.answers import JSON
from scheduler.serve.board import Board
from scheduler.serve.gate import NOTHING, Door, Guarded, Rates, RefusedError, from_here, same
from scheduler.serve.taps import MOST_BYTES, UnreadableError, read_tap
from scheduler.wallclock import to_minutes

BODY_SECONDS = 5.0
"""Within which a tap is there, from its head on."""
STREAMS, STREAMS_OF_ONE = 64, 16
"""Event streams open at a time, in all and of one address."""
TOKEN = "x-tackfree-token"
READING = ("GET", "HEAD")


class ServedPlace(NamedTuple):
    """An address that is there: whose, by which secret, which part, and what may be asked of it."""

    board: Board
    by: str
    name: str
    methods: tuple[str, ...]


@dataclass
class App:
    """What is asked, answered."""

    boards: Sequence[Board]
    door: Door

    def __post_init__(self) -> None:
        self._rates = Rates()
        self._streams: Counter[str] = Counter()

    def guarded(self, tell: Callable[[str], None]) -> Guarded:
        """The same, fit to be served."""
        return Guarded(self, tell)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request. Raises RefusedError."""
        request = Request(scope, receive)
        origin = self.door.origin(request.headers.getlist("host"))
        caller = request.client.host if request.client else ""
        self._rates.check(caller, changes=request.method == "POST")
        place = self._place(scope.get("raw_path", b""), origin)
        from_here(request.method, request.headers, origin)
        if place.name == "diary" and place.by == "look":
            raise RefusedError(403, "This address may only look.")
        if request.method not in place.methods:
            raise RefusedError(405, "That can't be asked here.", allow=", ".join(place.methods))
        answer = await self._answer(place, request, caller)
        await answer(scope, receive, send)

    def _place(self, raw: bytes, origin: str) -> ServedPlace:
        """The address that is asked for. All secrets are compared, and none by how much of it is right."""
        path = raw.decode("latin-1").removeprefix(origin)  # the absolute form of RFC 9112, 3.2.2
        before, _, rest = path.partition("/")
        secret, slash, name = rest.partition("/")
        found: list[tuple[Board, str]] = []
        for board in self.boards:
            keys = board.keys
            for by, value in (
                ("write", keys.write),
                ("look", keys.look),
                ("household", keys.house),
                ("helper", keys.helper),
            ):
                if same(value, secret):
                    found.append((board, by))
        if before or not slash or not found:
            raise RefusedError(404, NOTHING)
        board, by = found[0]
        feeds = {"plan.ics": READING}
        all_of_it = {"": READING, "plan.json": READING, **feeds, "events": ("GET",), "diary": ("POST",)}
        methods = (all_of_it if by in ("write", "look") else feeds).get(name)
        if methods is None:
            raise RefusedError(404, NOTHING)
        return ServedPlace(board, by, name, methods)

    async def _answer(self, place: ServedPlace, request: Request, caller: str) -> Response:
        if place.name == "diary":
            return await self._record(place.board, request)
        if place.name == "events":
            return self._listen(place.board, caller)
        name = {"": place.by, "plan.json": "plan", "plan.ics": "calendar"}[place.name]
        body = place.board.bodies.get(place.by if place.by in ("household", "helper") else name)
        if body is None:
            raise RefusedError(503, "It is being planned.", retry_after="5")
        return body.answer(request.method, request.headers)

    async def _record(self, board: Board, request: Request) -> Response:
        headers = request.headers
        if not same(headers.get(TOKEN, ""), board.keys.token):
            raise RefusedError(403, "The page's token is missing.", close=True)
        kind = headers.get("content-type", "").lower().replace(" ", "")
        if kind not in (JSON, f"{JSON};charset=utf-8") or "content-encoding" in headers:
            raise RefusedError(415, "Only JSON is read here.", close=True)
        data = await _body(request)
        minute = to_minutes(board.now())
        try:
            tap = read_tap(data, minute)
        except UnreadableError as error:
            return _json(422, {"recorded": False, "said": str(error)})
        answer = await board.record(tap, minute)
        return _json(answer.status, answer.says)

    def _listen(self, board: Board, caller: str) -> Response:
        if self._streams[caller] >= STREAMS_OF_ONE or self._streams.total() >= STREAMS:
            raise RefusedError(503, "Too many listen.", close=True, retry_after="10")

        async def events() -> AsyncIterator[bytes]:
            self._streams[caller] += 1
            try:
                async for event in board.listen():
                    yield event
            finally:
                self._streams[caller] -= 1
                if not self._streams[caller]:
                    del self._streams[caller]

        return StreamingResponse(events(), headers={"content-type": "text/event-stream; charset=utf-8"})


async def _body(request: Request) -> bytes:
    """What a request brings, counted as it comes. Raises RefusedError for too much of it, or too slow."""
    length = request.headers.get("content-length", "0")
    if not length.isdigit() or int(length) > MOST_BYTES:
        raise RefusedError(413, "That is too much.", close=True)
    data = b""
    try:
        async with asyncio.timeout(BODY_SECONDS):
            async for part in request.stream():
                data += part
                if len(data) > MOST_BYTES:
                    raise RefusedError(413, "That is too much.", close=True)
    except TimeoutError:
        raise RefusedError(408, "That took too long.", close=True) from None
    except ClientDisconnect:
        raise RefusedError(400, "That broke off.", close=True) from None
    return data


def _json(status: int, says: Mapping[str, object]) -> Response:
    return Response(json.dumps(says), status, {"content-type": JSON})
