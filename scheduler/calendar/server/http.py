"""One exchange with a server: bounded in time and size, credentials for its own host alone, certificates checked.

An answer may have MOST_BYTES, unpacked, and take SECONDS from the first word to the last; a server that is busy is
asked again once if it says that it will be free in a moment. What goes wrong is raised in words of ours, without a
user, a password, or a word of what the server answered. The library has limits for one read, none for a whole
exchange: so its asynchronous client is used, whose exchanges can be ended wherever they are.
"""

from __future__ import annotations

import asyncio
import re
import ssl
from collections.abc import Mapping
from dataclasses import dataclass
from email.utils import parsedate_to_datetime
from pathlib import Path

import httpx

from scheduler.calendar.server.access import PASSWORD, USER, Access
from scheduler.errors import InputError, Place, PublishError, wrong_input
from scheduler.told import told

MOST_BYTES = 20 << 20
"""Of an answer, as it comes and unpacked."""
SECONDS = 60
"""That one request may take in all."""
PATIENCE = 10
"""Seconds that a busy server is waited for."""

_BUSY = (429, 503)
_SENT_ON = (301, 302, 307, 308)
_HOPS = 5
_PACKED = ("", "identity", "gzip")
"""How an answer may come. What packs tighter could grow without bound within the piece that is unpacked at once."""
_UNTRUSTED = {
    10: "has run out",
    18: "is signed by nobody but the server itself",
    19: "is signed by an authority that this machine does not know",
    20: "is signed by an authority that this machine does not know",
    62: "is made out to another name",
}
"""By the number that OpenSSL gives to what is wrong with a certificate."""


@dataclass(frozen=True, slots=True)
class Reply:
    """What came back: the status, and the body, unpacked."""

    status: int
    body: bytes


class Http:
    """A host that is asked, until `close`. `option` is what named its address, for what is said of it."""

    def __init__(self, access: Access, option: str) -> None:
        """Raises InputError for a file of certificates that is none, PublishError for a proxy that is none.

        Nothing is asked yet.
        """
        self._access, self._where = access, Place(option)
        self._login = httpx.Auth()
        self._runner = asyncio.Runner()
        headers = {"Accept-Encoding": "gzip", "User-Agent": "tackfree"}
        certificates = _certificates(access.ca)
        try:
            self._client = httpx.AsyncClient(verify=certificates, headers=headers, timeout=None)
        except (ValueError, ImportError, httpx.InvalidURL):
            said = "the proxy that this machine names for it can't be used"
            raise self.failed(said, "look at HTTP_PROXY and HTTPS_PROXY in the environment") from None

    def close(self) -> None:
        """Hang up. Nothing can be asked afterwards."""
        self._runner.run(self._client.aclose())
        self._runner.close()

    def ask(self, method: str, url: str, body: bytes = b"", headers: Mapping[str, str] | None = None) -> Reply:
        """The answer to a request. Raises InputError and PublishError."""
        try:
            return self._runner.run(self._in_time(method, url, body, headers or {}))
        except TimeoutError:
            raise self.failed(
                told("the server did not answer within {seconds} s", seconds=SECONDS), "try again later"
            ) from None
        except (httpx.HTTPError, httpx.InvalidURL) as error:
            untrusted = _certificate_error(error)
            if untrusted is not None:
                why = _UNTRUSTED.get(untrusted.verify_code, "is not one that this machine trusts")
                hint = "if the server is your own, name the file of its authority: --ca FILE"
                raise self.refused(told("its certificate {why}", why=why), hint) from None
            said = "reached" if isinstance(error, httpx.NetworkError | httpx.TimeoutException) else "talked to"
            hint = "check the address and the network, and try again"
            raise self.failed(told("the server can't be {said}", said=said), hint) from None

    def refused(self, message: str, hint: str) -> InputError:
        """What is wrong with the address or what is asked of it."""
        return wrong_input(self._where, told("{url}: {message}", url=self._access.url, message=message), hint)

    def failed(self, message: str, hint: str) -> PublishError:
        """What went wrong on the way or at the server."""
        return PublishError(told("{url}: {message}; {hint}", url=self._access.url, message=message, hint=hint))

    async def _in_time(self, method: str, url: str, body: bytes, headers: Mapping[str, str]) -> Reply:
        # What a server gave for a header may hold any sign; whether it may stand there is then seen to.
        send = {name.encode(): value.encode() for name, value in headers.items()}
        loop, hops, waited = asyncio.get_running_loop(), 0, False
        async with asyncio.timeout(SECONDS) as limit:
            while True:
                request = self._client.build_request(method, url, headers=send, content=body)
                response, content = await self._let_in(request)
                if response.status_code in _SENT_ON and "location" in response.headers:
                    hops += 1
                    url = self._sent_on(response, hops)
                elif response.status_code in _BUSY:
                    free = _seconds_until(response.headers)
                    if free is None or free > PATIENCE or waited or loop.time() + free > (limit.when() or 0):
                        raise self.failed(_busy(response.status_code, free), "run the command again then")
                    await asyncio.sleep(free)
                    waited = True
                else:
                    return Reply(response.status_code, content)

    async def _let_in(self, request: httpx.Request) -> tuple[httpx.Response, bytes]:
        """The answer to whom we say we are: nobody until the server asks, and then as it asks for it."""
        response, content = await self._logged_in(request)
        if response.status_code == 401 and type(self._login) is httpx.Auth and self._access.password is not None:
            user, password = self._access.user or "", self._access.password
            asked = [each.lower() for each in response.headers.get_list("www-authenticate")]
            digest = any(each.startswith("digest") for each in asked)
            self._login = httpx.DigestAuth(user, password) if digest else httpx.BasicAuth(user, password)
            response, content = await self._logged_in(request)
        if response.status_code == 401:
            raise self.refused(
                "the server does not let us in",
                told(
                    "set {user} and {password} in the environment, or keep them in the keyring",
                    user=USER,
                    password=PASSWORD,
                ),
            )
        return response, content

    async def _logged_in(self, request: httpx.Request) -> tuple[httpx.Response, bytes]:
        # The library reads to its end, however far off, what a server says before it lets us in: its steps are ours.
        steps = self._login.auth_flow(request)
        request = next(steps)
        while True:
            response, content = await self._exchange(request)
            try:
                request = steps.send(response)
            except StopIteration:
                return response, content
            except (KeyError, ValueError, NotImplementedError):  # a sum that the library does not know how to make
                said = "the server asks for a login of a kind that is not known here"
                raise self.failed(said, "ask whoever runs it") from None

    async def _exchange(self, request: httpx.Request) -> tuple[httpx.Response, bytes]:
        response = await self._client.send(request, auth=None, stream=True)
        try:
            if response.headers.get("content-encoding", "").lower().strip() not in _PACKED:
                said = "the answer is packed in a way that nobody asked for"
                raise self.failed(said, "ask whoever runs the server")
            content = bytearray()
            async for part in response.aiter_bytes():
                content += part
                if max(len(content), response.num_bytes_downloaded) > MOST_BYTES:
                    said = told("the answer has more than {most_bytes} MB", most_bytes=MOST_BYTES >> 20)
                    raise self.failed(said, "look at that calendar")
            return response, bytes(content)
        finally:
            await response.aclose()

    def _sent_on(self, response: httpx.Response, hops: int) -> str:
        """Where a server sends us on to: never to another host, nor to where all can read along."""
        before = response.request.url
        after = before.join(response.headers["location"])
        if after.host != before.host or after.scheme not in ("https", before.scheme):
            raise self.refused("the server sends us on to another host", "give the address there, if you trust it")
        if hops > _HOPS:
            raise self.failed("the server sends us round in a circle", "ask whoever runs it")
        return str(after.copy_with(fragment=None, userinfo=b""))


