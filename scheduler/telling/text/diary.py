"""The diary as a person reads it: one entry after the other, what was taken back marked as such."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date

from scheduler.model.basics import Span
from scheduler.model.diary import (
    Air,
    Arrived,
    Bought,
    Did,
    Entry,
    Event,
    Felt,
    Kind,
    Late,
    Left,
    Lost,
    Note,
    Ordered,
    Renamed,
    Skipped,
    Undone,
    living,
    name_in,
    went_as_planned,
)
from scheduler.model.job import Job
from scheduler.model.plan import Plan
from scheduler.telling.dates import face_of
from scheduler.telling.machine.json_text import json_text, moment
from scheduler.telling.text.sheet import Line, Sheet
from scheduler.telling.wording import Clockface, one_line
from scheduler.telling.words import Words
from scheduler.units import format_fraction, format_temp


class Teller:
    """Puts entries into words, with the titles of the steps, items and rooms of a job, and the `entries` of its diary
    that later ones may take back."""

    def __init__(
        self,
        job: Job,
        titles: Mapping[str, str],
        entries: Sequence[Entry] = (),
        face: Clockface | None = None,
        lang: str | None = None,
    ) -> None:
        lang = lang or job.language
        self._words = Words(lang=lang)
        self._entries = {entry.line: entry.event for entry in entries}
        self.face = face or face_of(job.zone, job.clock24, lang)
        self.metric = job.metric
        self._steps = titles
        self._items = {item.id: item.title for item in job.items}
        self._items |= {visit.id: visit.title for visit in job.appointments}
        self._rooms = {room.id: room.title for room in job.rooms}

    def says(self, event: Event) -> str:
        """An event in one sentence."""
        day = self.face.date_of
        match event:
            case Did():
                values = {"title": self._step(event.step), "moment": self.face.moment(event.pieces[-1].end)}
                said = self._of("did", **values) + self._took(event.took)
            case Left():
                left = self._words.length(event.left, days=False)
                values = {"title": self._step(event.step), "moment": self.face.moment(event.pieces[-1].end)}
                said = self._of("left", **values, left=left) + self._took(event.took)
            case Felt():
                how = self._words.of("allowed", event.stage)
                stage = how if event.reached else self._of("not yet", stage=how)
                moment = self.face.moment(event.minute)
                said = self._of("felt", title=self._step(event.step), stage=stage, moment=moment)
            case Undone():
                said = self._undone(event)
            case Late():
                said = self._of("late", title=_title(self._items, event.item), day=day(event.expected, year=True))
            case Arrived():
                said = self._of("arrived", title=_title(self._items, event.item), day=day(event.on, year=True))
            case Ordered() | Bought():
                how = "ordered" if isinstance(event, Ordered) else "bought"
                said = self._of(how, title=self._thing(event.thing), day=day(event.on, year=True))
            case Lost():
                said = self._of("lost", hours=self._hours(event.span))
            case Skipped():
                said = self._of("skipped", title=self._step(event.step), hours=self._hours(event.span))
            case Air():
                air = f"{format_temp(event.temp, metric=self.metric)}, {format_fraction(event.humidity)}"
                said = f"{_title(self._rooms, event.room)}: {air}, {self.face.moment(event.minute)}"
            case Note():
                said = one_line(event.text)
            case Renamed():
                said = self._of("renamed", old=one_line(event.old), new=one_line(event.new))
        return said

    def recorded(self, event: Event, *, undone: bool = False) -> str:
        """That an event stands in the diary now, or is taken back."""
        return self._words.tell("moves.undone" if undone else "moves.recorded", said=self.says(event))

    def _of(self, name: str, **values: object) -> str:
        return self._words.of("diary", name).format(**values)

    def _step(self, name: str) -> str:
        return _title(self._steps, name)

    def _took(self, minutes: int | None) -> str:
        return "" if minutes is None else self._of("took", length=self._words.length(minutes, days=False))

    def _undone(self, event: Undone) -> str:
        """What is taken back, in its own words; an undo that is undone counts again."""
        gone, again = self._entries.get(event.line), False
        while isinstance(gone, Undone):
            gone, again = self._entries.get(gone.line), not again
        what = self._of("line", line=event.line) if gone is None else self.says(gone)
        return self._of("again" if again else "undone", what=what)

    def _thing(self, name: str) -> str:
        return _title(self._items, name) if name in self._items else one_line(name).replace("-", " ")

    def because(self, event: Event) -> str:
        """An event as the cause of something: what stands after "because"."""
        words, day = self._words, self.face.date_of
        match event:
            case Did():
                step, when = words.quoted(self._step(event.step)), self.face.moment(event.pieces[-1].end)
                said = words.tell("because.did", step=step, when=when)
            case Left():
                left = words.length(event.left, days=False)
                said = words.tell("because.left", step=words.quoted(self._step(event.step)), left=left)
            case Late():
                item = words.quoted(_title(self._items, event.item))
                said = words.tell("because.late", item=item, day=day(event.expected))
            case Arrived():
                item = words.quoted(_title(self._items, event.item))
                said = words.tell("because.arrived", item=item, day=day(event.on))
            case Lost():
                said = words.tell("because.lost", hours=self._hours(event.span))
            case Skipped():
                step = words.quoted(self._step(event.step))
                said = words.tell("because.skipped", step=step, hours=self._hours(event.span))
            case Undone():
                gone = self._entries.get(event.line)
                known = words.quoted(self.says(gone)) if gone is not None else ""
                said = words.tell("because.undone", said=known) if gone is not None else self.says(event)
            case _:
                said = self.says(event)
        return said

    def first_cause(self, entries: Sequence[Entry], before: Plan, after: Plan) -> str:
        """What moves a plan of what was just recorded: the first of it that went otherwise than planned. What went as
        planned moves nothing; if the plan is another one all the same, it may take fewer days on site."""
        done = {step.id: step.pieces for step in before.steps}
        others = [each.event for each in entries if not went_as_planned(each.event, done)]
        if others:
            return self.because(others[0])
        fewer = len(self._days(before)) - len(self._days(after))
        days = self._words.counted("day", fewer)
        return self._words.tell("because.fewer days", days=days) if fewer > 0 else ""

    def _days(self, plan: Plan) -> set[date]:
        return {self.face.day(piece.start) for step in plan.steps for piece in step.pieces}

    def unrecorded(self, starts: Iterable[int], *, partly: bool) -> str:
        """As a cause: nothing is recorded of the work that was to begin then, or only a part of it is; empty where
        there was none.

        It moves by itself, whatever is recorded beside it, so that nothing else can be called the cause.
        """
        days = sorted({self.face.day(start) for start in starts})
        words = self._words
        said = words.listing(map(self.face.date_of, days))
        return words.tell("because.part unrecorded" if partly else "because.unrecorded", days=said) if days else ""

    def _hours(self, span: Span) -> str:
        days: list[date] = [self.face.day(span.start), self.face.day(span.end - 1)]
        if days[0] == days[1]:
            return f"{self.face.date(span.start)}, {self.face.span(*span)}"
        return self._of("span", start=self.face.moment(span.start), end=self.face.moment(span.end))


def _title(titles: Mapping[str, str], name: str) -> str:
    """The title that goes with an id, cleaned; the id where there is none."""
    return one_line(titles.get(name, "")) or one_line(name)


def diary_text(
    entries: Sequence[Entry],
    teller: Teller,
    width: int = 80,
    colour: bool = False,
    ascii: bool = False,  # noqa: A002
    lost: Collection[tuple[Kind, str]] = (),
    use: Mapping[int, str] | None = None,
) -> str:
    """All entries in their order, each with its line, when it was written and why; `lost` are the steps, items and
    rooms that the job has no longer, `use` says by line whether what an entry could teach was used."""
    sheet = Sheet(width, ascii)
    if not entries:
        sheet.add(Line("Nothing is recorded yet."))
    holding = {entry.line for entry in living(tuple(entries))}
    for entry in entries:
        reason = f" ({one_line(entry.reason)})" if entry.reason else ""
        gone = "" if entry.line in holding or isinstance(entry.event, Undone) else " [taken back]"
        gone = gone or (" [no longer in the job]" if name_in(entry.event) in lost else "")
        used = f" [{use[entry.line]}]" if use and not gone and entry.line in use else ""
        text = f"{teller.says(entry.event)}{reason}{gone}{used}"
        sheet.add(Line(text, first=f"{entry.line:3}  {teller.face.moment(entry.at, year=True)}: ", rest="       "))
    return sheet.text(colour)


def diary_json(entries: Sequence[Entry], teller: Teller, use: Mapping[int, str] | None = None) -> str:
    """All entries for other programs: line, when written, what in words, whether it holds, why, and whether what it
    could teach was used."""
    holding = {entry.line for entry in living(tuple(entries))}
    whole = [
        {
            "line": entry.line,
            "at": moment(entry.at, teller.face.zone),
            "what": type(entry.event).__name__.lower(),
            "says": teller.says(entry.event),
            "holds": entry.line in holding,
            "reason": entry.reason or None,
            "learning": (use or {}).get(entry.line) if entry.line in holding else None,
        }
        for entry in entries
    ]
    return json_text(whole)
