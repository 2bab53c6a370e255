"""Small plans made by hand, for tests of what is shown. Nothing here is computed by the package's own planner.

Moments are written as local time of New York ("2027-01-16 08:30") unless another zone is named.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from scheduler.model.asides import Unheard
from scheduler.model.basics import Span
from scheduler.model.beware import Beware
from scheduler.model.hours import Window
from scheduler.model.message import as_written
from scheduler.model.plan import Bound, Plan, PlannedFilm, PlannedItem, PlannedStep, Ready, Session

NEW_YORK = "America/New_York"


def at(text: str, zone: str = NEW_YORK) -> int:
    """Minutes since the epoch of a local moment; "… fold" at the end means the second of two."""
    clock, _, second = text.partition(" fold")
    local = datetime.fromisoformat(clock).replace(tzinfo=ZoneInfo(zone), fold=1 if text != clock or second else 0)
    return (local.astimezone(UTC) - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(minutes=1)


def day_of(minute: int, zone: str = NEW_YORK) -> date:
    """The local date of a minute."""
    return (datetime(1970, 1, 1, tzinfo=UTC) + timedelta(minutes=minute)).astimezone(ZoneInfo(zone)).date()


def spans(*texts: str, zone: str = NEW_YORK) -> tuple[Span, ...]:
    """("2027-01-16 08:30 10:00", ...) as pieces."""
    found = []
    for text in texts:
        day, start, end = text.split(" ")
        found.append(Span(at(f"{day} {start}", zone), at(f"{day} {end}", zone)))
    return tuple(found)


def unheard(*texts: str) -> tuple[Unheard, ...]:
    """The same as sessions of which nobody has said whether they took place."""
    return tuple(Unheard(span) for span in spans(*texts))


def film(stages: Mapping[str, str], zone: str = NEW_YORK, **fields: Any) -> PlannedFilm:
    """A film of acrylic primer with its stages at local moments."""
    return PlannedFilm(
        **{
            "material": "acrylic-primer",
            "material_title": "acrylic primer",
            "coat": 1,
            "thickness_factor": 1.0,
            "stages": {stage: at(moment, zone) for stage, moment in stages.items()},
            **fields,
        }
    )


def step(name: str, *pieces: str | Span, zone: str = NEW_YORK, **fields: Any) -> PlannedStep:
    """A step of one person with pieces like "2027-01-16 08:30 10:00"."""
    found = tuple(spans(piece, zone=zone)[0] if isinstance(piece, str) else piece for piece in pieces)
    return PlannedStep(
        **{
            "id": name,
            "title": name.replace("-", " ").capitalize(),
            "room": "hobby",
            "room_title": "Hobby room",
            "state": "planned",
            "people": 1,
            "labour": sum(piece.minutes for piece in found),
            "can_pause": len(found) > 1,
            "smallest_piece": 30,
            "pieces": found,
            "dusty": False,
            "noisy": False,
            "wet": False,
            "wipes": False,
            "takes": (),
            "after": (),
            "needs": (),
            "film": None,
            "held": as_written("It starts as soon as the work does."),
            "holder": None,
            "added": None,
            "cautions": (),
            **fields,
        }
    )


def after(name: str, stage: str, ready: str, latest: str | None = None) -> Ready:
    """What a step waited for."""
    return Ready(step=name, stage=stage, ready=at(ready), latest=None if latest is None else at(latest))


def item(name: str, **fields: Any) -> PlannedItem:
    """Something on order."""
    return PlannedItem(
        **{
            "item": name,
            "title": name.replace("-", " ").capitalize(),
            "expected": None,
            "arrived": None,
            "order_by": None,
            "needed": None,
            "holds": (),
            **fields,
        }
    )


def sessions_of(steps: Iterable[PlannedStep], zone: str, margin: int = 15) -> tuple[Session, ...]:
    """One session per local day, with a quarter of an hour to set up and to clear up."""
    days: dict[date, list[tuple[Span, str]]] = defaultdict(list)
    for each in steps:
        for piece in each.pieces:
            day = day_of(piece.start, zone)
            days[day].append((piece, each.id))
    found = []
    for number, (_, pieces) in enumerate(sorted(days.items()), 1):
        names = dict.fromkeys(name for _, name in sorted(pieces))
        start, end = min(span.start for span, _ in pieces), max(span.end for span, _ in pieces)
        found.append(Session(number=number, start=start - margin, end=end + margin, people=2, steps=tuple(names)))
    return tuple(found)


def windows_of(sessions: Iterable[Session], zone: str, margin: int = 15) -> tuple[Window, ...]:
    """The windows that just hold these sessions."""
    return tuple(
        Window(
            start=session.start,
            end=session.end,
            people=session.people,
            quiet=False,
            session=session.number,
            work_start=session.start + margin,
            work_end=session.end - margin,
            day=day_of(session.start, zone),
        )
        for session in sessions
    )


def plan(*steps: PlannedStep, zone: str = NEW_YORK, **fields: Any) -> Plan:
    """A plan around these steps, one session a day, as of 7 January 2027 at noon."""
    sessions = fields.pop("sessions", None) or sessions_of(steps, zone)
    finish = max((each.end for each in steps), default=at("2027-01-07 12:00", zone))
    stages = [minute for each in steps if each.film for minute in each.film.stages.values()]
    last = max([finish, *stages])
    return Plan(
        **{
            "job_id": "hobby-room",
            "job": "Hobby room",
            "zone": zone,
            "clock24": True,
            "metric": False,
            "as_of": at("2027-01-07 12:00", zone),
            "seed": 1,
            "finish": finish,
            "usable": last,
            "cured": last,
            "bound": Bound(finish_not_before=finish, proven=True),
            "placements_tried": 10,
            "windows": windows_of(sessions, zone),
            "sessions": sessions,
            "steps": tuple(steps),
            "items": (),
            "warnings": (),
            **fields,
        }
    )


def hobby_room() -> Plan:
    """A weekend and an evening: prime on Saturday, paint on Sunday, doors on order for the week after."""
    prime = step(
        "prime-the-walls",
        "2027-01-16 14:00 16:40",
        people=2,
        wet=True,
        uses=("acrylic primer",),
        film=film(
            {
                "touch": "2027-01-16 18:20",
                "dust_free": "2027-01-16 17:40",
                "recoat": "2027-01-17 06:40",
                "use": "2027-01-20 09:00",
                "full": "2027-01-30 10:00",
            },
            limits_said="50 to 90 °F and below 85 % humidity",
            hold_until="recoat",
        ),
        cautions=(Beware("Open the windows; solvent-free does not mean fume-free."),),
    )
    sand = step(
        "sand-the-filler",
        "2027-01-16 09:00 11:30",
        dusty=True,
        cautions=(Beware("Wear a fitted dust mask; gypsum dust holds silica."),),
    )
    paint = step(
        "first-coat-of-blue",
        "2027-01-17 09:00 11:00",
        wet=True,
        after=(after("prime-the-walls", "recoat", "2027-01-17 06:40", "2027-01-18 16:40"),),
        film=film(
            {
                "touch": "2027-01-17 12:30",
                "recoat": "2027-01-17 17:00",
                "tape": "2027-01-18 11:00",
                "use": "2027-01-24 11:00",
                "full": "2027-02-14 11:00",
            },
            material="latex-paint",
            material_title="latex paint",
        ),
        takes=(("ladder", 1),),
    )
    shelves = step("put-up-the-shelves", "2027-01-17 11:00 12:00", "2027-01-20 18:30 20:00")
    doors = step(
        "hang-the-doors",
        "2027-01-23 09:00 12:00",
        people=2,
        needs=("doors",),
        cautions=(Beware("Two people lift; mind your backs."),),
    )
    return plan(
        sand,
        prime,
        paint,
        shelves,
        doors,
        items=(
            item(
                "doors",
                title="Doors, two, primed",
                expected=date(2027, 1, 22),
                order_by=date(2027, 1, 8),
                needed=at("2027-01-23 09:00"),
                holds=("hang-the-doors",),
            ),
        ),
        warnings=(as_written("The night to Sunday is colder than the range that the primer's figures cover."),),
        usable=at("2027-01-24 11:00"),
        cured=at("2027-02-14 11:00"),
    )


def with_step(before: Plan, name: str, *pieces: str, **fields: Any) -> Plan:
    """The same plan with one step at other times; sessions, windows and the finish follow from the steps."""
    steps = tuple(
        replace(each, pieces=spans(*pieces, zone=before.zone) if pieces else each.pieces, **fields)
        if each.id == name
        else each
        for each in before.steps
    )
    return with_steps(before, steps)


def with_steps(before: Plan, steps: tuple[PlannedStep, ...], **fields: Any) -> Plan:
    """The same job with these steps; sessions, windows and the finish follow from them."""
    sessions = sessions_of(steps, before.zone)
    return replace(
        before,
        steps=steps,
        sessions=sessions,
        windows=windows_of(sessions, before.zone),
        finish=max(each.end for each in steps),
        **fields,
    )
