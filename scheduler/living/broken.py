"""What the record broke, as the plan tells it: what happened, what to look for, and when to go on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scheduler.model.broken import Broken, PastBreak
from scheduler.model.message import Message, message
from scheduler.model.plan import Plan

_TOO_SOON = {
    "recoat": "advice.recoat",
    "sand": "advice.sand",
    "tape": "advice.tape",
    "paint_over": "advice.paint_over",
}
"""What to look for, by the stage that was not waited for; where none is named, for marks."""


def broken_rules(found: Iterable[PastBreak], plan: Plan) -> tuple[Broken, ...]:
    """What the record broke as the plan tells it: the rule, the step, and what can be done."""
    tell = _Tell(plan)
    undone: dict[str, list[PastBreak]] = {}
    for each in found:
        if each.rule == "out of order" and each.since is None:
            undone.setdefault(each.step, []).append(each)
    told: dict[Broken, None] = {}
    for each in found:
        whole = _undone(undone[each.step]) if each in undone.get(each.step, ()) else tell.of(each)
        told[Broken(each.rule, each.step, whole)] = None  # what is not done before one step is told at once
    return tuple(told)


def _undone(found: Sequence[PastBreak]) -> Message:
    """All that comes before one step and is not done by the record."""
    kind = "past.undone" if len(found) == 1 else "past.all undone"
    others = tuple(each.other for each in found)
    return message(kind, step=found[0].step, began=found[0].began, others=others)


class _Tell:
    """Turns what was broken into messages, by what the plan says of films and as of when it was made."""

    def __init__(self, plan: Plan) -> None:
        self.now = plan.as_of
        self.films = {step.id: step.film for step in plan.steps}

    def of(self, each: PastBreak) -> Message:  # noqa: PLR0911 - a message for each rule
        """What happened, and what can be done."""
        step, other, began = each.step, each.other, each.began
        till = None if each.right is None else message("past.till", right=each.right)
        match each.rule:
            case "stage not reached" | "wait not kept":
                return self._too_soon(each)
            case "missed window":
                ended = "past.had ended" if each.right is None else "past.ended"
                over = message(ended, right=each.right)
                advice = message("advice.too late") if each.stage is None else message("advice.let go")
                return message("past.window", step=step, began=began, other=other, ended=over, advice=advice)
            case "out of order":
                if each.since is None:
                    return _undone([each])
                return message("past.crossed", step=step, began=began, other=other, since=each.since)
            case "item not there yet":
                kind = "past.item without date" if each.right is None else "past.item"
                return message(kind, step=step, began=began, item=other, comes=each.right)
            case "outside air limits":
                film = self.films.get(step)
                limits = (
                    message("past.limits", limits=film.air or film.limits_said) if film and film.limits_said else None
                )
                when = message("past.while wet") if each.right is None else message("past.before", right=each.right)
                advice = self._advice("advice.unformed", each)
                return message("past.air", step=step, began=began, limits=limits, when=when, advice=advice)
            case "dust over wet film":
                advice = self._advice("advice.grit", each)
                return message("past.dust", step=step, began=began, other=other, till=till, advice=advice)
            case "wet over dust":
                advice = self._advice("advice.grit", each)
                return message("past.in dust", step=step, began=began, other=other, advice=advice)
            case "closed room":
                advice = self._advice("advice.marked", each)
                return message("past.closed", step=step, began=began, other=other, till=till, advice=advice)

    def _too_soon(self, each: PastBreak) -> Message:
        """`since` is known: what it should have waited for was over."""
        since = each.began if each.since is None else each.since
        late, right = each.began - since, each.right
        until = {} if right is None else {"wait": right - since, "until": right}
        if each.stage is None:
            gets = message("past.length", **until) if until else message("past.never")
            return message("past.wait", step=each.step, late=late, other=each.other, right=gets)
        gets = message("past.gets", stage=each.stage, **until) if until else message("past.never")
        kind = _TOO_SOON.get(each.stage, "advice.marked")
        if each.stage == "recoat" and self.films.get(each.step) is None:
            kind = "advice.marked"
        advice = self._advice(kind, each)
        return message("past.stage", step=each.step, late=late, other=each.other, right=gets, advice=advice)

    def _advice(self, kind: str, each: PastBreak) -> Message:
        """With the moment from which the film is dry, if that lies ahead."""
        ahead = each.dry is not None and each.dry > self.now
        return message(kind, dry=message("advice.dry", until=each.dry) if ahead else None)
