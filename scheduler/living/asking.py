"""Sessions that have passed without a word: what to say about them, and the entries that an answer makes."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from zoneinfo import ZoneInfo

from scheduler.diary.kept import Passed
from scheduler.living.requests import idle_hours, sessions_on, took_place
from scheduler.living.site import Site
from scheduler.model.diary import Did, Entry, Left, Lost
from scheduler.telling.dates import face_of
from scheduler.telling.wording import Clockface, length_words
from scheduler.telling.words import Words
from scheduler.wallclock import local_date, to_datetime

FEW = 3
"""So many steps of a session are named one by one."""

ROOM = 100
"""Columns for the steps of a session that is asked about: enough to know it again."""


def how_to_say(site: Site, now: int) -> Iterator[str]:
    """Lines that name each such session, with the commands that record it; none if there is no such session."""
    passed, words = site.open_questions(now), Words(lang=site.job.language)
    if not passed:
        return
    if len(passed) == 1:
        begun = site.has_record_of(passed[0].span)
        yield words.tell("asking.rest" if begun else "asking.one", day=_face(site).date(passed[0].span.start))
    else:
        yield words.tell("asking.many", count=len(passed))
    for session in passed:
        events = took_place(site, session)
        yield words.tell("asking.did", session=session_words(site, session))
        yield from (f"    {command}" for command in _did_commands(site, session, events))
        yield words.tell("asking.not", command=_lost_command(site, session))
        # What is said of a later session builds on the earlier ones having taken place.
        site = site.with_entries([Entry(line=0, at=now, event=event) for event in events])


def session_words(site: Site, session: Passed) -> str:
    """When a session was, and which steps it held, of many the first."""
    face = _face(site)
    titles = tuple(site.titles.get(name, name) for name in session.steps)
    names = Words(lang=site.job.language).fitting(titles, ROOM)
    return f"{face.date(session.span.start, year=True)}, {face.span(*session.span)} ({names})"


def _face(site: Site) -> Clockface:
    return face_of(site.job.zone, site.job.clock24, site.job.language)


def did_not(site: Site, now: int, session: Passed) -> list[Lost]:
    """What is to be recorded if it did not."""
    return idle_hours(site, now, session.span)


def _did_commands(site: Site, session: Passed, events: Sequence[Did | Left]) -> Iterator[str]:
    """The commands that record a session: of one with many steps that for all of it."""
    if len(events) > FEW:
        day = local_date(session.span.start, ZoneInfo(site.job.zone))
        yield f"tackfree did {_job(site)} --session --at {day}"
    else:
        yield from (_did_command(site, event) for event in events)


def _did_command(site: Site, event: Did | Left) -> str:
    end = to_datetime(event.pieces[-1].end, ZoneInfo(site.job.zone))
    # Of a time that comes twice the first is meant, unless the offset says otherwise.
    at = end.isoformat(timespec="minutes") if end.fold else f"{end:%Y-%m-%dT%H:%M}"
    left = "" if isinstance(event, Did) else f" --left '{length_words(event.left, days=False)}'"
    return f"tackfree did {_job(site)} {event.step} --at {at}{left}"


def _lost_command(site: Site, session: Passed) -> str:
    day = local_date(session.span.start, ZoneInfo(site.job.zone))
    others = sessions_on(site, day)
    number = next((n for n, hours in enumerate(others, 1) if hours[-1].end > session.span.start), 1)
    which = f" --session {number}" if len(others) > 1 else ""
    return f"tackfree lost {_job(site)} {day}{which}"


def _job(site: Site) -> str:
    return shlex.quote(str(site.files.job))
