"""The lower part of the picture: every film as a drop with a tail that thins and fades from stage to stage."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scheduler.model.basics import STAGES
from scheduler.model.plan import PlannedFilm, PlannedStep
from scheduler.telling.page.picture.axis import Axis
from scheduler.telling.page.picture.labels import BOLD, fitted, text_width, wrapped
from scheduler.telling.page.picture.shapes import Band, Box, Part, Point, Scale, Text
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.views.index import Book
from scheduler.wallclock import NEVER

LETTERS = {
    "touch": "T",
    "dust_free": "D",
    "handle": "H",
    "sand": "S",
    "recoat": "R",
    "paint_over": "P",
    "tape": "M",
    "use": "U",
    "full": "F",
}
"""The letter that stands where a film reaches a stage (M: may be masked, that is taped over)."""

ALWAYS = ("touch", "recoat", "tape", "full")
"""The stages that are shown of every film; others only if a step waits for them."""

LEVELS = (("touch",), ("recoat", "paint_over", "sand", "handle"), ("tape", "use"), ("full",))
"""Where a band gets thinner: at the first stage of each group that the film has."""

THICK = (1.0, 0.8, 0.6, 0.42, 0.18)
"""How thick the band is at the start of its parts and at its end, against a wet one."""


Stage = tuple[int, str]
"""When a film is at a stage, and the stage."""


class BandPart:
    """All bands; `top` is where the part begins. A step's `rows` entry is the middle of its band."""

    def __init__(self, book: Book, axis: Axis, scale: Scale, numbers: dict[str, int], tongue: Tongue, top: float):
        self.book, self.axis, self.scale, self.numbers, self.tongue = book, axis, scale, numbers, tongue
        self.steps = [step for step in book.plan.steps if step.film is not None]
        self.top = top
        self.height = len(self.steps) * scale.row
        self.thick = scale.row - scale.line - 3
        self.rows = {step.id: top + (n + 1) * scale.row - self.thick / 2 - 1 for n, step in enumerate(self.steps)}

    def draw(self) -> tuple[Band, ...]:
        """The bands in the order in which the films are laid."""
        return tuple(self._band(step, step.film) for step in self.steps if step.film)

    def _band(self, step: PlannedStep, film: PlannedFilm) -> Band:
        row, start = self.rows[step.id], self.axis.x(step.end)
        number = str(self.numbers[step.id])
        kind, part = ("mark", 0.88) if len(number) < 3 else ("mark small", 0.64)
        size = max(self.thick * 0.62, text_width(number, self.scale.font * part * BOLD) / 2 + 0.8)
        ends = sorted(
            (min(minute, self.axis.span.end), stage)
            for stage, minute in film.stages.items()
            if stage in self._shown(step) and step.end < minute < NEVER
        )
        ticks = [
            Box(self.axis.x(minute), row - self.thick / 2 - 1.5, 1, self.thick + 3)
            for minute, _ in ends
            if minute < self.axis.span.end
        ]
        font = self.scale.font
        lines = 2 if self.scale.row >= 2.2 * font else 1
        name = wrapped(f"{number} {self.book.title(step)}", font, self.scale.pane - 10, lines)
        bottom = row + self.thick / 2 + 1
        return Band(
            number=self.numbers[step.id],
            drop=(start, row),
            size=size,
            mark=Text(start, row + font * part * 0.36, (number,), kind, "middle"),
            parts=tuple(self._parts(step, film, row)),
            ticks=tuple(ticks),
            labels=tuple(self._labels(step, film, row, start + size + 2)),
            name=Text(
                self.scale.pane - 8, bottom - font * 0.3 - (len(name) - 1) * self.scale.line, name, "row", "end"
            ),
            title=f"{number} {self.book.title(step)} ({self.book.material(step)}): {self.words(step)}",
            step=step.id,
        )

    def words(self, step: PlannedStep) -> str:
        """What stages the film is at when, in words."""
        at = [(stage, self.book.reached(step, stage)) for stage in STAGES if stage in self._shown(step)]
        said = sorted((minute, stage) for stage, minute in at if minute is not None)
        return "; ".join(f"{self.tongue.stage(stage)} {self.book.face.moment(minute)}" for minute, stage in said)

    def _shown(self, step: PlannedStep) -> set[str]:
        return {*ALWAYS, *self.book.waited_stages(step)}

    def _parts(self, step: PlannedStep, film: PlannedFilm, row: float) -> Iterator[Part]:
        """From stage to stage; a stage that is never reached ends the band at the edge, as thick as it still is."""
        begin = step.end
        for level, stages in enumerate(LEVELS):
            minute = next((film.stages[stage] for stage in stages if stage in film.stages), None)
            if minute is None and level < 3:
                continue
            end = max(begin, self.axis.span.end if minute is None else minute)
            left, right = self.axis.x(begin), self.axis.x(end)
            if right - left >= 0.3:
                thick, thin = THICK[level], THICK[level + 1]
                if end > self.axis.span.end:
                    thin = thick + (thin - thick) * (self.axis.span.end - begin) / (end - begin)
                up, down = self.thick * thick / 2, self.thick * thin / 2
                shape: tuple[Point, ...] = (
                    (left, row - up),
                    (right, row - down),
                    (right, row + down),
                    (left, row + up),
                )
                yield Part(level, shape)
            begin = end

    def _labels(self, step: PlannedStep, film: PlannedFilm, row: float, free: float) -> Iterator[Text]:
        """Letters over the ticks, run together where they would touch, with the time of what is waited for.

        What comes after the last day of the picture stands at its edge, with the day.
        """
        font, base = self.scale.font * 0.88, row - self.thick / 2 - 2.5
        shown = sorted(
            (m, s) for s, m in film.stages.items() if s in self._shown(step) and s in LETTERS and m < NEVER
        )
        inside = [(minute, stage) for minute, stage in shown if minute < self.axis.span.end]
        groups = self._groups(inside, free, font)
        for n, (x, stages) in enumerate(groups):
            end = groups[n + 1][0] if n + 1 < len(groups) else self.axis.width
            yield Text(x, base, (self._timed(step, stages, end - x - 3, font),), "stage")
        late = [(minute, stage) for minute, stage in shown if minute >= self.axis.span.end]
        if late:
            last = self.axis.face.short(self.axis.face.day(late[-1][0]))
            said = fitted(f"{''.join(LETTERS[stage] for _, stage in late)} {last}", font * BOLD, self.scale.later - 6)
            yield Text(self.axis.width + 4, row + font * 0.55, (said,), "stage")

    def _groups(self, stages: Sequence[Stage], free: float, font: float) -> list[tuple[float, list[Stage]]]:
        """Stages whose letters would touch stand together where the first of them is; none past the last day."""
        least = free
        groups: list[tuple[float, list[Stage]]] = []
        for minute, stage in stages:
            x = max(self.axis.x(minute) - 2, least)
            if groups and x < free + 2:
                groups[-1][1].append((minute, stage))
            else:
                groups.append((x, [(minute, stage)]))
            free = groups[-1][0] + _wide(groups[-1][1], font)
        while groups and free > self.axis.width:
            x, last = groups.pop()
            x = max(least, self.axis.width - _wide(last, font))
            if not groups or x >= groups[-1][0] + _wide(groups[-1][1], font) + 2 or x == least:
                groups.append((x, last))
                break
            groups[-1][1].extend(last)
            free = groups[-1][0] + _wide(groups[-1][1], font)
        return groups

    def _timed(self, step: PlannedStep, stages: Sequence[Stage], room: float, font: float) -> str:
        """The letters, and the time of the last of them that a step waits for, if there is room for it."""
        letters = "".join(LETTERS[stage] for _, stage in stages)
        waited = [minute for minute, stage in stages if stage in self.book.waited_stages(step)]
        if waited and self.scale.names:
            told = f"{letters} {self.axis.face.time(waited[-1])}"
            if text_width(told, font * BOLD) <= room:
                return told
        return letters


def _wide(stages: Sequence[Stage], font: float) -> float:
    return text_width("".join(LETTERS[stage] for _, stage in stages), font * BOLD)
