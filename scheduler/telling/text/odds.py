"""The odds of each day of finish, for reading and for other programs."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from scheduler.model.foresight import Odds, Risk
from scheduler.telling.dates import LocalFace, face_of
from scheduler.telling.machine.json_text import json_text, moment
from scheduler.telling.text.sheet import Line, Sheet, point
from scheduler.telling.wording import columns, one_line, to_ascii
from scheduler.telling.words import Words

_EIGHTHS = " ▏▎▍▌▋▊▉"
_LABEL, _SHORT_LABEL, _NUMBERS = 25, 17, 14
_NARROW = 60
"""Columns below which weekends are named in short."""

_SMALLEST = 0.005
"""A share that would be told as nothing."""


def odds_text(odds: Odds, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """The three dates, a drawing of the weekends, what the spread comes from, what may go wrong, what was assumed."""
    sheet, words = Sheet(width, ascii), Words(lang=odds.language)
    face = face_of(odds.zone, odds.clock24, odds.language)
    for line in _answer(odds, words, face):
        sheet.add(line)
    for heading, lines in (
        ("done", _drawing(odds, words, face, width, ascii)),
        ("spread", _spread(odds, words)),
        ("risks", _risks(odds.risks)),
        ("drawn", (point(one_line(said)) for said in odds.assumed)),
    ):
        sheet.section(words.of("odds.head", heading), lines)
    return sheet.text(colour)


def odds_json(odds: Odds) -> str:
    """The same as JSON; its schema is `schema_text("odds")`."""
    zone = ZoneInfo(odds.zone)
    whole = {
        "job": odds.job,
        "zone": odds.zone,
        "as_of": moment(odds.as_of, zone),
        "draws": odds.draws,
        "seed": odds.seed,
        "planned": moment(odds.planned, zone),
        "dates": {str(percent): None if day is None else day.isoformat() for percent, day in odds.dates},
        "date_80_between": None if odds.between is None else [day.isoformat() for day in odds.between],
        "by_day": [{"date": day.isoformat(), "probability": round(share, 6)} for day, share in odds.days],
        "no_finish": round(odds.lost, 6),
        "spread_from": [{"what": what, "share": round(share, 4)} for what, share in odds.spread],
        "risks": [
            {"kind": risk.kind, "step": risk.step, "probability": round(risk.share, 6), "said": risk.said}
            for risk in odds.risks
        ],
        "done_by": None if odds.done_by is None else odds.done_by.isoformat(),
        "in_time": None if odds.in_time is None else round(odds.in_time, 6),
        "promises": [{"what": what, "probability": round(share, 6)} for what, share in odds.promises],
        "assumed": list(odds.assumed),
    }
    return json_text(whole)


def _answer(odds: Odds, words: Words, face: LocalFace) -> Iterator[Line]:
    planned = face.date(odds.planned, year=True)
    job = one_line(odds.job)
    if not odds.draws:
        yield Line(words.tell("odds.sure", job=job, day=planned), kind="answer")
        return
    yield Line(words.tell("odds.planned", job=job, day=planned), kind="answer")
    wide = max(columns(words.of("odds.called", str(percent))) for percent, _ in odds.dates)
    for percent, day in odds.dates:
        when = words.tell("odds.no day" if day is None else "odds.by", day=day and face.date_of(day, year=True))
        called = words.of("odds.called", str(percent))
        yield Line(when, first=f"  {called:<{max(20, wide)}} {percent:>2} %  ", rest="      ")
    if odds.done_by is not None and odds.in_time is not None:
        wanted = face.date_of(odds.done_by, year=True)
        yield Line(words.tell("odds.wanted", day=wanted, share=_percent(odds.in_time)))
    for what, share in odds.promises:
        yield Line(words.tell("odds.promised", what=one_line(what), share=_percent(share)))
    yield Line(_sureness(odds, words, face))


def _sureness(odds: Odds, words: Words, face: LocalFace) -> str:
    drawn = words.tell("odds.draws", draws=words.counted("draw", odds.draws), seed=odds.seed)
    if odds.between is None:
        return words.tell("odds.too few", draws=drawn)
    low, high = odds.between
    if low == high:
        return words.tell("odds.same", draws=drawn)
    return words.tell("odds.between", draws=drawn, low=face.date_of(low), high=face.date_of(high))


def _drawing(odds: Odds, words: Words, face: LocalFace, width: int, plain: bool) -> Iterator[Line]:
    """A row for each weekend, or the working days of a week: its bar, its share, and the share of all until then."""
    if not odds.draws:
        return
    rows = list(_weekends(odds, words, face, short=width < _NARROW))
    longest = max((share for _, share in rows), default=1.0)
    label_width = _SHORT_LABEL if width < _NARROW else _LABEL
    room = max(4, width - label_width - _NUMBERS - 2)
    chance, by_then = words.tell("odds.chance"), words.tell("odds.by then")
    yield Line("", first=f"{'':<{label_width + room}}  {chance:>6} {by_then:>7}")
    sofar = 0.0
    for label, share in rows:
        sofar += share
        bar = _bar(share / longest * room, plain)
        numbers = f"{_percent(share):>6} {_percent(sofar):>7}"
        shown = to_ascii(label) if plain else label
        pad = " " * max(0, label_width - 2 - columns(shown))
        yield Line("", first=f"  {shown}{pad}{bar}{' ' * (room - columns(bar))}  {numbers}")
    if odds.lost >= _SMALLEST:
        yield Line(words.tell("odds.lost", share=_percent(odds.lost)), first="  ")


def _weekends(odds: Odds, words: Words, face: LocalFace, *, short: bool) -> Iterator[tuple[str, float]]:
    shares: dict[tuple[date, bool], float] = {}
    for day, share in odds.days:
        monday = day - timedelta(days=day.weekday())
        key = monday, day.weekday() > 4
        shares[key] = shares.get(key, 0.0) + share
    for (monday, weekend), share in sorted(shares.items()):
        first = monday + timedelta(days=5) if weekend else monday
        name = ("odds.weekend" if weekend else "odds.week") + (" short" if short else "")
        month = face.month(first) if short else face.month_name(first)
        yield words.tell(name, day=face.number(first), month=month), share


def _bar(length: float, plain: bool) -> str:
    """A bar of that many columns, to an eighth of a column where the signs for it are there; never none at all."""
    if plain:
        return "#" * max(1, round(length))
    whole, rest = divmod(max(1, round(length * 8)), 8)
    return "█" * whole + (_EIGHTHS[rest] if rest else "")


def _spread(odds: Odds, words: Words) -> Iterator[Line]:
    if not odds.draws:
        return
    for what, share in odds.spread:
        if share >= _SMALLEST:
            yield Line(one_line(what), first=f"  {_percent(share):>5}  ")
    rest = 1 - sum(share for _, share in odds.spread)
    if not odds.spread:
        yield Line(words.tell("odds.no spread"), first="  ")
    elif rest >= _SMALLEST:
        yield Line(words.tell("odds.rest"), first=f"  {_percent(rest):>5}  ")


def _risks(risks: tuple[Risk, ...]) -> Iterator[Line]:
    for risk in risks:
        if risk.share >= _SMALLEST:
            yield Line(one_line(risk.said), first=f"  {_percent(risk.share):>5}  ")


def _percent(share: float) -> str:
    """`12 %`; never 0 or 100 for what may happen, or may not."""
    whole = round(share * 100)
    if whole == 0 and share > 0:
        return "<1 %"
    return ">99 %" if whole == 100 and share < 1 - 1e-9 else f"{whole} %"
