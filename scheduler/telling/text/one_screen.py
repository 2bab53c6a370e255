"""The answer in one screen: done by when, what to order and buy, what dries, the next session, and what comes then.

Rows are a budget. What is cut short says how much is left out, and `--all` prints everything (`text.agenda`). Never
cut are what is overdue, the times until which hands stay off, and the cautions of the session at hand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import chain, groupby, product
from string import ascii_lowercase

from scheduler.model.asides import Asides
from scheduler.model.message import Message
from scheduler.model.plan import Plan, PlannedStep, Session, Stay
from scheduler.telling.text.agenda import beatable, minutes_left
from scheduler.telling.text.learned import contradictions, learned_words
from scheduler.telling.text.sheet import LEAST_WIDTH, Line, Sheet
from scheduler.telling.views.agreed import broken_first, kept, to_come
from scheduler.telling.views.index import Book
from scheduler.telling.views.now import (
    Ahead,
    Purchase,
    Todo,
    Wet,
    ahead,
    broken_else,
    causes,
    finish,
    hours_over,
    missed,
    orders,
    purchases,
    stops,
    wet_after,
    wet_now,
)
from scheduler.telling.views.sessions import have_ready, opening, stay_said
from scheduler.telling.wording import columns, one_line, shortened
from scheduler.wallclock import NEVER

ROWS = 45
"""Rows of the whole answer, so that it stands in one window with the prompt."""

WIDEST = 80
"""Columns. A wider terminal shows it as wide as this: a line of text is read as a whole."""

_LABEL = 7


def one_screen(plan: Plan, asides: Asides, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """The answer in at most ROWS rows, or in as many as what may not be cut takes. The same plan, the same text."""
    book = Book(plan)
    wide = max(LEAST_WIDTH, min(width, WIDEST))
    screen = _Screen(book, asides, wide)
    for tight in range(_TIGHTEST + 1):
        sheet = screen.sheet(tight, ascii)
        if sheet.rows <= ROWS:
            break
    spare = max(0, ROWS - sheet.rows)
    weeks = range(min(spare, _MOST_WEEKS) if tight > 1 else 0, -1, -1)
    ends = range(_END + min(spare, _END_AT_MOST - _END), _END - 1, -1)
    sheets = (screen.sheet(tight, ascii, more, rows) for more, rows in product(weeks, ends))
    return next((each for each in sheets if each.rows <= ROWS), sheet).text(colour)


_RUNNING, _BY_NAME, _ONE_ROW, _TIGHTEST = 5, 6, 7, 8
"""From when on cautions run on in one paragraph, from when on those that the job had before go by their names, and
how often the answer is cut shorter at most: see `_Screen.sheet`."""

_END, _END_AT_MOST = 2, 4
"""Rows of what holds up the end, and how many it may have where the screen has them to spare."""

_LEGIBLE = 12
"""Columns that a step keeps there before one of the middle is left out."""

_STEPS = 6
"""Steps of the session at hand that have a row each however many there are."""


@dataclass(frozen=True, slots=True)
class _Screen:
    """One answer at one width."""

    book: Book
    asides: Asides
    width: int

    def sheet(self, tight: int, ascii: bool, weeks: int = 0, end: int = _END) -> Sheet:  # noqa: A002
        """All of it, with so many `weeks` to come more than that, and `end` rows of what holds up the end at most.
        `tight` 1: later sessions by the week; 2: three
        weeks of them; 3: one note; 4: two rows of what the job waits for are one, no blank rows at the top; 5:
        cautions run on in one paragraph, one week of those to come; 6: those that the job had before by their names,
        notes by their number; 7: steps of the session at hand after the sixth in one row, with all their cautions.
        """
        sheet = Sheet(self.width, ascii)
        book = self.book
        for line in self._heading():
            sheet.add(line)
        if not book.plan.steps:
            sheet.add(Line(book.words.patterns["nothing to do"]))
            return sheet
        sections = [
            [
                *self._agreed(),
                *self._missed(),
                *self._done(tight),
                *self._since(),
                *self._hours(),
                *self._visits(),
                *self._unrecorded(),
                *self._broken(tight),
            ],
            [*self._orders(), *self._purchases(tight)],
            list(self._wet()),
            list(self._next(tight)),
            list(self._then(tight, weeks)),
            [
                *self._end(end),
                *self._taught(tight),
                *self._notes(tight),
                self._label("more", self._words("all", all="--all", page="--page", buy="tackfree buy")),
            ],
        ]
        if all(step.state == "done" for step in book.plan.steps):
            sections[1:2] = []
            sections[2:4] = []
        for number, lines in enumerate(section for section in sections if section):
            if number and (tight < 4 or (tight < _RUNNING and number > 3)):
                sheet.gap()
            for line in lines:
                sheet.add(line)
        return sheet

    def _short(self, day: date, year: bool = False) -> str:
        return self.book.face.short(day, year)

    def _words(self, name: str, **values: object) -> str:
        """What stands on this screen under a name, with the values filled in."""
        return self.book.words.of("screen", name).format(**values)

    def _heading(self) -> Iterator[Line]:
        """The job at the left, how far it is at the right; in two lines where one has no room for both."""
        book = self.book
        now, steps = book.plan.as_of, book.plan.steps
        done = sum(step.state == "done" for step in steps)
        moment = self._words("as of", moment=f"{self._day(now, year=True)}, {self._time(now)}")
        if 0 < done < len(steps):
            moment = self._words("so far", done=done, steps=len(steps), moment=moment)
        room = self.width - columns(book.job) - columns(moment)
        if room > 1:
            yield Line(moment, first=f"{book.job}{' ' * room}", kind="heading")
        else:
            yield Line(book.job, rest="  ", kind="heading")
            yield Line(moment, first="  ", kind="heading")

    def _label(self, name: str, text: str, kind: str = "") -> Line:
        return Line(text, first=self._words(name).ljust(_LABEL), rest=" " * _LABEL, kind=kind)

    def _under(self, text: str, kind: str = "", further: int = 0) -> Line:
        return Line(text, first=" " * _LABEL, rest=" " * (_LABEL + further), kind=kind)

    def _labelled(self, name: str, texts: Sequence[tuple[str, str]], further: int = 2) -> Iterator[Line]:
        for number, (text, kind) in enumerate(texts):
            if number:
                yield self._under(text, kind, further)
            else:
                yield Line(text, self._words(name).ljust(_LABEL), " " * (_LABEL + further), kind)

    def _time(self, minute: int) -> str:
        return self.book.face.time(minute)

    def _day(self, minute: int, year: bool = False) -> str:
        return self._short(self.book.face.day(minute), year)

    def _when(self, minute: int) -> str:
        """The time alone on the day as of which the plan is made, else with its day."""
        face = self.book.face
        same = face.day(minute) == face.day(self.book.plan.as_of)
        return self._time(minute) if same else f"{self._day(minute)}, {self._time(minute)}"

    def _done(self, tight: int) -> Iterator[Line]:
        plan = self.book.plan
        if all(step.state == "done" for step in plan.steps):
            cured = self._words("never") if plan.cured >= NEVER else self._day(plan.cured, year=True)
            moment = f"{self._day(plan.finish, year=True)}, {self._time(plan.finish)}"
            yield self._label("done", self._words("over", moment=moment, cured=cured), "answer")
            return
        found = finish(self.book, self.asides)
        values = {
            name: "" if day is None else self._short(day, year=day == (found.safe or found.best))
            for name, day in (("safe", found.safe), ("best", found.best), ("likely", found.likely))
        }
        if not found.reckoned:
            said = self._words("best alone", **values)
        elif found.safe is None:
            said = self._words("no safe day", **values)
        elif found.safe == found.best:
            said = self._words("one day", **values)
        else:
            said = self._words("safe and best", **values)
        if found.likely not in (None, found.best, found.safe):
            said = self._words("likely", said=said, **values)
        yield self._label("done", said, "answer")
        left = sum(minutes_left(self.book, step) for step in plan.steps if step.state != "done")
        work = self._words(
            "work",
            sessions=self.book.words.counted("session", len(self.book.ahead)),
            length=self.book.words.length(left, days=False),
        )
        proof = self._words("proven") if plan.bound.proven else beatable(self.book)
        used = ""
        if (
            tight < _TIGHTEST
            and plan.finish < plan.usable < NEVER
            and self.book.face.day(plan.usable) > self.book.face.day(plan.finish)
        ):
            used = f" {self._words('usable', day=self._day(plan.usable))}"
        yield self._under(f"{work} {proof}{used}")

    def _since(self) -> Iterator[Line]:
        """What has become of the end since somebody last looked, and why; nothing where no day is another one."""
        found = self.asides.since
        if found is None:
            return
        plan, face = self.book.plan, self.book.face
        told = self.book.words.listing(causes(self.book, self.asides))
        because = self._words("because", cause=told) if told else ""
        day = self._day(found.looked)
        if face.day(found.finish_before) != face.day(plan.finish):
            was, now = self._day(found.finish_before), self._day(plan.finish)
            yield self._label("since", self._words("ended otherwise", day=day, was=was, now=now, because=because))
        elif found.moved:
            steps = self.book.words.counted("step", len(found.moved))
            yield self._label("since", self._words("moved only", day=day, steps=steps, because=because))

    def _missed(self) -> Iterator[Line]:
        days = missed(self.book, self.asides)
        if days and self.asides.promised is not None:
            said = self._words(
                "promise", day=self._short(self.asides.promised, year=True), days=self.book.words.counted("day", days)
            )
            yield self._label("missed", said, "shout")
            yield from (self._under(text, further=2) for text in self._fits())
        elif self.asides.promised is not None and self.asides.odds is not None and self.book.ahead:
            share = round(100 * (self.asides.odds.in_time or 0))
            said = self._words("in time", day=self._short(self.asides.promised, year=True), share=share)
            yield self._label("kept", said, "shout" if share < _LIKELY else "")

    def _fits(self) -> Iterator[str]:
        """What would make it fit after all, each change with its price."""
        fits = self.asides.fits
        if fits is None:
            yield self._words("what helps", command="tackfree sooner")
        elif not fits:
            yield self._words("no fit", command="tackfree sooner --pairs")
        for number, fit in enumerate(fits or ()):
            priced = [f"{change} ({cost})" for change, cost in zip(fit.changes, fit.costs, strict=True)]
            told = "; ".join(map(one_line, priced))
            yield self._words("or fits" if number else "fits", changes=told, how=one_line(fit.said))

    def _agreed(self) -> Iterator[Line]:
        """What can't be kept, before all else."""
        texts = [(self.book.say(each), "shout") for each in broken_first(self.book)]
        texts += [(self._words("what helps", command="tackfree sooner"), "")] if texts else []
        yield from self._labelled("missed", texts)

    def _visits(self) -> Iterator[Line]:
        """What is promised and kept, and who comes when."""
        said = [self.book.say(each) for each in kept(self.book)]
        if said:
            yield self._label("kept", "; ".join(said))
        rooms = {step.room: self.book.room(step) for step in self.book.plan.steps}
        texts = []
        for visit in to_come(self.book):
            when = f"{self._day(visit.span.start)}, {self.book.face.span(*visit.span)}"
            where = f" ({', '.join(rooms.get(room, room) for room in visit.rooms)})" if visit.rooms else ""
            texts.append((f"{one_line(visit.title)}: {when}{where}", ""))
        yield from self._labelled("comes in", texts)

    def _unrecorded(self) -> Iterator[Line]:
        if self.asides.unrecorded:
            spans = ", ".join(dict.fromkeys(self._day(each.span.start) for each in self.asides.unrecorded))
            yield self._label("open", self._words("unrecorded", sessions=spans), "shout")

    def _hours(self) -> Iterator[Line]:
        """That the hours of the job end before the work does."""
        if (over := hours_over(self.book)) is not None:
            end, steps = over
            day = self.book.face.short(self.book.face.day(end))
            steps_said = self.book.words.counted("step", steps)
            yield self._label("hours", self._words("hours over", day=day, steps=steps_said), "shout")

    def _broken(self, tight: int) -> Iterator[Line]:
        """The rules that are broken, and what the planner warns of; of a missed promise `_missed` tells."""
        said = [self.book.say(each.said) for each in broken_else(self.book)]
        said += [self.book.say(each) for each in self.book.plan.warnings if _is_warning(each) and each.kind != _LATE]
        yield from self._some("broken", said, 1 if tight else 3)

    def _taught(self, tight: int) -> Iterator[Line]:
        """What is reckoned with because of what was recorded."""
        said = [*contradictions(self.book), *learned_words(self.book.plan.learned, self.book.words)]
        yield from self._some("taught", said, 1 if tight > 1 else 2)

    def _notes(self, tight: int) -> Iterator[Line]:
        notes = [self.book.say(each) for each in self.book.plan.warnings if not _is_warning(each)]
        if self.book.plan.former:
            gone = "; ".join(one_line(each.title) or one_line(each.name) for each in self.book.plan.former)
            notes.insert(0, self._words("former", steps=gone))
        yield from self._some("mind", notes, 0 if tight >= _BY_NAME else 1 if tight > 2 else 2)

    def _some(self, name: str, said: Sequence[str], most: int) -> Iterator[Line]:
        shown = [(words, "") for words in said[:most]]
        left = len(said) - len(shown)
        if left:
            shown.append((self._words("more notes" if shown else "all notes", notes=left), ""))
        yield from self._labelled(name, shown)

    def _orders(self) -> Iterator[Line]:
        found = orders(self.book, self.asides)
        texts = []
        for order in found:
            comes = "" if order.expected is None else self._words("comes", day=self._short(order.expected))
            day = self._short(order.by)
            name = "ordered late" if order.passed else "ordered"
            said = self._words(name, title=order.title, day=day.upper() if order.passed else day, comes=comes)
            texts.append((said, "shout" if order.passed else ""))
        late = [entry for entry in texts if entry[1]]
        waiting = [text for text, kind in texts if not kind]
        shown = [*late, *([(" · ".join(waiting[:_SHOWN]), "")] if waiting else [])]
        if len(waiting) > _SHOWN:
            shown[-1] = (f"{shown[-1][0]} · {self._words('more notes', notes=len(waiting) - _SHOWN)}", "")
        yield from self._labelled("order", shown)

    def _purchases(self, tight: int) -> Iterator[Line]:
        found = purchases(self.book, self.asides)
        late = [(self._bought(each, "bought late"), "shout") for each in found if each.passed]
        if tight == _TIGHTEST and late:
            late = [(" · ".join(said for said, _ in late), "shout")]
        ahead = [each for each in found if not each.passed]
        left, shown = _FEW if tight == _TIGHTEST else sum(len(each.lots) for each in ahead), []
        for each in ahead:
            if left > 0:
                shown.append(self._bought(replace(each, lots=each.lots[:left]), "bought"))
            left -= len(each.lots)
        if left < 0:
            shown.append(self._words("more to buy", things=-left, command="tackfree buy"))
        rest = " · ".join(shown)
        yield from self._labelled("buy", [*late, *([(rest, "")] if rest else [])])
        if not found and self.asides.shopping is not None and not orders(self.book, self.asides):
            yield self._label("buy", self._words("for both"))

    def _bought(self, each: Purchase, name: str) -> str:
        day = self._short(each.by)
        things = ", ".join(one_line(lot.title) for lot in each.lots)
        return self._words(name, day=day.upper() if each.passed else day, things=things)

    def _wet(self) -> Iterator[Line]:
        texts = [(self._film(wet, self.book.plan.as_of), "") for wet in wet_now(self.book)]
        texts += [
            (self._words("air", room=room, air=air, moment=self._when(until)), "")
            for room, air, until in self.book.air_at(self.book.plan.as_of)
        ]
        yield from self._labelled("dries", texts or [(self._words("nothing dries"), "")])
        taken = [
            self._words(
                "taken" if until < NEVER else "taken for good",
                thing=thing,
                moment=self._when(until) if until < NEVER else "",
                step=self.book.title(by),
            )
            for thing, until, by in self.book.taken_at(self.book.plan.as_of)
        ]
        yield from self._labelled("out", [(text, "") for text in taken])

    def _film(self, wet: Wet, near: int) -> str:
        """`Prime the walls: hands off until 6:20 pm; next on it from Sun 17 Jan, 6:40 am`."""
        face = self.book.face

        def when(minute: int) -> str:
            same = face.day(minute) == face.day(near)
            return self._time(minute) if same else f"{self._day(minute)}, {self._time(minute)}"

        times = [("hands off", wet.hands_off), ("next on it", wet.next_on), ("in use", wet.in_use)]
        rules = "; ".join(self._words(name, moment=when(minute)) for name, minute in times if minute is not None)
        if len(wet.steps) > 1:
            name = self._words("films", count=len(wet.steps), material=wet.material, room=wet.room)
        else:
            name = self.book.title(wet.steps[0])
        return f"{name}: {rules}"

    def _next(self, tight: int) -> Iterator[Line]:
        book = self.book
        if not book.ahead:
            yield self._label("next", self._words("no session"))
            return
        found = ahead(book, book.ahead[0])
        rooms = list(dict.fromkeys(book.room(todo.step) for todo in found.todo))
        yield self._session(found, rooms)
        bought = {one_line(lot.title) for each in purchases(book, self.asides) for lot in each.lots}
        ready = () if found.under_way else [thing for thing in have_ready(book, found.session) if thing not in bought]
        if ready:
            yield Line("; ".join(ready), " " * _LABEL + self._words("ready"), " " * (_LABEL + 2))
        done = [book.title(todo.step) for todo in found.todo if todo.done]
        if done:
            yield self._under(self._words("already", steps="; ".join(done)), further=2)
        wide = max((columns(self._time(todo.start)) for todo in found.todo), default=0)
        to_do = [todo for todo in found.todo if not todo.done]
        most = len(to_do) if tight < _ONE_ROW or len(to_do) <= _STEPS + 1 else _STEPS
        lines = [(todo.start, self._todo(todo, len(rooms) > 1, wide)) for todo in to_do[:most]]
        until = to_do[most].start if to_do[most:] else found.session.end
        lines += [
            (free.start, self._beside(free.start, stay, found.session, wide))
            for free, stay in book.waits_beside(found.session)
            if self.book.plan.as_of < free.end <= until
        ]
        yield from (line for _, line in sorted(lines, key=lambda each: each[0]))
        if to_do[most:]:
            yield self._rest_of_session(to_do[most:], wide)
        last = book.stay_after(found.session)
        if last is not None:
            yield self._beside(last.start, last, found.session, wide)
        yield from self._cautions(found, tight)
        leaving = [self._film(wet, found.session.end) for wet in wet_after(book, found.session)]
        if leaving:
            yield Line(" · ".join(leaving), " " * _LABEL + self._words("leaving"), " " * (_LABEL + 2))

    def _session(self, found: Ahead, rooms: Sequence[str]) -> Line:
        session, face = found.session, self.book.face
        breaks = ", ".join(face.span(*span) for span in found.breaks)
        hours, people = face.span(session.start, session.end), self.book.words.people(session.people)
        said = f"{self._day(session.start)}, {hours}, {people}"
        said += f", {rooms[0]}" if self.book.several_rooms and len(rooms) == 1 and rooms[0] else ""
        said += self._words("break", spans=breaks) if breaks else ""
        return self._label("now" if found.under_way else "next", said, "answer")

    def _todo(self, todo: Todo, several: bool, wide: int) -> Line:
        book = self.book
        notes = [book.room(todo.step)] if several and book.room(todo.step) else []
        notes += [self.book.words.people(todo.step.people)] if todo.step.people > 1 else []
        said = book.title(todo.step) + (f" ({', '.join(notes)})" if notes else "")
        if todo.again:
            said += self._words("again", times=", ".join(self._time(minute) for minute in todo.again))
        letters = " ".join(_letter(number) for number in todo.cautions)
        indent = " " * _LABEL
        return Line(
            said + (f" [{letters}]" if letters else ""),
            first=f"{indent}{self._time(todo.start):>{wide}}  ",
            rest=f"{indent}{' ' * (wide + 4)}",
            kind="step",
        )

    def _beside(self, since: int, stay: Stay, session: Session, wide: int) -> Line:
        """Somebody stays beside a film, with nothing else to do."""
        first = f"{' ' * _LABEL}{self._time(since):>{wide}}  "
        return Line(self.book.say(stay_said(self.book, stay, session)), first, " " * (_LABEL + wide + 4), "step")

    def _rest_of_session(self, todo: Sequence[Todo], wide: int) -> Line:
        """What is left of the session, from when on, with the letters of all its cautions."""
        titles = tuple(dict.fromkeys(self.book.title(each.step) for each in todo))
        letters = "".join(_letter(number) for number in sorted({n for each in todo for n in each.cautions}))
        indent, told = " " * _LABEL, f" [{letters}]" if letters else ""
        first = f"{indent}{self._time(todo[0].start):>{wide}}  "
        said = self.book.words.fitting(titles, self.width - columns(first) - columns(told))
        return Line(said + told, first=first, rest=f"{indent}{' ' * (wide + 4)}", kind="step")

    def _cautions(self, found: Ahead, tight: int) -> Iterator[Line]:
        """Each caution once, with the letter that its steps carry; marked where the job never had it before."""
        asked = {number for todo in found.todo if not todo.done for number in todo.cautions}
        mark = not all(new for _, new in found.cautions)
        texts, before = [], []
        for number, (caution, new) in enumerate(found.cautions):
            if number not in asked:
                continue
            if not new and tight >= _BY_NAME:
                before.append(f"[{_letter(number)}] {opening(caution)}")
                continue
            texts.append((_letter(number), f"{self._words('new')}{caution.brief}" if new and mark else caution.brief))
        if tight < _RUNNING:
            for letter, said in texts:
                yield Line(said, f"    {letter:<3}", " " * _LABEL, "caution")
        elif texts:
            running = " · ".join(f"[{letter}] {said.rstrip('.')}" for letter, said in texts)
            yield Line(running, "   ", "   ", "caution")
        if before:
            yield Line(" · ".join(before), f"   {self._words('before')}", "   ", "caution")

    def _then(self, tight: int, weeks: int) -> Iterator[Line]:
        later = self.book.ahead[1:]
        texts = [self._later((session,)) for session in later]
        if tight:
            by_week = groupby(later, lambda session: self.book.face.day(session.start).isocalendar()[:2])
            texts = [self._later(tuple(sessions)) for _, sessions in by_week]
        most = len(texts) if tight < 2 else weeks + (_WEEKS if tight < _RUNNING else 1)
        for number, (when, steps) in enumerate(texts[:most]):
            label = "" if number else self._words("then")
            yield Line(steps, f"{label:<{_LABEL}}{when}", " " * _LABEL)
        if len(texts) > most:
            last = self._short(self.book.face.day(later[-1].start))
            left = self.book.words.counted("week", len(texts) - most)
            yield self._under(self._words("week", sessions=left, day=last))

    def _later(self, sessions: tuple[Session, ...]) -> tuple[str, str]:
        """The days and the steps of one session, or of those of one week, that fit into one line."""
        face = self.book.face
        days = [face.day(session.start) for session in sessions]
        months = {day.month for day in days}
        if len(days) == 1:
            when = self._short(days[0])
        elif len(months) == 1:
            when = f"{', '.join(map(face.number, dict.fromkeys(days)))} {face.month(days[0])}"
        else:
            when = "–".join(self._short(day).partition(" ")[2] for day in (days[0], days[-1]))
        when = f"{when:<13}  "
        steps = [self.book.steps[name] for session in sessions for name in session.steps if name in self.book.steps]
        titles = {self.book.title(step): step.labour for step in steps}
        longest = sorted(titles, key=lambda title: -titles[title])
        return when, self.book.words.fitting(tuple(titles), self.width - _LABEL - columns(when), longest)

    def _end(self, rows: int) -> Iterator[Line]:
        """What holds up the end, in at most so many rows."""
        steps = [step for step in stops(self.book) if step.state != "done"]
        if not steps:
            return
        titles = [*self._waited_for(steps[0]), *map(self.book.title, steps)]
        longest = max(map(columns, titles))
        widths = (longest, *range(longest - 1, _LEGIBLE - 1, -1))
        cut = ([shortened(title, most) for title in titles] for most in widths)
        lines = (self._label("end", " > ".join(each)) for each in chain(cut, self._without_the_middle(titles)))
        for line in lines:
            if line.height(self.width) <= rows:
                break
        yield line

    def _without_the_middle(self, titles: Sequence[str]) -> Iterator[list[str]]:
        """The titles as short as can be, with ever more of the middle left out and counted."""
        short = [shortened(title, _LEGIBLE) for title in titles]
        for left in range(1, max(2, len(short) - 1)):
            head = (len(short) - left + 1) // 2
            yield [*short[:head], self.book.words.tell("chain.more", left=left), *short[head + left :]]

    def _waited_for(self, step: PlannedStep) -> Iterator[str]:
        """What had to come before the first step of the chain, and who."""
        if "held.delivery" in step.held.kinds():
            yield from map(self.book.item_title, step.needs)
        yield from (self.book.title(each.step) for each in step.after if each.step in self.book.visits)


_SHOWN = 3
_WEEKS = 3
_MOST_WEEKS = 12
_FEW = 2
"""Things to buy that are named where the screen is as tight as can be; what is overdue is always named."""
_LIKELY = 80
"""Per cent of the draws in which a promise is kept that is told as if nothing were the matter."""
_LATE = "warned.too late"


def _is_warning(each: Message) -> bool:
    """Whether it is more than a note: the plan breaks something, or is none that was wanted."""
    return each.kind.startswith("warned.")


def _letter(number: int) -> str:
    """a to z, then a1 to z1."""
    turn, place = divmod(number, len(ascii_lowercase))
    return f"{ascii_lowercase[place]}{turn or ''}"
