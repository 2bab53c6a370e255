"""What each command does when nobody says `--as-of`: the clock of the machine stands still at an odd moment.

A moment is written as the clock on the wall shows it, with its offset: "2027-01-09 23:59:59-07:00" is Saturday in
Denver, and Sunday already in Greenwich and in Tokyo. All jobs are invented; nothing in them dries, so every time can
be reckoned by hand. When clocks change in 2027, by the IANA tz database (2025b, files northamerica, europe,
australasia and africa):

    America/Denver        14 March, 2:00 becomes 3:00             7 November, 2:00 becomes 1:00
    Europe/Berlin         28 March, 2:00 becomes 3:00             31 October, 3:00 becomes 2:00
    Australia/Lord_Howe   3 October, 2:00 becomes 2:30            4 April, 2:00 becomes 1:30
    Africa/Cairo          Friday 30 April, 0:00 becomes 1:00      Thursday 28 October, 24:00 becomes 23:00
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from freezegun import freeze_time

from tests.cli.running import Ran, run

SHELF = """\
job: Shelf
start: 2027-01-09
zone: America/Denver
clock: 24 h
measures: metric
hours:
  - {on: Saturday, from: 9:00, to: 13:00}
  - {on: Sunday, from: 10:00, to: 14:00}
rooms: {study: {air: {day: 20 °C, night: 18 °C, humidity: 50 %}}}
on order: {boards: {title: Boards, comes: 2027-01-16, order time: 1 week}}
steps:
  sand: {title: Sand the wall, work: 1 h}
  wipe: {title: Wipe the wall, work: 1 h, follows: [sand]}
  fit: {title: Fit the boards, work: 2 h, needs: boards, follows: [wipe]}
"""
"""The plan before it begins: Saturday 9 January 9:00 sand, 10:00 wipe, until 11:00; Saturday the 16th 9:00 fit."""

NIGHT = """\
job: Night shift
start: START
zone: ZONE
clock: 24 h
hours: HOURS
rooms: {hall: {air: {day: 20 °C, night: 18 °C, humidity: 50 %}}}
steps:
  wipe: {title: Wipe the wall, work: WORK}
  fit: {title: Fit the shelf, work: 1 h, follows: [wipe]}
"""


@pytest.fixture(scope="module", autouse=True)
def _everything_is_imported(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Modules meet the real clock first: what a frozen one hands them is of other classes."""
    file = shelf(tmp_path_factory.mktemp("first"))
    done(run("plan", str(file), "--effort", "200", "--as-of", "2027-01-08"))
    done(run("leeway", str(file), "--weeks", "0", "--as-of", "2027-01-08"))


@pytest.fixture(autouse=True)
def machine(monkeypatch: pytest.MonkeyPatch) -> Iterator[Machine]:
    """A machine in Denver, unless a test carries it elsewhere."""
    machine = Machine(monkeypatch)
    machine.goes_to("America/Denver")
    yield machine
    monkeypatch.undo()
    time.tzset()


class Machine:
    """The machine on which the command is typed: where it is, and what its clock shows."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self._environment = monkeypatch

    def goes_to(self, zone: str) -> None:
        """It is set to that zone."""
        self._environment.setenv("TZ", zone)
        time.tzset()

    def at(self, moment: str, *args: str | Path) -> Ran:
        """The command at that moment, whatever comes of it.

        freezegun's `tz_offset` is left alone: it moves aware times, too, and those are one moment everywhere. Who
        asked for a naive time would get that of Greenwich, and be wrong by hours here. A frozen clock also forgets
        which of two equal times is meant (`fold`): `scheduler.wallclock`, which asks no clock, keeps the real one.
        """
        with freeze_time(moment, ignore=["scheduler.wallclock"]):
            return run(*map(str, args))


def done(ran: Ran) -> Ran:
    """What went well."""
    assert ran.code == 0, ran.err
    return ran


def shelf(folder: Path, text: str = SHELF) -> Path:
    """A job file of that text in a folder of its own."""
    file = folder / "job.yaml"
    file.write_text(text, encoding="utf-8")
    return file


def night(folder: Path, zone: str, start: str, hours: str, work: str = "1 h") -> Path:
    """A job in which somebody works while clocks change."""
    values = {"ZONE": zone, "START": start, "HOURS": hours, "WORK": work}
    text = NIGHT
    for name, value in values.items():
        text = text.replace(name, value)
    return shelf(folder, text)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The shelf, of which nothing was planned or recorded yet."""
    return shelf(tmp_path)


@pytest.fixture
def begun(job: Path, machine: Machine) -> Path:
    """The shelf, its plan handed out on Friday 8 January at noon."""
    done(machine.at("2027-01-08 12:00-07:00", "plan", job, "--effort", "200"))
    return job


