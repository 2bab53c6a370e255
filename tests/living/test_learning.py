"""What is recorded corrects what is reckoned: how long steps took, and how films felt."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from tests.cli.running import run
from tests.living.test_commands import done, lines

LANDING = """
job: Landing
start: 2027-03-06
zone: Europe/Berlin
measures: metric
hours: {on: every day, from: "9:00", to: "19:00"}
rooms:
  landing:
    air: {day: 23 °C, night: 23 °C, humidity: 50 %}
steps:
  scrape: {work: 2 h, kind: dusty}
  wipe: {work: 1 h, kind: wipes, follows: scrape}
  fill: {work: 1 h, lays: vinyl-spackling, follows: wipe}
  sand: {work: 2 h, kind: dusty, follows: [{fill: sand}]}
  clean: {work: 1 h, kind: wipes, follows: sand}
  glue: {work: 1 h, lays: pva-wood-glue, follows: clean}
colours:
  cream: {material: acrylic-latex-wall-paint, coats: 3, one coat: 1 h, follows: [{fill: recoat}, clean]}
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    file = tmp_path / "job.yaml"
    file.write_text(LANDING, encoding="utf-8")
    return file


def say(job: Path, when: str, command: str, *args: str) -> str:
    """One command as on that day of March 2027, `6 12:00`; what it printed, on one line."""
    day, clock = when.split()
    return " ".join(done(run(command, str(job), *args, "--as-of", f"2027-03-{day:0>2}T{clock}")).out.split())


def plan(job: Path, when: str) -> dict:
    day, clock = when.split()
    return json.loads(done(run("plan", str(job), "--json", "--as-of", f"2027-03-{day:0>2}T{clock}")).out)


def step(whole: dict, name: str) -> dict:
    return next(each for each in whole["steps"] if each["id"] == name)


def refused(job: Path, *args: str) -> str:
    """A command on 8 March that is wrong: the one line that says so. Nothing is recorded."""
    before = lines(job)
    ran = run(*args[:1], str(job), *args[1:], "--as-of", "2027-03-08T18:00")
    assert ran.code == 2
    assert ran.out == ""
    assert lines(job) == before
    (said,) = ran.err.splitlines()
    return said


def test_minutes_that_a_person_said_correct_the_steps_to_come(job: Path) -> None:
    """Three hours for two: 1.5 times the middle. One record counts 0.61 of its logarithm (n / (n + s² / τ²) with
    s² = 0.2² + (5/120)² = 0.0417, τ² = 0.1025: 0.71 without odd ones), so about exp(0.65 · ln 1.5) = 1.3."""
    before = plan(job, "6 08:00")
    said = say(job, "6 12:00", "did", "scrape", "--at", "12:00", "--took", "3 h")
    after = plan(job, "6 12:00")
    pace = {each["what"]: each for each in after["learned"]}
    assert 1.2 <= pace["pace: preparing (own times)"]["factor"] <= 1.35
    assert pace["pace: preparing (own times)"]["from"] == 1
    factor = pace["pace: preparing (own times)"]["factor"]
    assert step(before, "sand")["labour_minutes"] == 120
    assert step(after, "sand")["labour_minutes"] == round(120 * factor)
    other = pace["pace: painting (own times)"]
    assert 1 < other["factor"] < factor, "a kind of which nothing is recorded learns less"
    assert step(after, "cream-coat-1")["labour_minutes"] == math.ceil(60 * other["factor"] - 1e-9)
    assert step(after, "scrape")["labour_minutes"] == 180, "what is past is as it was"
    assert "has taken 1.5 times what you reckoned in one step; reckoned with" in said


def test_it_is_said_on_plan_page_and_check(job: Path) -> None:
    """In the same words; without a record none of them has a section for it."""
    say(job, "6 12:00", "did", "scrape", "--at", "12:00")
    page = job.with_name("job.html")
    assert "taught" not in say(job, "6 12:00", "plan", "--page", str(page))
    assert "taught" not in page.read_text("utf-8")
    said = say(job, "6 12:00", "did", "scrape", "--took", "3 h")
    words = "Your preparing by your own times has taken 1.5 times what you reckoned in one step; reckoned with"
    assert words in said
    for shown in (say(job, "6 12:00", "plan", "--page", str(page)), say(job, "6 12:00", "check")):
        assert words in shown
    assert words in page.read_text("utf-8")


