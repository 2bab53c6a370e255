"""Taps into the diary: through the lock and the checks of the commands, several in one go, on the disk when answered.

A tap that was recorded is known again by its name, which stands in the diary: sent twice, after a restart too, it is
recorded once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.diary.record import Files, locked
from scheduler.errors import InputError, UnwrittenError
from scheduler.living.change import Clock, entries_of, put_down
from scheduler.living.memory import Mark, Memory, mark_of
from scheduler.living.site import Site, open_site
from scheduler.model.diary import Entry, Undone
from scheduler.model.job import Job
from scheduler.model.tradewords import ENGLISH
from scheduler.reading.jobfile import language_said
from scheduler.serve.taps import OFF, Tap, entry_of, events_of, is_about, is_known
from scheduler.telling.text.diary import Teller
from scheduler.telling.words.sentences import sentences_in
from scheduler.told import in_words
from scheduler.wallclock import at_local, local_date

PATIENCE = 3.0
"""Seconds that a tap waits for a command to let go of the job; then it stays on the phone."""


@dataclass(frozen=True, slots=True)
class TapResult:
    """What became of a tap: the status of the answer, and what it says."""

    status: int
    says: dict[str, object]


def clock_at(minute: int, *, exact: bool) -> Clock:
    """The clock of a machine that shows a minute; `exact`: it was told, and a job is planned as of it even before it
    begins. Without that it is the beginning of the day then, as for every command."""

    def of(job: Job) -> int:
        zone = ZoneInfo(job.zone)
        return minute if exact or minute >= job.start else at_local(local_date(minute, zone), 0, zone)

    return Clock(of=of, shows=lambda job: minute, told=False)


class Recorder:
    """Records the taps of one job. One thread at a time."""

    def __init__(self, path: Path) -> None:
        self.files = Files(path)
        self._memory = Memory()
        self._at_hand: tuple[Mark, Site] | None = None
        self._titles: Mapping[str, str] = {}

    def look(self) -> None:
        """Read what lies beside the job as it stands now. Raises nothing: whoever records next says what is wrong."""
        with suppress(InputError, OSError):
            self._site()

    def record(self, taps: Sequence[Tap], minute: int, *, exact: bool) -> list[TapResult]:
        """Put taps on the disk, in their order; the answers to each. Raises nothing: what can't be recorded now is
        answered so."""
        clock = clock_at(minute, exact=exact)
        try:
            with locked(self.files, PATIENCE):
                return self._record(self._site(), taps, clock)
        except (InputError, UnwrittenError, OSError):
            later = TapResult(503, {"recorded": False, "said": not_now(self.files.job)})
            return [later] * len(taps)

    def _record(self, site: Site, taps: Sequence[Tap], clock: Clock) -> list[TapResult]:
        before, fresh, answers = site, [], []
        for tap in taps:
            answer, entries = _answer(site, tap, clock, Teller(site.job, self._titles))
            answers.append(answer)
            fresh += entries
            site = site.with_entries(entries)
        if fresh:
            put_down(before, fresh, clock.of(site.job))
            taken_back = any(isinstance(entry.event, Undone) for entry in fresh)
            if taken_back or before.recognised or before.record.torn:
                self._at_hand = None  # a renaming may hold no more, or be on the disk only now: all is looked at anew
            else:
                self._memory.wrote(self.files, site.record)
                self._at_hand = (mark_of(self.files), site)
        return answers

    def _site(self) -> Site:
        """The job as it stands: as it was left by the taps before, if nothing beside it has changed since."""
        mark = mark_of(self.files)
        if self._at_hand is None or self._at_hand[0] != mark:
            site = open_site(self.files.job, self._memory)
            self._at_hand, self._titles = (mark, site), site.titles
        return self._at_hand[1]


def not_now(job: Path) -> str:
    """What a phone is told while nothing can be put on the disk, in the language that the job file says."""
    known = sentences_in(language_said(job) or ENGLISH)
    return in_words("It can't be recorded just now; it stays on the phone.", known)


def _answer(site: Site, tap: Tap, clock: Clock, teller: Teller) -> tuple[TapResult, list[Entry]]:
    known = entry_of(site, tap.name)
    if known is not None and not is_about(tap, known, site.entries):
        said = in_words("That name was given to another tap.", sentences_in(site.job.language))
        return TapResult(422, {"recorded": False, "said": said}), []
    if known is not None:
        return _recorded(tap, known, teller), []
    if is_known(site, tap, clock.shows(site.job)) and not tap.instead:
        return TapResult(200, {"recorded": True, "line": None, "said": "", "moves": None}), []
    try:
        entries = entries_of(site, lambda site, now: events_of(tap, site, now), clock, tap=tap.name)
    except InputError as error:
        may = tap.what not in ("undo", "lost", "felt", "session") and not tap.instead
        said = in_words(error.faults[0].message, sentences_in(site.job.language))
        return TapResult(409, {"recorded": False, "said": said, "instead": may}), []
    return _recorded(tap, entries[-1], teller), entries


def _recorded(tap: Tap, entry: Entry, teller: Teller) -> TapResult:
    says = {"recorded": True, "line": entry.line, "said": teller.says(entry.event), "moves": None}
    return TapResult(200, says | ({"off": tap.off} if abs(tap.off) > OFF else {}))
