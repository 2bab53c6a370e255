"""A Saturday in the house as its phones see it: Chromium without a head, two of the size of a phone, with fingers.

Skipped where no browser is, like the tests of the page; with TACKFREE_BROWSER=1 that is a failure.
"""

from __future__ import annotations

import json
import re
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from datetime import timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

from scheduler.serve import app
from tests.cli.running import run
from tests.serve.serving import NOW, Served, new_job
from tests.telling.page.browsing import AXE, CHROMIUM, FLAGS, need

pytestmark = pytest.mark.long

PHONE = {"width": 360, "height": 740}
SOON = 20_000
"""Milliseconds for a plan on a machine that does other things, too."""


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        need(False, "playwright is not installed (pip install playwright)")
    need(CHROMIUM.exists(), f"no Chromium at {CHROMIUM}")
    with sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        yield found
        found.close()


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The tests of this module are one Saturday, in their order."""
    job = new_job(tmp_path_factory.mktemp("saturday"))
    assert run("plan", str(job), "--as-of", "2027-01-09T10:00", "--effort", "20").code == 0
    served = Served(job)
    yield served
    served.end()


class Phone:
    """One phone of the house, with the page open."""

    def __init__(self, chromium: Any, served: Served, secret: str | None = None, **more: Any) -> None:
        self.served, self.errors = served, list[str]()
        self.address = f"{served.origin}/{secret or served.keys.write}/"
        more = {"viewport": PHONE, "has_touch": True, "is_mobile": True, "timezone_id": "America/Denver", **more}
        self.context = chromium.new_context(**more)
        self.page = self.context.new_page()
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("console", lambda said: self.errors.append(said.text) if said.type == "error" else None)
        self.page.goto(self.address)

    def unfold(self) -> None:
        self.page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")

    def tap(self, name: str, within: str = "#now") -> None:
        self.unfold()
        self.page.locator(within).get_by_role("button", name=name, exact=True).first.tap()

    def sees(self, text: str, where: str = "body") -> None:
        """The text is there, soon."""
        self.page.wait_for_function(
            "([where, text]) => document.querySelector(where)?.textContent.includes(text)",
            arg=[where, text],
            timeout=SOON,
        )

    def gone(self, text: str, where: str = "body") -> None:
        self.page.wait_for_function(
            "([where, text]) => !document.querySelector(where)?.textContent.includes(text)",
            arg=[where, text],
            timeout=SOON,
        )


@pytest.fixture(scope="module")
def two(chromium: Any, house: Served) -> Iterator[tuple[Phone, Phone]]:
    phones = Phone(chromium, house), Phone(chromium, house)
    yield phones
    for phone in phones:
        phone.context.close()


def _until(true: Callable[[], bool], seconds: float = 20.0) -> None:
    until = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < until
        time.sleep(0.05)


def _said(served: Served) -> list[tuple[str, str]]:
    return [(line["what"], line.get("step") or line.get("item") or line.get("thing") or "") for line in served.lines]


def test_done_is_recorded_and_the_other_phone_follows(house: Served, two: tuple[Phone, Phone]) -> None:
    """One tap; the second page shows it without being touched, and what became of the end."""
    mine, other = two
    mine.tap("Done: lamp")
    mine.sees("lamp: done Saturday 9 January", "#recent")
    other.sees("lamp: done Saturday 9 January", "#recent")
    other.sees("Planned anew.", "#live")
    assert _said(house) == [("did", "lamp")]
    assert mine.page.get_by_role("button", name="Done: lamp").count() == 0


def test_begun_with_so_much_left(house: Served, two: tuple[Phone, Phone]) -> None:
    mine, other = two
    mine.tap("More: sand")
    mine.page.get_by_label(re.compile("^Begun; still to do")).select_option("30")
    mine.tap("Record: Begun; still to do", "dialog")
    other.sees("30 min to go", "#recent")
    assert _said(house)[-1] == ("left", "sand")


def test_done_at_another_time(house: Served, two: tuple[Phone, Phone]) -> None:
    """The phone shows the real time, and the house lives in 2027: what the clock is off by falls out."""
    mine, other = two
    mine.tap("More: sand")
    mine.tap("Record: Done at another time", "dialog")
    other.sees("sand: done Saturday 9 January", "#recent")
    other.gone("30 min to go", "#recent")
    mine.sees("The clock of this phone", "#live")


def test_a_coat_that_is_still_tacky(house: Served, two: tuple[Phone, Phone]) -> None:
    """Laid by 9:15 as the laptop has it; the finger on the phone says at ten that it is not dry."""
    mine, other = two
    for step, when in (("sand", "9:05"), ("first", "9:15")):
        ran = run("did", str(house.job), step, "--at", when, "--as-of", "2027-01-09T10:00")
        assert ran.code == 0, ran.err
    mine.sees("First coat", "#films")
    mine.tap("Still tacky: First coat", "#films")
    other.sees("First coat: not", "#recent")
    assert _said(house)[-1] == ("felt", "first")
    mine.page.locator("#recent li", has_text="First coat: not").get_by_role("button").tap()
    other.gone("First coat: not", "#recent")
    assert run("did", str(house.job), "first", "--undo", "--as-of", "2027-01-09T10:00").code == 0
    mine.sees("First coat", "#now .doing")


def test_an_item_comes_later_and_the_end_moves(house: Served, two: tuple[Phone, Phone]) -> None:
    mine, other = two
    mine.tap("Comes on another day: boards", "#items")
    mine.page.locator("dialog input[type=date]").fill("2027-02-13")
    mine.tap("Record: Comes on another day", "dialog")
    other.sees("The end moves from", "#changed")
    other.sees("later", "#live")
    assert _said(house)[-1] == ("late", "boards")


def test_what_was_recorded_is_taken_back(house: Served, two: tuple[Phone, Phone]) -> None:
    """By the other phone."""
    mine, other = two
    other.page.locator("#recent li", has_text="boards").get_by_role("button").tap()
    mine.sees("earlier", "#live")
    mine.gone("boards", "#recent")
    assert _said(house)[-1] == ("undone", "")


def test_an_item_is_ordered_and_a_thing_is_bought(house: Served, two: tuple[Phone, Phone]) -> None:
    mine, other = two
    mine.tap("Ordered: boards", "#items")
    other.sees("boards: ordered Saturday 9 January", "#recent")
    other.tap("Bought: acrylic latex wall paint", "#shopping")
    mine.sees("in the house since Saturday 9 January", "#recent")
    assert _said(house)[-2:] == [("ordered", "boards"), ("bought", "acrylic-latex-wall-paint")]
    assert mine.page.get_by_role("button", name="Ordered: boards").count() == 0


def test_a_fault_in_the_job_file_is_shown_and_taps_wait_for_it(house: Served, two: tuple[Phone, Phone]) -> None:
    """With its line, above the last good plan; the laptop is not said to be away."""
    mine, _ = two
    text = house.job.read_text("utf-8")
    house.job.write_text(text.replace("work: 30 min", "work: 30 mn"), "utf-8")
    mine.sees("job.yaml:17:", ".faults")
    mine.tap("More: First coat")
    mine.page.locator("dialog").get_by_role("button", name="Record: Begun; still to do").tap()
    mine.sees("The laptop can’t record just now", "#live")
    mine.sees("1 tap not sent yet", "#live")
    house.job.write_text(text, "utf-8")
    mine.gone("not sent yet", "#live")
    mine.sees("to go", "#recent")
    mine.page.locator("#recent li", has_text="to go").get_by_role("button").first.tap()
    mine.gone("to go", "#recent")


def test_taps_without_a_connection_wait_on_the_phone(house: Served, two: tuple[Phone, Phone]) -> None:
    """Ten taps in the cellar, the page opened anew, and back: all recorded, once, in their order."""
    mine, other = two
    before = len(house.lines)
    mine.context.set_offline(True)
    days = [f"2027-01-{18 + number}" for number in range(10)]
    for number, day in enumerate(days, 1):
        mine.tap("Comes on another day: boards", "#items")
        mine.page.locator("dialog input[type=date]").fill(day)
        mine.tap("Record: Comes on another day", "dialog")
        mine.sees(f"{number} tap", "#live")
    mine.sees("10 taps not sent yet", "#live")
    mine.sees("not sent yet", "#items")
    mine.page.goto("about:blank")
    mine.page.goto(mine.address)  # out of the browser's own store: nobody answers
    mine.sees("10 taps not sent yet", "#live")
    mine.sees("What you see may be old. (as of Sat", "#live")
    assert len(house.lines) == before
    mine.context.set_offline(False)
    mine.gone("not sent yet", "#live")
    assert [line["expected"] for line in house.lines[before:]] == days
    other.sees("boards: comes Wednesday 27 January", "#recent")


def test_a_tap_that_was_not_sent_is_taken_back_on_the_phone(house: Served, two: tuple[Phone, Phone]) -> None:
    mine, _ = two
    before = house.lines
    mine.context.set_offline(True)
    mine.tap("Done: First coat")
    mine.sees("1 tap not sent yet", "#live")
    mine.page.locator("#live").get_by_role("button", name="Take back").first.tap()
    # It was tried, so that it may have got there: both are sent, and the second takes the first back.
    mine.sees("2 taps not sent yet", "#live")
    mine.context.set_offline(False)
    mine.gone("not sent yet", "#live")
    assert _said(house)[len(before) :] == [("did", "first"), ("undone", "")]


def test_what_contradicts_the_record_needs_the_person(house: Served, two: tuple[Phone, Phone]) -> None:
    """Recorded at the laptop at 9:30 while the phone was in the cellar: shown with both, decided by a finger."""
    mine, _ = two
    mine.context.set_offline(True)
    mine.tap("Done: First coat")
    mine.sees("1 tap not sent yet", "#live")
    ran = run("did", str(house.job), "first", "--at", "9:30", "--as-of", "2027-01-09T10:00")
    assert ran.code == 0, ran.err
    mine.context.set_offline(False)
    mine.sees("speaks against what is recorded", "#live")
    mine.sees("done already, since 2027-01-09 09:30", "#live")
    mine.page.locator("#live").get_by_role("button", name="Take the other back and record mine").tap()
    mine.gone("speaks against", "#live")
    _until(lambda: _said(house)[-2:] == [("undone", ""), ("did", "first")])


def test_a_session_does_not_take_place(house: Served, two: tuple[Phone, Phone]) -> None:
    mine, other = two
    mine.unfold()
    mine.page.locator("#now [data-session]").get_by_role("button").tap()
    mine.tap("Does not take place", "dialog")
    other.sees("no work Saturday 9 January", "#recent")
    assert house.lines[-1]["what"] == "lost"


def test_nothing_goes_wrong_on_the_way(two: tuple[Phone, Phone]) -> None:
    """No error of the script, none of the policy; what a phone could not reach it says, and that alone. Nothing is
    wider than the phone with everything unfolded: else the sheet of a step would open beside the screen."""
    for phone in two:
        phone.unfold()
        assert [error for error in phone.errors if not re.search("net::ERR|409|503", error)] == []
        assert phone.page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def test_who_only_looks_has_nothing_to_tap(chromium: Any, house: Served) -> None:
    phone = Phone(chromium, house, house.keys.look)
    phone.sees("Two")
    assert phone.page.get_by_role("button").count() == 0
    assert phone.errors == []
    phone.context.close()


def test_without_a_script_it_is_read(chromium: Any, house: Served) -> None:
    phone = Phone(chromium, house, java_script_enabled=False)
    assert phone.page.locator("#now").is_visible()
    assert phone.page.locator("noscript").count() == 0 or "reload it" in phone.page.locator("#live").inner_text()
    phone.context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(chromium: Any, house: Served, scheme: str) -> None:
    """WCAG 2, A and AA, as axe-core 4 knows them; with the sheet of a step open, too."""
    need(AXE.exists(), f"no axe-core at {AXE}")
    phone = Phone(chromium, house, color_scheme=scheme, bypass_csp=True)
    phone.page.add_script_tag(path=str(AXE))
    for opened in (False, True):
        if opened:
            phone.unfold()
            phone.page.get_by_role("button", name=re.compile("^More")).first.tap()
        found = phone.page.evaluate("axe.run({runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'best-practice']})")
        assert [(each["id"], [node["html"] for node in each["nodes"]]) for each in found["violations"]] == []
    phone.context.close()


def test_all_of_it_can_be_done_with_keys(chromium: Any, house: Served) -> None:
    """Tab to a step, Enter, arrows, Escape: and the focus is back where it was (WCAG 2.1.1, 2.4.3)."""
    phone = Phone(chromium, house)
    phone.unfold()
    button = phone.page.get_by_role("button", name=re.compile("^More")).first
    button.focus()
    phone.page.keyboard.press("Enter")
    assert phone.page.locator("dialog").is_visible()
    box = phone.page.locator("dialog").bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= PHONE["width"]
    phone.page.keyboard.press("Escape")
    assert not phone.page.locator("dialog").is_visible()
    assert button.evaluate("each => each === document.activeElement")
    phone.context.close()


def test_what_was_done_of_a_session_that_is_over_is_ticked(chromium: Any, tmp_path: Path) -> None:
    """On Sunday the card asks about Saturday; one step was left out, and the question is gone."""
    job = new_job(tmp_path)
    assert run("plan", str(job), "--as-of", "2027-01-09T10:00", "--effort", "20").code == 0
    served = Served(job)
    served.now = NOW + timedelta(days=1)
    assert served.record(what="ordered", thing="boards").status == 200
    served.settled()
    phone = Phone(chromium, served)
    phone.tap("Some of it: Sat 9 Jan")
    phone.page.locator("dialog").get_by_label("lamp").uncheck()
    phone.tap("Record: Sat 9 Jan", "dialog")
    phone.sees("lamp: left out", "#recent")
    assert _said(served)[-1] == ("skipped", "lamp")
    assert phone.page.locator("[data-unheard]").count() == 0
    phone.context.close()
    served.end()


HOSTILE = """<!DOCTYPE html><title>Nice pictures</title><script>
const [base, token, tap] = %s;
const post = (how, headers) => fetch(base + "diary", {method: "POST", body: tap, mode: how, headers});
const told = (made) =>
  new Promise((good, bad) => Object.assign(made, {onload: good, onmessage: good, onerror: bad}));
