"""The page as a browser shows it: Chromium without a head, driven by Playwright; accessibility by axe-core 4."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from scheduler.living.paging import page_facts
from scheduler.model.asides import Asides
from scheduler.model.page import PageFacts
from scheduler.model.plan import Plan
from scheduler.telling.page import page
from tests.support.plans import hobby_room, unheard
from tests.telling.page.browsing import AXE, PHONE, WIDE, Browser, Shown, need, open_browser
from tests.telling.page.pages import EXAMPLES, SECTIONS, SIZES, crowded, everything, example
from tests.telling.page.papers import text_sizes
from tests.telling.page.test_page import HOSTILE, _with, seen
from tests.telling.page.test_picture import AWAY, VISIT
from tests.telling.test_german import STARTED, planned

pytestmark = pytest.mark.long

A4, LETTER = (595, 842), (612, 792)
"""Points: ISO 216 A4 is 210 by 297 mm, ANSI A (Letter) 8.5 by 11 inches."""

NAMES = [*EXAMPLES, *(str(size) for size in SIZES)]


@pytest.fixture(scope="module")
def _browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with open_browser(tmp_path_factory.mktemp("page")) as found:
        yield found


@pytest.fixture
def browser(_browser: Browser) -> Iterator[Browser]:
    yield _browser
    _browser.close()


def text_of(name: str) -> str:
    return page(*(crowded(int(name)) if name.isdigit() else example(name)))


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, WIDE])
def test_every_section_is_shown_and_nothing_goes_wrong(browser: Browser, size: tuple[int, int], scheme: str) -> None:
    """On a phone and on a screen, by day and by night: all there, no error, no request, no sideways scroll."""
    shown = browser.show(page(*everything()), size, color_scheme=scheme)
    for name in SECTIONS:
        assert shown.page.locator(f"#{name}").is_visible(), name
        assert shown.page.locator(f"#{name}").bounding_box()["width"] <= size[0]
    assert shown.page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert shown.errors == []
    assert [url for url in shown.requests if not url.endswith("/page.html")] == []
    dark = shown.page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert (sum(map(int, re.findall(r"\d+", dark)[:3])) < 200) == (scheme == "dark")


@pytest.mark.parametrize("size", [PHONE, WIDE])
@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_fits_its_window(browser: Browser, name: str, size: tuple[int, int]) -> None:
    shown = browser.show(text_of(name), size)
    assert shown.page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert shown.errors == []


OVERLAPS = """() => {
  const found = [];
  for (const svg of document.querySelectorAll('#picture figure svg')) {
    const frame = svg.getBoundingClientRect();
    if (!frame.width) continue;
    const boxes = [...svg.querySelectorAll('text')].map((t) => [t.getBoundingClientRect(), t.textContent]);
    for (const [a, text] of boxes)
      if (a.left < frame.left - .5 || a.right > frame.right + .5 || a.top < frame.top - .5
          || a.bottom > frame.bottom + .5)
        found.push('outside: ' + text);
    for (let i = 0; i < boxes.length; i++) for (let j = i + 1; j < boxes.length; j++) {
      const [a, one] = boxes[i], [b, other] = boxes[j];
      const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (across > .5 && down > .5) found.push(`${one} | ${other} | ${across.toFixed(1)} x ${down.toFixed(1)}`);
    }
  }
  return [found, document.querySelectorAll('#picture figure svg text').length];
}"""


@pytest.mark.parametrize("name", NAMES)
def test_no_label_of_the_picture_lies_over_another(browser: Browser, name: str) -> None:
    """By the boxes that the browser itself measures, across and down; none sticks out, either."""
    for size in (WIDE, PHONE):
        found, count = browser.show(text_of(name), size).page.evaluate(OVERLAPS)
        assert count > 40
        assert found == []


def test_ticks_survive_a_reload_and_hold_wherever_a_thing_stands(browser: Browser) -> None:
    """What is ticked in the next session is ticked in its weekend, too, and again tomorrow."""
    shown = browser.show(page(*everything()))
    box = shown.page.locator("#next input[data-tick^='s:']").first
    key = box.get_attribute("data-tick")
    box.check()
    same = shown.page.locator(f"input[data-tick='{key}']")
    assert same.count() == 3, "on the card, in the next session, in its weekend"
    assert _comes_back(shown, lambda: [same.nth(n).is_checked() for n in range(3)] == [True, True, True])
    shown.page.locator("details").evaluate_all("all => all.forEach((each) => { each.open = true; })")
    shown.page.locator("#weekends").locator(f"input[data-tick='{key}']").uncheck()
    assert _comes_back(shown, lambda: not same.first.is_checked())
    assert shown.page.evaluate("Object.keys(localStorage)") == ["tackfree:hobby-room"]


def test_what_is_ticked_is_copied_as_commands_for_the_diary(browser: Browser) -> None:
    """A step once all its pieces are ticked, an order, a thing bought; what the plan knows as done is left out."""
    shown = browser.show(page(*everything()))
    copy = shown.page.locator("#copy")
    assert not copy.is_visible()
    shown.page.locator("#now input[data-tick='s:sand-the-filler:1']").check()
    shown.page.locator("#now input[data-tick^='n:']").first.check()
    shown.page.locator("#shopping input[data-tick^='b:']").first.check()
    wanted = ["tackfree did . sand-the-filler", "tackfree ordered . doors", "tackfree bought . 'latex paint'"]
    assert copy.locator("textarea").input_value().splitlines() == wanted
    copy.locator("button").click()
    assert copy.locator("[role=status]").inner_text() == "✓"
    shown.page.locator("#now input[data-tick='s:sand-the-filler:1']").uncheck()
    assert copy.locator("textarea").input_value().splitlines() == wanted[1:]


def _comes_back(shown: Shown, holds: Callable[[], bool]) -> bool:
    """Whether it holds after a reload; a browser may take a moment to put down what it is to keep."""
    for _ in range(20):
        shown.page.reload()
        if holds():
            return True
        shown.page.wait_for_timeout(100)
    return False


def test_without_a_script_everything_is_there(browser: Browser) -> None:
    """A script only ticks, folds and points: the page reads the same without; folds open, boxes can be ticked."""
    shown = browser.show(page(*everything()), folded=True, java_script_enabled=False)
    for name in SECTIONS:
        if name not in ("clear", "now", "holds"):
            shown.page.locator(f"#{name} > summary").click()
        assert shown.page.locator(f"#{name}").is_visible(), name
    shown.page.locator("#next input").first.check()


@pytest.mark.parametrize("size", [PHONE, (390, 844)])
def test_on_a_phone_the_card_is_the_first_screen_and_all_else_is_folded(
    browser: Browser, size: tuple[int, int]
) -> None:
    """Of the small plan the card ends within the window, the page within three; what is tapped is 44 px high (WCAG
    2.2, 2.5.5); the box of the first step is among the first stops of the Tab key; nothing scrolls sideways."""
    shown = browser.show(page(*everything()), size, folded=True)
    card, whole, side, small, stops = shown.page.evaluate(
        """() => {
          const stops = [...document.querySelectorAll('a[href], input, summary, [tabindex="0"]')];
          const seen = stops.filter((each) => each.checkVisibility());
          const tapped = [...document.querySelectorAll('#now label, #now summary, nav a, .fold > summary')];
          const root = document.documentElement;
          return [document.getElementById('now').getBoundingClientRect().bottom, root.scrollHeight, root.scrollWidth,
            tapped.filter((each) => each.checkVisibility() && each.offsetHeight < 44).length,
            seen.findIndex((each) => (each.dataset.tick || '').startsWith('s:'))];
        }"""
    )
    assert card <= size[1]
    assert whole <= 3 * size[1]
    assert side <= size[0]
    assert small == 0
    assert 0 <= stops < 5


def test_the_keyboard_reaches_everything(browser: Browser) -> None:
    """With the Tab key alone every link, box, fold and scrolled part is come to, in the order of the page."""
    shown = browser.show(page(*everything()))
    wanted = shown.page.evaluate(
        """() => [...document.querySelectorAll('a[href], input, summary, [tabindex="0"]')]
        .filter((each) => each.checkVisibility({contentVisibilityAuto: true}) && each.getClientRects().length)
        .map((each, n) => { each.dataset.n = n; return n; })"""
    )
    reached = []
    for _ in wanted:
        shown.page.keyboard.press("Tab")
        reached.append(int(shown.page.evaluate("document.activeElement.dataset.n ?? -1")))
    assert reached == wanted


def test_a_stop_below_the_picture_leads_to_its_step(browser: Browser) -> None:
    """Enter on a stop goes to the line of its session."""
    shown = browser.show(page(*everything()))
    link = shown.page.locator(".stops a").first
    title = link.inner_text()
    link.press("Enter")
    assert shown.page.evaluate("document.querySelector(':target').textContent").find(title) > 0


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, WIDE])
def test_an_accessibility_engine_finds_nothing(browser: Browser, size: tuple[int, int], scheme: str) -> None:
    """Every rule of axe-core, contrast AA among them, with all that is folded opened."""
    need(AXE.is_file(), "no axe-core (npm install axe-core, its folder named in TACKFREE_NODE_READERS)")
    shown = browser.show(page(*everything()), size, color_scheme=scheme)
    shown.page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")
    shown.page.evaluate(AXE.read_text("utf-8") + ";0")
    rules = {"resultTypes": ["violations"]}
    found = shown.page.evaluate("options => axe.run(document, options)", rules)
    assert len(found["passes"]) > 20
    told = [(rule["id"], [node["html"][:200] for node in rule["nodes"][:3]]) for rule in found["violations"]]
    assert told == []


MARKS = """() => {
  const rgb = (text) => text.match(/[\\d.]+/g).slice(0, 3).map(Number);
  const bright = (text) => {
    const [r, g, b] = rgb(text).map((each) => each / 255)
      .map((each) => each <= .04045 ? each / 12.92 : ((each + .055) / 1.055) ** 2.4);
    return .2126 * r + .7152 * g + .0722 * b;
  };
  const ratio = (one, two) => {
    const [low, high] = [bright(one), bright(two)].sort((a, b) => a - b);
    return (high + .05) / (low + .05);
  };
  const paper = getComputedStyle(document.body).backgroundColor;
  const strip = getComputedStyle(document.querySelector('.p-fold')).fill;
  const found = [];
  for (const mark of document.querySelectorAll('#picture path[class^="p-"], #picture pattern path, #picture text')) {
    const style = getComputedStyle(mark), name = mark.getAttribute('class');
    if (['p-night', 'p-fold', 'p-day', 'p-plate', 'p-halo', 'p-bare'].includes(name)) continue;
    const ink = [style.stroke, style.fill].filter((each) => each.startsWith('rgb') && each !== paper);
    const best = Math.max(...ink.map((each) => Math.min(ratio(each, paper), ratio(each, strip))));
    found.push([name, Math.round(best * 100) / 100]);
  }
  return found;
}"""


def _marks(browser: Browser, text: str, scheme: str) -> list[list[Any]]:
    found: list[list[Any]] = browser.show(text, color_scheme=scheme).page.evaluate(MARKS)
    return found


def _busy() -> tuple[Plan, PageFacts]:
    """The small plan with an appointment and days away."""
    return replace(hobby_room(), visits=(VISIT,)), AWAY


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_mark_of_the_picture_stands_out_from_its_ground(browser: Browser, scheme: str) -> None:
    """Against the paper and against a torn strip: 3:1 for what is drawn (WCAG 2.2, 1.4.11), 4.5:1 for letters
    (1.4.3); relative luminance as there. The shade of nights, the edges of days and what lies behind letters is
    decoration: the times are said beside the marks."""
    texts = (text_of("60"), page(*_busy()))
    found = {(name, ratio) for text in texts for name, ratio in _marks(browser, text, scheme)}
    assert {"p-visit", "p-away", "p-off", "hatch", "p-thin", "p-hard", "p-chain", "p-next", "p-use", "t-time"} <= {
        name for name, _ in found
    }
    weak = [(name, ratio) for name, ratio in found if ratio < (4.5 if name.startswith("t-") else 3)]
    assert weak == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_an_accessibility_engine_finds_nothing_in_any_state_of_the_card(browser: Browser, scheme: str) -> None:
    """In the middle of a session, with wet films at night, with what is urgent, and when all of it is done."""
    need(AXE.is_file(), "no axe-core (npm install axe-core, its folder named in TACKFREE_NODE_READERS)")
    urgent = Asides(promised=date(2027, 1, 16), unrecorded=unheard("2027-01-02 09:00 12:00"))
    states = (
        (seen("2027-01-16 11:30", "sand-the-filler"), Asides()),
        (seen("2027-01-16 17:10", "sand-the-filler", "prime-the-walls"), urgent),
        (seen("2027-01-24 09:00", *(each.id for each in hobby_room().steps)), Asides()),
    )
    for made, asides in states:
        shown = browser.show(page(made, PageFacts(asides=asides)), PHONE, color_scheme=scheme)
        shown.page.evaluate(AXE.read_text("utf-8") + ";0")
        found = shown.page.evaluate("axe.run(document, {resultTypes: ['violations']})")
        assert [(rule["id"], rule["nodes"][0]["html"][:200]) for rule in found["violations"]] == []
        assert shown.page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]


@pytest.mark.parametrize("state", [("2027-01-16 11:30", "sand-the-filler"), ("2027-01-16 17:10", "sand-the-filler")])
def test_in_the_middle_of_a_job_the_card_is_one_phone_screen_too(browser: Browser, state: tuple[str, str]) -> None:
    """In a session and on the evening of one, with a promise missed, an order overdue and a session that nobody told
    of: within 390 by 844, and on a small phone, 360 by 740."""
    made = seen(*state, *(["prime-the-walls"] if "17" in state[0] else []))
    urgent = Asides(promised=date(2027, 1, 16), unrecorded=unheard("2027-01-02 09:00 12:00"))
    shown = browser.show(page(made, PageFacts(asides=urgent)), (390, 844), folded=True).page
    for width, height in ((390, 844), PHONE):
        shown.set_viewport_size({"width": width, "height": height})
        assert shown.evaluate("document.getElementById('now').getBoundingClientRect().bottom") <= height


def test_no_page_scrolls_sideways_at_320_nor_at_twice_the_size_of_letters(browser: Browser) -> None:
    """WCAG 2.2, 1.4.10 and 1.4.4: reflow at 320 pixels, and text of 200 % without anything being lost."""
    shown = browser.show(page(*everything()), (320, 640))
    assert shown.page.evaluate("document.documentElement.scrollWidth") <= 320
    for text in (page(*everything()), page(*everything(), "de"), german()):
        shown = browser.show(text, (390, 900))
        shown.page.evaluate("document.documentElement.style.fontSize = '200%'")
        for width in (390, 640):
            shown.page.set_viewport_size({"width": width, "height": 900})
            assert shown.page.evaluate("document.documentElement.scrollWidth") <= width


def german() -> str:
    """A job told in German by the words of methods and materials, some of which are longer than a line of a phone."""
    made, _ = planned(STARTED)
    return page(made.plan, page_facts(made))


BROKEN = """() => {
  const found = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode, parent = node.parentElement;
    if (parent.closest('script, style, code, textarea, svg') || !parent.checkVisibility()) continue;
    for (const word of node.data.matchAll(/[\\p{L}\\p{N}]+/gu)) {
      const range = document.createRange();
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      const rows = new Set([...range.getClientRects()].map((box) => Math.round(box.top / 4)));
      if (rows.size > 1) found.push(word[0]);
    }
  }
  return found;
}"""


@pytest.mark.parametrize("name", ["hobby-room", "flat"])
def test_no_word_is_broken_inside(browser: Browser, name: str) -> None:
    """Of none are two pieces in two rows, with all that is folded opened: at 320 pixels and wider, and at 768 with
    letters twice as large, where nothing scrolls sideways either."""
    shown = browser.show(text_of(name), (320, 800)).page
    for width in (320, 390, 768, 1280):
        shown.set_viewport_size({"width": width, "height": 800})
        assert shown.evaluate(BROKEN) == [], width
    shown.set_viewport_size({"width": 768, "height": 800})
    shown.evaluate("document.documentElement.style.fontSize = '200%'")
    assert shown.evaluate(BROKEN) == []
    assert shown.evaluate("document.documentElement.scrollWidth") <= 768


STOPS = """() => {
  const all = [...document.querySelectorAll('a[href], input, summary, textarea, button, [tabindex="0"]')]
    .filter((each) => each.checkVisibility({contentVisibilityAuto: true}) && each.getClientRects().length);
  const small = [...document.querySelectorAll('label, summary, nav a, button')]
    .filter((each) => each.checkVisibility() && each.getBoundingClientRect().height < 44);
  return [all.findIndex((each) => (each.dataset.tick || '').startsWith('s:')), all.length,
    small.map((each) => each.outerHTML.slice(0, 80))];
}"""


@pytest.mark.parametrize("state", ["begun", "busy", "2000"])
def test_the_first_step_is_among_the_first_40_stops_and_what_is_tapped_is_44_high(
    browser: Browser, state: str
) -> None:
    """Mid-job with all that is urgent, with appointments, and in a job of 2,000 steps, on a phone with the folds as
    they come (WCAG 2.2, 2.5.5); that job's page is less than 1.5 MB."""
    urgent = Asides(promised=date(2027, 1, 16), unrecorded=unheard("2027-01-02 09:00 12:00"))
    text = {
        "begun": lambda: page(seen("2027-01-16 11:30", "sand-the-filler"), PageFacts(asides=urgent)),
        "busy": lambda: page(*_busy()),
        "2000": lambda: text_of("2000"),
    }[state]()
    assert len(text.encode()) < 1_500_000
    shown = browser.show(text, (390, 844), folded=True).page
    first, stops, small = shown.evaluate(STOPS)
    assert 0 <= first < 40
    assert stops > first
    assert small == []