def _certificates(ca: str | None) -> ssl.SSLContext:
    """Certificates are checked against what this machine trusts, and against an authority of one's own."""
    context = ssl.create_default_context()
    if ca is not None:
        try:
            if not Path(ca).is_file():
                raise wrong_input(f"--ca {ca}", "there is no such file", "check the name")
            context.load_verify_locations(ca)
        except (OSError, ssl.SSLError):
            said = "this is no file of certificates"
            hint = "name one in PEM: it begins with -----BEGIN CERTIFICATE-----"
            raise wrong_input(f"--ca {ca}", said, hint) from None
    return context


def _certificate_error(error: BaseException | None) -> ssl.SSLCertVerificationError | None:
    """What is wrong with a certificate, if that is what an error comes from."""
    while error is not None and not isinstance(error, ssl.SSLCertVerificationError):
        error = error.__cause__ or error.__context__
    return error


def _seconds_until(headers: Mapping[str, str]) -> float | None:
    """What Retry-After says (RFC 9110, 10.2.3): seconds, or a date by the server's own clock, which Date tells; None
    if it says nothing."""
    text = headers.get("retry-after", "")
    if re.fullmatch(r"\s*[0-9]{1,7}\s*", text):
        return float(text)
    try:
        now = parsedate_to_datetime(headers.get("date", ""))
        return max(0.0, (parsedate_to_datetime(text) - now).total_seconds())
    except (TypeError, ValueError, OverflowError):
        return None


def _busy(status: int, free: float | None) -> str:
    said = "is asked too often" if status == 429 else "is busy or being looked after"
    if free is None:
        return told("the server {said} (its answer was {status})", said=said, status=status)
    minutes = round(free / 60)
    hours = told("{hours} h", hours=round(minutes / 60))
    when = (
        told("{seconds} s", seconds=round(free))
        if free < 90
        else told("{minutes} min", minutes=minutes)
        if minutes < 120
        else hours
    )
    return told(
        "the server {said} (its answer was {status}) and asks to come again in {when}",
        said=said,
        status=status,
        when=when,
    )
