"""Rooms that are warm only while somebody is there: who stays with a film, and what it dries in after that."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from scheduler.drying.air import AirPiece
from scheduler.drying.clocks import ClockMaker
from scheduler.errors import InputError
from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.model.plan import Plan
from scheduler.model.refusal import NoPlanError
from scheduler.model.spans import union, without
from scheduler.pipeline import Made, make_plan, read
from scheduler.reading.jobfile import read_job_text
from scheduler.reading.profiles import named_in, read_trade
from scheduler.telling.refused import refused
from scheduler.telling.views.index import Book
from scheduler.telling.views.sessions import session_lines
from scheduler.verifying import verify
from scheduler.wallclock import DAY, NEVER
from tests.support.builders import minute

JOB = """\
job: Garage
start: 2027-01-09
zone: Europe/Vienna
hours:
  - {on: Saturday, from: 9:00, to: 18:00}
  - {on: Wednesday, from: 18:00, to: 21:00}
clear-up: 15 min
shared things: {heater: 1}
rooms:
  garage:
    air: {day: 5 °C, night: 5 °C, humidity: 60 %}
    while somebody is there: {temperature: 18 °C, humidity: 50 %, takes: heater}
steps:
  prime: {work: 1 h, lays: acrylic-bonding-primer}
  coat: {work: 1 h, lays: acrylic-latex-wall-paint, follows: {prime: recoat}}
