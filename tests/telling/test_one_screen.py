from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from scheduler.model.asides import Asides
from scheduler.model.beware import Beware
from scheduler.model.broken import Broken
from scheduler.model.foresight import Odds
from scheduler.model.material import Caution
from scheduler.model.message import as_written, message
from scheduler.model.plan import Plan, PlannedThing, Taken
from scheduler.model.shopping import Lot, Shopping
from scheduler.telling.dates import face_of
from scheduler.telling.page.now_card import NowCard
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.text.agenda import agenda
from scheduler.telling.text.one_screen import ROWS, one_screen
from scheduler.telling.views.index import Book
from tests.support.plans import NEW_YORK, at, film, hobby_room, item, plan, spans, step, unheard, with_step
from tests.telling.texts import titles

FACE = face_of(NEW_YORK, True, "en")
LIFT, DUST = "Two people lift the board together.", "Dust: wear a fitted mask against the silica in it."


def rows(found: Plan, asides: Asides | None = None, width: int = 80) -> list[str]:
    return one_screen(found, asides or Asides(), width).splitlines()


def flat(found: Plan, asides: Asides | None = None) -> str:
    """The answer with every run of blanks as one."""
    return " ".join(one_screen(found, asides or Asides()).split())


def draws(*days: tuple[str, float], likely: str, safe: str | None) -> Odds:
    """Odds with these shares by day."""
    return Odds(
        job="",
        zone=NEW_YORK,
        clock24=True,
        as_of=0,
        seed=0,
        draws=100,
        planned=0,
        dates=(
            (50, None),
            (80, date.fromisoformat(likely)),
            (95, date.fromisoformat(safe) if safe else None),
        ),
        between=None,
        error=None,
        days=tuple((date.fromisoformat(day), share) for day, share in days),
        lost=0.0,
        spread=(),
        risks=(),
        done_by=None,
        in_time=None,
        assumed=(),
    )


def lot(title: str, by: str, first: str, **fields: object) -> Lot:
    return Lot(
        **{
            "what": title,
            "title": title,
            "unit": "L",
            "net": None,
            "waste": 0.0,
            "needed": None,
            "steps": (),
            "first": at(first),
            "needed_by": date.fromisoformat(by),
            **fields,
        }
    )


def shopping(*lots: Lot) -> Asides:
    return Asides(shopping=Shopping(lots=lots, deliveries=(), margin=2))


def test_the_safe_day_comes_first_then_the_best() -> None:
    """The plan ends Saturday 23 January 2027; 19 draws of 20 end by the 30th, four of five by the 24th."""
    odds = draws(
        ("2027-01-23", 0.6), ("2027-01-24", 0.25), ("2027-01-30", 0.15), likely="2027-01-24", safe="2027-01-30"
    )
    assert "DONE by Sat 30 Jan 2027 to be safe, Sat 23 Jan at best · likely Sun 24 Jan" in flat(
        hobby_room(), Asides(odds=odds)
    )


def test_at_best_is_as_planned_however_lucky_a_draw_was() -> None:
    """One draw of ten ends Friday 22 January: beside “no plan ends sooner” that day would be wrong."""
    tenth = draws(("2027-01-22", 0.1), ("2027-01-23", 0.9), likely="2027-01-23", safe="2027-01-23")
    assert "DONE by Sat 23 Jan 2027, to be safe and at best" in flat(hobby_room(), Asides(odds=tenth))


def test_a_chance_that_nobody_reckoned_is_not_told() -> None:
    said = flat(hobby_room())
    assert "DONE by Sat 23 Jan 2027 as planned; how likely that is was not reckoned" in said
    assert "safe" not in said


def test_a_safe_day_beyond_the_hours_that_are_known_is_none() -> None:
    odds = draws(("2027-01-23", 0.8), likely="2027-01-23", safe=None)
    assert "no safe day can be told: too many draws find no end" in flat(hobby_room(), Asides(odds=odds))


def test_a_missed_promise_stands_at_the_top_with_its_days() -> None:
    """The plan ends on 23 January; promised for the 16th it is missed by 7 days, promised for the 23rd by none."""
    late = rows(hobby_room(), Asides(promised=date(2027, 1, 16)))
    assert "LATE   Promised by Sat 16 Jan 2027: missed by 7 days." in late[:5]
    assert not any(row.startswith("LATE") for row in rows(hobby_room(), Asides(promised=date(2027, 1, 23))))


