"""The sections that appear when there is data for them: sources, air, what changed, leeway, odds, shopping."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate, groupby, pairwise

from scheduler.model.basics import Span
from scheduler.model.leeway import Leeway, Leeways
from scheduler.model.material import LAWS
from scheduler.model.page import FilmSource, PageFacts, RoomSpells
from scheduler.telling.dates import LocalFace
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.views.index import Book
from scheduler.telling.wording import one_line
from scheduler.units import format_fraction, format_temp
from scheduler.wallclock import at_local

LEVELS = (0.0, 0.5, 0.8, 0.95, 1.0)
"""Chances that the axis of the odds names."""

RUNS = 3
"""Spells of days with the same air that are told one by one; of more only the range is."""

LEAST_SHARE = 0.005
"""Of the spread of the finish: what makes out less is not listed."""


@dataclass(frozen=True, slots=True)
class Shop:
    """Something to buy, in words, and how one names it; days that are not known are empty."""

    key: str
    thing: str
    name: str
    amount: str
    order_by: str
    needed: str
    ordered: str


@dataclass(frozen=True, slots=True)
class SourceRow:
    """One stage of a family: when, by which law, and where the number comes from."""

    stage: str
    hours: str
    law: str
    source: str


@dataclass(frozen=True, slots=True)
class Source:
    """A family of which films are laid: at which air its times hold, and where they and the limits of its `air` come
    from; `source` and `limits` are as they were taken down."""

    title: str
    said: str
    source: str
    air: str
    limits: str
    rows: tuple[SourceRow, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """A stepped curve with its axes in 360 by 190 pixels, (height, words) and (place, day), and its table."""

    title: str
    said: str
    points: tuple[tuple[float, float], ...]
    head: tuple[str, str]
    rows: tuple[tuple[str, str], ...]
    levels: tuple[tuple[float, str], ...]
    days: tuple[tuple[float, str], ...]


class Extras:
    """The words of the sections beyond the plan."""

    def __init__(self, book: Book, facts: PageFacts, face: LocalFace, tongue: Tongue):
        self.book, self.facts, self.face, self.tongue = book, facts, face, tongue
        self.metric = book.plan.metric or tongue.lang != "en"

    def sources(self) -> tuple[Source, ...]:
        """Each family that is laid, with the law and the source of each stage."""
        return tuple(self._source(film) for film in self.facts.films)

    def _source(self, film: FilmSource) -> Source:
        temp, damp = format_temp(film.temp, metric=self.metric), format_fraction(film.humidity)
        said = self.tongue("Times at {temp} and {damp}.", temp=temp, damp=damp)
        limits = one_line(film.limits_source)
        rows = [
            SourceRow(
                stage=self.tongue.stage(stage.stage),
                hours=self.book.words.length(stage.typical),
                law=self.tongue(LAWS.get(stage.law, stage.law)),
                source=one_line(stage.source),
            )
            for stage in film.stages
        ]
        air = self.tongue("Limits of the air:") if limits else ""
        return Source(one_line(film.title), said, one_line(film.source), air, limits, tuple(rows))

    def air(self) -> tuple[tuple[str, str, str, str], ...]:
        """(room, days, temperatures, humidities): runs of days that are alike."""
        return tuple(row for room in self.facts.air for row in self._air(room))

    def air_words(self) -> tuple[str, ...]:
        """The air of each room in which films dry, in a line; where it changes for good; what waits for fit air."""
        wet = {step.room for step in self.book.plan.steps if step.film is not None}
        said = []
        for room in self.facts.air:
            runs = list(self._air(room)) if room.room in wet else []
            if 0 < len(runs) <= RUNS:
                parts = [
                    f"{temp}, {damp}" if n == 0 else f"{days}: {temp}, {damp}"
                    for n, (_, days, temp, damp) in enumerate(runs)
                ]
                said.append(f"{self.tongue('Air in {room}', room=one_line(room.title))}: {'; '.join(parts)}")
            elif runs:
                temps = [spell.temp for spell in room.spells]
                damps = [spell.humidity for spell in room.spells]
                warm = _range(*(format_temp(temp, metric=self.metric) for temp in (min(temps), max(temps))))
                damp = _range(*(format_fraction(damp) for damp in (min(damps), max(damps))))
                said.append(f"{self.tongue('Air in {room}', room=one_line(room.title))}: {warm}, {damp}")
        for step in self.book.plan.steps:
            if step.air_wait is not None and step.state == "planned":
                when = self.face.moment(step.air_wait.start)
                said.append(self.tongue("{title}: no fit air at {moment}", title=self.book.title(step), moment=when))
        return tuple(said)

    def _air(self, room: RoomSpells) -> Iterator[tuple[str, str, str, str]]:
        days = list(self._days(room))
        for _, run in groupby(enumerate(days), lambda entry: entry[1][1:]):
            same = [day for _, day in run]
            first, last = same[0][0], same[-1][0]
            when = (
                self.face.date_of(first)
                if first == last
                else f"{self.face.date_of(first)} – {self.face.date_of(last)}"
            )
            yield one_line(room.title), when, same[0][1], same[0][2]

    def _days(self, room: RoomSpells) -> Iterator[tuple[date, str, str]]:
        if not room.spells:
            return
        day, last = self.face.day(room.spells[0].start), self.face.day(room.spells[-1].end - 1)
        while day <= last:
            whole = Span(at_local(day, 0, self.face.zone), at_local(day + timedelta(days=1), 0, self.face.zone))
            found = [spell for spell in room.spells if spell.start < whole.end and whole.start < spell.end]
            if found:
                temps, damps = [spell.temp for spell in found], [spell.humidity for spell in found]
                yield (
                    day,
                    _range(*(format_temp(temp, metric=self.metric) for temp in (min(temps), max(temps)))),
                    _range(*(format_fraction(damp) for damp in (min(damps), max(damps)))),
                )
            day += timedelta(days=1)

    def changed(self) -> tuple[str, tuple[tuple[str, str, str], ...]] | None:
        """What became of the finish, and (what, before, after) for sessions and steps that moved."""
        moves = self.facts.moves
        if moves is None:
            return None
        now = self.face.moment(moves.finish_after, year=True)
        gap = moves.finish_after - moves.finish_before
        if not gap:
            said = self.tongue("The end stays: {now}.", now=now)
        else:
            said = self.tongue(
                "The end moves from {was} to {now}: {gap} later."
                if gap > 0
                else "The end moves from {was} to {now}: {gap} earlier.",
                was=self.face.moment(moves.finish_before, year=True),
                now=now,
                gap=self.book.words.gap(moves.finish_before, moves.finish_after),
            )
        session, none = self.tongue("session"), "–"
        rows = [(session, self._when(move.before), self._when(move.after)) for move in moves.sessions_moved]
        rows += [(session, none, self._when(span)) for span in moves.sessions_new]
        rows += [(session, self._when(span), none) for span in moves.sessions_gone]
        rows += [(one_line(m.title), self._when(m.before), self._when(m.after)) for m in moves.moved]
        rows += [(one_line(title), none, self.tongue("new")) for _, title, _ in moves.new]
        rows += [(one_line(title), self.tongue("no longer needed"), none) for _, title, _ in moves.gone]
        return said, tuple(rows)

    def _when(self, span: Span) -> str:
        return f"{self.face.date(span.start)}, {self.face.span(*span)}"

    def leeway(self) -> tuple[Curve, ...]:
        """For each thing on order or session: the day it comes against the day on which the work ends."""
        found = self.facts.leeway
        return tuple(self._leeway(each, found) for each in found.found) if found else ()

    def _leeway(self, each: Leeway, found: Leeways) -> Curve:
        done = [(point.comes, point.ending.finish) for point in each.curve]
        if found.ending.finish is not None:
            done = [(each.due, found.ending.finish), (each.free_until, found.ending.finish), *done]
        done = sorted(dict(done).items())
        impossible = self.tongue("no plan is possible")
        rows = tuple(
            (self.face.date_of(comes), impossible if finish is None else self.face.moment(finish))
            for comes, finish in done
        )
        points = [(float(comes.toordinal()), float(finish)) for comes, finish in done if finish is not None]
        said = self.tongue("Free until {day}; after that the end moves.", day=self.face.date_of(each.free_until))
        name = one_line(each.title)
        if each.session is not None:
            name = f"{self.tongue('session')} {each.session}: {name}"
        ends = sorted({finish for _, finish in points}) or [0.0]
        days = [self.face.day(int(end)) for end in (ends[0], ends[-1])]
        levels = [
            (end, f"{day.day} {self.face.month(day)}") for end, day in zip((ends[0], ends[-1]), days, strict=True)
        ]
        head = (self.tongue("comes"), self.tongue("done on"))
        return _curve(name, said, points, head, rows, levels, self.face.short)

    def odds(self) -> Curve | None:
        """The share of draws that are finished by each day."""
        odds = self.facts.odds
        if odds is None or not odds.days:
            return None
        total = list(accumulate(share for _, share in odds.days))
        rows = tuple(
            (self.face.date_of(day), format_fraction(by)) for (day, _), by in zip(odds.days, total, strict=True)
        )
        points = [(float(day.toordinal()), by) for (day, _), by in zip(odds.days, total, strict=True)]
        said = self.tongue("Reckoned from {draws} draws of what is not sure.", draws=odds.draws)
        head = (self.tongue("done on or before"), self.tongue("chance"))
        levels = [(share, format_fraction(share)) for share in LEVELS]
        return _curve(self.tongue("Chance of being done"), said, points, head, rows, levels, self.face.short)

    def odds_words(self) -> str:
        """`80 % by Saturday 6 March; 95 % by …`, the highest of each day; empty if nobody has reckoned it."""
        odds = self.facts.odds
        by_day = {day: percent for percent, day in (odds.dates if odds else ()) if day is not None}
        return "; ".join(
            self.tongue("{percent} % by {day}", percent=percent, day=self.face.date_of(day, year=True))
            for day, percent in by_day.items()
        )

    def spread_from(self) -> tuple[tuple[str, str], ...]:
        """What the spread of the finish comes from, as far as it is worth a row, and the part that several share."""
        odds = self.facts.odds
        spread = odds.spread if odds else ()
        found = [(one_line(what), share) for what, share in spread if share >= LEAST_SHARE]
        shared = 1 - sum(share for _, share in spread)
        if spread and shared >= LEAST_SHARE:
            found.append((self.tongue("what several of these do together, and chance"), shared))
        return tuple((what, format_fraction(share)) for what, share in found)

    def assumed(self) -> tuple[str, ...]:
        """What was drawn for the odds, and how."""
        odds = self.facts.odds
        return tuple(self.face.said(one_line(sentence)) for sentence in odds.assumed) if odds else ()

    def shopping(self) -> tuple[Shop, ...]:
        """All that is to be bought and not on order."""
        found = []
        on_order = {self.book.item_title(item) for item in self.book.plan.items}
        for each in self.facts.shopping:
            name = one_line(each.name)
            if name in on_order:
                continue
            amount = one_line(f"{each.quantity} ({each.containers})" if each.containers else each.quantity)
            days = (each.order_by, each.needed_by, each.ordered)
            order, needed, ordered = (self.face.date_of(day) if day else "" for day in days)
            found.append(Shop(f"b:{each.thing or name}", each.thing, name, amount, order, needed, ordered))
        return tuple(found)

    def ordered(self, title: str) -> str:
        """How much of what is on order the steps use, in containers; nothing where nobody measured it."""
        return next((one_line(each.containers) for each in self.facts.shopping if one_line(each.name) == title), "")


PLOT = (46.0, 10.0, 304.0, 150.0)
"""Pixels of a curve's field: left, top, width and height; the axes stand beside and below it."""