def plan(machine: Machine, moment: str, job: Path) -> dict[str, Any]:
    """The plan at that moment; none is handed out."""
    found: dict[str, Any] = json.loads(done(machine.at(moment, "plan", job, "--effort", "200", "--json")).out)
    return found


def pieces(made: dict[str, Any], step: str) -> list[str]:
    """When a step is worked on, as "01-09 09:00-10:00"."""
    (found,) = (each["pieces"] for each in made["steps"] if each["id"] == step)
    return [f"{each['start'][5:16].replace('T', ' ')}-{each['end'][11:16]}" for each in found]


def diary(job: Path) -> list[dict[str, Any]]:
    """The lines of the diary."""
    return [json.loads(line) for line in job.with_name("job.diary.jsonl").read_text("utf-8").splitlines()]


def ended(job: Path) -> str:
    """When the step of the newest line ended, with its offset."""
    return str(diary(job)[-1]["pieces"][-1][1])


# Planning: the day before, midnight, in a session, at its end


@pytest.mark.parametrize("clock", ["00:00:00", "12:00:00", "23:59:59"])
def test_before_a_job_begins_all_of_a_day_gives_one_plan(machine: Machine, job: Path, clock: str) -> None:
    """It begins on Saturday 9 January. On Friday the plan is seen from Friday 0:00, at any time of the day."""
    made = plan(machine, f"2027-01-08 {clock}-07:00", job)
    assert made["as_of"] == "2027-01-08T00:00:00-07:00"
    assert pieces(made, "sand") == ["01-09 09:00-10:00"]


def test_from_midnight_on_the_minute_counts(machine: Machine, job: Path) -> None:
    """On the first day the plan is seen from the minute that has begun: 0:00 at 0:00, 8:59 at 8:59:59."""
    assert plan(machine, "2027-01-09 00:00:00-07:00", job)["as_of"] == "2027-01-09T00:00:00-07:00"
    made = plan(machine, "2027-01-09 08:59:59-07:00", job)
    assert made["as_of"] == "2027-01-09T08:59:00-07:00"
    assert pieces(made, "sand") == ["01-09 09:00-10:00"]


def test_in_the_middle_of_a_session_work_begins_now(machine: Machine, job: Path) -> None:
    """At 10:30:59 of a session from 9:00 to 13:00 an hour of sanding is 10:30 to 11:30, and wiping follows."""
    made = plan(machine, "2027-01-09 10:30:59-07:00", job)
    assert (pieces(made, "sand"), pieces(made, "wipe")) == (["01-09 10:30-11:30"], ["01-09 11:30-12:30"])


def test_a_second_before_a_session_ends_it_is_over(machine: Machine, job: Path) -> None:
    """At 12:59:59 there is no room left before 13:00: work begins on Sunday at 10:00."""
    assert pieces(plan(machine, "2027-01-09 12:59:59-07:00", job), "sand") == ["01-10 10:00-11:00"]


def test_a_session_is_asked_about_from_its_last_minute_on(machine: Machine, begun: Path) -> None:
    """The first session ends at 11:00: at 10:59:59 it goes on, at 11:00:00 it has passed unrecorded."""
    assert "unrecorded" not in done(machine.at("2027-01-09 10:59:59-07:00", "buy", begun)).err
    said = done(machine.at("2027-01-09 11:00:00-07:00", "buy", begun)).err
    assert "Saturday 9 January 2027, 09:00–11:00 (Sand the wall; Wipe the wall)" in said
    assert f"if not: tackfree lost {begun} 2027-01-09" in said


@pytest.mark.parametrize("command", ["plan", "check", "buy", "leeway", "odds", "diary"])
def test_no_moment_of_the_first_night_stops_a_command(machine: Machine, begun: Path, command: str) -> None:
    """A second before midnight, at midnight, and in the hour that clocks skip in March: each command answers."""
    for moment in ("2027-01-09 23:59:59-07:00", "2027-01-10 00:00:00-07:00", "2027-03-14 03:00:00-06:00"):
        assert done(machine.at(moment, command, begun)).out


def test_odds_are_seen_from_the_minute_of_the_job(machine: Machine, begun: Path) -> None:
    """In Tokyo it is Sunday 16:00 when the job's Saturday ends."""
    machine.goes_to("Asia/Tokyo")
    found = json.loads(done(machine.at("2027-01-10 16:00+09:00", "odds", begun, "--draws", "20", "--json")).out)
    assert found["as_of"] == "2027-01-10T00:00:00-07:00"


def test_leeway_is_that_of_the_hours_ahead(machine: Machine, begun: Path) -> None:
    """Nothing was done on Saturday, so sanding and wiping are planned for Sunday the 10th. They may not be put off
    further: on the 16th, when the boards come, they and fit would end at 13:00 instead of 11:00. It is the same on
    both sides of midnight."""
    for moment in ("2027-01-09 23:59:59-07:00", "2027-01-10 00:00:00-07:00"):
        found = json.loads(done(machine.at(moment, "leeway", begun, "--weeks", "0", "--json")).out)
        assert [each["free_until"] for each in found] == ["2027-01-16", "2027-01-10", "2027-01-16"]