"""
"""The 9th of January 2027 is a Saturday. Both materials must stay at 10 °C or more until they can be recoated."""

ALONE = JOB[: JOB.index("  coat:")]
WARM = ALONE.replace("5 °C, night: 5 °C, humidity: 60 %", "18 °C, night: 18 °C, humidity: 50 %")
COLD = "    while somebody is there"


def made(text: str) -> Made:
    """The plan of a job file."""
    job = read_job_text(text, "job.yaml")
    return make_plan(job, read_trade(None, named_in(job)), Facts(now=job.start))


@cache
def planned() -> Made:
    """The plan of the job above."""
    return made(JOB)


def without_heater(text: str) -> str:
    """The file without the line of the warmth."""
    return "".join(line for line in text.splitlines(keepends=True) if not line.startswith(COLD))


def broken(plan: Plan, whole: Made) -> set[str]:
    """The rules that a plan breaks on the ground of another."""
    ground = whole.ground
    found = verify(plan, ground.job, ground.graph, ground.windows, ground.films, ground.facts)
    return {each.rule for each in found}


def test_somebody_stays_until_the_film_may_be_left_in_the_cold() -> None:
    """As long as somebody is there it dries as in a room that is always so warm, and the session ends no sooner. To
    stay with both films does not fit into one Saturday, so the coat comes a week later, and somebody stays again."""
    plan, warm = planned().plan, made(without_heater(WARM)).plan
    prime, coat = plan.step("prime"), plan.step("coat")
    assert prime.film is not None
    assert coat.film is not None
    assert warm.steps[0].film is not None
    recoat = prime.film.stages["recoat"]
    assert recoat - prime.end == warm.steps[0].film.stages["recoat"] - warm.steps[0].end
    stays = [(stay.step, stay.start, stay.until) for stay in plan.stays]
    assert stays == [("prime", prime.end, recoat), ("coat", coat.end, coat.film.stages["recoat"])]
    assert [session.end for session in plan.sessions] == [stay.until for stay in plan.stays]
    assert plan.finish == coat.end == minute("2027-01-16 09:00")


def test_what_dries_after_somebody_has_left_dries_in_the_cold() -> None:
    """The primer alone. It is warm from its end, 10:00, until it can be recoated; what is left to its use then runs
    in the cold: use = stay + (1 − stay / use when warm) · use when cold, both of constant air."""
    alone, warm = made(ALONE), made(without_heater(WARM)).plan
    lengths = []
    for plan in (alone.plan, warm):
        film = plan.steps[0].film
        assert film is not None
        lengths.append({stage: at - plan.steps[0].end for stage, at in film.stages.items()})
    primer = alone.ground.trade.material("acrylic-bonding-primer")
    assert primer is not None
    use = primer.stage("use")
    assert use is not None
    cold = ClockMaker([AirPiece(0, 400 * DAY, 5, 0.6)]).stage(primer, use, 1).ready(0)
    stay, when_warm = lengths[1]["recoat"], lengths[1]["use"]
    assert lengths[0]["use"] == pytest.approx(stay + (1 - stay / when_warm) * cold, abs=2)
    assert when_warm < lengths[0]["use"] < cold


def test_what_never_cures_in_the_cold_is_told_so_and_breaks_no_rule() -> None:
    """At 20 below paint hardens no further once the heater is off: it is cured at no time that can be reckoned."""
    cold = ALONE.replace("5 °C, night: 5 °C", "-20 °C, night: -20 °C")
    whole = made(cold.replace("acrylic-bonding-primer", "acrylic-latex-wall-paint"))
    assert whole.plan.cured == NEVER
    assert broken(whole.plan, whole) == set()


def test_a_film_is_laid_in_a_session_that_is_long_enough_to_stay() -> None:
    """From Sunday on, the first hours are Wednesday's, three of them: an hour of work and the wait for the next coat
    do not fit into those. So it is laid on Saturday."""
    plan = made(ALONE.replace("2027-01-09", "2027-01-10")).plan
    assert plan.steps[0].start == minute("2027-01-16 08:00")


def test_where_no_session_is_long_enough_it_is_said_how_long_it_would_be() -> None:
    """An hour of work, and the time that the primer takes at 18 °C until it can be recoated."""
    evenings = ALONE.replace("Saturday, from: 9:00, to: 18:00", "Saturday, from: 9:00, to: 11:00")
    with pytest.raises(NoPlanError) as caught:
        made(evenings)
    stay = made(ALONE).plan.stays[0]
    hours, left = divmod(stay.until - stay.start + 60, 60)
    assert f"somebody would stay for {hours} h {left} min; make one session that long in `hours`" in (
        refused(caught.value).short
    )


def test_in_air_that_is_fit_nobody_stays() -> None:
    """In summer the heater counts for nothing, and the plan is that of a job without one."""
    summer = ALONE.replace("5 °C, night: 5 °C, humidity: 60 %", "22 °C, night: 12 °C, humidity: 40 %")
    assert made(summer).plan.stays == ()
    assert made(summer).plan.sessions == made(without_heater(summer)).plan.sessions


def test_the_heater_is_taken_while_somebody_is_there() -> None:
    """From the first step in the room until the last film may be left, by the step that ends last."""
    plan = planned().plan
    heater = next(thing for thing in plan.things if thing.thing == "heater")
    assert [(each.by, each.amount) for each in heater.taken] == [("prime", 1), ("coat", 1)]
    spans = [(each.start, each.until) for each in heater.taken]
    assert spans == [(session.start, session.end) for session in plan.sessions]


TWO = ALONE.replace(
    "steps:\n",
    """\
  cellar:
    air: {day: 5 °C, night: 5 °C, humidity: 60 %}
    while somebody is there: {temperature: 18 °C, humidity: 50 %, takes: heater}
steps:
  sweep: {work: 30 min, room: cellar}
  prime below: {work: 1 h, room: cellar, lays: acrylic-bonding-primer}
