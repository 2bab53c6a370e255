"""Who records a step and not one before it loses no order: what comes after both still waits for the one left out.

A link that says no more than two others do stands in no graph. Once the step in the middle is a fact, neither of the
two binds any more, and furniture was carried out after the walls were patched: a repaint told so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scheduler.expanding import expand, in_hindsight
from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.model.graph import Link, Task
from scheduler.model.job import Job
from scheduler.model.material import Trade
from scheduler.pipeline import Made, Wish, make_plan, read
from scheduler.planning import encode as lower
from scheduler.planning.past_facts import Past, owed
from scheduler.reading import KINDS, read_job_text, starter_text
from scheduler.reading.profiles import named_in, read_trade
from tests.living.test_histories import sound
from tests.support.told import breaks, in_words

pytestmark = pytest.mark.long

EXAMPLES = Path(__file__).parents[2] / "examples"
JOBS = (*KINDS[:4], *(f"examples/{folder.name}" for folder in sorted(EXAMPLES.iterdir()) if folder.is_dir()))
"""The starters of the first four kinds, whose steps are those of most jobs, and every example."""

LITTLE = Wish(effort=1)
NINE = 9 * 60


@cache
def called(name: str) -> tuple[Job, Trade]:
    """The job of an example, or the usual one of a kind."""
    if name.startswith("examples/"):
        return read(EXAMPLES / name.removeprefix("examples/"))
    with TemporaryDirectory() as folder:
        Path(folder, "job.yaml").write_text(starter_text(name), encoding="utf-8")
        return read(Path(folder))


def written(text: str, hours: str = "hours: {on: every day, from: 8:00, to: 18:00}\n") -> tuple[Job, Trade]:
    """A job with a head in a few words, and what it is about."""
    head = f"job: Test\nstart: 2027-01-09\nzone: UTC\n{hours}"
    air = "rooms: {den: {air: {day: 70 °F, night: 70 °F, humidity: 50 %}}}\n"
    job = read_job_text(head + air + text, "job.yaml")
    return job, read_trade(Path(), named_in(job))


def order_of(job: Job, trade: Trade) -> dict[str, set[str]]:
    """All that comes before each step, directly or not, in the graph of a job of which nothing is recorded."""
    graph = expand(job, trade)
    before: dict[str, set[str]] = {task.id: set() for task in graph.tasks}
    for task in graph.tasks:  # in an order that agrees with the links
        for link in graph.links:
            if link.after == task.id:
                before[task.id] |= {link.before} | before[link.before]
    return before


def out_of_order(made: Made, before: Mapping[str, set[str]]) -> list[tuple[str, str]]:
    """Pairs of steps of which nothing is recorded, the second one before the end of the first."""
    ahead = {step.id: step for step in made.plan.steps if step.state == "planned"}
    return [
        (earlier, name)
        for name, step in ahead.items()
        for earlier in sorted(before.get(name, set()) & ahead.keys())
        if step.start < ahead[earlier].end
    ]


def work_of(job: Job, trade: Trade) -> list[Task]:
    """The steps that a person may record, but for remedies."""
    return [task for task in expand(job, trade).tasks if task.work.planned and task.remedy_of is None]


def recorded(job: Job, tasks: Sequence[Task], left: Mapping[str, int] | None = None) -> Facts:
    """These steps were done one after the other, from nine on the first day on; some minutes of some are left."""
    at, done, begun = job.start + NINE, dict[str, tuple[Span, ...]](), dict[str, tuple[tuple[Span, ...], int]]()
    for task in tasks:
        rest = (left or {}).get(task.id, 0)
        pieces = (Span(at, at + max(1, task.work.planned - rest)),)
        at = pieces[-1].end
        if rest:
            begun[task.id] = (pieces, rest)
        else:
            done[task.id] = pieces
    return Facts(now=at, done=done, begun=begun)


@pytest.mark.parametrize("name", JOBS)
def test_whatever_single_step_is_recorded_first_the_others_keep_their_order(name: str) -> None:
    """Each step of a job in turn is the only one that is recorded; a plan is found, and the verifier accepts it."""
    job, trade = called(name)
    before = order_of(job, trade)
    for task in work_of(job, trade):
        made = make_plan(job, trade, recorded(job, [task]), LITTLE)
        sound(made)
        assert not out_of_order(made, before), f"only {task.id} is recorded"


@settings(max_examples=25, phases=[Phase.generate], deadline=None)
@given(data=st.data(), name=st.sampled_from(("floor", "bathroom wall", "examples/cold-garage")))
def test_whatever_is_recorded_in_whatever_order_the_rest_keeps_its_own(data: st.DataObject, name: str) -> None:
    """Any steps in any order, some of them begun only; of two coats in one room no more than one is under way."""
    job, trade = called(name)
    tasks = data.draw(st.lists(st.sampled_from(work_of(job, trade)), unique_by=lambda task: task.id, max_size=12))
    films = [task for task in tasks if task.film is not None]
    left = {task.id: data.draw(st.sampled_from((0, 0, 10))) for task in tasks if task not in films[1:]}
    made = make_plan(job, trade, recorded(job, tasks, left), LITTLE)
    sound(made)
    assert not out_of_order(made, order_of(job, trade))


def test_the_furniture_is_carried_out_before_the_patches_are_sanded() -> None:
    """As it was seen first: the walls of a repaint were patched, and clearing and covering were not recorded."""
    job, trade = called("repaint a room")
    patch = next(task for task in work_of(job, trade) if task.id == "walls-patch")
    plan = make_plan(job, trade, recorded(job, [patch]), LITTLE).plan
    room = next(task.room for task in expand(job, trade).tasks)
    starts = [plan.step(f"{room}-{name}").start for name in ("clear", "cover", "power-off")]
    assert starts == sorted(starts)
    sanding = plan.step("walls-sand-patches")
    assert plan.step(f"{room}-power-off").end <= sanding.start
    assert f"{room}-power-off" in {wait.step for wait in sanding.after}, "and the plan says so"


def test_a_wiping_that_was_begun_and_has_to_wait_for_wet_work_wipes_nothing_in_time() -> None:
    """Found by recording at random: the patches of a bathroom are sanded, and half wiped down, before they are laid.

    What is left of that wiping waits for the patching, which wants a clean room: it is wiped down at once, or what
    wipes it anyway (the joints of the tiles are scraped and vacuumed) comes before.
    """
    job, trade = called("bathroom wall")
    tasks = {task.id: task for task in work_of(job, trade)}
    facts = recorded(job, [tasks["walls-sand-patches"], tasks["walls-patch-wipe"]], {"walls-patch-wipe": 5})
    made = make_plan(job, trade, facts, LITTLE)
    sound(made)
    assert made.plan.step("walls-patch-wipe").end > made.plan.step("walls-patch").start
    wiping = [step for step in made.plan.steps if step.wipes and step.id != "walls-patch-wipe"]
    sanded = made.plan.step("walls-sand-patches").end
    assert any(sanded <= step.start and step.end <= made.plan.step("walls-patch").start for step in wiping)


def test_a_planner_that_forgets_the_order_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """The verifier works out by itself what was passed over: a waits for its boards, and c must wait for a."""
    job, trade = written(
        "on order: {boards: {title: Boards, comes: 2027-01-20}}\n"
        "steps: {a: {work: 1 h, needs: boards}, b: {work: 1 h, follows: a}, c: {work: 30 min, follows: b}}"
    )
    facts = recorded(job, [task for task in work_of(job, trade) if task.id == "b"])
    sound(make_plan(job, trade, facts, LITTLE))
    monkeypatch.setattr(lower, "owed", lambda *_: ())
    plan = make_plan(job, trade, facts, LITTLE).plan
    assert plan.step("c").start < plan.step("a").start
    assert [said for said in breaks(plan) if "(order kept)" in said]


def test_the_stage_is_that_of_the_film_which_was_passed_over() -> None:
    """Prime, coat 1, coat 2: with coat 1 recorded alone, coat 2 waits until the primer can be recoated."""
    links = (
        Link(before="prime", after="one", stage="recoat", wait=30, until="recoat_by", remedy="scuff"),
        Link(before="one", after="two", stage="recoat"),
    )
    assert owed(links, Past([], Facts(now=100, done={"one": (Span(0, 60),)}))) == (
        Link(before="prime", after="two", stage="recoat", wait=30),
    )


def test_a_chain_of_facts_is_looked_through_to_its_end() -> None:
    """Of two thousand steps in a row only the first and the last are not recorded."""
    names = [f"step-{number:04}" for number in range(2000)]
    links = [Link(before=one, after=other) for one, other in pairwise(names)]
    facts = Facts(now=3000, done={name: (Span(at, at + 1),) for at, name in enumerate(names[1:-1])})
    assert owed(links, Past([], facts)) == (Link(before=names[0], after=names[-1]),)


def test_in_turn_nothing_is_owed() -> None:
    links = (Link(before="a", after="b"), Link(before="b", after="c"))
    done = {"a": (Span(0, 1),)}
    assert owed(links, Past([], Facts(now=2, done=done))) == ()
    assert owed(links, Past([], Facts(now=2, done=done, begun={"b": ((Span(1, 2),), 5)}))) == ()


def test_the_rest_of_a_step_that_was_begun_waits_for_what_it_follows() -> None:
    """Half an hour of b is left, and a is not done: a comes first, then that half hour, then c."""
    job, trade = written("steps: {a: {work: 1 h}, b: {work: 1 h, follows: a}, c: {work: 30 min, follows: b}}")
    facts = recorded(job, [task for task in work_of(job, trade) if task.id == "b"], {"b": 30})
    plan = make_plan(job, trade, facts, LITTLE).plan
    assert plan.step("a").end <= plan.step("b").pieces[1].start
    assert plan.step("b").end <= plan.step("c").start


def test_a_coat_that_was_begun_is_not_left_standing() -> None:
    """Half of the wall is primed, and the wiping is not recorded: the rest goes on, hanging waits for both."""
    job, trade = written(
        "steps:\n  wipe: {work: 1 h, kind: wipes}\n"
        "  prime: {work: 1 h, lays: acrylic-bonding-primer, follows: wipe}\n"
        "  hang: {work: 30 min, follows: [prime: touch]}"
    )
    facts = recorded(job, [task for task in work_of(job, trade) if task.id == "prime"], {"prime": 30})
    made = make_plan(job, trade, facts, LITTLE)
    sound(made)
    assert made.plan.step("prime").pieces[1].start == facts.now
    assert made.plan.step("wipe").end <= made.plan.step("hang").start


DUST = """
steps:
  sand: {title: Sand the wall, work: 1 h, kind: dusty}
  wipe: {title: Wipe the wall, work: 30 min, kind: wipes, follows: sand}
  prime: {title: Prime the wall, work: 1 h, lays: acrylic-bonding-primer, follows: wipe}