@pytest.mark.parametrize("text", HOSTILE)
def test_what_a_job_file_says_is_never_run(browser: Browser, text: str) -> None:
    """Not one of the titles does anything but stand there."""
    made, facts = everything()
    shown = browser.show(page(*_with(made, facts, text)))
    assert shown.page.evaluate("window.hit") is None
    assert shown.errors == []
    assert [url for url in shown.requests if not url.endswith("/page.html")] == []
    start = text.split("\u202e", maxsplit=1)[0].split("\x00", maxsplit=1)[0].strip()
    assert start in shown.page.locator("h1").inner_text()


@pytest.mark.parametrize(("paper", "size"), [("A4", A4), ("Letter", LETTER)])
@pytest.mark.parametrize("name", EXAMPLES)
def test_on_paper_the_sheets_for_the_wall_come_first_then_the_picture_then_what_is_behind(
    browser: Browser, name: str, paper: str, size: tuple[int, int]
) -> None:
    """Each sheet for the wall is one page upright, none spills over; the picture lies across, on no more pages than
    it has lines; all that follows runs on upright, a page full before the next begins."""
    shown = browser.show(text_of(name))
    walls, pictures = shown.page.locator(".wall").count(), shown.page.locator(".across").count()
    data = shown.page.pdf(format=paper)
    boxes = [tuple(map(float, box.split())) for box in re.findall(rb"/MediaBox\s*\[([^\]]*)\]", data)]
    sheets = [(round(right - left), round(top - bottom)) for left, bottom, right, top in boxes]
    lying = [place for place, sheet in enumerate(sheets) if sheet[0] > sheet[1]]
    assert lying[0] == walls
    assert len(lying) <= pictures
    assert all(_near(sheets[place], (size[1], size[0])) for place in lying)
    assert all(_near(sheet, size) for place, sheet in enumerate(sheets) if place not in lying)
    assert walls + len(lying) < len(sheets) <= walls + len(lying) + 14


