"""A colour is a cycle of tape, coats and pull; where two touch, one is first."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.errors import InputError
from scheduler.expanding import expand
from scheduler.model.basics import Estimate
from scheduler.model.beware import Beware
from scheduler.model.graph import Link
from scheduler.model.job import Job
from scheduler.model.material import Trade
from scheduler.model.scope import Part, Scope
from tests.support.builders import DAY, HOUR, SCUFF, TAPE, after, border, colour, guess, job, material, step, trade

WINDOWED = material(
    stages={"touch": 60, "dust_free": 60, "recoat": 240, "recoat_by": 3 * DAY, "tape": DAY}, remedy=SCUFF
)
PRIMER = material("primer", {"touch": 30, "recoat": 180, "recoat_by": 7 * DAY, "tape": DAY}, remedy=SCUFF)


def faults(a_job: Job, a_trade: Trade | None = None) -> list[str]:
    with pytest.raises(InputError) as caught:
        expand(a_job, a_trade or trade())
    return [str(fault) for fault in caught.value.faults]


def test_a_colour_that_nothing_is_taped_off_for_is_its_coats() -> None:
    found = expand(job(colours=(colour("white", coats=3),)), trade())
    assert [task.id for task in found.tasks] == ["white-coat-1", "white-coat-2", "white-coat-3"]
    assert found.links == (
        Link(before="white-coat-1", after="white-coat-2", stage="recoat"),
        Link(before="white-coat-2", after="white-coat-3", stage="recoat"),
    )
    assert found.tasks[0].title == "White: coat 1 of 3"
    assert [task.film.coat for task in found.tasks if task.film] == [1, 2, 3]
    assert all(task.smallest_piece is None and task.wet for task in found.tasks)


def test_a_taped_colour_is_tape_coat_wait_coat_pull() -> None:
    """Tape sticks at most 14 days in the test trade; it is pulled from touch on, within a day of the last coat."""
    found = expand(job(colours=(colour("white", tape=20, pull=10),)), trade())
    assert [task.id for task in found.tasks] == [
        "white-tape",
        "white-coat-1",
        "white-coat-2",
        "white-pull-remedy",
        "white-pull",
    ]
    assert set(found.links) == {
        Link(before="white-tape", after="white-coat-1"),
        Link(before="white-coat-1", after="white-coat-2", stage="recoat"),
        Link(before="white-tape", after="white-pull", within=14 * DAY, strict=True),
        Link(before="white-coat-2", after="white-pull", stage="touch", within=DAY, remedy="white-pull-remedy"),
    }
    assert (found.task("white-tape").work, found.task("white-pull").work) == (guess(20), guess(10))
    assert found.task("white-pull-remedy").title == "Score the edge with a knife (White: coat 2 of 2)"
    assert found.task("white-pull-remedy").remedy_of == ("white-coat-2", "white-pull")


def test_pulling_takes_a_third_of_the_taping_where_the_file_does_not_say() -> None:
    """20 / 3 is 6.67, rounded up to 7."""
    found = expand(job(colours=(colour("white", tape=20),)), trade())
    assert found.task("white-pull").work == guess(7)


def test_coats_past_the_window_of_the_coat_before_are_mended() -> None:
    found = expand(job(colours=(colour("white"),)), trade(WINDOWED))
    (link,) = found.links
    assert (link.until, link.remedy) == ("recoat_by", "white-coat-2-remedy")
    assert found.task("white-coat-2-remedy").remedy_of == ("white-coat-1", "white-coat-2")


def test_paint_on_order_holds_the_coats_but_not_the_taping() -> None:
    found = expand(job(colours=(colour("white", tape=20, needs=("paint",), takes=(("ladder", 1),)),)), trade())
    assert [task.id for task in found.tasks if task.needs] == ["white-coat-1", "white-coat-2"]
    assert all(task.takes for task in found.tasks if not task.remedy_of)


def test_what_the_file_cautions_of_a_colour_is_said_at_its_taping_too() -> None:
    """The ladder is climbed for the tape as well; the fumes of the paint are the coats' alone."""
    white = colour("white", tape=20, cautions=(Beware("Mind the ladder."),))
    found = expand(job(colours=(white,)), trade(material(cautions=(Beware("Air the room."),))))
    assert found.task("white-tape").cautions == found.task("white-pull").cautions == (Beware("Mind the ladder."),)
    assert found.task("white-coat-2").cautions == (Beware("Mind the ladder."), Beware("Air the room."))


