"""Recording in the words of people: a session in one word, parts of names, and when a step ended that nobody timed.

The wall is that of `lives`. By hand, for the plan as of Friday 8 January 2027: on Saturday sand 9:10-10:10, wipe
until 10:40, prime until 11:40; paint on Sunday 10:10-11:40; on Saturday the 16th fit 9:10-11:10, hang until 11:55.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import run
from tests.living.test_commands import FRIDAY, SATURDAY_NIGHT, done, lines
from tests.support.lives import shelf


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The wall with its plan of Friday."""
    job = shelf(tmp_path_factory.mktemp("wall"))
    done(run("plan", str(job), *FRIDAY))
    return {path.name: path.read_bytes() for path in job.parent.iterdir() if path.is_file()}


@pytest.fixture
def job(planned: dict[str, bytes], tmp_path: Path) -> Path:
    for name, data in planned.items():
        (tmp_path / name).write_bytes(data)
    return tmp_path / "job.yaml"


def ends(job: Path) -> dict[str, str]:
    """Step -> when the record has it end."""
    return {str(line["step"]): str(line["pieces"][-1][1])[5:16] for line in lines(job) if line["what"] == "did"}  # type: ignore[index]


def test_what_was_planned_again_did_not_end_in_the_plan_before(job: Path) -> None:
    """Nobody primed on the 9th; planned anew, it is for the 16th from 9:10 on. Said there at 9:50, it is done."""
    done(run("did", str(job), "sand", "wipe", *SATURDAY_NIGHT))
    done(run("plan", str(job), "--as-of", "2027-01-16T08:00"))
    ran = done(run("did", str(job), "prime", "--as-of", "2027-01-16T09:50"))
    assert ends(job)["prime"] == "01-16T09:50"
    assert "It was to end Sunday 10 January, 11:10" in " ".join(ran.err.split()), "and that is said"


def test_one_step_of_another_day_named_at_work_ended_now(job: Path) -> None:
    """On Sunday at 10:30 somebody says that the wall is sanded: it was planned for Saturday, so who knows; later."""
    done(run("did", str(job), "sand", "--as-of", "2027-01-10T10:30"))
    assert ends(job) == {"sand": "01-10T10:30"}


def test_at_home_in_the_evening_it_ended_as_planned(job: Path) -> None:
    """On Sunday night nobody is at work: what the plan in force has for Saturday and Sunday was done then."""
    done(run("did", str(job), "sand", "--as-of", "2027-01-10T20:00"))
    assert ends(job) == {"sand": "01-09T10:10"}


def test_a_session_in_one_word(job: Path) -> None:
    """On Saturday night: all that was planned for Saturday."""
    done(run("did", str(job), "--session", *SATURDAY_NIGHT))
    assert ends(job) == {"sand": "01-09T10:10", "wipe": "01-09T10:40", "prime": "01-09T11:40"}


def test_a_session_but_a_step_by_a_part_of_its_name(job: Path) -> None:
    done(run("did", str(job), "--session", "--but", "Prime", *SATURDAY_NIGHT))
    assert ends(job) == {"sand": "01-09T10:10", "wipe": "01-09T10:40"}


def test_a_session_of_a_day_that_is_named(job: Path) -> None:
    """On Sunday night the last session is that of Sunday; that of Saturday goes by its day."""
    sunday = ("--as-of", "2027-01-10T20:00")
    done(run("did", str(job), "--session", "--at", "saturday", *sunday))
    assert set(ends(job)) == {"sand", "wipe", "prime"}
    done(run("did", str(job), "--session", *sunday))
    assert ends(job)["paint"] == "01-10T11:40"
    ran = run("did", str(job), "--session", *sunday)
    assert (ran.code, ran.err) == (
        2,
        "--session: no session of the plan has passed unrecorded; name the steps that are done\n",
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("sand", "--session"), "--session: it takes the session as planned; leave STEP out\n"),
        (("sand", "--but", "wipe"), "--but: it leaves steps of a session out; add --session\n"),
        ((), "STEP: it is missing; name the steps that are done, or say --session for all of it\n"),
        (
            ("--session", "--but", "sand", "--but", "wipe", "--but", "prime"),
            "--but: nothing of the session is left; see `tackfree lost` if nobody worked\n",
        ),
        (("--session", "--but", "hang"), "--but: the job has no step “hang”; "),
    ],
)
def test_what_makes_no_session_is_refused_in_one_line(job: Path, words: tuple[str, ...], said: str) -> None:
    ran = run("did", str(job), *words, *SATURDAY_NIGHT)
    assert ran.code == 2
    assert ran.err.startswith(said), ran.err


