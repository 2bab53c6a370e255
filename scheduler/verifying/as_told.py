"""What the plan tells besides the pieces: drying, waits, sums. All of it is worked out again here."""

from __future__ import annotations

from math import isclose

from scheduler.model.basics import WINDOW_ENDS
from scheduler.model.graph import Link
from scheduler.model.learned import Look
from scheduler.model.message import Message, message
from scheduler.model.plan import Ready
from scheduler.verifying.evidence import Evidence, Found
from scheduler.verifying.film import reached
from scheduler.wallclock import NEVER


def sums(evidence: Evidence) -> Found:
    """`finish` is the end of the last piece; `usable` and `cured` when the last film is at `use` and `full`.

    Without such a film both are the finish; they may also be told as no earlier than the finish. A film that does not
    come so far in the air that is known makes it never.
    """
    plan = evidence.plan
    ends = [piece.end for step in plan.steps for piece in step.pieces]
    if not ends:
        return
    if plan.finish != max(ends):
        yield "", message("rule.finish", told=plan.finish, right=max(ends))
    for name, told, stage in (("usable", plan.usable, "use"), ("cured", plan.cured, "full")):
        stages = [evidence.stage_at(step.id, stage) for step, _ in evidence.known()]
        last = max((minute for minute in stages if minute is not None), default=max(ends))
        if not _near(told, last) and not _near(told, max(last, *ends)):
            yield "", message("rule.last film", what=name, told=told, stage=stage, right=last)


def bound_honest(evidence: Evidence) -> Found:
    """The bound is no later than the finish, and the plan is called proven only if the two are equal."""
    bound, finish = evidence.plan.bound, evidence.plan.finish
    if bound.finish_not_before > finish:
        yield "", message("rule.beats bound", finish=finish, bound=bound.finish_not_before)
    if bound.proven and bound.finish_not_before != finish:
        yield "", message("rule.not proven", bound=bound.finish_not_before)


def films_told(evidence: Evidence) -> Found:
    """A step tells of the film it lays: material, coat, thickness factor, and each stage to the minute (±1), also
    of what each of its pieces has laid."""
    for step, task in evidence.known():
        clocks = evidence.films.get(step.id)
        if (step.film is None) != (task.film is None) or (task.film is not None and clocks is None):
            yield step.id, message("rule.film")
        if step.film is None or task.film is None or clocks is None:
            continue
        if (step.film.material, step.film.coat) != (task.film.material, task.film.coat):
            yield step.id, message("rule.coat", coat=step.film.coat, material=step.film.material)
        if not isclose(step.film.thickness_factor, clocks.factor, rel_tol=1e-6):
            factor = step.film.thickness_factor
            yield step.id, message("rule.thickness", told=factor, right=clocks.factor)
        ends = [piece.end for piece in step.pieces[: len(step.film.parts)]]
        for end, stages in zip((*ends, step.end), (*step.film.parts, step.film.stages), strict=True):
            right = {stage: reached(clock, end) for stage, clock in clocks.stages.items()}
            right = {stage: minute for stage, minute in right.items() if minute < NEVER and stage not in WINDOW_ENDS}
            for stage in sorted(right.keys() | stages.keys()):
                told, when = stages.get(stage, NEVER), right.get(stage, NEVER)
                if not _near(told, when):
                    yield step.id, message("rule.stage", stage=stage, told=told, right=when)


def as_felt(evidence: Evidence) -> Found:
    """What a finger said of a film stands: it is at no stage by the last `not yet`, and nothing that waits for it is
    planned to begin by then. At one minute `not yet` goes before `reached`."""
    last: dict[tuple[str, str], Look] = {}
    for look in sorted(evidence.facts.looks, key=lambda look: (look.minute, not look.reached)):
        last[look.step, look.stage] = look
    for (name, stage), look in last.items():
        end = evidence.facts.done[name][-1].end if name in evidence.facts.done else look.minute
        if look.reached or look.minute <= end or not evidence.job.learn:
            continue
        ready = evidence.stage_at(name, stage)
        if ready is not None and ready <= look.minute:
            yield name, message("rule.not-yet", stage=stage, told=ready, looked=look.minute)
        for link in evidence.links:
            after = evidence.moment(link.after)
            waits = (link.before, link.stage) == (name, stage) and not evidence.started(link.after)
            if waits and after is not None and after.start <= look.minute:
                yield link.after, message("rule.before-felt", step=name, stage=stage)


def waits_told(evidence: Evidence) -> Found:
    """A step tells what it followed: per link the minute from which it might start (wait included), and the last.

    Links from one step at one stage may be told as one. A remedy and what it mends may name each other. What holds
    only because of steps that were done out of turn may be told.
    """
    for step, task in evidence.known():
        into = [link for link in evidence.links_into(step.id) if evidence.moment(link.before)]
        for told in step.after:
            right = _waits(evidence, [link for link in into if _same(link, told)], _past_idle(evidence, into, told))
            right += _mended(evidence, step.id, told)
            if not any(_near(told.ready, ready) and _near(told.latest, latest) for ready, latest in right):
                yield step.id, _no_such_wait(told)
        for link in (link for link in into if link not in evidence.links_past_facts):
            told_at_all = any(_same(link, told) for told in step.after)
            if not told_at_all and link.before in evidence.steps and not evidence.started(task.id):
                yield step.id, message("rule.untold", before=evidence.named(link.before))


def _same(link: Link, told: Ready) -> bool:
    return link.before == told.step and (link.stage or "end") == told.stage


def _past_idle(evidence: Evidence, into: list[Link], told: Ready) -> list[Link]:
    """The links that are told past steps without work, which are not in the plan: those that lead into them."""
    found: list[Link] = []
    idle = [link.before for link in into if link.before not in evidence.steps]
    while idle:
        led = evidence.links_into(idle.pop())
        found += [link for link in led if _same(link, told)]
        idle += [link.before for link in led if link.before not in evidence.steps]
    return found


def _waits(evidence: Evidence, links: list[Link], past: list[Link]) -> list[tuple[int, int | None]]:
    """(ready, latest) of each link, and of all of them together. Those in `past` end no later step's window."""
    limits = [(link, evidence.latest(link)) for link in links] + [(link, None) for link in past]
    each = [(ready, latest) for link, latest in limits if (ready := evidence.ready(link)) is not None]
    if not each:
        return []
    ends = [latest for _, latest in each if latest is not None]
    return [*each, (max(ready for ready, _ in each), min(ends, default=None))]


def _mended(evidence: Evidence, name: str, told: Ready) -> list[tuple[int, int | None]]:
    """What may be told between a remedy and the two steps it stands between."""
    right: list[tuple[int, int | None]] = []
    for link in evidence.links_into(name):
        if link.remedy == told.step and told.stage == "end":
            mend = evidence.moment(told.step)
            right += [(mend.end, None)] if mend else []
    for link in evidence.links_mended(name):
        if _same(link, told):
            ready = evidence.ready(link)
            right += [(ready, None)] if ready is not None else []
    return right


def _no_such_wait(told: Ready) -> Message:
    latest = None if told.latest is None else message("rule.latest", latest=told.latest)
    return message("rule.wait", step=told.step, stage=told.stage, ready=told.ready, latest=latest)


def _near(one: int | None, other: int | None) -> bool:
    """Equal to the minute, give or take one."""
    if one is None or other is None:
        return one is other
    return abs(one - other) <= 1
