"""Steps become tasks, names become links."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from scheduler.errors import InputError
from scheduler.expanding import expand
from scheduler.model.basics import Estimate
from scheduler.model.beware import Beware
from scheduler.model.graph import Film, Link, Task
from scheduler.model.job import Job, Lay
from scheduler.model.material import Caution, Trade
from scheduler.model.message import message
from tests.support.builders import DAY, SCUFF, after, border, colour, job, material, place, step, trade

PRIMER = material("primer", {"touch": 30, "recoat": 180, "recoat_by": 7 * DAY, "tape": DAY}, remedy=SCUFF)
GLUE = material("glue", {"handle": 240, "full": DAY}, exposed=False)
FLOOR = material("floor-finish", {"touch": 60, "use": DAY}, room_closed_until="use")


def said_of(task: Task) -> tuple[str, ...]:
    """The cautions of a task, in full."""
    return tuple(caution.text for caution in task.cautions)


def faults(a_job: Job, a_trade: Trade | None = None) -> list[str]:
    with pytest.raises(InputError) as caught:
        expand(a_job, a_trade or trade())
    return [str(fault) for fault in caught.value.faults]


def test_a_step_keeps_what_the_file_says_of_it() -> None:
    one = step(
        "hang-doors", (60, 90, 150), people=2, smallest_piece=30, noisy=True, takes=(("ladder", 1),), needs=("doors",)
    )
    task = expand(job(one), trade()).task("hang-doors")
    assert (task.work, task.people, task.smallest_piece, task.noisy) == (Estimate(60, 90, 150), 2, 30, True)
    assert (task.takes, task.needs, task.film, task.wet) == ((("ladder", 1),), ("doors",), None, False)


def test_the_ratio_of_a_film_is_its_thickness_over_the_thickness_of_the_profile() -> None:
    """The test paint is 0.1 mm in its profile: 0.15 mm is half as much again; without a word it is 1."""
    thick = step("thick", lays=Lay(material="paint", coat=2, thickness=1.5e-4))
    thin = step("thin", lays="paint")
    found = expand(job(thick, thin), trade())
    assert found.task("thick").film == Film(material="paint", coat=2, ratio=pytest.approx(1.5), room="room")
    assert found.task("thin").film == Film(material="paint", coat=1, ratio=1.0, room="room")


def test_a_step_is_wet_if_its_film_lies_open_or_the_file_says_so() -> None:
    """Glue behind a panel catches no dust; a coat of paint does; wet plaster without a material is called wet."""
    found = expand(
        job(step("glue", lays="glue"), step("paint", lays="paint"), step("soak", wet=True), step("saw")),
        trade(GLUE, material()),
    )
    assert [task.id for task in found.tasks if task.wet] == ["paint", "soak"]


def test_the_cautions_of_the_material_come_after_those_of_the_step_and_none_twice() -> None:
    paint = material(cautions=(Beware("Air the room."), Beware("Wear gloves.")))
    task = expand(
        job(step("paint", lays="paint", cautions=(Beware("Mind the ladder."), Beware("Air the room.")))), trade(paint)
    ).task("paint")
    assert said_of(task) == ("Mind the ladder.", "Air the room.", "Wear gloves.")


@pytest.mark.parametrize(("built", "said"), [(1964, True), (1977, True), (1978, False), (2005, False), (None, True)])
def test_old_paint_is_cautioned_where_dust_is_made_unless_the_house_is_known_to_be_younger(
    built: int | None, said: bool
) -> None:
    lead = Caution(text="Lead", kind="old paint", source="a rule", built_before=1978)
    dust = Caution(text="Dust", kind="dusty", source="a guide")
    found = expand(job(step("sand", dusty=True), step("sweep"), built=built), trade(cautions=(lead, dust)))
    assert said_of(found.task("sand")) == (("Lead (a rule)", "Dust (a guide)") if said else ("Dust (a guide)",))
    assert found.task("sweep").cautions == ()


@pytest.mark.parametrize(
    ("disturbs", "said"),
    [
        (None, ("Lead (r)", "Fibres (r)", "Dust (r)")),
        ((), ("Dust (r)",)),
        (("old paint",), ("Lead (r)", "Dust (r)")),
        (("old texture",), ("Fibres (r)", "Dust (r)")),
    ],
)
def test_a_dusty_step_warns_of_the_old_stuff_that_it_disturbs_and_of_all_where_nobody_says(
    disturbs: tuple[str, ...] | None, said: tuple[str, ...]
) -> None:
    """Cutting new boards makes dust without lead in it; what nobody says of old work is taken to be the worst."""
    kinds = (("Lead", "old paint"), ("Fibres", "old texture"), ("Dust", "dusty"))
    cautions = tuple(Caution(text=text, kind=kind, source="r") for text, kind in kinds)
    found = expand(job(step("cut", dusty=True, disturbs=disturbs)), trade(cautions=cautions))
    assert said_of(found.task("cut")) == said


def test_what_a_step_has_to_do_with_brings_its_caution() -> None:
    ladder = Caution(text="Ladder", kind="ladder", source="r")
    found = expand(job(step("reach", dangers=("ladder",)), step("stand")), trade(cautions=(ladder,)))
    assert said_of(found.task("reach")) == ("Ladder (r)",)
    assert found.task("stand").cautions == ()


def test_a_wet_floor_closes_its_room_until_the_stage_of_the_profile() -> None:
    found = expand(job(step("seal", lays="floor-finish"), step("sweep")), trade(FLOOR))
    assert dict(found.closed) == {"seal": "use"}


def test_a_step_follows_the_end_a_stage_or_a_time_after_the_end() -> None:
    found = expand(
        job(
            step("glue", lays="glue"),
            step("saw"),
            step("nail", follows=[after("glue", "handle"), after("saw", wait=120), after("glue", "end", within=DAY)]),
        ),
        trade(GLUE),
    )
    assert found.links == (
        Link(before="glue", after="nail", within=DAY),
        Link(before="glue", after="nail", stage="handle"),
        Link(before="saw", after="nail", wait=120),
    )


def test_between_two_films_at_recoat_the_window_of_the_first_has_its_remedy() -> None:
    found = expand(
        job(step("prime", lays="primer"), step("paint", lays="paint", follows=[after("prime", "recoat")])),
        trade(PRIMER, material()),
    )
    (link,) = found.links
    assert (link.stage, link.until, link.remedy) == ("recoat", "recoat_by", "paint-remedy")
    remedy = found.task("paint-remedy")
    assert (remedy.remedy_of, remedy.work, remedy.dusty, remedy.wipes) == (
        ("prime", "paint"),
        Estimate.sure(30),
        True,
        True,
    )
    assert remedy.title == "Scuff sand and wipe down (Prime)"
    assert remedy.added == message("added.recoat window", after="Paint", before="Prime")
    assert [task.id for task in found.tasks] == ["prime", "paint-remedy", "paint"]


def test_a_window_without_a_remedy_must_not_be_missed() -> None:
    found = expand(
        job(step("prime", lays="primer"), step("paint", lays="paint", follows=[after("prime", "recoat")])),
        trade(replace(PRIMER, remedy=None), material()),
    )
    assert found.links == (Link(before="prime", after="paint", stage="recoat", until="recoat_by"),)


def test_a_recoat_window_means_nothing_to_a_step_that_lays_no_film() -> None:
    found = expand(job(step("prime", lays="primer"), step("hang", follows=[after("prime", "recoat")])), trade(PRIMER))
    assert found.links == (Link(before="prime", after="hang", stage="recoat"),)


def test_two_missed_windows_before_one_step_have_two_remedies() -> None:
    one = step("one", lays="primer")
    two = step("two", lays="primer")
    paint = step("paint", lays="paint", follows=[after("two", "recoat"), after("one", "recoat")])
    found = expand(job(one, two, paint), trade(PRIMER, material()))
    assert [(task.id, task.remedy_of) for task in found.tasks if task.remedy_of] == [
        ("paint-remedy", ("one", "paint")),
        ("paint-remedy-2", ("two", "paint")),
    ]


def test_tasks_stand_in_an_order_that_agrees_with_the_links_and_ties_go_by_name() -> None:
    found = expand(job(step("d"), step("b", follows=["d"]), step("c"), step("a", follows=["b"])), trade())
    assert [task.id for task in found.tasks] == ["c", "d", "b", "a"]


def test_shuffling_the_entries_of_the_file_changes_nothing() -> None:
    steps = [
        step("wipe", wipes=True, follows=["sand", "clear"]),
        step("clear"),
        step("sand", dusty=True),
        step("prime", lays="primer", follows=["wipe", after("clear", wait=5)]),
    ]
    colours = [
        colour(name, tape=10, follows=[after("prime", "recoat"), "clear"]) for name in ("white", "green", "ochre")
    ]
    borders = [border("white", "green"), border("ochre", "green"), border("ochre", "white")]
    data = [PRIMER, material(remedy=SCUFF), GLUE]
    first = expand(job(*steps, colours=tuple(colours), borders=tuple(borders)), trade(*data))
    for seed in range(5):
        luck = random.Random(seed)
        for entries in (steps, colours, borders, data):
            luck.shuffle(entries)  # type: ignore[arg-type]
        steps = [replace(one, after=tuple(luck.sample(one.after, len(one.after)))) for one in steps]
        borders = [border(one.second, one.first) for one in borders]
        assert expand(job(*steps, colours=tuple(colours), borders=tuple(borders)), trade(*data)) == first


# What is wrong, where, and what would be right.


def test_an_unknown_material_is_named_with_the_nearest_one() -> None:
    wrong = step("prime", lays=Lay(material="primmer", place=place(7, 12)), line=5)
    assert faults(job(wrong), trade(PRIMER, GLUE)) == [
        "job.yaml:7:12: no material is called `primmer`; did you mean `primer`?"
    ]


def test_an_unknown_material_far_from_all_is_answered_with_all() -> None:
    wrong = step("prime", lays=Lay(material="xyz", place=place(7, 12)))
    assert faults(job(wrong), trade(PRIMER, GLUE)) == [
        "job.yaml:7:12: no material is called `xyz`; known are `glue`, `primer`"
    ]


def test_a_stage_that_the_material_does_not_have_is_answered_with_those_it_has() -> None:
    glue = step("glue", lays="glue")
    assert faults(job(glue, step("nail", follows=[after("glue", "recoat", line=9)])), trade(GLUE)) == [
        "job.yaml:9:1: `glue` (glue) has no stage `recoat`; write one that it has: `handle`, `full`"
    ]


def test_a_step_without_a_film_has_no_stages() -> None:
    assert faults(job(step("saw"), step("nail", follows=[after("saw", "recoat", line=9)]))) == [
        "job.yaml:9:1: `saw` lays no film, so it has no stage `recoat`; "
        "follow its end (`saw`) or a time after it (`saw: 2 h`)"
    ]


def test_nothing_begins_where_a_window_closes() -> None:
    prime = step("prime", lays="primer")
    assert faults(job(prime, step("hang", follows=[after("prime", "recoat_by", line=9)])), trade(PRIMER)) == [
        "job.yaml:9:1: at `recoat_by` a window closes, nothing begins; follow at `recoat`"
    ]


def test_an_unknown_step_in_follows_is_named_with_the_nearest_one() -> None:
    assert faults(job(step("sand"), step("wipe", follows=[after("sandd", line=4)]))) == [
        "job.yaml:4:1: no step or colour is called `sandd`; did you mean `sand`?"
    ]


def test_a_step_of_an_unknown_material_may_be_followed_at_any_stage() -> None:
    """One mistake is one fault: what `primmer` would have had, nobody knows."""
    prime = step("prime", lays=Lay(material="primmer", place=place(3)))
    found = faults(job(prime, step("hang", follows=[after("prime", "recoat", line=9)])), trade(PRIMER))
    assert found == ["job.yaml:3:1: no material is called `primmer`; did you mean `primer`?"]


def test_a_circle_is_named_step_by_step_at_its_first_step() -> None:
    steps = [
        step("prime", follows=["caulk"], line=10),
        step("caulk", follows=["sand"], line=20),
        step("sand", follows=["prime", "clear"], line=30),
        step("clear", line=40),
    ]
    assert faults(job(*steps)) == [
        "job.yaml:10:1: the order goes round in a circle: "
        "prime follows caulk, caulk follows sand, sand follows prime; take one of these out"
    ]


def test_of_a_knot_the_shortest_circle_through_its_first_step_is_named() -> None:
    steps = [
        step("a", follows=["b", "c"], line=1),
        step("b", follows=["c"], line=2),
        step("c", follows=["a"], line=3),
    ]
    assert faults(job(*steps)) == [
        "job.yaml:1:1: the order goes round in a circle: a follows c, c follows a; take one of these out"
    ]


def test_two_circles_are_two_faults() -> None:
    steps = [step("a", follows=["b"], line=1), step("b", follows=["a"]), step("c", follows=["c"], line=3)]
    assert faults(job(*steps)) == [
        "job.yaml:1:1: the order goes round in a circle: a follows b, b follows a; take one of these out",
        "job.yaml:3:1: the order goes round in a circle: c follows c; no step can wait for itself",
    ]


def test_all_faults_are_told_at_once() -> None:
    steps = [
        step("a", lays=Lay(material="pant", place=place(2)), follows=[after("bb", line=3)]),
        step("b", follows=[after("d", "full", line=5), "c"], line=4),
        step("c", follows=["b"], line=6),
        step("d"),
    ]
    assert [fault.split(":")[1] for fault in faults(job(*steps))] == ["2", "3", "4", "5"]


def test_a_step_may_not_have_the_name_of_a_colour_or_of_a_task_of_its_cycle() -> None:
    steps = [step("white"), step("white-coat-2")]
    assert faults(job(*steps, colours=(colour("white", line=8),))) == [
        "job.yaml:8:1: `white` is the name of a step and of this colour; rename the step",
        "job.yaml:8:1: `white-coat-2` is the name of a step and of a task of the colour `white`; rename the step",
    ]


# Dust.


def test_dust_before_wet_work_in_a_room_needs_a_wiping_step_between_them() -> None:
    sand, prime = step("sand", dusty=True, line=3), step("prime", lays="paint", follows=["sand"])
    assert faults(job(sand, prime)) == [
        "job.yaml:3:1: nothing wipes the room down between `sand` (dusty) and `prime` (wet); "
        "add a step of kind wipes that follows `sand`"
    ]


def test_a_wiping_step_between_them_will_do() -> None:
    sand, wipe = step("sand", dusty=True), step("wipe", wipes=True, follows=["sand"])
    prime = step("prime", lays="paint", follows=["wipe"])
    assert len(expand(job(sand, wipe, prime), trade()).tasks) == 3


def test_a_wiping_step_that_the_planner_can_put_between_them_will_do() -> None:
    sand, wipe = step("sand", dusty=True), step("wipe", wipes=True, follows=["sand"])
    prime = step("prime", lays="paint", follows=["sand"])
    assert len(expand(job(sand, wipe, prime), trade()).tasks) == 3


def test_a_wiping_step_after_the_wet_one_comes_too_late() -> None:
    sand, prime = step("sand", dusty=True, line=3), step("prime", lays="paint", follows=["sand"])
    wipe = step("wipe", wipes=True, follows=["prime"])
    assert len(faults(job(sand, prime, wipe))) == 1


def test_wiping_another_room_or_before_the_dust_does_not_count() -> None:
    wipe = step("wipe", wipes=True)
    sand = step("sand", dusty=True, line=3, follows=["wipe"])
    hall = step("wipe-hall", wipes=True, room="hall", follows=["sand"])
    prime = step("prime", lays="paint", follows=["sand", "wipe-hall"])
    assert len(faults(job(wipe, sand, hall, prime))) == 1


def test_a_dusty_step_that_wipes_up_after_itself_and_dust_in_another_room_do_no_harm() -> None:
    sand = step("sand", dusty=True, wipes=True)
    saw = step("saw", dusty=True, room="garage")
    prime = step("prime", lays="paint", follows=["sand", "saw"])
    assert len(expand(job(sand, saw, prime), trade()).tasks) == 3


def test_glue_behind_a_panel_needs_no_wiping() -> None:
    saw, glue = step("saw", dusty=True), step("glue", lays="glue", follows=["saw"])
    assert len(expand(job(saw, glue), trade(GLUE)).tasks) == 2


def test_dust_before_a_colour_needs_a_wiping_step_too() -> None:
    sand = step("sand", dusty=True, line=3)
    assert faults(job(sand, colours=(colour("white", follows=["sand"]),))) == [
        "job.yaml:3:1: nothing wipes the room down between `sand` (dusty) and `white-coat-1` (wet); "
        "add a step of kind wipes that follows `sand`"
    ]


def test_a_remedy_that_may_never_run_is_no_wipe_down() -> None:
    """Sanding makes dust and the soaking is wet. That a coat beside it would be scuffed and wiped, were its window
    missed, wipes nothing in time: glue with a window stands for a film on which no dust falls."""
    glue = material("glue", {"handle": 240, "recoat": 60, "recoat_by": 2 * DAY}, exposed=False, remedy=SCUFF)
    first, second = step("first", lays="glue", follows=["sand"]), step("second", follows=[after("first", "recoat")])
    second = replace(second, lays=Lay(material="glue", coat=2))
    sand, soak = step("sand", dusty=True), step("soak", wet=True, follows=["sand"])
    assert any(task.remedy_of for task in expand(job(step("sand"), soak, first, second), trade(glue)).tasks)
    (said,) = faults(job(sand, soak, first, second), trade(glue))
    assert "nothing wipes the room down between `sand` (dusty) and `soak` (wet)" in said


def test_a_fault_without_a_line_of_its_own_stands_at_that_of_the_job() -> None:
    """So that an editor opens the file; steps that come out of methods have no line."""
    sand, soak = step("sand", dusty=True), step("soak", wet=True, follows=["sand"])
    (said,) = faults(replace(job(sand, soak), place=place(3)))
    assert said.startswith(f"{place(3)}: nothing wipes")
    (other,) = faults(job(replace(sand, place=place(7)), soak))
    assert other.startswith(f"{place(7)}: nothing wipes")
