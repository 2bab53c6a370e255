"""What the record broke, in words: what happened, what it means for the work, what to look for, and when to go on.

What to look for is common practice among painters and finishers, from memory; no single source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from scheduler.model.broken import Broken, PastBreak
from scheduler.model.plan import Plan
from scheduler.telling.dry_words import MEANINGS
from scheduler.telling.text.sheet import Sheet
from scheduler.telling.views.index import Book
from scheduler.telling.wording import length_words, one_line

HEADING = "Rules that what has happened broke, and what can be done"
"""Over the sentences, wherever they are listed."""

_TOO_SOON: Mapping[str, str] = {
    "recoat": "The film underneath stays soft: look for wrinkles and for places that lift{until}, and sand what "
    "wrinkled smooth before the next coat",
    "sand": "It tears and clogs where it is soft: look for gouges{until}, then fill them and sand once more",
    "tape": "The tape may take the paint along: pull it slowly and low, look at the edge{until}, and touch it up",
    "paint_over": "What is under the paint still shrinks: look for cracks along it{until}, and fill what has cracked",
}
_MARKED = "Look for prints and for places that stick{until}, and mend what is marked"
_GRIT = (
    "Grit sticks in the film: look along it against the light{until}, then sand it off and wipe before the next coat"
)
_UNFORMED = "Look for soft, dull or chalky places{until}; sand off what rubs off, and lay it again"
_LET_GO = (
    "The two may not hold together: once it is dry, press tape on where it does not show and pull it off; where the "
    "film comes along, sand it back and lay it again"
)
_TOO_LATE = "Look whether it holds, or came off clean; where it does not, do it over"
_UNDONE = "If it was done, record it; else do it as far as it still can be done, and look at what lies over it"
_ALL_UNDONE = "What was done, record it; do the rest as far as it still can be done, and look at what lies over it"
_CROSSED = "Look at what the one did to the other, and mend it before the next step"
_WITHOUT = "If it is there, record that; if something else was taken in its place, check that it fits what follows"


def broken_rules(found: Iterable[PastBreak], plan: Plan) -> tuple[Broken, ...]:
    """What the record broke as the plan tells it: the rule, the step, and what can be done in a sentence or two."""
    words = _Words(plan)
    undone: dict[str, list[PastBreak]] = {}
    for each in found:
        if each.rule == "out of order" and each.since is None:
            undone.setdefault(each.step, []).append(each)
    told: dict[Broken, None] = {}
    for each in found:
        whole = words.undone(undone[each.step]) if each in undone.get(each.step, ()) else words.of(each)
        told[Broken(each.rule, each.step, whole)] = None  # what is not done before one step is told at once
    return tuple(told)


def broken_text(broken: Iterable[Broken], width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """A short block with a point for each; empty without any."""
    sheet = Sheet(width, ascii)
    sheet.points(HEADING, (one_line(each.said) for each in broken))
    return sheet.text(colour)


_WHAT_REMAINS: Mapping[str, str] = {
    "order": "What was done out of turn leaves no other way: look at what the one does to the other",
    "stage": "The film never gets that far in this air: heat or dry the room, or take the film off",
    "window": "Do it as soon as you can and look whether it holds; where it does not, take it off and lay it again",
    "clean": "Vacuum and wipe down before it",
    "air": "Heat or dry the room until the air is fit, or take another material",
    "closed": "What was done out of turn leaves no other way: look where the film can bear it, mend what is marked",
    "resource": "That is more than there ever is: get help or a quieter way, or change it in the job file",
    "one piece": "No session is long enough: leave it where no seam shows, or make a session longer",
    "date": "Nobody knows when it comes: give it a date, `tackfree late JOB ITEM DATE`",
    "hours": "It is planned as if they went on as before: say in the job file when you can work",
}
"""By the rule that had to give way in a plan: what can be done."""


def yielded(said: str, title: str, rule: str) -> str:
    """A sentence about what a plan breaks of a rule that had to give way, and what can be done."""
    return f"“{title}” {said}. {_WHAT_REMAINS[rule]}."


class _Words:
    """Puts what was broken into words, with the titles and the clock of a plan."""

    def __init__(self, plan: Plan) -> None:
        self.book = Book(plan)
        self.face = self.book.face

    def of(self, each: PastBreak) -> str:
        """What happened, and what can be done."""
        step, other, till = self.book.quoted(each.step), self.book.quoted(each.other), self._till(each)
        when = self.face.moment(each.began)
        match each.rule:
            case "stage not reached" | "wait not kept":
                return self._too_soon(each)
            case "missed window":
                ended = "had ended" if each.right is None else f"ended {self.face.moment(each.right)}"
                said = f"{step} was begun {when}; the time for it after {other} {ended}"
                advice = _TOO_LATE if each.stage is None else _LET_GO
            case "out of order":
                if each.since is None:
                    return self.undone([each])
                said = f"{step} was begun {when}, before {other} was over ({self.face.moment(each.since)})"
                advice = _CROSSED
            case "item not there yet":
                comes = "has no date yet" if each.right is None else f"comes {self.face.date(each.right)}"
                item = f"“{self.book.item_title(each.other)}”"
                said = f"{step} was begun {when} and needs {item}, which {comes} by the record"
                advice = _WITHOUT
            case "outside air limits":
                film = self.book.steps[each.step].film if each.step in self.book.steps else None
                limits = f" ({one_line(film.limits_said)})" if film is not None and film.limits_said else ""
                before = "while it was wet" if each.right is None else f"before {self.face.moment(each.right)}"
                said = f"{step} was laid from {when} on, and the air left its limits{limits} {before}"
                advice = _UNFORMED
            case "dust over wet film":
                said, advice = f"{step} made dust {when}, while {other} was wet{till}", _GRIT
            case "wet over dust":
                said = f"{step} was begun {when} in the dust of {other}, with no wipe-down recorded in between"
                advice = _GRIT
            case "closed room":
                said, advice = f"{step} was worked on {when}, while {other} closed the room{till}", _MARKED
        return f"{said}. {self._advice(advice, each)}."

    def undone(self, found: Sequence[PastBreak]) -> str:
        """All that comes before one step and is not done by the record."""
        step, when = self.book.quoted(found[0].step), self.face.moment(found[0].began)
        others = ", ".join(self.book.quoted(each.other) for each in found)
        if len(found) == 1:
            return (
                f"{step} was begun {when}, and {others}, which comes before it, is not done by the record. {_UNDONE}."
            )
        return (
            f"{step} was begun {when}, and not done by the record is what comes before it: {others}. {_ALL_UNDONE}."
        )

    def _too_soon(self, each: PastBreak) -> str:
        """`since` is known: what it should have waited for was over."""
        other = self.book.quoted(each.other)
        since = each.began if each.since is None else each.since
        first = f"{self.book.quoted(each.step)} was begun {length_words(each.began - since)} after {other}"
        if each.right is None:
            right = "never comes so far in this air"
        else:
            right = f"after {length_words(each.right - since)} (until {self.face.moment(each.right)})"
        if each.stage is None:
            said = f"{first}; by the job it waits {right.removeprefix('after ')}"
            return f"{said}. Look at {other}: what the wait was for may have suffered."
        means = MEANINGS.get(each.stage, each.stage)
        gets = right if each.right is None else f"{means if means.startswith('may ') else f'is {means}'} {right}"
        advice = _TOO_SOON.get(each.stage, _MARKED)
        if each.stage == "recoat" and not self._lays(each.step):
            advice = _MARKED
        return f"{first}, which {gets}. {self._advice(advice, each)}."

    def _lays(self, step: str) -> bool:
        return step in self.book.steps and self.book.steps[step].film is not None

    def _advice(self, words: str, each: PastBreak) -> str:
        wet = each.dry is not None and each.dry > self.book.plan.as_of
        until = f", let it dry until {self.face.moment(each.dry)}" if wet and each.dry is not None else ""
        return words.replace("{until}", until)

    def _till(self, each: PastBreak) -> str:
        return "" if each.right is None else f" until {self.face.moment(each.right)}"
