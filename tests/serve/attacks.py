"""What a server of a house has to withstand, one function an attack; and what a server that does not would look like.

An attack raises AssertionError where the server gives way. Beside it stands a break: the one defence whose loss it is
to notice. Threats and measures: OWASP ASVS 5.0 (chapters 3, 4, 5, 7, 14, 16), RFC 9110, 9112, 6585, 6454, Fetch
Metadata Request Headers (W3C), Content Security Policy Level 3; numbers from memory.
"""

from __future__ import annotations

import gzip
import json
import socket
import time
import uuid
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from typing import Any, NamedTuple

import pytest

from scheduler.serve import app, gate, recording, taps, wire
from scheduler.serve.answers import Body
from tests.serve.serving import Reply, Served

EVIL = "evil.example"


class Attack(NamedTuple):
    """An attack, and the defence that is taken away to see it succeed."""

    run: Callable[[Served], None]
    broken: Callable[[pytest.MonkeyPatch, Served], None]


ATTACKS: dict[str, Attack] = {}


def against(broken: Callable[[pytest.MonkeyPatch, Served], None]) -> Callable[[Callable[[Served], None]], None]:
    def note(run: Callable[[Served], None]) -> None:
        ATTACKS[run.__name__] = Attack(run, broken)

    return note


def refused(reply: Reply, *statuses: int) -> None:
    assert reply.status in (statuses or range(400, 500)), f"answered {reply.status}: {reply.text[:80]}"
    assert reply.status != 429, "told to go slowly: that hides what comes after it"


def swap(place: object, name: str, value: object) -> Callable[[pytest.MonkeyPatch, Served], None]:
    return lambda patch, served: patch.setattr(place, name, value)


def anything(*_: object, **__: object) -> None:
    return None


# ---- who gets in


@against(swap(app, "same", lambda one, other: True))
def a_wrong_secret_opens_nothing(at: Served) -> None:
    near = at.keys.write[:-1] + ("A" if at.keys.write[-1] != "A" else "B")
    for secret in ("", "x", near, at.keys.write[:-1], at.keys.write + "x", at.keys.write.swapcase()):
        for name in ("", "plan.json", "plan.ics", "events"):
            refused(at.get(name, secret), 404)


@against(swap(gate.RefusedError, "answer", lambda self: gate.said(self.status, f"{self.words} {time.monotonic()}")))
def near_and_far_are_answered_alike(at: Served) -> None:
    far, near = at.get("", "x" * 22), at.get("", at.keys.write[:-1] + "_")
    assert (far.status, far.body, far.headers.keys()) == (near.status, near.body, near.headers.keys())
    assert at.get("nothing").body == far.body


@against(swap(gate.Door, "origin", lambda self, hosts: f"http://127.0.0.1:{self.port}"))
def a_foreign_name_is_not_ours(at: Served) -> None:
    """DNS rebinding (RFC 9110, 7.4)."""
    names = (
        EVIL,
        f"{EVIL}:{at.port}",
        f"127.0.0.1.{EVIL}:{at.port}",
        f"{EVIL}@{at.host}",
        "",
        f"127.0.0.1:{at.port + 1}",
    )
    for name in names:
        for path in ("", "plan.json", "plan.ics", "events"):
            reply = at.get(path, Host=name)
            assert reply.status in (0, 400, 421), f"{name}: {reply.status}"
            assert EVIL not in reply.text


@against(swap(gate.Door, "_is_near", lambda self, name: name[0].isdigit()))
def an_address_of_the_open_network_is_not_ours(at: Served) -> None:
    for name in ("8.8.8.8", "0.0.0.0", "224.0.0.1", "255.255.255.255", "1.2.3.4.5"):
        assert at.get(Host=f"{name}:{at.port}").status == 421, name
    assert at.get(Host=f"192.168.1.20:{at.port}").status == 200
    assert at.get(Host=f"laptop.local:{at.port}").status == 200


