"""A tap as a phone sends it: read strictly, its time put right, and what it asks to be recorded.

    {"id": UUID, "what": "did", "step": id, "at": time, "sent": time, "left": minutes, "took": minutes,
     "instead": true}
    {"id": UUID, "what": "felt", "step": id, "stage": stage, "reached": true, "at": time, "sent": time}
    {"id": UUID, "what": "late", "item": id, "expected": day}
    {"id": UUID, "what": "arrived", "item": id, "on": day}
    {"id": UUID, "what": "ordered", "thing": name, "on": day}
    {"id": UUID, "what": "bought", "thing": name, "on": day}
    {"id": UUID, "what": "lost", "from": time within a session}
    {"id": UUID, "what": "session", "from": time within a session that is over, "but": [id, ...]}
    {"id": UUID, "what": "undo", "of": UUID of a tap, or "line": line of the diary}

`at` is when it was tapped and `sent` when it was sent, both by the clock of the phone: what that clock is off by
falls out. `instead`: what is recorded about the same and speaks against it is taken back.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from scheduler.diary.jsonfields import JsonFields
from scheduler.errors import wrong_input
from scheduler.living import requests, spent, takeback
from scheduler.living.site import Site
from scheduler.model.basics import Span
from scheduler.model.diary import (
    Arrived,
    Bought,
    Did,
    Entry,
    Event,
    Felt,
    Late,
    Left,
    Lost,
    Ordered,
    Skipped,
    Undone,
    living,
    name_in,
)
from scheduler.told import told
from scheduler.wallclock import local_date

MOST_BYTES = 16 << 10
"""Of a tap."""
MOST_SIGNS = 300
"""Of a name in it."""
AGREES = 15
"""Minutes within which the same thing said twice is no contradiction."""
OFF = 2
"""Minutes by which a phone's clock may be off without a word."""

_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")


class UnreadableError(ValueError):
    """What was sent is no tap. Says why."""


