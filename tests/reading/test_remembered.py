"""What the shipped profiles come to is kept between commands; whatever happens to it, the records stay the same."""

from __future__ import annotations

import json
import os
import random
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import scheduler.reading.remembered as memory
from scheduler.errors import InputError
from scheduler.model.material import Material, Trade
from scheduler.model.plainform import plain, rich
from scheduler.reading import shipped
from scheduler.reading.methods import read_methods
from scheduler.reading.profiles import read_trade
from scheduler.reading.wares import read_wares
from tests.support.records import sums

FEW = ("shellac", "acrylic-latex-wall-paint", "drying-type-joint-compound")
ALWAYS = ("tape", "cautions", "wares", "kinds", "order")
"""What every job draws on, whatever it lays."""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An empty cache folder that is not there yet, inside the one that is named."""
    named = tmp_path / "deep" / "cache"
    monkeypatch.setenv(memory.VARIABLE, str(named))
    memory._mark.cache_clear()
    yield named / memory.OWN_FOLDER
    memory._mark.cache_clear()


def anew(monkeypatch: pytest.MonkeyPatch, names: tuple[str, ...] | None = FEW) -> Trade:
    """The families read out of their YAML files, with nothing kept."""
    with monkeypatch.context() as only_here:
        only_here.setenv(memory.VARIABLE, "")
        return read_trade(None, names)


def refuse_to_read(*_: object) -> None:
    raise AssertionError("a profile is read although it is remembered")


def test_every_shipped_record_comes_back_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    """Families, tape, cautions, methods and wares are the same, to the last figure, after a way through JSON."""
    monkeypatch.setenv(memory.VARIABLE, "")
    trade, methods, shelf = read_trade(None), read_methods(None), read_wares(None)
    for record in (*trade.materials, trade.tape, *trade.cautions, *methods.loaded.values(), shelf):
        kind: Any = type(record)
        assert repr(rich(kind, json.loads(json.dumps(plain(record))))) == repr(record)
    assert len(trade.materials) == len(trade.known) and len(methods.loaded) == len(methods.known)


def test_what_is_kept_is_not_read_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second command takes the records as they are kept, and they are those of the first."""
    first = read_trade(None, FEW)
    assert {path.stem for path in folder.iterdir()} == {*ALWAYS, *(f"material-{name}" for name in FEW)}
    monkeypatch.setattr("scheduler.reading.profiles.load_yaml", refuse_to_read)
    assert repr(read_trade(None, FEW)) == repr(first)


def test_what_else_lies_in_the_named_folder_is_left_alone(folder: Path) -> None:
    """Somebody's own tape.jsonl stays as it is, and nothing comes to lie beside it but one folder."""
    named = folder.parent
    named.mkdir(parents=True)
    (named / "tape.jsonl").write_text("my notes\n", encoding="utf-8")
    read_trade(None, FEW)
    assert {path.name for path in named.iterdir()} == {"tape.jsonl", folder.name}
    assert (named / "tape.jsonl").read_text(encoding="utf-8") == "my notes\n"
    assert (folder / "tape.jsonl").is_file()


def test_a_damaged_file_counts_as_none_and_is_written_anew(folder: Path) -> None:
    """Cut off, a bit changed, bytes put in, emptied, or another file's content: the records are what they are."""
    sound = read_trade(None, FEW)
    draw = random.Random(1)
    for _ in range(5):
        for way in range(6):
            _damage_one(way, folder, draw, sound)


def _damage_one(way: int, folder: Path, draw: random.Random, sound: Trade) -> None:
    victim = draw.choice(sorted(folder.iterdir()))
    content = victim.read_bytes()
    at = draw.randrange(len(content))
    damaged = [
        content[:at],
        content[:at] + bytes([content[at] ^ (1 << draw.randrange(8))]) + content[at + 1 :],
        content[:at] + draw.randbytes(20) + content[at:],
        b"",
        draw.choice(sorted(folder.iterdir())).read_bytes(),
        b"[" * 100_000,
    ]
    victim.write_bytes(damaged[way])
    assert repr(read_trade(None, FEW)) == repr(sound)
    assert victim.read_bytes() == content


def test_a_planted_record_changes_no_dry_time(folder: Path) -> None:
    """Somebody writes a file as this program would, but for one number: ten times as quick to recoat."""
    sound = read_trade(None, FEW)
    path = folder / "material-shellac.jsonl"
    head, body = path.read_bytes().split(b"\n", 1)
    record = json.loads(body)
    recoat = next(stage for stage in record["stages"] if stage["stage"] == "recoat")
    recoat["typical"] //= 10
    planted = json.dumps(record).encode("ascii")
    assert planted != body
    path.write_bytes(memory._head(path, json.loads(head)["from"]) + planted)
    assert repr(read_trade(None, FEW)) == repr(sound)
    assert path.read_bytes() == head + b"\n" + body


def test_a_sound_record_under_another_name_changes_no_dry_time(folder: Path) -> None:
    """The file of another family, its first line made to fit, is not taken for this one."""
    sound = read_trade(None, FEW)
    path, other = folder / "material-shellac.jsonl", folder / "material-acrylic-latex-wall-paint.jsonl"
    head, body = other.read_bytes().split(b"\n", 1)
    path.write_bytes(memory._head(path, json.loads(head)["from"]) + body)
    assert repr(read_trade(None, FEW)) == repr(sound)