# Recording: which day is it?


@pytest.mark.parametrize(
    ("moment", "end"),
    [
        ("2027-01-09 13:30:00-07:00", "2027-01-09T10:00:00-07:00"),  # the plan had it end at 10:00
        ("2027-01-09 09:59:59-07:00", "2027-01-09T09:59:00-07:00"),  # a second too early for that: just now
        ("2027-01-09 23:59:59-07:00", "2027-01-09T10:00:00-07:00"),
        ("2027-01-10 00:00:00-07:00", "2027-01-09T10:00:00-07:00"),
    ],
)
def test_did_without_a_time_is_as_planned_or_now(machine: Machine, begun: Path, moment: str, end: str) -> None:
    """Where the plan's end has passed it is taken, on that day and the next one; else it ended this minute."""
    done(machine.at(moment, "did", begun, "sand"))
    assert ended(begun) == end


def test_a_second_before_midnight_belongs_to_the_day_that_ends(machine: Machine, job: Path) -> None:
    """Nothing was planned. Done at 23:59:59 on Saturday: Saturday 23:59, though Greenwich has Sunday since 17:00."""
    ran = done(machine.at("2027-01-09 23:59:59-07:00", "did", job, "sand"))
    assert "Recorded: Sand the wall: done Saturday 9 January, 23:59." in ran.out
    assert diary(job)[-1]["at"] == ended(job) == "2027-01-09T23:59:00-07:00"


def test_at_midnight_the_next_day_has_begun(machine: Machine, job: Path) -> None:
    """Done at 0:00 on Sunday after an hour of work: worked on from 23:00 on Saturday."""
    ran = done(machine.at("2027-01-10 00:00:00-07:00", "did", job, "sand"))
    assert "Recorded: Sand the wall: done Sunday 10 January, 00:00." in ran.out
    assert diary(job)[-1]["pieces"] == [["2027-01-09T23:00:00-07:00", "2027-01-10T00:00:00-07:00"]]


def test_a_time_of_yesterday_is_asked_for_with_its_day(machine: Machine, job: Path) -> None:
    """At 0:05 `--at 23:40` is a time of today, which is still to come; what was meant is offered, and taken."""
    ran = machine.at("2027-01-10 00:05-07:00", "did", job, "sand", "--at", "23:40")
    assert ran.code == 2
    assert ran.err == (
        "--at: 2027-01-10 23:40 is still to come; record it when it is done; if it was the day before, say the day, "
        "too: `2027-01-09 23:40`\n"
    )
    done(machine.at("2027-01-10 00:05-07:00", "did", job, "sand", "--at", "2027-01-09 23:40"))
    assert ended(job) == "2027-01-09T23:40:00-07:00"


def test_the_day_before_is_one_of_the_calendar(machine: Machine, job: Path) -> None:
    """14 March has 23 hours. The day before, the clock showed 23:40 as well; 24 hours earlier it showed 22:40."""
    ran = machine.at("2027-03-14 04:00-06:00", "did", job, "sand", "--at", "23:40")
    assert "`2027-03-13 23:40`" in ran.err


def test_a_reading_that_is_still_to_come_is_none(machine: Machine, job: Path) -> None:
    """At 0:05 the air of 23:40 can't have been read. It was recorded as read all the same."""
    reading = ("diary", job, "--air", "20 °C, 50 %", "--at")
    ran = machine.at("2027-01-10 00:05-07:00", *reading, "23:40")
    assert ran.code == 2
    assert "2027-01-10 23:40 is still to come; record it once it is read" in ran.err
    assert not job.with_name("job.diary.jsonl").exists()
    done(machine.at("2027-01-10 00:05-07:00", *reading, "0:05"))
    assert diary(job)[-1]["time"] == "2027-01-10T00:05:00-07:00"


def test_who_is_quicker_than_planned_kept_to_the_order(machine: Machine, begun: Path) -> None:
    """An hour each was planned. Sanded at 9:50, wiped at 10:40: wiping took 50 minutes from 9:50, and did not begin
    an hour before 10:40, while the sanding went on."""
    done(machine.at("2027-01-09 09:50-07:00", "did", begun, "sand"))
    ran = done(machine.at("2027-01-09 10:40-07:00", "did", begun, "wipe"))
    assert "broke" not in ran.out
    assert diary(begun)[-1]["pieces"] == [["2027-01-09T09:50:00-07:00", "2027-01-09T10:40:00-07:00"]]


