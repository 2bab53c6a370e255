"""Servers that are none, that fail, or that send us elsewhere: one line each, and no password in other hands."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import pytest

from tests.cli.running import run

Asked = list[tuple[str, str, bool]]
"""Method, path, whether credentials came along."""


@contextmanager
def answering(status: int, body: str, kind: str = "text/html") -> Iterator[tuple[str, Asked]]:
    """A server that answers everything alike; its address, and what it was asked."""
    asked: Asked = []

    class Handler(BaseHTTPRequestHandler):
        def answer(self) -> None:
            self.rfile.read(int(self.headers.get("Content-Length") or 0))
            known = "Authorization" in self.headers
            asked.append((self.command, self.path, known))
            self.send_response(status if known else 401)
            if not known:
                self.send_header("WWW-Authenticate", 'Basic realm="x"')
            content = body.encode() if known else b""
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_: object) -> None:
            return

    for method in ("REPORT", "PUT", "DELETE", "GET", "PROPFIND"):
        setattr(Handler, f"do_{method}", Handler.answer)
    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/sam/job/", asked
    finally:
        server.shutdown()
        server.server_close()


@pytest.mark.parametrize(
    ("status", "body", "code", "said"),
    [
        (200, "<html>Please sign in</html>", 2, "what answers there is no calendar"),
        (207, "<html>Please sign in", 2, "what answers there is no calendar"),
        (207, "not XML <<<", 2, "what answers there is no calendar"),
        (405, "", 2, "what answers there is no calendar"),
        (410, "", 2, "there is no calendar at that address"),
        (500, "boom", 1, "does not list its events (its answer was 500)"),
    ],
)
def test_one_line_and_no_word_of_the_answer(status: int, body: str, code: int, said: str, job: Path) -> None:
    with answering(status, body) as (url, _):
        done = run("plan", str(job), "--publish", url, "--as-of", "2027-01-04")
    lines = [line for line in done.err.splitlines() if url in line]
    assert (done.code, len(lines)) == (code, 1), done.err
    assert said in lines[0]
    assert not any(word in done.err for word in ("sign in", "boom", "<<<", "Traceback", "not a word"))


def test_where_a_server_says_its_events_are_only_the_path_counts(job: Path) -> None:
    """It names an event of ours on another host; what is sent there would carry the password."""
    with answering(204, "") as (elsewhere, asked_elsewhere):
        day = (date(2027, 3, 1) - date(1970, 1, 1)).days * 24 * 60
        event = (
            "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:shelf-session-20270301-1@tackfree\nDTSTART:20270301T000000Z\n"
            f"DTEND:20270301T010000Z\nX-TACKFREE-SENT:shelf/{day}/{day + 60}/x\nEND:VEVENT\nEND:VCALENDAR"
        )
        listing = (
            '<multistatus xmlns="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav"><response>'
            f"<href>{elsewhere}stolen.ics</href><propstat><prop><C:calendar-data>{event}</C:calendar-data></prop>"
            "<status>HTTP/1.1 200 OK</status></propstat></response></multistatus>"
        )
        with answering(207, listing, "application/xml") as (url, asked):
            done = run("plan", str(job), "--publish", url, "--as-of", "2027-01-04")
    assert done.code == 0, done.err
    assert ("DELETE", "/sam/job/stolen.ics", True) in asked
    assert asked_elsewhere == []
