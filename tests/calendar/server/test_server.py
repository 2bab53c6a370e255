"""Publish to a real CalDAV server (Radicale): what is there afterwards is the plan, and nothing else was touched."""

from __future__ import annotations

import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest

from scheduler.calendar.server.client import Server
from scheduler.model.ledger import Ledger
from tests.calendar.readers import with_icalendar
from tests.calendar.server.radicale import PASSWORD, Collection, Radicale
from tests.cli.running import Ran, run

pytestmark = pytest.mark.long

DENVER = ZoneInfo("America/Denver")
HANG = "shelf-session-20270123-1@tackfree"
"""The session in which the shelf is hung: the first weekend after the brackets have come."""


def publish(job: Path, collection: Collection, *more: str, as_of: str = "2027-01-04") -> Ran:
    return run("plan", str(job), "--publish", collection.url, "--as-of", as_of, *more)


def planned(job: Path, tmp_path: Path, as_of: str = "2027-01-04") -> dict[str, tuple[Any, Any]]:
    """The live events of the plan, by way of the calendar file."""
    file = tmp_path / "asked.ics"
    assert run("plan", str(job), "--ics", str(file), "--as-of", as_of).code == 0
    return {uid: seen[:2] for uid, seen in with_icalendar(file.read_bytes()).items() if seen[3] == "CONFIRMED"}


def late(job: Path, day: str) -> None:
    assert run("late", str(job), "brackets", day, "--no-files", "--as-of", "2027-01-05").code == 0


def foreign(uid: str) -> icalendar.Event:
    event = icalendar.Event()
    event.add("uid", uid)
    event.add("dtstamp", datetime(2027, 1, 1, tzinfo=UTC))
    event.add("dtstart", datetime(2027, 1, 16, 10, tzinfo=DENVER))
    event.add("dtend", datetime(2027, 1, 16, 11, tzinfo=DENVER))
    event.add("summary", "Somebody else's business")
    return event


def put_foreign(collection: Collection) -> dict[str, bytes]:
    """A stranger's event, and two of another job of this program, whose UIDs look much like ours."""
    uids = ("a1b2c3@elsewhere.example", "shelf-2-session-20270123-1@tackfree", "shelf-room-room-den-use@tackfree")
    for number, uid in enumerate(uids):
        event = foreign(uid)
        if number:
            event.add("x-tackfree-sent", "shelf-room/1/2/x")
        collection.put(f"foreign{number}.ics", event)
    return raw(collection)


def raw(collection: Collection) -> dict[str, bytes]:
    found = {}
    for number in range(3):
        status, found[f"foreign{number}"] = collection.server.ask("GET", f"{collection.path}foreign{number}.ics")
        assert status == 200
    return found


def test_publish_a_delay_and_publish_again(job: Path, collection: Collection, tmp_path: Path) -> None:
    """The set of our events equals the plan exactly, before and after; foreign events are the same bytes."""
    strangers = put_foreign(collection)
    others = collection.times()
    first = publish(job, collection)
    assert first.code == 0
    before = planned(job, tmp_path)
    assert collection.times() == {**others, **before}
    late(job, "2027-02-04")
    again = publish(job, collection, as_of="2027-01-05")
    assert again.code == 0
    after = planned(job, tmp_path, as_of="2027-01-05")
    assert before != after
    assert collection.times() == {**others, **after}
    assert raw(collection) == strangers
    assert f"{len(before)} new, 0 changed, 0 removed, 0 as they were" in first.err


def test_what_has_not_changed_is_not_written(job: Path, collection: Collection) -> None:
    publish(job, collection)
    before = collection.events()
    collection.change(HANG, description="my own notes")
    again = publish(job, collection)
    assert f"0 new, 0 changed, 0 removed, {len(before)} as they were" in again.err
    assert str(collection.events()[HANG]["description"]) == "my own notes"


def test_an_event_withdrawn_is_taken_away(job: Path, collection: Collection, tmp_path: Path) -> None:
    publish(job, collection)
    text = job.read_text()
    job.write_text(text[: text.index("  hang:")])
    assert publish(job, collection).code == 0
    assert HANG not in collection.times()
    assert collection.times() == planned(job, tmp_path)


