"""From any record there is a plan of the rest. What the past broke is told, with what can be done; it ends nothing.

The jobs are small enough to be reckoned by hand: one room at 70 °F and 50 %, Saturdays from 8:00 to 17:00 and Sundays
from 10:00 to 16:00 in Denver. All data invented.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.running import Ran, run
from tests.living.test_commands import done

HEAD = """\
job: One room
start: 2027-01-09
zone: America/Denver
clock: 24 h
hours:
  - {on: Saturday, from: 8:00, to: 17:00}
  - {on: Sunday, from: 10:00, to: 16:00}
rooms: {den: {air: {day: 70 °F, night: 65 °F, humidity: 50 %}}}
"""


def job(folder: Path, text: str, head: str = HEAD) -> Path:
    """A job file with these entries under the usual head."""
    file = folder / "job.yaml"
    file.write_text(head + text, encoding="utf-8")
    return file


def record(file: Path, *words: str) -> Ran:
    """A record that is taken, and after which there is a plan; steps are sought with little effort."""
    run("plan", str(file), "--effort", "200", "--as-of", "2027-01-08")
    return done(run(words[0], str(file), *words[1:]))


def plan(file: Path, as_of: str) -> dict:  # type: ignore[type-arg]
    """The plan as JSON, at a moment."""
    return json.loads(done(run("plan", str(file), "--json", "--as-of", as_of)).out)


def begins(made: dict, step: str) -> list[str]:  # type: ignore[type-arg]
    """When the pieces of a step begin, as "01-09 10:00"."""
    pieces = next(each["pieces"] for each in made["steps"] if each["id"] == step)
    return [piece["start"][5:16].replace("T", " ") for piece in pieces]


def broken(made: dict) -> set[tuple[str, str]]:  # type: ignore[type-arg]
    """The rules that are told as broken, with the step of each."""
    return {(each["rule"], each["step"]) for each in made["broken"]}


def test_dust_in_a_job_that_wipes_nothing_is_wiped_up(tmp_path: Path) -> None:
    """Drilled first, which was to come last: the room is wiped down before anything is caulked. That takes 15 to 30
    minutes, likely 20: (15 + 4 × 20 + 30) / 6, rounded up 21."""
    file = job(
        tmp_path,
        "steps:\n  drill: {work: 1 h, kind: [dusty, noisy]}\n  caulk: {work: 20 min, lays: acrylic-latex-caulk}\n",
    )
    ran = record(file, "did", "drill", "--at", "2027-01-09T09:00", "--as-of", "2027-01-09T09:30")
    assert "Vacuum and wipe down" in ran.out
    made = plan(file, "2027-01-09T09:30")
    assert begins(made, "den-wipe-down") == ["01-09 09:30"]
    assert begins(made, "caulk") == ["01-09 09:51"]
    assert made["broken"] == []


def test_what_was_wiped_is_wiped_again_after_more_dust(tmp_path: Path) -> None:
    """Drilled, wiped, drilled once more: the second dust is wiped up by a second wipe-down."""
    file = job(
        tmp_path,
        "steps:\n  drill: {work: 1 h, kind: [dusty, noisy]}\n  saw: {work: 1 h, kind: dusty}\n"
        "  caulk: {work: 20 min, lays: acrylic-latex-caulk}\n",
    )
    record(file, "did", "drill", "--at", "2027-01-09T09:00", "--as-of", "2027-01-09T09:30")
    done(run("did", str(file), "den-wipe-down", "--at", "2027-01-09T09:50", "--as-of", "2027-01-09T10:00"))
    done(run("did", str(file), "saw", "--at", "2027-01-09T11:00", "--as-of", "2027-01-09T11:00"))
    made = plan(file, "2027-01-09T11:00")
    assert begins(made, "den-wipe-down-again") == ["01-09 11:00"]
    assert begins(made, "caulk") == ["01-09 11:21"]


def test_two_coats_begun_at_once_are_finished_in_their_order(tmp_path: Path) -> None:
    """Both close the room from their first minute on; the rest of the first comes first, that of the second once it
    can be recoated. That somebody was in the closed room is told."""
    file = job(
        tmp_path,
        "steps:\n"
        "  one: {work: 1 h, lays: waterborne-polyurethane-floor}\n"
        "  two: {work: 1 h, lays: waterborne-polyurethane-floor, follows: [one: recoat]}\n",
    )
    record(file, "did", "one", "--left", "10 min", "--at", "2027-01-09T09:00", "--as-of", "2027-01-09T09:00")
    done(run("did", str(file), "two", "--left", "30 min", "--at", "2027-01-09T10:00", "--as-of", "2027-01-09T10:00"))
    made = plan(file, "2027-01-09T10:00")
    assert begins(made, "one")[1] == "01-09 10:00"
    ready = next(each["ready"] for step in made["steps"] if step["id"] == "two" for each in step["after"])
    assert begins(made, "two")[1] >= ready[5:16].replace("T", " ")
    assert ("closed room", "two") in broken(made)


def test_a_remedy_begun_before_what_it_mends_can_be_done_again(tmp_path: Path) -> None:
    """Scuffed before anything was primed: the rest of the scuffing is planned, and where the window of the primer is
    missed (30 days in its profile, and the next hours are in March) it is scuffed once more."""
    hours = HEAD.replace("Sunday, from: 10:00, to: 16:00", "Sunday, from: 10:00, to: 16:00, since: 2027-03-01")
    hours = hours.replace("from: 8:00, to: 17:00", "from: 8:00, to: 17:00, until: 2027-01-16")
    file = job(
        tmp_path,
        "steps:\n  prime: {work: 5 h, lays: acrylic-bonding-primer}\n"
        "  paint: {work: 8 h, lays: acrylic-latex-wall-paint, follows: [prime: recoat]}\n",
        hours,
    )
    record(file, "did", "paint-remedy", "--left", "20 min", "--at", "2027-01-09T09:00", "--as-of", "2027-01-09T09:00")
    made = plan(file, "2027-01-09T09:00")
    assert len(begins(made, "paint-remedy")) == 2, "what was begun is ended"


def test_a_missed_limit_without_remedy_is_told_and_the_step_comes_as_soon_as_it_can(tmp_path: Path) -> None:
    """Glued until 16:50 on Saturday, pressed within 30 minutes for an hour in one piece: nobody works after 17:00."""
    file = job(
        tmp_path,
        "steps:\n  glue: {work: 1 h, lays: pva-wood-glue}\n"
        "  press: {work: 1 h, pause: no, follows: [glue: {stage: end, within: 30 min}]}\n",
    )
    ran = record(file, "did", "glue", "--at", "2027-01-09T16:50", "--as-of", "2027-01-09T17:00")
    assert "“press” starts Sunday 10 January, 10:00; its window after “glue” ended" in " ".join(ran.out.split())
    made = plan(file, "2027-01-09T17:00")
    assert begins(made, "press") == ["01-10 10:00"]
    assert broken(made) == {("windows kept", "press")}


SHUT_OUT = """\
job: Bath
start: 2027-01-09
zone: Europe/Berlin
clock: 24 h
hours:
  - {on: weekdays, from: 17:00, to: 21:00}
  - {on: Saturday, from: 9:00, to: 17:00, people: 2, break: 13:00 to 14:00}
