"""What a proven optimum must bear: nothing that only makes room makes it later; the order of entries plays no part.

Each property plans random small jobs twice and compares where both plans are proven; a property that compared next
to nothing fails too. Whatever is planned here the verifier reads.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.model.job import AirPeriod, Hours, Item, Job
from scheduler.model.material import Trade
from scheduler.model.plan import Plan
from scheduler.pipeline import Wish, make_plan, read
from scheduler.verifying import verify
from scheduler.wallclock import DAY
from scheduler.worktime import windows
from tests.planning.jobfiles import COLDEST, WARMEST, job_files, shuffled
from tests.planning.strategies import WEEKS, Drawn, small_jobs
from tests.planning.test_every_plan import plan_of
from tests.support.builders import (
    MONDAY,
    PAINT_STAGES,
    SATURDAY,
    SCUFF,
    after,
    hours,
    job,
    local,
    material,
    room,
    step,
    trade,
)
from tests.support.times import TIMES
from tests.support.written import Case
from tests.whatif.jobs import HOBBY_ROOM

pytestmark = pytest.mark.long

EFFORT = 4_000
ORDERED = ("air", "colour order", "do")
DRAWS = settings(max_examples=40 * TIMES, phases=[Phase.generate])


class Tally:
    """How many pairs of plans were compared, and in how many the finish moved."""

    def __init__(self) -> None:
        self.found = Counter[str]()

    def never_later(self, roomy: Plan, tight: Plan) -> None:
        """Holds where both are proven: the plan with more room ends no later."""
        proven = roomy.bound.proven and tight.bound.proven
        self.found["drawn"] += 1
        self.found["proven"] += proven
        if proven:
            assert roomy.finish <= tight.finish
            self.found["moved"] += roomy.finish < tight.finish

    def says_something(self) -> None:
        """At least half of the pairs were proven, and a twentieth of those moved."""
        assert self.found["proven"] >= self.found["drawn"] / 2, self.found
        assert self.found["moved"] >= self.found["proven"] / 20, self.found


def whole(job: Job, trade: Trade) -> Plan:
    """The job planned from what its file says, read by the verifier."""
    made = make_plan(job, trade, Facts(now=job.start), Wish(effort=EFFORT))
    ground = made.ground
    assert not verify(made.plan, job, ground.graph, ground.windows, ground.films, ground.facts, trade.tape)
    return made.plan


@st.composite
def with_more_hours(draw: Drawn) -> tuple[Case, Case]:
    """A case, and the same with one rule of hours more, one person more, or no days away."""
    case = draw(small_jobs())
    job = case.job
    more = Hours(
        weekdays=draw(st.frozensets(st.integers(0, 6), min_size=2)),
        start=(start := draw(st.integers(12, 36)) * 30),
        end=start + draw(st.integers(4, 12)) * 30,
        people=draw(st.integers(1, 3)),
    )
    crowd = tuple(replace(rule, people=rule.people + 1) for rule in job.hours)
    ways = [replace(job, hours=(*job.hours, more)), replace(job, hours=crowd)]
    longer = draw(st.sampled_from((ways[0], *ways, *([replace(job, away=())] if job.away else ()))))
    ahead = Span(job.start, job.start + WEEKS * 7 * DAY)
    return case, replace(case, job=longer, windows=windows(longer, ahead, ZoneInfo(job.zone)))


@st.composite
def with_an_earlier_part(draw: Drawn) -> tuple[Case, Case]:
    """A case with a part that is not there yet, and the same with that part some days earlier."""
    case = draw(small_jobs())
    waited = {name for task in case.graph.tasks for name in task.needs if task.id not in case.facts.done}
    late = [item for item in case.job.items if item.id in waited and item.arrived is None]
    assume(late)
    chosen, days = draw(st.sampled_from(late)), draw(st.integers(1, 40))

    def earlier(item: Item) -> Item:
        if item is not chosen or item.expected is None:
            return item
        return replace(item, expected=item.expected - timedelta(days=days))

    return case, replace(case, job=replace(case.job, items=tuple(earlier(item) for item in case.job.items)))


def test_more_hours_never_make_the_optimum_later() -> None:
    """What was planned in the fewer hours could still be done just so."""
    tally = Tally()

    @DRAWS
    @given(with_more_hours())
    def holds(pair: tuple[Case, Case]) -> None:
        fewer, more = pair
        tally.never_later(plan_of(more, EFFORT), plan_of(fewer, EFFORT))

    holds()
    tally.says_something()


def test_a_part_never_makes_the_optimum_later_by_coming_earlier_nor_earlier_by_coming_later() -> None:
    """What was planned with the later part could still be done just so."""
    tally = Tally()

    @DRAWS
    @given(with_an_earlier_part())
    def holds(pair: tuple[Case, Case]) -> None:
        late, early = pair
        tally.never_later(plan_of(early, EFFORT), plan_of(late, EFFORT))

    holds()
    tally.says_something()


def warmed(job: Job, degrees: int) -> Job:
    """The same job with every room warmer by day and by night; its humidity stays, in per cent."""

    def warmer(air: AirPeriod) -> AirPeriod:
        assert min(air.day_temp, air.night_temp) >= COLDEST
        assert max(air.day_temp, air.night_temp) + degrees <= WARMEST
        return replace(air, day_temp=air.day_temp + degrees, night_temp=air.night_temp + degrees)

    return replace(job, rooms=tuple(replace(room, air=tuple(map(warmer, room.air))) for room in job.rooms))


def test_a_warmer_room_never_makes_the_optimum_later() -> None:
    """By each law all stages come sooner, and the air is fit no less, within the temperatures that it holds for.

    The films have no recoat window here: see the next test.
    """
    tally = Tally()

    @DRAWS
    @given(job_files(windows=False), st.integers(1, 10))
    def holds(drawn: tuple[Job, Trade], degrees: int) -> None:
        job, trade = drawn
        tally.never_later(whole(warmed(job, degrees), trade), whole(job, trade))

    holds()
    tally.says_something()


def test_only_a_window_that_closes_sooner_makes_it_later_in_a_warmer_room() -> None:
    """Coat 1 on Saturday from 9:00 to 10:00, the next hours are on Monday from 9:00 on: 47 h later.

    The film may be coated again for 36 h at 25 °C. At 20 °C it dries exp(-47800/R (1/293.15 - 1/298.15)) = 0.720
    times as fast, so that the window is open for 50 h: coat 2 ends on Monday at 10:00. At 25 °C it has closed, and
    the film is scuffed for half an hour first. Coat 1 cannot come later: on a Monday 4 h are too long for coat 2.
    """
    paint = material(stages=PAINT_STAGES | {"recoat_by": 36 * 60}, remedy=SCUFF)
    cool = job(
        step("first", lays="paint", wet=True),
        step("second", lays="paint", wet=True, follows=[after("first", "recoat")]),
        hours=(hours("9:00", "10:00", on=[SATURDAY]), hours("9:00", "11:00", on=[MONDAY])),
        rooms=(room(temp=20.0),),
    )
    ends = [whole(each, trade(paint)) for each in (cool, warmed(cool, 5))]
    assert [local(plan.finish) for plan in ends] == ["2027-01-11 10:00", "2027-01-11 10:30"]


def test_the_order_of_the_entries_changes_nothing() -> None:
    """Proven or not: the same work at the same minutes, step by step."""

    @DRAWS
    @given(with_other_order())
    def holds(drawn: tuple[Job, Job, Trade]) -> None:
        job, mixed, trade = drawn
        assert pieces(whole(mixed, trade)) == pieces(whole(job, trade))

    holds()


@st.composite
def with_other_order(draw: Drawn) -> tuple[Job, Job, Trade]:
    """A job, the same with its entries shuffled, and its trade."""
    job, trade = draw(job_files(windows=True))
    return job, shuffled(draw, job), trade


def pieces(plan: Plan) -> dict[str, tuple[Span, ...]]:
    """When each step is worked on."""
    return {step.id: step.pieces for step in plan.steps}


@pytest.mark.parametrize("seed", range(5))
def test_the_order_in_the_file_of_the_example_changes_nothing(tmp_path: Path, seed: int) -> None:
    """Keys and lists of the hobby room in any order, but for those lists whose order says something.

    Airs come by date and a colour order is an order; and what is done to one part in one phase of the trade (hang the
    doors, case the opening) is done as the file has it.
    """
    text = HOBBY_ROOM.read_text(encoding="utf-8")
    data = YAML(typ="safe").load(text)
    mixed = mix(data, Random(seed))
    file = tmp_path / "job.yaml"
    with file.open("w", encoding="utf-8") as out:
        YAML().dump(mixed, out)
    plans = [whole(*read(path)) for path in (HOBBY_ROOM, file)]
    assert pieces(plans[1]) == pieces(plans[0])


def mix(value: object, luck: Random) -> object:
    """The same keys and entries in another order, all the way down."""
    if isinstance(value, dict):
        keys = luck.sample(list(value), len(value))
        return {key: value[key] if key in ORDERED else mix(value[key], luck) for key in keys}
    if isinstance(value, list):
        return [mix(entry, luck) for entry in luck.sample(value, len(value))]
    return value