def test_what_is_overdue_comes_before_what_is_due() -> None:
    """Seen from 7 January: to be ordered by the 6th is overdue, by the 7th is not."""
    found = replace(
        hobby_room(),
        items=(
            item("sink", order_by=date(2027, 1, 7), expected=date(2027, 1, 21)),
            item("doors", order_by=date(2027, 1, 6), expected=date(2027, 1, 20)),
            item("lamp", order_by=date(2027, 1, 2), arrived=date(2027, 1, 3)),
        ),
    )
    said = [row for row in rows(found) if "Sink by" in row or "Doors:" in row]
    assert said == [
        "ORDER  Doors: HAD TO BE ORDERED BY WED 6 JAN (comes Wed 20 Jan)",
        "       Sink by Thu 7 Jan (comes Thu 21 Jan)",
    ]
    assert "Lamp" not in flat(found)


def test_bought_is_what_the_next_two_sessions_use() -> None:
    """The first two sessions are on 16 and 17 January; what is first used on the 20th can wait."""
    found = shopping(
        lot("primer", "2027-01-15", "2027-01-16 14:00"),
        lot("blue", "2027-01-16", "2027-01-17 09:00"),
        lot("shelves", "2027-01-19", "2027-01-20 18:30"),
        lot("filler", "2027-01-15", "2027-01-16 09:00", begun=True),
        lot("board", "2027-01-05", "2027-01-16 14:00", passed=True),
    )
    said = [row for row in rows(hobby_room(), found) if row.startswith("BUY") or row.strip().startswith("by ")]
    assert said == ["BUY    HAD TO BE HERE BY TUE 5 JAN: board", "       by Fri 15 Jan: primer · by Sat 16 Jan: blue"]


def as_of(found: Plan, moment: str, *done: str) -> Plan:
    """The plan seen from a moment at which these steps are done."""
    steps = tuple(replace(each, state="done") if each.id in done else each for each in found.steps)
    return replace(found, as_of=at(moment), steps=steps)


def test_a_wet_film_is_told_until_when_also_when_its_session_is_over() -> None:
    """The primer was laid until 16:40 and people have left; it is dry to the touch at 18:20, recoatable at 06:40."""
    found = as_of(hobby_room(), "2027-01-16 17:10", "sand-the-filler", "prime-the-walls")
    said = flat(found)
    assert "DRIES Prime the walls: hands off until 18:20; next on it from Sun 17 Jan, 06:40" in said
    assert "air in Hobby room: 50 to 90 °F and below 85 % humidity, until Sun 17 Jan, 06:40" in said
    assert said.index("DRIES") < said.index("NEXT")


def test_what_is_out_of_use_is_told_until_when_it_is_free() -> None:
    """The primer closes the room until Sunday 06:40; the trestles are back by 17:00 and the ladder is not out yet."""
    found = as_of(hobby_room(), "2027-01-16 17:10", "sand-the-filler", "prime-the-walls")
    things = (
        thing("hobby", "2027-01-16 14:00", "2027-01-17 06:40", room=True),
        thing("trestles", "2027-01-16 09:00", "2027-01-16 17:00"),
        thing("step-ladder", "2027-01-17 09:00", "2027-01-17 11:00"),
    )
    said = rows(replace(found, things=things))
    assert "OUT    Hobby room: in use again Sun 17 Jan, 06:40 (Prime the walls)" in said
    assert sum(row.startswith("OUT") or "trestles" in row or "step ladder" in row for row in said) == 1


def thing(name: str, start: str, until: str, *, room: bool = False) -> PlannedThing:
    taken = Taken(start=at(start), until=at(until), by="prime-the-walls", amount=1)
    return PlannedThing(thing=name, places=1, taken=(taken,), room=room)


