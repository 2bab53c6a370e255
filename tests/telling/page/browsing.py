"""A browser for the tests of pages: Chromium without a head, driven by Playwright.

Skipped where it is not installed, and told why; with TACKFREE_BROWSER=1 that is a failure. The browser is the one of
the system (TACKFREE_CHROMIUM, or /usr/bin/chromium); axe-core lies in $TACKFREE_NODE_READERS/node_modules.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

CHROMIUM = Path(os.environ.get("TACKFREE_CHROMIUM", "/usr/bin/chromium"))
AXE = Path(os.environ.get("TACKFREE_NODE_READERS", "")) / "node_modules" / "axe-core" / "axe.min.js"
MUST = os.environ.get("TACKFREE_BROWSER") == "1"
FLAGS = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
)
PHONE, WIDE = (360, 740), (1280, 900)


def need(there: bool, why: str) -> None:
    if not there:
        if MUST:
            pytest.fail(why)
        pytest.skip(why)


@dataclass
class Shown:
    """A page in the browser, and what it did that a page must not do."""

    page: Any
    requests: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)


class Browser:
    """One browser for all tests of this module."""

    def __init__(self, chromium: Any, folder: Path) -> None:
        self.chromium, self.folder = chromium, folder
        self.contexts: list[Any] = []

    def show(self, text: str, size: tuple[int, int] = WIDE, *, folded: bool = False, **more: Any) -> Shown:
        """Open a page of that text in a window of that size; all its folds are opened unless they are to stay."""
        file = self.folder / "page.html"
        file.write_text(text, encoding="utf-8")
        context = self.chromium.new_context(viewport={"width": size[0], "height": size[1]}, **more)
        self.contexts.append(context)
        shown = Shown(context.new_page())
        shown.page.on("console", lambda message: shown.errors.append(message.text))
        shown.page.on("pageerror", lambda error: shown.errors.append(str(error)))
        context.on("request", lambda request: shown.requests.append(request.url))
        shown.page.goto(file.as_uri())
        if not folded:
            shown.page.evaluate(
                "() => { for (const each of document.querySelectorAll('details')) each.open = true; }"
            )
        return shown

    def close(self) -> None:
        """Close all that was opened since."""
        while self.contexts:
            self.contexts.pop().close()


@contextmanager
def open_browser(folder: Path) -> Iterator[Browser]:
    """One browser, whose pages lie in that folder while it is open."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        need(False, "playwright is not installed (pip install playwright)")
    need(CHROMIUM.exists(), f"no Chromium at {CHROMIUM} (apt-get install chromium, or name it in TACKFREE_CHROMIUM)")
    with sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        yield Browser(chromium, folder)
        chromium.close()