def _near(one: tuple[int, int], other: tuple[int, int]) -> bool:
    return all(abs(a - b) <= 1 for a, b in zip(one, other, strict=True))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_sheet_for_the_wall_is_read_from_two_metres(browser: Browser, paper: str) -> None:
    """Five minutes of arc at 2 m are 2000 mm × tan(5/60°) = 2.91 mm, held by the small letters (ISO 8596).

    Measured on the PDF: sizes of text out of it, the heights of an x and of a 0 from the font at hand. Only the
    line with the date of the plan, the names of the cautions and what a pencil fills in, all of one size, are for an
    arm's length. On the sheet of the whole job a session is 13 pt, read from 1.7 m: no less than 2.3 mm.
    """
    shown = browser.show(page(*everything()))
    share_x, share_0 = shown.page.evaluate(
        """() => {
          const pen = document.createElement('canvas').getContext('2d');
          pen.font = `1000px ${getComputedStyle(document.body).fontFamily}`;
          return ['x', '0'].map((letter) => pen.measureText(letter).actualBoundingBoxAscent / 1000);
        }"""
    )
    first, whole = list(text_sizes(shown.page.pdf(format=paper)))[:2]
    sizes = sorted(first)
    assert sizes[0] >= 10, "cautions, at arm's length"
    millimetres = [size * 25.4 / 72 for size in sizes]
    assert sum(each * share_x < 2000 * math.tan(math.radians(5 / 60)) for each in millimetres) == 1
    assert millimetres[-1] * share_0 >= 7.5, "the time until which hands stay off: 13 minutes of arc"
    assert sum(each * 25.4 / 72 * share_x >= 2.3 for each in whole) >= 2
