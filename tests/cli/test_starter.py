"""`tackfree starter`: questions on a terminal, a shipped kind without; nothing is lost, whatever goes wrong."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from scheduler.reading.jobfile import read_job
from tests.cli.running import run
from tests.cli.terminal import CTRL_C, CTRL_D, at_terminal

NOTHING = "Stopped half way: nothing is written.\n"


@pytest.mark.parametrize(
    ("said", "kind", "start"),
    [
        (["--kind", "panel-wall"], "panel wall", "2026-12-10"),
        (["--kind", "repaint"], "repaint a room", "2026-12-03"),
        (["--kind", "Floor"], "floor", "2026-12-03"),
        (["--kind", "bathroom wall"], "bathroom wall", "2026-12-12"),
        ([], "repaint a room", "2026-12-03"),
    ],
)
def test_a_kind_without_a_question(tmp_path: Path, said: list[str], kind: str, start: str) -> None:
    """A kind by any of its names; without a terminal and without a kind it is the repaint of a room.

    It begins on the first day with hours after that Tuesday, a Thursday. Where wood is to lie in the room for a week,
    bought on the day after, it is the Thursday after; where tiles take a week to come, with 3 days to spare, the
    Saturday after that.
    """
    folder = tmp_path / "back-bedroom"
    ran = run("starter", str(folder), *said, "--as-of", "2026-12-01")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out == f"Wrote {folder}/job.yaml: {kind}. Edit the values, then: tackfree plan {folder}\n"
    assert [room.title for room in read_job(folder / "job.yaml").rooms] == ["back bedroom"]
    assert f"start: {start} " in (folder / "job.yaml").read_text("utf-8")


def test_a_kind_that_there_is_not(tmp_path: Path) -> None:
    """One line, and nothing is made."""
    ran = run("starter", str(tmp_path / "new"), "--kind", "panle-wall")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == "starter: no starter job is called `panle-wall`; did you mean `panel wall`?\n"
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize("kind", ["", "7", "wall", "-"])
def test_no_word_of_a_kind(tmp_path: Path, kind: str) -> None:
    """What may be two kinds, or none, is told with those that there are."""
    ran = run("starter", str(tmp_path / "new"), "--kind", kind)
    assert (ran.code, ran.out) == (2, "")
    assert "`bathroom wall`" in ran.err and "`shower wall`" in ran.err
    assert not (tmp_path / "new").exists()


def test_a_line_break_in_the_name_of_the_folder(tmp_path: Path) -> None:
    """The folder is made all the same, and what is said of it stays one line."""
    ran = run("starter", str(tmp_path / "a\nb"), "--kind", "floor")
    assert (ran.code, ran.out.count("\n")) == (0, 1)
    assert (tmp_path / "a\nb" / "job.yaml").is_file()


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on the size of a file there")
def test_no_room_for_the_file(tmp_path: Path) -> None:
    """Where the file breaks off at 1,000 bytes (RLIMIT_FSIZE) nothing of it stays, and the next try is free."""
    import resource

    folder = tmp_path / "new"
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, hard))
    try:
        ran = run("starter", str(folder), "--kind", "floor")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert (ran.code, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert ran.err.startswith(f"{folder}/job.yaml: ")
    assert not list(folder.iterdir())
    assert run("starter", str(folder), "--kind", "floor").code == 0


def test_never_over_something(tmp_path: Path) -> None:
    """A job that is there, or a file in the place of the folder, is left as it is, and nobody is asked first."""
    (tmp_path / "job.yaml").write_text("mine", encoding="utf-8")
    for folder, taken in ((tmp_path, tmp_path / "job.yaml"), (tmp_path / "job.yaml", tmp_path / "job.yaml")):
        ran = run("starter", str(folder), "--kind", "floor")
        assert (ran.code, ran.out) == (2, "")
        assert ran.err == f"{taken}: is there already and is left as it is; name another folder\n"
        assert at_terminal(["starter", str(folder)], [], tmp_path).code == 2
    assert (tmp_path / "job.yaml").read_text("utf-8") == "mine"


def test_enter_to_every_question(tmp_path: Path) -> None:
    """Enter to all questions makes a job that plans."""
    shown = at_terminal(["starter", "den", "--as-of", "2026-12-01"], [], tmp_path, TZ="America/Denver")
    assert shown.code == 0
    assert shown.text.count("\n> ") == 14, "thirteen questions, and a last look"
    assert re.findall(r"^(\d+/\d+)  ", shown.text, re.M) == [f"{number}/13" for number in range(2, 14)]
    assert shown.text.endswith("Wrote den/job.yaml: repaint a room. Edit the values, then: tackfree plan den\n")
    assert max(map(len, shown.text.splitlines())) <= 80
    ran = run("plan", str(tmp_path / "den"), "--as-of", "2026-12-01", "--effort", "50")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith("Repaint: den ")


def test_questions_are_counted_as_they_come(tmp_path: Path) -> None:
    """Of two kinds of work there are more: 2 of 15 comes after the first, and none is left out."""
    shown = at_terminal(["starter", "den", "--as-of", "2026-12-01"], ["6, 8"], tmp_path, TZ="America/Denver")
    assert re.findall(r"^(\d+/\d+)  ", shown.text, re.M) == [f"{number}/15" for number in range(2, 16)]
    assert "[1 layer]" in shown.text


def test_nonsense_is_told_and_asked_again(tmp_path: Path) -> None:
    """Each answer is read at once; what can't be is told in a line, and the same question stands."""
    typed = [
        *("roof", "panel"),
        *("big", "4.2 m x 3.5 m x 2.5 m"),
        *("a cat", "1 door, 1 window"),
        *("north up to 9 m", "north and east up to 1.2 m"),
        *("9", "latex"),
        *("a: b", "x" * 300, "deep green, chalk"),
        *("Saturday 9 to 5", "Saturday 9:00 to 17:00, Wednesday 18:00 to 21:00"),
        *("many", "1"),
        *("boards soon", "boards in 3 weeks"),
        *("yesterday", "2026-12-05"),
        *("at night", "none"),
        *("Mars", "America/Denver"),
        *("walls", "attic"),
    ]
    shown = at_terminal(["starter", "den", "--as-of", "2026-12-01"], typed, tmp_path)
    assert shown.code == 0
    assert shown.text.count("\n> ") == len(typed) + 1, "and a last look"
    assert "Traceback" not in shown.text
    job = read_job(tmp_path / "den" / "job.yaml")
    assert {colour.title for colour in job.colours} == {"deep green", "chalk"}
    assert [item.title for item in job.items] == ["boards"]
    assert {hours.people for hours in job.hours} == {1}
    assert run("plan", str(tmp_path / "den"), "--as-of", "2026-12-01", "--effort", "50").code == 0