def _one_host(patch: pytest.MonkeyPatch, at: Served) -> None:
    origin = gate.Door.origin
    patch.setattr(gate.Door, "origin", lambda self, hosts: origin(self, [at.host]))


@against(_one_host)
def no_host_is_refused(at: Served) -> None:
    """RFC 9112, 3.2. (Two hosts, or none with HTTP/1.1, are refused by the reader of requests itself.)"""
    line = f"GET /{at.keys.write}/ HTTP/1."
    assert at.raw(f"{line}0\r\n\r\n".encode()).status in (0, 400, 421)
    assert at.raw(f"{line}1\r\n\r\n".encode()).status in (0, 400, 421)
    assert at.raw(f"{line}1\r\nHost: {at.host}\r\nHost: {EVIL}\r\n\r\n".encode()).status in (0, 400, 421)


@against(lambda patch, at: patch.setattr(app.App, "_place", _by_ending(app.App._place)))
def an_absolute_address_of_another_host_is_not_ours(at: Served) -> None:
    refused(at.ask("GET", f"http://{EVIL}/{at.keys.write}/"), 404, 421)
    assert at.ask("GET", f"{at.origin}/{at.keys.write}/").status == 200  # RFC 9112, 3.2.2


def _by_ending(found: Callable[..., Any]) -> Callable[..., Any]:
    return lambda self, raw, origin: found(self, b"/" + b"/".join(raw.split(b"/")[-2:]), origin)


@against(swap(app, "from_here", anything))
def a_page_of_another_site_sends_no_tap(at: Served) -> None:
    """Origin (RFC 6454, 7; ASVS 3.5.1)."""
    others = (None, "null", "", f"http://{EVIL}", f"{at.origin}.{EVIL}", f"https://{at.host}", f"{at.origin}/")
    for origin in (*others, f"http://127.0.0.1:{at.port + 1}", "http://127.0.0.1"):
        refused(at.tap(_lamp(), Origin=origin), 403)


@against(swap(app, "from_here", anything))
def a_referer_is_no_origin(at: Served) -> None:
    refused(at.tap(_lamp(), Origin=None, Referer=f"{at.origin}/{at.keys.write}/"), 403)


@against(swap(app, "from_here", anything))
def a_page_of_another_site_does_not_listen(at: Served) -> None:
    for name in ("events", "plan.json", "plan.ics", ""):
        refused(at.get(name, Origin=f"http://{EVIL}"), 403)


