"""What only a page that is served says: what was recorded last, what to subscribe to, and the words of its script."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

from scheduler.model.page import Live
from scheduler.telling.dates import LocalFace
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.views.index import Book
from scheduler.telling.wording import length_words, one_line

WORDS: Mapping[str, str] = {
    "done": "Done",
    "more": "More",
    "now": "Done now",
    "at": "Done at another time",
    "begun": "Begun; still to do",
    "record": "Record",
    "close": "Close",
    "there": "It is there",
    "ordered": "Ordered",
    "bought": "Bought",
    "late": "Comes on another day",
    "lost": "Does not take place",
    "planned_all": "As planned",
    "some": "Some of it",
    "nobody": "None of it",
    "worked": "What was done?",
    "took": "It took",
    "dry": "Feels dry",
    "tacky": "Still tacky",
    "stage": "At the stage",
    "reached": "By now",
    "notYet": "Not yet",
    "back": "Take back",
    "unsent": "not sent yet",
    "unsent1": "1 tap not sent yet; it stays on this phone until this page is open near the laptop.",
    "unsents": "{n} taps not sent yet; they stay on this phone until this page is open near the laptop.",
    "planning": "Being planned anew.",
    "recorded": "Recorded.",
    "planned": "Planned anew.",
    "old": "The laptop does not answer. What you see may be old.",
    "held": "The laptop can’t record just now; it is tried again. A fault in the job file is shown below.",
    "against": "Needs you: it speaks against what is recorded",
    "leave": "Leave it",
    "instead": "Take the other back and record mine",
    "off": "The clock of this phone is {n} min off; that of the laptop counts.",
    "refused": "The laptop refuses this address. Open the page by the address that it shows now.",
    "full": "This browser keeps nothing: a tap is lost when the page is closed.",
}
"""What the script says, by the names under which it asks for it."""
LENGTHS = (15, 30, 45, 60, 90, 120, 180, 240, 360, 480)
"""Minutes of work that may be left."""
TRIED = ("touch", "handle", "sand", "recoat", "paint_over", "tape")
"""The stages that a finger can try."""
KINDS: Mapping[str, str] = {
    "plan": "The whole plan",
    "household": "For the household: what is out of use, and until when",
    "helper": "For whoever helps: the sessions for two",
}
"""The calendars, in words."""


class Living:
    """The words of a served page; nothing without one."""

    def __init__(self, book: Book, live: Live | None, face: LocalFace, tongue: Tongue):
        self.book, self.live, self.face, self.tongue = book, live or Live(), face, tongue

    def recent(self) -> tuple[tuple[int, str, str], ...]:
        """(line of the diary, what it says, when it was written)."""
        return tuple((each.line, one_line(each.said), self.face.moment(each.at)) for each in self.live.recent)

    def films(self) -> tuple[tuple[str, str, str], ...]:
        """(step, its title, the stages that a finger can try as JSON) of each film that is drying now."""
        now = self.book.plan.as_of
        found = []
        for step in self.book.plan.steps:
            stages = step.film.stages if step.film is not None and step.state == "done" else {}
            if any(stages.get(stage, 0) > now for stage in TRIED):
                words = {stage: self.tongue.stage(stage) for stage in TRIED if stage in stages}
                found.append((step.id, self.book.title(step), json.dumps(words)))
        return tuple(found)

    def subscriptions(self) -> tuple[tuple[str, str, str, str], ...]:
        """(whose, address for a calendar program, address to copy, QR code) of each calendar."""
        return tuple(
            (
                self.tongue(KINDS[each.kind]),
                re.sub("^http", "webcal", each.address),  # webcals over TLS
                each.address,
                each.code,
            )
            for each in self.live.subscriptions
        )

    def words(self) -> str:
        """All that the script says, as JSON."""
        lengths = {str(minutes): length_words(minutes, days=False) for minutes in LENGTHS}
        clock = {"clock24": self.book.plan.clock24 or self.tongue.lang != "en"}
        return json.dumps(
            {name: self.tongue(phrase) for name, phrase in WORDS.items()} | {"lengths": lengths} | clock
        )