def test_what_a_colour_follows_holds_for_its_first_coat_and_its_tape() -> None:
    """The recoat window of the primer, with its remedy, is the coat's affair alone."""
    prime = step("prime", lays="primer")
    white = colour("white", tape=20, follows=[after("prime", "recoat")])
    links = expand(job(prime, colours=(white,)), trade(PRIMER, material())).links
    assert [link for link in links if link.before == "prime"] == [
        Link(before="prime", after="white-coat-1", stage="recoat", until="recoat_by", remedy="white-coat-1-remedy"),
        Link(before="prime", after="white-tape", stage="recoat"),
    ]


def test_a_limit_that_the_person_set_holds_beside_the_window_and_no_remedy_mends_it() -> None:
    prime = step("prime", lays="primer")
    white = colour("white", tape=20, follows=[after("prime", "recoat", within=5 * DAY)])
    links = expand(job(prime, colours=(white,)), trade(PRIMER, material())).links
    assert {link for link in links if link.before == "prime"} == {
        Link(before="prime", after="white-coat-1", stage="recoat", until="recoat_by", remedy="white-coat-1-remedy"),
        Link(before="prime", after="white-coat-1", stage="recoat", within=5 * DAY),
        Link(before="prime", after="white-tape", stage="recoat"),
    }


def test_a_mistake_in_what_a_colour_follows_is_told_once() -> None:
    white = colour("white", tape=20, follows=[after("prme", line=8)])
    assert faults(job(step("prime"), colours=(white,))) == [
        "job.yaml:8:1: no step or colour is called `prme`; did you mean `prime`?"
    ]


def test_who_follows_a_colour_follows_its_end_or_its_last_coat_at_a_stage() -> None:
    found = expand(
        job(
            step("put-back", follows=["white"]),
            step("hang", follows=[after("white", "use"), after("green", "use"), "green"]),
            colours=(colour("white", tape=20), colour("green")),
        ),
        trade(),
    )
    assert [link for link in found.links if link.after in ("put-back", "hang")] == [
        Link(before="green-coat-2", after="hang"),
        Link(before="green-coat-2", after="hang", stage="use"),
        Link(before="white-coat-2", after="hang", stage="use"),
        Link(before="white-pull", after="put-back"),
    ]


def test_a_border_is_a_choice_of_who_comes_first() -> None:
    """A is taped over only when it is at `tape` and its own tape is off; a third of the tape time goes to pulling."""
    found = expand(job(colours=(colour("white"), colour("green")), borders=(border("white", "green", 30),)), trade())
    (choice,) = found.choices
    green_first, white_first = choice.options
    assert (green_first.name, white_first.name) == ("Green first", "White first")
    assert white_first.leader == "white-coat-1"
    assert white_first.links[:2] == (
        Link(before="white-coat-2", after="green-tape", stage="tape"),
        Link(before="white-pull", after="green-tape"),
    )
    assert white_first.extra == (("green-tape", guess(30)), ("green-pull", guess(10)))
    assert green_first.leader == "green-coat-1"
    assert green_first.links[0] == Link(before="green-coat-2", after="white-tape", stage="tape")
    assert found.task("green-tape").work == found.task("white-pull").work == Estimate(0, 0, 0)


def test_the_time_of_the_tape_runs_only_where_there_is_tape() -> None:
    """Of two colours without tape of their own only the second is taped: no tape, no time to pull it by."""
    found = expand(job(colours=(colour("white"), colour("green")), borders=(border("white", "green"),)), trade())
    green_first, white_first = found.choices[0].options
    assert not [link for link in found.links if link.within is not None]
    for option, second in ((green_first, "white"), (white_first, "green")):
        assert [link for link in option.links if link.within is not None] == [
            Link(before=f"{second}-tape", after=f"{second}-pull", within=14 * DAY, strict=True),
            Link(
                before=f"{second}-coat-2",
                after=f"{second}-pull",
                stage="touch",
                within=DAY,
                remedy=f"{second}-pull-remedy",
            ),
        ]
    own = expand(
        job(colours=(colour("white", tape=10), colour("green", tape=10)), borders=(border("white", "green"),)),
        trade(),
    )
    assert len([link for link in own.links if link.within is not None]) == 4
    assert not [link for option in own.choices[0].options for link in option.links if link.within is not None]


def test_a_fixed_order_of_colours_leaves_no_choice() -> None:
    """White is first of all; green is taped off from it, ochre from both: 30 + 45 minutes."""
    names = ("ochre", "green", "white")
    found = expand(
        job(
            colours=tuple(colour(name) for name in names),
            borders=(border("ochre", "green", 45), border("white", "ochre", 30), border("green", "white", 60)),
            colour_order=("white", "green", "ochre"),
        ),
        trade(),
    )
    assert found.choices == ()
    assert {name: found.task(f"{name}-tape").work.likely for name in names} == {"white": 0, "green": 60, "ochre": 75}
    assert {name: found.task(f"{name}-pull").work.likely for name in names} == {"white": 0, "green": 20, "ochre": 25}
    assert Link(before="white-coat-2", after="ochre-tape", stage="tape") in found.links
    assert Link(before="ochre-pull", after="white-tape") not in found.links


