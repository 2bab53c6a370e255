"""What follows what: stages, windows and their remedies, the order of colours, tape."""

from __future__ import annotations

from scheduler.model.graph import Link
from scheduler.verifying.evidence import Ledger, Said, holds
from scheduler.wallclock import NEVER


def links(ledger: Ledger) -> Said:
    """A step starts only when each film or step it follows has reached the named stage, and the wait has gone."""
    for link in ledger.graph.links:
        yield from _too_early(ledger, link)


def order_kept(ledger: Ledger) -> Said:
    """What comes after a step by way of steps that were done out of turn waits for it all the same.

    So does what is left of a step that was begun too soon, unless it is work in one piece or wet; what is left of one
    that was begun on a film too soon waits for that film in any case.
    """
    for link in ledger.links_past_facts:
        step, ready = ledger.steps.get(link.after), ledger.ready(link)
        ahead = ledger.planned(step) if step is not None else ()
        if ahead and ready is not None and ahead[0].start < ready:
            what = f"at {link.stage}" if link.stage else "done"
            first = f"{ledger.title(link.before)}, which comes before it, is {what} {ledger.say(ready)}"
            yield link.after, f"goes on {ledger.say(ahead[0].start)}; {first}, whatever was done out of turn"


def choices(ledger: Ledger) -> Said:
    """Where colours touch one is first (its leader starts first), and what follows from that holds."""
    for choice, option in zip(ledger.graph.choices, ledger.chosen, strict=True):
        for link in option.links:
            for step, said in _too_early(ledger, link):
                yield step, f"{said}; {choice.question} (by the plan: {option.name})"


def _too_early(ledger: Ledger, link: Link) -> Said:
    clocks = ledger.films.get(link.before)
    if link.stage and (clocks is None or link.stage not in clocks.stages):
        yield link.after, f"follows the stage {link.stage} of {ledger.title(link.before)}, which has no such stage"
        return
    ready, after = ledger.ready(link), ledger.moment(link.after)
    if ready is not None and after is not None and not holds(ledger, link):
        what = f"at {link.stage}" if link.stage else "done"
        wait = f" and {link.wait} minutes on" if link.wait else ""
        yield (
            link.after,
            f"starts {ledger.say(after.start)}; {ledger.title(link.before)} is {what}{wait} at {ledger.say(ready)}",
        )


def windows_kept(ledger: Ledger) -> Said:
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
        late = f"starts {ledger.say(after.start)}; its window after {ledger.title(link.before)} ended"
        late = f"{late} {ledger.say(latest)}"
        if link.remedy is None:
            yield link.after, f"{late}, and nothing can mend that"
        elif (mend := ledger.moment(link.remedy)) is None:
            yield link.after, f"{late}, and the remedy {ledger.title(link.remedy)} is not planned"
        elif mend.end > after.start or (mend.start < ready and not ledger.started(link.remedy)):
            when = ledger.span(mend)
            yield link.after, f"{late}, and the remedy {ledger.title(link.remedy)} ({when}) does not lie between them"


def remedies_needed(ledger: Ledger) -> Said:
    """A remedy is planned only where its window is missed (a start on the last minute may go either way)."""
    for step, task in ledger.known():
        if task.remedy_of is None or ledger.started(step.id):
            continue
        needed = any(
            not ledger.started(link.after) and _at_the_end(ledger, link) for link in ledger.links_mended(step.id)
        )
        if not needed:
            yield step.id, f"is a remedy, planned for {ledger.say(step.start)}, for a window that was not missed"


def _at_the_end(ledger: Ledger, link: Link) -> bool:
    latest, after = ledger.latest(link), ledger.moment(link.after)
    return latest is not None and after is not None and after.start >= latest


def tape_time(ledger: Ledger) -> Said:
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
                given = "no limit" if min(limits) >= NEVER else f"{min(limits)} minutes"
                said = f"may come {given} after {ledger.title(before)}; tape allows {longest} minutes"
                yield f"{colour.id}-pull", said


def _limits(ledger: Ledger, before: str, after: str) -> list[int]:
    """The minutes of every window from one task to another; NEVER for one that is to be mended and has no end."""
    links = [link for link in ledger.links if (link.before, link.after) == (before, after) and link.until is None]
    return [
        NEVER if link.within is None else link.within
        for link in links
        if link.within is not None or link.remedy is not None
    ]
