"""A calendar server on loopback that keeps events, and misbehaves as it is told to."""

from __future__ import annotations

import gzip
import ssl
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

Reply = tuple[int, dict[str, str], bytes]
LIST = '<multistatus xmlns="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav">{}</multistatus>'


@dataclass
class Odd:
    """What it keeps, what it was asked, and how it misbehaves: `answer` may answer a request before it does, and
    `drip` are seconds between two signs of an answer, with its head if `drips_head`."""

    events: dict[str, str] = field(default_factory=dict)
    asked: list[tuple[str, str]] = field(default_factory=list)
    answer: Callable[[str, str, bytes], Reply | None] = lambda method, path, body: None
    logins: list[str] = field(default_factory=list)
    url: str = ""
    drip: float = 0.0
    drips_head: bool = False

    def reply(self, method: str, path: str, body: bytes) -> Reply:
        self.asked.append((method, path))
        said = self.answer(method, path, body)
        if said is not None:
            return said
        if method == "PROPFIND":
            return 207, {}, kind("<collection/><C:calendar/>").encode()
        if method == "REPORT":
            parts = "".join(
                f"<response><href>{name}</href><propstat><prop><C:calendar-data><![CDATA[{text}]]></C:calendar-data>"
                "</prop></propstat></response>"
                for name, text in self.events.items()
            )
            return 207, {}, LIST.format(parts).encode()
        if method == "PUT":
            self.events[path] = body.decode()
            return 201, {}, b""
        self.events.pop(path, None)
        return 204, {}, b""


def kind(types: str, path: str = "/sam/job/", more: str = "") -> str:
    """An answer to what a collection is."""
    prop = f"<propstat><prop><resourcetype>{types}</resourcetype>{more}</prop></propstat>"
    return LIST.format(f"<response><href>{path}</href>{prop}</response>")


def packed(size: int) -> Reply:
    """A short answer that is long once it is unpacked."""
    return 207, {"Content-Encoding": "gzip"}, gzip.compress(b" " * size)


@contextmanager
def misbehaving(certificate: Path | None = None) -> Iterator[Odd]:
    odd = Odd()

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def handle_any(self) -> None:
            body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
            odd.logins.append(self.headers.get("Authorization", ""))
            status, headers, content = odd.reply(self.command, self.path, body)
            self.send_response(status)
            for name, value in headers.items():
                self.send_header(name, value)
            self.send_header("Content-Length", str(len(content)))
            if odd.drips_head:
                self.wfile.write(b"HTTP/1.1 ")
                content = b"200 OK\r\n" * 100
            else:
                self.end_headers()
            for at in range(0, len(content), 1 if odd.drip else len(content)) if content else ():
                time.sleep(odd.drip)
                self.wfile.write(content[at : at + 1] if odd.drip else content)
                self.wfile.flush()

        def log_message(self, *_: object) -> None:
            return

    for method in ("REPORT", "PUT", "DELETE", "PROPFIND"):
        setattr(Handler, f"do_{method}", Handler.handle_any)

    class Quiet(ThreadingHTTPServer):
        daemon_threads = True

        def handle_error(self, *_: object) -> None:
            return  # whoever hangs up is what is looked at

    server = Quiet(("127.0.0.1", 0), Handler)
    if certificate is not None:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(certificate)
        server.socket = context.wrap_socket(server.socket, server_side=True)
    Thread(target=server.serve_forever, daemon=True).start()
    scheme = "http" if certificate is None else "https"
    odd.url = f"{scheme}://127.0.0.1:{server.server_port}/sam/job/"
    try:
        yield odd
    finally:
        server.shutdown()
        server.server_close()