def test_what_nobody_timed_teaches_nothing(job: Path) -> None:
    """The pieces of a step are derived from the plan: to learn from them would find `just as reckoned`."""
    say(job, "6 12:00", "did", "scrape", "--at", "12:00")
    assert plan(job, "6 12:00")["learned"] == []
    assert "took_minutes" not in lines(job)[-1]


def test_a_start_and_an_end_say_the_same(job: Path) -> None:
    """From 9:00 to 12:00 without a break are three hours."""
    say(job, "6 12:00", "did", "scrape", "--from", "9:00", "--at", "12:00")
    assert lines(job)[-1]["took_minutes"] == 180
    assert lines(job)[-1]["pieces"] == [["2027-03-06T09:00:00+01:00", "2027-03-06T12:00:00+01:00"]]


def test_said_again_with_another_length_it_is_put_right_where_it_was(job: Path) -> None:
    say(job, "6 12:00", "did", "scrape", "--at", "11:30")
    say(job, "6 18:00", "did", "scrape", "--took", "1 h")
    assert lines(job)[-1]["pieces"] == [["2027-03-06T10:30:00+01:00", "2027-03-06T11:30:00+01:00"]]


def test_undo_takes_the_lesson_back(job: Path) -> None:
    """The plan is the one from before, to the minute."""
    say(job, "6 10:00", "did", "scrape", "--at", "10:00")
    before = plan(job, "6 18:00")
    say(job, "6 18:00", "did", "wipe", "--at", "12:00", "--took", "2 h")
    assert plan(job, "6 18:00")["learned"] != []
    say(job, "6 18:00", "did", "wipe", "--undo")
    assert plan(job, "6 18:00") == before


def test_learn_no_switches_it_off(job: Path) -> None:
    say(job, "6 12:00", "did", "scrape", "--at", "12:00", "--took", "3 h")
    job.write_text(f"learn: no\n{LANDING}", encoding="utf-8")
    off = plan(job, "6 12:00")
    assert off["learned"] == []
    assert step(off, "sand")["labour_minutes"] == 120


SCOPE = """
job: Landing
start: 2027-03-06
zone: Europe/Berlin
measures: metric
{pace}
hours: {{on: every day, from: "9:00", to: "19:00", people: 2}}
rooms:
  landing: {{length: 4 m, width: 2 m, height: 2.5 m, air: {{day: 20 °C, night: 18 °C, humidity: 50 %}}}}
scope:
  landing: [clear and protect, put back]
"""


def test_pace_in_the_job_file_is_the_last_word(tmp_path: Path) -> None:
    """Clearing and putting back are of one kind. With `pace` for that kind, or for all, its minutes stay."""
    labour = {}
    for pace in ("", "pace: {preparing: 80 %}", "pace: 80 %", "pace: {painting: 80 %}"):
        file = tmp_path / f"{len(labour)}.yaml"
        file.write_text(SCOPE.format(pace=pace), encoding="utf-8")
        before = plan(file, "6 08:00")
        first, last = before["steps"][0], before["steps"][-1]
        end = first["pieces"][-1]["end"][:16]
        say(file, "6 18:00", "did", first["id"], "--took", f"{2 * first['labour_minutes']} min", "--at", "17:00")
        after = step(plan(file, "6 18:00"), last["id"])
        labour[pace] = last["labour_minutes"], after["labour_minutes"], end
    for pace in ("pace: {preparing: 80 %}", "pace: 80 %"):
        assert labour[pace][0] > labour[""][0], "a quarter longer by what the file says"
        assert labour[pace][1] == labour[pace][0]
    assert labour[""][1] > labour[""][0]
    assert labour["pace: {painting: 80 %}"][:2] == labour[""][:2], "another kind"


def laid(job: Path) -> None:
    """Scraped, wiped, filled and sanded as planned; the first coat ends on 7 March at 12:00, typical recoat at
    16:00."""
    for name, at in (("scrape", "6 11:00"), ("wipe", "6 12:00"), ("fill", "6 13:00"), ("sand", "7 10:00")):
        say(job, "7 12:00", "did", name, "--at", f"2027-03-0{at}")
    say(job, "7 12:00", "did", "clean", "--at", "2027-03-07 11:00")
    say(job, "7 12:00", "did", "cream-coat-1", "--at", "2027-03-07 12:00")