def test_a_plan_that_was_overtaken_says_no_end(machine: Machine, begun: Path) -> None:
    """Wiping was planned from 10:00 to 11:00, and then the sanding took until 12:00. Wiped, said at 12:50: that did
    not end at 11:00, before the sanding did, but now, after 50 minutes."""
    done(machine.at("2027-01-09 12:00-07:00", "did", begun, "sand", "--at", "12:00"))
    ran = done(machine.at("2027-01-09 12:50-07:00", "did", begun, "wipe"))
    assert "broke" not in ran.out
    assert diary(begun)[-1]["pieces"] == [["2027-01-09T12:00:00-07:00", "2027-01-09T12:50:00-07:00"]]


def test_what_is_done_before_the_job_begins_is_done_when_it_is_said(machine: Machine, begun: Path) -> None:
    """Plans of Friday are seen from its beginning; what happens on Friday at 19:00 happens then. It was recorded as
    done at 0:00, before the day on which it was worked on."""
    done(machine.at("2027-01-08 19:00-07:00", "did", begun, "sand"))
    assert diary(begun)[-1] == {
        "at": "2027-01-08T19:00:00-07:00",
        "what": "did",
        "step": "sand",
        "pieces": [["2027-01-08T18:00:00-07:00", "2027-01-08T19:00:00-07:00"]],
    }
    done(machine.at("2027-01-08 19:10-07:00", "diary", begun, "--air", "20 °C, 50 %"))
    assert diary(begun)[-1]["time"] == "2027-01-08T19:10:00-07:00"
    done(machine.at("2027-01-08 19:15-07:00", "diary", begun, "--note", "Dust everywhere"))
    assert diary(begun)[-1]["at"] == "2027-01-08T19:15:00-07:00"
    done(machine.at("2027-01-08 19:20-07:00", "did", begun, "wipe", "--left", "30 min"))
    assert ended(begun) == "2027-01-08T19:20:00-07:00"
    assert plan(machine, "2027-01-08 23:59:59-07:00", begun)["as_of"] == "2027-01-08T19:20:00-07:00"


def test_a_job_that_lies_ahead_can_still_be_played_through(machine: Machine, begun: Path) -> None:
    """On Friday, Saturday's steps may be recorded at times of Saturday: a rehearsal."""
    done(machine.at("2027-01-08 19:00-07:00", "did", begun, "sand", "--at", "2027-01-09 10:00"))
    ran = done(machine.at("2027-01-08 19:01-07:00", "did", begun, "wipe", "--at", "2027-01-09 11:00"))
    assert ended(begun) == "2027-01-09T11:00:00-07:00"
    assert "clock of this machine" not in ran.err


@pytest.mark.parametrize(
    ("moment", "day"), [("2027-01-09 23:59:59-07:00", "2027-01-09"), ("2027-01-10 00:00:00-07:00", "2027-01-10")]
)
def test_what_arrives_arrives_today(machine: Machine, begun: Path, moment: str, day: str) -> None:
    """Without `--at` it came on the day that it is where the job is."""
    machine.goes_to("Asia/Tokyo")  # where it is 16 hours later, Sunday in both cases
    done(machine.at(moment, "arrived", begun, "boards"))
    assert diary(begun)[-1]["on"] == day


def test_tomorrow_s_parcel_has_not_arrived(machine: Machine, begun: Path) -> None:
    """A second before midnight the 10th is tomorrow, and what to say instead is named."""
    ran = machine.at("2027-01-09 23:59:59-07:00", "arrived", begun, "boards", "--at", "2027-01-10")
    assert ran.code == 2
    assert ran.err.startswith("--at: 2027-01-10 is still to come; if it comes then: `late")
    done(machine.at("2027-01-10 00:00:00-07:00", "arrived", begun, "boards", "--at", "2027-01-10"))


def test_late_until_today_is_news_and_until_yesterday_is_none(machine: Machine, begun: Path) -> None:
    """At 23:59:59 on the 9th it may come on the 9th; a second later that day has passed."""
    ran = done(machine.at("2027-01-09 23:59:59-07:00", "late", begun, "boards", "2027-01-09"))
    assert "Recorded: Boards: comes Saturday 9 January 2027." in ran.out
    ran = machine.at("2027-01-10 00:00:00-07:00", "late", begun, "boards", "2027-01-09")
    assert (ran.code, ran.err.partition(";")[0]) == (2, "DATE: 2027-01-09 has passed")


def test_who_has_just_said_today_is_not_asked_at_once(machine: Machine, begun: Path) -> None:
    """Said on the 9th to come on the 9th: no question whether it is there, until something else is recorded."""
    ran = done(machine.at("2027-01-09 08:00-07:00", "late", begun, "boards", "2027-01-09"))
    assert "was expected" not in ran.err
    ran = done(machine.at("2027-01-09 10:00-07:00", "did", begun, "sand"))
    assert "“Boards” was expected Saturday 9 January and the plan takes it as there on Saturday 9 January." in ran.err