def test_films_of_one_material_that_are_free_together_are_told_as_one_by_the_latest() -> None:
    """Three glued sheets, free at 15:40, 16:27 and 17:08; a fourth at 20:00 is told for itself."""
    glued = [
        step(
            f"glue-{n}",
            f"2027-01-07 {8 + n:02}:00 {8 + n:02}:30",
            state="done",
            film=film({"handle": f"2027-01-07 {free}"}, material_title="glue"),
        )
        for n, free in enumerate(("15:40", "16:27", "17:08", "20:00"))
    ]
    said = flat(plan(*glued, step("nail", "2027-01-09 09:00 10:00")))
    assert "DRIES 3 × glue (Hobby room): hands off until 17:08 Glue 3: hands off until 20:00" in said


def test_the_session_at_hand_has_each_caution_once_with_the_letter_of_its_steps() -> None:
    first = step("cut", "2027-01-16 09:00 10:00", cautions=(Beware(DUST), Beware(LIFT)))
    second = step("fit", "2027-01-16 10:00 11:00", cautions=(Beware(LIFT),))
    said = rows(plan(first, second))
    assert any(row.split() == ["09:00", "Cut", "[a", "b]"] for row in said)
    assert any(row.split() == ["10:00", "Fit", "[b]"] for row in said)
    assert f"    a  {DUST}" in said
    assert sum(LIFT in row for row in said) == 1


def test_a_caution_that_the_job_never_had_before_is_marked() -> None:
    first = step("cut", "2027-01-06 09:00 10:00", state="done", cautions=(Beware(DUST),))
    second = step("fit", "2027-01-16 10:00 11:00", cautions=(Beware(DUST), Beware(LIFT)))
    said = rows(plan(first, second))
    assert f"    b  NEW {LIFT}" in said
    assert f"    a  {DUST}" in said


def test_no_caution_of_the_session_is_lost_however_many_there_are() -> None:
    """Sixty cautions are more than a screen: the screen gives way, not they."""
    many = tuple(f"Danger number {n} of many." for n in range(60))
    said = flat(plan(step("cut", "2027-01-16 09:00 10:00", cautions=tuple(map(Beware, many)))))
    assert all(caution.rstrip(".") in said for caution in many)


def test_a_source_is_left_to_all_and_a_persons_own_brackets_are_not() -> None:
    cited, own = "Dust: wear a mask (29 CFR 1926)", "Mind the cat (she is deaf)."
    both = (Beware(cited, "Dust: wear a mask"), Beware(own))
    found = plan(step("cut", "2027-01-16 09:00 10:00", cautions=both))
    said = flat(found)
    assert "1926" not in said
    assert own in said
    assert "1926" in agenda(found)


def test_without_its_source_a_caution_still_says_what_to_wear() -> None:
    """`masks` is what to wear, `cites` the rule that was read, by region."""
    dust = Caution(
        name="dust",
        text="vacuum at the tool",
        kind="dusty",
        source="a book",
        masks=(("us", "N95"),),
        cites=(("us", "29 CFR 1926"),),
        asks=(("us", "NIOSH"),),
    )
    said = dust.said(("us",))
    assert said.text == "dust: vacuum at the tool (mask: N95; 29 CFR 1926)"
    assert said.uncited == said.brief == "dust: vacuum at the tool (mask: N95)"


def test_what_was_done_in_a_session_under_way_is_folded() -> None:
    """At half past eleven the sanding is done; the primer is still to come today."""
    found = as_of(hobby_room(), "2027-01-16 11:30", "sand-the-filler")
    said = flat(found)
    assert "NOW Sat 16 Jan" in said
    assert "done: Sand the filler" in said
    assert "11:30 Sand" not in said
    assert "1 of 5 steps done" in said


def test_a_step_goes_on_after_other_work_but_not_after_a_break() -> None:
    found = plan(
        step("cut", *spans("2027-01-16 09:00 12:00", "2027-01-16 13:00 14:00")),
        step("call", "2027-01-16 12:00 13:00"),
    )
    assert "Cut, again 13:00" in flat(found)
    (morning,) = found.windows
    broken = plan(
        found.steps[0],
        windows=(replace(morning, end=at("2027-01-16 12:00")), replace(morning, start=at("2027-01-16 13:00"))),
    )
    assert "again" not in flat(broken)
    assert "break 12:00–13:00" in flat(broken)


