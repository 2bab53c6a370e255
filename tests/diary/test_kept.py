"""What is kept of a plan comes back as it was; what this program did not write is refused, not guessed at."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from scheduler.calendar.write import calendar
from scheduler.diary.kept import Kept, kept_bytes, read_kept, with_answer_before, write_kept
from scheduler.diary.record import Files
from scheduler.errors import InputError
from scheduler.living.site import open_site, replan
from scheduler.model.message import message
from scheduler.telling.views.index import Book
from tests.support.lives import Life, moment, shelf
from tests.support.told import breaks, in_words


@pytest.fixture
def life(tmp_path: Path) -> Life:
    found = Life(shelf(tmp_path))
    found.plan(moment("2027-01-08"))
    return found


@pytest.fixture
def files(life: Life) -> Files:
    """The plan handed out lies beside the job."""
    write_kept(life.site.files, life.site.kept)
    return life.site.files


def test_a_plan_comes_back_as_it_was(life: Life) -> None:
    """Steps, films, sessions, items, the answer, what a calendar was told: all equal, and the same bytes."""
    kept, files = life.site.kept, life.site.files
    assert kept.plan is not None
    _, ledger = calendar(kept.plan)
    whole = Kept(plan=kept.plan, answer=kept.answer, ledger=ledger, remind=30, effort=500)
    write_kept(files, whole)
    assert read_kept(files) == whole
    assert kept_bytes(read_kept(files)) == files.plan.read_bytes()


def test_a_plan_that_an_earlier_version_kept_in_sentences_is_read(tmp_path: Path) -> None:
    """What held its steps was kept in English then (a file that the version of November 2026 wrote): it is told as it
    stands there, and the plan is not made anew for it."""
    files = Files(tmp_path / "job.yaml")
    files.plan.write_bytes(Path(__file__).with_name("kept_as_sentences.json").read_bytes())
    kept = read_kept(files)
    assert kept.plan is not None
    assert in_words(kept.plan, kept.plan.step("put-it-up").held) == (
        "No work hours come sooner. It waits until Sunday 10 January, 8:59 pm, when “paint the board” can be used; "
        "that was laid by Saturday 9 January, 10:00 am."
    )
    assert kept.plan.step("paint-the-board").added is None
    write_kept(files, kept)
    assert read_kept(files) == kept


def test_a_reason_without_end_is_no_plan_of_ours(life: Life) -> None:
    """A message may stand in a message; one in which three hundred stand is nobody's, and is not followed down."""
    files = life.site.files
    write_kept(files, life.site.kept)
    whole = json.loads(files.plan.read_bytes())
    for _ in range(300):
        held = whole["plan"]["steps"][0]["held"]
        whole["plan"]["steps"][0]["held"] = {"kind": "held.hours", "values": [["because", held]]}
    files.plan.write_text(json.dumps(whole), encoding="utf-8")
    assert read_kept(files).plan is None


def test_a_reason_of_a_later_version_is_shown_by_its_kind(life: Life) -> None:
    """This version has no words for it, or other values than it asks for: no traceback comes of that."""
    assert life.site.kept.plan is not None
    book = Book(life.site.kept.plan)
    assert book.say(message("held.by tide", until=0)) == "(held.by tide)"
    assert book.say(message("held.left alone", until="noon")) == "(held.left alone)"


def test_without_a_file_nothing_is_kept(tmp_path: Path) -> None:
    assert read_kept(Files(tmp_path / "job.yaml")) == Kept()


def test_a_plan_of_another_make_is_passed_over_and_the_rest_is_read(life: Life) -> None:
    """A field that this version asks for is missing: the plan is planned anew, the calendar's memory stays."""
    assert life.site.kept.plan is not None
    _, ledger = calendar(life.site.kept.plan)
    files = life.site.files
    write_kept(files, Kept(plan=life.site.kept.plan, ledger=ledger))
    whole = json.loads(files.plan.read_bytes())
    del whole["plan"]["finish"]
    files.plan.write_text(json.dumps(whole), encoding="utf-8")
    assert read_kept(files).plan is None
    assert read_kept(files).ledger == ledger


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", ":1:1: this is no kept plan: it is empty"),
        (b"{", ":1:2: this is no kept plan: it breaks off here"),
        (b"[]", ":1:1: this is no kept plan: it does not begin with {"),
        (b'{"format": 1,\n "answer": }', ":2:12: this is no kept plan: a value is missing here"),
        (b'{"format": 1\n "answer": 2}', ":2:2: this is no kept plan: `,` is missing here"),
        (b'{"format": 1, 2: 3}', ":1:15: this is no kept plan: a name in double quotes is missing here"),
        (b'{"format" 1}', ":1:11: this is no kept plan: `:` is missing here"),
        (b'{"format": "1}', ":1:12: this is no kept plan: a quote is opened here and never closed"),
        (b'{"format": 1} {', ":1:15: this is no kept plan: more follows here after the end"),
        (
            b'{"format": 99}',
            ":1:1: this is no kept plan: another version of tackfree wrote it (form 99; this one reads form 1)",
        ),
        (b'{"format": "1"}', ":1:1: this is no kept plan: what stands under `format` is not what tackfree writes"),
        (b"[" * 10**5, ":1:1: this is no kept plan: it is nested too deep, or holds a number too long"),
        (b"9" * 10**4, ":1:1: this is no kept plan: it is nested too deep, or holds a number too long"),
        (b"\xff", ":1:1: this is no kept plan: it is no text"),
    ],
)
def test_what_is_no_kept_plan_is_refused_with_its_place(life: Life, content: bytes, said: str) -> None:
    """Exit code 2, in plain words, and what to do; nothing is overwritten."""
    plan = life.site.files.plan
    plan.write_bytes(content)
    with pytest.raises(InputError) as caught:
        read_kept(life.site.files)
    then = "the next plan is then made anew, and a calendar gets every event as a new one"
    assert str(caught.value) == f"{plan}{said}; move the file away: {then}"
    assert plan.read_bytes() == content