set-up: 15 min
clear-up: 15 min
shared things: {step ladder: 1, nailer: 1, trestle: 1}
on order:
  glass: {comes: 2027-01-25, order time: 2 weeks}
  boards: {comes: 2027-01-22, order time: 2 weeks}
rooms:
  bath: {air: {day: 64 °F, night: 60 °F, humidity: 65 %}}
steps:
  fit 0: {room: bath, work: 45 min, kind: wet, takes: trestle, needs: [glass]}
  coat 1: {room: bath, work: 20 min, lays: acrylic-latex-caulk, needs: [boards], follows: [fit 0]}
  sand 2: {room: bath, work: 10 min, kind: [dusty]}
  wipe 3: {room: bath, work: 20 min, kind: wipes, follows: [sand 2]}
  coat 3: {room: bath, work: 90 min, lays: cement-grout, follows: [wipe 3]}
  coat 4: {room: bath, work: 90 min, lays: setting-type-compound-45, follows: [coat 3: use, wipe 3]}
  coat 5: {room: bath, work: 45 min, lays: neutral-silicone-sealant, takes: step ladder, needs: [glass],
    follows: [coat 4: {stage: end, within: 3 days}, wipe 3]}
  coat 6: {room: bath, work: 45 min, lays: pva-wood-glue,
    follows: [coat 3: use, coat 4: {stage: end, within: 4 h}, wipe 3]}
colours:
  white: {room: bath, material: acrylic-latex-wall-paint, coats: 2, one coat: 50 min, tape off: none}
  ochre: {room: bath, material: acrylic-latex-wall-paint, coats: 2, one coat: 30 min, tape off: 20 min}
  green: {room: bath, material: acrylic-latex-wall-paint, coats: 1, one coat: 50 min, tape off: none}
