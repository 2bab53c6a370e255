"""One calendar collection on a server (CalDAV, RFC 4791). Whatever goes wrong there is said in one line.

No message holds a user, a password, or a word of what the server answered.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from urllib.parse import quote, urljoin, urlsplit
from xml.etree import ElementTree

from scheduler.calendar.server.access import Access
from scheduler.calendar.server.http import Http, Reply
from scheduler.calendar.server.merging import merged
from scheduler.calendar.server.resources import EventThere, Resource, found
from scheduler.errors import printable
from scheduler.told import told

_GONE = (404, 410)
_CHANGED = 412
"""Precondition failed: it was changed meanwhile (RFC 9110, section 15.5.13)."""
_LISTED = 207
"""Multi-status: a list of what is there (RFC 4918, section 11.1)."""
_DAV, _CAL = "{DAV:}", "{urn:ietf:params:xml:ns:caldav}"
_HEAD = '<?xml version="1.0" encoding="utf-8"?>\n'
_NAMES = 'xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav"'
_LIST = f"""{_HEAD}<C:calendar-query {_NAMES}>
<D:prop><D:getetag/><C:calendar-data/></D:prop>
<C:filter><C:comp-filter name="VCALENDAR"><C:comp-filter name="VEVENT">%s</C:comp-filter></C:comp-filter></C:filter>
</C:calendar-query>"""
_SINCE = '<C:time-range start="{:%Y%m%dT%H%M%SZ}"/>'
"""Of what repeats, too, a server then lists only what has a date after that (RFC 4791, section 9.9)."""
_WHAT = f"""{_HEAD}<D:propfind {_NAMES}><D:prop><D:resourcetype/><D:displayname/><D:current-user-privilege-set/>
<D:current-user-principal/><C:calendar-home-set/><C:supported-calendar-component-set/></D:prop></D:propfind>"""
_XML = {"Content-Type": "application/xml; charset=utf-8"}
_TO_WRITE = ("all", "write", "write-content", "bind")
"""The privileges of which one is needed to put an event there (RFC 3744, section 3)."""
_MOST_NAMED = 12
"""Calendars that are listed, of those in a collection."""
_OTHERS = "make a calendar for the job there, and give its address"


class ChangedMeanwhileError(Exception):
    """The event on the server is no longer the one that was listed; it was left as it is."""


class EventRefusedError(Exception):
    """The server did not take one event, for a reason that lies in this one. Carries its status."""

    def __init__(self, status: int) -> None:
        self.status = status
        super().__init__(status)


class Server:
    """A calendar on a server, until `close`. `option` is what named its address."""

    def __init__(self, access: Access, option: str = "--publish") -> None:
        """Raises InputError for a file of certificates that is none, PublishError for a proxy that is none.

        Nothing is asked of the server yet.
        """
        self.access = access
        self._url, self._http = access.url, Http(access, option)

    def close(self) -> None:
        """Hang up."""
        self._http.close()

    def events(self) -> tuple[EventThere, ...]:
        """The events of this program in the collection. Raises InputError and PublishError, for a collection that is
        no calendar as well: nothing is ever written where no calendar program shows it."""
        self._see_what_it_is(to_write=True)
        parts = (found(self._url_of(href), tag, data) for href, tag, data in self._listed())
        return tuple(one for one in parts if one is not None)

    def texts(self, since: datetime | None = None) -> list[tuple[str, bytes]]:
        """All events in the collection (in UTC `since` then) as they stand there: the address and the bytes of each.

        Raises as `events` does.
        """
        self._see_what_it_is(to_write=False)
        return [(self._url_of(href), data.encode()) for href, _, data in self._listed(since)]

    def put(self, resource: Resource, there: EventThere | None) -> None:
        """Create an event, or renew the one that was listed, with all in it that is not ours.

        Raises ChangedMeanwhileError, RefusedError, InputError and PublishError.
        """
        headers = {"Content-Type": "text/calendar; charset=utf-8"}
        if there is None:
            url, headers["If-None-Match"] = urljoin(self._url, f"{quote(resource.uid, safe='')}.ics"), "*"
            body = resource.body
        else:
            url, body = there.href, merged(resource.body, there.data)
            if there.etag is not None:
                headers["If-Match"] = there.etag
        self._accept(self._http.ask("PUT", url, body, headers).status)

    def remove(self, there: EventThere) -> None:
        """Take an event away; one that is gone already is no fault. Raises as `put` does."""
        headers = {} if there.etag is None else {"If-Match": there.etag}
        answer = self._http.ask("DELETE", there.href, b"", headers)
        if answer.status not in _GONE:
            self._accept(answer.status)

    def _accept(self, status: int) -> None:
        if status == _CHANGED:
            raise ChangedMeanwhileError
        if status >= 500 and status != 507:
            raise self._http.failed(
                told("the server fails (its answer was {status})", status=status), "run the command again"
            )
        if not 200 <= status < 300:
            raise EventRefusedError(status)

    def _listed(self, since: datetime | None = None) -> Iterator[tuple[str, str | None, str]]:
        """Path, entity tag and text of each event."""
        wanted = _LIST % ("" if since is None else _SINCE.format(since))
        answer = self._http.ask("REPORT", self._url, wanted.encode(), {**_XML, "Depth": "1"})
        if answer.status in _GONE:
            raise self._http.refused(
                "there is no calendar at that address", "check it, and make the calendar there first"
            )
        if answer.status == 403:
            raise self._http.refused(
                "the server does not show this calendar to that user (its answer was 403)",
                "have whoever owns it share it, or name another user",
            )
        if answer.status >= 500:
            said = told("the server does not list its events (its answer was {status})", status=answer.status)
            raise self._http.failed(said, "run the command again")
        tree = _tree(answer)
        if tree is None:
            raise self._http.refused(
                "what answers there is no calendar", "give the address of the calendar itself, as the server shows it"
            )
        for part in tree.iter(f"{_DAV}response"):
            href, data = part.findtext(f"{_DAV}href"), part.findtext(f".//{_CAL}calendar-data")
            if href and data:
                yield href, part.findtext(f".//{_DAV}getetag"), data

    def _see_what_it_is(self, *, to_write: bool) -> None:
        """Raises InputError for a collection that is no calendar of events, or one that can only be read.

        A server that does not say is taken at its word when it lists its events.
        """
        tree = _tree(self._http.ask("PROPFIND", self._url, _WHAT.encode(), {**_XML, "Depth": "0"}))
        kind = None if tree is None else tree.find(f".//{_DAV}resourcetype")
        if tree is None or kind is None:
            return
        if kind.find(f"{_CAL}calendar") is None:
            self._is_no_calendar(tree)
        components = tree.find(f".//{_CAL}supported-calendar-component-set")
        names = [] if components is None else [str(each.get("name")).upper() for each in components]
        if names and "VEVENT" not in names:
            raise self._http.refused("that calendar takes no events (it is a list of tasks)", _OTHERS)
        rights = tree.find(f".//{_DAV}current-user-privilege-set")
        may = [] if rights is None else [str(each.tag).removeprefix(_DAV) for each in rights.iter()]
        if to_write and "privilege" in may and not set(_TO_WRITE) & set(may):
            said = "that calendar can only be read by that user"
            raise self._http.refused(said, "have whoever owns it let you write there, or give another")

    def _is_no_calendar(self, tree: ElementTree.Element) -> None:
        """Name the calendars that lie in a collection, or in the home of who asks. Raises InputError."""
        homes = [self._url, *self._homes(tree)]
        names = list(dict.fromkeys(each for home in dict.fromkeys(homes) for each in self._calendars_in(home)))
        if not names:
            raise self._http.refused("there is no calendar at that address, nor any in it", _OTHERS)
        more = told(" and {more} more", more=len(names) - _MOST_NAMED) if len(names) > _MOST_NAMED else ""
        said = told(
            "this is no calendar but the place of some: {names}{more}",
            names=", ".join(names[:_MOST_NAMED]),
            more=more,
        )
        raise self._http.refused(said, "give the address of one of them")

    def _homes(self, tree: ElementTree.Element) -> Iterator[str]:
        homes = tree.findall(f".//{_CAL}calendar-home-set/{_DAV}href")
        who = tree.find(f".//{_DAV}current-user-principal/{_DAV}href")
        if not homes and who is not None and who.text:
            asked = self._http.ask("PROPFIND", self._url_of(who.text), _WHAT.encode(), {**_XML, "Depth": "0"})
            principal = _tree(asked)
            homes = [] if principal is None else principal.findall(f".//{_CAL}calendar-home-set/{_DAV}href")
        yield from (self._url_of(home.text) for home in homes if home.text)

    def _calendars_in(self, url: str) -> Iterator[str]:
        tree = _tree(self._http.ask("PROPFIND", url, _WHAT.encode(), {**_XML, "Depth": "1"}))
        for part in tree.iter(f"{_DAV}response") if tree is not None else ():
            href = part.findtext(f"{_DAV}href")
            if href and part.find(f".//{_DAV}resourcetype/{_CAL}calendar") is not None:
                name = " ".join((part.findtext(f".//{_DAV}displayname") or "").split())
                there = printable(self._url_of(href))
                yield f"{there} (“{printable(name)}”)" if name else there

    def _url_of(self, href: str) -> str:
        # Only the path counts: credentials never go to another server, whatever this one says.
        return urljoin(self._url, urlsplit(href.strip()).path)


def _tree(answer: Reply) -> ElementTree.Element | None:
    """The list that came back; None if it is none. A list has no declarations of its own: they can blow it up."""
    if answer.status != _LISTED:
        return None
    try:
        text = answer.body.decode("utf-8-sig")
        tree = None if "<!DOCTYPE" in text or "<!ENTITY" in text else ElementTree.fromstring(text)
    except (ElementTree.ParseError, ValueError):
        return None
    if tree is None:
        return None
    return tree if str(tree.tag).endswith("multistatus") else None