CLOSE, LINE = 80.0, 12.0
"""Pixels that two days below the axis need, and two levels beside it."""


def _curve(
    title: str,
    said: str,
    points: Sequence[tuple[float, float]],
    head: tuple[str, str],
    rows: tuple[tuple[str, str], ...],
    levels: Sequence[tuple[float, str]],
    day: Callable[[date], str],
) -> Curve:
    """Steps from point to point over an axis of days, beside an axis with these levels (value, words)."""
    left, top, wide, high = PLOT
    first, last = points[0][0], points[-1][0]
    low, most = min(value for value, _ in levels), max(value for value, _ in levels)

    def x(place: float) -> float:
        return left + wide * ((place - first) / (last - first) if last > first else 0.5)

    def y(value: float) -> float:
        return top + high * (1 - ((value - low) / (most - low) if most > low else 0.5))

    steps = [(x(points[0][0]), y(points[0][1]))]
    for (_, before), (place, value) in pairwise(points):
        steps += [(x(place), y(before)), (x(place), y(value))]
    days: list[tuple[float, str]] = []
    for place in dict.fromkeys((first, last, *(place for place, _ in points))):
        if all(abs(x(place) - other) >= CLOSE for other, _ in days):
            days.append((x(place), day(date.fromordinal(int(place)))))
    named: list[tuple[float, str]] = []
    for value, words in levels:
        near = any(label and abs(y(value) - height) < LINE for height, label in named)
        named.append((y(value), "" if near else words))
    return Curve(
        title=title,
        said=said,
        points=tuple(steps),
        head=head,
        rows=rows,
        levels=tuple(named),
        days=tuple(days),
    )


def _range(low: str, high: str) -> str:
    """`60–68 °F`, or the one value."""
    number, _, unit = low.partition(" ")
    if low == high:
        return low
    return f"{number}–{high}" if unit and high.endswith(f" {unit}") else f"{low} – {high}"
