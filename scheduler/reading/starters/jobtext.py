"""The commented job file that comes of the answers."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from scheduler.model.tradewords import ENGLISH
from scheduler.reading.starters.answers import REPAINT, WET, Answers, HoursAnswer
from scheduler.reading.starters.changes import (
    changes_of,
    colours_of,
    fixtures_of,
    main_step,
    order_of_colours,
)
from scheduler.reading.starters.scopes import scope_of
from scheduler.reading.starters.when import clock, day_names
from scheduler.reading.starters.words import noted, quoted
from scheduler.told import listing, told

_TITLES = {REPAINT: "repaint"}
"""Of the work in the title of a job, where it is not called as its kind is."""
_LONG_DAY = 5 * 60
"""Minutes from which on a stretch over noon has a break in it."""


def job_text(job: Answers) -> str:
    """The whole file."""
    return "\n".join([*_head(job), *_hours(job), *_rooms(job), *_order(job), *_work(job)]) + "\n"


def named_kinds(job: Answers) -> str:
    """The kinds of work by their names."""
    return job.say(listing(job.kinds))


def _later(job: Answers, days: int) -> date:
    return (job.start or job.today) + timedelta(days)


def _note(job: Answers, text: str) -> str:
    """A line that says something."""
    return f"# {job.say(text)}"


def _head(job: Answers) -> Iterator[str]:
    told_of = told(
        "A job to edit: {kinds}. Change what is yours, then let it be planned again.", kinds=named_kinds(job)
    )
    yield f"# {job.say(told_of)}"
    yield _note(job, "Lines that begin with # are notes; take the # away to use what follows it.")
    yield _note(
        job, "Write quantities with their units: 13 ft 2 in or 3.9 m, 68 °F or 20 °C, 45 %, 1 h 30 min, 2 days."
    )
    yield _note(
        job, "The cautions in the plan are reminders: local codes, the sheet of the product in your hand and licensed"
    )
    yield _note(job, "trades come first.")
    yield ""
    title = job.say(listing(_TITLES.get(kind, kind) for kind in job.kinds))
    yield f'job: "{title[0].upper()}{title[1:]}: {job.room}"'
    yield noted(f"start: {job.start or job.today}", job.say("nothing is planned before this day"))
    yield noted(f"zone: {job.zone}", job.say("your time zone: Continent/City"))
    yield noted(
        f"measures: {'metric' if job.metric else 'US'}", job.say("US or metric: what is printed; write either")
    )
    if job.language != ENGLISH:
        yield noted(
            f"language: {job.language}", job.say("of titles, cautions and answers; what you write stays as it is")
        )
    done_by = f"# done by: {_later(job, 60)}" if job.done_by is None else f"done by: {job.done_by}"
    yield noted(done_by, job.say("the day by which you want to be done"))
    built = "the year of the house; left out, old paint and texture are taken to hold lead and asbestos"
    yield noted("# built: 1964", job.say(built))
    yield ""


def _hours(job: Answers) -> Iterator[str]:
    yield _note(job, "When somebody may work. Paint dries on, day and night, while nobody is there.")
    yield "hours:"
    for stretch in job.hours:
        yield f"  - {{{', '.join(_stretch(job, stretch))}}}"
    start, end = map(clock, job.quiet or (20 * 60, 7 * 60))
    quiet = f"quiet hours: {{on: every day, from: {start}, to: {end}}}"
    yield noted(quiet if job.quiet else f"# {quiet}", job.say("no saw, nailer or sander then"))
    yield "# away:"
    yield f"#   - {_later(job, 35)} to {_later(job, 36)}"
    yield noted("set-up: 15 min", job.say("taken from every session: out with the tools"))
    yield noted("clear-up: 20 min", job.say("and away with them"))
    places = max(one.count("places") for one in job.each)
    rack = f", drying rack: {places}" if places else ""
    yield noted(
        f"shared things: {{step ladder: 1, nailer: 1{rack}}}", job.say("two steps never use the same one at once")
    )
    yield ""


def pause_in(job: Answers, stretch: HoursAnswer) -> tuple[int, int] | None:
    """The break in a stretch of hours; none in a short one, or in one that does not go over it."""
    long = stretch.end - stretch.start > _LONG_DAY
    over = job.pause is not None and stretch.start < job.pause[0] and stretch.end > job.pause[1]
    return job.pause if long and over else None


def _stretch(job: Answers, stretch: HoursAnswer) -> Iterator[str]:
    yield f"on: {day_names(stretch.days)}"
    yield f"from: {clock(stretch.start)}"
    yield f"to: {clock(stretch.end)}"
    if stretch.people > 1:
        yield f"people: {stretch.people}"
    pause = pause_in(job, stretch)
    if pause is not None:
        yield f"break: {clock(pause[0])} to {clock(pause[1])}"


def _rooms(job: Answers) -> Iterator[str]:
    damp = 60 if any(kind in WET for kind in job.kinds) else 45
    day, night = ("20 °C", "17 °C") if job.metric else ("68 °F", "62 °F")
    yield "rooms:"
    yield f"  {quoted(job.room)}:"
    yield noted(f"    length: {job.long(job.length)}", job.say("north and south wall"))
    yield noted(f"    width: {job.long(job.width)}", job.say("east and west wall"))
    yield f"    height: {job.long(job.height)}"
    if job.holes:
        yield "    openings:"
    for hole in job.holes:
        sill = "" if hole.sill is None else f", sill: {job.long(hole.sill)}"
        size = f"width: {job.long(hole.width)}, height: {job.long(hole.height)}{sill}"
        yield f"      {hole.name}: {{on: {hole.wall}, {size}}}"
    yield f"    # {job.say('the air dries the film, and a cold night holds it back; measure yours')}"
    yield f"    air: {{day: {day}, night: {night}, humidity: {damp} %}}"
    yield ""


def _order(job: Answers) -> Iterator[str]:
    yield _note(
        job, "What has not come yet. A step or a colour that says `needs: [lamp]` waits for it; other work goes on."
    )
    example = [
        "on order:",
        f"  lamp: {{title: {job.say('New lamp')}, comes: {_later(job, 14)}, order time: 3 weeks}}",
    ]
    given = ["on order:", *(f"  {quoted(name)}: {{comes: {day}}}" for name, day in job.order)]
    yield from given if job.order else [f"# {line}" for line in example]
    yield ""


def _work(job: Answers) -> Iterator[str]:
    colours, first = colours_of(job), order_of_colours(job)
    yield _note(
        job, "What is done to which part of the room. The methods know the steps, their order, hours and cautions."
    )
    yield "scope:"
    yield from scope_of(job)
    if colours:
        yield ""
        yield _note(job, "A colour becomes: tape off, first coat, wait, next coat, pull the tape.")
        yield "colours:"
        yield from colours
        if first:
            yield _note(
                job, "From the ceiling down, the trim last, as is usual; for a colour left out the planner chooses."
            )
            yield f"colour order: [{', '.join(map(quoted, first))}]"
        elif len(job.coloured) > 1:
            names = ", ".join(quoted(name) for name, _ in sorted(job.coloured, key=lambda each: each[1] != "ceiling"))
            yield f"# colour order: [{names}]   # {job.say('fixes which comes first; else the planner chooses')}"
    changes = ["changes:", *changes_of(job)]
    example = ["changes:", f"  {main_step(job)}: {{needs: [{_waited(job)}]}}"]
    if fixtures := fixtures_of(job):
        yield ""
        yield _note(job, "What is hung for good waits for the tile and is sealed after it.")
        yield "steps:"
        yield from fixtures
    yield ""
    yield _note(
        job, "What is to be otherwise in single steps, by their ids: `tackfree plan FOLDER --json` shows them."
    )
    yield from changes if len(changes) > 1 else [f"# {line}" for line in example]


def _waited(job: Answers) -> str:
    """What the example waits for: something on order."""
    return quoted(job.order[0][0]) if job.order else "lamp"
