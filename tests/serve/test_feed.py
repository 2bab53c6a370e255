"""The calendar at one address: a client that only polls ends equal to the plan, and gets a body when that changed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

import icalendar
import pytest

from scheduler.diary.kept import read_kept
from scheduler.model.ledger import Ledger
from tests.calendar.readers import READERS
from tests.cli.running import run
from tests.readers.outside import OUTSIDE
from tests.readers.test_read_alike import meant
from tests.serve.serving import Served, new_job
from tests.support.times import TIMES


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    found = Served(_planned(tmp_path_factory.mktemp("feed")))
    yield found
    found.end()


def _planned(folder: Path) -> Path:
    job = new_job(folder)
    assert run("plan", str(job), "--as-of", "2027-01-09T10:00", "--effort", "20").code == 0
    return job


class Client:
    """A calendar program that knows one address and the tag of what it had last."""

    def __init__(self, served: Served, secret: str) -> None:
        self.served, self.secret, self.tag, self.body, self.bodies = served, secret, "", b"", 0

    def poll(self) -> int:
        reply = self.served.get("plan.ics", self.secret, If_None_Match=self.tag or None)
        if reply.status == 200:
            assert reply.body != self.body, "a body for what has not changed"
            self.tag, self.body, self.bodies = reply.headers["etag"], reply.body, self.bodies + 1
        return reply.status


def _ledger(served: Served) -> Ledger:
    served.settled(60)
    ledger = read_kept(served.files).ledger
    assert ledger is not None
    return ledger


def _history(served: Served, random: Random, length: int) -> bytes:
    """What happens in a house, in any order; what contradicts itself is refused and leaves nothing. The file that a
    client that only polls has in the end."""
    client = Client(served, served.keys.look)
    assert client.poll() == 200
    tapped: list[Any] = []
    ways: tuple[Callable[[], dict[str, Any]], ...] = (
        lambda: {"what": "late", "item": "boards", "expected": f"2027-01-{random.randint(10, 31)}"},
        lambda: {"what": "arrived", "item": "boards"},
        lambda: {"what": "ordered", "thing": "boards"},
        lambda: {"what": "bought", "thing": "acrylic-latex-wall-paint"},
        lambda: {"what": "did", "step": random.choice(["sand", "lamp", "first"])},
        lambda: {"what": "did", "step": random.choice(["sand", "lamp"]), "left": random.choice([10, 30])},
        lambda: {"what": "lost", "from": f"2027-01-{random.choice(['10T10:00', '16T10:00', '17T11:00'])}:00-07:00"},
        lambda: {"what": "undo", "line": random.choice(tapped)} if tapped else {"what": "did", "step": "lamp"},
    )
    for _ in range(length):
        before = _ledger(served)
        reply = served.record(**random.choice(ways)())
        assert reply.status in (200, 409), reply.text
        if reply.status == 200 and reply.says["line"]:
            tapped.append(reply.says["line"])
        changed = meant(_ledger(served)) != meant(before)
        bodies = client.bodies
        for _ in range(3):
            client.poll()
        assert client.bodies - bodies <= 1
        assert client.bodies > bodies or not changed, "it has changed, and the client was not told"
        wanted = meant(_ledger(served))
        for name, reader in READERS.items():
            seen = {uid: (*each[:5], tuple(each[7])) for uid, each in reader(client.body).items()}
            assert seen == wanted, name
        served.forget()
    return client.body


def test_a_client_that_only_polls_ends_equal_to_the_plan(served: Served) -> None:
    _history(served, Random(1), 5)


@pytest.mark.long
def test_eight_histories_are_followed_by_polling(tmp_path: Path) -> None:
    """Each ends in what all readers make of it, those outside of Python that are there included."""
    outside = [reader for reader in OUTSIDE if not reader.missing()]
    for seed in range(8 * TIMES):
        served = Served(_planned(tmp_path / str(seed)))
        file = tmp_path / f"{seed}.ics"
        file.write_bytes(_history(served, Random(seed), 5))
        for reader in outside:
            assert reader.read(file) == meant(_ledger(served)), (seed, reader.name)
        served.end()


def test_the_feed_names_its_interval_and_no_method(served: Served) -> None:
    """RFC 7986, 5.7; with a METHOD it would be an invitation (RFC 5546)."""
    feed = served.get("plan.ics").text
    assert "REFRESH-INTERVAL;VALUE=DURATION:PT1H" in feed
    assert "X-PUBLISHED-TTL:PT1H" in feed
    assert "\nMETHOD" not in feed


def _events(served: Served, secret: str) -> dict[str, Any]:
    """The events of a feed, less the address of the page: what opens only that feed opens no page."""
    file = icalendar.Calendar.from_ical(served.get("plan.ics", secret).body)
    pages = {event.pop("url", None) for event in file.walk("VEVENT")}
    assert pages == {f"{served.origin}/{secret}/" if secret == served.keys.look else None}
    return {str(event["uid"]): event for event in file.walk("VEVENT")}


def test_each_event_leads_to_the_page_that_its_feed_may_see(served: Served) -> None:
    page = {str(event["url"]) for event in icalendar.Calendar.from_ical(served.get("plan.ics").body).walk("VEVENT")}
    assert page == {f"{served.origin}/{served.keys.look}/"}


def test_whoever_helps_sees_the_sessions_for_two_alone(served: Served) -> None:
    """The shelf takes two, and Saturdays have two; each event as it stands in the whole calendar."""
    served.settled()
    plan = served.get("plan.json").says
    two = {session["start"] for session in plan["sessions"] if session["people"] > 1}
    whole, mine = _events(served, served.keys.look), _events(served, served.keys.helper)
    assert two
    assert {event.decoded("dtstart").astimezone().isoformat() for event in mine.values()} == {
        _local(start) for start in two
    }
    assert all(event.to_ical() == whole[uid].to_ical() for uid, event in mine.items())


def _local(text: str) -> str:
    from datetime import datetime

    return datetime.fromisoformat(text).astimezone().isoformat()


def test_the_household_sees_what_is_out_of_use_and_what_comes(served: Served) -> None:
    """Films that must not be touched, rooms that can't be used, and deliveries; no session of work."""
    whole, mine = _events(served, served.keys.look), _events(served, served.keys.house)
    kinds = {entry.event.uid: entry.event.kind for entry in _ledger(served).entries}
    assert {kinds[uid] for uid in mine} >= {"film", "room"}
    assert not {kinds[uid] for uid in mine} & {"session", "step", "order"}
    assert all(event.to_ical() == whole[uid].to_ical() for uid, event in mine.items())
