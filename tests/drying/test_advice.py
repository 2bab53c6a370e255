"""What a plan is told about its air: of each film, only what it meets between its start and its last stage."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from scheduler.drying.advice import air_advice, never_fit
from scheduler.model.basics import Span
from scheduler.model.graph import Film
from scheduler.model.job import AirPeriod, Reading, Room
from scheduler.model.plan import PlannedStep
from scheduler.telling.views.index import Book
from tests.support import plans
from tests.support.builders import graph, limits, material, minute, room, task, trade
from tests.support.spoken import spoken

UTC = ZoneInfo("UTC")
STAGES = {"touch": 60, "recoat": 240, "full": 7 * 24 * 60}
PAINT = material(stages=STAGES, limits=limits(temp_low=10.0, hold_until="recoat"))


def coat(name: str, day: str, **more: Any) -> PlannedStep:
    """A coat laid from 9:00 to 10:00: touch at 11:00, recoat at 14:00, cured a week later."""
    laid = minute(f"{day} 10:00")
    stages = {stage: laid + minutes for stage, minutes in STAGES.items()}
    film = replace(plans.film({}, material="paint"), stages=stages)
    fields = {"film": film, "room": "room", **more}
    return plans.step(name, Span(laid - 60, laid), **fields)


def cold(since: str, temp: float = -5.0) -> Room:
    """25 °C, and from that day on cold."""
    then = AirPeriod(
        since=date.fromisoformat(since), day_temp=temp, night_temp=temp, day_humidity=0.5, night_humidity=0.5
    )
    return replace(room(), air=(*room().air, then))


def advice(*steps: PlannedStep, air: Room) -> tuple[str, ...]:
    tasks = [task(each.id, film=Film(material="paint", room="room", coat=1, ratio=1.0)) for each in steps]
    plan = plans.plan(*steps, zone="UTC", metric=True)
    return tuple(map(Book(plan).say, air_advice(plan, graph(tasks), [air], trade(PAINT))))


def test_air_that_every_film_bears_needs_no_word() -> None:
    assert advice(coat("one", "2027-01-09"), air=room()) == ()


def test_a_frost_after_the_last_stage_is_no_concern() -> None:
    """Cured on 16 January at 10:00: a frost from the 17th on comes too late."""
    assert advice(coat("one", "2027-01-09"), air=cold("2027-01-17")) == ()


def test_a_frost_before_the_last_stage_is_told_of_that_stage_alone() -> None:
    (said,) = advice(coat("one", "2027-01-09"), air=cold("2027-01-12"))
    assert said.startswith("Room: Paint, full: -5 °C (first on Tuesday 12 January, 00:00)")
    assert said.endswith("(“One”)")


def test_films_that_meet_the_same_frost_share_a_sentence_that_names_them() -> None:
    """The coats of the 9th and of the 10th meet it, that of the first of January is cured by the 8th."""
    steps = (coat("one", "2027-01-01"), coat("two", "2027-01-09"), coat("three", "2027-01-10"))
    (said,) = advice(*steps, air=cold("2027-01-12"))
    assert said.endswith("(“Two” and “Three”)")


def test_a_coat_that_is_laid_already_is_told_of_limits_that_it_meets() -> None:
    """Laid on the 11th by 23:30 it is at recoat four hours later; from midnight on it has 5 °C and needs 10."""
    laid = minute("2027-01-11 23:30")
    film = replace(plans.film({}, material="paint"), stages={"touch": laid + 60, "recoat": laid + 240})
    done = coat("one", "2027-01-11", state="done", pieces=(Span(laid - 60, laid),), film=film)
    said = [each for each in advice(done, air=cold("2027-01-12", 5.0)) if "must stay above 10 °C" in each]
    assert len(said) == 1
    assert "falls to 5 °C on Tuesday 12 January, 00:00" in said[0] and "heat the room to at least 10 °C" in said[0]


def test_a_step_that_waits_for_the_air_is_told_why_and_what_would_cure_it() -> None:
    """Placed on the 20th; the hours would have let it begin on the 12th, in 5 °C until the 15th."""
    warm_again = AirPeriod(since=date(2027, 1, 15), day_temp=20, night_temp=20, day_humidity=0.5, night_humidity=0.5)
    thaw = replace(cold("2027-01-12", 5.0), air=(*cold("2027-01-12", 5.0).air, warm_again))
    waiting = coat("one", "2027-01-20", air_wait=Span(minute("2027-01-12 09:00"), minute("2027-01-15 14:00")))
    (said,) = advice(waiting, air=thaw)
    assert said == (
        "Room, Paint, waits for fit air: the air falls to 5 °C on Tuesday 12 January, 09:00; the air must stay above "
        "10 °C until the film is at recoat. To begin sooner, heat the room to at least 10 °C until "
        "Friday 15 January, 00:00. (“One”)"
    )


def test_gaps_in_the_readings_count_only_while_a_film_lives() -> None:
    """The readings of February leave a gap; the film of January is cured by then, that of the 31st is not."""
    logged = tuple(
        Reading(minute=minute(f"2027-02-01 {hour:02}:00"), temp=25, humidity=0.5) for hour in (8, 9, 14, 15)
    )
    air = replace(room(), readings=logged)
    assert advice(coat("one", "2027-01-09"), air=air) == ()
    said = advice(coat("one", "2027-01-31"), air=air)
    assert any("Monday 1 February 2027, 09:30 to Monday 1 February 2027, 13:30" in each for each in said)


def test_air_that_is_never_fit_is_told_at_the_first_start_where_it_is_not() -> None:
    starts = [minute("2027-01-09 09:00"), minute("2027-01-12 09:00")]
    told = never_fit(PAINT, cold("2027-01-12", 5.0), 1.0, starts, UTC, metric=True)
    assert told is not None
    why, cure = map(spoken, told)
    assert why.startswith("begun Tuesday 12 January 2027, 09:00, the air falls to 5 °C")
    assert cure.startswith("heat the room to at least 10 °C")
    assert never_fit(PAINT, room(), 1.0, starts, UTC, metric=True) is None
    assert never_fit(replace(PAINT, limits=None), cold("2027-01-12"), 1.0, starts, UTC, metric=True) is None


def test_years_of_starts_are_told_as_each_by_itself() -> None:
    """Found by planning wild jobs: five years of starts took seconds, since each looked its air up anew. The cold
    begins so many days on, in the air of one look, at its end, and in that of a later one."""
    starts = [minute("2027-01-09 09:00") + day * 24 * 60 for day in range(100)]
    for since in ("2027-01-20", "2027-02-08", "2027-02-09", "2027-03-30"):
        each = (never_fit(PAINT, cold(since), 1.0, [start], UTC, metric=True) for start in starts)
        assert never_fit(PAINT, cold(since), 1.0, starts, UTC, metric=True) == next(filter(None, each))
