"""Plan -> one self-contained HTML file for phone, wall and household: no request leaves it, no script is needed."""

from __future__ import annotations

import base64
import hashlib
import math
import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.model.page import PageFacts
from scheduler.model.plan import Plan
from scheduler.model.tradewords import ENGLISH
from scheduler.telling.dates import LANGUAGES
from scheduler.telling.marks import PAGE
from scheduler.telling.page.extras import Extras
from scheduler.telling.page.live import Living
from scheduler.telling.page.now_card import NowCard
from scheduler.telling.page.picture.across import across
from scheduler.telling.page.picture.down import down
from scheduler.telling.page.picture.scene import Scene
from scheduler.telling.page.picture.shapes import Drawing, line, number
from scheduler.telling.page.sections import Sections
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.page.wall import wall
from scheduler.telling.text.learned import contradictions, learned_words
from scheduler.telling.views.index import Book
from scheduler.telling.wording import one_line

if TYPE_CHECKING:
    from jinja2 import Environment

__all__ = ["FAULT_MARK", "LANGUAGES", "TOKEN_MARK", "live_policy", "page"]

_TEMPLATES = Path(__file__).parent / "templates"

SHEET, LEAST = 560.0, 75
"""Pixels of a picture of 1,180 that go onto a sheet of A4 or Letter that lies across, below the answer; and the
percent of its width below which letters of 11.5 pixels would be smaller than 5.8 pt on 280 mm."""

TOKEN_MARK = 'data-token=""'
"""Where a served page that may write holds its token; one that may only look has none."""
FAULT_MARK = "<!-- faults -->"
"""Where a served page shows what is wrong with the job file since it was made."""


def page(plan: Plan, facts: PageFacts | None = None, lang: str | None = None) -> str:
    """The page of a plan, in the language of the job, or in another one of LANGUAGES: then titles, materials and
    cautions stand there in that of the job all the same, marked as such, and the page says so.

    Sections beyond the plan appear where `facts` has data. The same input gives the same page.
    """
    found = facts or PageFacts()
    lang = lang or plan.language
    book = Book(plan, lang)
    face = book.face
    tongue = Tongue(face)
    sections = Sections(book, face, tongue)
    extras = Extras(book, found, face, tongue)
    scene = Scene(book, found, tongue)
    style, script = _inlined(live=found.live is not None)
    template = _environment().get_template("page.html.j2")
    weekends = sections.weekends()
    wide = across(scene) if plan.steps else ()
    return template.render(
        _=tongue,
        book=book,
        plan=plan,
        lang=lang,
        own=_marked(plan.language, lang),
        cited=_marked(ENGLISH, lang),
        part=tongue.part(plan.language),
        mark=PAGE,
        key=one_line(plan.job_id) + (f":{found.home.mark}" if found.home is not None else ""),
        place=one_line(found.home.job) if found.home is not None else ".",
        style=style,
        script=script,
        policy=_policy(style, script),
        live=found.live,
        living=Living(book, found.live, face, tongue),
        token=TOKEN_MARK,
        faults=FAULT_MARK,
        shell=_hash(style + script),
        sections=sections,
        extras=extras,
        weekends=weekends,
        later=sections.later(),
        card=NowCard(book, found.asides, face, tongue),
        wall=wall(book, found, face, tongue),
        across=wide,
        fit=_fit(wide),
        down=down(scene) if plan.steps else (),
        left=scene.left(),
        beside=scene.beside(),
        away=found.away,
        steps=sections.steps(scene.until() if plan.steps else 0),
        stops=sections.stops(scene.stops),
        broken=tuple(book.say(each.said) for each in plan.broken),
        learned=(*learned_words(plan.learned, book.words), *contradictions(book)),
        former=tuple(one_line(each.title) or one_line(each.name) for each in plan.former),
        warnings=tuple(face.said(book.say(each)) for each in plan.warnings),
        as_of=face.moment(plan.as_of, year=True),
        zone=one_line(plan.zone),
    )


def _marked(words: str, lang: str) -> str:
    """The attribute of what stands on a page in another language than the page's."""
    return f' lang="{words}"' if words != lang else ""


def _fit(drawings: Sequence[Drawing]) -> int:
    """How wide the picture is printed, percent of a sheet that lies across, so that all lines stand on one; as wide
    as the sheet where they would be too small to be read then."""
    ratio = SHEET / (sum(each.height for each in drawings) or SHEET)
    return max(5 * math.floor(20 * ratio), LEAST) if LEAST <= 100 * ratio < 100 else 100


def _environment() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # loaded late: only pages need it

    found = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.filters["nb"] = _unbroken
    found.globals |= {"n": number, "line": line}
    return found


def _unbroken(text: str) -> str:
    """The text with times kept together: no line ends between 10:25 and am, 9 and h, 6 and March."""
    return re.sub(r"(?<=\d) (?=am\b|pm\b|h\b|min\b|%|[^\W\d])", "\N{NO-BREAK SPACE}", text)


def live_policy() -> str:
    """The Content Security Policy of a served page: it goes with the answer, and lets its script ask our own server.

    In the page itself it would add up with this one, and nothing could be asked (CSP 3, section 8.1).
    """
    more = "connect-src 'self'; img-src 'self' data:; object-src 'none'; frame-ancestors 'none'"
    return f"{_policy(*_inlined(live=True))}; {more}"


def _policy(style: str, script: str) -> str:
    allowed = f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(script)}"
    return f"{allowed}; base-uri 'none'; form-action 'none'"


@cache
def _inlined(*, live: bool) -> tuple[str, str]:
    """The style and the script of a page."""
    names = (("style.css", "live.css"), ("script.js", "live.js")) if live else (("style.css",), ("script.js",))
    style, script = ("".join((_TEMPLATES / name).read_text(encoding="utf-8") for name in each) for each in names)
    return style, script


def _hash(text: str) -> str:
    """The source expression of the Content Security Policy that lets just this text in (CSP 3, section 2.3.1)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
