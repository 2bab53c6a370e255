"""Every mistake in what was measured and is wanted stands at its line and column, with what would be right."""

from __future__ import annotations

import pytest

from scheduler.errors import InputError
from scheduler.expanding import expand
from tests.support.scoped import text_of, unfolded

GOOD = """\
den: [clear and protect]
walls: [patch, prime]
panel:
  on: [north wall, east wall]
  up to: golden section
  do:
    - backer: {spacing: 16 in}
    - rails and battens
both: {of: [frame, panel], do: caulk}
frame: {around: window, do: case an opening}
"""
OPENINGS = "{window: {on: east wall, width: 4 ft, height: 4 ft, sill: 3 ft}}"
DOOR = "{door: {on: east wall, width: 3 ft, height: 7 ft}}"
COLOUR_OF_DOORS = "colours:\n  grey: {{on: {part}, material: acrylic-latex-wall-paint, coats: 2}}\n"
REST = "colours:\n  grey: {on: walls, material: acrylic-latex-wall-paint, coats: 2}\n"


def faults(old: str, new: str, rest: str = REST) -> list[str]:
    text = text_of(GOOD, rest, openings=OPENINGS)
    assert text.count(old) == 1, text.count(old)
    with pytest.raises(InputError) as caught:
        expand(*unfolded(text.replace(old, new)))
    return [str(fault) for fault in caught.value.faults]


def test_the_good_one_is_good() -> None:
    assert unfolded(text_of(GOOD, REST, openings=OPENINGS))[0].steps


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("[patch, prime]", "[pach, prime]", "job.yaml:17:11: no method is called `pach`; did you mean `patch`?"),
        (
            "[patch, prime]",
            "[varnish floor]",
            "job.yaml:17:11: `varnish a floor` is not for `walls`; it is for floor",
        ),
        (
            "frame: {around: window, do: case an opening}",
            "frame: {around: window, do: paint doors}",
            "`paint doors` is not for `frame`; write `surface: doors` beside `around` for the door itself, or name "
            "the part `doors`; else `around` is the trim",
        ),
        ("[patch, prime]", "[prime, prime]", "job.yaml:17:18: `prime` is done twice to `walls`"),
        (
            "{spacing: 16 in}",
            "{spcing: 16 in}",
            "job.yaml:22:18: `backer sheets` has no option `spcing`; did you mean `spacing`?",
        ),
        ("{spacing: 16 in}", "{spacing: 16}", "job.yaml:22:27: `16` has no unit"),
        ("{spacing: 16 in}", "{spacing: 50 in}", "`backer sheets` needs the quantity `spacing` of `panel`"),
        (
            "{spacing: 16 in}",
            "{fixing: glue}",
            "job.yaml:22:26: `glue` is no `fixing`; known are `glued and nailed`, `glued only`",
        ),
        ("{spacing: 16 in}", "{adhesive: wood glu}", "no material is called `wood-glu`"),
        (
            "[north wall, east wall]",
            "[north wal, east wall]",
            "job.yaml:19:10: no wall here is called `north wal`; did you mean `north wall`?",
        ),
        ("golden section", "golden", "job.yaml:20:12: `golden`"),
        ("golden section", "9 ft", "job.yaml:20:12: this is higher than the room"),
        (
            "of: [frame, panel]",
            "of: [frame, panl]",
            "job.yaml:24:22: no other part is called `panl`; did you mean `panel`?",
        ),
        ("of: [frame, panel]", "of: [frame, den]", "job.yaml:24:22: `den` is no single surface"),
        (
            "around: window",
            "around: windo",
            "job.yaml:25:19: no opening here is called `windo`; did you mean `window`?",
        ),
        (
            "{on: walls, ",
            "{on: wals, ",
            "job.yaml:27:14: no part of the scope is called `wals`; did you mean `walls`?",
        ),
        ("{on: walls, ", "{", "`one coat` is missing"),
        (
            "on: east wall, width: 4 ft",
            "on: east, width: 4 ft",
            "job.yaml:13:29: no wall here is called `east`; did you mean `east wall`?",
        ),
        ("width: 4 ft, height", "width: 14 ft, height", "this is wider than what is left of the east wall"),
        ("height: 4 ft, sill", "height: 6 ft, sill", "this reaches higher than the room"),
        ("    height: 8 ft\n", "", "job.yaml:9:3: `height` of this room is missing"),
        ("length: 12 ft", "length: 12", "job.yaml:10:13: `12` has no unit"),
        ("    - rails and battens", "    - {rails and battens: , base: }", "2 names stand in one entry"),
        ("do: caulk}", "do: {caulk: {needs: doors}}}", "no item on order is called `doors`"),
    ],
)
def test_a_mistake_stands_at_its_place(old: str, new: str, fault: str) -> None:
    found = faults(old, new)
    assert any(fault in each for each in found), found


def test_part_and_phase_go_together() -> None:
    steps = REST + "steps: {mine: {work: 1 h, part: walls}}\n"
    assert any("`part` goes with `phase`" in each for each in faults("do: caulk}", "do: fill}", steps))


def test_changes_need_something_to_change() -> None:
    text = text_of("walls: prime", "changes: {walls-prime: {people: 2}}\n")
    at = text.index("scope:")
    with pytest.raises(InputError) as caught:
        unfolded(text[:at] + "steps: {a: {work: 1 h}}\n" + text[text.index("changes:") :])
    assert "there is no `scope` in this job" in str(caught.value)


def test_two_colours_are_not_on_one_part() -> None:
    rest = REST + "  red: {on: walls, material: acrylic-latex-wall-paint, coats: 1}\n"
    assert any("`walls` carries `grey` already" in each for each in faults("do: caulk}", "do: fill}", rest))


@pytest.mark.parametrize("said", ["doors: {around: door, do: X}", "leaf: {around: door, surface: doors, do: X}"])
def test_what_the_fault_of_a_door_says_to_write_is_right(said: str) -> None:
    scope = "den: [clear and protect]\n" + said.replace("X", "[sand, paint doors]") + "\n"
    job, _ = unfolded(text_of(scope, COLOUR_OF_DOORS.format(part=said.partition(":")[0]), openings=DOOR))
    assert any("leaf" in step.id or "doors" in step.id for step in job.steps)
