"""The verifier on rooms, air, deliveries and shared things."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from scheduler.model.job import Hours, Item
from tests.support.sound import CASE, PIECES, moved, run, sound
from tests.support.written import Case
from tests.verifying.siblings import only, with_graph

# --- Rooms, air, items, things ---------------------------------------------------------------------------------


def test_no_dust_flies_over_a_wet_film() -> None:
    """The primer ends at 12:00 and is free of dust at 13:00; the room is open again from 12:30."""
    said = only("dust and wet film", moved(_drill_free(), drill=run(4, "12:59", "13:19")), "drill", _drill_free())
    assert said.endswith("“Prime the walls” is wet until Saturday 4 April, 13:00")
    assert _drill_free().broken(moved(_drill_free(), drill=run(4, "13:00", "13:20"))) == ()


def _drill_free() -> Case:
    """The case in which the wipe-down need not follow the drill."""
    return with_graph(links=tuple(link for link in CASE.graph.links if link.before != "drill"))


def test_dust_in_another_room_does_not_matter() -> None:
    case = _drill_free().task("drill", room="hall")
    assert case.broken(moved(case, drill=run(4, "11:30", "11:50"))) == ()


def test_after_dust_the_wipe_down_comes_before_anything_wet() -> None:
    """Wiped between two pieces of the cutting, of which the second ends at 10:25, and at 10:45 the primer goes on."""
    case = with_graph(links=tuple(link for link in CASE.graph.links if link.after != "wipe"))
    cut = (run(4, "9:05", "9:45"), run(4, "10:05", "10:25"))
    plan = moved(case, drill=run(4, "8:45", "9:05"), cut=cut, wipe=run(4, "9:45", "10:05"))
    only("wiped before wet", plan, "prime", case)


def test_nobody_makes_dust_while_somebody_wipes_the_room_down() -> None:
    """Three people in the hall, where nothing wet follows: the shelf is sawn until 14:10, and then it is wiped."""
    case = CASE.task("shelf", room="hall", dusty=True).task("note", room="hall", wipes=True)
    case = replace(case, windows=tuple(replace(window, people=3) for window in case.windows))
    assert case.broken(moved(case, note=run(11, "14:10", "14:25"))) == ()
    only("no dust while wiping", moved(case, note=run(11, "14:09", "14:24")), "shelf", case)


def test_a_dusty_remedy_that_does_not_wipe_leaves_its_dust() -> None:
    """Scuffed without wiping: the dust lies when cream goes on, and still when grey does."""
    case = CASE.task("scuff", wipes=False)
    found = {(broken.rule, broken.step) for broken in case.broken(moved(case))}
    assert found == {("wiped before wet", "cream-coat"), ("wiped before wet", "grey-coat")}


def test_a_closed_room_is_entered_by_nobody_else() -> None:
    """The primer closes the den from 10:45 until it is touch-dry at 12:30."""
    only("closed rooms", moved(note=run(4, "11:00", "11:15")), "note")
    assert CASE.broken(moved(note=run(4, "12:30", "12:45"))) == ()


def test_the_air_stays_inside_the_limits_until_the_film_can_bear_it() -> None:
    """Fit until 14:00. Primed from 12:30 to 13:45, touch-dry at 14:15: too late."""
    only("air limits", moved(prime=run(4, "12:30", "13:45")), "prime")


def test_the_air_is_inside_the_limits_at_the_start() -> None:
    """Fit from 11:00 on, primed from 10:45."""
    films = {**CASE.films, "prime": replace(CASE.films["prime"], fit=(run(4, "11:00", "14:00"),))}
    only("air limits", sound(), "prime", replace(CASE, films=films))


def test_one_fit_span_holds_both_the_start_and_the_stage() -> None:
    """Fit until 12:10 and again from 12:20: the start lies in one span, the stage (12:30) in the other."""
    films = {**CASE.films}
    films["prime"] = replace(films["prime"], fit=(run(4, "8:00", "12:10"), run(4, "12:20", "14:00")))
    only("air limits", sound(), "prime", replace(CASE, films=films))


def test_without_a_stage_to_hold_for_the_air_must_be_fit_until_the_end_of_the_step() -> None:
    """Primed until 12:00: fit until 12:00 is enough, until 11:59 is not."""
    fits = replace(CASE.films["prime"], hold_until=None, fit=(run(4, "8:00", "12:00"),))
    assert replace(CASE, films={**CASE.films, "prime": fits}).broken(sound()) == ()
    short = replace(fits, fit=(run(4, "8:00", "11:59"),))
    only("air limits", sound(), "prime", replace(CASE, films={**CASE.films, "prime": short}))


def test_a_step_waits_for_what_is_on_order() -> None:
    """The doors come on Wednesday the 8th."""
    first = run(4, "13:00", "13:45")
    said = only("items there", moved(door=(first, *PIECES["door"][1:])), "door")
    assert said == "starts Saturday 4 April, 13:00 and needs “doors”, which comes 2026-04-08"


def test_an_item_that_arrived_late_is_there_from_then_on() -> None:
    """Expected on the 8th, arrived on the 10th: hung from the 8th on, that cannot be."""
    doors = Item(id="doors", title="Doors", expected=CASE.job.items[0].expected, arrived=date(2026, 4, 10))
    case = replace(CASE, job=replace(CASE.job, items=(doors,)))
    only("items there", moved(case), "door", case)


def test_an_item_that_nobody_ordered_is_said() -> None:
    case = CASE.task("note", needs=("chalk",))
    only("items there", moved(case), "note", case)


def test_the_ladder_stands_in_one_place_at_a_time() -> None:
    """There is one ladder, and the primer has it from 10:45 to 12:00."""
    only("things shared", moved(lamp=run(4, "11:00", "11:30")), "lamp")
    assert CASE.broken(moved(lamp=run(4, "10:15", "10:45"))) == ()


def test_nobody_works_in_a_room_that_the_hours_are_not_for() -> None:
    """The lamp hangs in the hall from 8:15 to 8:45. Hours for the hall from 8:15 are enough."""

    def case(start: int) -> Case:
        every = frozenset(range(7))
        rules = (Hours(weekdays=every, start=0, end=1440, rooms=("den",)),)
        rules += (Hours(weekdays=every, start=start, end=1440, rooms=("hall",)),)
        return replace(CASE, job=replace(CASE.job, hours=rules))

    assert case(8 * 60 + 15).broken(sound()) == ()
    said = only("rooms open", sound(), "lamp", case(8 * 60 + 16))
    assert said == "works Saturday 4 April, 08:15 to Saturday 4 April, 08:45, in hours that are not for the room hall"
