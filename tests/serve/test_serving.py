"""`tackfree serve` as a person runs it: the addresses stay, Ctrl-C ends it, a kill loses nothing that was said."""

from __future__ import annotations

import json
import os
import shutil
import signal
import socket
import ssl
import stat
import subprocess
import sys
import time
import urllib.error
import urllib.request
import uuid
from pathlib import Path

import pytest

import scheduler
from scheduler.diary.record import Files, read_record
from scheduler.serve.gate import Door, RefusedError
from scheduler.serve.keys import keys_file, keys_of
from tests.cli.running import run
from tests.serve.serving import JOB, Served, new_job

pytestmark = pytest.mark.long

AS_OF = "2027-01-09T10:00"


class Command:
    """A server in a process of its own."""

    def __init__(self, job: Path, *options: str) -> None:
        self.job, self.keys = job, keys_of(job, port=_free(), anew=False)
        home = str(Path(scheduler.__file__).parents[1])
        begin = f"import sys; sys.path.insert(0, {home!r}); from scheduler.cli import main; main()"
        words = [sys.executable, "-P", "-c", begin, "serve", str(job), "--as-of", AS_OF, *options]
        self.process = subprocess.Popen(
            words,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            # the tests may run where it is ignored
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509 - there are no threads yet
        )
        self.said = ""
        assert self.process.stdout is not None
        while "Serving" not in self.said and (line := self.process.stdout.readline()):
            self.said += line
        assert "Serving" in self.said, self.said

    @property
    def base(self) -> str:
        return f"http://127.0.0.1:{self.keys.port}/{self.keys.write}"

    def tap(self, **tap: object) -> bool:
        """Whether a tap was answered as recorded."""
        headers = {
            "Origin": f"http://127.0.0.1:{self.keys.port}",
            "Content-Type": "application/json",
            "X-Tackfree-Token": self.keys.token,
        }
        asked = urllib.request.Request(f"{self.base}/diary", json.dumps(tap).encode(), headers)
        try:
            with urllib.request.urlopen(asked, timeout=5) as reply:
                return bool(json.loads(reply.read())["recorded"])
        except OSError:
            return False

    def end(self, how: int) -> tuple[int, str, float]:
        """Exit code, what it has said, and the seconds that it took."""
        begun = time.monotonic()
        self.process.send_signal(how)
        said, _ = self.process.communicate(timeout=20)
        return self.process.returncode, self.said + said, time.monotonic() - begun


def _free() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


@pytest.fixture
def job(tmp_path: Path) -> Path:
    job = new_job(tmp_path)
    assert run("plan", str(job), "--as-of", AS_OF, "--effort", "20").code == 0
    return job


def test_ctrl_c_ends_it_with_pages_open_and_says_where_the_record_is(job: Path) -> None:
    """130, at once, though an event stream is open; and the log holds no secret (ASVS 16.2.5)."""
    served = Command(job)
    with socket.create_connection(("127.0.0.1", served.keys.port)) as listening:
        head = f"GET /{served.keys.write}/events HTTP/1.1\r\nHost: 127.0.0.1:{served.keys.port}\r\n\r\n"
        listening.sendall(head.encode())
        assert b"200" in listening.recv(100)
        assert served.tap(id=str(uuid.uuid4()), what="did", step="lamp")
        code, said, seconds = served.end(signal.SIGINT)
    assert code == 130
    assert "What was recorded stands beside the job" in said
    assert seconds < 5
    for secret in (served.keys.write, served.keys.look, served.keys.token):
        assert secret not in said
    assert "Traceback" not in said
    assert [entry.event.step for entry in read_record(Files(job)).entries] == ["lamp"]


def test_a_kill_between_record_and_plan_loses_neither(job: Path) -> None:
    """The next start plans for what was acknowledged, and can take it back without a trace."""
    served = Command(job)
    before = json.loads(urllib.request.urlopen(f"{served.base}/plan.json").read())
    name = str(uuid.uuid4())
    assert served.tap(id=name, what="late", item="boards", expected="2027-02-20")
    served.end(signal.SIGKILL)
    again = Command(job)
    assert again.keys == keys_of(job, port=None, anew=False)
    plan = json.loads(urllib.request.urlopen(f"{again.base}/plan.json").read())
    assert plan["items"][0]["expected"] == "2027-02-20"
    assert again.tap(id=str(uuid.uuid4()), what="undo", of=name)
    until = time.monotonic() + 20
    while json.loads(urllib.request.urlopen(f"{again.base}/plan.json").read()) != before:
        assert time.monotonic() < until
        time.sleep(0.1)
    again.end(signal.SIGINT)