def test_without_what_was_kept_our_events_are_known_again(job: Path, collection: Collection, tmp_path: Path) -> None:
    """On another machine, or when the kept plan was lost: what was sent is marked as ours."""
    strangers = put_foreign(collection)
    others = collection.times()
    publish(job, collection)
    for file in job.parent.glob("job.plan.json"):
        file.unlink()
    text = job.read_text()
    job.write_text(text[: text.index("  hang:")])
    assert publish(job, collection).code == 0
    assert collection.times() == {**others, **planned(job, tmp_path)}
    assert raw(collection) == strangers


MOVED = {"dtstart": datetime(2027, 1, 24, 14, tzinfo=DENVER), "dtend": datetime(2027, 1, 24, 15, tzinfo=DENVER)}


@pytest.mark.parametrize("mark", [{}, {"x_tackfree_sent": None}], ids=["mark kept", "mark dropped by the program"])
def test_an_event_moved_by_hand_is_reported_and_left(
    mark: dict[str, None], job: Path, collection: Collection, tmp_path: Path
) -> None:
    publish(job, collection)
    collection.change(HANG, **MOVED, **mark)
    late(job, "2027-02-04")  # the plan moves it as well: still not a word of it is written
    for _ in range(2):
        again = publish(job, collection, as_of="2027-01-05")
        assert again.code == 0
        assert "Moved by hand, left alone: Shelf: Hang the shelf" in again.err
        assert "→ Sunday 24 January, 14:00–15:00" in again.err
        assert collection.times()[HANG] == (MOVED["dtstart"], MOVED["dtend"])
    forced = publish(job, collection, "--overwrite-moved", as_of="2027-01-05")
    assert "Moved by hand, put back" in forced.err
    assert collection.times() == planned(job, tmp_path, as_of="2027-01-05")
    assert "by hand" not in publish(job, collection, as_of="2027-01-05").err


def test_an_event_moved_by_hand_and_withdrawn_is_left(job: Path, collection: Collection) -> None:
    publish(job, collection)
    collection.change(HANG, **MOVED)
    text = job.read_text()
    job.write_text(text[: text.index("  hang:")])
    again = publish(job, collection)
    assert "The plan has withdrawn it." in again.err
    assert HANG in collection.times()
    publish(job, collection, "--overwrite-moved")
    assert HANG not in collection.times()


def test_what_was_moved_and_planned_around_is_no_longer_reported(
    job: Path, collection: Collection, tmp_path: Path
) -> None:
    """Exported from the server, handed in with --moved, published: the plan follows the person, not the other way."""
    publish(job, collection)
    collection.change(HANG, **MOVED)
    back = tmp_path / "back.ics"
    back.write_bytes(collection.server.ask("GET", collection.path)[1])
    again = publish(job, collection, "--moved", str(back))
    assert again.code == 0
    assert "by hand" not in again.err
    assert "Moved by hand: Shelf: Hang the shelf" in again.out
    assert collection.times()[HANG] == (MOVED["dtstart"], MOVED["dtend"])
    assert collection.times() == planned(job, tmp_path)


