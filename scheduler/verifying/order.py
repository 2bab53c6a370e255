"""What follows what: stages, windows and their remedies, the order of colours, tape."""

from __future__ import annotations

from scheduler.model.graph import Link
from scheduler.model.message import Message, message
from scheduler.verifying.evidence import Evidence, Found, holds, told
from scheduler.wallclock import NEVER


def links(evidence: Evidence) -> Found:
    """A step starts only when each film or step it follows has reached the named stage, and the wait has gone."""
    for link in evidence.graph.links:
        yield from _too_early(evidence, link)


def order_kept(evidence: Evidence) -> Found:
    """What comes after a step by way of steps that were done out of turn waits for it all the same.

    So does what is left of a step that was begun too soon, unless it is work in one piece or wet; what is left of one
    that was begun on a film too soon waits for that film in any case.
    """
    for link in evidence.links_past_facts:
        step, ready = evidence.steps.get(link.after), evidence.ready(link)
        ahead = evidence.planned(step) if step is not None else ()
        if ahead and ready is not None and ahead[0].start < ready:
            yield (
                link.after,
                message(
                    "rule.out of turn",
                    start=ahead[0].start,
                    before=evidence.named(link.before),
                    what=_reached(link),
                    ready=ready,
                ),
            )


def choices(evidence: Evidence) -> Found:
    """Where colours touch one is first (its leader starts first), and what follows from that holds."""
    for choice, option in zip(evidence.graph.choices, evidence.chosen, strict=True):
        for link in option.links:
            for step, said in _too_early(evidence, link):
                one, other = (each.name for each in choice.options)
                yield step, message("rule.choice", said=said, first=option.name, one=one, other=other)


def _too_early(evidence: Evidence, link: Link) -> Found:
    clocks = evidence.films.get(link.before)
    if link.stage and (clocks is None or link.stage not in clocks.stages):
        yield link.after, message("rule.no stage", stage=link.stage, before=evidence.named(link.before))
        return
    ready, after = evidence.ready(link), evidence.moment(link.after)
    if ready is not None and after is not None and not holds(evidence, link):
        wait = message("rule.minutes on", minutes=link.wait) if link.wait else None
        before = evidence.named(link.before)
        yield (
            link.after,
            message("rule.too early", start=after.start, before=before, what=_reached(link), wait=wait, ready=ready),
        )


def _reached(link: Link) -> Message:
    return message("rule.at stage", stage=link.stage) if link.stage else message("rule.done")


def windows_kept(evidence: Evidence) -> Found:
    """A window (`recoat_by`, or minutes after the end) is kept, or its remedy runs between the two steps.

    The remedy starts no earlier than the link would let its follower start, and ends before the follower
    starts. A window without a remedy must be kept.
    """
    for link in evidence.links:
        if evidence.started(link.after) or not evidence.missed(link):
            continue
        latest, after, ready = evidence.latest(link), evidence.moment(link.after), evidence.ready(link)
        if latest is None or after is None or ready is None:
            continue
        if link.remedy is None:
            why = message("rule.no mending")
        elif (mend := evidence.moment(link.remedy)) is None:
            why = message("rule.mending left out", remedy=evidence.named(link.remedy))
        elif mend.end > after.start or (mend.start < ready and not evidence.started(link.remedy)):
            why = message("rule.mending elsewhere", remedy=evidence.named(link.remedy), when=told(mend))
        else:
            continue
        before = evidence.named(link.before)
        yield link.after, message("rule.window", start=after.start, before=before, latest=latest, mend=why)


def remedies_needed(evidence: Evidence) -> Found:
    """A remedy is planned only where its window is missed (a start on the last minute may go either way)."""
    for step, task in evidence.known():
        if task.remedy_of is None or evidence.started(step.id):
            continue
        needed = any(
            not evidence.started(link.after) and _at_the_end(evidence, link)
            for link in evidence.links_mended(step.id)
        )
        if not needed:
            yield step.id, message("rule.needless remedy", start=step.start)


def _at_the_end(evidence: Evidence, link: Link) -> bool:
    latest, after = evidence.latest(link), evidence.moment(link.after)
    return latest is not None and after is not None and after.start >= latest


def tape_time(evidence: Evidence) -> Found:
    """Tape comes off within its time: of a colour no window from the tape, or from a coat, to the pull is wider.

    A window that the person adds may be; the tighter one of two counts.
    """
    tape = evidence.tape
    for colour in evidence.job.colours if tape is not None else ():
        coats = [task.id for task in evidence.graph.tasks if task.colour == colour.id]
        allowed = {**dict.fromkeys(coats, tape.pull_by), f"{colour.id}-tape": tape.clean_for} if tape else {}
        for before, longest in allowed.items():
            limits = _limits(evidence, before, f"{colour.id}-pull")
            if limits and min(limits) > longest:
                least = min(limits)
                given = message("rule.no limit") if least >= NEVER else message("rule.minutes", minutes=least)
                name = evidence.named(before)
                yield f"{colour.id}-pull", message("rule.tape", given=given, before=name, longest=longest)


def _limits(evidence: Evidence, before: str, after: str) -> list[int]:
    """The minutes of every window from one task to another; NEVER for one that is to be mended and has no end."""
    links = [link for link in evidence.links if (link.before, link.after) == (before, after) and link.until is None]
    return [
        NEVER if link.within is None else link.within
        for link in links
        if link.within is not None or link.remedy is not None
    ]