def test_what_an_order_of_colours_leaves_out_stays_a_choice() -> None:
    """White is before green; of ochre, which touches both, the planner chooses."""
    found = expand(
        job(
            colours=(colour("ochre"), colour("green"), colour("white")),
            borders=(border("ochre", "green"), border("white", "ochre"), border("green", "white")),
            colour_order=("white", "green"),
        ),
        trade(),
    )
    assert {choice.id for choice in found.choices} == {"green|ochre", "ochre|white"}
    assert Link(before="white-coat-2", after="green-tape", stage="tape") in found.links


def test_where_the_work_settles_who_is_first_there_is_no_choice() -> None:
    """Green follows the trim, the trim follows white: white is first, and being first of ochre settles the third."""
    trim = step("trim", follows=["white"])
    found = expand(
        job(
            trim,
            colours=(colour("white"), colour("green", follows=["trim"])),
            borders=(border("green", "white", 30),),
        ),
        trade(),
    )
    assert found.choices == ()
    assert Link(before="white-coat-2", after="green-tape", stage="tape") in found.links
    assert found.task("green-tape").work == guess(30)


def test_what_one_forced_border_settles_may_settle_the_next() -> None:
    """White before green by the trim, green before ochre by the shelf: ochre cannot come before white."""
    found = expand(
        job(
            step("trim", follows=["white"]),
            step("shelf", follows=["green"]),
            colours=(colour("white"), colour("green", follows=["trim"]), colour("ochre", follows=["shelf"])),
            borders=(border("white", "green"), border("green", "ochre"), border("ochre", "white")),
        ),
        trade(),
    )
    assert found.choices == ()
    assert Link(before="white-pull", after="ochre-tape") in found.links


def test_an_order_of_colours_that_the_work_forbids_is_a_circle() -> None:
    a_job = job(
        step("trim", follows=["white"], line=30),
        colours=(colour("white", line=10), colour("green", follows=["trim"], line=20)),
        borders=(border("green", "white"),),
        colour_order=("green", "white"),
    )
    assert faults(a_job) == [
        "job.yaml:10:1: the order goes round in a circle: "
        "white follows green, green follows trim, trim follows white; take one of these out"
    ]


def test_a_material_without_the_stages_of_the_cycle_is_told_at_the_colour() -> None:
    stain = material(stages={"touch": 60, "full": DAY})
    a_job = job(
        colours=(colour("white", line=4), colour("green", coats=1, line=9)), borders=(border("white", "green"),)
    )
    hint = "write one that it has: `touch`, `full`"
    assert faults(a_job, trade(stain)) == [
        f"job.yaml:4:1: `paint` has no stage `recoat`, and `white` has 2 coats; {hint}",
        f"job.yaml:4:1: `paint` has no stage `tape`, and `white` is taped over along a border; {hint}",
        f"job.yaml:9:1: `paint` has no stage `tape`, and `green` is taped over along a border; {hint}",
    ]


def test_mistakes_in_borders_are_told_at_the_border() -> None:
    a_job = job(
        colours=(colour("white"), colour("green")),
        borders=(
            border("white", "gren", line=1),
            border("white", "white", line=2),
            border("white", "green", line=3),
            border("green", "white", line=4),
        ),
    )
    assert faults(a_job) == [
        "job.yaml:1:1: no colour is called `gren`; did you mean `green`?",
        "job.yaml:2:1: `white` borders on itself; name two colours",
        "job.yaml:4:1: `green` and `white` border twice; add the two times up in one entry",
    ]


def test_the_hours_of_the_coats_are_those_of_the_file() -> None:
    found = expand(job(colours=(colour("white", coat=2 * HOUR),)), trade())
    assert [task.work for task in found.tasks] == [guess(120), guess(120)]


def test_tape_comes_off_wet_or_dry_by_the_surface_that_is_painted() -> None:
    """By `pull` of tape.yaml: a floor film tears along the tape that it has closed over; walls wait until touch."""
    for kind, stage, within in (("floor", None, 20), ("walls", "touch", DAY)):
        part = Part(id="part", title="part", room="den", kind=kind)
        white = replace(colour("white", tape=20), on=("part",))
        there = replace(job(colours=(white,)), scope=Scope(rooms=(), parts=(part,)))
        found = expand(there, trade(tape=replace(TAPE, pulled_wet=("floor",))))
        link = next(each for each in found.links if each.before == "white-coat-2")
        assert (link.after, link.stage, link.within) == ("white-pull", stage, within)
