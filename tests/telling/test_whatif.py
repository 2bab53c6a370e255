"""The odds and what would end it sooner, as text and as JSON. The records are made by hand."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import jsonschema
import pytest

from scheduler.model.foresight import Foreseen, Odds, Put, Risk, Sooner
from scheduler.model.leeway import Ending, Leeway, Leeways, Point
from scheduler.model.message import message
from scheduler.telling.machine.plan import schema_text
from scheduler.telling.text.leeway import leeway_text
from scheduler.telling.text.odds import odds_json, odds_text
from scheduler.telling.text.sooner import sooner_json, sooner_text
from scheduler.telling.wording import columns
from tests.support.builders import minute
from tests.support.plans import at, hobby_room, plan, step

ODDS = Odds(
    job="Study",
    zone="UTC",
    clock24=True,
    as_of=minute("2027-01-05"),
    seed=3,
    draws=400,
    planned=minute("2027-02-06 15:00"),
    dates=((50, date(2027, 2, 6)), (80, date(2027, 2, 7)), (95, None)),
    between=(date(2027, 2, 7), date(2027, 2, 13)),
    error=3.0,
    days=((date(2027, 2, 3), 0.002), (date(2027, 2, 6), 0.5), (date(2027, 2, 7), 0.3), (date(2027, 2, 13), 0.138)),
    lost=0.06,
    spread=(("delivery: paint", 0.5), ("the air", 0.004)),
    risks=(Risk(kind="window", step="coat", title="Coat", share=0.126, said="The window closes. Then: sand."),),
    done_by=date(2027, 2, 7),
    in_time=0.802,
    assumed=("Everything is drawn — within “its” range.",),
)


def change(words: str, saves: int, **more: object) -> Sooner:
    fields = {
        "kind": "a free day",
        "costs": "1 day, 8 h",
        "labour": 480,
        "edit": (Put(("start",), "2027-01-02"),),
        "said": "start: 2027-01-02",
        "changes": (),
        **more,
    }
    return Sooner(change=words, saves=saves, finish=minute("2027-02-06 15:00") - saves, **fields)  # type: ignore[arg-type]


WHITE = step("white", "2027-02-05 09:00 15:00", zone="UTC", held=message("held.delivery", item="paint", expected=0))
SHELF = step(
    "shelf", "2027-02-06 09:00 15:00", zone="UTC", holder="white", held=message("held.follows", step="white", ended=0)
)
STUDY = plan(WHITE, SHELF, job="Study", finish=minute("2027-02-06 15:00"), zone="UTC")
FORESEEN = Foreseen(
    plan=STUDY,
    better=(
        change("Friday off", 1440),
        change("Monday off", 1440),
        change("Warmer", 45, kind="warmer nights", labour=None),
    ),
    pairs=(
        change("Friday off; Warmer", 2880, kind="a free day and warmer nights", changes=("Friday off", "Warmer")),
    ),
    tried=(("a free day", 5), ("warmer nights", 1), ("drier air", 2)),
    proven=4,
    pairs_tried=9,
)
NOTHING = Foreseen(
    plan=STUDY,
    better=(),
    pairs=(),
    tried=(("drier air", 2),),
    proven=2,
    pairs_tried=0,
)


def test_the_odds_begin_with_the_dates() -> None:
    """Three dates, how sure they are, and the day that was wanted."""
    text = odds_text(ODDS)
    lines = text.splitlines()
    assert lines[0] == "Study: planned to be done on Saturday 6 February 2027."
    assert "50 %  by Saturday 6 February 2027" in lines[1]
    assert "80 %  by Sunday 7 February 2027" in lines[2]
    assert "95 %  not told: too many draws find no end" in lines[3]
    assert "Done by Sunday 7 February 2027, as wanted: 80 % of the draws." in text
    assert "400 draws, seed 3" in text
    assert "between Sunday 7 February and Saturday 13 February" in " ".join(text.split())


def test_the_drawing_has_a_row_a_weekend() -> None:
    """0.5 + 0.3 on one weekend is its longest bar; 0.2 % is told as less than one; shares run on to 94 %."""
    rows = [line for line in odds_text(ODDS, width=80).splitlines() if line.startswith(("  week of", "  weekend of"))]
    assert [row.split("  ")[1].split(" ▏")[0][:22].strip("█▏ ") for row in rows] == [
        "week of 1 February",
        "weekend of 6 February",
        "weekend of 13 February",
    ]
    bars = [row.count("█") for row in rows]
    assert bars[1] == 80 - 25 - 14 - 2
    assert bars[2] == pytest.approx(bars[1] * 0.138 / 0.8, abs=1)
    assert rows[0].split()[-4:] == ["<1", "%", "<1", "%"]
    assert rows[1].split()[-4:] == ["80", "%", "80", "%"]
    assert rows[2].split()[-4:] == ["14", "%", "94", "%"]
    assert "No end was found in 6 % of the draws." in odds_text(ODDS)


@pytest.mark.parametrize("width", [40, 80, 100])
@pytest.mark.parametrize("plain", [False, True])
def test_no_line_is_too_long_and_plain_is_ascii(width: int, plain: bool) -> None:
    """Every line fits, whatever the terminal; ASCII where that is all there is."""
    for text in (
        odds_text(ODDS, width, ascii=plain),
        sooner_text(FORESEEN, width, ascii=plain),
        sooner_text(NOTHING, width, ascii=plain),
    ):
        assert all(columns(line) <= width for line in text.splitlines())
        assert text.isascii() or not plain


def test_shares_too_small_are_no_lines() -> None:
    """What is below half a percent is left out; what is left over is told as interplay."""
    text = odds_text(ODDS)
    assert "the air" not in text
    assert "50 %  delivery: paint" in text
    assert "50 %  what several of these do together" in text
    assert "13 %  The window closes. Then: sand." in text


def test_without_ranges_the_odds_say_so() -> None:
    """No draws, no drawing."""
    from dataclasses import replace

    text = odds_text(replace(ODDS, draws=0, spread=(), risks=()))
    assert "nothing in this job has a range" in text
    assert "When it is done" not in text


def test_changes_that_do_as_much_are_told_in_one_place() -> None:
    """The best first, days where days are saved, with cost and edit."""
    text = sooner_text(FORESEEN)
    assert "8 changes tried, each planned again: 3 end it sooner, 2 of them on an earlier day." in " ".join(
        text.split()
    )
    assert "  1 day sooner: Friday 5 February, 15:00" in text
    assert "    as much: Monday off" in text
    assert "  45 min sooner, on the same day" in text
    assert "    costs: 1 day, 8 h" in text
    assert "    in the job file: start: 2027-01-02" in text
    assert text.index("1 day sooner") < text.index("45 min sooner") < text.index("2 days sooner")
    assert "a free day (3) and drier air (2). Of 4 it is proven." in text
    assert "It waits for the delivery of “paint”" in " ".join(text.split())
    assert "“Shelf” begins" not in text, "what follows at once holds nothing up"


def test_where_nothing_helps_it_says_so_and_why() -> None:
    """Plainly, and with what holds the finish."""
    text = sooner_text(NOTHING)
    assert "2 changes tried, each planned again: none ends it sooner." in " ".join(text.split())
    assert "drier air (2). That is proven." in text
    assert "What holds up the end" in text


def test_json_keeps_to_its_schema() -> None:
    """Both outputs, the empty one too."""
    whole = json.loads(odds_json(ODDS))
    jsonschema.validate(whole, json.loads(schema_text("odds")))
    assert whole["dates"] == {"50": "2027-02-06", "80": "2027-02-07", "95": None}
    assert whole["by_day"][1] == {"date": "2027-02-06", "probability": 0.5}
    schema = json.loads(schema_text("sooner"))
    found = json.loads(sooner_json(FORESEEN))
    jsonschema.validate(found, schema)
    jsonschema.validate(json.loads(sooner_json(NOTHING)), schema)
    assert [entry["saves_days"] for entry in found] == [2, 1, 1, 0.031]
    assert found[0]["changes"] == ["Friday off", "Warmer"]
    assert found[1]["edit"] == "start: 2027-01-02"


def leeway(**fields: Any) -> Leeway:
    return Leeway(
        **{"title": "Doors", "due": date(2027, 1, 23), "free_until": date(2027, 1, 23), "curve": (), **fields}
    )


def test_leeway_has_a_row_for_each_thing_with_the_days_that_each_week_costs() -> None:
    """The end is Saturday 23 January 2027; the 30th is 7 days later, not proven; after that no plan is possible."""
    ends = ((date(2027, 1, 23), at("2027-01-23 12:00"), True), (date(2027, 1, 30), at("2027-01-30 12:00"), False))
    curve = [Point(comes=day, ending=Ending(finish=finish, proven=proven)) for day, finish, proven in ends]
    curve.append(Point(comes=date(2027, 2, 6), ending=Ending(finish=None, proven=True)))
    found = Leeways(
        ending=Ending(finish=at("2027-01-23 12:00"), proven=True),
        found=(
            leeway(item="doors", free_until=date(2027, 1, 24), curve=tuple(curve)),
            leeway(session=3, title="Hang " + "the doors " * 20, curve=tuple(curve)),
        ),
        replans=3,
    )
    for width in (40, 60, 80):
        rows = leeway_text(found, hobby_room(), width).splitlines()
        assert max(map(len, rows)) <= width
        doors, third = (row.split() for row in rows if row.startswith(("Doors", "3:")))
        assert "·" in doors
    assert rows[3].split() == ["Doors", "Sat", "23", "Jan", "Sun", "24", "Jan", "·", "≤+7", "none"]
    assert third[:2] == ["3:", "Hang"]
    assert "“none”: no plan is possible." in rows
