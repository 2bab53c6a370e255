"""A tap is recorded as the command would have: same entry, lock and objections; once, and when it was tapped."""

from __future__ import annotations

import html
import json
import re
import shutil
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from scheduler.diary.kept import read_kept
from scheduler.diary.record import Files, locked
from scheduler.living.memory import mark_of
from scheduler.serve import planner, recording
from scheduler.serve.planner import Drawn, PlanRequest, plan_anew
from scheduler.serve.recording import Recorder
from scheduler.serve.taps import Tap
from scheduler.wallclock import to_minutes
from tests.cli.running import run
from tests.serve.serving import NOW, Served, new_job


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The job with a plan handed out, to be copied."""
    job = new_job(tmp_path_factory.mktemp("planned"))
    ran = run("plan", str(job), "--as-of", "2027-01-09T10:00", "--effort", "20")
    assert ran.code == 0, ran.err
    return job


@pytest.fixture
def job(planned: Path, tmp_path: Path) -> Path:
    shutil.copytree(planned.parent, tmp_path / "job")
    return tmp_path / "job" / "job.yaml"


@pytest.fixture
def served(job: Path) -> Iterator[Served]:
    house = Served(job)
    yield house
    house.end()


def steps(plan: Any) -> dict[str, str]:
    return {step["id"]: step["state"] for step in plan["steps"]}


def bare(line: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in line.items() if name != "tap"}


def at(clock: str, day: str = "2027-01-09") -> str:
    return f"{day}T{clock}:00-07:00"


ALIKE = (
    ({"what": "did", "step": "lamp"}, ("did", "lamp")),
    ({"what": "did", "step": "lamp", "at": at("09:40")}, ("did", "lamp", "--at", "9:40")),
    (
        {"what": "did", "step": "sand", "at": at("09:50"), "left": 30},
        ("did", "sand", "--at", "9:50", "--left", "30 min"),
    ),
    (
        {"what": "did", "step": "lamp", "at": at("09:40"), "took": 20},
        ("did", "lamp", "--at", "9:40", "--took", "20 min"),
    ),
    ({"what": "late", "item": "boards", "expected": "2027-01-23"}, ("late", "boards", "2027-01-23")),
    ({"what": "arrived", "item": "boards"}, ("arrived", "boards")),
    ({"what": "lost", "from": at("10:00", "2027-01-10")}, ("lost", "2027-01-10")),
    ({"what": "ordered", "thing": "boards"}, ("ordered", "boards")),
    ({"what": "bought", "thing": "acrylic-latex-wall-paint"}, ("bought", "acrylic-latex-wall-paint")),
)


@pytest.mark.parametrize(("tap", "command"), ALIKE)
def test_a_tap_leaves_the_entry_that_the_command_leaves(
    served: Served, planned: Path, tmp_path: Path, tap: dict[str, object], command: tuple[str, ...]
) -> None:
    """And the same plan follows, and the same memory of what was handed out before."""
    reply = served.record(**tap)
    assert reply.status == 200, reply.text
    assert reply.says["recorded"] is True
    shutil.copytree(planned.parent, tmp_path / "other")
    other = tmp_path / "other" / "job.yaml"
    name, *words = command
    ran = run(name, str(other), *words, "--as-of", "2027-01-09T10:00")
    assert ran.code == 0, ran.err
    theirs = [json.loads(line) for line in Files(other).diary.read_text("utf-8").splitlines()]
    assert [bare(line) for line in served.lines] == theirs
    served.settled()
    mine, its = read_kept(served.files), read_kept(Files(other))
    assert (mine.plan, mine.answer, mine.earlier) == (its.plan, its.answer, its.earlier)


def test_a_finger_says_how_a_film_feels(served: Served) -> None:
    """Not yet dry to the touch at ten, of a coat that was laid by 9:20: the record says so, and can be taken back."""
    for step, when in (("sand", "09:05"), ("first", "09:20")):
        assert served.record(what="did", step=step, at=at(when)).status == 200
    served.settled()
    assert 'data-film="first"' in served.get().text
    reply = served.record(what="felt", step="first", stage="touch", reached=False, at=at("09:50"))
    assert reply.status == 200, reply.text
    expected = {"what": "felt", "step": "first", "stage": "touch", "time": at("09:50"), "reached": False}
    assert {name: served.lines[-1].get(name) for name in expected} == expected
    assert served.record(what="felt", step="first", stage="shine", reached=True).status == 409
    assert served.record(what="felt", step="lamp", stage="touch", reached=True).status == 409
    assert served.record(what="undo", line=reply.says["line"]).status == 200


def test_what_is_taken_back_leaves_no_trace_in_the_plan(served: Served) -> None:
    """Though a plan was made in between, and though it was taken back by its line as the page does."""
    before = served.settled()
    reply = served.record(what="late", item="boards", expected="2027-02-20")
    late = served.settled()
    assert late["finish"] > before["finish"]
    assert served.record(what="undo", line=reply.says["line"]).status == 200
    assert served.settled() == before


def test_taps_that_come_together_make_one_plan(served: Served) -> None:
    """Ten taps within the time of a plan: two plans at most, all of them in the second."""
    served.settled()
    asked = len(served.plans)
    for number in range(10):
        assert served.record(what="late", item="boards", expected=f"2027-01-{20 + number}").status == 200
    plan = served.settled()
    assert plan["items"][0]["expected"] == "2027-01-29"
    assert len(served.plans) - asked <= 3


def test_a_tap_is_answered_while_it_is_planned(job: Path) -> None:
    """The plan of this one never ends until it is let go; the taps are on the disk all the same."""
    go, first = threading.Event(), threading.Event()

    def slow(question: Any) -> Any:
        if first.is_set():
            assert go.wait(20)
        first.set()
        return plan_anew(question)

    served = Served(job, slow)
    try:
        assert served.record(what="did", step="lamp").status == 200
        time.sleep(0.3)
        begun = time.monotonic()
        assert served.record(what="did", step="sand").status == 200
        assert time.monotonic() - begun < 2
        assert [line["step"] for line in served.lines] == ["lamp", "sand"]
        go.set()
        assert [steps(served.settled())[name] for name in ("lamp", "sand")] == ["done", "done"]
    finally:
        go.set()
        served.end()


def test_a_tap_counts_from_when_it_was_tapped(served: Served) -> None:
    """Tapped at 9:40 by a phone that is 42 minutes fast (it shows 10:22), sent at 10:00 (it shows 10:42)."""
    reply = served.record(what="did", step="lamp", at=at("10:22"), sent=at("10:42"))
    assert reply.status == 200
    assert reply.says["off"] == 42
    assert served.lines[0]["pieces"][-1][1] == at("09:40")


def test_a_phone_in_another_zone_means_the_same_moment(served: Served) -> None:
    """9:40 in Denver is 17:40 in Berlin."""
    tapped, sent = "2027-01-09T17:40:00+01:00", "2027-01-09T18:00:00+01:00"
    reply = served.record(what="did", step="lamp", at=tapped, sent=sent)
    assert "off" not in reply.says
    assert served.lines[0]["pieces"][-1][1] == at("09:40")


def test_what_is_to_come_is_not_recorded_as_done(served: Served) -> None:
    """A person who picks a time of this evening meant another day."""
    reply = served.record(what="did", step="lamp", at=at("18:00"), sent=at("10:00"))
    assert reply.status == 409
    assert "still to come" in reply.says["said"]
    assert served.lines == []


def test_the_same_said_twice_is_no_question(served: Served) -> None:
    """At the laptop at 9:40, and on the phone at 9:45: one entry."""
    assert run("did", str(served.job), "lamp", "--at", "9:40", "--as-of", "2027-01-09T10:00").code == 0
    reply = served.record(what="did", step="lamp", at=at("09:45"), sent=at("10:00"))
    assert (reply.status, reply.says["recorded"]) == (200, True)
    assert len(served.lines) == 1


def test_what_contradicts_the_record_is_shown_and_not_lost(served: Served) -> None:
    """Done at 9:40, says the laptop; done at 9:10, says a phone that was in the cellar: nobody wins by being last."""
    assert run("did", str(served.job), "lamp", "--at", "9:40", "--as-of", "2027-01-09T10:00").code == 0
    tap = {"what": "did", "step": "lamp", "at": at("09:10"), "sent": at("10:00")}
    reply = served.record(**tap)
    assert (reply.status, reply.says["instead"]) == (409, True)
    assert "done already, since 2027-01-09 09:40" in reply.says["said"]
    assert len(served.lines) == 1
    assert served.record(**tap, instead=True).status == 200
    assert [line["what"] for line in served.lines] == ["did", "undone", "did"]
    assert served.lines[2]["pieces"][-1][1] == at("09:10")


def test_work_left_of_what_is_done_is_a_contradiction_too(served: Served) -> None:
    assert served.record(what="did", step="lamp", at=at("09:40")).status == 200
    tap = {"what": "did", "step": "lamp", "left": 15, "at": at("09:50")}
    assert served.record(**tap).status == 409
    assert served.record(**tap, instead=True).status == 200
    assert steps(served.settled())["lamp"] == "under way"


def test_done_in_hours_that_were_called_off(served: Served) -> None:
    """The session was called off, then somebody worked after all: asked, and then both are put right."""
    assert served.record(what="lost", **{"from": at("09:30")}).status == 200
    tap = {"what": "did", "step": "lamp", "at": at("09:45")}
    reply = served.record(**tap)
    assert (reply.status, reply.says["instead"]) == (409, True)
    assert served.record(**tap, instead=True).status == 200
    assert steps(served.settled())["lamp"] == "done"


def test_a_session_that_nobody_told_of_is_recorded_in_one_tap(served: Served) -> None:
    """On Sunday the page asks about Saturday: all of it took place but one step, and nothing more is asked."""
    served.now = NOW + timedelta(days=1)
    assert served.record(what="ordered", thing="boards").status == 200
    served.settled()
    asked = re.search('data-unheard="([^"]+)" data-steps="([^"]+)"', served.get().text)
    assert asked is not None
    steps_asked = [step for step, _ in json.loads(html.unescape(asked[2]))]
    assert {"lamp", "sand", "first"} <= set(steps_asked)
    tap = {"id": str(uuid.uuid4()), "what": "session", "from": asked[1], "but": ["lamp"]}
    assert served.tap({**tap, "but": ["shine"], "id": str(uuid.uuid4())}).status == 409
    assert served.tap({**tap, "but": "lamp"}).status == 422
    for _ in range(2):  # sent twice it is recorded once
        assert served.tap(tap).status == 200
    told = [(line["what"], line["step"]) for line in served.lines[1:]]
    assert told[-1] == ("skipped", "lamp")
    assert sorted(told[:-1]) == sorted(("did", step) for step in steps_asked if step != "lamp")
    served.settled()
    assert 'data-unheard="' not in served.get().text
    assert served.tap({**tap, "id": str(uuid.uuid4())}).says["line"] is None, "known already"


def test_an_item_that_is_there_does_not_come_later(served: Served) -> None:
    assert served.record(what="arrived", item="boards").status == 200
    assert served.record(what="arrived", item="boards", on="2027-01-09").says["line"] is None
    reply = served.record(what="late", item="boards", expected="2027-01-23")
    assert (reply.status, reply.says["instead"]) == (409, True)
    assert served.record(what="late", item="boards", expected="2027-01-23", instead=True).status == 200
    assert served.settled()["items"][0]["expected"] == "2027-01-23"


def test_what_was_recorded_is_known_after_a_restart(job: Path) -> None:
    """The name of the tap stands in the diary, and nowhere else."""
    tap = {"id": str(uuid.uuid4()), "what": "did", "step": "lamp"}
    first = Served(job)
    assert first.tap(tap).status == 200
    first.end()
    second = Served(job)
    try:
        assert second.tap(tap).status == 200
        assert second.tap({**tap, "step": "sand"}).status == 422
        assert [line["tap"] for line in second.lines] == [tap["id"]]
        assert steps(second.settled())["lamp"] == "done"
    finally:
        second.end()


def test_a_command_at_work_makes_a_tap_wait_on_the_phone(served: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(recording, "PATIENCE", 0.3)
    with locked(served.files):
        assert served.record(what="did", step="lamp").status == 503
    assert served.lines == []
    assert served.record(what="did", step="lamp").status == 200


def test_commands_work_beside_it(served: Served) -> None:
    """What is recorded at the laptop is on the page without anybody's doing."""
    served.settled()
    assert run("did", str(served.job), "lamp", "--as-of", "2027-01-09T10:00").code == 0
    until = time.monotonic() + 20
    while steps(served.get("plan.json").says)["lamp"] != "done":
        assert time.monotonic() < until
        time.sleep(0.1)
    served.settled()
    assert "lamp: done Saturday 9 January" in served.get().text


