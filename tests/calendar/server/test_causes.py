"""What a server does wrong is named as what it is, with what to do; and it keeps nothing waiting or growing."""

from __future__ import annotations

import hashlib
import re
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from scheduler.calendar.server import http
from scheduler.calendar.server.access import Access
from scheduler.calendar.server.client import Server
from scheduler.calendar.server.publish import Published, publish, why_not_all
from scheduler.calendar.write import calendar
from scheduler.errors import InputError, PublishError, TackfreeError
from tests.calendar.server.misbehaving import Odd, Reply, kind, misbehaving, packed
from tests.calendar.server.radicale import Collection, Radicale
from tests.calendar.server.test_server import HANG, MOVED
from tests.calendar.server.test_server import publish as publish_to
from tests.cli.running import run
from tests.support.plans import hobby_room

FILE, _ = calendar(hobby_room(), remind=60)
DOORS = "hobby-room-session-20270123-1%40tackfree.ics"
CALENDAR = "<collection/><C:calendar/>"


@pytest.fixture
def odd() -> Iterator[Odd]:
    with misbehaving() as server:
        yield server


def published(odd: Odd, **more: str) -> Published:
    with closing(Server(Access(url=odd.url, user="sam", password="s3cret", **more))) as server:
        return publish(server, FILE, "hobby-room", (), {})


def said_by(odd: Odd) -> str:
    with pytest.raises(TackfreeError) as caught:
        published(odd)
    said = str(caught.value)
    assert "s3cret" not in said
    assert len(said.splitlines()) == 1
    return said


def test_a_server_that_behaves_takes_all_of_it(odd: Odd) -> None:
    done = published(odd)
    assert done.created == len(odd.events) > 10
    assert why_not_all(odd.url, done, {}) is None
    assert published(odd).unchanged == done.created


def only(method: str, reply: Reply, path: str = "") -> Callable[[str, str, bytes], Reply | None]:
    return lambda asked, where, body: reply if asked == method and path in where else None


BASIC = {"WWW-Authenticate": 'Basic realm="cal"'}
UNKNOWN = {"WWW-Authenticate": 'Digest realm="cal", nonce="n0nce", algorithm=SHA-512-256'}
READ_ONLY = "<current-user-privilege-set><privilege><read/></privilege></current-user-privilege-set>"
TASKS = '<C:supported-calendar-component-set><C:comp name="VTODO"/></C:supported-calendar-component-set>'


@pytest.mark.parametrize(
    ("answer", "kind_of_error", "said"),
    [
        (only("REPORT", (403, {}, b"")), InputError, "does not show this calendar to that user (its answer was 403)"),
        (only("PROPFIND", (207, {}, kind(CALENDAR, more=READ_ONLY).encode())), InputError, "can only be read by"),
        (only("PROPFIND", (207, {}, kind(CALENDAR, more=TASKS).encode())), InputError, "it is a list of tasks"),
        (only("REPORT", (503, {"Retry-After": "7200"}, b"")), PublishError, "asks to come again in 2 h; run the"),
        (only("REPORT", (429, {"Retry-After": "60"}, b"")), PublishError, "is asked too often (its answer was 429)"),
        (only("REPORT", (503, {}, b"")), PublishError, "is busy or being looked after (its answer was 503); run"),
        (only("REPORT", packed(21 << 20)), PublishError, "the answer has more than 20 MB"),
        (only("REPORT", (207, {}, b" " * (21 << 20))), PublishError, "the answer has more than 20 MB"),
        (only("REPORT", (207, {"Content-Encoding": "br"}, b"x")), PublishError, "packed in a way that nobody asked"),
        (only("REPORT", (302, {"Location": "http://localhost:9/x/"}, b"")), InputError, "on to another host"),
        (only("REPORT", (301, {"Location": "/sam/job/"}, b"")), PublishError, "sends us round in a circle"),
        (only("REPORT", (207, {}, b'<!DOCTYPE x [<!ENTITY a "b">]><a/>')), InputError, "there is no calendar"),
        (only("PROPFIND", (401, BASIC, b" " * (21 << 20))), PublishError, "the answer has more than 20 MB"),
        (only("PROPFIND", (401, BASIC, b"")), InputError, "the server does not let us in; set TACKFREE_CALDAV_USER"),
        (only("PROPFIND", (401, UNKNOWN, b"")), PublishError, "asks for a login of a kind that is not known here"),
        (only("PROPFIND", (401, {}, b"")), InputError, "the server does not let us in; set TACKFREE_CALDAV_USER"),
        (only("PUT", (500, {}, b"")), PublishError, "the server fails (its answer was 500)"),
    ],
)  # fmt: skip
def test_each_cause_is_named(
    answer: Callable[[str, str, bytes], Reply | None], kind_of_error: type[TackfreeError], said: str, odd: Odd
) -> None:
    odd.answer = answer
    found = said_by(odd)
    assert said in found
    with pytest.raises(kind_of_error):
        published(odd)


