"""Every step that a method brings can be changed, dropped or replaced by its id; ids stay when measures change."""

from __future__ import annotations

import networkx as nx
import pytest

from scheduler.errors import InputError
from scheduler.expanding import expand
from tests.support.scoped import graph_of, job_of, step_of, text_of, unfolded

SCOPE = "walls: [patch, sand, wipe down, prime]\npanel: {up to: 1/3, do: [backer, rails and battens, fill]}"
IDS = [step.id for step in job_of(SCOPE).steps]


def faults(scope: str, rest: str = "") -> list[str]:
    with pytest.raises(InputError) as caught:
        graph_of(scope, rest)
    return [str(fault) for fault in caught.value.faults]


WINDOW = "{w: {on: east wall, width: 3 ft, height: 3 ft, sill: 3 ft}}"


@pytest.mark.parametrize(
    "more", [{"length": "13 ft"}, {"height": "9 ft 1 in"}, {"width": "31 ft"}, {"openings": WINDOW}]
)
def test_ids_stay_when_a_measure_changes(more: dict[str, str]) -> None:
    assert [step.id for step in job_of(SCOPE, **more).steps] == IDS


def test_a_step_is_changed_where_the_person_says_so_and_stays_in_its_place() -> None:
    rest = "changes:\n  walls-prime: {work: 2 h, people: 2, title: Prime with a friend, takes: {step ladder: 1}}\n"
    before, after = step_of(job_of(SCOPE), "walls-prime"), step_of(job_of(SCOPE, rest), "walls-prime")
    assert (after.work.likely, after.people, after.title) == (120, 2, "Prime with a friend")
    assert (after.after, after.lays, after.uses) == (before.after, before.lays, before.uses)


def test_what_a_step_follows_can_be_changed() -> None:
    rest = "changes: {walls-prime: {follows: [panel-fill: 2 h]}}\n"
    assert [(after.step, after.wait) for after in step_of(job_of(SCOPE, rest), "walls-prime").after] == [
        ("panel-fill", 120)
    ]


def test_what_followed_a_step_that_was_taken_out_of_the_order_follows_what_that_one_followed() -> None:
    """Clear, cover, patch: who may cover at any time still clears before patching. So it is with colours."""
    scope = "den: [clear and protect]\nwalls: [patch, prime, paint walls]\nceiling: [patch, prime]"
    usual = step_of(job_of(scope), "walls-patch").after
    assert [after.step for after in usual] == ["den-cover"]
    own = step_of(job_of(scope, "changes: {den-cover: {follows: []}}\n"), "walls-patch").after
    assert [after.step for after in own] == ["den-clear", "den-cover"]
    scope = "den: [put back]\nwalls: [patch, prime]"
    colour = (
        "colours: {grey: {on: walls, material: acrylic-latex-wall-paint, coats: 1, follows: [walls-patch: 2 d]}}\n"
    )
    links = graph_of(scope, colour).links
    ahead = {link.before for link in links if link.after == "den-uncover"}
    assert "walls-prime" in ahead


def test_a_step_by_hand_of_the_same_id_takes_the_place_of_the_one_that_the_method_brings() -> None:
    rest = "steps:\n  walls prime: {work: 3 h, lays: shellac-based-primer, room: den}\n"
    job = job_of("walls: [patch, prime, paint walls]", rest)
    assert [step.id for step in job.steps].count("walls-prime") == 1
    mine = step_of(job, "walls-prime")
    assert (mine.work.likely, mine.lays.material if mine.lays else "") == (180, "shellac-based-primer")
    assert {after.step for after in mine.after} == {"walls-patch", "walls-patch-wipe"}
    assert "walls-prime" in {after.step for after in step_of(job, "walls-coat-1").after}


def test_what_followed_a_dropped_step_follows_what_that_one_followed() -> None:
    job = job_of("walls: [patch, prime]", "drop: [walls-sand-patches, walls-patch-wipe]\n")
    assert {after.step: after.stage for after in step_of(job, "walls-prime").after} == {"walls-patch": "paint_over"}


@pytest.mark.parametrize("name", IDS)
def test_dropping_any_step_leaves_a_graph_that_holds_or_a_clear_fault(name: str) -> None:
    try:
        graph = graph_of(SCOPE, f"drop: {name}\n")
    except InputError as error:
        assert all(": nothing wipes the room down between" in str(fault) for fault in error.faults)
    else:
        names = {task.id for task in graph.tasks}
        assert name not in names
        assert all({link.before, link.after} <= names for link in graph.links)


