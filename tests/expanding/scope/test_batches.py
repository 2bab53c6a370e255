"""Many like pieces in batches, on both sides, with coats: fronts on a drying rack, and methods of one's own."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from itertools import pairwise
from math import ceil
from pathlib import Path

import pytest

from scheduler.errors import InputError
from scheduler.model.facts import Facts
from scheduler.model.job import Job, Step
from scheduler.model.plan import Plan, PlannedStep
from scheduler.pipeline import make_plan
from scheduler.reading.methods import read_methods
from tests.support.scoped import text_of, unfolded
from tests.support.told import breaks

FRONTS = "fronts: {{count: {count}, do: [paint fronts: {{in: shed{more}}}]}}"
SHED = "  shed: {air: {day: 70 °F, night: 70 °F, humidity: 50 %}}\n"
SIDES = ("prime-backs", "prime-faces", "backs-1", "faces-1", "backs-2", "faces-2")
"""Primer and two coats on both sides, in the order in which one batch gets them."""


def fronts(count: int = 18, more: str = "", rack: str = ", drying rack: 9") -> str:
    """The job file of so many fronts."""
    text = text_of(FRONTS.format(count=count, more=more))
    return text.replace(", nailer: 1}", f", nailer: 1{rack}}}").replace("scope:\n", SHED + "scope:\n")


def steps_of(text: str, folder: Path | None = None) -> dict[str, Step]:
    """The steps of a job by id."""
    return {step.id: step for step in unfolded(text, folder)[0].steps}


def fault(text: str, folder: Path | None = None) -> str:
    """The one fault of a job, as it is printed."""
    with pytest.raises(InputError) as raised:
        unfolded(text, folder)
    (found,) = raised.value.faults
    return str(found)


@cache
def planned() -> tuple[Job, Plan]:
    """Eighteen fronts on a rack of nine."""
    job, trade = unfolded(fronts())
    return job, make_plan(job, trade, Facts(now=job.start)).plan


@pytest.mark.parametrize(
    ("count", "more", "rack", "batches"),
    [
        (18, "", ", drying rack: 9", ["1 to 9", "10 to 18"]),
        (20, "", ", drying rack: 8", ["1 to 8", "9 to 16", "17 to 20"]),
        (9, "", ", drying rack: 9", []),
        (7, ", batch: 3", "", ["1 to 3", "4 to 6", "7"]),
        (18, "", "", []),
    ],
)
def test_a_batch_is_as_large_as_the_rack_or_as_is_said(count: int, more: str, rack: str, batches: list[str]) -> None:
    """ceil(fronts / places) batches, the last of what is left; what fits at once, or has no rack, is not divided."""
    found = [step for step in unfolded(fronts(count, more, rack))[0].steps if "prime-backs" in step.id]
    assert [step.title.partition("(")[2].rstrip(")") for step in found] == (batches or [""])


def test_each_batch_takes_the_work_the_paint_and_the_places_of_its_own_fronts() -> None:
    """A coat of the backs is 10 min a front: 9 of 20 take 90 min, the last 2 of them 20. They take as many places of
    the rack as they are; and they all use as much enamel as fronts that are not divided."""
    parts, whole = steps_of(fronts(20)), steps_of(fronts(20, rack=""))
    coats = [parts[f"fronts-backs-1-batch-{number}"] for number in (1, 2, 3)]
    assert [step.work.likely for step in coats] == [9 * 10, 9 * 10, 2 * 10]
    assert [dict(step.takes)["drying-rack"] for step in coats] == [9, 9, 2]
    assert [keep.stage for step in coats for keep in step.keeps] == ["handle"] * 3
    enamel = sum(use.amount for step in coats for use in step.uses)
    assert enamel == pytest.approx(whole["fronts-backs-1"].uses[0].amount)


def test_the_sides_of_a_batch_follow_each_other_as_wet_pieces_allow() -> None:
    """Turned at `handle`, the next coat on a side at its recoat, rubbed and wiped between; hung once all is fit."""
    plan = planned()[1]
    steps = {step.id: step for step in plan.steps}
    for batch in (1, 2):
        own = [steps[f"fronts-{side}-batch-{batch}"] for side in SIDES]
        assert all(one.end <= other.start for one, other in pairwise(own))
        for back, face in ((own[0], own[1]), (own[2], own[3]), (own[4], own[5])):
            assert _at(back, "handle") <= face.start
        assert _at(own[1], "recoat") <= own[2].start
        assert _at(own[3], "recoat") <= own[5].start
        rub = steps[f"fronts-rub-coat-1-batch-{batch}"]
        assert _at(own[3], "sand") <= rub.start < rub.end <= own[4].start
        assert _at(own[5], "use") <= steps["fronts-rehang"].start
    assert breaks(plan) == []


def test_one_rack_of_nine_holds_one_batch_at_a_time() -> None:
    """From the start of a coat until the batch can be handled nobody else lays anything down there."""
    plan = planned()[1]
    taken = [span for thing in plan.things if thing.thing == "drying-rack" for span in thing.taken]
    assert len(taken) == 2 * len(SIDES)
    assert all(one.until <= other.start for one, other in pairwise(taken))


def test_the_batches_are_painted_where_the_job_says() -> None:
    """Only taking off and hanging happens in the room of the fronts; all that is wet or dusty in the shed."""
    rooms = {step.room for step in planned()[1].steps if step.id not in ("fronts-take-off", "fronts-rehang")}
    assert rooms == {"shed"}


def test_a_film_is_told_by_its_batch_and_side() -> None:
    """Whoever looks at the stack of coats sees on which fronts, and on which side of them, it lies."""
    film = steps_of(fronts())["fronts-faces-2-batch-2"].lays
    assert film is not None and film.surfaces == ("fronts (10 to 18), faces",)


@pytest.mark.parametrize(
    ("more", "rack", "said"),
    [
        (", batch: 0", "", "`0` is no number of pieces in a batch; write one such as `9`"),
        (
            ", batch: 12",
            ", drying rack: 9",
            "a batch of 12 is more than the 9 places of `drying rack`; write `batch: 9`",
        ),
        (", batch: some", "", "`some` is no number of pieces in a batch"),
    ],
)
def test_a_batch_of_nothing_or_too_large_for_the_rack_is_one_fault_at_its_line(
    more: str, rack: str, said: str
) -> None:
    """The rack has nine places; a batch of nothing would never be done."""
    text = fronts(18, more, rack)
    line = next(number for number, each in enumerate(text.splitlines(), 1) if "paint fronts" in each)
    assert fault(text).startswith(f"job.yaml:{line}:") and said in fault(text)


def test_a_room_that_is_not_there_is_one_fault() -> None:
    """The nearest name is offered."""
    assert "no room is called `shet`; did you mean `shed`?" in fault(fronts().replace("in: shed", "in: shet"))


OWN = """\
title: oil the slats
source: what a neighbour said
fits: other
batches: {of: count, size: lot, rack: trestle}
options:
  lot: {number: 0}