def test_several_jobs_are_served_each_at_its_own_address(job: Path, tmp_path: Path) -> None:
    """With one port; what is tapped on the page of one is nothing to the other."""
    other = new_job(tmp_path / "other", JOB.replace('"<b>Two</b> walls"', "Shed"))
    served = Command(job, str(other))
    keys = json.loads(keys_file(other).read_bytes())
    assert keys["port"] == served.keys.port
    for secret, title in ((served.keys.write, "walls"), (keys["write"], "Shed")):
        with urllib.request.urlopen(f"http://127.0.0.1:{keys['port']}/{secret}/", timeout=20) as reply:
            assert f"{title}</h1>" in reply.read().decode()
    assert served.tap(id=str(uuid.uuid4()), what="did", step="lamp")
    assert served.end(signal.SIGINT)[0] == 130
    assert len(read_record(Files(job)).entries) == 1
    assert read_record(Files(other)).entries == ()


def test_the_addresses_stay_until_new_ones_are_wanted(tmp_path: Path) -> None:
    """In a file for its owner alone, from the moment at which it is there."""
    job = new_job(tmp_path)
    old = os.umask(0)
    try:
        keys = keys_of(job, port=None, anew=False)
    finally:
        os.umask(old)
    assert stat.S_IMODE(keys_file(job).stat().st_mode) == 0o600
    assert keys_of(job, port=None, anew=False) == keys
    moved = keys_of(job, port=9000, anew=False)
    assert (moved.port, moved.write, moved.look) == (9000, keys.write, keys.look)
    assert keys_of(job, port=None, anew=False) == moved
    fresh = keys_of(job, port=None, anew=True)
    secrets = {keys.write, keys.look, keys.token, keys.house, keys.helper}
    assert not secrets & {fresh.write, fresh.look, fresh.token, fresh.house, fresh.helper}
    assert len(secrets) == 5
    assert all(len(each) >= 22 for each in secrets)  # 128 bits in base64url (ASVS 7.2.3)
    assert stat.S_IMODE(keys_file(job).stat().st_mode) == 0o600
    keys_file(job).chmod(0o644)  # as a copy may have left it
    keys_of(job, port=None, anew=False)
    assert stat.S_IMODE(keys_file(job).stat().st_mode) == 0o600


