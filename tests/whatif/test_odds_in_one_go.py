"""What a plan does in one go may take so long that a window closes: a draw goes on with the remedy then."""

from __future__ import annotations

from pathlib import Path

from scheduler.model.facts import Facts
from scheduler.pipeline import Wish, make_plan
from scheduler.solver.draws import Draws
from scheduler.whatif.uncertainty import doubts
from tests.expanding.scope.test_own_method import HOURS, STRIP
from tests.support.scoped import text_of, unfolded


def test_every_draw_finds_an_end_though_a_slow_wall_is_not_scraped_in_time(tmp_path: Path) -> None:
    """Mornings of four hours: a wall of 96 ft² is wetted and scraped in 2 h likely, and in 4 h or more at the slow
    rates (100 and 35 ft²/h, invented), so that in some draws it dries meanwhile and is wetted once more.

    In more than one draw of twenty no end was found, and no safe day was told.
    """
    (tmp_path / "profiles" / "methods").mkdir(parents=True)
    (tmp_path / "profiles" / "methods" / "strip-the-paper.yaml").write_text(STRIP.partition("  wash:")[0])
    text = text_of("walls: strip the paper").replace(HOURS, "hours: {on: Saturday, from: 8:00, to: 12:00}")
    job, trade = unfolded(text, tmp_path)
    made = make_plan(job, trade, Facts(now=job.start), Wish(effort=1))
    assert not [step.id for step in made.plan.steps if step.added is not None]
    draws = Draws(doubts(made).uncertain, seed=0)
    outcomes = [draws.outcome(draw) for draw in range(40)]
    assert all(outcome.finish is not None for outcome in outcomes)
    assert any(outcome.called for outcome in outcomes), "no draw was slow enough"