def test_a_fault_in_the_job_file_takes_no_plan_away(served: Served) -> None:
    """It is shown with its line, taps wait, and once it is mended all goes on."""
    plan, text = served.settled(), served.job.read_text("utf-8")
    served.job.write_text(text.replace("work: 30 min", "work: 30 mn"), "utf-8")
    until = time.monotonic() + 20
    while "job.yaml:17:" not in (page := served.get().text):
        assert time.monotonic() < until
        time.sleep(0.1)
    assert str(served.job.parent) not in page
    assert served.get("plan.json").says == plan
    assert served.record(what="did", step="lamp").status == 503
    served.job.write_text(text, "utf-8")
    while "job.yaml:17:" in served.get().text:
        assert time.monotonic() < until
        time.sleep(0.1)
    assert served.record(what="did", step="lamp").status == 200


def test_a_diary_line_of_a_tap_is_read_by_hand_as_well(served: Served) -> None:
    assert served.record(what="did", step="lamp").status == 200
    ran = run("diary", str(served.job), "--as-of", "2027-01-09T10:00")
    assert ran.code == 0, ran.err
    assert "lamp: done" in ran.out
    assert run("did", str(served.job), "lamp", "--undo", "--as-of", "2027-01-09T10:00").code == 0


def test_a_plan_gets_old(served: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    """An hour later it is planned as of then, though nothing happened."""
    served.settled()
    served.board.question = served.board.question.__class__(**{**_fields(served.board.question), "exact": False})
    served.now = NOW + timedelta(minutes=61)
    until = time.monotonic() + 20
    while served.get("plan.json").says["as_of"] != at("11:01"):
        assert time.monotonic() < until
        time.sleep(0.1)


def _fields(record: Any) -> dict[str, Any]:
    return {name: getattr(record, name) for name in record.__slots__}


MINUTE = to_minutes(NOW)


def meanwhile(monkeypatch: pytest.MonkeyPatch, what: Callable[[], object]) -> None:
    """Something that happens once, while a plan is being made."""
    settle, waiting = planner.settle, [what]

    def settled(*given: Any) -> Any:
        found = settle(*given)
        for each in waiting:
            each()
        waiting.clear()
        return found

    monkeypatch.setattr(planner, "settle", settled)


def plan_in(drawn: Drawn) -> Any:
    return json.loads(drawn.bodies["plan"].content)


def test_a_plan_is_shown_though_somebody_taps_meanwhile(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Else nobody would see one as long as people go on tapping. It is the plan of the shorter diary, says so, and
    what came meanwhile is in the next one and can be taken back without a trace."""
    recorder, files = Recorder(job), Files(job)
    tap = Tap(name=str(uuid.uuid4()), what="late", subject="boards", day=date(2027, 2, 20), minute=MINUTE)
    meanwhile(monkeypatch, lambda: recorder.record([tap], MINUTE, exact=True))
    first = plan_anew(PlanRequest(job=job, minute=MINUTE, exact=True, lang="en"))
    assert isinstance(first, Drawn)
    assert read_kept(files).lines == 0
    assert mark_of(files) != first.mark
    second = plan_anew(PlanRequest(job=job, minute=MINUTE, exact=True, lang="en"))
    assert isinstance(second, Drawn)
    assert plan_in(second)["finish"] > plan_in(first)["finish"]
    assert mark_of(files) == second.mark
    back = Tap(name=str(uuid.uuid4()), what="undo", subject=tap.name)
    assert recorder.record([back], MINUTE, exact=True)[0].status == 200
    third = plan_anew(PlanRequest(job=job, minute=MINUTE, exact=True, lang="en"))
    assert isinstance(third, Drawn)
    assert plan_in(third) == plan_in(first)


def test_a_plan_of_what_is_no_more_is_not_kept(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The job edited, or a line of the diary changed by hand, while it was planned for what was there before."""
    files = Files(job)
    assert Recorder(job).record([Tap(name=str(uuid.uuid4()), what="did", subject="lamp")], MINUTE, exact=True)
    kept = files.plan.read_bytes()
    for file, old, new in ((job, "work: 30 min", "work: 35 min"), (files.diary, "09:30", "09:20")):
        was = file.read_text("utf-8")
        assert old in was
        meanwhile(monkeypatch, partial(file.write_text, was.replace(old, new), "utf-8"))
        assert plan_anew(PlanRequest(job=job, minute=MINUTE, exact=True, lang="en")) is None
        assert files.plan.read_bytes() == kept


def test_a_thing_of_the_list_is_ordered_and_bought(served: Served) -> None:
    """Off the list with one tap, and back on it with another; what two phones say on one day is said once."""
    served.settled()
    page = served.get().text
    thing = re.search('data-thing="([^"]*)" data-can="bought[^"]*"', page)
    assert thing is not None
    name = thing[1]
    reply = served.record(what="bought", thing=name)
    assert reply.status == 200, reply.text
    assert served.record(what="bought", thing=name).says["line"] is None
    before = served.record(what="bought", thing=name, on="2027-01-08")
    assert (before.status, before.says["instead"]) == (409, True)
    assert served.record(what="bought", thing=name, on="2027-01-08", instead=True).status == 200
    assert [(line["what"], line.get("on")) for line in served.lines] == [
        ("bought", "2027-01-09"),
        ("undone", None),
        ("bought", "2027-01-08"),
    ]
    served.settled()
    assert f'data-thing="{name}"' not in served.get().text
    for line in (3, 1):  # with the first of them what it took back holds again
        assert served.record(what="undo", line=line).status == 200
    served.settled()
    assert f'data-thing="{name}"' in served.get().text


def test_an_item_is_ordered_once(served: Served) -> None:
    """Nobody is told to order it again; another day needs the person; what is only a little like it is refused."""
    served.settled()
    assert 'data-thing="boards" data-can="ordered"' in served.get().text
    assert served.record(what="ordered", thing="boards").status == 200
    assert served.record(what="ordered", thing="boards", on="2027-01-08").status == 409
    assert served.record(what="ordered", thing="board").status == 409
    assert served.record(what="late", item="boards", expected="2027-01-23").status == 200
    assert served.record(what="ordered", thing="boards", on="2027-01-08", instead=True).status == 200
    served.settled()
    assert 'data-thing="boards"' not in served.get().text
    assert served.get("plan.json").says["items"][0]["expected"] == "2027-01-23"


TWICE: tuple[dict[str, object], ...] = (
    {"what": "did", "step": "lamp", "at": at("09:50"), "sent": at("10:00")},
    {"what": "did", "step": "sand", "left": 20, "at": at("09:50"), "sent": at("10:00")},
    {"what": "arrived", "item": "boards"},
    {"what": "ordered", "thing": "boards"},
    {"what": "bought", "thing": "acrylic-latex-wall-paint"},
    {"what": "late", "item": "boards", "expected": "2027-01-23"},
    {"what": "lost", "from": at("10:00", "2027-01-10")},
    {"what": "undo", "line": 1},
)


def test_a_glove_that_taps_twice_says_it_once(served: Served) -> None:
    """Two taps, each with a name of its own: the second adds nothing, and nobody is asked which of them is right."""
    for tap in TWICE:
        first = served.record(**tap)
        assert first.status == 200, (tap, first.text)
        lines = len(served.lines)
        again = served.record(**tap)
        assert (again.status, again.says["line"], len(served.lines)) == (200, None, lines), (tap, again.text)
        if tap["what"] == "arrived":  # what is there is neither ordered nor late
            assert served.record(what="undo", line=lines).status == 200