@pytest.mark.parametrize(("moment", "asked"), [("2027-01-15 23:59:59", False), ("2027-01-16 00:00:00", True)])
def test_an_order_is_asked_about_from_its_day_on(machine: Machine, begun: Path, moment: str, asked: bool) -> None:
    """The boards come on the 16th, by the clock of the job."""
    ran = done(machine.at(f"{moment}-07:00", "diary", begun, "--air", "20 °C, 50 %"))
    assert ("“Boards” was expected Saturday 16 January" in ran.err) is asked


@pytest.mark.parametrize(("moment", "passed"), [("2027-01-09 23:59:59", False), ("2027-01-10 00:00:00", True)])
def test_the_last_day_to_order_lasts_until_midnight(machine: Machine, begun: Path, moment: str, passed: bool) -> None:
    """A week before the 16th is the 9th: that day is still in time, by the clock of the job."""
    machine.goes_to("Pacific/Honolulu")  # where it is still the 9th in both cases
    (found,) = json.loads(done(machine.at(f"{moment}-07:00", "buy", begun, "--json")).out)
    assert (found["order_by"], found["passed"]) == ("2027-01-09", passed)


def test_lost_today_is_all_of_today_s_hours(machine: Machine, begun: Path) -> None:
    """Said in the middle of the session of which nothing is recorded: none of it took place."""
    done(machine.at("2027-01-09 11:30-07:00", "lost", begun, "2027-01-09"))
    assert (diary(begun)[-1]["from"], diary(begun)[-1]["to"]) == (
        "2027-01-09T09:00:00-07:00",
        "2027-01-09T13:00:00-07:00",
    )
    assert pieces(plan(machine, "2027-01-09 11:31-07:00", begun), "sand") == ["01-10 10:00-11:00"]


def test_lost_today_is_the_rest_after_what_was_done(machine: Machine, begun: Path) -> None:
    """Sanded until 10:00, and then the doorbell rang: 10:00 to 13:00 is lost. Said late at night it is the same."""
    done(machine.at("2027-01-09 10:00-07:00", "did", begun, "sand"))
    done(machine.at("2027-01-09 23:59:59-07:00", "lost", begun, "2027-01-09"))
    assert diary(begun)[-1]["from"] == "2027-01-09T10:00:00-07:00"


# A machine that is elsewhere than the job


@pytest.mark.parametrize("zone", ["Asia/Tokyo", "Pacific/Honolulu", "Asia/Kathmandu"])
def test_where_the_machine_is_changes_nothing(machine: Machine, begun: Path, zone: str) -> None:
    """Flying home: what is typed at one moment gives one answer and one record, wherever it is typed."""
    commands: list[tuple[str, tuple[str, ...]]] = [
        ("2027-01-09 20:00-07:00", ("did", "sand", "--at", "9:50")),
        ("2027-01-09 20:01-07:00", ("arrived", "boards")),
        ("2027-01-09 20:02-07:00", ("lost", "2027-01-10")),
        ("2027-01-09 20:03-07:00", ("diary", "--air", "20 °C, 50 %")),
        ("2027-01-09 23:59-07:00", ("plan",)),
        ("2027-01-09 23:59-07:00", ("buy",)),
        ("2027-01-09 23:59-07:00", ("diary",)),
    ]
    kept = {path: path.read_bytes() for path in begun.parent.iterdir()}
    answers = []
    for place in ("America/Denver", zone):
        machine.goes_to(place)
        for path in begun.parent.iterdir():
            path.unlink()
        for path, content in kept.items():
            path.write_bytes(content)
        ran = [done(machine.at(moment, words[0], begun, *words[1:])) for moment, words in commands]
        answers.append((ran, diary(begun)))
    assert answers[0] == answers[1]
    assert answers[0][1][1]["on"] == "2027-01-09"


@pytest.mark.parametrize(("zone", "start"), [("Asia/Tokyo", "2027-01-03"), ("America/Denver", "2027-01-02")])
def test_a_starter_begins_after_today_where_the_machine_is(
    machine: Machine, tmp_path: Path, zone: str, start: str
) -> None:
    """Friday 1 January, 8:30 in Denver, is Saturday 2 January, 0:30, in Tokyo. Work is on Saturdays and Sundays, and
    the first day is one after today."""
    machine.goes_to(zone)
    done(machine.at("2027-01-01 08:30-07:00", "starter", tmp_path / "den"))
    text = (tmp_path / "den" / "job.yaml").read_text("utf-8")
    assert f"\nstart: {start} " in text
    assert f"\nzone: {zone} " in text


def test_a_dry_time_counts_from_now_where_the_machine_is(machine: Machine) -> None:
    """Sunday 0:00 in Denver is 16:00 in Tokyo; `--zone` names another wall to look at."""
    machine.goes_to("Asia/Tokyo")
    dry = ("dry", "latex-drywall-primer", "--json")
    here = json.loads(done(machine.at("2027-01-10 00:00:59-07:00", *dry)).out)
    there = json.loads(done(machine.at("2027-01-10 00:00:59-07:00", *dry, "--zone", "America/Denver")).out)
    assert (here["start"], there["start"]) == ("2027-01-10T16:00:00+09:00", "2027-01-10T00:00:00-07:00")


