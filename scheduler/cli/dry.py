"""`tackfree dry`: when one coat is ready in a given air, and the families that there are."""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated
from zoneinfo import ZoneInfo

import typer

from scheduler.cli import completing
from scheduler.cli.localzone import local_zone
from scheduler.cli.shared import JsonOption, is_coloured, is_plain, language_of, width
from scheduler.errors import wrong_input
from scheduler.told import told
from scheduler.wallclock import to_minutes

if TYPE_CHECKING:
    from scheduler.model.job import Job, Reading, Room
    from scheduler.model.material import Material, Trade
    from scheduler.reading.options import DryOptions

HEAVY = 1.5
"""A heavy coat: half as thick again as the reference of the profile (common practice, no source)."""


def _option(name: str, text: str, metavar: str) -> object:
    return typer.Option(name, help=text, metavar=metavar)


MaterialArgument = Annotated[
    str | None,
    typer.Argument(
        help="A family; without one, they are listed.", metavar="MATERIAL", autocompletion=completing.materials
    ),
]
TempOption = Annotated[str | None, _option("--temp", "Air temperature (by day): 68F, 20C.", "T")]
HumidityOption = Annotated[str | None, _option("--humidity", "Relative humidity: 45%.", "PERCENT")]
NightOption = Annotated[str | None, _option("--night", "Temperature from 8 pm to 8 am, if it is another.", "T")]
NightHumidityOption = Annotated[
    str | None, _option("--night-humidity", "Humidity from 8 pm to 8 am; if not said, the day's water.", "PERCENT")
]
ReadingsOption = Annotated[
    Path | None, _option("--readings", "A CSV of measured air: time, temperature, humidity.", "FILE")
]
JobOption = Annotated[Path | None, _option("--job", "Take air, zone, units and own profiles from this job.", "JOB")]
RoomOption = Annotated[str | None, _option("--room", "Which room of the job.", "ROOM")]
CoatsOption = Annotated[str | None, _option("--coats", "So many coats, each laid as soon as it may be.", "N")]
DepthOption = Annotated[str | None, _option("--depth", "Thickness, depth or bead: 1/8 in, 6 mil, 3 mm.", "LENGTH")]
HeavyOption = Annotated[bool, typer.Option("--heavy", help="A heavy coat: 1.5 times the profile's thickness.")]
FromOption = Annotated[str | None, _option("--from", "When it is laid: 2027-01-16T16:40 (else now).", "TIME")]
ZoneOption = Annotated[
    str | None, _option("--zone", "Time zone, such as America/Denver (else this machine's).", "ZONE")
]
FilterOption = Annotated[str | None, _option("--filter", "List only families that hold this word.", "WORD")]
MetricOption = Annotated[bool | None, typer.Option("--metric/--us", help="Units of the answer.")]


def dry(
    material: MaterialArgument = None,
    temp: TempOption = None,
    humidity: HumidityOption = None,
    night: NightOption = None,
    night_humidity: NightHumidityOption = None,
    readings: ReadingsOption = None,
    job: JobOption = None,
    room: RoomOption = None,
    coats: CoatsOption = None,
    depth: DepthOption = None,
    heavy: HeavyOption = False,
    since: FromOption = None,
    zone: ZoneOption = None,
    word: FilterOption = None,
    metric: MetricOption = None,
    as_json: JsonOption = False,
) -> None:
    """When a coat is ready: each stage in this air, at this thickness, from this moment on.

    Example: tackfree dry acrylic-latex-wall-paint --temp 68F --night 50F --humidity 50%
    """
    from scheduler.reading.options import DryOptions, read_options

    texts = {
        "temp": temp,
        "night": night,
        "humidity": humidity,
        "night_humidity": night_humidity,
        "depth": depth,
        "coats": coats,
        "zone": zone,
    }
    if material is None:
        _refuse_alone({**texts, "readings": readings, "from": since, "room": room, "heavy": heavy or None})
        _list(job, word, as_json)
        return
    if word is not None:
        raise wrong_input("--filter", "it filters the list of families", "leave the name of the family out")
    if heavy and depth is not None:
        raise wrong_input("--heavy", "the thickness is given by --depth already", "give one of the two")
    asked = _Asked(read_options(DryOptions, texts), readings, job, room, heavy, since, metric, _celsius(texts))
    _answer(material, asked, as_json)


@dataclass(frozen=True)
class _Asked:
    """What was asked about a family."""

    options: DryOptions
    readings: Path | None
    job: Path | None
    room: str | None
    heavy: bool
    since: str | None
    metric: bool | None
    celsius: bool