def test_an_unrecorded_session_and_a_broken_rule_stand_above_the_rest() -> None:
    found = flat(hobby_room(), Asides(unrecorded=unheard("2027-01-02 09:00 12:00")))
    assert "ASKED Sat 2 Jan: not recorded." in found
    assert found.index("ASKED") < found.index("NEXT")


def test_what_the_planner_warns_of_stands_at_the_top_and_a_missed_promise_once() -> None:
    """A session that could not be moved is no note; that the work ends too late is said with the promise."""
    moved = message("warned.moved", step="prime-the-walls", moved=0, planned=0, held=message("held.nothing"))
    late = message("warned.too late", finish=at("2027-01-23 12:00"))
    found = replace(hobby_room(), warnings=(as_written("A note."), moved, late))
    said = flat(found, Asides(promised=date(2027, 1, 16)))
    assert said.index("You moved the session of") < said.index("NEXT") < said.index("A note.")
    assert "LATE Promised by Sat 16 Jan 2027: missed by 7 days." in said
    assert "after the day it was to be done by" not in said


def test_a_finished_job_is_told_in_a_few_rows() -> None:
    """All is done on 23 January; the enamel goes on curing until 14 February."""
    found = hobby_room()
    over = replace(found, as_of=at("2027-01-24 09:00"), steps=tuple(replace(s, state="done") for s in found.steps))
    said = rows(over)
    assert said[1] == "DONE   since Sat 23 Jan 2027, 12:00. Cured Sun 14 Feb 2027."
    assert not any(row.startswith(("NEXT", "THEN", "END")) for row in said)


def long_job(sessions: int, zone: str = NEW_YORK) -> Plan:
    """A session on each Saturday from 16 January 2027 on, with eight steps of a quarter of an hour."""
    return plan(
        *(
            step(
                f"work-{week}-{n}",
                spans_on(week, n),
                title=f"Step number {n} of the session in week {week} with a title of some length",
                cautions=(Beware(f"Caution {n}: whatever number {n} is about, look after it."),),
            )
            for week in range(sessions)
            for n in range(8)
        ),
        warnings=tuple(as_written(f"Note {n} of the planner about something.") for n in range(9)),
    )


def spans_on(week: int, n: int) -> str:
    day = date.fromordinal(date(2027, 1, 16).toordinal() + 7 * week)
    return f"{day} {9 + n // 4:02}:{15 * (n % 4):02} {9 + (n + 1) // 4:02}:{15 * ((n + 1) % 4):02}"


def test_a_new_user_finds_the_four_answers_in_the_first_24_rows() -> None:
    """When it is done, what to do next, what to buy now, what is out of use.

    Seen ten past five on the first Saturday, with the walls wet, the doors overdue and a tin to buy.
    """
    found = as_of(hobby_room(), "2027-01-16 17:10", "sand-the-filler", "prime-the-walls")
    doors = item("doors", order_by=date(2027, 1, 10), expected=date(2027, 1, 23))
    odds = draws(("2027-01-23", 0.7), ("2027-01-30", 0.3), likely="2027-01-30", safe="2027-02-06")
    tin = lot("blue", "2027-01-16", "2027-01-17 09:00")
    said = rows(replace(found, items=(doors,)), replace(shopping(tin), odds=odds))[:24]
    labels = {row.split()[0]: row for row in said if row[:1].isupper()}
    assert "6 Feb 2027 to be safe, Sat 23 Jan at best" in labels["DONE"]
    assert "HAD TO BE ORDERED BY SUN 10 JAN" in labels["ORDER"]
    assert "by Sat 16 Jan: blue" in labels["BUY"]
    assert "Prime the walls: hands off until 18:20" in labels["DRIES"]
    assert "Sun 17 Jan" in labels["NEXT"]
    assert any(row.split()[1:] == ["First", "coat", "of", "blue"] for row in said)


@pytest.mark.parametrize("sessions", [1, 5, 60])
def test_the_answer_takes_no_more_than_one_screen(sessions: int) -> None:
    said = rows(long_job(sessions))
    assert len(said) <= ROWS
    assert max(map(len, said)) <= 80


