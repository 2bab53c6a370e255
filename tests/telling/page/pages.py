"""Pages for the tests: every example, planned with little effort, and plans of 20, 60 and 120 steps."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

from scheduler.living.paging import page_facts
from scheduler.model.facts import Facts
from scheduler.model.foresight import Odds
from scheduler.model.leeway import Ending, Leeway, Leeways, Point
from scheduler.model.moves import Moves, SessionMove, StepMove
from scheduler.model.page import FilmSource, PageFacts, StageSource, ToBuy
from scheduler.model.plan import Plan
from scheduler.pipeline import Wish, make_plan, read
from tests.support.manysteps import many_steps, some_air
from tests.support.plans import hobby_room, spans

ROOT = Path(__file__).parents[3]
EXAMPLES = sorted(file.parent.name for file in (ROOT / "examples").glob("*/job.yaml"))
SIZES = (20, 60, 120)
EFFORT = 1500
SECTIONS = (
    *(
        "now",
        "answer",
        "next",
        "clear",
        "picture",
        "changed",
        "weekends",
        "items",
        "shopping",
        "leeway",
        "odds",
        "holds",
    ),
    *("warnings", "cautions", "how"),
)
"""The sections of a page that has everything."""


@cache
def example(name: str) -> tuple[Plan, PageFacts]:
    """An example as planned two days before it begins."""
    job, trade = read(ROOT / "examples" / name)[:2]
    made = make_plan(job, trade, Facts(now=job.start - 2 * 1440), Wish(effort=EFFORT))
    return made.plan, page_facts(made)


@cache
def crowded(count: int) -> tuple[Plan, PageFacts]:
    """A plan made by rule."""
    made = many_steps(count)
    return made, some_air(made)


def everything() -> tuple[Plan, PageFacts]:
    """The small plan of the tests with data for every section there is."""
    made = hobby_room()
    saturday, sunday = spans("2027-01-16 09:00 11:30", "2027-01-17 09:00 11:30")
    moves = Moves(
        finish_before=made.finish - 1440,
        finish_after=made.finish,
        sessions_moved=(SessionMove(before=saturday, after=sunday),),
        sessions_new=(sunday,),
        sessions_gone=(saturday,),
        moved=(StepMove(step="sand-the-filler", title="Sand the filler", before=saturday, after=sunday),),
        recorded=(),
        stayed=3,
        new=(("scuff", "Scuff sand", "window missed"),),
        gone=(("pull", "Pull the tape", ""),),
    )
    ending = Ending(finish=made.finish, proven=True)
    later = Point(comes=date(2027, 1, 29), ending=Ending(finish=made.finish + 10080, proven=False))
    never = Point(comes=date(2027, 2, 5), ending=Ending(finish=None, proven=False))
    leeway = Leeway(
        item="doors",
        title="Doors, two, primed",
        due=date(2027, 1, 22),
        free_until=date(2027, 1, 23),
        curve=(later, never),
    )
    odds = Odds(
        job=made.job,
        zone=made.zone,
        clock24=True,
        as_of=made.as_of,
        seed=1,
        draws=200,
        planned=made.finish,
        dates=((50, date(2027, 1, 23)), (80, date(2027, 1, 30)), (95, None)),
        between=None,
        error=None,
        days=((date(2027, 1, 23), 0.6), (date(2027, 1, 30), 0.3)),
        lost=0.1,
        spread=(("delivery: doors", 0.4),),
        risks=(),
        done_by=None,
        in_time=None,
        assumed=("Deliveries come between their earliest and latest day.",),
    )
    stage = StageSource(stage="recoat", law="film", typical=120, source="1 to 3 h in two data sheets")
    film = FilmSource(
        material="acrylic-primer",
        title="acrylic primer",
        temp=25.0,
        humidity=0.5,
        source="two data sheets",
        stages=(stage,),
        limits_source="MIL-HDBK-1110",
    )
    buy = ToBuy(name="latex paint", quantity="4 L", containers="1 × 5 L", needed_by=date(2027, 1, 17))
    return made, PageFacts(
        air=some_air(made).air,
        films=(film,),
        moves=moves,
        leeway=Leeways(ending=ending, found=(leeway,), replans=4),
        odds=odds,
        shopping=(buy,),
    )