def test_some_wipe_is_needed_and_who_drops_it_gets_one_that_is_made_up_for_the_dust() -> None:
    """It says why it is there, and stands between the dust and all wet work that comes after it."""
    graph = graph_of("walls: [sand, wipe down, prime]", "drop: walls-wipe\n")
    wiped = graph.task("walls-sand-wiped")
    assert wiped.wipes
    assert wiped.added is not None
    assert {link.before for link in graph.links if link.after == wiped.id} == {"walls-sand"}
    assert {link.after for link in graph.links if link.before == wiped.id} == {"walls-prime"}


def test_methods_that_raise_dust_between_each_others_wet_work_make_no_job_impossible() -> None:
    """A door let into its frame, and joinery filled right after it: nobody named a wipe-down for that dust."""
    graph = graph_of(
        "opening: {around: door, do: [hang a door: {leaf: new in an old frame}]}\n"
        "wall: {on: north wall, up to: 36 in, do: [panel mouldings: {frame width: 20 in}]}\n"
        "joinery: {of: [wall, opening], do: [fill, prime]}",
        openings="{door: {on: south wall, width: 30 in, height: 80 in}}",
    )
    dusty = [task.id for task in graph.tasks if task.dusty and not task.wipes and task.id.startswith("opening")]
    assert dusty
    network = nx.DiGraph((link.before, link.after) for link in graph.links)
    for name in dusty:
        behind = nx.descendants(network, name)
        for last in (each for each in behind if graph.task(each).wet):
            assert any(graph.task(each).wipes for each in behind & nx.ancestors(network, last))


def test_the_tasks_of_a_colour_can_be_changed_too() -> None:
    rest = "colours: {grey: {on: walls, material: acrylic-latex-wall-paint, coats: 2}}\n"
    rest += "changes: {grey-coat-2: {work: 30 min, title: A thin last coat}}\n"
    graph = graph_of("walls: prime", rest)
    assert (graph.task("grey-coat-2").work.likely, graph.task("grey-coat-2").title) == (30, "A thin last coat")
    assert graph.task("grey-coat-1").work.likely != 30


def test_a_name_that_no_step_has_is_a_fault_with_the_nearest_one() -> None:
    assert any(
        "no step is called `wals-prime`; did you mean `walls-prime`?" in each
        for each in faults(SCOPE, "changes: {wals-prime: {people: 2}}\n")
    )
    assert any(
        "no step is called `walls-primer`; did you mean `walls-prime`?" in each
        for each in faults(SCOPE, "drop: walls-primer\n")
    )


def test_a_colours_task_is_not_dropped_but_its_colour_changed() -> None:
    rest = "colours: {grey: {on: walls, material: acrylic-latex-wall-paint, coats: 2}}\ndrop: grey-coat-2\n"
    assert any(
        "`grey-coat-2` belongs to a colour; change `coats` or `tape off`" in each
        for each in faults("walls: prime", rest)
    )


def test_whoever_follows_a_film_that_a_method_lays_says_how_dry_it_must_be() -> None:
    steps = "steps:\n  hang pictures:\n    work: 1 h\n    follows: walls-prime\n"
    (fault,) = faults("walls: prime", steps)
    assert "job.yaml:20:14: `walls-prime` lays a film, and nothing says how dry it must be" in fault
    for clear in ("walls-prime: end", "walls-prime: recoat", "walls-prime: 2 h"):
        text = text_of("walls: prime", steps.replace("follows: walls-prime", f"follows: [{clear}]"))
        assert step_of(unfolded(text)[0], "hang-pictures").after


def test_learning_and_pace_make_the_work_longer() -> None:
    """`first time` takes the learning factor of the method (varnish floor: 1.8), half the pace twice as long."""
    plain = step_of(job_of("floor: varnish floor"), "floor-coat-1").work.likely
    first = step_of(job_of("floor: varnish floor", "first time: varnish floor\n"), "floor-coat-1").work.likely
    slow = step_of(job_of("floor: varnish floor", "pace: 50 %\n"), "floor-coat-1").work.likely
    assert 1.8 * (plain - 5) <= first <= 1.8 * plain + 5
    assert 2 * (plain - 5) <= slow <= 2 * plain + 5


