"""The way of somebody who meets tackfree for the first time: from the built wheel, by what the README files show."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import sysconfig
import venv
from collections.abc import Callable
from datetime import date, datetime
from html.parser import HTMLParser
from pathlib import Path
from zipfile import ZipFile
from zoneinfo import ZoneInfo

import icalendar
import pytest
import recurring_ical_events

from tests.support.consoles import FILES, ROOT

PAGES = "".join(file.read_text("utf-8") for file in FILES)
ZONE = ZoneInfo("America/Denver")
Command = Callable[..., str]
_SESSION = re.compile(
    r"^[A-Z]\w+day (\d+ \w+), (\d+:\d\d(?: am| pm)?|noon)–(\d+:\d\d [ap]m|noon) \(.*session \d+\)$", re.M
)


def quietly(*args: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    """A program run away from this checkout: nothing of it may lean in."""
    environ = {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "VIRTUAL_ENV")}
    environ |= {"TZ": "America/Denver", "COLUMNS": "80", "PYTHONIOENCODING": "utf-8"}
    return subprocess.run(
        [str(arg) for arg in args], cwd=cwd, env=environ, capture_output=True, text=True, encoding="utf-8",
        stdin=subprocess.DEVNULL, check=False,
    )  # fmt: skip


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The command in an empty environment, out of the wheel as it is built from this checkout.

    TACKFREE_INSTALLED names one that was installed so before, its wheel beside its environment, as .ci/run does.
    Without a package index its dependencies are those of the environment that runs the tests; its own files never.
    """
    if "TACKFREE_INSTALLED" in os.environ:
        return Path(os.environ["TACKFREE_INSTALLED"])
    if not (ROOT / "scheduler").is_dir():
        pytest.skip("there is no source here to build a wheel from")
    folder = tmp_path_factory.mktemp("first")
    wheel = (sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", folder)
    if (
        quietly(*wheel, ROOT, cwd=folder).returncode
        and quietly(*wheel, "--no-build-isolation", ROOT, cwd=folder).returncode
    ):
        pytest.skip("no index, and hatchling is not installed: no wheel can be built")
    (built,) = folder.glob("*.whl")
    venv.create(folder / "venv", with_pip=True)
    bin_folder = folder / "venv" / "bin"
    if quietly(bin_folder / "pip", "install", "-q", built, cwd=folder).returncode:
        done = quietly(bin_folder / "pip", "install", "-q", "--no-deps", "--no-index", built, cwd=folder)
        assert done.returncode == 0, done.stderr
        (site,) = (folder / "venv").glob("lib/python*/site-packages")
        (site / "borrowed.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    return bin_folder / "tackfree"


@pytest.fixture
def tackfree(installed: Path, tmp_path: Path) -> Command:
    """A command of tackfree, typed where the person keeps their jobs; it must do what is asked."""

    def type_in(verb: str, *words: str) -> str:
        assert f"tackfree {verb} " in PAGES, f"no README names {verb}"
        done = quietly(installed, verb, *words, cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        return done.stdout

    return type_in


def told(agenda: str) -> list[tuple[datetime, datetime]]:
    """When the printed agenda has sessions: `Saturday 5 December, 9:00 am–4:59 pm (two people, session 1)`.

    The job begins in December 2026; what is not in that month is in the year after.
    """
    found = []
    for day, start, end in _SESSION.findall(agenda):
        half = "" if start.endswith("m") or start == "noon" else end[-3:]
        year = 2026 if day.endswith("December") else 2027
        first, last = (
            datetime.strptime(f"{day} {year} {_clock(text)}", "%d %B %Y %I:%M %p") for text in (start + half, end)
        )
        found.append((first.replace(tzinfo=ZONE), last.replace(tzinfo=ZONE)))
    return found


def _clock(text: str) -> str:
    return "12:00 pm" if text.startswith("noon") else text


def imported(file: Path) -> list[tuple[datetime, datetime]]:
    """When a calendar program has the sessions of the file, by libraries that are not ours."""
    calendar = icalendar.Calendar.from_ical(file.read_bytes())
    events = recurring_ical_events.of(calendar).between(date(2026, 12, 1), date(2027, 6, 1))
    sessions = [event for event in events if "-session-" in event["UID"] and event.get("STATUS") != "CANCELLED"]
    spans = [(event.start.astimezone(ZONE), event.end.astimezone(ZONE)) for event in sessions]
    return sorted(spans)


class _Text(HTMLParser):
    """What a browser shows of a page, and what it would fetch."""

    def __init__(self) -> None:
        super().__init__()
        self.said, self.fetched = "", list[str]()

    def handle_data(self, data: str) -> None:
        self.said += data

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.fetched += [value or "" for name, value in attrs if name in ("src", "srcset") and tag != "a"]


def edited(file: Path, *edits: tuple[str, str]) -> None:
    """The file after a person has changed some values in it by hand."""
    text = file.read_text("utf-8")
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    file.write_text(text, encoding="utf-8")


@pytest.mark.long
def test_the_licence_is_in_the_wheel(installed: Path) -> None:
    """What is installed brings the terms under which it may be used, and says their name."""
    (built,) = installed.parents[2].glob("*.whl")
    with ZipFile(built) as wheel:
        (licence,) = [name for name in wheel.namelist() if name.endswith(".dist-info/licenses/LICENSE")]
        assert wheel.read(licence) == (ROOT / "LICENSE").read_bytes()
        (metadata,) = [name for name in wheel.namelist() if name.endswith(".dist-info/METADATA")]
        assert b"\nLicense-Expression: MIT\n" in wheel.read(metadata)


@pytest.mark.long
def test_the_first_job(installed: Path, tackfree: Command, tmp_path: Path) -> None:
    """Starter, three values changed, check, plan, calendar, a step done, a delivery late, the page."""
    where = quietly(installed.with_name("python"), "-c", "import scheduler; print(scheduler.__file__)", cwd=tmp_path)
    assert Path(where.stdout.strip()).is_relative_to(installed.parents[1]), "the wheel's own files are used"
    now = ("--as-of", "2026-12-01")

    # 1. A job to begin with.
    said = tackfree("starter", "spare-room", "--kind", "repaint", *now)
    assert said == "Wrote spare-room/job.yaml: repaint a room. Edit the values, then: tackfree plan spare-room\n"

    # 2. Three values are changed: a wall, the hours of Saturday, and paint that has not come and that the walls need.
    edited(
        tmp_path / "spare-room" / "job.yaml",
        ("length: 13 ft ", "length: 12 ft "),
        ("on: Saturday, from: 9:00", "on: Saturday, from: 8:00"),
        ("# on order:\n#   lamp: {title: New lamp, comes: 2026-12-17, order time: 3 weeks}",
         "on order:\n  paint: {title: Wall paint, comes: 2026-12-11, order time: 1 week}"),
        ("acrylic-latex-wall-paint, coats: 2}", "acrylic-latex-wall-paint, coats: 2, needs: [paint]}"),
    )  # fmt: skip
    said = tackfree("check", "spare-room")
    assert re.search(r"floor area +132 sq ft", said)  # 12 ft × 11 ft
    assert said.endswith("no fault found.\n")

    # 3. The plan, and what a calendar program makes of its file.
    plan = tackfree("plan", "spare-room", "--all", *now, "--ics", "spare-room.ics")
    assert plan.startswith("Repaint: spare room: done on ")
    assert "\nSaturday 5 December, 8:00 am–" in plan, "Saturday begins when the person now says"
    sessions = told(plan)
    assert len(sessions) == int(re.search(r"(\d+) sessions on", plan)[1])  # type: ignore[index]
    assert imported(tmp_path / "spare-room.ics") == sessions
    assert "lead" in plan and "ladder" in plan, "the cautions of the methods are in it"

    # 4. The furniture took an hour and a half; it was to take less than an hour.
    said = tackfree(
        "did", "spare-room", "spare-room-clear", "--at", "2026-12-05T09:30", "--as-of", "2026-12-05T09:35"
    )
    assert said.startswith("Recorded: Carry the furniture out: done Saturday 5 December, 9:30 am.\n")
    assert "Carry the furniture out" in tackfree("diary", "spare-room")

    # 5. The paint comes two weeks later: no coat before it, other work goes on, and the calendar follows.
    before = tackfree("plan", "spare-room", "--all", "--as-of", "2026-12-05T09:36")
    said = tackfree(
        "late", "spare-room", "paint", "2026-12-24", "--as-of", "2026-12-05T09:40", "--ics", "spare-room.ics"
    )
    assert said.startswith("Recorded: Wall paint: comes Thursday 24 December 2026.\nThe end moves from ")
    after = tackfree("plan", "spare-room", "--all", "--as-of", "2026-12-05T09:40")
    assert told(before)[-1] < told(after)[-1]
    coat = told(after[: after.index("warm white: coat 1 of 2")])[-1]
    assert coat[0] >= datetime(2026, 12, 24, tzinfo=ZONE), "the first coat lies in a session after the delivery"
    assert imported(tmp_path / "spare-room.ics") == told(after)

    # 6. The page for the wall of the garage: it says the same, and fetches nothing.
    tackfree("plan", "spare-room", "--as-of", "2026-12-05T09:41", "--page", "plan.html")
    page = _Text()
    page.feed((tmp_path / "plan.html").read_text("utf-8"))
    assert "Repaint: spare room" in page.said and "warm white: coat 1 of 2" in page.said
    assert all(not source or source.startswith("data:") for source in page.fetched)
