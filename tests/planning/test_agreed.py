"""Appointments and promises, from the job file to the first screen, the calendar and other programs.

Evenings of 180 minutes from 18:00 and Saturdays from 9:00 to 17:00; the job begins on Monday, 1 March 2027. When the
varnish bears use is asked of the plan itself.
"""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from jsonschema import Draft202012Validator

from scheduler.diary.standing import standing
from scheduler.errors import InputError
from scheduler.model.asides import Asides
from scheduler.model.basics import Span
from scheduler.model.diary import Entry, Late
from scheduler.model.facts import Facts
from scheduler.model.graph import TaskGraph
from scheduler.pipeline import Made, make_plan, read
from scheduler.planning import visits
from scheduler.planning.visits import coming
from scheduler.telling.machine.plan import plan_json, schema_text
from scheduler.telling.text.one_screen import one_screen
from scheduler.verifying import verify
from scheduler.wallclock import DAY, local_date
from scheduler.whatif.odds import Sampling, odds
from tests.support.builders import minute

HEAD = """\
job: Bedroom
start: 2027-03-01
zone: Europe/Berlin
measures: metric
hours:
  - {on: weekdays, from: 18:00, to: 21:00}
  - {on: Saturday, from: 9:00, to: 17:00}
shared things: {bathtub: 1}
rooms:
  bedroom: {air: {day: 20 °C, night: 17 °C, humidity: 50 %}BEDROOM}
  hall: {air: {day: 20 °C, night: 17 °C, humidity: 50 %}}
"""

FITTERS = """\
appointments:
  carpet fitters: {on: DAY, from: 8:00, to: 16:00, in: bedroom, after: [varnish: use], before: put back}
steps:
  varnish: {room: bedroom, work: 1 h, lays: waterborne-polyurethane}
  put back: {room: bedroom, work: 1 h}
  shelf: {room: bedroom, work: 6 h, pause: 1 h}
  lamp: {room: hall, work: 30 min}
"""

TUB = """\
at most: {bathtub: 3 days}
steps:
  tub out: {room: hall, work: 1 h, takes: {bathtub: 1 until tub in}}
  tile: {room: hall, work: 5 h, pause: 1 h, follows: tub out}
  tub in: {room: hall, work: 1 h, follows: {tile: 48 h}}
"""


def at(text: str) -> int:
    return minute(f"2027-03-{text}", "Europe/Berlin")


def made(folder: Path, text: str, bedroom: str = "") -> Made:
    file = folder / "job.yaml"
    file.write_text(HEAD.replace("BEDROOM", bedroom) + text, encoding="utf-8")
    job, trade = read(file)
    return make_plan(job, trade, Facts(now=job.start))


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return made(tmp_path_factory.mktemp("kept"), FITTERS.replace("DAY", "2027-03-11"), ", done by: 2027-03-12")


