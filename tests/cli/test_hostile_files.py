"""Whatever a job file holds, `check` says in one line what is wrong, with exit code 2, at once and in little room."""

from __future__ import annotations

import resource
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.running import run
from tests.support.lives import SHELF as GOOD

LATIN = GOOD.replace("Shelf wall", "Küche", 1)
BOMB = "a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]\n" for n in range(1, 10)
)
WORK = "work: 2 h"
START = "start: 2027-01-09"

REFUSED: dict[str, tuple[bytes, str]] = {
    "anchors that explode": (BOMB.encode(), ":5:25: more than 60000 values up to here; use fewer aliases"),
    "an anchor in itself": (b"a: &a [*a]\n", ":1:8: `*a` stands here, but no finished `&a` before it"),
    "50 MB": (b"# " + b"x" * (50 << 20), ": the file is larger than 1024 KiB"),
    "50 MB of brackets": (b"[" * (50 << 20), ": the file is larger than 1024 KiB"),
    "a million brackets": (b"[" * 1_000_000, ":1:25: more than 24 lists and blocks inside one another"),
    "a million dashes": (b"- " * 500_000, ":1:49: more than 24 lists and blocks inside one another"),
    "a million braces": (b"{a: " * 250_000, ":1:97: more than 24 lists and blocks inside one another"),
    "one line of a million letters": (
        GOOD.replace("Shelf wall", "x" * 1_000_000, 1).encode(),
        "`xxxxxxxxxxxxxxxxxxx…` has more than 500 letters",
    ),
    "UTF-16": (GOOD.encode("utf-16"), ": the file is written in UTF-16; save it as UTF-8"),
    "UTF-16 without a mark": (GOOD.encode("utf-16-le"), ": the file is written in UTF-16; save it as UTF-8"),
    "UTF-32": (GOOD.encode("utf-32"), ": the file is written in UTF-32; save it as UTF-8"),
    "Latin-1": (LATIN.encode("latin-1"), ":1:7: the byte 0xfc is no UTF-8; save the file as UTF-8"),
    "a picture": (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", ":1:1: the byte 0x89 is no UTF-8"),
    "NUL": (GOOD.replace("Shelf", "She\0lf", 1).encode(), "NUL (U+0000) stands here; take it out"),
    "a tab": (GOOD.replace("  den:", "\tden:", 1).encode(), "a tab stands here; indent with spaces"),
    "a key twice": (
        GOOD.replace(START, f"{START}\n{START}", 1).encode(),
        "`start` stands here twice, first in line 2",
    ),
    "1e400 of work": (GOOD.replace(WORK, "work: 1e400 h", 1).encode(), "`e` is no unit of duration"),
    "10**5000 of work": (GOOD.replace(WORK, f"work: 1{'0' * 5000} h", 1).encode(), "has more than 80 letters"),
    "10**5000 people": (
        GOOD.replace(WORK, f"work: 1 h, people: 1{'0' * 5000}", 1).encode(),
        "has more than 80 letters",
    ),
    "negative work": (GOOD.replace(WORK, "work: -2 h", 1).encode(), "`-2 h` is negative; write it without the minus"),
    "no work": (GOOD.replace(WORK, "work: 0 h", 1).encode(), "`0 h` is no time at all; write at least `1 min`"),
    "year 1": (GOOD.replace(START, "start: 0001-01-01", 1).encode(), "`0001-01-01` is before 2000"),
    "year 9999": (GOOD.replace(START, "start: 9999-12-31", 1).encode(), "`9999-12-31` is after 2199"),
    "a Cyrillic letter in a name": (
        GOOD.replace("  den:", "  d\u0435n:", 1).encode(),
        "`d\u0435n` mixes alphabets: it holds a CYRILLIC SMALL LETTER IE; write the name in one alphabet",
    ),
    "a name in look-alikes throughout": (
        "job: x\nstart: 2027-01-09\nzone: UTC\nhours: {on: Saturday, from: 8:30, to: 17:00}\n"
        "rooms: {den: {air: {day: 68 °F, night: 60 °F, humidity: 45 %}}}\n"
        "steps:\n  hop: {work: 1 h}\n  two: {work: 1 h, follows: \u04bb\u043e\u0440}\n".encode(),
        "no step or colour is called `\u04bb\u043e\u0440`; did you mean `hop`? "
        "Yours is written with a CYRILLIC SMALL LETTER SHHA",
    ),
    "a mark that turns what follows": (
        GOOD.replace("Shelf wall", "\u202emoor", 1).encode(),
        ":1:6: RIGHT-TO-LEFT OVERRIDE (U+202E) stands here; take it out",
    ),
}
READ = {
    "CRLF": GOOD.replace("\n", "\r\n").encode(),
    "CR": GOOD.replace("\n", "\r").encode(),
    "a byte order mark": b"\xef\xbb\xbf" + GOOD.encode(),
    "no line end at the end": GOOD.rstrip().encode(),
}


@pytest.mark.parametrize("name", REFUSED)
def test_one_line_and_exit_code_2(tmp_path: Path, name: str) -> None:
    """The place, what is wrong, and what would be right, a line for each fault; the file itself stays as it is."""
    data, said = REFUSED[name]
    file = tmp_path / "job.yaml"
    file.write_bytes(data)
    done = run("check", str(file))
    assert done.code == 2
    assert done.out == ""
    lines = done.err.splitlines()
    assert len([line for line in lines if said in line]) == 1
    for line in lines:
        assert line.startswith(str(file))
        assert "; " in line
        assert len(line) < len(str(file)) + 350
    assert line.isprintable()
    assert file.read_bytes() == data


@pytest.mark.parametrize("name", READ)
def test_what_is_only_unusual_is_read(tmp_path: Path, name: str) -> None:
    """Line ends of other systems and the mark of other editors change nothing."""
    file = tmp_path / "job.yaml"
    file.write_bytes(READ[name])
    done = run("check", str(file))
    assert (done.code, done.err) == (0, "")
    assert "no fault found" in done.out


@pytest.mark.skipif(sys.platform != "linux", reason="the limit of memory is set as Linux knows it")
@pytest.mark.parametrize("name", ["anchors that explode", "50 MB of brackets", "a million brackets"])
def test_in_little_room(tmp_path: Path, name: str) -> None:
    """A process that may have no more than 500 MB in all, its libraries included, says the line all the same."""
    file = tmp_path / "job.yaml"
    file.write_bytes(REFUSED[name][0])
    done = subprocess.run(
        [sys.executable, "-c", "from scheduler.cli import main; main()", "check", str(file)],
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (500 << 20, 500 << 20)),
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 2
    assert REFUSED[name][1] in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_a_note_cannot_turn_a_line_round(tmp_path: Path) -> None:
    """What turns the direction of a line is left out of the diary, and of what is shown of it."""
    file = tmp_path / "job.yaml"
    file.write_text(GOOD, encoding="utf-8")
    assert run("diary", str(file), "--note", "opened\u202e the\u200b can", "--reason", "\u2066x").code == 0
    assert "opened the can" in file.with_name("job.diary.jsonl").read_text("utf-8")
    file.with_name("job.diary.jsonl").write_text(
        '{"at": "2027-01-09T16:40:00-07:00", "what": "note", "text": "written \\u202e by hand"}\n', encoding="utf-8"
    )
    shown = run("diary", str(file)).out
    assert "written" in shown
    assert "\u202e" not in shown
