"""Records put into words as whoever reads them gets them: in English, by the clock of UTC that counts to 24."""

from __future__ import annotations

from scheduler.model.message import Message
from scheduler.telling.dates import face_of
from scheduler.telling.words import Clocked, Words


def spoken(told: Message, lang: str = "en") -> str:
    """The sentence of a record that is about no plan."""
    return Words(Clocked(face_of("UTC", True, lang)), lang).say(told)
