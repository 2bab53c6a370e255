"""Changes of the air: nights warmer by steps, day and night warmer, drier air."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from scheduler.model.foresight import Put
from scheduler.model.job import AirPeriod, Job, Room
from scheduler.units import format_fraction, format_temp, parse_fraction, parse_temp
from scheduler.whatif.job_file import FileKeys, Path
from scheduler.whatif.proposal import Proposal, Situation, free

STEPS = 3
"""How many steps warmer the nights are tried."""

STEP = {True: 3.0, False: 5 / 1.8}
"""°C of a step where the job is in metric units, and where it is not: 3 °C, 5 °F."""

WARMEST = 27.0
"""°C up to which a room is heated for the sake of paint."""

DRIER = (0.10, 0.20)
"""Shares of relative humidity by which the air is dried."""

DRIEST = 0.30
"""Relative humidity below which nobody dries the air of a house."""


def air_changes(scene: Situation) -> Iterator[Proposal]:
    """Every change of the air of every room in which a film is laid."""
    laid = {step.room for step in scene.plan.steps if step.film is not None and step.state != "done"}
    for room in scene.job.rooms:
        path = scene.keys.named("rooms", room.id)
        if path is None or room.id not in laid:
            continue
        yield from _warmer_nights(scene, room, path)
        yield from _warmer(scene, room, path)
        yield from _drier(scene, room, path)


def _warmer_nights(scene: Situation, room: Room, path: Path) -> Iterator[Proposal]:
    metric = scene.job.metric
    last: tuple[str, ...] | None = None
    for count in range(1, STEPS + 1):
        nights = tuple(
            _temp(min(period.day_temp, period.night_temp + count * STEP[metric]), metric)
            if period.night_temp < period.day_temp
            else None
            for period in room.air
        )
        texts = tuple(text or "" for text in nights)
        if not any(nights) or texts == last:
            return
        last = texts
        warm = _to(scene, (text for text in (texts[0], texts[-1]) if text))
        yield Proposal(
            kind="warmer nights",
            words=scene.words.tell("change.nights", warm=warm, room=room.title, usual=_usual(scene, room)),
            job=_with_air(room.id, nights, lambda period, text: replace(period, night_temp=parse_temp(text))),
            edit=tuple(
                Put((*_period(scene.keys, path, number), "night"), text)
                for number, text in enumerate(nights)
                if text is not None
            ),
            cost=free(scene.words.tell("cost.nights")),
            cautions=scene.heating,
        )


def _usual(scene: Situation, room: Room) -> str:
    texts = [format_temp(period.night_temp, metric=scene.job.metric) for period in room.air]
    return _to(scene, (texts[0], texts[-1]))


def _to(scene: Situation, texts: Iterable[str]) -> str:
    """`50 °F`, `50 °F to 55 °F`."""
    first, *more = dict.fromkeys(texts)
    return scene.words.figures(scene.words.tell("change.span", first=first, last=more[0]) if more else first)


def _warmer(scene: Situation, room: Room, path: Path) -> Iterator[Proposal]:
    """Day and night a step warmer."""
    metric = scene.job.metric
    if any(period.day_temp + STEP[metric] > WARMEST for period in room.air):
        return
    days = [_temp(period.day_temp + STEP[metric], metric) for period in room.air]
    nights = [_temp(period.night_temp + STEP[metric], metric) for period in room.air]
    step = "3 °C" if metric else "5 °F"

    def change(period: AirPeriod, text: str) -> AirPeriod:
        day, night = text.split("|")
        return replace(period, day_temp=parse_temp(day), night_temp=parse_temp(night))

    edit: list[Put] = []
    for number, (day, night) in enumerate(zip(days, nights, strict=True)):
        at = _period(scene.keys, path, number)
        edit += [Put((*at, "day"), day), Put((*at, "night"), night)]
    yield Proposal(
        kind="warmer day and night",
        words=scene.words.tell("change.warmer", room=room.title, step=step),
        job=_with_air(room.id, tuple(f"{d}|{n}" for d, n in zip(days, nights, strict=True)), change),
        edit=tuple(edit),
        cost=free(scene.words.tell("cost.warmer")),
        cautions=scene.heating,
    )


def _drier(scene: Situation, room: Room, path: Path) -> Iterator[Proposal]:
    for points in DRIER:
        said = (humidity for period in room.air for humidity in (period.day_humidity, period.night_humidity))
        if any(humidity is not None and humidity - points < DRIEST - 1e-9 for humidity in said):
            return
        texts: list[str] = []
        edit: list[Put] = []
        for number, period in enumerate(room.air):
            at = _period(scene.keys, path, number)
            day = format_fraction(period.day_humidity - points)
            edit.append(Put((*at, "humidity"), day))
            night = ""
            if period.night_humidity is not None:
                night = format_fraction(period.night_humidity - points)
                edit.append(Put((*at, "night humidity"), night))
            texts.append(f"{day}|{night}")
        yield Proposal(
            kind="drier air",
            words=scene.words.tell("change.drier", points=round(points * 100), room=room.title),
            job=_with_air(room.id, tuple(texts), _damp),
            edit=tuple(edit),
            cost=free(scene.words.tell("cost.drier")),
        )


def _damp(period: AirPeriod, text: str) -> AirPeriod:
    day, night = text.split("|")
    return replace(period, day_humidity=parse_fraction(day), night_humidity=parse_fraction(night) if night else None)


def _temp(celsius: float, metric: bool) -> str:
    return format_temp(celsius, metric=metric)


def _period(keys: FileKeys, path: Path, number: int) -> Path:
    return keys.entry((*path, "air"), number)


def _with_air(
    name: str, texts: tuple[str | None, ...], change: Callable[[AirPeriod, str], AirPeriod]
) -> Callable[[Job], Job]:
    """The job with the periods of a room's air changed by the texts that go into the file."""

    def changed(job: Job) -> Job:
        return replace(
            job,
            rooms=tuple(
                replace(
                    room,
                    air=tuple(
                        period if text is None else change(period, text)
                        for period, text in zip(room.air, texts, strict=True)
                    ),
                )
                if room.id == name
                else room
                for room in job.rooms
            ),
        )

    return changed
