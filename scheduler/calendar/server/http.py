"""One exchange with a server: bounded in time and size, credentials for its own host alone, certificates checked.

An answer may have MOST_BYTES, unpacked, and take SECONDS from the first word to the last; a server that is busy is
asked again once if it says that it will be free in a moment. What goes wrong is raised in words of ours, without a
user, a password, or a word of what the server answered.
"""

from __future__ import annotations

import base64
import hashlib
import http.client
import os
import re
import socket
import ssl
import threading
import time
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from email.utils import parsedate_to_datetime
from pathlib import Path
from urllib.parse import urljoin, urlsplit
from urllib.request import getproxies, proxy_bypass

from scheduler.calendar.server.access import PASSWORD, USER, Access
from scheduler.errors import InputError, Place, PublishError, wrong_input

MOST_BYTES = 20 << 20
"""Of an answer, as it comes and unpacked."""
SECONDS = 60
"""That one request may take in all."""
PATIENCE = 10
"""Seconds that a busy server is waited for."""

_BUSY = (429, 503)
_SENT_ON = (301, 302, 307, 308)
_HOPS = 5
_CHUNK = 1 << 16
_FIELD = re.compile(r'([a-zA-Z]+)=(?:"([^"]*)"|([^\s,]+))')
_DIGESTS = {"MD5": hashlib.md5, "SHA-256": hashlib.sha256}
_UNTRUSTED = {
    10: "has run out",
    18: "is signed by nobody but the server itself",
    19: "is signed by an authority that this machine does not know",
    20: "is signed by an authority that this machine does not know",
    62: "is made out to another name",
}
"""By the number that OpenSSL gives to what is wrong with a certificate."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back: the status, the headers that matter, and the body, unpacked."""

    status: int
    headers: Mapping[str, str]
    body: bytes