def test_every_shipped_record_is_listed() -> None:
    """The list goes with the profiles. If this fails: `python -m tests.support.records` (until then they are only
    read each time)."""
    assert json.loads(memory.LISTED.read_bytes()) == sums()


def test_a_record_that_is_not_listed_is_read_each_time(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the list knows nothing of a profile, nothing is kept that could be taken for it."""
    monkeypatch.setattr(memory, "_sums", dict)
    assert repr(read_trade(None, FEW)) == repr(anew(monkeypatch))
    assert not folder.exists()


def test_another_program_or_other_profiles_made_another_record(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shipped profile that was edited since is read, though its file of the cache is whole."""
    read_trade(None, FEW)
    edited = tmp_path / "profiles"
    shutil.copytree(shipped.shipped_profiles(), edited)
    file = edited / "materials" / "shellac.yaml"
    title = read_trade(None, FEW).material("shellac")
    assert title is not None
    text = file.read_text("utf-8")
    assert f"title: {title.title}" in text
    file.write_text(text.replace(f"title: {title.title}", "title: Another one"), "utf-8")
    monkeypatch.setattr("scheduler.reading.profiles.shipped_profiles", lambda: edited)
    monkeypatch.setattr("scheduler.reading.remembered.shipped_profiles", lambda: edited)
    monkeypatch.setattr("scheduler.reading.shipped.shipped_profiles", lambda: edited)
    changed = read_trade(None, FEW).material("shellac")
    assert changed is not None and changed.title == "Another one"


def test_a_program_of_the_same_age_and_size_is_another_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Packages built to repeat byte for byte give one time to all files: only what they hold tells versions apart."""
    reader = tmp_path / "reader.py"
    monkeypatch.setattr(memory, "_READERS", (tmp_path,))
    marks = set()
    for said in ("HOURS = 3", "HOURS = 4"):
        reader.write_text(said, "utf-8")
        os.utime(reader, (315532800, 315532800))
        memory._mark.cache_clear()
        marks.add(memory._mark(shipped.shipped_profiles()))
    memory._mark.cache_clear()
    assert len(marks) == 2


def test_a_fault_is_never_kept(folder: Path) -> None:
    """What can't be read is said each time."""

    def broken() -> Material:
        raise InputError([])

    for _ in range(2):
        with pytest.raises(InputError):
            memory.remembered("material-broken", Material, broken)
    assert not folder.exists()


@pytest.mark.parametrize("way", ["a file", "a folder of each name", "read only", "nowhere", "no name"])
def test_a_folder_that_cannot_be_used_harms_nobody(
    way: str, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where nothing can be kept, everything is read, and nobody hears of it."""
    if way == "a file":
        folder.parent.mkdir(parents=True)
        folder.write_text("this is no folder")
    elif way == "a folder of each name":
        for name in (*ALWAYS, *(f"material-{name}" for name in FEW)):
            (folder / f"{name}.jsonl").mkdir(parents=True)
    elif way == "read only":
        folder.mkdir(parents=True)
        folder.chmod(0o500)
    elif way == "nowhere":
        monkeypatch.setenv(memory.VARIABLE, "/proc/no/such/place")
    else:
        monkeypatch.setenv(memory.VARIABLE, "x" * 5000)
    assert repr(read_trade(None, FEW)) == repr(anew(monkeypatch))
    if way == "read only":
        folder.chmod(0o700)


def test_a_user_without_a_home_keeps_nothing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Where nobody knows what `~` stands for, no folder of that name is made where the command runs."""
    monkeypatch.delenv(memory.VARIABLE)
    monkeypatch.setattr("platformdirs.user_cache_path", lambda *_, **__: Path("~/.cache/tackfree"))
    monkeypatch.chdir(tmp_path)
    assert read_trade(None, FEW).materials
    assert not list(tmp_path.iterdir())


@pytest.mark.long
def test_many_commands_at_once_leave_whole_files(folder: Path) -> None:
    """Four at once on an empty cache: all succeed, and each file is whole, without a left-over beside it."""
    code = "from scheduler.reading.profiles import read_trade; print(repr(read_trade(None, {names!r})))"
    command = [sys.executable, "-c", code.format(names=FEW)]
    both = [subprocess.Popen(command, stdout=subprocess.PIPE, env=os.environ) for _ in range(4)]
    said = {process.communicate()[0] for process in both}
    assert len(said) == 1 and not any(process.returncode for process in both)
    for path in folder.iterdir():
        head, body = path.read_bytes().split(b"\n", 1)
        assert memory._head(path, json.loads(head)["from"]) == head + b"\n" and memory.is_listed(path.stem, body)
    assert len(list(folder.iterdir())) == len(FEW) + len(ALWAYS)


def test_an_own_profile_is_read_each_time(folder: Path, tmp_path: Path) -> None:
    """Only what is shipped is kept: a person's own family is there as soon as it is saved."""
    own = tmp_path / "profiles" / "materials"
    own.mkdir(parents=True)
    for title in ("One", "Two"):
        (own / "mine.yaml").write_text(f"based_on: shellac\ntitle: {title}\nsource: from memory\n", "utf-8")
        mine = read_trade(tmp_path, ["mine"]).material("mine")
        assert mine is not None and mine.title == title
    assert not list(folder.glob("*mine*"))
