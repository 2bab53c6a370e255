"""One calendar collection on a server, through the `caldav` library. Whatever goes wrong there is said in one line.

No message holds a user, a password, or a word of what the server answered.
"""

from __future__ import annotations

import importlib
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from urllib.parse import quote, urljoin, urlsplit

from scheduler.calendar.server.access import PASSWORD, USER, Access
from scheduler.calendar.server.resources import Found, Resource, found
from scheduler.errors import InputError, Place, PublishError, wrong_input

TIMEOUT = 30
"""Seconds that one answer may take."""

_GONE = (404, 410)
_CHANGED = 412
"""Precondition failed: it was changed meanwhile (RFC 9110, section 15.5.13)."""
_LISTED = 207
"""Multi-status: a list of what is there (RFC 4918, section 11.1)."""
_LIST = """<?xml version="1.0" encoding="utf-8"?>
<C:calendar-query xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav">
<D:prop><D:getetag/><C:calendar-data/></D:prop>
<C:filter><C:comp-filter name="VCALENDAR"><C:comp-filter name="VEVENT"/></C:comp-filter></C:filter>
</C:calendar-query>"""


class ChangedMeanwhileError(Exception):
    """The event on the server is no longer the one that was listed; it was left as it is."""


class Server:
    """A calendar on a server."""

    def __init__(self, access: Access) -> None:
        """Raises InputError if the `caldav` package is missing. Nothing is asked of the server yet."""
        caldav = _library()
        self._url = access.url
        self._where = Place("--publish")
        self._client = caldav.DAVClient(
            url=access.url, username=access.user, password=access.password, timeout=TIMEOUT
        )

    def events(self) -> tuple[Found, ...]:
        """The events of this program in the collection. Raises InputError and PublishError."""
        with self._said():
            answer = self._client.report(self._url, _LIST, 1)
        if answer.status in _GONE:
            raise self._fault("there is no calendar at that address", "check it, and make the calendar there first")
        if answer.status >= 500:
            self._accept(answer.status, "does not list its events")
        tree = answer.tree if answer.status == _LISTED else None
        if tree is None or not str(tree.tag).endswith("multistatus"):
            raise self._fault(
                "what answers there is no calendar", "give the address of the calendar itself, as the server shows it"
            )
        return tuple(one for one in (self._found(part) for part in tree.iter("{DAV:}response")) if one is not None)

    def put(self, resource: Resource, there: Found | None) -> None:
        """Create an event, or replace the one that was listed. Raises ChangedMeanwhileError and PublishError."""
        headers = {"Content-Type": "text/calendar; charset=utf-8"}
        if there is None:
            url, headers["If-None-Match"] = urljoin(self._url, f"{quote(resource.uid, safe='')}.ics"), "*"
        else:
            url = there.href
            if there.etag is not None:
                headers["If-Match"] = there.etag
        with self._said():
            answer = self._client.request(url, "PUT", resource.body.decode("utf-8"), headers)
        self._accept(answer.status, "did not take an event")

    def remove(self, there: Found) -> None:
        """Take an event away; one that is gone already is no fault. Raises as `put` does."""
        headers = {} if there.etag is None else {"If-Match": there.etag}
        with self._said():
            answer = self._client.request(there.href, "DELETE", "", headers)
        if answer.status not in _GONE:
            self._accept(answer.status, "did not remove an event")

    def _found(self, part: Any) -> Found | None:
        href = part.findtext("{DAV:}href")
        data = part.findtext(".//{urn:ietf:params:xml:ns:caldav}calendar-data")
        if not href or not data:
            return None
        # Only the path counts: credentials never go to another server, whatever this one says.
        return found(urljoin(self._url, urlsplit(href.strip()).path), part.findtext(".//{DAV:}getetag"), data)

    def _accept(self, status: int, what: str) -> None:
        if status == _CHANGED:
            raise ChangedMeanwhileError
        if not 200 <= status < 300:
            raise PublishError(f"{self._url}: the server {what} (its answer was {status}); run the command again")

    def _fault(self, message: str, hint: str) -> InputError:
        return wrong_input(self._where, f"{self._url}: {message}", hint)

    @contextmanager
    def _said(self) -> Iterator[None]:
        """Whatever the library raises becomes one line of ours."""
        try:
            yield
        except Exception as error:  # the library below, its HTTP and its XML all have exceptions of their own
            if type(error).__name__ == "AuthorizationError":
                hint = f"set {USER} and {PASSWORD} in the environment, or keep them in the keyring"
                raise self._fault("the server does not let us in", hint) from None
            said = "can't be reached" if isinstance(error, OSError) else "can't be talked to"
            hint = "check the address and the network, and try again"
            raise PublishError(f"{self._url}: the server {said}; {hint}") from None


def _library() -> Any:
    try:
        caldav: Any = importlib.import_module("caldav")
        errors: Any = importlib.import_module("caldav.lib.error")
    except ImportError:
        said, hint = "publishing needs the package `caldav`", "install it: pip install 'tackfree[caldav]'"
        raise wrong_input("--publish", said, hint) from None
    # The library can write whole exchanges, credentials and all, into files; and it warns of what we say ourselves.
    errors.debug_dump_communication = False
    for name in ("caldav", "niquests", "urllib3", "requests"):
        quiet = logging.getLogger(name)
        quiet.addHandler(logging.NullHandler())
        quiet.propagate = False
    return caldav
