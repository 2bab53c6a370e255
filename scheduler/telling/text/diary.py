"""The diary as a person reads it: one entry after the other, what was taken back marked as such."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date

from scheduler.model.diary import Entry, Event, Kind, Undone, holds_up, living, name_in, name_of, went_as_planned
from scheduler.model.job import Job
from scheduler.model.plan import Plan
from scheduler.telling.dates import face_of
from scheduler.telling.machine.json_text import json_text, moment
from scheduler.telling.text.sheet import Line, Sheet
from scheduler.telling.views.events import told_of
from scheduler.telling.wording import Clockface, one_line
from scheduler.telling.words import Clocked, Words


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
        self._entries = {entry.line: entry.event for entry in entries}
        self.face = face or face_of(job.zone, job.clock24, lang)
        self._words = Words(Clocked(self.face), lang)
        self.metric = job.metric
        self._titles: Mapping[str, Mapping[str, str]] = {
            "step": titles,
            "item": {item.id: item.title for item in job.items}
            | {visit.id: visit.title for visit in job.appointments},
            "room": {room.id: room.title for room in job.rooms},
        }

    def says(self, event: Event) -> str:
        """An event in one sentence."""
        return self._undone(event) if isinstance(event, Undone) else self._told(event, "diary") or ""

    def recorded(self, event: Event, *, undone: bool = False) -> str:
        """That an event stands in the diary now, or is taken back."""
        return self._words.tell("moves.undone" if undone else "moves.recorded", said=self.says(event))

    def _told(self, event: Event, table: str) -> str | None:
        return told_of(event, table, self._words, self._title, metric=self.metric)

    def _title(self, kind: str, name: str) -> str:
        """What a step, an item or a room is called, cleaned; its id where it has no title. A thing is an item, or
        stands on the list of what to buy."""
        if kind == "thing" and name not in self._titles["item"]:
            return one_line(name).replace("-", " ")
        titles = self._titles["item" if kind == "thing" else kind]
        return one_line(titles.get(name, "")) or one_line(name)

    def _undone(self, event: Undone) -> str:
        """What is taken back, in its own words; an undo that is undone counts again."""
        gone, again = self._entries.get(event.line), False
        while isinstance(gone, Undone):
            gone, again = self._entries.get(gone.line), not again
        what = self._words.tell("diary.line", line=event.line) if gone is None else self.says(gone)
        return self._words.tell("diary.again" if again else "diary.undone", what=what)

    def because(self, event: Event) -> str:
        """An event as the cause of something: what stands after "because"."""
        if isinstance(event, Undone) and (gone := self._entries.get(event.line)) is not None:
            return self._words.tell("because.undone", said=self._words.quoted(self.says(gone)))
        return (not isinstance(event, Undone) and self._told(event, "because")) or self.says(event)

    def first_cause(self, entries: Sequence[Entry], before: Plan, after: Plan, *, earlier: bool = False) -> str:
        """What moves a plan of what was just recorded: the first of it that went otherwise than planned. What went as
        planned moves nothing; if the plan is another one all the same, it may take fewer days on site. If most of it
        is `earlier`, what can only hold up is no cause of it."""
        done = {step.id: step.pieces for step in before.steps}
        others = [each.event for each in entries if not went_as_planned(each.event, done)]
        if others:
            found = [event for event in others if not (earlier and holds_up(event))]
            return self.because(found[0]) if found else ""
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
            "what": name_of(entry.event),
            "says": teller.says(entry.event),
            "holds": entry.line in holding,
            "reason": entry.reason or None,
            "learning": (use or {}).get(entry.line) if entry.line in holding else None,
        }
        for entry in entries
    ]
    return json_text(whole)
