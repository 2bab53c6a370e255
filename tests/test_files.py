"""Files that are written whole or not at all, whoever else writes them at the same moment."""

from __future__ import annotations

import errno
import subprocess
import sys
from pathlib import Path

import pytest

from scheduler.files import append_whole, is_one, sweep, write_whole

WRITER = """
import sys
from pathlib import Path
from scheduler.files import write_whole
for number in range(60):
    write_whole(Path(sys.argv[1]), (sys.argv[2] * 20_000).encode())
"""


def test_two_that_write_one_file_at_once_both_succeed(tmp_path: Path) -> None:
    """Each sweeps away what it takes for left by a kill: the other writes it once more. What is there is one's."""
    file = tmp_path / "plan.html"
    both = [subprocess.Popen([sys.executable, "-c", WRITER, str(file), sign]) for sign in "ab"]
    assert [each.wait() for each in both] == [0, 0]
    assert file.read_bytes() in (b"a" * 20_000, b"b" * 20_000)
    assert list(tmp_path.iterdir()) == [file]


def test_a_file_that_is_swept_while_it_is_written_is_written_once_more(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Just before it takes its name another command takes it away."""
    file, swept = tmp_path / "plan.html", []
    replace = Path.replace

    def gone(part: Path, target: Path) -> Path:
        if not swept:
            swept.append(part)
            sweep(file)
        return replace(part, target)

    monkeypatch.setattr(Path, "replace", gone)
    write_whole(file, b"new")
    assert file.read_bytes() == b"new" and len(swept) == 1
    assert list(tmp_path.iterdir()) == [file]


def test_an_error_names_the_file_that_was_asked_for(tmp_path: Path) -> None:
    """Not the one beside it, which nobody has heard of; a folder that is gone is said at once."""
    with pytest.raises(FileNotFoundError) as caught:
        write_whole(tmp_path / "gone" / "plan.html", b"new")
    assert caught.value.filename == str(tmp_path / "gone" / "plan.html")
    with pytest.raises(OSError, match="directory") as refused:
        append_whole(tmp_path, b"new")
    assert (refused.value.errno, refused.value.filename) == (errno.EISDIR, str(tmp_path))


def test_a_name_through_a_link_or_in_other_letters_is_the_same_file(tmp_path: Path) -> None:
    """Whether there is such a file or not; in a folder that tells letters apart nothing is lost by it."""
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to("real")
    (tmp_path / "to").symlink_to("real/plan.ics")
    for other in ("link/plan.ics", "real/../link/PLAN.ics", "to"):
        assert is_one(tmp_path / "real" / "plan.ics", tmp_path / other), other
    for other in ("link/plan.html", "plan.ics", "none/plan.ics"):
        assert not is_one(tmp_path / "real" / "plan.ics", tmp_path / other), other