def _answer(name: str, asked: _Asked, as_json: bool) -> None:
    from scheduler.drying.answer import dry_answer
    from scheduler.model.material import HEATING
    from scheduler.model.region import regions_of
    from scheduler.reading.options import read_moment
    from scheduler.reading.zonenames import country_of

    job = _read_job(asked.job) if asked.job else None
    if asked.room and not job:
        raise wrong_input("--room", "a room belongs to a job", "give the job as well: --job JOB")
    lang = language_of(job)
    trade, family = _family(name, asked.job, lang)
    options = asked.options
    zone = ZoneInfo(options.zone) if options.zone else ZoneInfo(job.zone) if job else local_zone()
    room = _room(family, asked, job, zone)
    if asked.since is not None:
        start = read_moment("from", asked.since, zone)
    else:
        start = _now_or_first(room.readings if not room.air else ())
    metric = asked.metric if asked.metric is not None else job.metric if job else asked.celsius
    country = job.country if job else country_of(zone.key)
    regions, built = regions_of(country), job.built if job else None
    answer = dry_answer(
        family,
        room,
        start,
        zone,
        coats=options.coats or 1,
        ratio=HEAVY if asked.heavy else (options.depth or family.thickness) / family.thickness,
        metric=metric,
        clock24=job.clock24 if job and asked.metric is None else metric,
        cautions=trade.cautions_for(family.dangers, regions, built),
        heating=trade.cautions_for(HEATING, regions, built),
    )
    if as_json:
        from scheduler.telling.machine.dry import dry_json

        sys.stdout.write(dry_json(answer, lang))
        return
    from scheduler.telling.text.dry import dry_sheet

    print(dry_sheet(answer, width(), is_coloured(), is_plain(), lang).rstrip("\n"))


def _list(job: Path | None, word: str | None, as_json: bool) -> None:
    lang = language_of(_read_job(job) if job else None)
    trade = _trade(job, None, lang)
    wanted = (word or "").lower().split()
    found = [each for each in trade.materials if all(part in _said(each) for part in wanted)]
    if not found:
        raise wrong_input("--filter", told("no family holds “{word}”", word=word), "tackfree dry lists them all")
    if as_json:
        from scheduler.telling.machine.dry import families_json

        sys.stdout.write(families_json(found))
        return
    from scheduler.telling.text.dry_families import families_sheet

    print(families_sheet(found, width(), is_coloured(), is_plain(), lang).rstrip("\n"))


def _said(material: Material) -> str:
    return f"{material.id} {material.title} {material.group}".lower()


def _family(name: str, job: Path | None, lang: str) -> tuple[Trade, Material]:
    """The trade, and the family of that name in it. Raises InputError with the nearest one."""
    from scheduler.model.names import slug

    trade = _trade(job, [slug(name)], lang)
    found = trade.material(slug(name))
    if found is not None:
        return trade, found
    near = trade.nearest(slug(name)) or next((each for each in trade.known if slug(name) in each), None)
    hint = told("did you mean {near}?", near=near) if near else "tackfree dry lists the families that there are"
    raise wrong_input(name[:60], "there is no family of that name", hint)


def _trade(job: Path | None, names: list[str] | None, lang: str) -> Trade:
    from scheduler.reading.jobfile import job_file
    from scheduler.reading.profiles import read_trade
    from scheduler.reading.tradewords import trade_words

    words = trade_words(lang)
    return replace(words.over(read_trade(None if job is None else job_file(job).parent, names)), words=words)


def _read_job(path: Path) -> Job:
    from scheduler.reading.jobfile import job_file, read_job

    return read_job(job_file(path))


def _room(family: Material, asked: _Asked, job: Job | None, zone: ZoneInfo) -> Room:
    """The air that was asked about: that of the job's room, of the readings, of the options, else the profile's."""
    from scheduler.model.job import AirPeriod, Room
    from scheduler.reading.airlog import read_air

    options = asked.options
    given = [options.temp, options.night, options.humidity, options.night_humidity]
    if job is not None:
        if asked.readings or any(value is not None for value in given):
            raise wrong_input("--job", "the job says what its air is", "leave --job or the air out")
        return _room_of(job, asked.room)
    readings = read_air(asked.readings, zone) if asked.readings else ()
    day = family.temp if options.temp is None else options.temp
    damp = family.humidity if options.humidity is None else options.humidity
    period = AirPeriod(
        since=None,
        day_temp=day,
        night_temp=day if options.night is None else options.night,
        day_humidity=damp,
        night_humidity=options.night_humidity,
    )
    known = not readings or any(value is not None for value in given)
    title = str(asked.readings) if asked.readings else ""
    return Room(id="air", title=title, air=(period,) if known else (), readings=readings)


def _room_of(job: Job, name: str | None) -> Room:
    from scheduler.model.names import meant, slug

    if name is None and len(job.rooms) == 1:
        return job.rooms[0]
    found = next((room for room in job.rooms if name is not None and slug(name) in (room.id, slug(room.title))), None)
    if found is None:
        said = (
            "this job has several rooms"
            if name is None
            else told("there is no room “{name}” in this job", name=name[:40])
        )
        raise wrong_input("--room", said, meant(name or "", [room.id for room in job.rooms]))
    return found


def _now_or_first(readings: tuple[Reading, ...]) -> int:
    """Now; the first reading where nothing else is known and the readings do not reach as far as now."""
    now = to_minutes(datetime.now(UTC))
    if readings and not readings[0].minute <= now <= readings[-1].minute:
        return readings[0].minute
    return now


def _celsius(texts: dict[str, str | None]) -> bool:
    """Whether the person wrote metric units; then the answer is in them, too."""
    given = " ".join(text for text in texts.values() if text).lower()
    return re.search(r"\d\s*(°?\s*c(elsius)?\b|℃|mm\b|cm\b|µm\b|um\b)", given) is not None


def _refuse_alone(texts: dict[str, object]) -> None:
    """Air and thickness say nothing without a family."""
    for name, value in texts.items():
        if value is not None and name != "zone":
            raise wrong_input(
                f"--{name.replace('_', '-')}", "it needs a family", "name one, or leave it out for the list"
            )
