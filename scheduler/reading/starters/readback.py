"""The answers read back before a file is written, and what may still be said to them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from scheduler.reading.starters.answers import JOINT, PLANKS, REPAINT, Answers, HoursAnswer, unclear
from scheduler.reading.starters.typed import PARTS, TIMES, in_english, shown
from scheduler.reading.starters.when import clock, day_names
from scheduler.reading.times import parse_clock, parse_clocks, parse_zone
from scheduler.told import row, told
from scheduler.units import UnclearQuantityError

MORE = "Enter writes it. Or say what is otherwise: `break 12:30 to 13:00`, `no break`, `quiet 22:00 to 6:00`, "
MORE += "`only this weekend`, `3 holes`, `zone Europe/Berlin`, `walls yellow`."
_DASH = re.compile(r"\s*[-–]\s*")
_ONCE = re.compile(r"\b(?:only|just) (?:this|the|next|one) weekend\b|\bone weekend\b")
_MOST_HOLES = 200
"""In the walls of a room; who wants more skims them."""


def read_back(job: Answers) -> tuple[str, ...]:
    """What is written into the file: of the room, of each kind of work, of the hours."""
    size = f"{job.long(job.length)} x {job.long(job.width)}"
    holes = row(
        told("{hole} in the {wall}", hole=shown(hole.name, job.language, PARTS), wall=hole.wall) for hole in job.holes
    )
    hours = row(_stretch(job, stretch) for stretch in job.hours)
    if job.quiet is not None:
        start, end = map(clock, job.quiet)
        hours = told("{hours}; quiet from {start} to {end}", hours=hours, start=start, end=end)
    every = "every week" if job.done_by is None else told("to be done by {day}", day=job.done_by)
    order = row(told("“{name}” comes {day}", name=name, day=day) for name, day in job.order) or "nothing on order"
    return (
        told(
            "Room: “{room}”, {size}, {height} high; {holes}.",
            room=job.room,
            size=size,
            height=job.long(job.height),
            holes=holes or "no door and no window",
        ),
        *(line for one in job.each for line in _work(one)),
        told("Hours, {every}: {hours}.", every=every, hours=hours),
        told("From {start} on, times of {zone}; {order}.", start=job.start, zone=job.zone, order=order),
    )


def _work(job: Answers) -> Iterator[str]:
    """What is done of one kind of work, and with which colours."""
    from scheduler.reading.starters.stuff import COATED

    counted = [told("{number} {what}", number=number, what=what) for what, number in job.counts]
    counted += [job.long(job.run)] if job.kind == JOINT else []
    work: str = job.kind
    if job.parts or counted:
        work = told("{kind}: {parts}", kind=job.kind, parts=row((*job.parts, *counted)))
    material = job.material
    if job.patches is not None:
        material = told("{material}, {holes} holes to fill", material=material, holes=job.patches)
    colours = row(told("{part} “{name}”", part=part, name=name) for name, part in job.colours) or "no colour"
    coats = told("{coats} coats", coats=job.coats) if job.coats != 1 else "1 coat"
    yield told("Work: {work}; {material}.", work=work, material=material)
    if job.kind in COATED:
        yield told("Finish: {coats}.", coats=coats)
    elif job.kind not in (JOINT, PLANKS):
        yield told("Colours: {colours}; {coats} each.", colours=colours, coats=coats)


def read_more(text: str, so_far: Answers) -> Answers:
    """The answers with what was said to them in the end. Raises UnclearQuantityError."""
    said = in_english(text.lower(), so_far.language, TIMES, PARTS)
    for entry in filter(None, (each.strip() for each in re.split(r"[,;]", said))):
        so_far = _one(entry, so_far)
    return so_far


def _one(entry: str, so_far: Answers) -> Answers:
    said = re.sub(r"\s+", " ", entry).removesuffix(".")
    for reads in (_of_time, _of_work, _of_colour):
        found = reads(said, so_far)
        if found is not None:
            return found
    raise unclear(
        told("`{entry}` is not understood here", entry=entry), "say one of these, or Enter, and change the file"
    )


def _of_time(said: str, so_far: Answers) -> Answers | None:
    """Breaks, quiet hours, the weeks that count, the zone."""
    if said in ("no break", "no breaks"):
        return replace(so_far, pause=None)
    if found := re.fullmatch(r"breaks?:? (?:from )?(.+)", said):
        return replace(so_far, pause=parse_clocks(_DASH.sub(" to ", found[1])))
    if said.startswith(("quiet", "no quiet", "never quiet")):
        found = re.fullmatch(r"quiet(?: hours)?:? (?:from )?(.+)", said)
        return replace(so_far, quiet=_quiet(found[1]) if found else None)
    if _ONCE.search(said) or said in ("every week", "every weekend", "all weekends"):
        return replace(so_far, done_by=_sunday(so_far) if _ONCE.search(said) else None)
    found = re.fullmatch(r"(?:time )?zone:? (.+)", said)
    return None if found is None else replace(so_far, zone=parse_zone(_cased(found[1])))


def _of_work(said: str, so_far: Answers) -> Answers | None:
    found = re.fullmatch(r"(\d{1,4}|no) (?:\w+ )?(?:holes?|cracks?|dents?)(?: to fill)?", said)
    return None if found is None else _holes(0 if found[1] == "no" else int(found[1]), so_far)


def _of_colour(said: str, so_far: Answers) -> Answers | None:
    """Another colour for a part that has one."""
    from scheduler.reading.starters.stuff import read_colours

    for one in so_far.each:
        if not one.colours:
            continue
        try:
            return read_colours(_completed(said, one, [part for _, part in one.colours]), one).on(so_far.kind)
        except UnclearQuantityError:
            continue
    return None


def _completed(said: str, so_far: Answers, parts: Sequence[str]) -> str:
    """What was said of one part, with the colours that the others have."""
    others = [f"{part} {name.removesuffix(f' {part}')}" for name, part in so_far.colours if part not in said]
    if len(others) == len(parts):
        raise unclear(told("`{said}` names no part", said=said), "name it, such as `walls yellow`")
    return ", ".join([said, *others])


def _holes(count: int, so_far: Answers) -> Answers:
    if REPAINT not in so_far.kinds or count > _MOST_HOLES:
        raise unclear(
            told("{count} holes have no place in this work", count=count),
            told("write up to {most_holes}, for a repaint", most_holes=_MOST_HOLES),
        )
    return replace(so_far.on(REPAINT), patches=count).on(so_far.kind)


def _quiet(text: str) -> tuple[int, int]:
    """From and to, which may lie on either side of midnight."""
    start, word, end = _DASH.sub(" to ", text).partition(" to ")
    if not word:
        raise unclear(told("`{text}` is no stretch of the day", text=text), "write it as `quiet 22:00 to 6:00`")
    return parse_clock(start), parse_clock(end)


def _sunday(so_far: Answers) -> date:
    day = so_far.start or so_far.today
    return day + timedelta(6 - day.weekday())


def _cased(zone: str) -> str:
    """`europe/berlin` as the table of zones has it."""
    return "/".join(
        "_".join(word.capitalize() for word in part.split("_")) for part in zone.replace(" ", "_").split("/")
    )


def _stretch(job: Answers, stretch: HoursAnswer) -> str:
    from scheduler.reading.starters.jobtext import pause_in

    days = shown(day_names(stretch.days).strip("[]"), job.language, TIMES)
    said = told("{days} {start} to {end}", days=days, start=clock(stretch.start), end=clock(stretch.end))
    if stretch.people > 1:
        said = told("{hours}, {people} people", hours=said, people=stretch.people)
    pause = pause_in(job, stretch)
    if pause is not None:
        said = told("{hours}, break {start} to {end}", hours=said, start=clock(pause[0]), end=clock(pause[1]))
    return said