class Http:
    """A host that is asked. `option` is what named its address, for what is said of it."""

    def __init__(self, access: Access, option: str) -> None:
        """Raises InputError for a file of certificates that is none. Nothing is asked yet."""
        self._access, self._where = access, Place(option)
        self._context = _context(access.ca) if access.url.startswith("https:") else None
        self._connection: http.client.HTTPConnection | None = None
        self._proxied = False
        self._challenge: dict[str, str] | None = None
        self._count = 0

    def ask(self, method: str, url: str, body: bytes = b"", headers: Mapping[str, str] | None = None) -> Answer:
        """The answer to a request. Raises InputError and PublishError."""
        end, waited, hops, let_in = time.monotonic() + SECONDS, False, 0, False
        while True:
            answer = self._once(method, url, body, headers or {}, end)
            if answer.status == 401 and not let_in and self._access.password is not None:
                let_in = self._challenged(answer)
                if let_in:
                    continue
            if answer.status == 401:
                raise self.refused(
                    "the server does not let us in",
                    f"set {USER} and {PASSWORD} in the environment, or keep them in the keyring",
                )
            if answer.status in _SENT_ON and (there := answer.headers.get("location")):
                hops += 1
                url = self._sent_on(url, there, hops)
                continue
            if answer.status in _BUSY:
                free = _seconds_until(answer.headers.get("retry-after", ""), answer.headers.get("date", ""))
                if free is None or free > PATIENCE or waited or time.monotonic() + free > end:
                    raise self.failed(_busy(answer.status, free), "run the command again then")
                time.sleep(free)
                waited = True
                continue
            return answer

    def refused(self, message: str, hint: str) -> InputError:
        """What is wrong with the address or what is asked of it."""
        return wrong_input(self._where, f"{self._access.url}: {message}", hint)

    def failed(self, message: str, hint: str) -> PublishError:
        """What went wrong on the way or at the server."""
        return PublishError(f"{self._access.url}: {message}; {hint}")

    def _once(self, method: str, url: str, body: bytes, headers: Mapping[str, str], end: float) -> Answer:
        fresh = self._connection is None
        try:
            return self._exchange(method, url, body, headers, end)
        except ssl.SSLCertVerificationError as error:
            why = _UNTRUSTED.get(error.verify_code, "is not one that this machine trusts")
            hint = "if the server is your own, name the file of its authority: --ca FILE"
            raise self.refused(f"its certificate {why}", hint) from None
        except (http.client.HTTPException, OSError) as error:
            self._close()
            if time.monotonic() >= end:
                raise self.failed(f"the server did not answer within {SECONDS} s", "try again later") from None
            if not fresh and isinstance(error, http.client.RemoteDisconnected | ConnectionError | BrokenPipeError):
                # It had closed a connection that lay idle: nothing was taken, so it is said again.
                return self._once(method, url, body, headers, end)
            said = "can't be reached" if isinstance(error, OSError) else "can't be talked to"
            hint = "check the address and the network, and try again"
            raise self.failed(f"the server {said}", hint) from None

    def _exchange(self, method: str, url: str, body: bytes, headers: Mapping[str, str], end: float) -> Answer:
        connection = self._open(url, end)
        parts = urlsplit(url)
        target = url if self._proxied else parts.path or "/"
        send = {"Accept-Encoding": "identity", "User-Agent": "tackfree", **headers, **self._login(method, parts.path)}
        watch = threading.Timer(max(0.0, end - time.monotonic()), _hang_up, [connection])
        watch.daemon = True
        watch.start()
        try:
            connection.request(method, target, body or None, {**send, "Content-Length": str(len(body))})
            response = connection.getresponse()
            found = {name.lower(): value for name, value in response.getheaders()}
            answer = Answer(
                response.status, found, self._unpacked(_read(response), found.get("content-encoding", ""))
            )
            if time.monotonic() >= end:
                raise TimeoutError
        except _TooMuchError:
            self._close()
            raise self.failed(f"the answer has more than {MOST_BYTES >> 20} MB", "look at that calendar") from None
        finally:
            watch.cancel()
        if response.will_close:
            self._close()
        return answer

    def _open(self, url: str, end: float) -> http.client.HTTPConnection:
        parts = urlsplit(url)
        host, left = parts.hostname or "", max(0.1, end - time.monotonic())
        if self._connection is not None:
            return self._connection
        proxy = urlsplit(getproxies().get(parts.scheme, "")) if not proxy_bypass(host) else urlsplit("")
        through, port = (proxy.hostname, proxy.port) if proxy.hostname else (host, parts.port)
        if parts.scheme == "https":
            connection: http.client.HTTPConnection = http.client.HTTPSConnection(
                through, port, timeout=left, context=self._context
            )
            if proxy.hostname:
                connection.set_tunnel(host, parts.port)
        else:
            connection = http.client.HTTPConnection(through, port, timeout=left)
        self._proxied = bool(proxy.hostname) and parts.scheme == "http"
        connection.connect()
        self._connection = connection
        return connection

    def _close(self) -> None:
        if self._connection is not None:
            self._connection.close()
            self._connection = None

    def _unpacked(self, body: bytes, how: str) -> bytes:
        how = how.lower().strip()
        if how in ("", "identity"):
            return body
        if how not in ("gzip", "x-gzip", "deflate"):
            raise self.failed("the answer is packed in a way that nobody asked for", "ask whoever runs the server")
        unpacker = zlib.decompressobj(zlib.MAX_WBITS | 32)
        try:
            whole = unpacker.decompress(body, MOST_BYTES + 1)
        except zlib.error:
            raise http.client.HTTPException from None
        if len(whole) > MOST_BYTES:
            raise _TooMuchError
        return whole

    def _sent_on(self, url: str, there: str, hops: int) -> str:
        """Where a server sends us on to: never to another host, nor to where all can read along."""
        before, after = urlsplit(url), urlsplit(urljoin(url, there))
        if after.hostname != before.hostname or after.scheme not in ("https", before.scheme):
            raise self.refused("the server sends us on to another host", "give the address there, if you trust it")
        if hops > _HOPS:
            raise self.failed("the server sends us round in a circle", "ask whoever runs it")
        if (after.scheme, after.port) != (before.scheme, before.port):
            self._close()
            if after.scheme == "https" and self._context is None:
                self._context = _context(self._access.ca)
        return after._replace(fragment="", netloc=after.netloc.rpartition("@")[2]).geturl()

    def _challenged(self, answer: Answer) -> bool:
        """Take what the server asks for when it asks who we are; False if we have no answer to that."""
        asked = answer.headers.get("www-authenticate", "")
        kinds = [kind for kind in ("digest", "basic") if re.search(rf"\b{kind}\b", asked, re.IGNORECASE)]
        if not kinds:
            return False
        fields = {name.lower(): quoted or bare for name, quoted, bare in _FIELD.findall(asked)}
        if kinds[0] == "digest" and fields.get("algorithm", "MD5").upper() not in _DIGESTS and "basic" in kinds:
            kinds = ["basic"]
        self._challenge, self._count = {**fields, "kind": kinds[0]}, 0
        return True

    def _login(self, method: str, path: str) -> dict[str, str]:
        """The header that says who we are, once the server has asked (RFC 7617; RFC 7616)."""
        asked, user, password = self._challenge, self._access.user or "", self._access.password or ""
        if asked is None:
            return {}
        if asked["kind"] == "basic":
            return {"Authorization": "Basic " + base64.b64encode(f"{user}:{password}".encode()).decode()}
        self._count += 1
        algorithm = asked.get("algorithm", "MD5").upper()
        digest = _DIGESTS.get(algorithm, hashlib.md5)
        realm, nonce = asked.get("realm", ""), asked.get("nonce", "")
        count, own = f"{self._count:08x}", os.urandom(8).hex()

        def of(*parts: str) -> str:
            return digest(":".join(parts).encode()).hexdigest()

        said = f'username="{user}", realm="{realm}", nonce="{nonce}", uri="{path}", algorithm={algorithm}'
        who, what = of(user, realm, password), of(method, path)
        if "auth" in asked.get("qop", "").replace(" ", "").split(","):
            response = of(who, nonce, count, own, "auth", what)
            said += f', qop=auth, nc={count}, cnonce="{own}"'
        else:
            response = of(who, nonce, what)
        opaque = f', opaque="{asked["opaque"]}"' if "opaque" in asked else ""
        return {"Authorization": f'Digest {said}, response="{response}"{opaque}'}