@pytest.mark.parametrize(("piece", "count"), [(b" ", 33 << 20), (b"[],", 1 << 21)], ids=["long", "full"])
def test_what_is_larger_than_any_plan_is_not_taken_in(life: Life, piece: bytes, count: int) -> None:
    """A few letters of JSON take twenty times their room once they are read."""
    life.site.files.plan.write_bytes(b"[" + piece * count + b"1]")
    with pytest.raises(InputError, match="this is no kept plan: it is larger than any that tackfree writes"):
        read_kept(life.site.files)


Spoil = Callable[[dict[str, Any]], object]


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (
            lambda whole: whole.update(format=2),
            "another version of tackfree wrote it (form 2; this one reads form 1)",
        ),
        (lambda whole: whole.update(busy=[7]), "what stands under `busy` is not what tackfree writes"),
        (lambda whole: whole["answer"].update(as_of="x"), "what stands under `answer`, `as_of` is not"),
        (lambda whole: whole["answer"].update(as_of=10**18), "what stands under `answer`, `as_of` is not"),
        (lambda whole: whole["answer"].pop("options"), "what stands under `answer`, `options` is not"),
        (lambda whole: whole["answer"]["pieces"].update(x=[[2, 1]]), "what stands under `answer`, `pieces` is not"),
        (
            lambda whole: whole["answer"].update(pieces={"x": [[10**7]]}),
            "what stands under `answer`, `pieces` is not",
        ),
        (
            lambda whole: whole["answer"].update(pieces={"x": []}),
            "what stands under `answer` is not what tackfree writes",
        ),
        (lambda whole: whole["answer"].update(question="\u202e"), "what stands under `answer`, `question` is not"),
        (
            lambda whole: whole.update(calendar={"format": 1}),
            "what calendars have been told is not written as this tackfree writes it (form 1)",
        ),
    ],
)
def test_what_tackfree_does_not_write_is_named(files: Files, spoil: Spoil, said: str) -> None:
    """Where in the file it stands is said by the names that lead there; no word of a programmer."""
    whole = json.loads(files.plan.read_bytes())
    spoil(whole)
    files.plan.write_text(json.dumps(whole), encoding="utf-8")
    with pytest.raises(InputError, match=re.escape(f"{files.plan}:1:1: this is no kept plan: {said}")):
        read_kept(files)


@pytest.mark.parametrize("shift", [60, -60, 7 * 24 * 60, 52 * 7 * 24 * 60])
def test_a_plan_that_was_tampered_with_is_not_handed_out(files: Files, shift: int) -> None:
    """Found by damaging kept plans: a step set elsewhere, under the mark of the same question, was handed out with a
    note that it breaks rules. What the checker finds broken is sought anew: the plan is the one it was."""
    before = read_kept(files).plan
    whole = json.loads(files.plan.read_bytes())
    step = min(whole["answer"]["pieces"], key=lambda name: whole["answer"]["pieces"][name][0][0])
    whole["answer"]["pieces"][step] = [[start + shift, end + shift] for start, end in whole["answer"]["pieces"][step]]
    files.plan.write_text(json.dumps(whole), encoding="utf-8")
    site = open_site(files.job)
    after = replan(site, moment("2027-01-08"), site.wish).plan
    assert not breaks(after)
    assert before is not None
    assert after.finish == before.finish


def test_a_job_of_another_title_is_the_job_that_it_was(files: Files) -> None:
    """Retitled, it keeps the id under which calendars know it, and the plan that was handed out; the file stays."""
    content = files.plan.read_bytes()
    files.job.write_text(files.job.read_text("utf-8").replace("job: Shelf wall", "job: Bathroom", 1), "utf-8")
    site = open_site(files.job)
    assert (site.job.id, site.job.name) == ("shelf-wall", "Bathroom")
    assert site.kept.plan is not None
    assert files.plan.read_bytes() == content


def test_entries_that_came_together_share_what_was_handed_out_before_them(files: Files) -> None:
    """Of twenty taps within one plan's time one answer is kept, not twenty; each of them finds it."""
    kept = read_kept(files)
    assert kept.answer is not None
    for line in range(1, 21):
        kept = with_answer_before(kept, line)
    other = replace(kept.answer, as_of=kept.answer.as_of + 1)
    kept = with_answer_before(replace(kept, answer=other), 21)
    assert [before.lines for before in kept.earlier] == [range(1, 21), range(21, 22)]
    assert (kept.before_line(20), kept.before_line(21)) == (kept.earlier[0].answer, other)
    write_kept(files, kept)
    assert read_kept(files).earlier == kept.earlier


def test_of_what_was_handed_out_long_ago_nothing_is_remembered(files: Files) -> None:
    """Else the file would grow with every entry of a long job, until it is larger than what is read."""
    kept = read_kept(files)
    assert kept.answer is not None
    for line in range(1, 301):
        kept = with_answer_before(replace(kept, answer=replace(kept.answer, as_of=kept.answer.as_of + 1)), line)
    assert [before.line for before in kept.earlier] == list(range(201, 301))
