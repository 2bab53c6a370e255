"""A plan opened for reading: what is in a session, what still dries when people leave, what a step waits for.

It only looks things up; nothing is decided here. Agenda and calendar both read from it, so that they say the same.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from scheduler.model.basics import STAGES, Span
from scheduler.model.message import Message, as_written, message
from scheduler.model.plan import Plan, PlannedFilm, PlannedItem, PlannedStep, Ready, Session, Stay
from scheduler.telling.dates import face_of
from scheduler.telling.wording import one_line
from scheduler.telling.words import Words
from scheduler.wallclock import NEVER

COVERS = ("sand", "recoat", "paint_over")
"""Who waits for one of these lays something over the film."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a step: the `number`th of `of`, counted from 1."""

    step: PlannedStep
    span: Span
    number: int
    of: int


@dataclass(frozen=True, slots=True)
class Drying:
    """A film that still dries: (stage, minute at which it gets there), soonest first; `left` is when people left.

    `part` is the number of the piece that laid it where the step goes on later; 0: all of it is laid.
    """

    step: PlannedStep
    left: int
    stages: tuple[tuple[str, int], ...]
    part: int = 0


class Book:
    """Look-ups over one plan, made once. Its words are those of the plan's language, unless told otherwise."""

    def __init__(self, plan: Plan, lang: str | None = None) -> None:
        self.plan = plan
        self.lang = lang or plan.language
        self.face = face_of(plan.zone, plan.clock24, self.lang)
        self.words = Words(self, self.lang)
        self.job = one_line(plan.job) or one_line(plan.job_id) or self.words.patterns["the job"]
        self.steps = {step.id: step for step in plan.steps}
        self.items = {item.item: item for item in plan.items}
        self.visits = {visit.appointment: visit for visit in plan.visits}
        self.several_rooms = len({step.room for step in plan.steps}) > 1
        self.sessions = tuple(sorted(plan.sessions, key=lambda session: (session.start, session.number)))
        self.ahead = tuple(session for session in self.sessions if session.end > plan.as_of)
        hours = sorted(plan.windows, key=lambda window: window.start)
        self.breaks = tuple(Span(a.end, b.start) for a, b in pairwise(hours) if a.session == b.session)
        self._ends = sorted(piece.end for step in plan.steps for piece in step.pieces)
        self._waited: dict[str, list[tuple[str, PlannedStep]]] = defaultdict(list)
        for step in plan.steps:
            for link in step.after:
                self._waited[link.step].append((link.stage, step))

    def title(self, step: str | PlannedStep) -> str:
        """The title of a step, cleaned; its id if it has none."""
        found = self.steps.get(step) if isinstance(step, str) else step
        if found is None and step in self.visits:
            return one_line(self.visits[str(step)].title)
        if found is None and step in self.items:
            return self.item_title(str(step))
        if found is None:
            return one_line(str(step))
        return one_line(found.title) or one_line(found.id) or self.words.patterns["a step"]

    def item_title(self, item: str | PlannedItem) -> str:
        """The title of an item on order, cleaned; its id if it has none."""
        found = self.items.get(item) if isinstance(item, str) else item
        if found is None:
            return one_line(str(item))
        return one_line(found.title) or one_line(found.item) or self.words.patterns["an item"]

    def say(self, message: Message) -> str:
        """The sentence of a message, in one clean line."""
        return one_line(self.words.say(message))

    def room(self, step: PlannedStep) -> str:
        """The room of a step in words."""
        return one_line(step.room_title) or one_line(step.room)

    def quoted(self, step: str | PlannedStep) -> str:
        """The title of a step inside a sentence."""
        return self.words.quoted(self.title(step))

    def material(self, step: PlannedStep) -> str:
        """`acrylic primer`; nothing for a step that lays no film."""
        return "" if step.film is None else one_line(step.film.material_title) or one_line(step.film.material)

    def reached(self, step: PlannedStep, stage: str) -> int | None:
        """The minute at which the film of a step is at a stage; None if it never is, or lays none."""
        minute = step.film.stages.get(stage) if step.film else None
        return None if minute is None or minute >= NEVER else minute

    def pieces(self, session: Session) -> tuple[Piece, ...]:
        """The pieces of steps that begin in a session, in the order in which they begin."""
        found = [
            Piece(step, span, number, len(step.pieces))
            for step in (self.steps[name] for name in dict.fromkeys(session.steps) if name in self.steps)
            for number, span in enumerate(step.pieces, 1)
            if session.start <= span.start < session.end
        ]
        return tuple(sorted(found, key=lambda piece: (piece.span, piece.step.id)))

    def stays(self, session: Session) -> tuple[Stay, ...]:
        """The films with which somebody stays in a session."""
        return tuple(stay for stay in self.plan.stays if session.start < stay.start <= session.end)

    def staying(self, session: Session, free: Span) -> Stay | None:
        """The film beside which somebody stays in a gap between two steps of a session, the longest one; None if
        beside none."""
        stays = [stay for stay in self.stays(session) if stay.start <= free.start < stay.until]
        return max(stays, key=lambda stay: (stay.until, stay.step), default=None)

    def waits_beside(self, session: Session) -> Iterator[tuple[Span, Stay]]:
        """The gaps between the steps of a session in which somebody stays beside a film, and that film."""
        busy: int | None = None
        for piece in self.pieces(session):
            if busy is not None and piece.span.start > busy:
                free = Span(busy, piece.span.start)
                stay = self.staying(session, free)
                if stay is not None:
                    yield free, stay
            busy = max(piece.span.end, busy or piece.span.end)

    def stay_after(self, session: Session) -> Stay | None:
        """The film for which somebody stays longest when all work of a session is done; None if for none."""
        last = max((piece.span.end for piece in self.pieces(session)), default=session.end)
        stays = [stay for stay in self.stays(session) if stay.until > last]
        return max(stays, key=lambda stay: (stay.until, stay.step), default=None)

    def held_until(self, step: str) -> str:
        """The stage until which the air of a film has to stay within its limits; "end" if it is only while laid."""
        film = self.steps[step].film if step in self.steps else None
        return (film.hold_until if film is not None else None) or "end"

    def session_of(self, minute: int) -> Session | None:
        """The session that a minute of work ends in."""
        return next((session for session in self.sessions if session.start < minute <= session.end), None)

    def next_start(self, session: Session) -> int | None:
        """When the session after this one begins."""
        following = bisect_left(self.sessions, session.end, key=lambda other: other.start)
        return self.sessions[following].start if following < len(self.sessions) else None

    def previous_end(self, session: Session) -> int | None:
        """When work last ended before this session, be it planned or recorded."""
        earlier = bisect_right(self._ends, session.start)
        return self._ends[earlier - 1] if earlier else None

    def waited_stages(self, step: PlannedStep) -> tuple[str, ...]:
        """The stages of its film that later steps wait for."""
        stages = {stage for stage, _ in self._waited[step.id]}
        return tuple(stage for stage in STAGES if stage in stages and stage != "recoat_by")

    def waiters(self, step: PlannedStep, stage: str) -> tuple[PlannedStep, ...]:
        """The steps that wait for that stage of its film, in the order in which they begin."""
        found = {waiter.id: waiter for named, waiter in self._waited[step.id] if named == stage}
        return tuple(sorted(found.values(), key=lambda waiter: (waiter.start, waiter.id)))

    def covered(self, step: PlannedStep) -> bool:
        """Whether something is laid over its film later on."""
        return any(stage in COVERS for stage in self.waited_stages(step))

    def drying(self, session: Session) -> tuple[Drying, ...]:
        """The films that still dry when people leave at the end of a session.

        Of films laid earlier only what concerns the next hours is named: hands, dust, and whatever a later step
        waits for; the day from which it may be used is named once, on leaving the last coat.
        """
        return self.drying_at(session.end, session.start)

    def drying_at(self, left: int, fresh: int | None) -> tuple[Drying, ...]:
        """The same at any minute; of films laid after `fresh` (None: of all) also from when they may be used."""
        found: list[Drying] = []
        for step in self.plan.steps:
            if step.film is None:
                continue
            if step.end > left:
                found += self._part_drying(step, step.film, left)
                continue
            if max(step.film.stages.values(), default=left) <= left:
                continue
            names = {"touch", "dust_free", *self.waited_stages(step)} - {"full"}
            if not step.film.stages.get("touch"):
                names.add("handle")
            if not self.covered(step) and (fresh is None or step.end > fresh):
                names.add("use")
            pending = [(stage, self.reached(step, stage)) for stage in STAGES if stage in names]
            stages = sorted((minute, stage) for stage, minute in pending if minute is not None and minute > left)
            if stages:
                found.append(Drying(step, left, tuple((stage, minute) for minute, stage in stages)))
        return tuple(sorted(found, key=lambda film: (film.stages[0][1], film.step.id)))

    def _part_drying(self, step: PlannedStep, film: PlannedFilm, left: int) -> Iterator[Drying]:
        """What the last piece before people left has laid of a film that is not whole: hands and dust off it.

        Whatever a later step waits for, it waits for the whole.
        """
        number = sum(piece.end <= left for piece in step.pieces)
        stages = film.parts[number - 1] if 0 < number <= len(film.parts) else {}
        names = ("touch", "dust_free") if stages.get("touch") else ("dust_free", "handle")
        pending = sorted((stages[name], name) for name in names if left < stages.get(name, NEVER) < NEVER)
        if pending:
            yield Drying(step, left, tuple((stage, minute) for minute, stage in pending), number)

    def drying_words(self, film: Drying) -> str:
        """`“Prime the walls” (acrylic primer): hands off until 18:20; no further coat until Sunday ...`."""
        rules: dict[int, list[Message]] = defaultdict(list)
        for stage, minute in film.stages:
            rules[minute].append(as_written(self.words.of("not yet", stage)))
        said = tuple(
            message("drying.rule", what=tuple(what), when=self.face.since(minute, film.left))
            for minute, what in rules.items()
        )
        step, material = film.step.id, self.material(film.step)
        if not film.part:
            return self.say(message("drying.film", step=step, material=material, rules=said))
        of = len(film.step.pieces)
        return self.say(message("drying.part", step=step, number=film.part, of=of, material=material, rules=said))

    def taken_at(self, moment: int) -> tuple[tuple[str, int, str], ...]:
        """What is taken, or closed, at a moment: how it is called, with how much of it where there is more than one;
        until when (NEVER: nobody knows), and by which step. What is free first comes first.
        """
        rooms = {step.room: self.room(step) for step in self.plan.steps}
        found = []
        for thing in self.plan.things:
            for each in thing.taken:
                if each.start < moment < each.until:
                    name = (
                        one_line(rooms.get(thing.thing, thing.thing)) if thing.room else self.words.thing(thing.thing)
                    )
                    of = self.words.tell("some of", some=each.amount, all=thing.places)
                    much = f" ({of})" if thing.places > 1 else ""
                    found.append((f"{name}{much}", each.until, each.by))
        return tuple(sorted(found, key=lambda entry: (entry[1], entry[0], entry[2])))

    def out_of_use(self, session: Session) -> tuple[str, ...]:
        """What is still taken when people leave at the end of a session, each as a line."""
        said = []
        for thing, until, step in self.taken_at(session.end):
            when = self.face.since(until, session.end) if until < NEVER else None
            kind = "drying.taken for good" if when is None else "drying.taken"
            said.append(self.say(message(kind, thing=thing, when=when, step=step)))
        return tuple(said)

    def overnight(self, session: Session) -> tuple[str, ...]:
        """What the rooms need after people left: the air that films ask for until they are far enough."""
        found = self.air_at(session.end)
        return tuple(
            self.say(message("drying.air", room=room, air=air, when=self.face.since(until, session.end)))
            for room, air, until in found
        )

    def air_at(self, left: int) -> tuple[tuple[str, str, int], ...]:
        """The air that films laid by a minute ask for: (room, limits in words, until when), soonest over first."""
        needed: dict[tuple[str, str], int] = {}
        for step in self.plan.steps:
            film = step.film
            if film is None or film.hold_until is None or not film.limits_said:
                continue
            until = self.reached(step, film.hold_until) if step.end <= left else self._part_held(step, film, left)
            if until is not None and until > left:
                key = (self.room(step), self.air_words(film))
                needed[key] = max(until, needed.get(key, until))
        ordered = sorted(needed.items(), key=lambda need: (need[1], need[0]))
        return tuple((room, air, until) for (room, air), until in ordered)

    def air_words(self, film: PlannedFilm) -> str:
        """The air that a film asks for: `10–32 °C, up to 85 % humidity`."""
        return self.words.figures(self.say(film.air)) if film.air is not None else one_line(film.limits_said)

    def _part_held(self, step: PlannedStep, film: PlannedFilm, left: int) -> int | None:
        """Until when what has been laid of a film needs its air; None if nothing has been laid yet."""
        number = sum(piece.end <= left for piece in step.pieces)
        return film.parts[number - 1].get(film.hold_until or "") if 0 < number <= len(film.parts) else None

    def waits(self, piece: Piece, session: Session) -> tuple[Ready, ...]:
        """What this step waits for and what was still on its way when people last left."""
        before = self.previous_end(session)
        if piece.number > 1:
            return ()
        links = sorted(piece.step.after, key=lambda link: (link.ready, link.step, link.stage))
        return tuple(
            link
            for link in links
            if link.ready < NEVER and (before is None or link.ready > before) and self._takes_time(link)
        )

    def _takes_time(self, link: Ready) -> bool:
        earlier = self.steps.get(link.step)
        return link.stage != "end" or earlier is None or link.ready > earlier.end

    def waits_words(self, link: Ready, start: int) -> str:
        """`waits for “Prime the walls”: ready for the next coat at 06:40`."""
        same_day = self.face.day(link.ready) == self.face.day(start)
        at = message("note.at", time=self.face.time(link.ready))
        when = at if same_day else message("note.on", moment=link.ready)
        return self.say(message("note.waits", step=link.step, stage=link.stage, when=when))

    def start_by(self, piece: Piece, session: Session) -> Ready | None:
        """The window of this step that would be missed if it slipped to the next session."""
        following = self.next_start(session)
        limit = NEVER if following is None else following
        closing = [
            (link.latest, link.step, link)
            for link in piece.step.after
            if piece.number == 1 and link.latest is not None and piece.span.start <= link.latest < limit
        ]
        return min(closing, key=lambda entry: entry[:2])[2] if closing else None

    def chain_words(self, step: PlannedStep) -> str:
        """What held a step, as one link of the chain back to the beginning."""
        kind = "chain.begins" if step.state == "planned" else "chain.began"
        root = dict(step.held.values).get("root")
        return self.say(message(kind, step=step.id, start=step.start, held=step.held, root=root))