def test_a_finger_corrects_the_clock_of_a_film_at_once_and_of_those_to_come(job: Path) -> None:
    """Not yet at the time at which the table has it ready: what follows waits, and the next coat is reckoned slower.

    Reached later on: what follows may come from then on. Taken back, the plan is the one from before.
    """
    laid(job)
    first = plan(job, "7 12:00")
    table = step(first, "cream-coat-1")["film"]["stages"]["recoat"]
    gap = _hours(table) - _hours("2027-03-07T12:00")
    at = table[:16]
    said = say(job, "7 18:30", "felt", "cream-coat-1", "recoat", "--not-yet", "--at", at)
    slow = plan(job, "7 18:30")
    ready = step(slow, "cream-coat-1")["film"]["stages"]["recoat"]
    assert ready > table
    assert step(slow, "cream-coat-2")["pieces"][0]["start"] >= ready
    (dries,) = [each for each in slow["learned"] if each["what"].startswith("dries: acrylic-latex-wall-paint")]
    assert 1.15 <= dries["factor"] <= 1.4, "1.28 by the tables of the model, high/low = 2.8"
    second = step(slow, "cream-coat-2")
    waits = _hours(second["film"]["stages"]["recoat"]) - _hours(second["pieces"][-1]["end"])
    assert waits == pytest.approx(gap * dries["factor"], rel=0.02)
    assert "likely ready for the next coat" in said
    say(job, "7 18:30", "felt", "cream-coat-1", "recoat", "--at", "2027-03-07 18:00")
    assert step(plan(job, "7 18:30"), "cream-coat-1")["film"]["stages"]["recoat"][:16] <= "2027-03-07T18:00"
    say(job, "7 18:30", "felt", "cream-coat-1", "--undo")
    say(job, "7 18:30", "felt", "cream-coat-1", "recoat", "--undo")
    again = plan(job, "7 18:30")
    assert again["learned"] == []
    assert step(again, "cream-coat-1")["film"]["stages"]["recoat"] == table


def test_dry_before_its_time_lets_the_next_coat_come_sooner_and_no_other_film(job: Path) -> None:
    """A finger outranks the table for the past; but who writes down only what is dry makes every film look quick."""
    laid(job)
    table = step(plan(job, "7 12:00"), "cream-coat-1")["film"]["stages"]["recoat"]
    before = step(plan(job, "7 12:00"), "cream-coat-2")
    say(job, "7 14:00", "felt", "cream-coat-1", "recoat")
    after = plan(job, "7 14:00")
    assert step(after, "cream-coat-1")["film"]["stages"]["recoat"][:16] == "2027-03-07T14:00" < table[:16]
    (waits,) = [each for each in step(after, "cream-coat-2")["after"] if each["step"] == "cream-coat-1"]
    assert waits["ready"][:16] == "2027-03-07T14:00"
    gap = _hours(before["film"]["stages"]["recoat"]) - _hours(before["pieces"][-1]["end"])
    second = step(after, "cream-coat-2")
    assert _hours(second["film"]["stages"]["recoat"]) - _hours(second["pieces"][-1]["end"]) == pytest.approx(gap)


def test_no_finger_can_tell_that_a_film_is_cured_or_that_glue_bears(job: Path) -> None:
    """Use and full, and whatever bears a load or keeps water out, keep the time of the table."""
    laid(job)
    say(job, "7 12:30", "did", "glue", "--at", "12:30")
    before = plan(job, "7 13:00")
    said = say(job, "7 13:00", "felt", "cream-coat-1", "use")
    say(job, "7 13:00", "felt", "glue", "handle", "--at", "12:45")
    after = plan(job, "7 13:00")
    for name, stage in (("cream-coat-1", "use"), ("glue", "handle")):
        assert step(after, name)["film"]["stages"][stage] == step(before, name)["film"]["stages"][stage]
    assert "no finger can tell that it is fit for use before its time" in said


