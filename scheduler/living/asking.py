"""Sessions that have passed without a word: what to say about them, and the entries that an answer makes."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Mapping
from zoneinfo import ZoneInfo

from scheduler.diary.kept import Passed
from scheduler.diary.passed import happened
from scheduler.living.requests import idle_hours, sessions_on
from scheduler.living.site import Site
from scheduler.model.diary import Did, Entry, Left, Lost
from scheduler.telling.wording import Clockface
from scheduler.wallclock import local_date, to_datetime


def how_to_say(site: Site, now: int) -> Iterator[str]:
    """Lines that name each such session, with the commands that record it; none if there is no such session."""
    passed = site.open_questions(now)
    if not passed:
        return
    many = "a session has" if len(passed) == 1 else f"{len(passed)} sessions have"
    yield f"Of the plan handed out, {many} passed unrecorded; nothing of it counts as done until you say so."
    for session in passed:
        events = took_place(site, session)
        yield f"  {session_words(site, session)}. If it took place:"
        yield from (f"    {_did_command(site, event)}" for event in events)
        yield f"  if not: {_lost_command(site, session)}"
        # What is said of a later session builds on the earlier ones having taken place.
        site = site.with_entries([Entry(line=0, at=now, event=event) for event in events])


def session_words(site: Site, session: Passed) -> str:
    """When a session was, and which steps it held."""
    face = Clockface(ZoneInfo(site.job.zone), site.job.clock24)
    names = ", ".join(site.titles.get(name, name) for name in session.steps)
    return f"{face.date(session.span.start, year=True)}, {face.span(*session.span)} ({names})"


def took_place(site: Site, session: Passed) -> list[Did | Left]:
    """What is to be recorded if a session took place as planned. Steps that have left the job are passed over."""
    known = {name: pieces for name, pieces in session.steps.items() if name in site.titles}
    found = Passed(span=session.span, steps=known, ends=session.ends)
    return list(happened(found, site.standing, _labour(site)))


def did_not(site: Site, now: int, session: Passed) -> list[Lost]:
    """What is to be recorded if it did not."""
    return idle_hours(site, now, session.span)


def _labour(site: Site) -> Mapping[str, int]:
    """The minutes that each step takes in all, as the plan handed out has it; where it has learned that a kind of
    work takes longer, as it had them before: a session that has passed may be of that time."""
    tasks = {task.id: task for task in site.graph.tasks}
    labour = {name: task.work.planned for name, task in tasks.items()}
    if site.kept.plan is not None:
        slower = {
            (each.of, each.by_hand): max(1.0, each.factor) for each in site.kept.plan.learned if each.about == "pace"
        }
        for step in site.kept.plan.steps:
            if step.state == "planned" and step.id in tasks:
                factor = slower.get((tasks[step.id].kind, tasks[step.id].by_hand), 1.0)
                labour[step.id] = round(step.labour / factor)
    return labour


def _did_command(site: Site, event: Did | Left) -> str:
    end = to_datetime(event.pieces[-1].end, ZoneInfo(site.job.zone))
    # Of a time that comes twice the first is meant, unless the offset says otherwise.
    at = end.isoformat(timespec="minutes") if end.fold else f"{end:%Y-%m-%dT%H:%M}"
    left = "" if isinstance(event, Did) else f" --left '{event.left} min'"
    return f"tackfree did {_job(site)} {event.step} --at {at}{left}"


def _lost_command(site: Site, session: Passed) -> str:
    day = local_date(session.span.start, ZoneInfo(site.job.zone))
    others = sessions_on(site, day)
    number = next((n for n, hours in enumerate(others, 1) if hours[-1].end > session.span.start), 1)
    which = f" --session {number}" if len(others) > 1 else ""
    return f"tackfree lost {_job(site)} {day}{which}"


def _job(site: Site) -> str:
    return shlex.quote(str(site.files.job))
