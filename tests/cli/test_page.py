"""`tackfree plan --page`: the page as a file beside what else is asked for."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import run

JOB = """\
job: Den
start: 2027-01-16
zone: America/New_York
measures: US
hours: [{on: [Saturday, Sunday], from: 9:00, to: 17:00}]
rooms: {den: {air: {day: 70 °F, night: 65 °F, humidity: 45 %}}}
on order:
  doors: {title: The doors, comes: 2027-01-20, between: 2027-01-19 and 2027-01-30, order time: 2 weeks}
steps:
  caulk: {room: den, work: 1 h, lays: acrylic-latex-caulk, uses: {acrylic-latex-caulk: 600 ml}}
  prime: {room: den, work: 2 h, lays: acrylic-bonding-primer, follows: [{caulk: paint_over}]}
  hang: {room: den, work: 1 h, needs: doors, follows: [{prime: recoat}]}
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "job.yaml").write_text(JOB, encoding="utf-8")
    return tmp_path


def page_of(job: Path, *more: str, as_of: str = "2027-01-07") -> str:
    file = job / "page.html"
    done = run("plan", str(job), "--as-of", as_of, "--page", str(file), *more)
    assert done.code == 0, done.err
    assert f"Wrote {file}." in done.err
    return file.read_text("utf-8").replace("\N{NO-BREAK SPACE}", " ")


def test_the_page_says_what_the_agenda_says(job: Path) -> None:
    """The doors come on Wednesday; they are hung on the Saturday after, 23 January, by 10:00."""
    text = page_of(job)
    assert "<strong>Saturday 23 January 2027, 10:00 am</strong>" in text
    assert "acrylic bonding primer" in text


def test_it_holds_air_sources_and_shopping_without_being_asked(job: Path) -> None:
    text = page_of(job)
    assert "65–70 °F" in text
    assert "MIL-HDBK-1110" in text
    assert 'id="shopping"' in text
    assert 'id="odds"' not in text and 'id="leeway"' not in text


def test_odds_and_leeway_are_reckoned_where_they_are_asked_for(job: Path) -> None:
    text = page_of(job, "--with", "odds", "--with", "leeway")
    assert 'id="odds"' in text and 'id="leeway"' in text
    assert "95 % by " in text


def test_what_changed_since_the_plan_handed_out_before(job: Path) -> None:
    """The doors come a week later: hanging them moves from 23 to 30 January."""
    assert 'id="changed"' not in page_of(job)
    (job / "job.yaml").write_text(JOB.replace("comes: 2027-01-20", "comes: 2027-01-27"), encoding="utf-8")
    text = page_of(job)
    assert "The end moves from Saturday 23 January 2027, 10:00 am to Saturday 30 January 2027, 10:00 am" in text


def test_the_language_of_the_household(job: Path) -> None:
    text = page_of(job, "--lang", "de")
    assert "<strong>Samstag, 23. Januar 2027, 10:00</strong>" in text
    assert "Als Nächstes" in text


def test_a_language_that_it_does_not_speak_is_refused(job: Path) -> None:
    done = run("plan", str(job), "--page", str(job / "page.html"), "--lang", "tlh")
    assert done.code == 2
    assert not (job / "page.html").exists()


def test_a_page_of_an_earlier_version_in_a_language_of_its_own_is_written_again_in_that_of_the_job(job: Path) -> None:
    """French and Spanish were there for the page alone."""
    page_of(job, "--lang", "de")
    kept = job / "job.plan.json"
    kept.write_text(kept.read_text("utf-8").replace('"lang": "de"', '"lang": "fr"'), encoding="utf-8")
    assert run("late", str(job), "doors", "2027-01-27", "--as-of", "2027-01-07").code == 0
    assert '<html lang="en">' in (job / "page.html").read_text("utf-8")


def test_with_json_the_page_is_written_beside_it(job: Path) -> None:
    done = run("plan", str(job), "--as-of", "2027-01-07", "--json", "--page", str(job / "page.html"))
    assert done.out.startswith("{")
    assert (job / "page.html").stat().st_size > 20_000


def test_what_moved_since_somebody_looked_is_told_however_many_commands_lie_between(job: Path) -> None:
    """Looked at on Thursday; the doors are a week late on Friday, ordered on Saturday: on Sunday the page and the
    screen say what became of the end since Thursday, and why. Looked at once more, nothing has moved."""
    page_of(job)
    assert run("late", str(job), "doors", "2027-01-27", "--as-of", "2027-01-08").code == 0
    assert run("ordered", str(job), "doors", "--as-of", "2027-01-09").code == 0
    file = job / "page.html"
    said = run("plan", str(job), "--as-of", "2027-01-10", "--page", str(file)).out
    cause = "“The doors” comes Wednesday 27 January"
    assert f"SINCE Thu 7 Jan: done Sat 30 Jan instead of Sat 23 Jan, because {cause}" in " ".join(said.split())
    text = file.read_text("utf-8").replace("\N{NO-BREAK SPACE}", " ")
    assert f"Since Thu 7 Jan: done Sat 30 Jan instead of Sat 23 Jan: {cause}." in text
    again = page_of(job, as_of="2027-01-11")
    assert "Since Sun 10 Jan: no date moved." in again


def test_the_page_that_a_recording_command_writes_tells_of_the_plan_that_was_looked_at(job: Path) -> None:
    """Written again by `late`: the page still says since when, though that command handed out a plan of its own; a
    plan of JSON is not looked at by anybody."""
    page_of(job)
    assert run("plan", str(job), "--as-of", "2027-01-08", "--json").code == 0
    assert run("late", str(job), "doors", "2027-01-27", "--as-of", "2027-01-09").code == 0
    assert run("late", str(job), "doors", "2027-01-28", "--as-of", "2027-01-09").code == 0
    text = (job / "page.html").read_text("utf-8").replace("\N{NO-BREAK SPACE}", " ")
    assert "Since Thu 7 Jan: done Sat 30 Jan instead of Sat 23 Jan" in text