class _TooMuchError(Exception):
    """An answer beyond MOST_BYTES."""


def _read(response: http.client.HTTPResponse) -> bytes:
    parts, size = list[bytes](), 0
    while part := response.read1(_CHUNK):
        size += len(part)
        if size > MOST_BYTES:
            raise _TooMuchError
        parts.append(part)
    response.close()  # some versions of Python take an answer that was read piece by piece for one still to be read
    return b"".join(parts)


def _hang_up(connection: http.client.HTTPConnection) -> None:
    """End an exchange that takes too long, wherever it is."""
    try:
        if connection.sock is not None:
            connection.sock.shutdown(socket.SHUT_RDWR)
    except OSError:
        return  # it is over already


def _context(ca: str | None) -> ssl.SSLContext:
    """Certificates are checked against what this machine trusts, and against an authority of one's own."""
    context = ssl.create_default_context()
    if ca is not None:
        try:
            if not Path(ca).is_file():
                raise wrong_input(f"--ca {ca}", "there is no such file", "check the name")
            context.load_verify_locations(ca)
        except (OSError, ssl.SSLError):
            said, hint = (
                "this is no file of certificates",
                "name one in PEM: it begins with -----BEGIN CERTIFICATE-----",
            )
            raise wrong_input(f"--ca {ca}", said, hint) from None
    return context


def _seconds_until(text: str, now: str) -> float | None:
    """What Retry-After says (RFC 9110, 10.2.3): seconds, or a date by the server's own clock, which `now` (its
    Date) tells; None if it says nothing."""
    if re.fullmatch(r"\s*[0-9]{1,7}\s*", text):
        return float(text)
    try:
        return max(0.0, (parsedate_to_datetime(text) - parsedate_to_datetime(now)).total_seconds())
    except (TypeError, ValueError, OverflowError):
        return None


def _busy(status: int, free: float | None) -> str:
    said = "is asked too often" if status == 429 else "is busy or being looked after"
    if free is None:
        return f"the server {said} (its answer was {status})"
    minutes = round(free / 60)
    when = (
        f"in {round(free)} s"
        if free < 90
        else f"in {minutes} min"
        if minutes < 120
        else f"in {round(minutes / 60)} h"
    )
    return f"the server {said} (its answer was {status}) and asks to come again {when}"
