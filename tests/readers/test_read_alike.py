"""Seven readers that have nothing to do with each other see the same calendar, and it is the one that was meant.

UID, start and end in UTC, sequence, status, whether it takes up time, and alarms; of every example, before and after
a delay. A reader that is not installed is named in the reason for which its test is skipped; where
TACKFREE_ALL_READERS is 1 (CI installs them all) it is a failure.
"""

from __future__ import annotations

import os
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.model.ledger import Exported, Ledger
from tests.calendar.readers import READERS
from tests.readers.outside import ALL, OUTSIDE, Outside, Seen
from tests.support.delayed import before_and_after, examples

pytestmark = pytest.mark.long

CASES = [(example, which, form) for example in examples() for which in (0, 1) for form in ("utc", "zoned")]


def meant(ledger: Ledger) -> dict[str, Seen]:
    """What a reader must see, by what the plan handed over."""
    return {entry.event.uid: _meant(entry) for entry in ledger.entries if not entry.retired}


def _meant(entry: Exported) -> Seen:
    event = entry.event
    status = "CANCELLED" if entry.withdrawn else "TENTATIVE" if event.proposed else "CONFIRMED"
    alarms = () if event.remind is None else (-60 * event.remind,)
    return _moment(event.start), _moment(event.end), entry.sequence, status, not event.busy, alarms


def _moment(value: int | date) -> date:
    return value if isinstance(value, date) else datetime(1970, 1, 1, tzinfo=UTC) + timedelta(minutes=value)


def written(example: str, which: int, form: str) -> tuple[bytes, dict[str, Seen]]:
    file = before_and_after(example)[which]
    return (file.utc if form == "utc" else file.zoned), meant(file.ledger)


def test_there_is_something_to_read() -> None:
    """The delay moves, withdraws and adds; there are alarms, whole days, and both sides of a change of clocks."""
    added: list[str] = []
    withdrawn = 0
    for example in examples():
        first, then = (meant(file.ledger) for file in before_and_after(example))
        assert any(sequence > 0 for _, _, sequence, *_ in then.values())
        assert any(alarms for *_, alarms in then.values())
        withdrawn += sum(status == "CANCELLED" for *_, status, _, _ in then.values())
        added += then.keys() - first.keys()
    assert withdrawn > 1
    assert added  # a short job may be moved whole, with nothing new in it


def test_seven_readers_are_asked() -> None:
    names = {*READERS, *(reader.name for reader in OUTSIDE)}
    assert names == {"icalendar", "ical", "vobject", "ical.js", "node-ical", "sabre/vobject", "libical"}


@pytest.mark.parametrize(("example", "which", "form"), CASES)
@pytest.mark.parametrize("name", READERS)
def test_python_readers_see_what_was_meant(name: str, example: str, which: int, form: str) -> None:
    file, wanted = written(example, which, form)
    read = READERS[name](file)
    seen = {uid: (*each[:5], tuple(each[7])) for uid, each in read.items()}
    assert seen == wanted


@pytest.mark.parametrize("reader", OUTSIDE, ids=lambda reader: reader.name)
def test_other_readers_see_what_was_meant(reader: Outside, tmp_path: Path) -> None:
    missing = reader.missing()
    if missing:
        assert os.environ.get(ALL) != "1", f"{reader.name} must be asked here: {missing}"
        pytest.skip(f"{reader.name} was not asked: {missing}")
    for example, which, form in CASES:
        content, wanted = written(example, which, form)
        file = tmp_path / f"{example}-{which}-{form}.ics"
        file.write_bytes(content)
        assert reader.read(file) == wanted, (example, which, form)