@pytest.fixture(scope="module")
def missed(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return made(tmp_path_factory.mktemp("missed"), FITTERS.replace("DAY", "2027-03-02"))


def test_fitters_find_the_floor_ready_and_the_room_to_themselves(kept: Made) -> None:
    """What they need is ready by 8:00 on the day, nobody works in the bedroom until 16:00, and what waits for them
    begins after that: on the first evening."""
    plan = kept.plan
    (visit,) = plan.visits
    varnish = plan.step("varnish")
    assert varnish.film is not None
    assert (visit.kept, visit.ready) == (True, varnish.film.stages["use"])
    assert visit.ready <= at("11 08:00")
    assert plan.step("put-back").start == at("11 18:00")
    assert plan.step("put-back").holder == "carpet-fitters"
    assert plan.warnings == ()
    assert "carpet-fitters" not in {step.id for step in plan.steps}  # they take none of our hands


def test_an_appointment_that_cannot_be_kept_is_said_first(missed: Made) -> None:
    """On Tuesday at 8:00 no floor bears use that could not be varnished before Monday, 18:00. The plan says from when
    on it does, what that waits for, and takes them as coming at 8:00 on the first weekday from then on."""
    plan = missed.plan
    (visit,) = plan.visits
    varnish = plan.step("varnish")
    assert varnish.start == at("01 18:00")
    assert varnish.film is not None
    assert (visit.kept, visit.ready, visit.holder) == (False, varnish.film.stages["use"], "varnish")
    assert visit.start == at("02 08:00")
    first = next(day for day in range(3, 9) if at(f"{day:02} 08:00") >= visit.ready)
    assert visit.comes == Span(at(f"{first:02} 08:00"), at(f"{first:02} 16:00"))
    assert plan.step("put-back").start >= visit.comes.end
    assert plan.warnings == ()
    lines = one_screen(plan, Asides()).splitlines()
    assert lines[1].startswith("LATE   “carpet fitters”, Tuesday 2 March, 08:00, can’t be kept: “varnish” is")
    assert any(line.startswith("COMES  carpet fitters") for line in lines)


def test_an_appointment_put_off_comes_no_later_than_the_plan_itself_is_ready_for_it(
    tmp_path: Path, missed: Made, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the look ahead says two weeks later than need be: the plan that is found is ready on the first day, so
    they come then, and what waits for them is put back as soon as in the plan with the right day."""
    wide = visits.put_off

    def too_late(graph: TaskGraph, *asked: Any) -> TaskGraph | None:
        found = wide(graph, *asked)
        return found and coming(found, {visit.id: visit.start + 14 * DAY for visit in found.visits})

    monkeypatch.setattr(visits, "put_off", too_late)
    plan = made(tmp_path, FITTERS.replace("DAY", "2027-03-02")).plan
    assert plan.visits == missed.plan.visits
    assert plan.finish == missed.plan.finish
    assert plan.step("put-back").start == missed.plan.step("put-back").start


def test_what_an_appointment_needs_is_there_on_its_day(tmp_path: Path) -> None:
    """A carpet that comes on the 11th is there for the fitters of that day; one that comes on Friday the 12th is not,
    and puts them off to that day, at their time of day: the plan says that it is the carpet that they wait for."""
    asked = FITTERS.replace("DAY, from", "2027-03-11, needs: carpet, from")
    job, trade = read(_file(tmp_path, "on order: {carpet: {comes: 2027-03-11}}\n" + asked))
    (visit,) = make_plan(job, trade, Facts(now=job.start)).plan.visits
    assert (visit.kept, visit.ready, visit.holder) == (True, at("11 00:00"), "carpet")
    late = replace(job, items=(replace(job.items[0], expected=date(2027, 3, 12)),))
    plan = make_plan(late, trade, Facts(now=job.start)).plan
    (visit,) = plan.visits
    assert (visit.kept, visit.ready, visit.holder) == (False, at("12 00:00"), "carpet")
    assert visit.comes == Span(at("12 08:00"), at("12 16:00"))
    assert plan.items[0].needed == at("12 08:00")
    assert plan.step("put-back").start >= at("12 16:00")
    assert plan.warnings == ()
    said = one_screen(plan, Asides()).splitlines()[1]
    assert said.startswith("LATE   “carpet fitters”, Thursday 11 March, 08:00, can’t be kept: “carpet” is")


def test_what_an_appointment_needs_is_on_order(tmp_path: Path) -> None:
    """A name that nothing on order has is a fault at its place."""
    asked = FITTERS.replace("DAY, from", "2027-03-11, needs: carpt, from")
    with pytest.raises(InputError, match="no item on order is called `carpt`; did you mean `carpet`"):
        read(_file(tmp_path, "on order: {carpet: {comes: 2027-03-11}}\n" + asked))


def _file(folder: Path, text: str) -> Path:
    file = folder / "job.yaml"
    file.write_text(HEAD.replace("BEDROOM", ", done by: 2027-03-12") + text, encoding="utf-8")
    return file


def test_the_bathtub_of_the_example_is_back_within_three_days() -> None:
    """It comes out on a Saturday and is filled again on Monday evening; no rule is broken, no plan ends sooner."""
    job, trade = read(Path(__file__).parents[2] / "examples" / "bath-tub" / "job.yaml")
    found = make_plan(job, trade, Facts(now=job.start))
    (promise,) = found.plan.promises
    assert (promise.thing, promise.late) == ("bathtub", 0)
    assert promise.reached == found.plan.step("fill-it").start - found.plan.step("tub-out").start <= 3 * DAY
    assert found.plan.bound.proven
    assert found.plan.warnings == ()


def test_it_never_moves_by_itself_but_when_it_is_put_off(kept: Made) -> None:
    """`late` moves it to another day at its time of day, and leaves its length."""
    job = kept.ground.job
    news = Late(item="carpet-fitters", expected=local_date(at("15 12:00"), ZoneInfo(job.zone)))
    (visit,) = standing(job, [Entry(line=1, at=job.start, event=news)]).job.appointments
    assert (visit.start, visit.end) == (at("15 08:00"), at("15 16:00"))


def test_a_room_is_promised_and_kept(kept: Made) -> None:
    """All work in the bedroom is done on the 11th, and the 12th is promised."""
    (promise,) = kept.plan.promises
    assert (promise.room, promise.late, promise.by) == ("bedroom", 0, at("13 00:00"))
    assert promise.reached == max(step.end for step in kept.plan.steps if step.room == "bedroom")
    assert "KEPT   bedroom by Friday 12 March" in one_screen(kept.plan, Asides())


def test_a_promise_goes_before_the_end_of_the_job(tmp_path: Path) -> None:
    """Two steps of 3 hours and one evening each; the second of the file is promised for Monday: it goes first, though
    the first one is followed 40 hours later: Monday 21:00 and 40 hours are Wednesday, 13:00, a day sooner."""
    text = """\
steps:
  long: {room: hall, work: 3 h, pause: no}
  rest: {room: hall, work: 1 h, follows: {long: 40 h}}
  guest bed: {room: bedroom, work: 3 h, pause: no, done by: 2027-03-01}
"""
    plan = made(tmp_path, text).plan
    assert [plan.step(name).start for name in ("guest-bed", "long")] == [at("01 18:00"), at("02 18:00")]
    assert (plan.finish, plan.bound.proven) == (at("04 19:00"), True)
    free = made(tmp_path, text.replace(", done by: 2027-03-01", "")).plan
    assert free.finish == at("03 19:00")


def test_a_promise_that_no_plan_keeps_is_broken_least_and_proven(tmp_path: Path) -> None:
    """4 hours in one person's hands from Monday, 18:00, are done at 19:00 on Tuesday: 19 hours after Monday's end."""
    plan = made(tmp_path, "steps:\n  bed: {room: bedroom, work: 4 h, pause: 1 h, done by: 2027-03-01}\n").plan
    (promise,) = plan.promises
    assert (promise.late, promise.proven, promise.holder) == (19 * 60, True, "bed")
    first = one_screen(plan, Asides()).splitlines()[1]
    assert first.startswith("LATE   bed: promised by Monday 1 March, done Tuesday 2 March, 19:00, 19 h late,")


def test_the_tub_is_out_no_longer_than_it_may(tmp_path: Path) -> None:
    """Six hours of work, and 48 between tile and tub. Begun on Monday the tub is back on Friday, 19:00 (tile ends on
    Tuesday at 21:00, its 48 hours on Thursday at 21:00): 4 days. Out on Friday or Saturday, it is back on Monday."""
    early = made(tmp_path, TUB.replace("at most: {bathtub: 3 days}\n", "")).plan
    assert early.finish == at("05 19:00")
    late = made(tmp_path, TUB)
    (promise,) = late.plan.promises
    assert (promise.thing, promise.late) == ("bathtub", 0)
    assert promise.reached <= 3 * 24 * 60
    assert late.plan.finish == at("08 19:00")
    assert late.plan.warnings == ()


def test_other_programs_are_told(kept: Made, missed: Made) -> None:
    """`appointments` and `promises` stand in the JSON, which keeps to its schema."""
    for each in (kept, missed):
        told = json.loads(plan_json(each.plan))
        Draft202012Validator(json.loads(schema_text("plan"))).validate(told)
    (visit,) = told["appointments"]
    assert (visit["start"], visit["kept"], visit["held_by"]) == ("2027-03-02T08:00:00+01:00", False, "varnish")
    (promise,) = json.loads(plan_json(kept.plan))["promises"]
    assert (promise["what"], promise["kept"], promise["late_minutes"]) == ("bedroom", True, 0)


def test_the_odds_say_how_likely_each_is_kept(kept: Made, missed: Made) -> None:
    """An appointment ten days ahead and a room with days to spare are kept in every draw."""
    assert dict(odds(kept, Sampling(draws=20)).promises) == {"bedroom": 1.0, "carpet fitters": 1.0}
    assert dict(odds(missed, Sampling(draws=20)).promises) == {"carpet fitters": 0.0}, "the plan has put it off"


def test_what_nothing_takes_is_no_promise_kept(tmp_path: Path) -> None:
    """A tub that no step takes would be out of use for no minute, and the promise kept by saying nothing of it."""
    text = TUB.replace(", takes: {bathtub: 1 until tub in}", "")
    with pytest.raises(InputError, match="no step takes `bathtub`, so it would never be out of use"):
        made(tmp_path, text)


RENEWED = """\
job: Bathroom
start: 2027-03-01
zone: Europe/Berlin
measures: metric
hours:
  - {on: every day, from: 18:00, to: 21:00}
shared things: {bathtub: 1}
at most: {bathtub: 9 days}
rooms:
  bath: {length: 2.4 m, width: 1.8 m, height: 2.5 m, air: {day: 22 °C, night: 18 °C, humidity: 60 %}}
scope:
  joint: {length: 3.3 m, do: [renew joint]}
"""


def test_the_joint_of_a_tub_takes_the_tub(tmp_path: Path) -> None:
    """From when nobody showers any more until the water is let out of it."""
    file = tmp_path / "job.yaml"
    file.write_text(RENEWED, encoding="utf-8")
    job, trade = read(file)
    plan = make_plan(job, trade, Facts(now=job.start)).plan
    (thing,) = plan.things
    assert [(each.start, each.until) for each in thing.taken] == [
        (plan.step("joint-fan-on").start, plan.step("joint-empty-tub").end)
    ]
    assert plan.promises[0].reached == plan.step("joint-empty-tub").end - plan.step("joint-fan-on").start > 24 * 60


HOB = """\
appointments:
  gas fitter: {on: DAY, from: 9:00, to: 11:00, in: hall, after: [worktop in: 2 h], before: tile}
  tip run: {on: 2027-03-20, from: 8:00, to: 9:00}
steps:
  hob out: {room: hall, work: 30 min, takes: {bathtub: 1 until gas fitter}}
  old worktop out: {room: hall, work: 2 h, follows: hob out}
  worktop in: {room: hall, work: 3 h, pause: no, follows: old worktop out}
  tile: {room: hall, work: 1 h}
"""


def test_the_end_of_the_job_is_that_of_our_own_work(tmp_path: Path) -> None:
    """2 h 30 min on Monday, 3 h on Tuesday until 21:00, and 2 hours more: the fitter may come on Wednesday, and we
    tile on that evening. That somebody drives to the tip on the 20th keeps nobody from being done."""
    plan = made(tmp_path, HOB.replace("DAY", "2027-03-03")).plan
    assert [visit.kept for visit in plan.visits] == [True, True]
    assert (plan.finish, plan.bound.proven, plan.warnings) == (at("03 19:00"), True, ())
    (hob,) = (thing for thing in plan.things if thing.thing == "bathtub")
    assert (hob.taken[0].until, hob.taken[0].giver) == (at("03 11:00"), "gas-fitter")


def test_of_two_appointments_one_is_put_off(tmp_path: Path) -> None:
    """On Tuesday at 9:00 the worktop is not in: it is at 21:00, and 2 hours later is 23:00. The fitter is taken to
    come on Wednesday; the other appointment stays."""
    plan = made(tmp_path, HOB.replace("DAY", "2027-03-02")).plan
    assert (plan.visits[0].kept, plan.visits[0].ready) == (False, at("02 23:00"))
    assert plan.visits[0].comes == Span(at("03 09:00"), at("03 11:00"))
    assert plan.visits[1].kept
    assert (plan.finish, plan.warnings) == (at("03 19:00"), ())


def test_the_flat_keeps_all_that_was_agreed() -> None:
    """The example: the fitters find both rooms painted on their day, the study is done in time, the sander goes back
    within five days, the floor space of two rooms is never asked for three times, and no plan ends sooner. The
    bedroom is carried back after the fitters: on that evening the job is done at the earliest, as this one is."""
    job, trade = read(Path(__file__).parents[2] / "examples" / "flat" / "job.yaml")
    plan = make_plan(job, trade, Facts(now=job.start)).plan
    assert [visit.kept for visit in plan.visits] == [True]
    assert [promise.late for promise in plan.promises] == [0, 0, 0]
    assert plan.bound.proven
    assert local_date(plan.finish, ZoneInfo(job.zone)).isoformat() == "2027-03-11"
    assert [each for each in plan.warnings if each.kind.startswith("warned")] == []


def test_the_verifier_refuses_what_breaks_an_agreement(kept: Made) -> None:
    """The plan is sound; with a step in the bedroom while they are there, with the floor ready too late, with what
    waits for them begun before their end, with an appointment or a promise told otherwise it is not."""
    ground, plan = kept.ground, kept.plan

    def rules(plan_now: object, graph: object = ground.graph) -> set[str]:
        found = verify(plan_now, ground.job, graph, ground.windows, ground.films, ground.facts, ground.trade.tape)  # type: ignore[arg-type]
        return {each.rule for each in found}

    assert rules(plan) == set()
    (visit,) = ground.graph.visits
    in_between = replace(plan.step("shelf"), pieces=(Span(at("11 09:00"), at("11 15:00")),))
    others = tuple(step for step in plan.steps if step.id != "shelf")
    assert "appointments kept" in rules(replace(plan, steps=(*others, in_between)))
    sooner = replace(ground.graph, visits=(replace(visit, start=at("02 08:00"), end=at("02 16:00")),))
    assert "appointments kept" in rules(plan, sooner)
    assert "appointments told" in rules(plan, sooner)
    early = replace(plan.step("put-back"), pieces=(Span(at("10 18:00"), at("10 19:00")),))
    others = tuple(step for step in plan.steps if step.id != "put-back")
    assert "appointments kept" in rules(replace(plan, steps=(*others, early)))
    assert rules(replace(plan, visits=(replace(plan.visits[0], kept=False),))) == {"appointments told"}
    assert rules(replace(plan, promises=(replace(plan.promises[0], late=5),))) == {"promises told"}
    assert rules(replace(plan, promises=())) == {"promises told"}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("in: bedroom", "in: attic", "13:63: no room is called `attic`; known are `bedroom`, `hall`"),
        ("before: put back", "before: put bak", "no step or colour is called `put bak`; did you mean `put back`?"),
        ("to: 16:00", "to: 7:00", "`to` is not after `from`; write a later time of the same day"),
        ("2027-03-11", "2027-02-11", "this is before the start on 2027-03-01; write a later day"),
        ("[varnish: use]", "[varnish: {stage: use, within: 3 days}]", "an appointment never moves"),
        ("[varnish: use]", "[put back]", "the order goes round in a circle: carpet-fitters follows put-back"),
        ("[varnish: use]", "[lamp: use]", "`lamp` lays no film, so it has no stage"),
    ],
)
def test_one_clear_fault_at_its_line(tmp_path: Path, old: str, new: str, said: str) -> None:
    """An appointment in no room, before no step, that ends before it begins, that waits for what waits
    for it: one line at its place."""
    with pytest.raises(InputError) as caught:
        made(tmp_path, FITTERS.replace("DAY", "2027-03-11").replace(old, new))
    faults = [str(fault) for fault in caught.value.faults]
    assert len(faults) == 1, faults
    assert said in faults[0]
    assert ":13:" in faults[0] or ":14:" in faults[0]


def test_what_is_promised_is_a_shared_thing(tmp_path: Path) -> None:
    """`at most` of a thing that the job does not share is a fault at its key; no time at all is one as well."""
    with pytest.raises(InputError, match=r"12:11: no shared thing is called `bath`; known are `bathtub`"):
        made(tmp_path, TUB.replace("{bathtub: 3 days}", "{bath: 3 days}"))
    with pytest.raises(InputError, match=r"12:20: "):
        made(tmp_path, TUB.replace("3 days", "soon"))
