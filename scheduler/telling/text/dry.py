"""The answer of `tackfree dry` as a person reads it: a table of stages, a drawing, and what to know beforehand."""

from __future__ import annotations

from collections.abc import Iterator
from zoneinfo import ZoneInfo

from scheduler.model.drytable import DryAnswer, DryStage, Faster
from scheduler.model.job import AirPeriod
from scheduler.telling.dry_words import between, length, meaning, short_moment, stage_word
from scheduler.telling.text.dry_strip import strips
from scheduler.telling.text.sheet import Line, Sheet, point
from scheduler.telling.wording import Clockface, counted, date_words, length_words, listing, one_line
from scheduler.units import format_fraction, format_temp, format_thickness
from scheduler.wallclock import NEVER

TABLE_WIDTH = 80
"""Columns from which on the stages stand in a table; a narrower terminal gets a sentence for each."""

_NUMBERS = {
    "order": "dust free before touch or after",
    "exponent": "exponents of thickness",
    "activation": "activations",
    "pot_life": "pot life",
    "open_time": "open time",
}
"""What has a part in these times besides the stages: the sources of sizes and coverage stand in the profile."""

_LAID = {"film": "coat", "depth": "layer", "bead": "bead"}

_HEAD = f"{'stage':<10} {'means':<17} {'after':<7} {'low–high':<10} {'law':<8} when"