@pytest.mark.parametrize("many", [0, 1, 2])
def test_server_killed_in_the_middle(many: int, job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One line, exit code 1, and a second run puts it right."""
    folder = tmp_path / "server"
    folder.mkdir()
    server = Radicale(folder).start()
    try:
        collection = server.new_calendar("killed")
        if many:
            publish(job, collection)
            late(job, "2027-02-04")
        asked = 0
        real = Server.put

        def put(self: Server, *arguments: Any) -> None:
            nonlocal asked
            if asked == many:
                server.kill()
            asked += 1
            real(self, *arguments)

        with monkeypatch.context() as patched:
            patched.setattr(Server, "put", put)
            broken = publish(job, collection, as_of="2027-01-05")
        assert broken.code == 1
        assert broken.err.splitlines()[-1].endswith("check the address and the network, and try again")
        assert "Traceback" not in broken.err
        server.start()
        assert publish(job, collection, as_of="2027-01-05").code == 0
        assert collection.times() == planned(job, tmp_path, as_of="2027-01-05")
    finally:
        server.kill()


CUT_OFF = """\
import os, signal, sys
from scheduler.cli import main
from scheduler.calendar.server.client import Server
real, left = {name: getattr(Server, name) for name in ("put", "remove")}, [int(sys.argv.pop(1))]
def counted(name):
    def call(self, *arguments):
        if not left[0]:
            os.kill(os.getpid(), signal.SIGKILL)
        left[0] -= 1
        return real[name](self, *arguments)
    return call
for name in real:
    setattr(Server, name, counted(name))
main()
"""


@pytest.mark.parametrize("many", [0, 1, 2])
def test_client_killed_in_the_middle(many: int, job: Path, collection: Collection, tmp_path: Path) -> None:
    """Killed after so many events: nothing that it leaves behind keeps a second run from ending at the plan."""
    publish(job, collection)
    late(job, "2027-02-04")
    arguments = ["plan", str(job), "--publish", collection.url, "--as-of", "2027-01-05"]
    done = subprocess.run([sys.executable, "-c", CUT_OFF, str(many), *arguments], capture_output=True, check=False)
    assert done.returncode == -9
    assert publish(job, collection, as_of="2027-01-05").code == 0
    assert collection.times() == planned(job, tmp_path, as_of="2027-01-05")


def test_an_event_that_changes_at_this_very_moment_is_not_overwritten(
    job: Path, collection: Collection, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It was listed, then somebody moved it, then it is to be written: the server's entity tag says no."""
    publish(job, collection)
    late(job, "2027-02-04")
    real = Server.events

    def events(self: Server) -> Any:
        listed = real(self)
        collection.change(HANG, **MOVED)
        return listed

    monkeypatch.setattr(Server, "events", events)
    again = publish(job, collection, as_of="2027-01-05")
    assert again.code == 1
    assert "changed by somebody else at this moment" in again.err
    assert collection.times()[HANG] == (MOVED["dtstart"], MOVED["dtend"])


def test_the_address_of_the_collection_takes_the_whole_file(
    job: Path, collection: Collection, tmp_path: Path
) -> None:
    """The other way to a server: write the file to the address of the calendar, which replaces all that is in it."""
    wanted = planned(job, tmp_path)
    file = (tmp_path / "asked.ics").read_bytes()
    status, _ = collection.server.ask("PUT", collection.path, file, **{"Content-Type": "text/calendar"})
    assert status in (201, 204)
    assert collection.times() == wanted


def test_a_wrong_password_is_one_line_without_it(
    job: Path, collection: Collection, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TACKFREE_CALDAV_PASSWORD", "wrong but secret")
    done = publish(job, collection)
    assert done.code == 2
    assert done.err.splitlines()[-1].startswith(f"--publish: {collection.url}: the server does not let us in")
    assert "secret" not in done.out + done.err


def test_credentials_in_the_address_are_used_and_never_shown(
    job: Path, collection: Collection, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("TACKFREE_CALDAV_USER")
    monkeypatch.delenv("TACKFREE_CALDAV_PASSWORD")
    url = collection.url.replace("://", "://sam:not%20a%20word%20of%20this@")
    done = run("plan", str(job), "--publish", url, "--as-of", "2027-01-04")
    assert done.code == 0
    assert collection.times()
    texts = [done.out, done.err, *(file.read_text() for file in job.parent.iterdir())]
    assert not any("not a word" in text or "not%20" in text or "sam:" in text for text in texts)


def test_no_credentials_are_written_or_logged(
    job: Path, collection: Collection, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(1)
    done = publish(job, collection)
    texts = [done.out, done.err, caplog.text, *(file.read_text() for file in job.parent.iterdir())]
    assert not any(PASSWORD in text for text in texts)


def test_no_calendar_at_that_address(job: Path, server: Radicale) -> None:
    done = publish(job, Collection(server, "/sam/nowhere/"))
    assert (done.code, done.err.splitlines()[-1]) == (
        2,
        f"--publish: http://127.0.0.1:{server.port}/sam/nowhere/: there is no calendar at that address; "
        "check it, and make the calendar there first",
    )


def test_nobody_answers(job: Path, tmp_path: Path) -> None:
    done = publish(job, Collection(Radicale(tmp_path), "/sam/job/"))
    assert done.code == 1
    assert len([line for line in done.err.splitlines() if "can't be reached" in line]) == 1
    assert "Traceback" not in done.err


def test_the_plan_is_kept_before_anything_is_published(job: Path, tmp_path: Path) -> None:
    """So that a calendar never holds a version that this side does not know of."""
    from scheduler.diary.kept import read_kept
    from scheduler.diary.record import Files

    assert publish(job, Collection(Radicale(tmp_path), "/sam/job/")).code == 1
    assert (read_kept(Files(job)).ledger or Ledger()).entries


def test_published_in_its_own_calendar_or_not_the_alarms_come_along(job: Path, collection: Collection) -> None:
    publish(job, collection, "--remind", "30")
    alarms = collection.events()[HANG].walk("VALARM")
    assert [alarm.decoded("trigger") for alarm in alarms] == [timedelta(minutes=-30)]