"""


def dusty(*names: str, left: Mapping[str, int] | None = None) -> Made:
    """The plan of that job with these steps recorded in this order."""
    job, trade = written(DUST)
    tasks = {task.id: task for task in work_of(job, trade)}
    made = make_plan(job, trade, recorded(job, [tasks[name] for name in names], left), LITTLE)
    sound(made)
    return made


def test_a_room_that_was_wiped_before_the_dust_is_wiped_again_after_it() -> None:
    """Wiped, and nobody has recorded the sanding: it is sanded and wiped again before the primer."""
    plan = dusty("wipe").plan
    assert [step.id for step in plan.steps if step.state == "planned"] == ["sand", "wipe-again", "prime"]
    again = plan.step("wipe-again")
    assert again.title == "Wipe the wall, again"
    assert (
        in_words(plan, again.added) == "“Wipe the wall” is recorded, and the dust of “Sand the wall” comes after it."
    )


def test_so_it_is_where_the_dust_is_recorded_after_the_wiping() -> None:
    """Before that no plan could be made of such a record."""
    plan = dusty("wipe", "sand").plan
    assert [step.id for step in plan.steps if step.state == "planned"] == ["wipe-again", "prime"]


def test_who_wipes_half_of_it_too_early_wipes_again_too() -> None:
    plan = dusty("wipe", left={"wipe": 10}).plan
    assert [step.id for step in plan.steps if step.state == "planned"] == ["sand", "wipe-again", "prime"]


def test_recorded_in_turn_nothing_is_wiped_twice() -> None:
    for names in (("sand",), ("sand", "wipe"), ("sand", "wipe", "prime")):
        assert "wipe-again" not in {step.id for step in dusty(*names).plan.steps}


SURFACES = """
steps:
  patch: {title: Patch, work: 30 min, lays: lightweight-spackling}
  rub: {title: Rub the patches, work: 30 min, kind: dusty, follows: [patch: sand]}
  wipe: {title: Wipe the patches, work: 20 min, kind: wipes, follows: rub}
  sand: {title: Sand the trim, work: 1 h, kind: dusty, follows: wipe}
  clean: {title: Wipe the trim, work: 30 min, kind: wipes, follows: sand}
  prime: {title: Prime the trim, work: 1 h, lays: acrylic-bonding-primer, follows: clean}