@pytest.mark.parametrize(("key", "code"), [(CTRL_C, 130), (CTRL_D, 2)])
@pytest.mark.parametrize("answered", [0, 4, 9])
def test_half_way_nothing_is_written(tmp_path: Path, key: str, code: int, answered: int) -> None:
    """Ctrl-C or the end of input: one line, no file, no folder."""
    shown = at_terminal(["starter", "den"], [*[""] * answered, key], tmp_path)
    assert shown.code == code
    assert shown.text.endswith(NOTHING)
    assert "Traceback" not in shown.text
    assert list(tmp_path.iterdir()) == []


def test_hours_into_which_nothing_fits(tmp_path: Path) -> None:
    """A coat that is longer than every stretch of hours is told, and other hours are asked for."""
    typed = ["floor", *[""] * 5, "Tuesday 19:00 to 20:30", "1", *[""] * 5, "soon", "Sat 8:00 to 17:00", "2"]
    shown = at_terminal(["starter", "den"], typed, tmp_path)
    assert shown.code == 0
    assert "With these hours no plan is possible." in shown.text
    assert "make one session longer" in " ".join(shown.text.split())
    assert {hours.people for hours in read_job(tmp_path / "den" / "job.yaml").hours} == {2}


def test_hours_that_are_kept_all_the_same(tmp_path: Path) -> None:
    """Enter keeps the hours: the file is written, and it is said that it does not plan yet."""
    typed = ["floor", *[""] * 5, "Tuesday 19:00 to 20:30", "1", *[""] * 6]
    shown = at_terminal(["starter", "den"], typed, tmp_path)
    assert shown.code == 0
    assert "den/job.yaml: floor. No plan is possible yet: " in shown.text
    assert run("check", str(tmp_path / "den")).code == 0


@pytest.mark.parametrize(
    "environ", [{"PYTHONIOENCODING": "ascii"}, {"LC_ALL": "C"}, {"COLUMNS": "20"}, {"NO_COLOR": "1"}]
)
def test_letters_that_the_terminal_has_not(tmp_path: Path, environ: dict[str, str]) -> None:
    """A colour in letters that the terminal does not know is asked for again, or taken as it is; nothing breaks."""
    typed = ["bathroom", "", "", "", "", "grün", "none" if "PYTHONIOENCODING" in environ else ""]
    shown = at_terminal(["starter", "bath"], typed, tmp_path, **environ)
    assert shown.code == 0
    assert "Traceback" not in shown.text
    assert run("check", str(tmp_path / "bath")).code == 0


@pytest.mark.parametrize(
    "environ", [{}, {"COLUMNS": "40", "PYTHONIOENCODING": "ascii"}], ids=["usual", "narrow, ASCII"]
)
def test_what_plan_asks_is_recorded(tmp_path: Path, environ: dict[str, str]) -> None:
    """`plan` asks of each session that has passed whether it took place; an answer is a line of the diary."""
    assert run("starter", str(tmp_path / "den"), "--kind", "repaint", "--as-of", "2026-12-01").code == 0
    assert run("plan", str(tmp_path / "den"), "--as-of", "2026-12-01", "--effort", "50").code == 0
    at_once = ["plan", "den", "--as-of", "2026-12-05T20:00"]
    shown = at_terminal(at_once, ["y"], tmp_path, prompt="leave it open: ", **environ)
    assert shown.code == 0
    assert "\\u" not in shown.text
    asked = shown.text.partition("[y]es")[0].splitlines()
    assert max(map(len, asked)) <= int(environ.get("COLUMNS", "80"))
    assert "Carry the furniture out: done" in " ".join(run("diary", str(tmp_path / "den")).out.split())


def test_the_end_of_input_at_a_question_of_plan(tmp_path: Path) -> None:
    """`plan` asks what happened; Ctrl-D leaves that open, and the plan is printed."""
    assert run("starter", str(tmp_path / "den"), "--kind", "repaint", "--as-of", "2026-12-01").code == 0
    assert run("plan", str(tmp_path / "den"), "--as-of", "2026-12-01", "--effort", "50").code == 0
    shown = at_terminal(["plan", "den", "--as-of", "2026-12-20"], [CTRL_D], tmp_path, prompt="leave it open: ")
    assert shown.code == 0
    assert "left open, and those after it" in shown.text
    assert "Repaint: den " in shown.text