def test_what_is_left_out_is_counted() -> None:
    """Nine notes and sixty weeks, of which the first is NEXT."""
    said = rows(long_job(60))
    then = said.index(next(row for row in said if row.startswith("THEN")))
    shown = sum("Step number" in row for row in said[then : said.index("", then)])
    left = next(row for row in said if row.strip().startswith("and ") and "weeks more" in row)
    assert f"and {59 - shown} weeks more, to Sat 4 Mar: --all" in left
    notes = sum(row.startswith("MIND") or "of the planner" in row for row in said)
    assert f"and {9 - notes} more: --all" in "\n".join(said)


def test_a_later_session_never_takes_a_second_line() -> None:
    said = rows(long_job(3))
    then = said.index(next(row for row in said if row.startswith("THEN")))
    assert [row[7:9] for row in said[then : then + 2]] == ["Sa", "Sa"]
    assert said[then + 2] == ""


@given(words=st.lists(titles, min_size=3, max_size=3), width=st.integers(20, 120))
@settings(max_examples=40)
def test_any_title_at_any_width_stays_inside(words: list[str], width: int) -> None:
    """No line is wider than the terminal, or than 40 columns, or than 80."""
    found = with_step(hobby_room(), "prime-the-walls", title=words[0], cautions=(Beware(words[1]),))
    text = one_screen(replace(found, job=words[2]), Asides(), width)
    assert max(cell_len(line) for line in text.splitlines()) <= min(80, max(40, width))


def chain_of(coats: int) -> str:
    """What holds up the end where each coat had to wait a week for the one before it."""
    many = [
        step(
            f"coat-{n:02}",
            spans_on(n, 0),
            title=f"Coat {n:02} on the doors of the landing",
            holder=f"coat-{n - 1:02}" if n else None,
        )
        for n in range(coats)
    ]
    _, _, said = one_screen(plan(*many), Asides()).partition("\nEND ")
    return " ".join(said.partition("\nMORE ")[0].split())


def test_what_holds_up_the_end_is_named_from_link_to_link() -> None:
    """Four links of 34 letters stand there whole; of ten each is named, cut where a word ends; of sixty those of the
    middle are counted."""
    assert chain_of(4).count("on the doors of the landing") == 4
    ten = chain_of(10)
    assert [f"Coat {n:02}" in ten for n in range(10)] == [True] * 10
    assert ten.count("on the doors of…") == 10
    shown, (left,) = chain_of(60), re.findall(r"\((\d+) more\)", chain_of(60))
    assert shown.count("Coat") + int(left) == 60
    assert "Coat 00" in shown
    assert "Coat 59" in shown


def test_in_ascii_nothing_else_is_printed() -> None:
    assert one_screen(as_of(hobby_room(), "2027-01-16 17:10", "prime-the-walls"), Asides(), ascii=True).isascii()
    assert "?" not in one_screen(hobby_room(), Asides(), ascii=True)


def test_what_is_in_the_house_is_bought_no_more() -> None:
    """Of two things for the next session one is there already, and enough of it: only the other is still to get."""
    there = lot("zinc filler", "2027-01-16", "2027-01-16 10:00", enough=True, had=date(2027, 1, 15))
    wanted = lot("amber primer", "2027-01-16", "2027-01-16 10:00")
    screen = flat(hobby_room(), Asides(shopping=Shopping(lots=(there, wanted), deliveries=(), margin=10)))
    assert "amber primer" in screen
    assert "zinc filler" not in screen


def test_where_the_hours_end_before_the_work_does_that_is_told_once_for_all_steps() -> None:
    """What is planned as if they went on is no broken rule among others: when they end, and what is to be done."""
    end = message("rule.past hours", end=at("2027-01-17 17:00"))
    past = Broken("work hours", "hang-the-doors", message("given up", step="hang-the-doors", said=end, rule="hours"))
    found = replace(hobby_room(), broken=(past,))
    assert "HOURS none after Sun 17 Jan: 1 step planned as if they went on; say in the job file when" in flat(found)
    assert "BROKEN" not in flat(found)
    (urgent,) = NowCard(Book(found), Asides(), FACE, Tongue(FACE)).urgent()
    assert urgent.title == "No work hours after Sun 17 Jan"
    assert urgent.said == "1 step is planned as if they went on. Say in the job file when you can work."