"""


def surfaces(*names: str) -> Made:
    """The plan of that job with these steps recorded in this order."""
    job, trade = written(SURFACES)
    tasks = {task.id: task for task in work_of(job, trade)}
    made = make_plan(job, trade, recorded(job, [tasks[name] for name in names]), LITTLE)
    sound(made)
    return made


def test_dust_that_lies_where_wet_work_comes_next_is_wiped_at_once() -> None:
    """The trim was sanded first of all. No wipe-down of the job may come before the patching, which wants one."""
    plan = surfaces("sand").plan
    ahead = [step.id for step in plan.steps if step.state == "planned"]
    assert ahead == ["clean-at-once", "patch", "rub", "wipe", "clean", "prime"]
    step = plan.step("clean-at-once")
    assert step.title == "Wipe the trim, at once"
    assert (
        in_words(plan, step.added)
        == "The dust of “Sand the trim” lies there, and “Patch” comes before any other wipe-down."
    )


def test_once_it_is_wiped_nothing_more_is_asked_for() -> None:
    """Sanded and wiped at once, which stays in the job; patched then, and the rest follows as ever."""
    job, trade = written(SURFACES)
    at = job.start + NINE
    done = {"sand": (Span(at, at + 60),), "clean-at-once": (Span(at + 60, at + 90),)}
    made = make_plan(job, trade, Facts(now=at + 90, done=done), LITTLE)
    sound(made)
    ahead = [step.id for step in made.plan.steps if step.state == "planned"]
    assert ahead == ["patch", "rub", "wipe", "clean", "prime"]


def test_where_a_wipe_down_may_come_in_time_no_other_is_added() -> None:
    """Patched, rubbed, sanded; the patches are wiped next, which wipes up all dust before the primer."""
    plan = surfaces("patch", "rub", "sand").plan
    assert [step.id for step in plan.steps if step.state == "planned"] == ["wipe", "clean", "prime"]


def test_what_was_wiped_again_stays_in_the_job() -> None:
    """Wiped, sanded, wiped again; then the first sanding turns out to have come first. The record names it still."""
    job, trade = written(DUST)
    wiped = Facts(now=job.start + 600, done={"wipe": (Span(job.start + 540, job.start + 570),)})
    done = {
        **wiped.done,
        "sand": (Span(job.start + 480, job.start + 540),),
        "wipe-again": (Span(job.start + 570, job.start + 600),),
    }
    graph = in_hindsight(expand(job, trade), done, {})
    assert "wipe-again" in {task.id for task in graph.tasks}
    assert "wipe-again-again" not in {task.id for task in graph.tasks}


def test_a_second_wiping_that_comes_too_soon_is_followed_by_a_third() -> None:
    job, trade = written(DUST)
    at = job.start + 540
    done = {"wipe": (Span(at, at + 30),), "wipe-again": (Span(at + 30, at + 60),)}
    made = make_plan(job, trade, Facts(now=at + 60, done=done), LITTLE)
    sound(made)
    ahead = [step.id for step in made.plan.steps if step.state == "planned"]
    assert ahead == ["sand", "wipe-again-again", "prime"]
