"""Taps into the diary: through the lock and the checks of the commands, several in one go, on the disk when answered.

A tap that was recorded is known again by its name, which stands in the diary: sent twice, after a restart too, it is
recorded once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.diary.record import Files, locked
from scheduler.errors import InputError, UnwrittenError
from scheduler.living.change import Clock, entries_of, put_down
from scheduler.living.site import Site, open_site
from scheduler.model.diary import Entry
from scheduler.model.job import Job
from scheduler.model.material import Trade
from scheduler.pipeline import read
from scheduler.serve.taps import OFF, Tap, entry_of, events_of, is_about, is_known
from scheduler.telling.text.diary import Teller
from scheduler.wallclock import at_local, local_date

PATIENCE = 3.0
"""Seconds that a tap waits for a command to let go of the job; then it stays on the phone."""


@dataclass(frozen=True, slots=True)
class Answer:
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
        self._said: tuple[tuple[int, int, int], tuple[Job, Trade]] | None = None

    def record(self, taps: Sequence[Tap], minute: int, *, exact: bool) -> list[Answer]:
        """Put taps on the disk, in their order; the answers to each. Raises nothing: what can't be recorded now is
        answered so."""
        clock = clock_at(minute, exact=exact)
        try:
            with locked(self.files, PATIENCE):
                site = open_site(self.files.job, self._read)
                return self._record(site, taps, clock)
        except (InputError, UnwrittenError, OSError):
            later = Answer(503, {"recorded": False, "said": "It can't be recorded just now; it stays on the phone."})
            return [later] * len(taps)

    def _record(self, site: Site, taps: Sequence[Tap], clock: Clock) -> list[Answer]:
        before, fresh, answers = site, [], []
        for tap in taps:
            answer, entries = _answer(site, tap, clock)
            answers.append(answer)
            fresh += entries
            site = site.with_entries(entries)
        if fresh:
            put_down(before, fresh, clock.of(site.job))
        return answers

    def _read(self, path: Path) -> tuple[Job, Trade]:
        """As `pipeline.read`, remembered as long as the file is the same: to read it takes longer than to record."""
        stat = path.stat()
        mark = stat.st_ino, stat.st_size, stat.st_mtime_ns
        if self._said is None or self._said[0] != mark:
            self._said = (mark, read(path))
        return self._said[1]


def _answer(site: Site, tap: Tap, clock: Clock) -> tuple[Answer, list[Entry]]:
    known = entry_of(site, tap.name)
    if known is not None and not is_about(tap, known, site.entries):
        return Answer(422, {"recorded": False, "said": "That name was given to another tap."}), []
    if known is not None:
        return _recorded(site, tap, known), []
    if is_known(site, tap) and not tap.instead:
        return Answer(200, {"recorded": True, "line": None, "said": "", "moves": None}), []
    try:
        entries = entries_of(site, lambda site, now: events_of(tap, site, now), clock, tap=tap.name)
    except InputError as error:
        may = tap.what not in ("undo", "lost", "felt") and not tap.instead
        return Answer(409, {"recorded": False, "said": error.faults[0].message, "instead": may}), []
    return _recorded(site, tap, entries[-1]), entries


def _recorded(site: Site, tap: Tap, entry: Entry) -> Answer:
    teller = Teller(site.job, site.titles)
    says = {"recorded": True, "line": entry.line, "said": teller.says(entry.event), "moves": None}
    return Answer(200, says | ({"off": tap.off} if abs(tap.off) > OFF else {}))
