"""Kills commands at random instants and looks at what is left; prints one JSON line with what it saw.

    python -m tests.living.killing FOLDER KILLS

The folder holds a job file. Each command runs in a child of this process, which has everything loaded already, so
that its life is spent on reading, recording, planning and writing; it is killed (SIGKILL) after a random part of it.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import time
from importlib import import_module
from pathlib import Path
from random import Random

import icalendar

from scheduler.cli import main
from scheduler.diary.kept import read_kept
from scheduler.diary.record import Files, read_record
from scheduler.model.diary import Entry

LOADED = (
    "living.change",
    "living.notes",
    "living.asking",
    "telling.text.aftermath",
    "telling.text.agenda",
    "calendar.write",
    "telling.text.moves",
    "telling.text.diary",
)
AS_OF = ("--as-of", "2027-01-09T20:00")
COMMANDS = (
    ("late", "boards", "2027-01-23"),
    ("did", "sand", "--at", "10:10"),
    ("late", "boards", "2027-01-30", "--reason", "the mill is behind"),
    ("did", "sand", "--undo"),
    ("late", "boards", "2027-02-06"),
    ("did", "sand", "--left", "20 min", "--at", "11:00"),
    ("did", "sand", "--undo"),
)


def start(job: Path, said: Path, *args: str) -> int:
    """A child that runs one command, with what it says in a file."""
    child = os.fork()
    if child:
        return child
    code = 1
    try:
        out = os.open(said, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(out, 1)
        os.dup2(out, 2)
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stderr = open(2, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.argv = ["tackfree", args[0], str(job), *args[1:], *AS_OF, "--ics", str(job.with_name("wall.ics"))]
        main()
        code = 0
    except SystemExit as stop:
        code = stop.code if isinstance(stop.code, int) else 1
    finally:
        sys.stdout.flush()
        os._exit(code)


def whole(job: Path) -> None:
    """The calendar file and the kept plan can be read to their ends."""
    content = job.with_name("wall.ics").read_bytes()
    assert content.endswith(b"END:VCALENDAR\r\n")
    assert icalendar.Calendar.from_ical(content).walk("VEVENT")
    read_kept(Files(job))


def entries(job: Path) -> tuple[Entry, ...]:
    return read_record(Files(job)).entries


def lived(job: Path, said: Path) -> float:
    """A command that nobody kills: it works. How long it takes in seconds: what a kill has to choose from."""
    begun = time.perf_counter()
    assert os.waitpid(start(job, said, "plan", "--all"), 0)[1] == 0, said.read_text("utf-8")
    return time.perf_counter() - begun


def run(folder: Path, kills: int) -> dict[str, int]:
    """So many kills; AssertionError for anything that is lost, half or no longer works."""
    job, said = folder / "job.yaml", folder.parent / f"{folder.name}.said"
    random = Random(7)
    lived(job, said)
    life = lived(job, said)
    seen = {"kills": 0, "ended before the kill": 0, "acknowledged": 0, "recorded, not acknowledged": 0, "torn": 0}
    turn = 0
    while seen["kills"] < kills:
        before = entries(job)
        child = start(job, said, *COMMANDS[turn % len(COMMANDS)])
        turn += 1
        time.sleep(random.uniform(0.1 * life, 2 * life))  # a change takes longer than a plan that stands
        os.kill(child, signal.SIGKILL)
        status = os.waitpid(child, 0)[1]
        seen["kills" if os.WIFSIGNALED(status) else "ended before the kill"] += 1
        after = entries(job)
        acknowledged = said.read_text("utf-8").count("Recorded: ")
        assert after[: len(before)] == before, "an entry is gone, or another"
        # a command says it once it is written, and a correction writes two: what it takes back, what it says instead
        assert acknowledged <= len(after) - len(before) <= 2, "what was acknowledged is not there"
        seen["acknowledged"] += acknowledged
        seen["recorded, not acknowledged"] += len(after) - len(before) - acknowledged
        seen["torn"] += bool(read_record(Files(job)).torn)
        whole(job)
        life = lived(job, said)
        whole(job)
        assert entries(job) == after
        assert not list(folder.glob("*.part")) + list(folder.glob(".*.part")), "half a file is left"
    return seen


if __name__ == "__main__":
    for name in LOADED:
        import_module(f"scheduler.{name}")
    print(json.dumps(run(Path(sys.argv[1]), int(sys.argv[2]))))
