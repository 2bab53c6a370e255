"""A served job under kills and under load: what is lost, what is twice, how long a tap waits, how memory grows.

    python -m tests.bench.serving kills [NUMBER]      200 kills (SIGKILL) at random instants, while two phones record
    python -m tests.bench.serving load [SECONDS]      50 open pages and 20 taps a second, for a minute

Each prints one JSON line. The phones of `load` have addresses of their own (127.0.1.N; Linux).
"""

from __future__ import annotations

import gzip
import http.client
import json
import multiprocessing
import os
import shutil
import signal
import sys
import tempfile
import threading
import time
import uuid
from collections import Counter
from contextlib import suppress
from pathlib import Path
from random import Random
from typing import Any

from scheduler.diary.record import Files, read_record
from tests.cli.running import run
from tests.serve.serving import new_job
from tests.serve.test_serving import AS_OF, Command

EXAMPLE = Path(__file__).parents[2] / "examples" / "hobby-room"
PAGES, TAPPERS = 50, 20
ASKED = 0.3
"""Seconds within which a tap is to be acknowledged."""


class Phone:
    """A phone that taps, and sends each tap until it is answered, as the page does."""

    def __init__(self, number: int, random: Random) -> None:
        self.number, self.random = number, random
        self.acknowledged: list[str] = []
        self.sent = 0
        self.over = False

    def taps(self) -> Any:
        day = 9
        while not self.over:
            if self.number == 0:
                day = 10 + (day - 9) % 22  # never the one that is recorded: that would need no entry
                yield {"what": "late", "item": "boards", "expected": f"2027-01-{day}"}
            else:
                name = str(uuid.uuid4())
                yield {"id": name, "what": "did", "step": "lamp"}
                yield {"what": "undo", "of": name}

    def run(self, where: list[Command]) -> None:
        for asked in self.taps():
            tap = {"id": str(uuid.uuid4()), **asked}
            while not self.over:
                self.sent += 1
                with suppress(Exception):
                    if where[0].tap(**tap):
                        self.acknowledged.append(tap["id"])
                        break
                time.sleep(0.02)
            time.sleep(self.random.random() * 0.05)


def kills(number: int, seed: int = 0) -> dict[str, Any]:
    """So many kills while two phones record; what is in the diary in the end."""
    random = Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        job = new_job(Path(folder))
        assert run("plan", str(job), "--as-of", AS_OF, "--effort", "20").code == 0
        where = [Command(job)]
        phones = [Phone(0, Random(seed + 1)), Phone(1, Random(seed + 2))]
        threads = [threading.Thread(target=phone.run, args=(where,), daemon=True) for phone in phones]
        for thread in threads:
            thread.start()
        for _ in range(number):
            time.sleep(random.random() * 1.5)
            where[0].end(signal.SIGKILL)
            where[0] = Command(job)  # the next start works, whatever the kill left
        time.sleep(1)
        for phone in phones:
            phone.over = True
        for thread in threads:
            thread.join(20)
        code, said, _ = where[0].end(signal.SIGINT)
        record = read_record(Files(job))
        order = [entry.tap for entry in record.entries if entry.tap]
        lines = Counter(order)
        known = [name for phone in phones for name in phone.acknowledged]
        in_order = all(
            [name for name in order if name in set(phone.acknowledged)] == phone.acknowledged for phone in phones
        )
        broken = Files(job).broken
        return {
            "kills": number,
            "acknowledged": len(known),
            "lost": sum(name not in lines for name in known),
            "twice": sum(count > 1 for count in lines.values()),
            "in order": in_order,
            "half lines set aside": len(broken.read_bytes().splitlines()) if broken.exists() else 0,
            "torn": bool(record.torn),
            "ended": code,
            "traceback": "Traceback" in said,
        }


def _connection(port: int, number: int) -> http.client.HTTPConnection:
    return http.client.HTTPConnection("127.0.0.1", port, timeout=30, source_address=(f"127.0.1.{number + 1}", 0))


class Page:
    """An open page: it listens, and fetches the page anew when there is another."""

    def __init__(self, port: int, secret: str, number: int) -> None:
        self.port, self.secret, self.number = port, secret, number
        self.fetched, self.version = 0, ""

    def run(self) -> None:
        """Until the server ends."""
        listening = _connection(self.port, self.number)
        with suppress(Exception):
            listening.request("GET", f"/{self.secret}/events")
            stream = listening.getresponse()
            while line := stream.readline():
                if line.startswith(b"data:"):
                    version = json.loads(line[5:])["version"]
                    if version != self.version:
                        self.version = version
                        self.fetch()

    def fetch(self) -> None:
        asking = _connection(self.port, self.number)
        asking.request("GET", f"/{self.secret}/", headers={"Accept-Encoding": "gzip"})
        reply = asking.getresponse()
        if reply.status == 200 and gzip.decompress(reply.read()):
            self.fetched += 1
        asking.close()


