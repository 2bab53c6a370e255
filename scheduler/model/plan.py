"""The plan: who does what when, when it is dry, what held it, what to beware of. What `presenting` shows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from scheduler.model.basics import Span
from scheduler.model.beware import Beware
from scheduler.model.broken import Broken
from scheduler.model.hours import Window
from scheduler.model.learned import Lesson
from scheduler.model.message import AS_WRITTEN, Message
from scheduler.model.tradewords import ENGLISH


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """What a step waited for: `ready` and `latest` in minutes; `stage` is "end" where no film is waited for. `window`
    says what is over at `latest`: "coat" (it can be coated over), "tape" (its tape comes off cleanly), "" a time."""

    step: str
    stage: str
    ready: int
    latest: int | None
    window: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedFilm:
    """The film that a step lays and the minute at which each stage is reached (NEVER left out).

    `limits_said` puts the air that it asks for into words ("" if none), `air` is that as a record, `hold_until` names
    the stage until which.
    `surfaces` are the titles of the surfaces that it lies on (none: the job does not name them).
    What is laid in several pieces is wet after each of them: `parts` are the stages of what each piece but the last
    has laid. Water that has to dry, or wood that settles, is not `bought`.
    """

    material: str
    material_title: str
    coat: int
    thickness_factor: float
    stages: Mapping[str, int]
    limits_said: str = ""
    hold_until: str | None = None
    surfaces: tuple[str, ...] = ()
    parts: tuple[Mapping[str, int], ...] = ()
    bought: bool = True
    air: Message | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedStep:
    """One step with its pieces (in order, whole minutes). `state` is "planned", "under way" or "done".

    `uses` names what it uses up as it is bought, less what is on order (that is among `needs`). `held` is what kept
    it from starting earlier, `holder` the step behind that; `added` why it was added to the steps of the job.

    If it waits for fit air, `air_wait` runs from the start that the hours would have allowed until the moment to
    which the air had to stay fit then.
    """

    id: str
    title: str
    room: str
    room_title: str
    state: str
    people: int
    labour: int
    can_pause: bool
    smallest_piece: int
    pieces: tuple[Span, ...]
    dusty: bool
    noisy: bool
    wet: bool
    wipes: bool
    takes: tuple[tuple[str, int], ...]
    after: tuple[Ready, ...]
    needs: tuple[str, ...]
    film: PlannedFilm | None
    held: Message
    holder: str | None
    added: Message | None
    cautions: tuple[Beware, ...]
    air_wait: Span | None = None
    uses: tuple[str, ...] = ()

    @property
    def start(self) -> int:
        """First minute of the first piece."""
        return self.pieces[0].start

    @property
    def end(self) -> int:
        """End of the last piece."""
        return self.pieces[-1].end


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """One stretch of work, set-up and clear-up included. `steps` are in the order in which they begin."""

    number: int
    start: int
    end: int
    people: int
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """Somebody stays in a room from the end of the step that laid a film `until` that is far enough to be left
    without heat; `thing` is what warms the room ("": nobody said)."""

    start: int
    until: int
    step: str
    room: str
    thing: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedItem:
    """An item on order: when it comes, by when to order it, when it is first needed, which steps it holds, and
    when it was ordered."""

    item: str
    title: str
    expected: date | None
    arrived: date | None
    order_by: date | None
    needed: int | None
    holds: tuple[str, ...]
    ordered: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """So many places of a thing, taken by the step `by` from a minute until another (NEVER: not within the air that
    is known). `stage` of its film gives them back, or the step `giver`; neither: its own end, or a given time.
    """

    start: int
    until: int
    by: str
    amount: int
    stage: str | None = None
    giver: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedThing:
    """A shared thing, or a room that a film closes (`room`), with its places and when they are taken, in order."""

    thing: str
    places: int
    taken: tuple[Taken, ...]
    room: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedVisit:
    """An appointment, `start` to `end`, in `rooms`: from when on all that it needs is `ready`, and which step that
    or what on order that waits for (`holder`). If it is not `kept`, `comes` is when the plan has it instead."""

    appointment: str
    title: str
    start: int
    end: int
    rooms: tuple[str, ...]
    ready: int
    kept: bool
    holder: str | None = None
    comes: Span | None = None

    @property
    def span(self) -> Span:
        """When the plan has it."""
        return self.comes or Span(self.start, self.end)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedPromise:
    """What was promised: the job, a `room` or a `step` done `by` a minute, or a `thing` out of use for `at_most` so
    many minutes, in one stretch or `in_all`. `late` are the minutes by which it is broken (0: it is kept).

    `reached` is when what is promised is done, or for how many minutes the thing is out of use; `holder` the step
    that ends it. `proven`: no plan breaks it by less while it breaks the others by no more.
    """

    late: int
    reached: int
    by: int | None = None
    room: str | None = None
    step: str | None = None
    thing: str | None = None
    at_most: int = 0
    in_all: bool = False
    holder: str | None = None
    proven: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Former:
    """A step about which something is recorded and which the job has no longer: when it was worked on, and the
    minutes that were left of it then (0: it was done)."""

    name: str
    title: str
    pieces: tuple[Span, ...]
    left: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """No plan ends before `finish_not_before`; `proven`: this plan ends just then; `stopped`: the search was ended by
    whoever waited for it.
    """

    finish_not_before: int
    proven: bool
    stopped: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A whole plan. All moments are minutes (UTC); `zone` is the IANA name of the job's zone.

    `warnings` are what must be borne in mind. `broken` are the rules that what has happened broke, each with what can
    be done; `former` the steps that are recorded and that the job has no longer. `learned` are the factors that the
    record taught. `language` is the one in which it is told. `stays` are the films with which somebody stays, in
    order.
    """

    job_id: str
    job: str
    zone: str
    clock24: bool
    metric: bool
    as_of: int
    seed: int
    finish: int
    usable: int
    cured: int
    bound: Bound
    placements_tried: int
    windows: tuple[Window, ...]
    sessions: tuple[Session, ...]
    steps: tuple[PlannedStep, ...]
    items: tuple[PlannedItem, ...]
    warnings: tuple[Message, ...]
    things: tuple[PlannedThing, ...] = ()
    visits: tuple[PlannedVisit, ...] = ()
    promises: tuple[PlannedPromise, ...] = ()
    broken: tuple[Broken, ...] = ()
    former: tuple[Former, ...] = ()
    learned: tuple[Lesson, ...] = ()
    language: str = ENGLISH
    stays: tuple[Stay, ...] = ()

    def step(self, name: str) -> PlannedStep:
        """The step of that id. Raises KeyError."""
        for step in self.steps:
            if step.id == name:
                return step
        raise KeyError(name)

    def chain(self) -> tuple[PlannedStep, ...]:
        """From the step that ends the job to the one that held it, and so on back to the beginning."""
        steps = {step.id: step for step in self.steps}
        last = max(self.steps, key=lambda step: (step.end, step.id), default=None)
        found: dict[str, PlannedStep] = {}
        while last is not None and last.id not in found:
            found[last.id] = last
            last = steps.get(last.holder or "")
        return tuple(found.values())