def test_of_a_part_of_a_name_only_what_is_open_is_meant(job: Path) -> None:
    """`wall` is in the title of sanding, wiping, priming and painting; the first three are done by now."""
    done(run("did", str(job), "sand", "wipe", "prime", *SATURDAY_NIGHT))
    done(run("did", str(job), "wall", "--as-of", "2027-01-10T20:00"))
    assert ends(job)["paint"] == "01-10T11:40"


def test_one_unclear_name_takes_no_good_one_away(job: Path) -> None:
    """`boards` may be cut or hung; what is clear is recorded, and the rest is asked back with exit code 2."""
    ran = run("did", str(job), "sand", "boards", "wipe", *SATURDAY_NIGHT)
    assert ran.code == 2
    assert (
        "STEP: not recorded: “boards” may be one of 2; name one by its id:\n  `fit` Cut and fit the boards\n"
        in ran.err
    )
    assert "  `hang` Hang the boards" in ran.err
    assert set(ends(job)) == {"sand", "wipe"}


def test_days_as_people_write_them(job: Path) -> None:
    """`sunday` of what was done is the last one, of what is to come the next."""
    sunday = ("--as-of", "2027-01-10T20:00")
    done(run("did", str(job), "sand", "--at", "yesterday 9:50", *sunday))
    assert ends(job) == {"sand": "01-09T09:50"}
    ran = done(run("late", str(job), "boards", "2 weeks", *sunday))
    assert "Sunday 24 January" in ran.out
    assert "`2 weeks` is counted from today. If it comes so much later than expected: tackfree late" in ran.err
    assert "from today" not in done(run("late", str(job), "boards", "in 2 weeks", *sunday)).err
    ran = done(run("lost", str(job), "tuesday", *sunday))
    assert "Recorded: no work Tuesday 12 January" in ran.out


def test_a_step_that_ended_before_what_it_follows_is_asked_about(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Sanded until 14:30, wiped until 12:00? On a terminal that is a question, and after a no nothing is recorded."""
    asked: list[str] = []

    def answer(prompt: str) -> str:
        asked.append(prompt)
        return "n"

    monkeypatch.setattr("scheduler.cli.changing.is_asked", lambda: True)
    monkeypatch.setattr("scheduler.cli.changing.typed", answer)
    done(run("did", str(job), "sand", "--at", "14:30", *SATURDAY_NIGHT))
    ran = run("did", str(job), "wipe", "--at", "12:00", *SATURDAY_NIGHT)
    assert ran.code == 2
    assert len(asked) == 1
    assert "“Wipe the wall” ended Saturday 9 January, 12:00, before “Sand the wall” did" in " ".join(ran.out.split())
    assert set(ends(job)) == {"sand"}


def test_what_is_left_of_a_long_step_is_asked_in_hours(tmp_path: Path) -> None:
    """Of 20 h 59 min a Saturday of eight hours leaves 12 h 59 min, which nobody counts in minutes."""
    file = tmp_path / "job.yaml"
    file.write_text(
        "job: Floor\nstart: 2027-01-09\nzone: UTC\nhours: {on: Saturday, from: 9:00, to: 17:00}\n"
        "rooms: {hall: {air: {day: 20 °C, night: 20 °C, humidity: 50 %}}}\nsteps: {scrape: {work: 20 h 59 min}}\n",
        encoding="utf-8",
    )
    done(run("plan", str(file), "--as-of", "2027-01-08"))
    assert "--left '12 h 59 min'" in run("plan", str(file), "--as-of", "2027-01-10").err