const put = (name, source) => {
  const made = document.createElement(name), done = told(made);
  made.src = source;
  document.body.append(made);
  return done;
};
const tries = {
  plain: () => post("no-cors", {"Content-Type": "text/plain"}),
  json: () => post("cors", {"Content-Type": "application/json", "X-Tackfree-Token": token}),
  beacon: () => navigator.sendBeacon(base + "diary", new Blob([tap], {type: "text/plain"})),
  read: () => fetch(base + "plan.json"),
  listen: () => told(new EventSource(base + "events")),
  script: () => put("script", base + "plan.json"),
  image: () => put("img", base),
};
addEventListener("load", async () => {
  const went = [];
  for (const [name, attempt] of Object.entries(tries)) try { await attempt(); went.push(name); } catch { }
  await put("iframe", base).catch(() => 0);
  try { if (frames[0].document.body.textContent) went.push("frame"); } catch { }
  window.went = went;
});
</script><body></body>"""
"""A page of somebody else that knows even the secret and the token."""


def _visited(chromium: Any, house: Served) -> set[str]:
    """What a browser let such a page do, once a person has opened it."""
    tap = json.dumps({"id": str(uuid.uuid4()), "what": "late", "item": "boards", "expected": "2027-03-20"})
    content = HOSTILE % json.dumps([f"{house.origin}/{house.keys.write}/", house.keys.token, tap])

    class Answering(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(content.encode())

        def log_message(self, *_: object) -> None:
            return

    with ThreadingHTTPServer(("127.0.0.1", 0), Answering) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        context = chromium.new_context()
        page = context.new_page()
        page.goto(f"http://localhost:{server.server_port}/")
        page.wait_for_function("window.went", timeout=SOON)
        page.wait_for_timeout(300)
        went = set(page.evaluate("window.went"))
        context.close()
        server.shutdown()
    return went


def test_a_hostile_page_in_the_same_browser_neither_reads_nor_writes(
    chromium: Any, house: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is sent without asking first (`plain`, `beacon`) goes out, and is refused. Where origin, token and media
    type are not looked at, the same page writes: else this would prove nothing."""
    before = len(house.lines)
    assert _visited(chromium, house) <= {"plain", "beacon"}
    assert len(house.lines) == before
    with monkeypatch.context() as patch:
        patch.setattr(app, "from_here", lambda *_: None)
        patch.setattr(app, "same", lambda *_: True)
        patch.setattr(app, "JSON", "text/plain")
        _visited(chromium, house)
    assert len(house.lines) > before
