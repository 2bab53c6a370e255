"""Every wrong input: the exact line, column and sentence, and nothing else.

Each case of the tables changes one passage of the good job. Where a test spells a line out it was counted in it.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.errors import InputError
from scheduler.reading import read_job, read_job_text
from tests.reading.jobs import GOOD, changed, without
from tests.reading.wrongjobs import CHECKS, HERE, SHAPE, VALUES
from tests.support.english import left_in


def said_of(text: str) -> list[str]:
    """The lines that a job brings, each of which can be said in German as well."""
    with pytest.raises(InputError) as caught:
        read_job_text(text, "job.yaml")
    assert not left_in(caught.value.faults)
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("old", "new", "said"), [*SHAPE.values(), *VALUES.values(), *CHECKS.values()], ids=[*SHAPE, *VALUES, *CHECKS]
)
def test_one_mistake_one_line(old: str, new: str, said: str) -> None:
    """One mistake in a good job brings exactly one line: its place, what is wrong, what would be right."""
    marked = changed((old, new))
    before = marked[: marked.index(HERE)]
    line, column = before.count("\n") + 1, len(before) - before.rfind("\n")
    assert said_of(marked.replace(HERE, "")) == [f"job.yaml:{line}:{column}: {said}"]


@pytest.mark.parametrize(
    ("key", "line"),
    [
        ("job", "1:1: `job` is missing; write `job: …`"),
        ("start", "1:1: `start` is missing; write `start: 2027-01-09`"),
        ("zone", "1:1: `zone` is missing; write `zone: America/Denver`"),
        ("hours", "1:1: `hours` is missing; write `hours: …`"),
    ],
)
def test_what_must_be_there_at_the_top(key: str, line: str) -> None:
    """A key that a job can't do without is missed at the beginning of the file."""
    assert said_of(without(key)) == [f"job.yaml:{line}"]


def test_a_job_without_rooms_or_work() -> None:
    """A job has a room and something to do."""
    head = "job: x\nstart: 2027-01-09\nzone: UTC\nhours: {on: Saturday, from: 8:30, to: 17:00}\n"
    assert said_of(f"{head}rooms:\nsteps:\n") == [
        "job.yaml:1:1: there is nothing to do in this job; write `steps:` and a step under it",
        "job.yaml:5:1: `rooms` has no value; write `rooms: …`",
    ]
    assert said_of(f"{head}rooms: {{}}\nsteps: {{a: {{work: 1 h}}}}\n") == [
        "job.yaml:5:1: there is no room in it; write a name, and `air: ` under it",
    ]
    assert said_of(f"{head}rooms: {{den: {{air: []}}}}\nsteps: {{a: {{work: 1 h}}}}\n") == [
        "job.yaml:5:20: no air stands in this list; write it, such as "
        "`air: {day: 20 °C, night: 18 °C, humidity: 50 %}`",
    ]


def test_every_mistake_is_shown_at_once() -> None:
    """A wrong value hides neither the next one nor what does not agree elsewhere, nor shifts its place."""
    text = changed(
        ("zone: America/Denver", "zone: Denver"),
        ("  - on: Saturday\n    from: 8:30", "  - on: Satruday\n    from: 8:30"),
        ("from: 6:30 pm", "from: 22:00"),
        ("work: 45 min", "work: 45"),
        ("needs: doors", "needs: windows"),
        ("prime: recoat", "prime"),
    )
    assert said_of(text) == [
        "job.yaml:3:7: `Denver` is no time zone; did you mean `America/Denver`?",
        "job.yaml:9:9: `Satruday` is no day of the week; did you mean `Saturday`?",
        "job.yaml:16:9: `to` is not after `from`; write a later time of the same day; midnight is `24:00`",
        "job.yaml:60:12: no item on order is called `windows`; known are `doors`",
        "job.yaml:65:11: `45` has no unit; write it with its unit, such as `1 h 30 min`, `45 min`, `2 days`",
        "job.yaml:83:9: `prime` lays a film, and nothing says how dry it must be; "
        "write `prime: recoat` or another stage, a time such as `prime: 2 h`, or `prime: end`",
    ]


@pytest.mark.parametrize("text", ["", "# nothing but a note\n", "---\n"])
def test_an_empty_file(text: str) -> None:
    """An empty file says how to begin."""
    assert said_of(text) == ["job.yaml: this file is empty; begin it with `job: ` and a name"]


@pytest.mark.parametrize(("text", "stands"), [("- a\n- b\n", "a list"), ("just words\n", "`just words`")])
def test_a_file_of_another_form(text: str, stands: str) -> None:
    """A list or a text is no job."""
    assert said_of(text) == [
        f"job.yaml:1:1: {stands} stands here; write keys and values (job, start, zone, measures)"
    ]


def test_what_is_no_yaml_is_one_line() -> None:
    """A tab in the indentation, a key twice, a byte that is no text: the reader of YAML says so."""
    assert said_of(changed(("    to: 17:00", "\tto: 17:00"))) == [
        "job.yaml:11:1: a tab stands here; indent with spaces"
    ]
    assert said_of(changed(("clock: 12 h", "zone: UTC"))) == [
        "job.yaml:5:1: `zone` stands here twice, first in line 3; keep one of the two"
    ]
    assert said_of(changed(("Hobby room\nstart", "Hobby\0room\nstart"))) == [
        "job.yaml:1:11: NUL (U+0000) stands here; take it out; a text file holds none"
    ]


def test_a_text_too_long_is_cut_in_its_fault() -> None:
    """A value of a thousand letters does not fill the screen, nor does an unknown key of as many."""
    assert said_of(changed(("done by: 2027-03-15", f"done by: {'x' * 1000}"))) == [
        "job.yaml:6:10: `xxxxxxxxxxxxxxxxxxx…` has more than 80 letters; write a date such as `2027-01-09`"
    ]
    (line,) = said_of(changed(("built: 1964", f"{'y' * 1000}: 1964")))
    assert len(line) < 250


def test_more_faults_than_anyone_reads() -> None:
    """The first 200 faults are shown. The missing rooms are one, then come the steps from line 6 on, to line 204."""
    steps = "".join(f"  s{n}: {{work: 1}}\n" for n in range(300))
    lines = said_of(
        f"job: x\nstart: 2027-01-09\nzone: UTC\nhours: {{on: Saturday, from: 8:30, to: 17:00}}\nsteps:\n{steps}"
    )
    assert len(lines) == 201
    assert lines[-1] == "job.yaml:204:16: there are more than these 200 faults; mend them first"


def test_the_file_is_named_as_the_person_named_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault names the file as it was given, with or without a folder."""
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "job.yaml").write_text(GOOD.replace("built: 1964", "built: old"), "utf-8")
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError) as caught:
        read_job(Path("mine/job.yaml"))
    assert str(caught.value) == "mine/job.yaml:7:8: `old` is no whole number; write a number from 1600 to 2199"


def test_a_key_that_there_is_not_is_told_though_nothing_stands_behind_it() -> None:
    """A comma in a title makes a key of what follows it; a key that there is may stand there without a value."""
    with pytest.raises(InputError) as caught:
        read_job_text(GOOD.replace("measures: US", "measures: US\nmesures:\naway and home:\npace:"), "job.yaml")
    lines = str(caught.value).splitlines()
    assert [line.partition(";")[0] for line in lines] == [
        "job.yaml:5:1: `mesures` is no key here",
        "job.yaml:6:1: `away and home` is no key here",
    ]
