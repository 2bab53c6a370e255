"""Changes of the hours: one more evening, an earlier morning, a helper, a free day, no day away, begin sooner.

Each is one more entry under `hours` that lies over those that are there: where hours overlap, the larger number of
people holds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from scheduler.model.foresight import Add, Drop, Put, Written
from scheduler.model.job import Hours, Job
from scheduler.wallclock import DAY, WEEKDAYS, at_local, local_date, to_datetime
from scheduler.whatif.engine import Tried
from scheduler.whatif.proposal import Cost, Proposal, Situation, free

EVENING = 17 * 60
"""Minute of the day from which hours are evening hours."""

USUAL_EVENING = Hours(weekdays=frozenset(), start=18 * 60 + 30, end=21 * 60, quiet=True)
"""An evening where the job has none: 18:30 to 21:00, without noise."""

EARLIER = 60
"""Minutes by which a morning begins earlier."""

WORKDAYS = range(5)


def hour_changes(scene: Situation) -> Iterator[Proposal]:
    """Every change of the hours between now and the planned finish."""
    yield from _evenings(scene)
    yield from _mornings(scene)
    yield from _helpers(scene)
    yield from _free_days(scene)
    yield from _no_days_away(scene)
    yield from _begin_sooner(scene)


def _evenings(scene: Situation) -> Iterator[Proposal]:
    """One more evening a week: each working day that has no hours at all, like an evening that there is."""
    rules = scene.job.hours
    usual = next((rule for rule in rules if rule.start >= EVENING and rule.weekdays & set(WORKDAYS)), USUAL_EVENING)
    for weekday in WORKDAYS:
        if any(weekday in rule.weekdays for rule in rules):
            continue
        rule = replace(usual, weekdays=frozenset({weekday}), people=1, first=None, last=None, every=1)
        yield Proposal(
            kind="one more evening",
            words=scene.words.tell("change.evening", day=scene.face.day_name(weekday), hours=_from_to(scene, rule)),
            job=_with_hours(rule),
            edit=(Add(("hours",), hours_written(rule)),),
            cost=_present(scene, rule, _each(weekday), "evening"),
        )


def _mornings(scene: Situation) -> Iterator[Proposal]:
    """Saturdays, or Sundays, that begin an hour earlier."""
    for weekday in (5, 6):
        rules = [rule for rule in scene.job.hours if weekday in rule.weekdays]
        rule = min(rules, key=lambda each: each.start, default=None)
        if rule is None or rule.start < EARLIER:
            continue
        earlier = replace(rule, weekdays=frozenset({weekday}), start=rule.start - EARLIER)
        yield Proposal(
            kind="an earlier morning",
            words=scene.words.tell(
                "change.morning",
                day=scene.face.day_name(weekday),
                earlier=_clock(scene, earlier.start),
                usual=_clock(scene, rule.start),
            ),
            job=_with_hours(earlier),
            edit=(Add(("hours",), hours_written(earlier)),),
            cost=_present(
                scene,
                replace(rule, start=earlier.start, end=rule.start, breaks=()),
                _each(weekday),
                "morning",
            ),
        )


def _helpers(scene: Situation) -> Iterator[Proposal]:
    """A helper in a single session in which one works alone."""
    zone = ZoneInfo(scene.job.zone)
    for session in scene.plan.sessions:
        day = local_date(session.start, zone)
        rules = [
            rule for rule in _rules_on(scene.job, day) if rule.people == 1 and _meets(rule, day, session.start, zone)
        ]
        if session.people != 1 or session.end <= scene.plan.as_of or not rules:
            continue
        rule = _only_on(rules[0], day, people=2)
        length = rule.end - rule.start - sum(end - start for start, end in rule.breaks)
        yield Proposal(
            kind="a helper",
            words=scene.words.tell("change.helper", day=scene.face.date_of(day), hours=_from_to(scene, rule)),
            job=_with_hours(rule),
            edit=(Add(("hours",), hours_written(rule)),),
            cost=free(scene.words.tell("cost.helper", length=scene.words.length(length, days=False))),
        )


def _free_days(scene: Situation) -> Iterator[Proposal]:
    """A day off work on a day without hours: hours like those of the longest day, alone."""
    zone = ZoneInfo(scene.job.zone)
    longest = max(scene.job.hours, key=lambda rule: (rule.end - rule.start, -rule.start))
    day = local_date(max(scene.plan.as_of, scene.job.start), zone)
    last = local_date(scene.plan.finish, zone)
    while day < last:
        away = any(each.first <= day <= each.last for each in scene.job.away)
        if day.weekday() in WORKDAYS and not away and not _rules_on(scene.job, day):
            rule = _only_on(longest, day, people=1)
            yield Proposal(
                kind="a free day",
                words=scene.words.tell("change.free day", day=scene.face.date_of(day), hours=_from_to(scene, rule)),
                job=_with_hours(rule),
                edit=(Add(("hours",), hours_written(rule)),),
                cost=_present(scene, rule, day.__eq__, "day"),
            )
        day += timedelta(days=1)


def _no_days_away(scene: Situation) -> Iterator[Proposal]:
    """Days away given up."""
    zone = ZoneInfo(scene.job.zone)
    first, last = local_date(scene.plan.as_of, zone), local_date(scene.plan.finish, zone)
    for number, away in enumerate(scene.job.away):
        if away.last < first or away.first > last or away not in scene.filed.away:
            continue
        days = (away.last - away.first).days + 1
        first_day, last_day = scene.face.date_of(away.first), scene.face.date_of(away.last)
        span = scene.words.tell("change.span", first=first_day, last=last_day) if days > 1 else first_day
        why = f" ({away.reason})" if away.reason else ""

        def without(job: Job, number: int = number) -> Job:
            return replace(job, away=(*job.away[:number], *job.away[number + 1 :]))

        yield Proposal(
            kind="not away",
            words=scene.words.tell("change.not away", span=span, why=why),
            job=without,
            edit=(Drop(scene.keys.entry(("away",), number)),),
            cost=free(scene.words.counted("day away given up", days)),
        )


def _begin_sooner(scene: Situation) -> Iterator[Proposal]:
    """Begin a week before `start`, if that is not over yet."""
    zone = ZoneInfo(scene.job.zone)
    moment = to_datetime(scene.job.start, zone)
    day = moment.date() - timedelta(days=7)
    minute = moment.hour * 60 + moment.minute
    sooner = at_local(day, minute, zone)
    if sooner < scene.plan.as_of:
        return
    text = f"{day} {_hhmm(minute)}" if minute else str(day)
    yield Proposal(
        kind="begin sooner",
        words=scene.words.tell("change.begin", day=scene.face.date_of(day)),
        job=lambda job: replace(job, start=sooner),
        edit=(Put(("start",), text),),
        cost=free(scene.words.tell("cost.begin")),
    )


def hours_written(rule: Hours) -> dict[str, Written]:
    """A rule of hours as it stands in a job file."""
    days: list[Written] = [WEEKDAYS[weekday] for weekday in sorted(rule.weekdays)]
    found: dict[str, Written] = {
        "on": days[0] if len(days) == 1 else days,
        "from": _hhmm(rule.start),
        "to": _hhmm(rule.end),
    }
    if rule.people > 1:
        found["people"] = str(rule.people)
    if rule.breaks:
        breaks: list[Written] = [f"{_hhmm(start)} to {_hhmm(end)}" for start, end in rule.breaks]
        found["break"] = breaks[0] if len(breaks) == 1 else breaks
    if rule.quiet:
        found["quiet"] = "yes"
    if rule.rooms:
        found["in"] = list(rule.rooms) if len(rule.rooms) > 1 else rule.rooms[0]
    if rule.every > 1:
        found["every"] = f"{rule.every} weeks"
    if rule.first is not None:
        found["since"] = str(rule.first)
    if rule.last is not None:
        found["until"] = str(rule.last)
    return found


def _hhmm(minute: int) -> str:
    return f"{minute // 60}:{minute % 60:02}"


def _clock(scene: Situation, minute: int) -> str:
    """A time of day as the person reads it."""
    return scene.face.clock(minute)


def _from_to(scene: Situation, rule: Hours) -> str:
    return scene.words.tell("change.hours", start=_clock(scene, rule.start), end=_clock(scene, rule.end))


def _rules_on(job: Job, day: date) -> list[Hours]:
    return [rule for rule in job.hours if rule.holds_on(day)]


def _meets(rule: Hours, day: date, moment: int, zone: ZoneInfo) -> bool:
    return at_local(day, rule.start, zone) <= moment < at_local(day, min(rule.end, DAY), zone)


def _only_on(rule: Hours, day: date, people: int) -> Hours:
    return replace(rule, weekdays=frozenset({day.weekday()}), people=people, first=day, last=day, every=1)


def _with_hours(rule: Hours) -> Callable[[Job], Job]:
    return lambda job: replace(job, hours=(*job.hours, rule))


def _each(weekday: int) -> Callable[[date], bool]:
    return lambda day: day.weekday() == weekday


def _present(scene: Situation, rule: Hours, on: Callable[[date], bool], what: str) -> Callable[[Tried], Cost]:
    """Hours of the person on those days of the new plan that are used, from now on."""
    today = local_date(scene.plan.as_of, ZoneInfo(scene.job.zone))
    length = rule.end - rule.start - sum(end - start for start, end in rule.breaks)
    words = scene.words
    people = words.tell("cost.people", people=words.people(rule.people)) if rule.people > 1 else ""

    def cost(tried: Tried) -> Cost:
        count = sum(on(day) for day in tried.days_used() if day >= today)
        each, whole = words.length(length, days=False), words.length(length * count, days=False)
        named = words.counted(what, count)
        if count == 1:
            said = words.tell("cost.once", named=named, each=each, people=people)
        else:
            said = words.tell("cost.often", named=named, each=each, people=people, whole=whole)
        return Cost(words=said, labour=length * count * rule.people)

    return cost
