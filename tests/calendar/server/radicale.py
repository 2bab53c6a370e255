"""A CalDAV server of one's own on loopback (Radicale), and a plain client that owes nothing to the package."""

from __future__ import annotations

import base64
import socket
import subprocess
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.error import HTTPError, URLError
from urllib.request import ProxyHandler, Request, build_opener

import icalendar

USER, PASSWORD = "sam", "not a word of this"
NO_PROXY = build_opener(ProxyHandler({}))


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@dataclass
class Radicale:
    """The server over a folder. It can be killed and started again on the same port."""

    folder: Path
    port: int = field(default_factory=free_port)
    process: subprocess.Popen[bytes] | None = None

    def start(self) -> Radicale:
        users = self.folder / "users"
        users.write_text(f"{USER}:{PASSWORD}\n")
        options = {
            "server-hosts": f"127.0.0.1:{self.port}",
            "storage-filesystem-folder": str(self.folder / "store"),
            "auth-type": "htpasswd",
            "auth-htpasswd-filename": str(users),
            "auth-htpasswd-encryption": "plain",
            "auth-delay": "0",
        }
        flags = [part for name, value in options.items() for part in (f"--{name}", value)]
        log = (self.folder / "log").open("ab")
        self.process = subprocess.Popen([sys.executable, "-m", "radicale", *flags], stdout=log, stderr=log)
        for _ in range(200):
            assert self.process.poll() is None, (self.folder / "log").read_text()
            try:
                self.ask("GET", "/.web/")
                return self
            except URLError:
                time.sleep(0.05)
        raise AssertionError("the server does not come up")

    def kill(self) -> None:
        """As a power cut would."""
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            self.process = None

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> tuple[int, bytes]:
        login = base64.b64encode(f"{USER}:{PASSWORD}".encode()).decode()
        request = Request(
            f"http://127.0.0.1:{self.port}{path}",
            body,
            {"Authorization": f"Basic {login}", **headers},
            method=method,
        )
        try:
            with NO_PROXY.open(request, timeout=20) as answer:
                return answer.status, answer.read()
        except HTTPError as error:
            return error.code, error.read()

    def new_calendar(self, name: str) -> Collection:
        status, _ = self.ask("MKCALENDAR", f"/{USER}/{name}/")
        assert status == 201
        return Collection(self, f"/{USER}/{name}/")


@dataclass(frozen=True)
class Collection:
    """One calendar on the server, seen and changed by somebody else's program."""

    server: Radicale
    path: str

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.server.port}{self.path}"

    def events(self) -> dict[str, Any]:
        """Every event by UID."""
        status, body = self.server.ask("GET", self.path)
        assert status == 200
        found = icalendar.Calendar.from_ical(body).walk("VEVENT") if body.strip() else []
        return {str(event["uid"]): event for event in found}

    def times(self) -> dict[str, tuple[Any, Any]]:
        """{uid: (start, end)}."""
        return {uid: (event.decoded("dtstart"), event.decoded("dtend")) for uid, event in self.events().items()}

    def put(self, name: str, event: icalendar.Event) -> None:
        """Write an event to a resource of that name."""
        whole = icalendar.Calendar()
        whole.add("prodid", "-//somebody else//EN")
        whole.add("version", "2.0")
        whole.add_component(event)
        body = whole.to_ical()
        status, answer = self.server.ask("PUT", f"{self.path}{name}", body, **{"Content-Type": "text/calendar"})
        assert status in (201, 204), answer

    def change(self, uid: str, **values: Any) -> None:
        """What a calendar program does when a person edits an event: new values, None for what it drops."""
        event = self.events()[uid]
        for name, value in ((name.replace("_", "-"), value) for name, value in values.items()):
            event.pop(name, None)
            if value is not None:
                event.add(name, value)
        event["sequence"] = int(event["sequence"]) + 1
        self.put(f"{uid.replace('@', '%40')}.ics", event)
