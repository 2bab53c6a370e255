"""What follows what: stages, windows and their remedies, the order of colours, tape."""

from __future__ import annotations

from scheduler.model.graph import Link
from scheduler.model.message import Message, message
from scheduler.verifying.evidence import Found, Ledger, holds, told
from scheduler.wallclock import NEVER


def links(ledger: Ledger) -> Found:
    """A step starts only when each film or step it follows has reached the named stage, and the wait has gone."""
    for link in ledger.graph.links:
        yield from _too_early(ledger, link)


def order_kept(ledger: Ledger) -> Found:
    """What comes after a step by way of steps that were done out of turn waits for it all the same.

    So does what is left of a step that was begun too soon, unless it is work in one piece or wet; what is left of one
    that was begun on a film too soon waits for that film in any case.
    """
    for link in ledger.links_past_facts:
        step, ready = ledger.steps.get(link.after), ledger.ready(link)
        ahead = ledger.planned(step) if step is not None else ()
        if ahead and ready is not None and ahead[0].start < ready:
            yield (
                link.after,
                message(
                    "rule.out of turn",
                    start=ahead[0].start,
                    before=ledger.named(link.before),
                    what=_reached(link),
                    ready=ready,
                ),
            )


def choices(ledger: Ledger) -> Found:
    """Where colours touch one is first (its leader starts first), and what follows from that holds."""
    for choice, option in zip(ledger.graph.choices, ledger.chosen, strict=True):
        for link in option.links:
            for step, said in _too_early(ledger, link):
                one, other = (each.name for each in choice.options)
                yield step, message("rule.choice", said=said, first=option.name, one=one, other=other)


def _too_early(ledger: Ledger, link: Link) -> Found:
    clocks = ledger.films.get(link.before)
    if link.stage and (clocks is None or link.stage not in clocks.stages):
        yield link.after, message("rule.no stage", stage=link.stage, before=ledger.named(link.before))
        return
    ready, after = ledger.ready(link), ledger.moment(link.after)
    if ready is not None and after is not None and not holds(ledger, link):
        wait = message("rule.minutes on", minutes=link.wait) if link.wait else None
        before = ledger.named(link.before)
        yield (
            link.after,
            message("rule.too early", start=after.start, before=before, what=_reached(link), wait=wait, ready=ready),
        )


def _reached(link: Link) -> Message:
    return message("rule.at stage", stage=link.stage) if link.stage else message("rule.done")


def windows_kept(ledger: Ledger) -> Found:
    """A window (`recoat_by`, or minutes after the end) is kept, or its remedy runs between the two steps.

    The remedy starts no earlier than the link would let its follower start, and ends before the follower
    starts. A window without a remedy must be kept.
    """
    for link in ledger.links:
        if ledger.started(link.after) or not ledger.missed(link):
            continue
        latest, after, ready = ledger.latest(link), ledger.moment(link.after), ledger.ready(link)
        if latest is None or after is None or ready is None:
            continue
        if link.remedy is None:
            why = message("rule.no mending")
        elif (mend := ledger.moment(link.remedy)) is None:
            why = message("rule.mending left out", remedy=ledger.named(link.remedy))
        elif mend.end > after.start or (mend.start < ready and not ledger.started(link.remedy)):
            why = message("rule.mending elsewhere", remedy=ledger.named(link.remedy), when=told(mend))
        else:
            continue
        before = ledger.named(link.before)
        yield link.after, message("rule.window", start=after.start, before=before, latest=latest, mend=why)


def remedies_needed(ledger: Ledger) -> Found:
    """A remedy is planned only where its window is missed (a start on the last minute may go either way)."""
    for step, task in ledger.known():
        if task.remedy_of is None or ledger.started(step.id):
            continue
        needed = any(
            not ledger.started(link.after) and _at_the_end(ledger, link) for link in ledger.links_mended(step.id)
        )
        if not needed:
            yield step.id, message("rule.needless remedy", start=step.start)


def _at_the_end(ledger: Ledger, link: Link) -> bool:
    latest, after = ledger.latest(link), ledger.moment(link.after)
    return latest is not None and after is not None and after.start >= latest


def tape_time(ledger: Ledger) -> Found:
    """Tape comes off within its time: of a colour no window from the tape, or from a coat, to the pull is wider.

    A window that the person adds may be; the tighter one of two counts.
    """
    tape = ledger.tape
    for colour in ledger.job.colours if tape is not None else ():
        coats = [task.id for task in ledger.graph.tasks if task.colour == colour.id]
        allowed = {**dict.fromkeys(coats, tape.pull_by), f"{colour.id}-tape": tape.clean_for} if tape else {}
        for before, longest in allowed.items():
            limits = _limits(ledger, before, f"{colour.id}-pull")
            if limits and min(limits) > longest:
                least = min(limits)
                given = message("rule.no limit") if least >= NEVER else message("rule.minutes", minutes=least)
                name = ledger.named(before)
                yield f"{colour.id}-pull", message("rule.tape", given=given, before=name, longest=longest)


def _limits(ledger: Ledger, before: str, after: str) -> list[int]:
    """The minutes of every window from one task to another; NEVER for one that is to be mended and has no end."""
    links = [link for link in ledger.links if (link.before, link.after) == (before, after) and link.until is None]
    return [
        NEVER if link.within is None else link.within
        for link in links
        if link.within is not None or link.remedy is not None
    ]