# The days on which clocks change


@pytest.mark.parametrize(
    ("zone", "day", "midnight", "minutes"),
    [
        ("America/Denver", "2027-03-14", "-07:00", 180 - 60),
        ("America/Denver", "2027-11-07", "-06:00", 180 + 60),
        ("Europe/Berlin", "2027-03-28", "+01:00", 180 - 60),
        ("Europe/Berlin", "2027-10-31", "+02:00", 180 + 60),
        ("Australia/Lord_Howe", "2027-04-04", "+11:00", 180 + 30),
        ("Australia/Lord_Howe", "2027-10-03", "+10:30", 180 - 30),
    ],
)
def test_a_session_is_as_long_as_it_really_is(
    machine: Machine, tmp_path: Path, zone: str, day: str, midnight: str, minutes: int
) -> None:
    """From 1:00 to 4:00 on the wall more or less than 180 minutes pass. Work of just so many is done at 4:00 that
    night, and of one minute more it is not."""
    for more, sessions in ((0, 1), (1, 2)):
        hours = "{on: Sunday, from: 1:00, to: 4:00}"
        job = night(tmp_path, zone, day, hours, f"{minutes - 60 + more} min")
        made = plan(machine, f"{day} 00:00{midnight}", job)
        assert made["as_of"] == f"{day}T00:00:00{midnight}"
        assert len(made["sessions"]) == sessions
        assert made["finish"].startswith(f"{day}T04:00") is (more == 0)


def test_an_hour_of_work_in_spring_began_two_hours_ago_on_the_wall(machine: Machine, tmp_path: Path) -> None:
    """Done at 3:10 on 14 March after an hour of work: ten minutes since 3:00, and fifty before 2:00, from 1:10."""
    job = night(tmp_path, "America/Denver", "2027-03-13", "{on: Sunday, from: 0:30, to: 4:00}")
    done(machine.at("2027-03-14 03:10-06:00", "did", job, "wipe"))
    assert diary(job)[-1]["pieces"] == [["2027-03-14T01:10:00-07:00", "2027-03-14T03:10:00-06:00"]]


def test_a_time_that_clocks_skip_is_read_as_an_hour_later(machine: Machine, tmp_path: Path) -> None:
    """2:10 does not come on 14 March: by the offset before the gap it is 3:10 (RFC 5545, section 3.3.5)."""
    job = night(tmp_path, "America/Denver", "2027-03-13", "{on: Sunday, from: 0:30, to: 4:00}")
    ran = done(machine.at("2027-03-14 03:30-06:00", "did", job, "wipe", "--at", "2:10"))
    assert "done Sunday 14 March, 03:10." in ran.out


@pytest.mark.parametrize(
    ("moment", "end", "said"),
    [
        ("2027-11-07 01:40-06:00", "2027-11-07T01:30:00-06:00", "01:30 MDT"),
        ("2027-11-07 01:40-07:00", "2027-11-07T01:30:00-07:00", "01:30 MST"),
        ("2027-11-07 01:20-07:00", "2027-11-07T01:30:00-06:00", "01:30 MDT"),
    ],
)
def test_of_a_time_that_comes_twice_the_last_one_is_meant(
    machine: Machine, tmp_path: Path, moment: str, end: str, said: str
) -> None:
    """`--at 1:30`, said at 1:40 before clocks go back, at 1:40 after that, and at 1:20 after that, when the second
    1:30 is still to come. The answer says which one it is."""
    job = night(tmp_path, "America/Denver", "2027-11-06", "{on: Sunday, from: 0:30, to: 4:00}")
    ran = done(machine.at(moment, "did", job, "wipe", "--at", "1:30"))
    assert ended(job) == end
    assert f"done Sunday 7 November, {said}." in ran.out


def test_half_an_hour_that_comes_twice(machine: Machine, tmp_path: Path) -> None:
    """Lord Howe, 4 April: 1:45 comes at UTC+11 and again half an hour later at UTC+10:30."""
    job = night(tmp_path, "Australia/Lord_Howe", "2027-04-03", "{on: Sunday, from: 1:00, to: 3:00}")
    done(machine.at("2027-04-04 01:50+10:30", "did", job, "wipe", "--at", "1:45"))
    assert ended(job) == "2027-04-04T01:45:00+10:30"