TWO_ROOMS = """\
job: Two rooms
start: 2027-01-09
zone: UTC
hours: {on: every day, from: 7:00, to: 21:00, people: 2}
rooms:
  one: {length: 12 ft, width: 10 ft, height: 8 ft, air: {day: 70 °F, night: 70 °F, humidity: 50 %}}
  two: {length: 9 ft, width: 8 ft, height: 8 ft, air: {day: 70 °F, night: 70 °F, humidity: 50 %}}
scope:
  one: [clear and protect, put back]
  two: [clear and protect, put back]
  walls one: {surface: walls, room: one, do: [patch, prime]}
  walls two: {surface: walls, room: two, do: [patch, prime]}
colours:
  grey: {on: walls one, material: acrylic-latex-wall-paint, coats: 2}
"""
OF_TWO_ROOMS = [task.id for task in expand(*unfolded(TWO_ROOMS)).tasks if task.remedy_of is None]


@pytest.mark.parametrize("name", OF_TWO_ROOMS)
def test_every_step_of_every_room_can_be_changed_and_followed(name: str) -> None:
    graph = expand(*unfolded(TWO_ROOMS + f"changes: {{{name}: {{title: Otherwise}}}}\n"))
    assert graph.task(name).title == "Otherwise"
    steps = f"steps: {{look: {{work: 1 h, room: two, follows: [{name}: end]}}}}\n"
    links = expand(*unfolded(TWO_ROOMS + steps)).links
    assert name in {link.before for link in links if link.after == "look"}


@pytest.mark.parametrize("name", OF_TWO_ROOMS)
def test_every_step_of_every_room_can_be_dropped_unless_something_needs_it(name: str) -> None:
    try:
        graph = expand(*unfolded(TWO_ROOMS + f"drop: {name}\n"))
    except InputError as error:
        assert all(
            "nothing wipes the room" in str(each) or "belongs to a colour" in str(each) for each in error.faults
        )
    else:
        assert name not in {task.id for task in graph.tasks}


def of_two_rooms(rest: str) -> list[str]:
    with pytest.raises(InputError) as caught:
        expand(*unfolded(TWO_ROOMS + rest))
    return [str(fault) for fault in caught.value.faults]


def test_a_wrong_name_in_a_job_of_several_rooms_is_one_fault_with_a_name_that_works() -> None:
    (fault,) = of_two_rooms("drop: one-cary-in\n")
    assert fault == "job.yaml:15:7: no step is called `one-cary-in`; did you mean `one-carry-in`?"
    (fault,) = of_two_rooms("changes: {two-clea: {people: 1}}\n")
    assert fault == "job.yaml:15:11: no step is called `two-clea`; did you mean `two-clear`?"


@pytest.mark.parametrize(
    ("rest", "fault"),
    [
        ("drop: two-clear\nchanges: {two-clear: {work: 2 h}}\n", "16:11: `two-clear` is dropped, so nothing in it"),
        ("changes: {two-clear: {}}\n", "15:11: nothing is changed in `two-clear`; write what, such as `work: 2 h`"),
        ("changes: {grey: {people: 2}}\n", "15:11: `grey` is a colour, no step; change it under `colours`"),
        ("drop: grey\n", "15:7: `grey` is a colour, no step; take it out under `colours` instead"),
        ("changes: {grey-coat-1: {lays: shellac}}\n", "15:25: `grey-coat-1` belongs to a colour, and `lays` is the"),
        (
            "steps: {look: {work: 1 h, room: two}}\ndrop: look\n",
            "16:7: `look` stands under `steps`; take it out there",
        ),
        (
            "steps: {look: {work: 1 h, room: two, follows: grey-coat-1}}\n",
            "`grey-coat-1` lays a film, and nothing says",
        ),
        ("drop: [two-clear, two-clear]\n", "15:19: `two-clear` stands here twice"),
    ],
)
def test_a_change_of_which_nothing_would_come_is_a_fault(rest: str, fault: str) -> None:
    found = of_two_rooms(rest)
    assert any(fault in each for each in found), found


def test_a_step_by_hand_can_be_changed_by_its_id_too() -> None:
    rest = "steps: {look: {work: 1 h, room: two}}\nchanges: {look: {work: 3 h, follows: [walls-two-prime: end]}}\n"
    graph = expand(*unfolded(TWO_ROOMS + rest))
    assert graph.task("look").work.likely == 180
    assert {link.before for link in graph.links if link.after == "look"} == {"walls-two-prime"}