borders:
  - {between: [white, ochre], tape off: 15 min}
"""


@pytest.mark.long
def test_what_all_others_shut_out_comes_all_the_same(tmp_path: Path) -> None:
    """A compound begun before the grout under it: glue must follow within four hours of its rest, films of three
    colours keep dust out of the room, and the sealant has no place until rules of others give way as well."""
    file = job(tmp_path, "", SHUT_OUT)
    run("plan", str(file), "--effort", "200", "--as-of", "2027-01-08T00:00+01:00")
    now = "2027-01-08T03:00+01:00"
    done(run("did", str(file), "coat-4", "--at", now, "--left", "90 min", "--as-of", now))
    made = plan(file, now)
    assert all(step["pieces"] for step in made["steps"])
    assert begins(made, "coat-5")


def test_a_limit_that_can_still_be_kept_is_kept(tmp_path: Path) -> None:
    """Glued until 15:00: pressed by 15:30 at the latest, though something else could be done first."""
    file = job(
        tmp_path,
        "steps:\n  glue: {work: 1 h, lays: pva-wood-glue}\n  sweep: {work: 2 h}\n"
        "  press: {work: 1 h, pause: no, follows: [glue: {stage: end, within: 30 min}]}\n",
    )
    record(file, "did", "glue", "--at", "2027-01-09T15:00", "--as-of", "2027-01-09T15:00")
    made = plan(file, "2027-01-09T15:00")
    assert begins(made, "press")[0] <= "01-09 15:30"
    assert made["broken"] == []


def test_the_rest_of_a_coat_waits_for_the_wet_film_under_it(tmp_path: Path) -> None:
    """Painted half an hour over primer of 31 minutes: the rest waits until the primer can be recoated, and it is
    told that the first half lies on a wet film."""
    file = job(
        tmp_path,
        "steps:\n  p1: {work: 1 h, lays: acrylic-bonding-primer}\n"
        "  p2: {work: 1 h, lays: acrylic-latex-wall-paint, follows: [p1: recoat]}\n",
    )
    record(file, "did", "p1", "--at", "2027-01-09T10:00", "--as-of", "2027-01-09T10:31")
    done(run("did", str(file), "p2", "--left", "30 min", "--at", "2027-01-09T10:31", "--as-of", "2027-01-09T10:31"))
    made = plan(file, "2027-01-09T10:31")
    ready = next(each["ready"] for step in made["steps"] if step["id"] == "p2" for each in step["after"])
    assert begins(made, "p2")[1] == ready[5:16].replace("T", " ") > "01-09 10:31"
    assert ("stage not reached", "p2") in broken(made)


def test_work_begun_before_the_start_goes_on_from_the_start(tmp_path: Path) -> None:
    """The job starts on 9 January; half an hour was done on the 2nd. The rest comes at the start, no rule is broken,
    and the session names its steps in their order."""
    file = job(tmp_path, "steps:\n  mark: {work: 1 h}\n  cut: {work: 1 h, follows: mark}\n")
    record(file, "did", "mark", "--left", "30 min", "--at", "2027-01-02T10:00", "--as-of", "2027-01-02T10:00")
    made = plan(file, "2027-01-02T10:00")
    assert begins(made, "mark") == ["01-02 09:30", "01-09 08:00"]
    assert begins(made, "cut") == ["01-09 08:30"]
    assert made["broken"] == [] and made["warnings"] == []


def test_work_outside_of_hours_beside_a_session_is_named_in_its_order(tmp_path: Path) -> None:
    """Work recorded from 7:30 until the hours begin touches the session's set-up: steps stand as they begin."""
    file = job(tmp_path, "set-up: 15 min\nsteps:\n  mark: {work: 1 h}\n  cut: {work: 1 h}\n  fit: {work: 1 h}\n")
    record(file, "did", "cut", "--left", "10 min", "--at", "2027-01-10T10:20", "--as-of", "2027-01-10T10:20")
    done(run("did", str(file), "mark", "--left", "50 min", "--at", "2027-01-10T10:00", "--as-of", "2027-01-10T10:30"))
    assert plan(file, "2027-01-10T10:30")["warnings"] == []


def test_more_left_than_any_session_holds_is_planned_in_parts(tmp_path: Path) -> None:
    """Twelve hours of a coat in one piece are said to be left, and no session has more than nine: it is planned in
    parts, and the answer says how to take it back."""
    file = job(tmp_path, "steps:\n  coat: {work: 1 h, lays: acrylic-latex-wall-paint}\n")
    ran = record(file, "did", "coat", "--left", "12 h", "--at", "2027-01-09T09:00", "--as-of", "2027-01-09T09:00")
    assert "--undo" in ran.out
    made = plan(file, "2027-01-09T09:00")
    minutes = next(step["labour_minutes"] for step in made["steps"] if step["id"] == "coat")
    assert minutes >= 12 * 60
    assert broken(made) == {("one piece", "coat")}