def test_where_the_library_is_missing_one_line_says_what_to_install(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Publishing is an extra: without it everything else plans as before."""
    monkeypatch.setattr("scheduler.cli.calendars.NEEDED", "no_such_package")
    for option in ("--publish", "--moved"):
        done = run("plan", str(job), option, "https://calendar.example/sam/", "--as-of", "2027-01-04")
        assert (done.code, done.err) == (
            2,
            f"{option}: what is on a server needs the package `no_such_package`; "
            "install it: pip install 'tackfree[caldav]'\n",
        )


def test_a_proxy_that_is_none_is_named(odd: Odd, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ALL_PROXY", "carrier-pigeon://loft/")
    assert "the proxy that this machine names for it can't be used; look at HTTP_PROXY" in said_by(odd)


def test_one_event_that_is_refused_keeps_the_others_from_nothing(odd: Odd) -> None:
    odd.answer = only("PUT", (415, {}, b""), DOORS)
    done = published(odd)
    error = why_not_all(odd.url, done, {"hobby-room-session-20270123-1@tackfree": "Hobby room: Hang the doors"})
    assert "the server did not take “Hobby room: Hang the doors” (its answer was 415)" in str(error)
    odd.answer = lambda method, path, body: None
    again = published(odd)
    assert (again.created, again.unchanged) == (1, done.created)


def test_a_calendar_that_takes_nothing_is_not_tried_to_the_end(odd: Odd) -> None:
    odd.answer = only("PUT", (403, {}, b""))
    done = published(odd)
    error = str(why_not_all(odd.url, done, {}))
    assert f"and {len(done.refused) - 1} more (its answer was 403; perhaps that user may only read it)" in error
    assert sum(method == "PUT" for method, _ in odd.asked) == 5


def test_a_server_that_is_free_in_a_moment_is_waited_for(odd: Odd) -> None:
    refused: list[str] = []

    def answer(method: str, path: str, body: bytes) -> Reply | None:
        if method == "REPORT" and not refused:
            refused.append(path)
            return 503, {"Retry-After": "1"}, b""
        return None

    odd.answer = answer
    assert published(odd).created == len(odd.events)


def test_it_follows_to_another_place_of_the_same_host(odd: Odd) -> None:
    odd.answer = lambda method, path, body: (
        (308, {"Location": path.replace("/sam/", "/dav/sam/")}, b"") if path.startswith("/sam/") else None
    )
    assert published(odd).created == len(odd.events)
    assert all(path.startswith("/dav/sam/") for path in odd.events)


@pytest.mark.parametrize("times", [5, 6])
def test_it_follows_five_times_and_no_more(times: int, odd: Odd) -> None:
    """Who is sent on to another place more often than that is led round."""
    odd.answer = lambda method, path, body: (
        (308, {"Location": f"/on{path}"}, b"") if path.split("/").count("on") < times else None
    )
    if times > 5:
        assert "sends us round in a circle" in said_by(odd)
    else:
        assert published(odd).created == len(odd.events) > 0


@pytest.mark.parametrize("head", [True, False], ids=["head", "body"])
def test_a_server_that_drips_is_left_after_a_minute(head: bool, odd: Odd, monkeypatch: pytest.MonkeyPatch) -> None:
    """A byte now and then keeps no read waiting, and there is no end of it. The minute is 1.5 s here."""
    monkeypatch.setattr(http, "SECONDS", 1.5)
    odd.drip, odd.drips_head = 0.2, head
    begun = time.monotonic()
    assert "the server did not answer within 1.5 s" in said_by(odd)
    assert time.monotonic() - begun < 10


def test_a_certificate_that_nobody_signed_is_named_and_can_be_trusted(tmp_path: Path) -> None:
    if shutil.which("openssl") is None:
        pytest.skip("no openssl here to make a certificate with")
    key, certificate = tmp_path / "key.pem", tmp_path / "cert.pem"
    subprocess.run(
        [
            *("openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"),
            *("-keyout", str(key), "-out", str(certificate), "-days", "2", "-subj", "/CN=127.0.0.1"),
            *("-addext", "subjectAltName=IP:127.0.0.1"),
        ],
        check=True,
        capture_output=True,
    )
    both = tmp_path / "both.pem"
    both.write_bytes(key.read_bytes() + certificate.read_bytes())
    with misbehaving(both) as odd:
        said = said_by(odd)
        assert "its certificate is signed by nobody but the server itself" in said
        assert said.endswith("name the file of its authority: --ca FILE")
        assert odd.asked == [], "nothing is said to whom nobody trusts"
        assert published(odd, ca=str(certificate)).created == len(odd.events)


def test_who_we_are_is_said_as_the_server_asks_for_it(odd: Odd) -> None:
    """By a digest (RFC 7616, section 3.4.1) the password itself never goes over the line: the server reckons the sum
    of what both know, and lets in whoever has sent it."""
    asks = {"WWW-Authenticate": 'Digest realm="cal", nonce="n0nce", qop="auth", algorithm=SHA-256'}

    def of(text: str) -> str:
        return hashlib.sha256(text.encode()).hexdigest()

    def answer(method: str, path: str, body: bytes) -> Reply | None:
        said = odd.logins[-1]
        fields = dict(re.findall(r'(\w+)="?([^",]+)"?', said))
        if not fields:
            return 401, asks, b""
        once = f"n0nce:{fields['nc']}:{fields['cnonce']}:auth"
        wanted = of(f"{of('sam:cal:s3cret')}:{once}:{of(f'{method}:{path}')}")
        return None if fields["response"] == wanted else (401, asks, b"")

    odd.answer = answer
    assert published(odd).created == len(odd.events)
    assert not any("s3cret" in said or "Basic" in said for said in odd.logins)


def test_a_home_of_calendars_is_told_from_a_calendar(job: Path, server: Radicale, collection: Collection) -> None:
    """Nothing is written there: no calendar program would show it. The calendars in it are named."""
    before = server.ask("GET", "/sam/")[1]
    done = publish_to(job, Collection(server, "/sam/"))
    assert done.code == 2
    assert "this is no calendar but the place of some: " in done.err
    assert collection.url in done.err
    assert server.ask("GET", "/sam/")[1] == before


def test_of_a_home_only_the_calendars_are_named(odd: Odd) -> None:
    """It lists itself, a calendar and an address book; what holds no events is no address to give."""
    lies = {"/sam/": "<collection/>", "/sam/job/": CALENDAR, "/sam/people/": "<collection/><A:addressbook/>"}
    parts = "".join(
        f"<response><href>{path}</href><propstat><prop><resourcetype>{types}</resourcetype></prop></propstat></response>"
        for path, types in lies.items()
    )
    head = (
        '<multistatus xmlns="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav" xmlns:A="urn:ietf:params:xml:ns:carddav">'
    )
    odd.answer = only("PROPFIND", (207, {}, f"{head}{parts}</multistatus>".encode()))
    said = said_by(odd).partition("the place of some: ")[2]
    assert "/sam/job/" in said
    assert "/sam/people/" not in said
    assert "/sam/," not in said


def test_moves_are_read_from_the_server(job: Path, collection: Collection) -> None:
    publish_to(job, collection)
    collection.change(HANG, **MOVED)
    done = run("plan", str(job), "--moved", collection.url, "--as-of", "2027-01-04")
    assert done.code == 0, done.err
    assert "Moved by hand: Shelf: Hang the shelf" in done.out
    assert "left alone" not in done.err, "the server, which is remembered, has it where the plan has it now"
    assert collection.times()[HANG] == (MOVED["dtstart"], MOVED["dtend"])
