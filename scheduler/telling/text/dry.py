"""The answer of `tackfree dry` as a person reads it: a table of stages, a drawing, and what to know beforehand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from scheduler.model.drytable import DryAnswer, DryStage, Faster
from scheduler.model.job import AirPeriod
from scheduler.model.tradewords import ENGLISH
from scheduler.telling.dates import LocalFace, face_of
from scheduler.telling.dry_words import between, length, short_moment
from scheduler.telling.text.dry_strip import strips
from scheduler.telling.text.sheet import Line, Sheet, point
from scheduler.telling.wording import one_line
from scheduler.telling.words import Clocked, Words
from scheduler.units import format_fraction, format_temp, format_thickness
from scheduler.wallclock import NEVER

TABLE_WIDTH = 80
"""Columns from which on the stages stand in a table; a narrower terminal gets a sentence for each."""

_NUMBERS = ("order", "exponent", "activation", "pot_life", "open_time")
"""What has a part in these times besides the stages: the sources of sizes and coverage stand in the profile."""

_LAID = {"film": "coat", "depth": "layer", "bead": "bead"}


def dry_sheet(
    answer: DryAnswer,
    width: int = 80,
    colour: bool = False,
    ascii: bool = False,  # noqa: A002
    lang: str = ENGLISH,
) -> str:
    """The answer for reading, at most `width` columns wide (never below 40); `ascii` keeps to plain signs."""
    return _Dry(answer, Sheet(width, ascii), lang).text(colour)


_A_MONDAY = date(2027, 1, 4)


class _Dry:
    """One answer, told in one language."""

    def __init__(self, answer: DryAnswer, sheet: Sheet, lang: str) -> None:
        self._answer = answer
        self._sheet = sheet
        self._face: LocalFace = face_of(answer.zone, answer.clock24, lang)
        self._words = Words(Clocked(self._face), lang)
        self._tell = self._words.tell

    def text(self, colour: bool) -> str:
        answer, sheet = self._answer, self._sheet
        for line in self._question():
            sheet.add(line)
        sheet.gap()
        for line in self._table():
            sheet.add(line)
        drawn = list(strips(answer.table, answer.unfit, self._words, self._face, sheet.width, sheet.ascii))
        if drawn:
            sheet.gap()
        for line in drawn:
            sheet.add(line)
        for heading, lines in (
            ("recoat", self._recoat()),
            ("faster", self._faster()),
            ("limits", self._limits()),
            ("mind", self._minded()),
            ("sources", self._sources()),
        ):
            sheet.section(self._words.of("dry.head", heading), lines)
        return sheet.text(colour)

    def _point(self, name: str, kind: str = "", **values: object) -> Line:
        return point(one_line(self._tell(name, **values)), kind)

    def _figure(self, text: str) -> str:
        return self._words.figures(text)

    def _stage(self, name: str) -> str:
        return self._words.of("stage", name)

    def _question(self) -> Iterator[Line]:
        answer, face = self._answer, self._face
        material, ratio = answer.material, answer.table.ratio
        thick = self._figure(format_thickness(material.thickness * ratio, metric=answer.metric))
        if ratio != 1:
            reference = self._figure(format_thickness(material.thickness, metric=answer.metric))
            thick = self._tell("dry.times", thick=thick, times=self._figure(f"{ratio:.3g}"), reference=reference)
        title = one_line(material.title)
        yield Line(
            self._tell(
                "dry.answer",
                title=f"{title[:1].upper()}{title[1:]}",
                group=group_word(self._words, material.group),
                coats=self._words.counted(_LAID.get(material.thickness_kind, "coat"), answer.coats),
                thick=thick,
                start=face.moment(answer.start, year=True),
            ),
            kind="answer",
        )
        yield self._air()
        for number, table in enumerate(answer.tables[1:], start=2):
            yield Line(self._tell("dry.next coat", number=number, start=face.moment(table.start)))
        if answer.spoilt is not None:
            said = self._words.say(answer.spoilt)
            which = "dry.spoilt" if answer.coats == 1 else "dry.spoilt coat"
            yield Line(self._tell(which, number=len(answer.tables), said=said), kind="shout")
        elif not answer.complete:
            yield Line(self._tell("dry.no coat", number=len(answer.tables) + 1), kind="shout")

    def _air(self) -> Line:
        answer, room, face = self._answer, self._answer.room, self._face
        said = [self._period(period, night) for period, night in zip(room.air, answer.nights, strict=True)]
        if room.readings:
            said = [
                self._tell(
                    "dry.readings",
                    readings=self._words.counted("reading", len(room.readings)),
                    first=face.moment(room.readings[0].minute),
                    last=face.moment(room.readings[-1].minute),
                ),
                *(self._tell("dry.no reading", air=each) for each in said),
            ]
        name = "dry.air of" if room.title else "dry.air"
        return Line(self._tell(name, room=one_line(room.title), air="; ".join(said), zone=answer.zone))

    def _period(self, period: AirPeriod, night: float) -> str:
        """`68 °F and 50 % humidity by day (from 8:00 am to 8:00 pm), 50 °F and 95 % by night`."""
        metric, room = self._answer.metric, self._answer.room
        day, dark = (self._figure(format_temp(temp, metric=metric)) for temp in (period.day_temp, period.night_temp))
        damp, wet = (self._figure(format_fraction(humidity)) for humidity in (period.day_humidity, night))
        name = "dry.by day and night" if damp != wet else "dry.warm by day" if day != dark else "dry.all day"
        return self._since(period.since) + self._tell(
            name,
            day=day,
            night=dark,
            damp=damp,
            wet=wet,
            hours=self._day_hours(room.day_hours),
            kept=self._tell("dry.kept water") if period.night_humidity is None else "",
        )

    def _day_hours(self, by_weekday: Sequence[tuple[int, int]]) -> str:
        """`from 8:00 to 20:00`; where days of the week differ, those that are alike with their names before it."""
        week = [_A_MONDAY + timedelta(days=number) for number in range(7)]
        alike: dict[tuple[int, int], list[str]] = {}
        for day, hours in zip(week, by_weekday, strict=True):
            alike.setdefault(hours, []).append(self._face.weekday(day))
        said = {hours: tuple(map(self._face.clock, hours)) for hours in alike}
        if len(alike) == 1:
            (start, end), *_ = said.values()
            return self._tell("dry.hours", start=start, end=end)
        return "; ".join(
            f"{', '.join(days)} {self._tell('dry.hours', start=said[hours][0], end=said[hours][1])}"
            for hours, days in alike.items()
        )

    def _since(self, first: date | None) -> str:
        return "" if first is None else self._tell("dry.since", day=self._face.date_of(first, year=True))

    def _table(self) -> Iterator[Line]:
        answer, tell = self._answer, self._tell
        stages = answer.table.stages
        wide = self._sheet.width >= TABLE_WIDTH
        if wide:
            heads = (
                self._words.of("dry.column", each) for each in ("stage", "means", "after", "range", "law", "when")
            )
            yield Line("", first=_row(*heads), kind="heading")
        for stage in stages:
            cells = self._cells(stage)
            if wide:
                yield Line("", first=_row(*cells))
            else:
                word, means, after, around, law, when = cells
                said = tell("dry.row", means=means, after=after, around=around, when=when, law=law)
                yield Line(said, first=f"{word}: ", rest="  ")
        yield Line(
            tell(
                "dry.key",
                since=tell("dry.since first coat" if answer.coats > 1 else "dry.since laying"),
                unknown=tell("dry.unknown")
                if any(stage.latest >= NEVER for stage in stages if answer.spoilt is None)
                else "",
            )
        )

    def _cells(self, stage: DryStage) -> tuple[str, str, str, str, str, str]:
        answer = self._answer
        word, means = key_word(stage.stage), self._words.of("means", stage.stage)
        if not stage.reached or not answer.complete:
            why = "dry.spoilt cell" if answer.spoilt is not None else "dry.not in this air"
            return word, means, "–", "–", stage.clock.law, self._tell(why)
        begin, after = answer.start, stage.at - answer.start
        high = stage.latest - begin if stage.latest < NEVER else NEVER
        around = self._figure(between(stage.soonest - begin, high, after))
        when = short_moment(self._face, stage.at, begin)
        return word, means, self._span(after), around, stage.clock.law, when

    def _span(self, minutes: int) -> str:
        return self._figure(length(minutes))

    def _recoat(self) -> Iterator[Line]:
        answer, face = self._answer, self._face
        recoat, by = answer.table.stage("recoat"), answer.table.stage("recoat_by")
        if recoat is None or not recoat.reached or not answer.complete:
            return
        remedy = answer.material.remedy
        if by is None:
            yield self._point("dry.recoat from", start=face.moment(recoat.at))
            return
        until = face.moment(by.at, year=True) if by.reached else self._tell("dry.recoat beyond")
        yield self._point("dry.recoat", start=face.moment(recoat.at), until=until)
        if remedy:
            work = self._words.length(remedy.work, days=False)
            yield self._point("dry.recoat after", title=remedy.title, work=work)
            for caution in remedy.cautions:
                yield self._point("dry.then", kind="caution", caution=caution)

    def _faster(self) -> Iterator[Line]:
        if not self._answer.faster:
            yield self._point("dry.none faster")
        for option in self._answer.faster:
            yield point(one_line(self._gain(option)))

    def _gain(self, option: Faster) -> str:
        then = option.table.stage(option.stage)
        beyond = len(option.table.warnings) > len(self._answer.table.warnings)
        return self._tell(
            "dry.gain only" if option.saves is None else "dry.gain",
            change=self._words.say(option.change),
            stage=self._stage(option.stage),
            saves=self._words.length(option.saves or 0),
            at=self._face.moment(then.at if then else NEVER),
            beyond=self._tell("dry.gain beyond") if beyond else "",
        )

    def _limits(self) -> Iterator[Line]:
        answer, limits = self._answer, self._answer.material.limits
        if limits is None or answer.asked is None:
            yield self._point("dry.no limits")
            return
        until = (
            self._tell("dry.held until", stage=self._stage(limits.hold_until))
            if limits.hold_until
            else self._tell("dry.held while laid")
        )
        yield self._point("dry.asked", air=self._figure(self._words.say(answer.asked)), until=until)
        if not answer.hindrances:
            yield self._point("dry.fit")
            return
        for broken in answer.hindrances:
            yield self._point("dry.not fit", kind="shout", said=self._words.say(broken.said))
            cure = one_line(f"{self._words.say(broken.cure)}.")
            yield Line(cure, first=f"    {self._tell('dry.cure')}", rest="    ")
        if answer.fit_from is None:
            yield self._point("dry.never fit")
        elif answer.fit_from > answer.start:
            yield self._point("dry.fit from", start=self._face.moment(answer.fit_from, year=True))

    def _minded(self) -> Iterator[Line]:
        material, words = self._answer.material, self._words
        for warning in self._answer.warnings:
            yield point(one_line(words.say(warning)))
        for caution in self._answer.cautions:
            yield self._point("dry.caution", kind="caution", caution=caution)
        if material.pot_life:
            yield self._point("dry.pot life", length=words.length(material.pot_life))
        if material.open_time:
            yield self._point("dry.open time", length=words.length(material.open_time))
        if material.room_closed_until:
            yield self._point("dry.closed", stage=self._stage(material.room_closed_until))
        if material.clean_up:
            yield self._point("dry.clean-up", how=material.clean_up)
        yield self._point("dry.own sheet")

    def _sources(self) -> Iterator[Line]:
        """Each source once, with all that it is named for."""
        material, of = self._answer.material, self._words.of
        named: dict[str, list[str]] = {}
        for stage in material.stages:
            named.setdefault(stage.source, []).append(self._stage(stage.stage))
        if material.limits:
            named.setdefault(material.limits.source, []).append(of("dry.number", "limits"))
        if material.remedy:
            named.setdefault(material.remedy.source, []).append(of("dry.number", "remedy"))
        if material.spoils:
            named.setdefault(material.spoils.source, []).append(of("dry.number", "spoils"))
        for what, source in material.sources:
            if what in _NUMBERS:
                named.setdefault(source, []).append(of("dry.number", what))
        yield self._point("dry.profile", source=material.source, origin=material.origin)
        for source, whats in named.items():
            yield point(one_line(f"{self._words.listing(whats)}: {source}"))


def key_word(stage: str) -> str:
    """A stage as it is written by hand: `dust free`, `recoat by`."""
    return stage.replace("_", " ")


def group_word(words: Words, group: str) -> str:
    """The group of a family; one of a person's own as they call it."""
    try:
        return words.of("group", group)
    except KeyError:
        return one_line(group)


def _row(stage: str, means: str, after: str, around: str, law: str, when: str) -> str:
    return f"{stage:<10} {means:<17} {after:<7} {around:<10} {law:<8} {when}"