steps:
  lay out:
    title: "Lay them out: {part}"
    phase: paint
    each: batch
    takes: {trestle: pieces until wipe off}
    work: {per: pieces, takes: [1 min, 2 min, 3 min], source: "common practice, no source"}
  oil:
    title: "Oil: {part}"
    phase: paint
    each: batch
    pause: no
    after: lay out
    work: {per: pieces, takes: [3 min, 5 min, 8 min], source: "common practice, no source"}
  wipe off:
    title: "Wipe off what stands: {part}"
    phase: paint
    each: batch
    after: {oil: {wait: 20 min, within: 60 min}}
    work: {per: pieces, takes: [1 min, 2 min, 3 min], source: "common practice, no source"}
"""


def own(folder: Path, change: Callable[[str], str] = lambda text: text) -> Path:
    """A folder with the method of one's own beside the job."""
    (folder / "profiles" / "methods").mkdir(parents=True)
    (folder / "profiles" / "methods" / "oil-the-slats.yaml").write_text(change(OWN))
    return folder


def test_any_method_can_work_in_batches_and_keep_a_thing_until_a_step_of_its_own(tmp_path: Path) -> None:
    """Ten slats on two trestles of four: 4, 4 and 2, and a place is free once what lies on it is wiped off."""
    text = text_of("slats: {count: 10, do: oil the slats}").replace("nailer: 1", "nailer: 1, trestle: 4")
    job, trade = unfolded(text, own(tmp_path))
    plan = make_plan(job, trade, Facts(now=job.start)).plan
    steps = {step.id: step for step in plan.steps}
    assert [len([s for s in steps if s.startswith(f"slats-{name}-")]) for name in ("lay-out", "oil", "wipe-off")] == [
        ceil(10 / 4)
    ] * 3
    taken = [span for thing in plan.things if thing.thing == "trestle" for span in thing.taken]
    assert {(span.by[-1], span.until) for span in taken} == {
        (name[-1], step.end) for name, step in steps.items() if "wipe-off" in name
    }
    assert breaks(plan) == []