def test_what_takes_two_is_not_done_by_one_where_that_does_not_help(tmp_path: Path) -> None:
    """Two are there on Saturdays for nine hours, one on Sundays for ten: twelve hours in one piece fit neither. They
    are cut, and done by two all the same."""
    hours = HEAD.replace("from: 8:00, to: 17:00", "from: 8:00, to: 17:00, people: 2").replace(
        "to: 16:00", "to: 20:00"
    )
    file = job(tmp_path, "steps:\n  coat: {work: 1 h, people: 2, lays: acrylic-latex-wall-paint}\n", hours)
    record(file, "did", "coat", "--left", "12 h", "--at", "2027-01-09T09:00", "--as-of", "2027-01-09T09:00")
    made = plan(file, "2027-01-09T09:00")
    assert {begin[:5] for begin in begins(made, "coat")} == {"01-09", "01-16"}
    assert broken(made) == {("one piece", "coat")}


def test_after_the_last_hours_the_rest_is_planned_as_if_they_went_on(tmp_path: Path) -> None:
    """The hours end on 16 January and the doors come in March: hung on the first Saturday after that, and told."""
    hours = HEAD.replace("from: 8:00, to: 17:00", "from: 8:00, to: 17:00, until: 2027-01-16")
    hours = hours.replace("  - {on: Sunday, from: 10:00, to: 16:00}\n", "")
    file = job(
        tmp_path, "on order:\n  doors: {comes: 2027-01-09}\nsteps:\n  hang: {work: 2 h, needs: doors}\n", hours
    )
    record(file, "late", "doors", "2027-03-03", "--as-of", "2027-01-08")
    made = plan(file, "2027-01-08")
    assert begins(made, "hang") == ["03-06 08:00"]
    assert broken(made) == {("work hours", "hang")}


def test_where_all_hours_are_over_the_rest_is_planned_as_if_they_went_on(tmp_path: Path) -> None:
    """The same job looked at in May: nothing of its hours is left, and every step comes after them."""
    hours = HEAD.replace("from: 8:00, to: 17:00", "from: 8:00, to: 17:00, until: 2027-01-16")
    hours = hours.replace("  - {on: Sunday, from: 10:00, to: 16:00}\n", "")
    file = job(
        tmp_path, "on order:\n  doors: {comes: 2027-01-09}\nsteps:\n  hang: {work: 2 h, needs: doors}\n", hours
    )
    record(file, "arrived", "doors", "--at", "2027-01-08", "--as-of", "2027-01-08")
    made = plan(file, "2027-05-03")
    assert begins(made, "hang") == ["05-08 08:00"]
    assert broken(made) == {("work hours", "hang")}


@pytest.mark.parametrize("command", ["odds", "leeway", "sooner"])
def test_what_could_be_is_asked_of_the_plan_that_there_is(tmp_path: Path, command: str) -> None:
    """A rule that had to give way gives way in every what-if too: none of them says that there is no plan."""
    file = job(
        tmp_path,
        "steps:\n  glue: {work: 1 h, lays: pva-wood-glue}\n"
        "  press: {work: 1 h, pause: no, follows: [glue: {stage: end, within: 30 min}]}\n",
    )
    record(file, "did", "glue", "--at", "2027-01-09T16:50", "--as-of", "2027-01-09T17:00")
    done(run(command, str(file), "--as-of", "2027-01-09T17:00"))


def test_work_through_a_night_ends_one_session_where_the_next_begins(tmp_path: Path) -> None:
    """Done on Sunday at 14:00 after 22 hours: begun on Saturday at 16:00, in the hours of both days. Set up is not
    said, so the sessions are 16:00 to 10:00 and 10:00 to 14:00."""
    file = job(tmp_path, "steps:\n  strip: {work: 4 h}\n")
    record(file, "did", "strip", "--at", "2027-01-10T14:00", "--took", "22 h", "--as-of", "2027-01-10T14:00")
    sessions = plan(file, "2027-01-10T14:00")["sessions"]
    assert [(each["start"][8:16], each["end"][8:16]) for each in sessions[:2]] == [
        ("09T16:00", "10T10:00"),
        ("10T10:00", "10T14:00"),
    ]