""",
).replace("prime: {", "prime: {room: garage, ")
"""One heater for two rooms."""


def test_one_heater_warms_two_rooms_in_turn() -> None:
    """It stands beside the first film until that may be left, then at the second; what lays no film waits for none of
    it. With two of them both films are laid one after the other."""
    whole = made(TWO)
    plan = whole.plan
    heater = next(thing for thing in plan.things if thing.thing == "heater")
    (first, second) = heater.taken
    assert {first.by, second.by} == {"prime", "prime-below"}
    assert [(stay.step, stay.until) for stay in plan.stays] == [(each.by, each.until) for each in heater.taken]
    assert first.until <= second.start == plan.step(second.by).start
    assert plan.step("sweep").start < first.until
    assert broken(plan, whole) == set()
    both = made(TWO.replace("heater: 1}", "heater: 2}")).plan
    assert both.finish < plan.finish
    assert both.finish == minute("2027-01-09 10:30")


def test_a_film_where_the_heater_is_not_breaks_a_rule() -> None:
    """The second film laid while the heater is still beside the first: more of it is taken than there is."""
    whole = made(TWO)
    first, second = (whole.plan.step(each.by) for each in whole.plan.things[0].taken)
    early = Span(first.end, first.end + second.labour)
    steps = tuple(replace(step, pieces=(early,)) if step.id == second.id else step for step in whole.plan.steps)
    assert "things kept" in broken(replace(whole.plan, steps=steps), whole)


def test_in_the_gap_the_session_says_beside_what_to_stay() -> None:
    """There is nothing to do, and still somebody is there: the row says so instead."""
    book = Book(made(TWO).plan)
    rows = [line.whole for line in session_lines(book, book.sessions[0])]
    assert sum("may be left alone once it can be recoated" in row for row in rows) == 2
    assert not any("nothing to do yet" in row for row in rows)


def test_somebody_stays_with_each_film_of_the_example() -> None:
    """Patches, primer and two coats, each in a session that lasts until the film may be left."""
    job, trade = read(Path(__file__).parents[2] / "examples" / "heated-garage" / "job.yaml")
    found = make_plan(job, trade, Facts(now=job.start))
    assert [stay.step for stay in found.plan.stays] == ["walls-patch", "walls-prime", "white-coat-1", "white-coat-2"]
    ends = [session.end for session in found.plan.sessions]
    assert all(stay.until <= end for stay, end in zip(found.plan.stays, ends, strict=True))
    assert broken(found.plan, found) == set()


def test_the_session_says_until_when_to_stay_and_what_for() -> None:
    """In the agenda, and so in the calendar's event."""
    book = Book(planned().plan)
    said = "\n".join(line.whole for line in session_lines(book, book.sessions[0]))
    assert "heater on: “prime” may be left alone once it can be recoated" in said
    assert "acrylic bonding primer; heater" in said


def test_the_answer_stays_as_it_is_when_it_is_asked_for_again() -> None:
    """The kept answer says when somebody is there, so that nothing is sought again."""
    again = make_plan(planned().ground.job, planned().ground.trade, planned().ground.facts, known=planned().answer)
    assert again.plan == planned().plan
    assert again.answer == planned().answer


def test_a_film_left_alone_in_unfit_air_breaks_a_rule() -> None:
    """A plan whose session ends when the work is done leaves the primer in 5 °C."""
    plan = planned().plan
    assert broken(plan, planned()) == set()
    first, *rest = plan.sessions
    cut = replace(plan, sessions=(replace(first, end=plan.step("prime").end + 15), *rest))
    assert "somebody there" in broken(cut, planned())


def test_warmth_that_nobody_is_there_for_breaks_a_rule() -> None:
    """A plan reckoned as if somebody were there in all hours, though it uses a part of them."""
    whole = planned()
    rooms = tuple(replace(room, there=room.hours) for room in whole.ground.job.rooms)
    assert without(rooms[0].hours, union(Span(each.start, each.end) for each in whole.plan.sessions))
    later = replace(whole.plan, finish=whole.plan.finish + 30 * 24 * 60)
    ground = replace(whole.ground, job=replace(whole.ground.job, rooms=rooms))
    assert "somebody there" in broken(later, replace(whole, ground=ground))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("18 °C, humidity", "5 °C, humidity"), "12:5: this counts for nothing: the `air` is never colder"),
        (("takes: heater", "takes: heatr"), "12:74: no shared thing is called `heatr`; did you mean `heater`?"),
        (
            ("lays: acrylic-bonding-primer", "takes: heater, lays: acrylic-bonding-primer"),
            "12:74: 2 of `heater` are asked for, by rooms and a step, and there is 1",
        ),
    ],
)
def test_what_cannot_warm_is_a_fault_at_its_line(change: tuple[str, str], said: str) -> None:
    """Warmth that is none, a heater that there is not, one that is needed twice at once."""
    with pytest.raises(InputError) as caught:
        read_job_text(JOB.replace(*change), "job.yaml")
    assert said in str(caught.value)