@against(swap(app, "from_here", anything))
def what_the_browser_calls_foreign_is_refused(at: Served) -> None:
    """Fetch Metadata; sent to 127.0.0.1 only, so never asked for."""
    for site in ("cross-site", "same-site"):
        refused(at.tap(_lamp(), Sec_Fetch_Site=site), 403)
        for mode, dest in (("no-cors", "script"), ("cors", "empty"), ("no-cors", "image"), ("navigate", "iframe")):
            refused(at.get("plan.json", Sec_Fetch_Site=site, Sec_Fetch_Mode=mode, Sec_Fetch_Dest=dest), 403)
    opened = {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Mode": "navigate", "Sec_Fetch_Dest": "document"}
    assert at.get(**opened).status == 200  # a link in a message


def _cors(patch: pytest.MonkeyPatch, at: Served) -> None:
    patch.setattr(gate, "PROTECTING", {**gate.PROTECTING, "access-control-allow-origin": "*"})


@against(_cors)
def nobody_is_let_in_by_cors(at: Served) -> None:
    """Fetch, 3.3."""
    for name in ("diary", "plan.json", "events", ""):
        reply = at.ask(
            "OPTIONS", f"/{at.keys.write}/{name}", Origin=f"http://{EVIL}", Access_Control_Request_Method="POST"
        )
        assert reply.status in (403, 405)
        assert not [header for header in reply.headers if header.startswith("access-control-allow")]


def _any_token(patch: pytest.MonkeyPatch, at: Served) -> None:
    same = gate.same
    patch.setattr(app, "same", lambda one, other: other == at.keys.token or same(one, other))


@against(_any_token)
def a_tap_needs_the_token_of_the_page(at: Served) -> None:
    """In a header that no simple request can carry (ASVS 3.5.1)."""
    for token in (None, "", "x" * 22, at.keys.token[:-1], at.keys.write, at.keys.look):
        refused(at.tap(_lamp(), X_Tackfree_Token=token), 403)


@against(swap(app, "JSON", "text/plain"))
def what_a_form_can_send_is_not_read(at: Served) -> None:
    """ASVS 3.5.2; RFC 9110, 15.5.16."""
    for kind in (None, "text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"):
        refused(at.tap(_lamp(), Content_Type=kind), 415)


@against(lambda patch, at: patch.setattr(app.App, "_record", _unpacked(app.App._record)))
def a_packed_tap_is_not_read(at: Served) -> None:
    refused(at.tap(gzip.compress(json.dumps(_lamp()).encode()), Content_Encoding="gzip"), 415)


def _unpacked(found: Callable[..., Any]) -> Callable[..., Any]:
    async def record(self: app.App, board: Any, request: Any) -> Any:
        if "content-encoding" in request.headers:
            tap = taps.read_tap(gzip.decompress(await request.body()), 0)
            return app._json(200, (await board.record(tap, 0)).says)
        return await found(self, board, request)

    return record


@against(swap(app, "READING", ("GET", "HEAD", "PUT", "DELETE", "POST")))
def nothing_else_can_be_done_to_an_address(at: Served) -> None:
    """ASVS 4.1.4; RFC 9110, 15.5.6."""
    for method, name in (("PUT", ""), ("DELETE", "plan.json"), ("PUT", "plan.ics"), ("GET", "diary"), ("BREW", "")):
        reply = at.ask(method, f"/{at.keys.write}/{name}", b"", Origin=at.origin)
        refused(reply, 405)
        assert reply.headers["allow"]
    assert "echo-me" not in at.ask("TRACE", f"/{at.keys.write}/", X_Mark="echo-me").text


@against(lambda patch, at: patch.setattr(wire.H11Protocol, "_get_upgrade", lambda self: 1 / 0))
def no_websocket_opens(at: Served) -> None:
    """There is no library for it here, so the break is one that falls over at the question."""
    asked = {"Upgrade": "websocket", "Sec_WebSocket_Version": "13", "Sec_WebSocket_Key": "A" * 22 + "=="}
    for name in ("events", "plan.json", "ws"):
        reply = at.get(name, **{**asked, "Connection": "Upgrade, close", "Origin": f"http://{EVIL}"})
        assert reply.status in (403, 404), reply.status


# ---- who only looks


def _looks_and_writes(patch: pytest.MonkeyPatch, at: Served) -> None:
    found = app.App._place

    def place(self: app.App, raw: bytes, origin: str) -> Any:
        return found(self, raw, origin)._replace(by="write")

    patch.setattr(app.App, "_place", place)


@against(_looks_and_writes)
def who_may_look_may_not_write(at: Served) -> None:
    """ASVS 8.2. Not even with the right token."""
    assert at.get("", at.keys.look).status == 200
    refused(at.tap(_lamp(), at.keys.look), 403)
    refused(at.tap({"id": str(uuid.uuid4()), "what": "undo", "line": 1}, at.keys.look), 403)


def _one_page(patch: pytest.MonkeyPatch, at: Served) -> None:
    patch.setitem(at.board.bodies, "look", at.board.bodies["write"])


@against(_one_page)
def who_may_look_learns_no_token(at: Served) -> None:
    for name in ("", "plan.json", "plan.ics"):
        reply = at.get(name, at.keys.look)
        assert at.keys.token not in f"{reply.text}{reply.headers}"
    assert 'data-token=""' in at.get("", at.keys.look).text


def _with_secret(patch: pytest.MonkeyPatch, at: Served) -> None:
    page = at.board.bodies["write"]
    patch.setitem(at.board.bodies, "write", Body.of(page.content + at.keys.write.encode(), page.kind, page.cache))


@against(_with_secret)
def no_answer_holds_the_secret_that_may_write(at: Served) -> None:
    """A page is printed, saved, photographed (ASVS 14.2.1)."""
    for secret in (at.keys.write, at.keys.look):
        for name in ("", "plan.json", "plan.ics"):
            reply = at.get(name, secret)
            assert at.keys.write not in f"{reply.text}{reply.headers}"


def _all_of_it(patch: pytest.MonkeyPatch, at: Served) -> None:
    patch.setattr(type(at.keys), "house", property(lambda self: self.look))
    patch.setattr(at, "house", at.keys.look, raising=False)


@against(_all_of_it)
def the_secret_of_a_feed_opens_that_feed_alone(at: Served) -> None:
    for secret in (at.keys.house, at.keys.helper):
        assert at.get("plan.ics", secret).status == 200
        for name in ("", "plan.json", "events", "diary"):
            refused(at.get(name, secret), 404)
        refused(at.tap(_lamp(), secret), 404)


# ---- the disk


def _files(patch: pytest.MonkeyPatch, at: Served) -> None:
    found = app.App._place

    def place(self: app.App, raw: bytes, origin: str) -> Any:
        path = at.job.parent / raw.decode().rpartition("/")[2]
        if path.is_file():
            name = path.name
            at.board.bodies[name] = Body.of(path.read_bytes(), "text/plain", "no-store")
            return app.ServedPlace(at.board, name, "", ("GET",))
        return found(self, raw, origin)

    patch.setattr(app.App, "_place", place)


@against(_files)
def nothing_else_of_the_disk_is_there(at: Served) -> None:
    """ASVS 5.3.2."""
    deep = "../" * 6
    ways = (
        f"{deep}etc/passwd", "..%2f" * 6 + "etc%2fpasswd", "%2e%2e/" * 6 + "etc/passwd", "..%5c" * 6 + "win.ini",
        "....//" * 6 + "etc/passwd", "..;/" * 6 + "etc/passwd", "/etc/passwd", "%2fetc%2fpasswd", "plan.json%00",
        "plan.json/", "./plan.json", "plan.json/../plan.ics", "PLAN.JSON", "plan", "favicon.ico", "static/x", "docs",
        "job.yaml", "job.diary.jsonl", "job.plan.json", ".job.serve.json", ".job.lock", ".git/HEAD", "openapi.json",
    )  # fmt: skip
    for way in ways:
        for start in (f"/{at.keys.write}/", f"/{at.keys.look}/", "/"):
            reply = at.ask("GET", start + way)
            refused(reply, 404)
            assert "location" not in reply.headers
        at.forget()


@against(lambda patch, at: patch.setattr(app.App, "_place", _by_question(app.App._place, at)))
def a_question_in_the_address_changes_nothing(at: Served) -> None:
    assert at.get("plan.json?job=/etc/passwd").body == at.get("plan.json").body
    assert at.get("?file=job.yaml").body == at.get().body


def _by_question(found: Callable[..., Any], at: Served) -> Callable[..., Any]:
    async def answer(self: app.App, place: Any, request: Any, caller: str) -> Any:
        return app.Response(f"{request.query_params}")

    app_answer = app.App._answer
    at.app.__dict__["_answer"] = lambda place, request, caller: answer(at.app, place, request, caller)
    del app_answer
    return found


# ---- what is sent


def _lamp() -> dict[str, object]:
    return {"id": str(uuid.uuid4()), "what": "did", "step": "lamp"}


def _lenient(data: bytes, now: int) -> taps.Tap:
    try:
        return _read_tap(data, now)
    except Exception:
        return taps.Tap(name=str(uuid.uuid4()), what="did", subject="lamp")


_read_tap = taps.read_tap


@against(swap(app, "read_tap", _lenient))
def what_is_no_tap_is_refused_in_words(at: Served) -> None:
    """ASVS 2.2.1, 16.5.1."""
    good = _lamp()
    text = json.dumps(good).encode()
    bodies: list[object] = [
        b"",
        b"{",
        b"[]",
        b"null",
        b"1",
        b"NaN",
        b"\xff\xfe{}",
        b"{}",
        b"[" * 15000,
        b'{"a":' * 2500 + b"1" + b"}" * 2500,
        text[:-1] + b', "what": "undo"}',
        text + b"{}",
        text[:-1] + b', "left": NaN}',
        text[:-1] + b', "left": 1e999}',
        {**good, "id": "ID"},
        {**good, "id": ""},
        {**good, "id": None},
        {**good, "id": f"{good['id']}\n"},
        {**good, "id": 7},
        {**good, "what": "drop"},
        {**good, "what": ["did"]},
        {k: v for k, v in good.items() if k != "what"},
        {k: v for k, v in good.items() if k != "step"},
        {**good, "surprise": 1},
        {**good, "left": 0},
        {**good, "left": True},
        {**good, "left": 1.5},
        {**good, "step": ""},
        {**good, "step": 7},
        {**good, "step": ["x"]},
        {**good, "step": "x" * 9000},
        {**good, "step": "\x00"},
        {**good, "step": "a\nb"},
        {**good, "expected": "2027-01-20"},
        {"id": good["id"], "what": "undo"},
        {"id": good["id"], "what": "undo", "of": good["id"], "line": 1},
        {"id": good["id"], "what": "late", "item": "boards", "expected": "soon"},
        {"id": good["id"], "what": "lost"},
    ]
    before = len(at.lines)
    for number, body in enumerate(bodies):
        if number % 20 == 0:
            at.forget()
        reply = at.tap(body)
        refused(reply, 422)
        assert reply.says["said"]
        assert "Traceback" not in reply.text
        assert ".py" not in reply.text
    assert len(at.lines) == before


@against(swap(taps._Sent, "time", lambda sent, name: 29_000_000))
def a_time_that_is_none_is_refused(at: Served) -> None:
    for time_said in (
        "yesterday",
        "2027-01-09",
        "2027-01-09T10:00",
        "9999-99-99T00:00:00Z",
        "0001-01-01T00:00:00Z",
        1e308,
        7,
    ):
        refused(at.tap({**_lamp(), "at": time_said}), 422)
        refused(at.tap({**_lamp(), "sent": time_said}), 422)


@against(swap(taps, "_taken_back", lambda site, tap: site.entries[-1]))
def only_what_is_recorded_can_be_taken_back(at: Served) -> None:
    for what in ({"of": str(uuid.uuid4())}, {"line": 4711}):
        refused(at.record(what="undo", **what), 409)


@against(
    swap(
        taps,
        "_events",
        lambda tap, site, now: [
            taps.Lost(span=taps.requests.sessions_on(site, taps.local_date(now, taps.ZoneInfo("UTC")))[0][0].span)
        ],
    )
)
def a_step_that_is_none_is_not_recorded(at: Served) -> None:
    before = len(at.lines)
    for step in ("no-such-step", "../job", "<img src=x>", "Lamp", "lam"):
        refused(at.record(what="did", step=step), 409)
    refused(at.record(what="arrived", item="board"), 409)
    assert len(at.lines) == before


def _unlimited(patch: pytest.MonkeyPatch, at: Served) -> None:
    patch.setattr(app, "MOST_BYTES", 64 << 20)


@against(_unlimited)
def a_body_without_end_is_not_swallowed(at: Served) -> None:
    """413 (RFC 9110, 15.5.14), with its length and in pieces."""
    chunk = b"x" * 65536
    page: dict[str, str | None] = {
        "Origin": at.origin,
        "Content-Type": "application/json",
        "X-Tackfree-Token": at.keys.token,
    }
    target = f"/{at.keys.write}/diary"
    told = at.raw(at.head("POST", target, {**page, "Content-Length": str(1 << 20)}) + chunk * 16, "POST")
    assert told.status in (413, 0)
    piece = f"{len(chunk):x}\r\n".encode() + chunk + b"\r\n"
    untold = at.raw(
        at.head("POST", target, {**page, "Transfer-Encoding": "chunked"}) + piece * 16 + b"0\r\n\r\n", "POST"
    )
    assert untold.status in (413, 0)


@against(_unlimited)
def seventeen_kilobytes_are_too_much(at: Served) -> None:
    refused(at.tap({**_lamp(), "step": "x" * (17 << 10)}), 413)


@against(swap(app, "BODY_SECONDS", 60.0))
def a_slow_body_is_not_waited_for(at: Served) -> None:
    """408 (RFC 9110, 15.5.9)."""
    page: dict[str, str | None] = {
        "Origin": at.origin,
        "Content-Type": "application/json",
        "X-Tackfree-Token": at.keys.token,
    }
    with at.connect(2.0) as sock:
        sock.sendall(at.head("POST", f"/{at.keys.write}/diary", {**page, "Content-Length": "50"}) + b"{")
        try:
            assert b" 408 " in sock.recv(200)
        except TimeoutError:
            raise AssertionError("still waited for") from None


@against(swap(wire, "HEAD_SECONDS", 60.0))
def a_slow_head_is_not_waited_for(at: Served) -> None:
    """A sign now and then keeps no connection open; nor does one that has been used before."""
    for begun in (b"GET / HTTP/1.1\r\n", at.head("GET", f"/{at.keys.write}/plan.json", {"Connection": "keep-alive"})):
        with at.connect(1.0) as sock:
            sock.sendall(begun)
            ends, until = False, time.monotonic() + 3
            while time.monotonic() < until and not ends:
                try:
                    ends = sock.recv(1 << 20) == b""
                except TimeoutError:
                    with suppress(OSError):
                        sock.sendall(b"X")
                except OSError:
                    ends = True
            assert ends, "still open"


# ---- how much at once


@against(swap(gate, "READS", 10**6))
def a_flood_is_told_to_go_slowly(at: Served) -> None:
    """RFC 6585, 4."""
    at.forget()
    with ThreadPoolExecutor(8) as pool:
        seen = Counter(pool.map(lambda _: at.get("plan.json").status, range(260)))
    assert seen[429], seen
    assert set(seen) <= {200, 429, 503}, seen
    at.forget()
    assert at.get().status == 200


@against(swap(gate, "CHANGES", 10**6))
def a_flood_of_taps_is_told_to_go_slowly(at: Served) -> None:
    at.forget()
    replies = [at.tap(b"{}") for _ in range(60)]
    slow = [reply for reply in replies if reply.status == 429]
    assert slow, Counter(reply.status for reply in replies)
    assert int(slow[0].headers["retry-after"]) > 0
    at.forget()


@against(swap(app, "STREAMS_OF_ONE", 10**6))
def there_is_an_end_to_those_who_listen(at: Served) -> None:
    at.forget()
    socks: list[socket.socket] = []
    try:
        found: Counter[bytes] = Counter()
        for _ in range(app.STREAMS_OF_ONE if app.STREAMS_OF_ONE < 100 else 16):
            socks.append(_listening(at))
        for _ in range(4):
            socks.append(_listening(at))
        for sock in socks:
            found[sock.recv(12)] += 1
        assert found[b"HTTP/1.1 503"] == 4, found
        assert at.get().status == 200
    finally:
        for sock in socks:
            sock.close()
        _until(lambda: not at.app._streams.total(), "streams are not let go")
        at.forget()


def _listening(at: Served) -> socket.socket:
    sock = at.connect()
    sock.sendall(at.head("GET", f"/{at.keys.write}/events", {}))
    time.sleep(0.02)
    return sock


def _until(true: Callable[[], bool], said: str, seconds: float = 5.0) -> None:
    until = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < until, said
        time.sleep(0.02)


@against(swap(wire, "CONNECTIONS_OF_ONE", 10**6))
def there_is_an_end_to_the_connections_of_one(at: Served) -> None:
    socks = [at.connect() for _ in range(110)]
    try:
        time.sleep(0.3)
        closed = 0
        for sock in socks:
            sock.setblocking(False)
            try:
                closed += sock.recv(1) == b""
            except BlockingIOError:
                pass
            except OSError:
                closed += 1
        assert closed >= 10, closed
    finally:
        for sock in socks:
            sock.close()
        _until(lambda: not wire.Patience._open.total(), "connections are not let go")


# ---- recorded once


@against(swap(recording, "entry_of", anything))
def what_is_sent_again_is_recorded_once(at: Served) -> None:
    """Idempotency by the tap's own name (draft-ietf-httpapi-idempotency-key-header)."""
    tap = {"id": str(uuid.uuid4()), "what": "late", "item": "boards", "expected": "2027-01-20"}
    with ThreadPoolExecutor(6) as pool:
        replies = list(pool.map(at.tap, [tap] * 6))
    named = [line for line in at.lines if line.get("tap") == tap["id"]]
    undone = at.record(what="undo", of=tap["id"])
    assert [reply.status for reply in replies] == [200] * 6, [reply.text for reply in replies]
    assert len(named) == 1
    assert undone.status == 200
    assert at.tap(tap).status == 200, "what was taken back is known all the same"
    assert len([line for line in at.lines if line.get("tap") == tap["id"]]) == 1


@against(swap(recording, "is_about", lambda *_: True))
def a_name_is_not_given_twice(at: Served) -> None:
    first = _lamp()
    assert at.tap(first).status == 200
    try:
        refused(at.tap({**first, "step": "sand"}), 422)
        refused(at.tap({"id": first["id"], "what": "late", "item": "boards", "expected": "2027-01-23"}), 422)
    finally:
        assert at.record(what="undo", of=first["id"]).status == 200


# ---- caches and headers


@against(swap(Body, "_is_known", lambda self, headers, tag: False))
def a_client_that_has_it_is_told_so(at: Served) -> None:
    """RFC 9110, 8.8 and 13.1."""
    for name in ("", "plan.json", "plan.ics"):
        first = at.get(name)
        tag, when = first.headers["etag"], first.headers["last-modified"]
        for value in (tag, f'"other", {tag}', f"W/{tag}", "*"):
            same = at.get(name, If_None_Match=value)
            assert (same.status, same.body, same.headers["etag"]) == (304, b"", tag)
        assert at.get(name, If_Modified_Since=when).status == 304
        for headers in (
            {"If_None_Match": '"other"'},
            {"If_None_Match": '"other"', "If_Modified_Since": when},
            {"If_Modified_Since": "yesterday"},
        ):
            assert at.get(name, **headers).status == 200
        head = at.ask("HEAD", f"/{at.keys.write}/{name}")
        assert (head.status, head.body, head.headers["etag"]) == (200, b"", tag)


@against(lambda patch, at: patch.setattr("scheduler.serve.answers._takes_gzip", lambda accepted: "gzip" in accepted))
def what_is_packed_is_what_was_asked_for(at: Served) -> None:
    """RFC 9110, 8.8.3.3 and 12.5.3."""
    for name in ("", "plan.json", "plan.ics"):
        plain, packed = at.get(name), at.get(name, Accept_Encoding="gzip, deflate")
        assert gzip.decompress(packed.body) == plain.body
        assert packed.headers["etag"] != plain.headers["etag"]
        assert packed.headers["vary"] == plain.headers["vary"] == "Accept-Encoding"
        assert at.get(name, Accept_Encoding="gzip", If_None_Match=packed.headers["etag"]).status == 304
        assert "content-encoding" not in at.get(name, Accept_Encoding="gzip;q=0").headers
        assert at.get(name, Accept_Encoding="*").headers["content-encoding"] == "gzip"


@against(swap(gate, "PROTECTING", {}))
def every_answer_protects_itself(at: Served) -> None:
    """ASVS 3.4.3 to 3.4.6: refusals as well."""
    replies = {
        "page": at.get(), "plan": at.get("plan.json"), "feed": at.get("plan.ics"), "unknown": at.get("nothing"),
        "foreign host": at.get(Host=EVIL), "foreign origin": at.tap(_lamp(), Origin="null"), "405": at.get("diary"),
        "no tap": at.tap(b"{"), "look": at.get("", at.keys.look), "415": at.tap(_lamp(), Content_Type="text/plain"),
    }  # fmt: skip
    for name, reply in replies.items():
        policy = {
            part.split()[0]: part.split()[1:]
            for part in reply.headers.get("content-security-policy", "none").split(";")
        }
        for rule in ("default-src", "base-uri", "form-action", "frame-ancestors"):
            assert policy.get(rule) == ["'none'"], (name, rule)
        sources = {source for each in policy.values() for source in each}
        assert not sources & {"*", "'unsafe-inline'", "'unsafe-eval'", "http:", "https:"}, name
        assert reply.headers.get("x-content-type-options") == "nosniff", name
        assert reply.headers.get("x-frame-options") == "DENY", name
        assert reply.headers.get("referrer-policy") == "no-referrer", name
        assert reply.headers.get("cross-origin-resource-policy") == "same-origin", name
        assert "no-store" in reply.headers.get("cache-control", "") or "private" in reply.headers.get(
            "cache-control", ""
        ), name
        assert reply.headers.get("content-type"), name
        assert not {"set-cookie", "server", "x-powered-by", "strict-transport-security"} & reply.headers.keys(), name


@against(lambda patch, at: patch.setitem(at.board.bodies, "write", _unescaped(at.board.bodies["write"])))
def a_title_of_the_job_is_no_markup(at: Served) -> None:
    """The job is called `<b>Two</b> walls`; ASVS 1.2.1."""
    page = at.get().text
    assert "<b>Two</b>" not in page
    assert "&lt;b&gt;Two&lt;/b&gt; walls" in page


def _unescaped(body: Body) -> Body:
    return Body.of(body.content.replace(b"&lt;b&gt;", b"<b>").replace(b"&lt;/b&gt;", b"</b>"), body.kind, body.cache)


@against(lambda patch, at: patch.setitem(at.board.bodies, "write", _elsewhere(at.board.bodies["write"])))
def the_page_asks_nobody_else(at: Served) -> None:
    import re

    page = at.get().text
    links = re.findall(r"""(?:src|href|action)\s*=\s*["']?\s*((?:https?:)?//[^"'\s>]+)""", page)
    assert links == []
    bare = re.sub(r"(?s)<script.*?</script>", "", page)
    assert not re.search(r"\son[a-z]+\s*=|javascript:|style=", bare)


def _elsewhere(body: Body) -> Body:
    return Body.of(body.content + b'<img src="http://evil.example/x">', body.kind, body.cache)


def _noisy(patch: pytest.MonkeyPatch, at: Served) -> None:
    async def through(self: gate.Guarded, scope: Any, receive: Any, send: Any) -> None:
        try:
            await self.app(scope, receive, send)
        except Exception as error:
            self.tell(f"{scope['path']}: {error!r}")
            await gate.said(500, repr(error))(scope, receive, send)

    patch.setattr(gate.Guarded, "__call__", through)


@against(_noisy)
def what_goes_wrong_inside_stays_inside(at: Served) -> None:
    """ASVS 16.2.5, 16.5.1: neither the answer nor the log holds a secret, or the insides."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(app, "_json", lambda *_: 1 / 0)
        reply = at.tap(b"{")
    assert reply.status == 500
    assert "division" not in reply.text
    log = "\n".join(at.said)
    for secret in (at.keys.write, at.keys.look, at.keys.token, "division", "Traceback"):
        assert secret not in log
    assert log
