"""On a terminal: which of the sessions that have passed without a word took place? The answers go into the diary."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.cli.changing import clock_of, say_found
from scheduler.cli.shared import is_asked, is_plain, say_sentence, sentence, typed, width

if TYPE_CHECKING:
    from scheduler.diary.kept import Passed
    from scheduler.living.change import Clock
    from scheduler.living.site import Site
    from scheduler.model.diary import Event


def ask_what_happened(job: Path, as_of: str | None) -> None:
    """Ask about each session, oldest first; no answer leaves it open. Without a terminal nobody is asked."""
    if not is_asked():
        return
    from scheduler.living.asking import session_words

    clock = clock_of(as_of)
    asked: set[int] = set()
    while True:
        site, session = _next(job, clock, asked)
        if session is None:
            return
        asked.add(session.span.start)
        if len(asked) == 1:
            _say(sentence("cli.no record"))
        _say(session_words(site, session))
        try:
            answer = typed(sentence("cli.yes or no")).lower()
        except EOFError:
            say_sentence("cli.left open all")
            return
        yes = answer in sentence("cli.yes").split()
        if yes or answer in sentence("cli.no").split():
            _record(job, clock, session, yes)
        else:
            say_sentence("cli.left open")


def _next(job: Path, clock: Clock, asked: set[int]) -> tuple[Site, Passed | None]:
    """The oldest session that is open and has not been asked about, of the job as it stands now."""
    from scheduler.living.site import open_site, settled_now

    site = open_site(job)
    now = settled_now(site, clock.of(site.job), named=clock.told)
    return site, next((session for session in site.open_questions(now) if session.span.start not in asked), None)


def _record(job: Path, clock: Clock, session: Passed, happened: bool) -> None:
    from scheduler.living.asking import did_not
    from scheduler.living.change import jot
    from scheduler.living.requests import took_place
    from scheduler.telling.text.diary import Teller

    def request(site: Site, now: int) -> Sequence[Event]:
        return took_place(site, session) if happened else did_not(site, now, session)

    site, entries = jot(job, request, clock)
    say_found(site)
    teller = Teller(site.job, site.titles)
    for entry in entries:
        _say(sentence("moves.recorded", said=teller.says(entry.event)), "  ")


def _say(text: str, first: str = "") -> None:
    from scheduler.telling.wording import to_ascii, wrap

    print("\n".join(wrap(to_ascii(text) if is_plain() else text, width(), first)))
