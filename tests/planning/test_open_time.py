"""Open time is a window of the plan: what joins or wipes a film comes while it is open."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.running import Ran, run

JOB = """\
job: Counter
start: 2027-01-09
zone: UTC
measures: metric
hours:
  - {{on: Saturday, from: 9:00, to: 12:00}}
  - {{on: Saturday, from: 13:00, to: 17:00}}
rooms:
  shop: {{air: {{day: 70 °F, night: 70 °F, humidity: 50 %, day hours: 0:00 to 24:00}}}}
steps:
  cut: {{title: Cut the laminate, work: {cut}, pause: no}}
  spread: {{title: Spread both faces, work: 30 min, lays: {glue}, follows: cut}}
  join: {{title: Join them, work: 20 min, pause: no, follows: {follows}}}
"""


def planned(folder: Path, glue: str = "contact-cement", follows: str = "{spread: touch}", cut: str = "1 h") -> Ran:
    (folder / "job.yaml").write_text(JOB.format(glue=glue, follows=follows, cut=cut), encoding="utf-8")
    return run("plan", str(folder), "--as-of", "2027-01-02", "--json")


def times(ran: Ran) -> dict[str, tuple[str, str]]:
    """First start and last end of each step, by the clock of the day."""
    assert ran.code == 0, ran.err
    steps = json.loads(ran.out)["steps"]
    return {step["id"]: (step["pieces"][0]["start"][5:16], step["pieces"][-1]["end"][5:16]) for step in steps}


def test_contact_cement_is_joined_between_touch_and_the_end_of_its_open_time(tmp_path: Path) -> None:
    """Touch 20 min, open 30 min at 70 °F (the profile). Spread by noon it could be joined at 13:00 at the earliest,
    and would be lost: it is spread at 13:00 and joined at 13:50."""
    found = times(planned(tmp_path, cut="2 h 30 min"))
    assert found["spread"] == ("01-09T13:00", "01-09T13:30")
    assert found["join"][0] == "01-09T13:50"


def test_without_a_glue_that_closes_it_is_spread_before_the_break(tmp_path: Path) -> None:
    """The sibling: varnish has no open time, and nobody minds if it waits over lunch."""
    found = times(planned(tmp_path, glue="acrylic-latex-trim-paint", cut="2 h 30 min"))
    assert found["spread"] == ("01-09T11:30", "01-09T12:00")


@pytest.mark.parametrize(("glue", "minutes"), [("cement-thinset", 20), ("penetrating-oil", 15), ("pva-wood-glue", 5)])
def test_what_follows_a_film_while_it_is_open_begins_in_its_open_time(
    tmp_path: Path, glue: str, minutes: int
) -> None:
    """Thinset skins after 20 min, oil is wiped off within 15, yellow glue closed within 5 (the profiles). Laid by
    noon all would be too late after lunch."""
    found = times(planned(tmp_path, glue=glue, follows="{spread: open}", cut="2 h 30 min"))
    assert found["spread"][0] == "01-09T13:00"
    assert found["join"][0] <= f"01-09T13:{30 + minutes}"


def test_open_is_said_only_of_what_has_an_open_time(tmp_path: Path) -> None:
    ran = planned(tmp_path, glue="acrylic-latex-trim-paint", follows="{spread: open}")
    assert ran.code == 2
    assert "`acrylic-latex-trim-paint` has no open time, so nothing is open" in ran.err


def test_the_plan_tells_the_end_of_the_window(tmp_path: Path) -> None:
    ran = planned(tmp_path)
    join = next(step for step in json.loads(ran.out)["steps"] if step["id"] == "join")
    (after,) = join["after"]
    assert (after["stage"], after["ready"][11:16], after["latest"][11:16]) == ("touch", "10:50", "11:00")
    assert all("open_until" not in step["film"]["stages"] for step in json.loads(ran.out)["steps"] if step["film"])


BATCH = """\
job: Threshold
start: 2027-01-09
zone: UTC
measures: metric
hours:
  - {{on: Saturday, from: 9:00, to: 12:00}}
  - {{on: Saturday, from: 13:00, to: 17:00}}