class _Sent(JsonFields):
    """The fields of what was sent."""

    def amiss(self, name: str, message: str, hint: str) -> UnreadableError:
        """What is wrong; a phone needs no hint."""
        return UnreadableError(message)

    def text_of(self, name: str) -> str:
        """A text of one line, not too long."""
        value = super().text_of(name)
        if len(value) > MOST_SIGNS or not value.isprintable():
            raise UnreadableError(f"`{name}` is no text")
        return value

    def names(self, name: str) -> tuple[str, ...]:
        """Several names."""
        value = self.value(name)
        if not isinstance(value, list) or not all(
            isinstance(each, str) and len(each) <= MOST_SIGNS for each in value
        ):
            raise UnreadableError(f"`{name}` is no list of names")
        return tuple(value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tap:
    """One tap. `minute` is when it was tapped by the clock of this machine; None: it does not say."""

    name: str
    what: str
    subject: str = ""
    minute: int | None = None
    left: int | None = None
    took: int | None = None
    stage: str = ""
    reached: bool = False
    day: date | None = None
    line: int | None = None
    but: tuple[str, ...] = ()
    instead: bool = False
    off: int = 0
    """Minutes that the clock of the phone is ahead (behind, below 0)."""


def read_tap(data: bytes, now: int) -> Tap:
    """The tap of these bytes, which came at a minute. Raises UnreadableError with what is wrong in it."""
    sent = _Sent(_object(data))
    there = sent.fields.keys()
    what = sent.text_of("what")
    if what not in _FIELDS:
        raise UnreadableError("what was tapped is not known here")
    if strange := there - {"id", "what", "at", "sent", "instead", *_FIELDS[what]}:
        raise UnreadableError(f"a tap of this kind has no {min(strange)[:40]!r}")
    name = sent.text_of("id")
    if not _UUID.fullmatch(name):
        raise UnreadableError("`id` is no UUID")
    if what == "undo" and ("of" in there) == ("line" in there):
        raise UnreadableError("an undo names what it takes back by `of` or by `line`")
    has = _FIELDS[what].keys() & there
    if missing := [field for field, must in _FIELDS[what].items() if must and field not in has]:
        raise UnreadableError(f"`{missing[0]}` is missing")
    off = sent.time("sent") - now if "sent" in there else 0
    subject = next((sent.text_of(field) for field in ("step", "item", "thing", "of") if field in has), "")
    day = next((sent.day(field) for field in ("expected", "on") if field in has), None)
    return Tap(
        name=name,
        what=what,
        subject=subject,
        minute=sent.time("from") if "from" in has else _tapped(sent, off, now),
        left=sent.whole("left", 1) if "left" in has else None,
        took=sent.whole("took", 1) if "took" in has else None,
        stage=sent.text_of("stage") if "stage" in has else "",
        reached=sent.yes_or_no("reached") if "reached" in has else False,
        day=day,
        line=sent.whole("line", 1) if "line" in has else None,
        but=sent.names("but") if "but" in has else (),
        instead=sent.yes_or_no("instead") if "instead" in there else False,
        off=off,
    )


def _tapped(sent: _Sent, off: int, now: int) -> int | None:
    """When it was tapped, by the clock of this machine: what was before it was sent is not to come."""
    if "at" not in sent.fields:
        return None
    at = sent.time("at")
    return min(at - off, now) if "sent" in sent.fields and at - off <= now + 1 else at - off


_FIELDS: Mapping[str, Mapping[str, bool]] = {
    "did": {"step": True, "left": False, "took": False},
    "felt": {"step": True, "stage": True, "reached": True},
    "late": {"item": True, "expected": True},
    "arrived": {"item": True, "on": False},
    "ordered": {"thing": True, "on": False},
    "bought": {"thing": True, "on": False},
    "lost": {"from": True},
    "session": {"from": True, "but": False},
    "undo": {"of": False, "line": False},
}
"""Each kind of tap: its own fields, and whether they must be there."""


def _object(data: bytes) -> Mapping[str, object]:
    def pairs(found: list[tuple[str, object]]) -> dict[str, object]:
        if len({name for name, _ in found}) < len(found):
            raise UnreadableError("a name stands in it twice")
        return dict(found)

    def no_number(text: str) -> object:
        raise UnreadableError(f"{text} is no number")

    try:
        whole = json.loads(data.decode("utf-8"), object_pairs_hook=pairs, parse_constant=no_number)
    except (ValueError, RecursionError) as error:
        raise UnreadableError("this is no tap" if not isinstance(error, UnreadableError) else str(error)) from None
    if not isinstance(whole, dict):
        raise UnreadableError("this is no tap")
    return whole


def entry_of(site: Site, name: str) -> Entry | None:
    """The first entry that came of the tap of that name."""
    return next((entry for entry in site.entries if entry.tap == name), None)


def is_about(tap: Tap, entry: Entry, entries: Sequence[Entry]) -> bool:
    """Whether an entry can have come of a tap: the same thing about the same."""
    with_it = [each.event for each in entries if entry.line in (each.line, each.command)]
    kind = Left if tap.left is not None else _EVENTS[tap.what]
    if tap.what == "session":
        return any(isinstance(event, kind) for event in with_it)
    subject = "" if tap.what == "undo" else tap.subject  # what is taken back is called by the name of its tap
    return any(isinstance(event, kind) and _subject(event) == subject for event in with_it)


_EVENTS: Mapping[str, type[Event] | tuple[type[Event], ...]] = {
    "did": Did,
    "felt": Felt,
    "late": Late,
    "arrived": Arrived,
    "ordered": Ordered,
    "bought": Bought,
    "lost": Lost,
    "session": (Did, Left, Skipped),
    "undo": Undone,
}
"""What each kind of tap records; work that is left is `Left`."""


def _subject(event: Event) -> str:
    if isinstance(event, Ordered | Bought):
        return event.thing
    about = name_in(event)
    return about[1] if about is not None else ""


def is_known(site: Site, tap: Tap, now: int) -> bool:
    """Whether the record says the same already, at nearly the same time: then nothing is to be asked or added. A
    glove taps twice, and two people say the same."""
    stand, minute = site.standing, now if tap.minute is None else tap.minute
    match tap.what:
        case "did" if tap.left is None:
            known = stand.done.get(tap.subject)
            said = known is not None and tap.minute is not None and _is_near(known[-1].end, minute)
        case "did":
            pieces, left = stand.begun.get(tap.subject, ((), None))
            said = left == tap.left and _is_near(pieces[-1].end, minute)
        case "felt":
            same = (tap.subject, tap.stage, tap.reached)
            looks = [look for look in stand.looks if (look.step, look.stage, look.reached) == same]
            said = any(_is_near(look.minute, minute) for look in looks)
        case "arrived" | "late":
            item = next((item for item in stand.job.items if item.id == tap.subject), None)
            told = ("arrived", item.arrived) if item and item.arrived else ("late", item.expected if item else None)
            said = told == (tap.what, _day_of(tap, site, now))
        case "ordered" | "bought":
            said = _had(site, tap, now) == _day_of(tap, site, now)
        case "lost":
            said = any(span.start <= minute < span.end for span in stand.lost)
        case "session":
            on = any(each.span.start <= minute < each.span.end for each in site.passed(now))
            said = not on and site.has_record_of(Span(minute, minute + 1))
        case _:
            entry = _named(site, tap)
            said = entry is not None and not _holding(site, entry)
    return said


def _is_near(one: int, other: int) -> bool:
    return abs(one - other) <= AGREES


def _had(site: Site, tap: Tap, now: int) -> date | None:
    """The day on which a thing was ordered, or since which as much of it as is needed is in the house."""
    if tap.what == "ordered":
        return site.standing.ordered.get(tap.subject)
    known = site.standing.bought.get(tap.subject)
    return None if known is None or tap.subject in requests.whole_list(site, now) else known.on


def _day_of(tap: Tap, site: Site, now: int) -> date:
    """The day that a tap names, or on which it was tapped."""
    return tap.day or local_date(now if tap.minute is None else tap.minute, ZoneInfo(site.job.zone))


def events_of(tap: Tap, site: Site, now: int) -> Sequence[Event]:
    """What a tap asks to be recorded. Raises InputError if it speaks against what is recorded."""
    if tap.what == "undo":
        return takeback.take_back(site, _taken_back(site, tap))
    against = [Undone(line=entry.line) for entry in _against(site, tap)] if tap.instead else []
    site = site.with_entries([Entry(line=0, at=now, event=event) for event in against])
    return [*against, *_events(tap, site, now)]


def _events(tap: Tap, site: Site, now: int) -> Sequence[Event]:
    found: Sequence[Event]
    match tap.what:
        case "did":
            found = _did(tap, site, now)
        case "felt":
            minute = now if tap.minute is None else tap.minute
            found = spent.felt(site, _step(site, tap), tap.stage, minute, reached=tap.reached)
        case "late":
            assert tap.day is not None
            found = [requests.late(site, _item(site, tap), tap.day)]
        case "arrived":
            found = requests.arrived(site, _item(site, tap), _day_of(tap, site, now), told=False)
        case "ordered" | "bought":
            found = _got(tap, site, now)
        case "session":
            assert tap.minute is not None
            found = requests.session_at(site, now, tap.minute, tap.but)
        case _:
            found = _lost(tap, site, now)
    return found


def _did(tap: Tap, site: Site, now: int) -> Sequence[Event]:
    step = _step(site, tap)
    if step in site.standing.done:  # nothing is put right unasked: that speaks against it
        return requests.did(site, now, step, None, None)
    at = None if tap.minute is None else requests.When(local_date(tap.minute, ZoneInfo(site.job.zone)), tap.minute)
    took = None if tap.took is None else spent.Spent(took=tap.took)
    return requests.did(site, now, step, at, tap.left, said=took)


def _lost(tap: Tap, site: Site, now: int) -> Sequence[Event]:
    assert tap.minute is not None
    day = local_date(tap.minute, ZoneInfo(site.job.zone))
    sessions = requests.sessions_on(site, day)
    number = next((n for n, hours in enumerate(sessions, 1) if hours[-1].end > tap.minute), None)
    return requests.lost(site, now, day, number)


def _step(site: Site, tap: Tap) -> str:
    if tap.subject not in site.titles:
        raise wrong_input("STEP", "that step is not in the job any more", "see what is in it")
    return tap.subject


def _got(tap: Tap, site: Site, now: int) -> Sequence[Event]:
    """A thing was ordered, or is in the house. Another day than is recorded is a correction where a command says it;
    here it is asked about: the phone may have been in a cellar while somebody else said so."""
    known = _had(site, tap, now)
    if known is not None and not tap.instead:
        raise wrong_input(
            "THING",
            told("`{subject}` is recorded already, {known}", subject=tap.subject, known=known),
            "see which day is right",
        )
    day = _day_of(tap, site, now)
    if tap.what == "ordered":
        events = requests.ordered(site, now, tap.subject, day, None)
    else:
        events = requests.bought(site, now, tap.subject, day)
    if _subject(events[-1]) != tap.subject:  # the list has changed, and something else is called a little like it
        raise wrong_input("THING", "that is not on the list any more", "see what is on it")
    return events


def _item(site: Site, tap: Tap) -> str:
    if all(item.id != tap.subject for item in site.job.items):
        raise wrong_input("ITEM", "that item is not in the job any more", "see what is in it")
    return tap.subject


def _taken_back(site: Site, tap: Tap) -> Entry:
    """The entry that an undo is about. Raises InputError if there is none, or it holds no more."""
    entry = _named(site, tap)
    if entry is None:
        raise wrong_input("undo", "what is to be taken back is not recorded", "nothing is to be recorded")
    holding = _holding(site, entry)
    if not holding:
        raise wrong_input("undo", "that is taken back already", "nothing is to be recorded")
    return holding[-1]


def _named(site: Site, tap: Tap) -> Entry | None:
    """The entry that an undo names, by its line or its tap."""
    if tap.line is not None:
        return next((entry for entry in site.entries if entry.line == tap.line), None)
    return entry_of(site, tap.subject)


def _holding(site: Site, entry: Entry) -> list[Entry]:
    """What holds of all that came with an entry."""
    lines = {entry.line} if entry.command is None else {e.line for e in site.entries if e.command == entry.command}
    return [each for each in living(site.entries) if each.line in lines]


def _against(site: Site, tap: Tap) -> Iterator[Entry]:
    """What is recorded and speaks against a tap: about the same step or item, or that nobody worked then."""
    if tap.what in ("ordered", "bought"):
        return  # what was said of the same is put right by the request itself
    kind = "step" if tap.what == "did" else "item"
    for entry in living(site.entries):
        match entry.event:
            case Lost(span=span) if tap.what == "did" and tap.minute is not None:
                if span.start < tap.minute <= span.end:
                    yield entry
            case Felt():
                continue  # how a film felt speaks against nothing that is done
            case _ if name_in(entry.event) == (kind, tap.subject):
                yield entry