def test_dry_and_later_tacky_is_told_and_the_later_word_counts(job: Path) -> None:
    laid(job)
    say(job, "7 18:30", "felt", "cream-coat-1", "recoat", "--at", "15:00")
    said = say(job, "7 18:30", "felt", "cream-coat-1", "recoat", "--not-yet", "--at", "18:15")
    assert "was felt to be ready for the next coat, and later not yet: the later word counts" in said
    assert step(plan(job, "7 18:30"), "cream-coat-1")["film"]["stages"]["recoat"][:16] > "2027-03-07T18:15"


def test_what_was_learned_later_puts_nobody_in_the_wrong(job: Path) -> None:
    """The second coat was begun when the table had the first ready. That the third is slow breaks no rule of the
    past."""
    laid(job)
    table = step(plan(job, "7 12:00"), "cream-coat-1")["film"]["stages"]["recoat"]
    assert table[11:16] < "17:30"
    say(job, "7 18:30", "did", "cream-coat-2", "--from", "17:30", "--at", "18:30")
    say(job, "8 09:00", "felt", "cream-coat-2", "recoat", "--not-yet")
    after = plan(job, "8 09:00")
    assert after["broken"] == []
    assert step(after, "cream-coat-1")["film"]["stages"]["recoat"] == table


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("did", "wipe", "--took", "3 h", "--at", "2027-03-06 12:30"), "3 h is more than the 1 h 30 min from then"),
        (("did", "wipe", "--from", "13:00", "--at", "2027-03-06 12:30"), "that is no later"),
        (("did", "wipe", "--from", "11:30", "--took", "1 h"), "give one of them"),
        (("did", "wipe", "fill", "--took", "1 h"), "one step at a time"),
        (("did", "wipe", "--took", "soon"), "--took: "),
        (("felt", "fill", "sand"), "is not recorded as done, so its film is not laid"),
        (("felt", "scrape", "sand"), "lays no film"),
        (("felt", "fill", "recoat_by"), "a window closes"),
        (("felt", "fill", "crisp"), "has no stage `crisp`; known are"),
        (("felt", "fill"), "it is missing"),
        (("felt", "fill", "sand", "--at", "2027-03-09"), "a look has a time of day"),
        (("felt", "fill", "sand", "--undo", "--not-yet"), "leave --not-yet out"),
        (("felt", "fill", "sand", "--undo"), "nothing is recorded about how the film of `fill` felt"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(job: Path, args: tuple[str, ...], said: str) -> None:
    """Scraping was over at 11:00; nothing else is recorded. Nothing more is, either."""
    say(job, "6 11:00", "did", "scrape", "--at", "11:00")
    assert said in refused(job, *args)


def test_a_look_before_the_film_was_laid_or_still_to_come_is_refused(job: Path) -> None:
    laid(job)
    assert "was laid by 2027-03-07 12:00" in refused(
        job, "felt", "cream-coat-1", "recoat", "--at", "2027-03-07 11:30"
    )
    assert "is still to come" in refused(job, "felt", "cream-coat-1", "recoat", "--at", "2027-03-08 18:30")


def test_the_diary_shows_what_was_used_and_what_it_could_tell_the_next_job(job: Path) -> None:
    """A look at a film that is said later to have been laid after it is of no use; nor is the tenfold of a slip."""
    laid(job)
    say(job, "7 18:00", "felt", "cream-coat-1", "recoat", "--not-yet", "--at", "16:30")
    say(job, "7 18:00", "felt", "cream-coat-1", "touch", "--at", "12:10")
    say(job, "7 18:00", "did", "cream-coat-1", "--at", "2027-03-07 12:20")
    shown = say(job, "7 18:00", "diary")
    assert "not yet ready for the next coat Sunday 7 March, 16:30 [used]" in shown
    assert "dry to the touch Sunday 7 March, 12:10 [not used: no film of it is laid by then]" in shown
    taught = done(run("diary", str(job), "--taught", "--as-of", "2027-03-07T18:00")).out
    assert "    dry times:\n      acrylic-latex-wall-paint: 1" in taught
    job.write_text(LANDING.replace("  landing:\n", "  landing:\n    dry times: {acrylic-latex-wall-paint: 130 %}\n"))
    assert run("check", str(job)).code == 0, "such lines may be pasted"


def _hours(moment: str) -> float:
    """Hours since the beginning of the month."""
    return int(moment[8:10]) * 24 + int(moment[11:13]) + int(moment[14:16]) / 60