def test_the_command_that_records_a_session_means_its_own_end(machine: Machine, tmp_path: Path) -> None:
    """Two hours from 0:30 on 7 November end at the second 1:30. What is offered the next morning says which, and
    typed as it stands it records the pieces of the plan."""
    job = night(tmp_path, "America/Denver", "2027-11-06", "{on: Sunday, from: 0:30, to: 4:00}", "2 h")
    done(machine.at("2027-11-06 12:00-06:00", "plan", job, "--effort", "200"))
    said = done(machine.at("2027-11-07 09:00-07:00", "diary", job)).err
    offered = f"tackfree did {job} wipe --at 2027-11-07T01:30-07:00\n"
    assert offered in said
    done(machine.at("2027-11-07 09:01-07:00", *offered.split()[1:]))
    assert diary(job)[-1]["pieces"] == [["2027-11-07T00:30:00-06:00", "2027-11-07T01:30:00-07:00"]]


def test_a_day_without_a_midnight_begins_at_one(machine: Machine, tmp_path: Path) -> None:
    """In Cairo 30 April begins at 1:00. The day before the job begins is planned from there."""
    job = night(tmp_path, "Africa/Cairo", "2027-05-01", "{on: Saturday, from: 10:00, to: 12:00}")
    assert plan(machine, "2027-04-30 12:00+03:00", job)["as_of"] == "2027-04-30T01:00:00+03:00"


def test_the_last_hour_of_a_day_may_come_twice(machine: Machine, tmp_path: Path) -> None:
    """In Cairo 28 October has 23:30 twice; an hour of work that ends at the second one began at the first."""
    job = night(tmp_path, "Africa/Cairo", "2027-10-01", "{on: Thursday, from: 22:00, to: 24:00}")
    ran = done(machine.at("2027-10-28 23:30+02:00", "did", job, "wipe"))
    assert "done Thursday 28 October, 23:30 EET." in ran.out
    assert diary(job)[-1]["pieces"] == [["2027-10-28T23:30:00+03:00", "2027-10-28T23:30:00+02:00"]]


# The turn of the year, and the day that most years have not


NEW_YEAR = SHELF.replace("start: 2027-01-09", "start: 2026-12-26").replace(
    "{on: Saturday, from: 9:00, to: 13:00}", "{on: Thursday, from: 20:00, to: 24:00}"
)
"""Hours on the evening of 31 December, a Thursday, and on Sundays."""


def test_the_last_minute_of_the_year_and_the_first(machine: Machine, tmp_path: Path) -> None:
    """Planned at 20:30 on 31 December: sand until 21:30, wipe until 22:30. Said at 23:59 and at 0:01, each ended when
    the plan has it, in the old year."""
    job = shelf(tmp_path, NEW_YEAR)
    done(machine.at("2026-12-31 20:30-07:00", "plan", job, "--effort", "200"))
    done(machine.at("2026-12-31 23:59-07:00", "did", job, "sand"))
    assert (diary(job)[-1]["at"], ended(job)) == ("2026-12-31T23:59:00-07:00", "2026-12-31T21:30:00-07:00")
    done(machine.at("2027-01-01 00:01-07:00", "did", job, "wipe"))
    assert (diary(job)[-1]["at"], ended(job)) == ("2027-01-01T00:01:00-07:00", "2026-12-31T22:30:00-07:00")
    ran = machine.at("2027-01-01 00:01-07:00", "late", job, "boards", "2026-12-31")
    assert (ran.code, ran.err.partition(";")[0]) == (2, "DATE: 2026-12-31 has passed")
    done(machine.at("2027-01-01 00:01-07:00", "lost", job, "2026-12-31"))
    assert (diary(job)[-1]["from"], diary(job)[-1]["to"]) == (
        "2026-12-31T22:30:00-07:00",
        "2027-01-01T00:00:00-07:00",
    )
    done(machine.at("2027-01-01 00:01-07:00", "arrived", job, "boards"))
    assert diary(job)[-1]["on"] == "2027-01-01"


def test_a_bare_time_after_midnight_of_new_year_names_the_old_year(machine: Machine, tmp_path: Path) -> None:
    """At 0:01 `--at 23:30` is 1 January, still to come; the day before is one of another year."""
    ran = machine.at("2027-01-01 00:01-07:00", "did", shelf(tmp_path, NEW_YEAR), "sand", "--at", "23:30")
    assert "`2026-12-31 23:30`" in ran.err


def test_a_starter_of_new_year_s_eve_lies_in_the_new_year(machine: Machine, tmp_path: Path) -> None:
    """31 December 2026 is a Thursday: the next day of work is Saturday 2 January, an order in two weeks the 16th."""
    done(machine.at("2026-12-31 23:59:59-07:00", "starter", tmp_path / "den"))
    text = (tmp_path / "den" / "job.yaml").read_text("utf-8")
    assert "\nstart: 2027-01-02 " in text
    assert "comes: 2027-01-16," in text


LEAP = SHELF.replace("start: 2027-01-09", "start: 2028-02-29").replace(
    "{on: Saturday, from: 9:00, to: 13:00}", "{on: Tuesday, from: 18:00, to: 21:00}"
)
"""Hours on Tuesday 29 February 2028, and on Sundays."""


