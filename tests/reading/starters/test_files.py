"""What comes of the answers is a good job file: it reads without fault, whatever was answered."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.expanding import expand
from scheduler.reading.jobfile import read_job_text
from scheduler.reading.starters.answers import KINDS, Answers
from scheduler.reading.starters.jobtext import job_text
from scheduler.reading.starters.questions import QUESTIONS, answered, usual_answers
from scheduler.reading.yamlfile import parse_yaml
from scheduler.units import UnclearQuantityError
from tests.support.scoped import unfolded
from tests.support.starts import TODAY, answers

BEGIN = Answers(zone="Europe/Vienna", us=False, today=TODAY, room="den")


@settings(max_examples=40)
@given(answers())
def test_every_answer_makes_a_good_file(given_answers: Answers) -> None:
    """The file reads, begins on the day that was said, and keeps what is on order and in which colours."""
    job = read_job_text(job_text(given_answers), "job.yaml")
    assert job.zone == given_answers.zone and job.metric == given_answers.metric
    assert len(job.items) == len(given_answers.order)
    assert len(job.colours) == len(given_answers.colours)


@settings(max_examples=30)
@given(answers())
def test_no_line_is_too_long_to_be_read(given_answers: Answers) -> None:
    """The file is read by a person: lines end before column 150, and every section says what it is for."""
    text = job_text(given_answers)
    assert max(map(len, text.splitlines())) < 150
    assert text.count("#") > 20


PIECES = st.sampled_from(
    [
        *"0129,;:x.-–/'\"# \t½²日",
        *(
            "\u0430",
            "\x00",
            "\ud800",
            "99999999999",
            "2027-01-09",
            "in 3 weeks",
            "to 17:00",
            "north",
            "no",
            "ft",
            "m",
        ),
    ]
)


@st.composite
def slips(draw: st.DrawFn, text: str) -> str:
    """A good answer with slips of the hand: pieces put in, and signs left out."""
    for _ in range(draw(st.integers(1, 3))):
        at = draw(st.integers(0, len(text)))
        text = text[:at] + draw(PIECES) + text[at + draw(st.integers(0, 3)) :]
    return text


@settings(max_examples=100)
@given(st.sampled_from(KINDS), st.integers(0, 9), st.data())
def test_nonsense_is_read_or_told(kind: str, number: int, data: st.DataObject) -> None:
    """Whatever is typed is an answer that makes a good file, or is told in one line with what would be right."""
    question, so_far = QUESTIONS[number], usual_answers(kind, BEGIN)
    text = data.draw(st.one_of(slips(question.usual(so_far)), st.text(max_size=20)))
    try:
        found = answered(question, text, so_far)
    except UnclearQuantityError as error:
        assert error.message and error.hint
        return
    if number:  # after another kind of work the other answers are asked for anew
        read_job_text(job_text(found), "job.yaml")


@pytest.mark.parametrize("kind", KINDS)
def test_the_answers_stand_in_the_file(kind: str) -> None:
    """What a person said about room, hours, people and deliveries is found again under the keys that README names."""
    size, holes, hours, people, order = (QUESTIONS[number] for number in (1, 2, 6, 7, 8))
    so_far = usual_answers(kind, BEGIN)
    for question, text in (
        (size, "4.2 m x 3.5 m x 2.5 m"),
        (holes, "2 doors, 1 window 1.5 m x 1.2 m on west"),
        (hours, "Saturday 8:00 to 16:00, Monday 18:00 to 21:00"),
        (people, "1, 2 on Saturday"),
        (order, "lamp 2027-01-20"),
    ):
        so_far = answered(question, text, so_far)
    data, _ = parse_yaml(job_text(replace(so_far, start=date(2027, 1, 9))), "job.yaml")
    assert data["start"] == "2027-01-09"
    assert data["measures"] == "metric"
    room = data["rooms"][so_far.room]
    assert (room["length"], room["width"], room["height"]) == ("4.2 m", "3.5 m", "2.5 m")
    assert set(room["openings"]) == {"door", "door 2", "window"}
    assert room["openings"]["window"]["on"] == "west wall"
    assert data["hours"] == [
        {"on": "Saturday", "from": "8:00", "to": "16:00", "people": 2, "break": "12:00 to 12:45"},
        {"on": "Monday", "from": "18:00", "to": "21:00"},
    ]
    assert data["on order"] == {"lamp": {"comes": "2027-01-20"}}


def test_names_that_look_like_something_else_are_kept_in_quotes() -> None:
    """A colour called `no` stays a name."""
    so_far = answered(QUESTIONS[5], "no, 2 tone, O'Neil red", usual_answers("repaint a room", BEGIN))
    job = read_job_text(job_text(so_far), "job.yaml")
    assert {colour.title for colour in job.colours} == {"no", "2 tone", "O'Neil red"}


@pytest.mark.parametrize(
    ("item", "waiting"),
    [
        ("paint", {"warm grey", "white", "satin white"}),
        ("wall paint", {"warm grey"}),
        ("ceiling paint", {"white"}),
        ("satin white", {"satin white"}),
        ("roller", {"warm grey", "white", "satin white"}),
    ],
)
def test_a_colour_waits_for_its_own_paint(item: str, waiting: set[str]) -> None:
    """Who waits for the paint of the walls can paint the ceiling; what says no part is waited for by all."""
    so_far = usual_answers("repaint a room", BEGIN)
    for number, text in ((5, "warm grey, white, satin white"), (8, f"{item} 2027-01-20")):
        so_far = answered(QUESTIONS[number], text, so_far)
    job = read_job_text(job_text(so_far), "job.yaml")
    assert {colour.title for colour in job.colours if colour.needs} == waiting


def test_a_repaint_goes_from_the_ceiling_down() -> None:
    """Ceiling before walls by the order of the trade, so that no drop falls on new paint; the trim last by the file,
    where a person may write another order, or take the line out (common practice, no source)."""
    text = job_text(usual_answers("repaint a room", BEGIN))
    assert read_job_text(text, "job.yaml").colour_order == ("warm-white", "satin-white")
    graph = expand(*unfolded(text))
    assert all(link.before != "warm-white-coat-1" or link.after != "white-coat-1" for link in graph.links)
    assert any(link.before == "white-coat-2" and link.after.startswith("warm-white") for link in graph.links)


def test_what_is_on_order_for_a_bathroom_and_no_material_of_the_tiling_is_hung_after_it_and_sealed() -> None:
    """A vanity in three weeks holds up no tile: it is hung once the tile is there, and sealed after."""
    so_far = answered(QUESTIONS[8], "tiles in 1 week, vanity in 3 weeks", usual_answers("bathroom wall", BEGIN))
    graph = expand(*unfolded(job_text(so_far)))
    needs = {task.id: task.needs for task in graph.tasks if task.needs}
    assert needs == {"splashback-cut-tile": ("tiles",), "fit-vanity": ("vanity",)}
    pairs = {(link.before, link.after) for link in graph.links}
    assert ("fit-vanity", "joint-seal") in pairs
    assert any(after == "fit-vanity" and before.startswith("splashback-") for before, after in pairs)
