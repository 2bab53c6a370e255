"""The sheets for the wall: what does not fit goes on on the next one, and nothing shrinks."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from scheduler.model.asides import Asides
from scheduler.model.beware import Beware
from scheduler.model.page import PageFacts
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.page.wall import Wall, wall
from scheduler.telling.views.index import Book
from tests.support.plans import plan, step

HOUR = "{:02}:00"


def sheets(steps: int, cautions: int = 0) -> Wall:
    """Those of one long day with so many steps of two lines each, and of another day, a week later."""
    long = "Rub down, wipe and look over the next of the boards of the room, one after the other"
    bewares = tuple(
        Beware("", short=f"danger {n}: keep well away from it and wear what the sheet says") for n in range(cautions)
    )
    day = [
        replace(
            step(f"s{n}", f"2027-01-16 {HOUR.format(6 + n // 2)} {HOUR.format(7 + n // 2)}", title=f"{long} {n}"),
            cautions=bewares if n == 0 else (),
        )
        for n in range(steps)
    ]
    book = Book(plan(*day, step("last", "2027-01-23 09:00 10:00")))
    return wall(book, PageFacts(asides=Asides()), book.face, Tongue(book.face))


def test_a_day_that_fits_has_one_sheet() -> None:
    """Head 16.5 mm and six steps of two lines, 6 × 14.9 = 89.4 mm: less than 222."""
    (one,) = sheets(6).sheets
    assert [day.part for day in one] == [""]


def test_a_day_that_does_not_fit_shares_its_steps_out() -> None:
    """Sixteen such steps, 238 mm, and twelve cautions: two sheets of much the same height. Each step stands on one,
    in its order, and what is to beware of on the first, once."""
    first, second = (sheet[0] for sheet in sheets(16, cautions=12).sheets)
    assert [first.part, second.part] == ["1", "2"]
    titles = [what for day in (first, second) for _, what in day.steps]
    assert titles == sorted(titles, key=lambda title: int(title.rsplit(" ", maxsplit=1)[1]))
    assert len(set(titles)) == 16
    assert min(len(first.steps), len(second.steps)) >= 5
    assert "danger 11" in first.cautions
    assert second.cautions == ""


def test_the_whole_job_is_on_as_few_sheets_as_hold_it_each_as_full_as_the_others() -> None:
    """Forty sessions of 12.4 mm are 496 mm: three sheets of at most 234, with thirteen or fourteen each."""
    days = [date(2027, 1, 16) + timedelta(days=2 * n) for n in range(40)]
    book = Book(plan(*(step(f"s{n}", f"{day} 09:00 10:00") for n, day in enumerate(days))))
    found = wall(book, PageFacts(asides=Asides()), book.face, Tongue(book.face))
    assert sorted(map(len, found.whole)) == [13, 13, 14]
    assert found.left == ""