def in_todays_fields(plan: object) -> object:
    """A plan as plain values in the fields that it has today: earlier versions of this program kept sentences."""
    if not isinstance(plan, dict):
        return plan
    whole = {
        **plan,
        "warnings": _as_messages(plan.get("warnings")),
        "broken": _said_as_messages(plan.get("broken", [])),
    }
    if isinstance(plan.get("steps"), list):
        whole["steps"] = [_with_lengths(_with_messages(step)) for step in plan["steps"]]
    return whole


def _with_lengths(step: object) -> object:
    """Cautions were sentences of one length."""
    if not isinstance(step, dict) or not isinstance(step.get("cautions"), list):
        return step
    said = [{"text": each} if isinstance(each, str) else each for each in step["cautions"]]
    return {**step, "cautions": said}


def _with_messages(step: object) -> object:
    if not isinstance(step, dict) or "held_by" not in step:
        return step
    added = step.get("added_because")
    return {**step, "held": _as_message(step["held_by"]), "added": None if added is None else _as_message(added)}


def _said_as_messages(broken: object) -> object:
    if not isinstance(broken, list):
        return broken
    return [{**each, "said": _as_message(each.get("said"))} if isinstance(each, dict) else each for each in broken]


def _as_messages(sentences: object) -> object:
    return [_as_message(each) for each in sentences] if isinstance(sentences, list) else sentences


def _as_message(said: object) -> object:
    """A sentence as the message of it; anything else as it is."""
    return {"kind": AS_WRITTEN, "values": [["text", said]]} if isinstance(said, str) else said
