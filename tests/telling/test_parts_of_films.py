"""What is laid in several pieces is a film after each of them: it is told, and its air asked for, every evening."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from scheduler.looking import read
from scheduler.model.facts import Facts
from scheduler.pipeline import Made, make_plan
from scheduler.telling.machine.plan import plan_json
from scheduler.telling.views.index import Book
from scheduler.telling.views.now import wet_after
from scheduler.verifying import verify
from tests.support.builders import minute

TILE = """\
job: Splashback
start: 2027-04-05
zone: UTC
measures: metric
hours:
  - {on: weekdays, from: 18:00, to: 20:00}
rooms:
  kitchen: {air: {day: 70 °F, night: 70 °F, humidity: 50 %, day hours: 0:00 to 24:00}}
steps:
  set: {title: Set the tile, work: 3 h, pause: 1 h, lays: cement-thinset}
  grout: {title: Grout, work: 1 h, follows: {set: handle}}
"""
"""Two hours on Monday and one on Tuesday; grouted from Wednesday 19:00 on, 24 h at 70 °F after the last of it."""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    file = tmp_path_factory.mktemp("tile") / "job.yaml"
    file.write_text(TILE, encoding="utf-8")
    job, trade = read(file)
    return make_plan(job, trade, Facts(now=minute("2027-04-01 00:00")))


def test_the_tile_of_an_evening_is_told_as_a_film_when_people_leave(made: Made) -> None:
    """Monday's tile may be handled 24 h after Monday 20:00 (the profile at its own air), Tuesday's after 19:00."""
    book = Book(made.plan)
    monday, tuesday = book.sessions[:2]
    assert [book.drying_words(film) for film in book.drying(monday)] == [
        "“Set the tile”, part 1 of 2 (cement thinset mortar): not to be handled until Tuesday 6 April, 20:00"
    ]
    (whole,) = book.drying(tuesday)
    assert (whole.part, dict(whole.stages)["handle"]) == (0, minute("2027-04-07 19:00"))


def test_its_air_is_asked_for_every_evening(made: Made) -> None:
    """Thinset holds its limits until `handle` (the profile)."""
    book = Book(made.plan)
    assert [need[2] for need in book.air_at(book.sessions[0].end)] == [minute("2027-04-06 20:00")]


def test_what_waits_for_the_film_waits_for_the_whole_of_it(made: Made) -> None:
    """The card has hands off Monday's tile, and no next step on it: the grout waits for Tuesday's as well."""
    book = Book(made.plan)
    (wet,) = wet_after(book, book.sessions[0])
    assert (wet.hands_off, wet.next_on) == (minute("2027-04-06 20:00"), None)


def test_other_programs_read_it(made: Made) -> None:
    film = json.loads(plan_json(made.plan))["steps"][0]["film"]
    assert [part["handle"][:16] for part in film["parts"]] == ["2027-04-06T20:00"]
    assert film["stages"]["handle"][:16] == "2027-04-07T19:00"


def test_the_verifier_reckons_each_piece_again(made: Made) -> None:
    """A sibling whose first piece would be told an hour too early."""
    ground, tape = made.ground, made.ground.trade.tape

    def broken(plan: Made) -> list[str]:
        found = verify(plan.plan, ground.job, ground.graph, ground.windows, ground.films, ground.facts, tape)
        return [each.step for each in found]

    first, *rest = made.plan.steps
    assert first.film is not None
    (part,) = first.film.parts
    wrong = replace(first.film, parts=({**part, "handle": part["handle"] - 60},))
    told = replace(made, plan=replace(made.plan, steps=(replace(first, film=wrong), *rest)))
    assert broken(made) == []
    assert broken(told) == ["set"]
