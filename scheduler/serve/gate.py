"""Who is let in: by host, rate, secret and origin, in this order; and the headers that every answer carries.

A name that resolves to this machine and belongs to somebody else is refused before anything is looked at (DNS
rebinding); a page of another site can send no tap, for lack of the token, and of an Origin that is ours (OWASP ASVS
5.0, 3.5.1 to 3.5.3). Over plain http in a network no browser sends Fetch Metadata, so what it calls foreign is
refused where it comes, and never asked for.
"""

from __future__ import annotations

import hmac
import re
import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from ipaddress import AddressValueError, IPv4Address

from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from scheduler.serve.answers import PROTECTING, said

READS, READS_A_SECOND = 200, 20.0
CHANGES, CHANGES_A_SECOND = 40, 4.0
"""What one address may ask for at once, and a second. A phone that comes out of a cellar sends a queue."""
CALLERS = 1000
"""Addresses that are remembered."""
NOTHING = "Nothing is here."


class RefusedError(Exception):
    """What is answered instead."""

    def __init__(self, status: int, words: str, *, close: bool = False, **headers: str) -> None:
        super().__init__(words)
        self.status, self.words, self.close = status, words, close
        self.headers = {name.replace("_", "-"): value for name, value in headers.items()}

    def answer(self) -> Response:
        """The same as an answer."""
        return said(self.status, self.words, self.headers.items(), close=self.close)


@dataclass
class Bucket:
    """So many requests at once, and so many a second (a token bucket)."""

    most: float
    rate: float
    left: float = field(init=False)
    seen: float = field(init=False)

    def __post_init__(self) -> None:
        self.left, self.seen = self.most, time.monotonic()

    def take(self) -> float:
        """0 if one more may come; else the seconds until it may."""
        now = time.monotonic()
        self.left, self.seen = min(self.most, self.left + (now - self.seen) * self.rate), now
        if self.left < 1:
            return (1 - self.left) / self.rate
        self.left -= 1
        return 0.0


@dataclass(frozen=True)
class Door:
    """The names under which this machine may be asked, its port, and how: http or https."""

    port: int
    names: frozenset[str]
    scheme: str = "http"
    house: bool = False

    def origin(self, hosts: Iterable[str]) -> str:
        """Our own origin as a browser writes it (RFC 6454, 6.2). Raises RefusedError for a host that is not ours.

        An address as such can't be rebound, a name can: only those on our list are let in.
        """
        found = list(hosts)
        host = found[0].lower() if len(found) == 1 else ""
        name, port = host, "443" if self.scheme == "https" else "80"
        if split := re.fullmatch(r"([^:@\[\]]+):(\d{1,5})", host):
            name, port = split.groups()
        if int(port) != self.port if port.isdigit() else True:
            raise RefusedError(421, NOTHING, close=True)
        if name not in self.names and not self._is_near(name):
            raise RefusedError(421, NOTHING, close=True)
        return f"{self.scheme}://{host}"

    def _is_near(self, name: str) -> bool:
        try:
            address = IPv4Address(name)
        except AddressValueError:
            return False
        if not self.house:
            return address.is_loopback
        near = address.is_private or address.is_link_local or address.is_loopback
        return near and not (address.is_unspecified or address.is_multicast or address.is_reserved)


class Rates:
    """How often each address may ask."""

    def __init__(self) -> None:
        self._buckets: dict[tuple[str, bool], Bucket] = {}

    def check(self, caller: str, *, changes: bool) -> None:
        """Raises RefusedError for one request too many (RFC 6585, section 4)."""
        key = (caller, changes)
        bucket = self._buckets.pop(key, None)
        if bucket is None:
            bucket = Bucket(CHANGES, CHANGES_A_SECOND) if changes else Bucket(READS, READS_A_SECOND)
        self._buckets[key] = bucket  # the last one asked for stands last
        while len(self._buckets) > CALLERS:
            self._buckets.pop(next(iter(self._buckets)))
        if wait := bucket.take():
            raise RefusedError(429, "Too many at once.", retry_after=str(int(wait) + 1))


def from_here(method: str, headers: Mapping[str, str], origin: str) -> None:
    """Raises RefusedError for what a page of another site asks for."""
    site = headers.get("sec-fetch-site", "none")
    opened = headers.get("sec-fetch-mode") == "navigate" and headers.get("sec-fetch-dest") == "document"
    if site not in ("same-origin", "none") and (method == "POST" or not opened):
        raise RefusedError(403, "This is not for other sites.")
    named = headers.get("origin")
    if (method == "POST" or named is not None) and named != origin:
        raise RefusedError(403, "This is not for other sites.")


def same(one: str, other: str) -> bool:
    """Whether two secrets are the same, in a time that does not tell how much of them is."""
    return hmac.compare_digest(one.encode(), other.encode())


class Guarded:
    """An application of which every answer carries what protects it, and nothing says what went wrong inside."""

    def __init__(self, app: ASGIApp, tell: Callable[[str], None]) -> None:
        self.app, self.tell = app, tell

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            return
        begun = False

        async def guarded(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                has = {name.lower() for name, _ in message["headers"]}
                more = ((name.encode(), value.encode()) for name, value in PROTECTING.items())
                message["headers"] = [*message["headers"], *(pair for pair in more if pair[0] not in has)]
            await send(message)

        try:
            await self.app(scope, receive, guarded)
        except RefusedError as refused:
            await refused.answer()(scope, receive, guarded)
        except Exception as error:  # whatever it is: the log holds no address, and the answer no insides
            self.tell(f"A request could not be answered: {type(error).__name__}. What was recorded holds.")
            if not begun:
                await said(500, "This went wrong here; what was recorded holds.", close=True)(scope, receive, guarded)