def dry_sheet(answer: DryAnswer, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """The answer for reading, at most `width` columns wide (never below 40); `ascii` keeps to plain signs."""
    sheet = Sheet(width, ascii)
    face = Clockface(ZoneInfo(answer.zone), answer.clock24)
    for line in _question(answer, face):
        sheet.add(line)
    sheet.gap()
    for line in _table(answer, face, sheet.width):
        sheet.add(line)
    drawn = list(strips(answer.table, answer.unfit, face, sheet.width, ascii))
    if drawn:
        sheet.gap()
    for line in drawn:
        sheet.add(line)
    for heading, lines in (
        ("Recoat", _recoat(answer, face)),
        ("What makes it faster", _faster(answer, face)),
        ("Is the air fit for it", _limits(answer, face)),
        ("To bear in mind", _minded(answer)),
        ("Where the numbers come from", _sources(answer)),
    ):
        sheet.section(heading, lines)
    return sheet.text(colour)


def _point(text: str, kind: str = "") -> Line:
    return point(one_line(text), kind)


def _question(answer: DryAnswer, face: Clockface) -> Iterator[Line]:
    material, ratio = answer.material, answer.table.ratio
    reference = format_thickness(material.thickness, metric=answer.metric)
    thick = format_thickness(material.thickness * ratio, metric=answer.metric)
    if ratio != 1:
        thick += f", {ratio:.3g} times the {reference} of its profile"
    title = one_line(material.title)
    coats = counted(answer.coats, _LAID.get(material.thickness_kind, "coat"))
    yield Line(
        f"{title[:1].upper()}{title[1:]} ({material.group}): {coats} of {thick}, "
        f"laid {face.moment(answer.start, year=True)}.",
        kind="answer",
    )
    yield from _air(answer, face)
    for number, table in enumerate(answer.tables[1:], start=2):
        yield Line(f"Coat {number} is taken to go on {face.moment(table.start)}, the minute that it may.")
    if answer.spoilt_said:
        which = "It" if answer.coats == 1 else f"Coat {len(answer.tables)}"
        yield Line(f"{which} is {answer.spoilt_said}.", kind="shout")
    elif not answer.complete:
        yield Line(f"Coat {len(answer.tables) + 1} can't be laid within the air that is known.", kind="shout")


def _air(answer: DryAnswer, face: Clockface) -> Iterator[Line]:
    room = answer.room
    day = f" (from {face.clock(room.day_start)} to {face.clock(room.day_end)})"
    said = [_period(period, night, answer.metric, day) for period, night in zip(room.air, answer.nights, strict=True)]
    if room.readings:
        first, last = room.readings[0].minute, room.readings[-1].minute
        count = counted(len(room.readings), "reading")
        said = [
            f"{count} from {face.moment(first)} to {face.moment(last)}",
            *(f"where there is none, {each}" for each in said),
        ]
    where = f" of {one_line(room.title)}" if room.title else ""
    yield Line(f"Air{where}: {'; '.join(said)}. Times are those of {answer.zone}.")


def _period(period: AirPeriod, night: float, metric: bool, day: str) -> str:
    """`68 °F and 50 % humidity by day (from 8:00 am to 8:00 pm), 50 °F and 95 % by night, with the day's water`."""
    temps = [format_temp(temp, metric=metric) for temp in (period.day_temp, period.night_temp)]
    damp = [format_fraction(humidity) for humidity in (period.day_humidity, night)]
    since = f"from {date_words(period.since, year=True)} on " if period.since else ""
    if temps[0] == temps[1] and damp[0] == damp[1]:
        return f"{since}{temps[0]} and {damp[0]} humidity day and night"
    if damp[0] == damp[1]:
        return f"{since}{temps[0]} by day{day} and {temps[1]} by night, {damp[0]} humidity"
    kept = ", with the day's water in it" if period.night_humidity is None else ""
    return f"{since}{temps[0]} and {damp[0]} humidity by day{day}, {temps[1]} and {damp[1]} by night{kept}"


def _table(answer: DryAnswer, face: Clockface, width: int) -> Iterator[Line]:
    stages = answer.table.stages
    since = "the first coat" if answer.coats > 1 else "laying"
    wide = width >= TABLE_WIDTH
    if wide:
        yield Line("", first=_HEAD, kind="heading")
    for stage in stages:
        cells = _cells(answer, stage, face)
        if wide:
            word, means, after, around, law, when = cells
            yield Line("", first=f"{word:<10} {means:<17} {after:<7} {around:<10} {law:<8} {when}")
        else:
            word, means, after, around, law, when = cells
            yield Line(f"{means}, {after} ({around}), {when}; law {law}", first=f"{word}: ", rest="  ")
    unknown = (
        " ?: beyond the air that is known."
        if any(stage.latest >= NEVER for stage in stages if not answer.spoilt_said)
        else ""
    )
    yield Line(
        f"h: hours, d: days since {since}, in this air, for the low, typical and high time of the profile.{unknown}"
    )


def _cells(answer: DryAnswer, stage: DryStage, face: Clockface) -> tuple[str, str, str, str, str, str]:
    word, means = stage_word(stage.stage), meaning(stage.stage)
    if not stage.reached or not answer.complete:
        return word, means, "–", "–", stage.clock.law, "spoilt" if answer.spoilt_said else "not in this air"
    begin, after = answer.start, stage.at - answer.start
    high = stage.latest - begin if stage.latest < NEVER else NEVER
    around = between(stage.soonest - begin, high, after)
    return word, means, length(after), around, stage.clock.law, short_moment(face, stage.at, begin)


def _recoat(answer: DryAnswer, face: Clockface) -> Iterator[Line]:
    recoat, by = answer.table.stage("recoat"), answer.table.stage("recoat_by")
    if recoat is None or not recoat.reached or not answer.complete:
        return
    remedy = answer.material.remedy
    if by is None:
        yield _point(f"From {face.moment(recoat.at)} on; its sources name no latest time.")
        return
    until = face.moment(by.at, year=True) if by.reached else "a day beyond the air that is known"
    yield _point(f"From {face.moment(recoat.at)} until {until}.")
    if remedy:
        work = length_words(remedy.work, days=False)
        yield _point(f"After that, before the next coat: {remedy.title} ({work} or so).")
        for caution in remedy.cautions:
            yield _point(f"Then: {caution}", kind="caution")


def _faster(answer: DryAnswer, face: Clockface) -> Iterator[Line]:
    if not answer.faster:
        yield _point("None of what was tried: warmer air, drier air, a thinner coat.")
    for option in answer.faster:
        yield _point(_gain(answer, option, face))


def _gain(answer: DryAnswer, option: Faster, face: Clockface) -> str:
    then = option.table.stage(option.stage)
    at = then.at if then else NEVER
    saved = f"{length_words(option.saves)} sooner" if option.saves is not None else "reached only so"
    beyond = "; beyond what its sources cover" if len(option.table.warnings) > len(answer.table.warnings) else ""
    return f"{option.change}: {stage_word(option.stage)} {saved}, {face.moment(at)}{beyond}."


def _limits(answer: DryAnswer, face: Clockface) -> Iterator[Line]:
    limits = answer.material.limits
    if limits is None:
        yield _point("Its profile names no limits.")
        return
    until = (
        f"from the start until {stage_word(limits.hold_until)}"
        if limits.hold_until
        else "while it is laid (taken as an hour)"
    )
    yield _point(f"Asked for: {answer.limits_said}, {until}.")
    if not answer.hindrances:
        yield _point("The given air is inside these limits, if the surface is as warm as the air.")
        return
    for broken in answer.hindrances:
        yield _point(f"NOT FIT: {broken.said}.", kind="shout")
        yield Line(f"{one_line(broken.cure)}.", first="    Cure: ", rest="    ")
    if answer.fit_from is None:
        yield _point("No time is known at which it could be laid in this air.")
    elif answer.fit_from > answer.start:
        yield _point(f"Or wait: in this air it can be laid from {face.moment(answer.fit_from, year=True)} on.")


def _minded(answer: DryAnswer) -> Iterator[Line]:
    material = answer.material
    for warning in answer.warnings:
        yield _point(warning)
    for caution in answer.cautions:
        yield _point(f"Caution: {caution}", kind="caution")
    if material.pot_life:
        yield _point(f"Pot life: {length_words(material.pot_life)} after mixing.")
    if material.open_time:
        yield _point(f"Open time: {length_words(material.open_time)}.")
    if material.room_closed_until:
        yield _point(f"Nobody works in the room before {stage_word(material.room_closed_until)}.")
    if material.clean_up:
        yield _point(f"Clean-up: {material.clean_up}.")
    yield _point("The sheet of the product in your hand comes before any of this.")


def _sources(answer: DryAnswer) -> Iterator[Line]:
    """Each source once, with all that it is named for."""
    material = answer.material
    named: dict[str, list[str]] = {}
    for stage in material.stages:
        named.setdefault(stage.source, []).append(stage_word(stage.stage))
    if material.limits:
        named.setdefault(material.limits.source, []).append("limits")
    if material.remedy:
        named.setdefault(material.remedy.source, []).append("remedy")
    if material.spoils:
        named.setdefault(material.spoils.source, []).append("what spoils it")
    for what, source in material.sources:
        if what in _NUMBERS:
            named.setdefault(source, []).append(_NUMBERS[what])
    yield _point(f"profile: {material.source} [{material.origin}]")
    for source, whats in named.items():
        yield _point(f"{listing(whats)}: {source}")