def test_without_the_extra_one_line_says_what_to_install(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("scheduler.cli.serving.NEEDED", ("starlette", "no_such_package"))
    ran = run("serve", str(job))
    assert ran.code == 2
    assert ran.err == (
        "serve: serving needs the package `no_such_package`; install it: pip install 'tackfree[serve]'\n"
    )


@pytest.fixture
def pair(tmp_path: Path) -> tuple[Path, Path]:
    """A certificate for 127.0.0.1 and its key, made by nobody but this machine."""
    if shutil.which("openssl") is None:
        pytest.skip("no openssl to make a certificate with")
    cert, key = tmp_path / "own.pem", tmp_path / "own.key"
    words = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"]
    words += ["-days", "2", "-subj", "/CN=laptop", "-addext", "subjectAltName=IP:127.0.0.1"]
    subprocess.run([*words, "-keyout", str(key), "-out", str(cert)], check=True, capture_output=True)
    return cert, key


def test_it_is_served_with_a_certificate_of_ones_own(job: Path, pair: tuple[Path, Path]) -> None:
    """A client that trusts this one sees the page and records; nothing is answered in the clear, and nobody is told
    to ask by TLS for ever (the certificate may be gone tomorrow)."""
    cert, key = pair
    served = Command(job, "--cert", str(cert), "--key", str(key))
    trusting, base = ssl.create_default_context(cafile=str(cert)), served.base.replace("http:", "https:")
    with urllib.request.urlopen(f"{base}/", context=trusting, timeout=10) as reply:
        page, headers = reply.read().decode(), reply.headers
    assert f"webcals://127.0.0.1:{served.keys.port}/" in page
    assert "strict-transport-security" not in headers
    for origin, status in (("https", 200), ("http", 403)):
        tap = json.dumps({"id": str(uuid.uuid4()), "what": "did", "step": "lamp"}).encode()
        asked = urllib.request.Request(f"{base}/diary", tap, {"Content-Type": "application/json"})
        asked.add_header("Origin", f"{origin}://127.0.0.1:{served.keys.port}")
        asked.add_header("X-Tackfree-Token", served.keys.token)
        try:
            assert urllib.request.urlopen(asked, context=trusting, timeout=10).status == status
        except urllib.error.HTTPError as refused:
            assert refused.code == status
    with pytest.raises(OSError):
        urllib.request.urlopen(f"{served.base}/", timeout=10)
    with pytest.raises(OSError, match="CERTIFICATE_VERIFY_FAILED"):
        urllib.request.urlopen(f"{base}/", context=ssl.create_default_context(), timeout=10)
    assert served.end(signal.SIGINT)[0] == 130
    assert [entry.event.step for entry in read_record(Files(job)).entries] == ["lamp"]


def test_what_is_no_certificate_is_said_in_a_line(job: Path, pair: tuple[Path, Path]) -> None:
    cert, key = pair
    (job.parent / "other.key").write_text("no key\n")
    for given, says in (
        ((cert, job.parent / "none.key"), "there is no such file"),
        ((cert, job.parent / "other.key"), "these can't be read as a certificate and its key"),
        ((key, key), "these can't be read as a certificate and its key"),
    ):
        ran = run("serve", str(job), "--port", str(_free()), "--cert", str(given[0]), "--key", str(given[1]))
        assert ran.code == 2
        assert says in ran.err
        assert len(ran.err.splitlines()) == 1


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("{job}", "--cert", "x.pem"), "a certificate and its key go together"),
        (("{job}", "{folder}"), "one job stands twice here"),
        (("{folder}/none",), "there is no"),
        (("{job}", "--port", "0"), "greater than or equal to 1"),
    ],
)
def test_what_is_asked_for_wrongly_is_said_in_a_line(job: Path, words: tuple[str, ...], says: str) -> None:
    ran = run("serve", *(word.format(job=job, folder=job.parent) for word in words))
    assert ran.code == 2
    assert says in ran.err
    assert len(ran.err.splitlines()) == 1


def test_a_port_that_is_taken_is_never_changed_for_another(job: Path) -> None:
    """The phones and calendars of the house know this one."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        ran = run("serve", str(job), "--port", str(port))
    assert ran.code == 2
    assert ran.err == f"--port: the port {port} is taken by another program; name another one, or end that program\n"


@pytest.mark.parametrize(
    "content", [b"", b"{}", b"[]", b"\xff", b'{"port": 1, "write": "x", "look": "y"}', b"[" * 4000]
)
def test_a_file_of_secrets_that_is_none_is_left_alone(job: Path, content: bytes) -> None:
    keys_file(job).write_bytes(content)
    ran = run("serve", str(job))
    assert ran.code == 2
    assert "these are no secrets of a served job" in ran.err
    assert keys_file(job).read_bytes() == content


def test_a_faulty_job_is_not_served(job: Path) -> None:
    """The same lines as of every command, and exit code."""
    job.write_text(job.read_text("utf-8").replace("30 min", "30 mn"), "utf-8")
    ran = run("serve", str(job), "--port", str(_free()))
    assert ran.code == 2
    assert ran.err.startswith(f"{job}:17:")


def test_without_house_only_this_machine_is_asked() -> None:
    """The Host of a neighbour is refused even where the socket would let it in."""
    alone, house = Door(80, frozenset({"localhost"})), Door(80, frozenset({"localhost"}), house=True)
    for host in ("127.0.0.1", "localhost", "127.0.0.1:80"):
        assert alone.origin([host]) == f"http://{host}"
    for host in ("192.168.1.7", "10.0.0.2", "169.254.3.4"):
        assert house.origin([host])
        with pytest.raises(RefusedError):
            alone.origin([host])


def test_an_open_stream_does_not_hold_up_the_end(job: Path) -> None:
    found = Served(job)
    with found.connect() as listening:
        listening.sendall(found.head("GET", f"/{found.keys.write}/events", {}))
        assert listening.recv(12) == b"HTTP/1.1 200"
        assert found.end() < 3
