"""Readers outside of Python, each in a process of its own: what they make of a file, and why one can't be asked."""

from __future__ import annotations

import ctypes
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

HERE = Path(__file__).parent
NODE_FOLDER = "TACKFREE_NODE_READERS"
"""The environment variable that names a folder into which npm has installed ical.js and node-ical."""
ALL = "TACKFREE_ALL_READERS"
"""Set to 1 where every reader must be there, as in CI."""
SABRE = Path("/usr/share/php/Sabre/VObject/autoload.php")

Seen = tuple[date, date, int, str, bool, tuple[int, ...]]
"""Start, end, sequence, status, whether it leaves the time free, alarms in seconds from the start."""


@dataclass(frozen=True)
class Outside:
    """A reader: the command that prints what it reads, and what is missing for it (nothing: an empty text)."""

    name: str
    command: Callable[[Path], list[str]]
    missing: Callable[[], str]

    def read(self, file: Path) -> dict[str, Seen]:
        """{uid: what it sees}. A reader that fails is a failure of the test."""
        done = subprocess.run(
            self.command(file),
            capture_output=True,
            text=True,
            check=False,
            timeout=60,
            env={**os.environ, "TZ": "UTC"},
        )
        assert done.returncode == 0, f"{self.name}: {done.stderr[-2000:]}"
        events = json.loads(done.stdout)
        assert len({event["uid"] for event in events}) == len(events), f"{self.name} sees an event twice"
        return {event["uid"]: _seen(event) for event in events}


def _seen(event: dict[str, object]) -> Seen:
    start, end, sequence, alarms = event["start"], event["end"], event["sequence"], event["alarms"]
    assert isinstance(sequence, int)
    assert isinstance(alarms, list)
    status, free = str(event["status"]), event["transparent"] is True
    return _moment(str(start)), _moment(str(end)), sequence, status, free, tuple(alarms)


def _moment(text: str) -> date:
    if len(text) == 8:
        return date(int(text[:4]), int(text[4:6]), int(text[6:]))
    return datetime.strptime(text, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)


def _node(adapter: str, package: str) -> Outside:
    def command(file: Path) -> list[str]:
        return ["node", str(HERE / adapter), os.environ[NODE_FOLDER], str(file)]

    def missing() -> str:
        if shutil.which("node") is None:
            return "node is not installed"
        if not os.environ.get(NODE_FOLDER):
            return f"{NODE_FOLDER} names no folder with node_modules/{package}"
        there = (Path(os.environ[NODE_FOLDER]) / "node_modules" / package).is_dir()
        return "" if there else f"{package} is not in the folder that {NODE_FOLDER} names"

    return Outside(package, command, missing)


def _sabre_missing() -> str:
    return "" if shutil.which("php") and SABRE.exists() else "php-cli and php-sabre-vobject are not installed"


def _libical_missing() -> str:
    try:
        ctypes.CDLL("libical.so.3")
    except OSError:
        return "libical3 is not installed"
    return ""


OUTSIDE = (
    _node("ical_js.mjs", "ical.js"),
    _node("node_ical.mjs", "node-ical"),
    Outside("sabre/vobject", lambda file: ["php", str(HERE / "sabre.php"), str(file)], _sabre_missing),
    Outside("libical", lambda file: [sys.executable, str(HERE / "libical.py"), str(file)], _libical_missing),
)