def test_a_leap_day_is_a_day(machine: Machine, tmp_path: Path) -> None:
    """On 29 February 2028 at 18:30: an hour of sanding until 19:30, said so a second before midnight."""
    job = shelf(tmp_path, LEAP.replace("2027-01-16", "2028-02-29"))
    ran = done(machine.at("2028-02-29 18:30-07:00", "plan", job, "--all", "--effort", "200"))
    assert "Tuesday 29 February, 18:30–21:00" in ran.out
    done(machine.at("2028-02-29 23:59:59-07:00", "did", job, "sand"))
    assert ended(job) == "2028-02-29T19:30:00-07:00"
    done(machine.at("2028-02-29 23:59:59-07:00", "late", job, "boards", "2028-02-29"))
    ran = machine.at("2028-03-01 00:00:00-07:00", "late", job, "boards", "2028-02-29")
    assert (ran.code, ran.err.partition(";")[0]) == (2, "DATE: 2028-02-29 has passed")
    ran = machine.at("2028-03-01 00:05-07:00", "did", job, "wipe", "--at", "20:30")
    assert "`2028-02-29 20:30`" in ran.err
    done(machine.at("2028-03-01 00:06-07:00", "lost", job, "2028-02-29"))
    assert diary(job)[-1]["from"] == "2028-02-29T19:30:00-07:00"


def test_a_starter_of_a_leap_day(machine: Machine, tmp_path: Path) -> None:
    """29 February 2028 is a Tuesday, the next day of work Thursday 2 March, 59 days after that Sunday 30 April."""
    done(machine.at("2028-02-29 23:59-07:00", "starter", tmp_path / "den", "--kind", "floor"))
    text = (tmp_path / "den" / "job.yaml").read_text("utf-8")
    assert "\nstart: 2028-03-02 " in text
    done(machine.at("2028-02-29 23:59-07:00", "plan", tmp_path / "den", "--effort", "200"))


# A clock that is wrong


def test_a_clock_that_was_set_back_takes_no_record_away(machine: Machine, begun: Path) -> None:
    """Recorded until Saturday 12:30, and the clock shows 8:00 of the same day: 12:30 counts as now, and that is said.
    What is done next ended then."""
    done(machine.at("2027-01-09 12:30-07:00", "did", begun, "sand", "--at", "12:30"))
    ran = done(machine.at("2027-01-09 08:00-07:00", "plan", begun))
    assert "as of Sat 9 Jan 2027, 12:30" in ran.out
    assert ran.err.startswith(
        "The clock of this machine shows Saturday 9 January, 08:00, and work is recorded until Saturday 9 January, "
        "12:30: that counts as now. Set the clock, or take back what is not so.\n"
    )
    before = diary(begun)
    ran = done(machine.at("2027-01-09 08:05-07:00", "did", begun, "wipe"))
    assert "that counts as now" in ran.err
    assert diary(begun)[:-1] == before
    assert ended(begun) == "2027-01-09T12:30:00-07:00"


def test_two_machines_may_differ_by_minutes(machine: Machine, begun: Path) -> None:
    """29 minutes behind the record nothing is said, 30 minutes are: half an hour is the least of wrong zones."""
    done(machine.at("2027-01-09 12:00-07:00", "did", begun, "sand", "--at", "12:00"))
    assert "that counts as now" not in done(machine.at("2027-01-09 11:31-07:00", "plan", begun, "--json")).err
    assert "that counts as now" in done(machine.at("2027-01-09 11:30-07:00", "plan", begun, "--json")).err


def test_who_says_the_time_hears_nothing_of_the_clock(machine: Machine, begun: Path) -> None:
    """With `--as-of` the clock of the machine is of no account."""
    done(machine.at("2027-01-09 12:00-07:00", "did", begun, "sand", "--at", "12:00"))
    ran = done(machine.at("2027-01-09 08:00-07:00", "plan", begun, "--json", "--as-of", "2027-01-09T13:00"))
    assert "that counts as now" not in ran.err


@pytest.mark.parametrize(
    "words", [("plan",), ("buy",), ("leeway",), ("did", "sand"), ("late", "boards", "2027-01-20"), ("diary",)]
)
@pytest.mark.parametrize("moment", ["1970-01-01 00:00:30+00:00", "2200-01-01 12:00+00:00"])
def test_a_clock_that_cannot_be_right_is_refused(
    machine: Machine, begun: Path, words: tuple[str, ...], moment: str
) -> None:
    """An empty battery starts a clock in 1970: one line, exit code 2, and nothing is written."""
    before = {path: path.read_bytes() for path in begun.parent.iterdir()}
    ran = machine.at(moment, words[0], begun, *words[1:])
    said = f"clock: this machine takes it to be {moment[:10]}; set its clock, or say what time it is with --as-of\n"
    assert (ran.code, ran.out, ran.err) == (2, "", said)
    assert {path: path.read_bytes() for path in begun.parent.iterdir()} == before