def _open_pages(port: int, secret: str, told: Any) -> None:
    """In a process of its own: what a phone does takes no time from another phone's tap."""
    pages = [Page(port, secret, number) for number in range(PAGES)]
    threads = [threading.Thread(target=page.run, daemon=True) for page in pages]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    told.put(sum(page.fetched for page in pages))


class Tapper:
    """A phone that taps once a second."""

    def __init__(self, served: Command, number: int) -> None:
        self.served, self.number = served, number
        self.waits: list[float] = []
        self.named: list[str] = []
        self.refused: Counter[int] = Counter()

    def run(self, until: float) -> None:
        keys, count = self.served.keys, 0
        asking = _connection(keys.port, 100 + self.number)
        headers = {
            "Origin": f"http://127.0.0.1:{keys.port}",
            "Content-Type": "application/json",
            "X-Tackfree-Token": keys.token,
        }
        time.sleep(self.number / TAPPERS)
        while (begun := time.monotonic()) < until:
            count += 1
            name, day = str(uuid.uuid4()), 1 + (self.number + count) % 28
            tap = {"id": name, "what": "late", "item": "doors", "expected": f"2027-03-{day:02}"}
            asking.request("POST", f"/{keys.write}/diary", json.dumps(tap), headers)
            reply = asking.getresponse()
            says = json.loads(reply.read())
            if reply.status == 200:
                self.waits.append(time.monotonic() - begun)
                if says["line"] is not None:
                    self.named.append(name)
            else:
                self.refused[reply.status] += 1
            time.sleep(max(0.0, 1 - (time.monotonic() - begun)))


def _memory(process: int) -> int:
    """Resident memory in KiB (Linux)."""
    status = Path(f"/proc/{process}/status").read_text(encoding="ascii")
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS"))


def _seconds(process: int) -> float:
    """Processor time of a process and its children that are alive (Linux)."""
    stats = [Path(f"/proc/{each}/stat") for each in (process, *_children(process))]
    ticks = sum(sum(map(int, stat.read_text(encoding="ascii").rpartition(")")[2].split()[11:13])) for stat in stats)
    return ticks / os.sysconf("SC_CLK_TCK")


def _children(process: int) -> list[int]:
    return [int(each) for each in Path(f"/proc/{process}/task/{process}/children").read_text("ascii").split()]


def load(seconds: int) -> dict[str, Any]:
    """Pages and taps for so many seconds."""
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(EXAMPLE, Path(folder) / "job")
        job = Path(folder) / "job" / "job.yaml"
        served = Command(job)
        spawned = multiprocessing.get_context("spawn")
        told = spawned.SimpleQueue()
        pages = spawned.Process(target=_open_pages, args=(served.keys.port, served.keys.look, told), daemon=True)
        pages.start()
        time.sleep(3)  # until the pages are open
        begun, before = time.monotonic(), (_seconds(served.process.pid), os.getloadavg()[0])
        tappers = [Tapper(served, number) for number in range(TAPPERS)]
        threads = [threading.Thread(target=tapper.run, args=(begun + seconds,), daemon=True) for tapper in tappers]
        for thread in threads:
            thread.start()
        memory = []
        while time.monotonic() < begun + seconds:
            time.sleep(seconds / 6)
            memory.append(_memory(served.process.pid))
        for thread in threads:
            thread.join(30)
        spent = _seconds(served.process.pid) - before[0]
        code, _, _ = served.end(signal.SIGINT)
        lines = Counter(entry.tap for entry in read_record(Files(job)).entries if entry.tap)
        waits = sorted(wait for tapper in tappers for wait in tapper.waits)
        named = [name for tapper in tappers for name in tapper.named]
        refused = sum((tapper.refused for tapper in tappers), Counter[int]())
        return {
            "seconds": seconds,
            "pages": PAGES,
            "acknowledged": len(waits),
            "refused": dict(refused),
            "lost": sum(lines[name] != 1 for name in named),
            "ms": {
                f"p{p}": round(1000 * waits[min(len(waits) - 1, len(waits) * p // 100)])
                for p in (50, 90, 95, 99, 100)
            },
            "under 300 ms": f"{100 * sum(wait < ASKED for wait in waits) / len(waits):.1f} %",
            "pages fetched": told.get(),
            "memory MiB": [size // 1024 for size in memory],
            "processor s, with its plans": round(spent, 1),
            "load of the machine": [round(before[1], 1), round(os.getloadavg()[0], 1)],
            "ended": code,
        }


if __name__ == "__main__":
    what, *rest = sys.argv[1:] or ["kills"]
    wanted = int(rest[0]) if rest else {"kills": 200, "load": 60}[what]
    print(json.dumps(kills(wanted) if what == "kills" else load(wanted)))