rooms:
  shop: {{air: {{day: {air}, night: {air}, humidity: 50 %, day hours: 0:00 to 24:00}}}}
steps:
  plane: {{title: Plane the threshold, work: 2 h 45 min, pause: no}}
  mix: {{title: Mix the epoxy, work: 5 min, follows: plane}}
  bed: {{title: Bed the threshold, work: {bed}, lays: {lays}, follows: {{mix: {mix}}}}}
"""


def mixed(
    folder: Path,
    command: str = "plan",
    air: str = "77 °F",
    bed: str = "20 min",
    lays: str = "two-part-epoxy-adhesive",
    mix: str = "pot life",
) -> Ran:
    (folder / "job.yaml").write_text(BATCH.format(air=air, bed=bed, lays=lays, mix=mix), encoding="utf-8")
    return run(command, str(folder), "--as-of", "2027-01-02", *(["--json"] if command == "plan" else []))


def test_what_was_mixed_is_laid_before_its_pot_life_is_over(tmp_path: Path) -> None:
    """Epoxy is good for 30 min at 77 °F (the profile), bedding takes 20. Mixed from 11:45 to 11:50 it would be laid
    from 13:00 on, after the break: it is mixed at 13:00 and laid by 13:35 at the latest."""
    ran = mixed(tmp_path)
    found = times(ran)
    assert found["mix"] == ("01-09T13:00", "01-09T13:05")
    assert found["bed"] == ("01-09T13:05", "01-09T13:25")
    bed = next(step for step in json.loads(ran.out)["steps"] if step["id"] == "bed")
    assert bed["after"][0]["latest"][11:16] == "13:15"
    assert "pot_life" not in bed["film"]["stages"]


def test_without_a_pot_life_it_is_mixed_before_the_break(tmp_path: Path) -> None:
    assert times(mixed(tmp_path, mix="end"))["mix"] == ("01-09T11:45", "01-09T11:50")


def test_a_batch_lives_half_as_long_ten_degrees_warmer(tmp_path: Path) -> None:
    """30 min at 77 °F (25 °C) are 15 at 95 °F (35 °C), the rule of UFGS 09 97: what takes 20 min to lay is too
    much for one batch, and 10 min fit."""
    ran = mixed(tmp_path, air="95 °F")
    assert ran.code != 0
    assert "“Bed the threshold” comes in the pot life of what “Mix the epoxy” mixes" in ran.out + ran.err
    assert times(mixed(tmp_path, air="95 °F", bed="10 min"))["bed"][0] == "01-09T11:50"


@pytest.mark.parametrize(
    ("changed", "fault"),
    [
        ({"lays": "shellac"}, "job.yaml:13:73: `shellac` has no pot life"),
        ({"bed": "35 min"}, "a batch of `two-part-epoxy-adhesive` is good for 30 min, and this takes 35"),
    ],
)
def test_what_no_batch_can_be_is_a_fault_at_its_line(tmp_path: Path, changed: dict[str, str], fault: str) -> None:
    ran = mixed(tmp_path, "check", **changed)
    assert ran.code == 2
    assert fault in ran.out + ran.err


def test_a_batch_that_was_laid_too_late_is_told(tmp_path: Path) -> None:
    """Mixed until 9:05, laid from 10:00 on: the record shows it, and the plan goes on."""
    mixed(tmp_path)
    for step, end in (("plane", "9:00"), ("mix", "9:05"), ("bed", "10:20")):
        told = run("did", str(tmp_path), step, "--at", end, "--as-of", "2027-01-09 11:00")
        assert told.code == 0, told.err
    plan = run("plan", str(tmp_path), "--as-of", "2027-01-09 11:00", "--all").out
    assert "“Bed the threshold” was begun Saturday 9 January, 10:00; the time for it after" in plan
    assert "“Mix the epoxy” ended Saturday 9 January, 09:15" in plan