CARRY_IN = """\
  carry in:
    title: "Carry in: {part}"
    phase: put back
    does: brings the furniture back
    work: {per: count, takes: [1 min, 2 min, 3 min], source: "common practice, no source"}
"""


def test_a_step_may_keep_one_thing_until_a_deed_and_another_until_a_step(tmp_path: Path) -> None:
    """The floor stands full until the furniture comes back; the trestles are free once the slats are wiped off."""
    kept = "takes: {floor space: 1 until brings the furniture back, trestle: pieces until wipe off}"
    old = "takes: {trestle: pieces until wipe off}"
    folder = own(tmp_path, lambda text: text.replace(old, kept) + CARRY_IN)
    text = text_of("slats: {count: 4, do: oil the slats}").replace("nailer: 1", "trestle: 4, floor space: 1")
    job, _ = unfolded(text, folder)
    (keeps,) = ({keep.thing: keep.step for keep in step.keeps} for step in job.steps if step.keeps)
    assert keeps == {"floor-space": "slats-carry-in", "trestle": "slats-wipe-off"}


def test_all_that_is_never_given_back_is_said_at_once(tmp_path: Path) -> None:
    """No lot, so that nothing is wiped off, and neither of the two things comes back."""
    old, both = "trestle: pieces until wipe off", "trestle: pieces until wipe off, rack: pieces until wipe off"

    def without_wiping(text: str) -> str:
        head, wiping = text.replace(old, both).split("  wipe off:")
        return head + "  wipe off:" + wiping.replace("per: pieces", "per: lot").replace("    each: batch\n", "")

    text = text_of("slats: {count: 4, do: oil the slats}").replace("nailer: 1", "trestle: 4, rack: 4")
    with pytest.raises(InputError) as caught:
        unfolded(text, own(tmp_path, without_wiping))
    assert [thing for thing in ("trestle", "rack") if f"keeps `{thing}` until" in str(caught.value)] == [
        "trestle",
        "rack",
    ]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("batches: {of: count,", "batches: {of: area,", "`area` counts no pieces in this method"),
        ("size: lot", "size: load", "`load` is no number among the options of this method"),
        ("batches: {of: count, size: lot, rack: trestle}\n", "", "nothing says what the batches of this method are"),
        ("pieces until wipe off", "pieces until wipe up", "`wipe up` is no other step here, and no stage"),
        ("pieces until wipe off", "pieces until handle", "the step lays no film, so it has no stage `handle`"),
        ("    pause: no\n", "    pause: no\n    room: yard\n", "`yard` is no room among the options"),
    ],
)
def test_a_method_whose_batches_do_not_hold_is_told_where(tmp_path: Path, old: str, new: str, said: str) -> None:
    """Each mistake stands at its line of the method's own file."""
    assert OWN.count(old) == 1
    with pytest.raises(InputError) as raised:
        read_methods(own(tmp_path, lambda text: text.replace(old, new)), {"oil-the-slats"})
    assert any(said in str(each) and "oil-the-slats.yaml:" in str(each) for each in raised.value.faults)


def _at(step: PlannedStep, stage: str) -> int:
    assert step.film is not None
    moment = step.film.stages[stage]
    assert moment is not None
    return moment
