"""A material family as its profile says it: stages with their times, laws and sources; limits; remedies."""

from __future__ import annotations

from dataclasses import dataclass, field

from scheduler.model.names import nearest
from scheduler.model.rule import Rule
from scheduler.model.shopping import Shelf

LAWS = ("water", "film", "solvent", "set", "moisture")
"""The rate laws, see `scheduler.drying.laws`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StageTime:
    """When one stage is reached at the profile's reference air and thickness.

    `low`, `typical`, `high` in minutes; `law` one of LAWS; `activation` in J/mol for Arrhenius laws (None:
    the law's own default); `exponent` is n in (actual/reference thickness)^n. `temps` (°C) and `humidities`
    (fractions) are the range that the source covers. `source` names title, section or table and year, or
    says "common practice, no source" or "from memory".
    """

    stage: str
    low: int
    typical: int
    high: int
    law: str
    exponent: float
    source: str
    activation: float | None = None
    temps: tuple[float, float] = (10.0, 35.0)
    humidities: tuple[float, float] = (0.20, 0.85)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The air in which a material may be laid: °C, fractions, °C above the dew point.

    `hold_until` names the stage until which the air must stay inside (None: only while it is being laid).
    """

    temp_low: float
    temp_high: float
    humidity_high: float
    source: str
    humidity_low: float = 0.0
    dew_margin: float | None = 3.0
    hold_until: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """The step that is due when a window has been missed: scuff sand and wipe, score the edge.

    `work` is in minutes for the step as a whole. It begins no earlier than `wait` minutes after the end of the step
    whose window was missed, nor before that window has ended.
    """

    title: str
    work: int
    source: str
    wait: int = 0
    dusty: bool = False
    noisy: bool = False
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tape:
    """What a masking tape asks for: clean removal within `clean_for` minutes of sticking it on.

    After the last coat it comes off from that coat's `touch` on, until `pull_by` minutes after it; later
    the edge is scored first (`remedy`).
    """

    clean_for: int
    pull_by: int
    remedy: Remedy
    source: str
    overdue: Remedy | None = None
    """What is due when the tape has been on for longer than `clean_for` all the same."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """One size in which a family is sold: as written on it, and the litres of ready material that it makes."""

    label: str
    litres: float
    metric: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """One generic family. Times hold at `temp` (°C), `humidity` (fraction) and `thickness` (metres).

    `thickness_kind` says what the thickness measures: "film", "depth" or "bead". `spread` is m² per litre of ready
    material as it is usually laid, `pot_life` and `open_time` are minutes, `packs` the sizes it is sold in.
    `exposed`: dust can settle in it while it is wet (false for glue behind a panel). `by_touch`: a finger can tell
    how far it is (false for what bears a load or keeps water out). `room_closed_until` names the
    stage before which nobody works in the room (a wet floor). `origin` is the file that the profile came from;
    `replaces` the shipped file that it overrides, if it does. `sources` pairs `spread`, `pot_life` and `open_time`
    with where their number comes from. `fit_for` says what it goes on, in words that families of a group share: one
    stands in for another only where it stands all that the other does.
    """

    id: str
    title: str
    group: str
    temp: float
    humidity: float
    thickness: float
    thickness_kind: str
    stages: tuple[StageTime, ...]
    limits: Limits | None
    source: str
    remedy: Remedy | None = None
    pot_life: int | None = None
    open_time: int | None = None
    spread: float | None = None
    spread_range: tuple[float, float] | None = None
    clean_up: str = ""
    cautions: tuple[str, ...] = ()
    thicknesses: tuple[float, float] | None = None
    room_closed_until: str | None = None
    exposed: bool = True
    by_touch: bool = True
    origin: str = ""
    replaces: str | None = None
    packs: tuple[Pack, ...] = ()
    sources: tuple[tuple[str, str], ...] = ()
    fit_for: tuple[str, ...] = ()

    @property
    def takes_paint(self) -> bool:
        """Whether anything of paint holds on it: silicone has neither a stage for the next coat nor one for paint."""
        return not self.exposed or any(self.stage(name) is not None for name in ("recoat", "paint_over"))

    def stage(self, name: str) -> StageTime | None:
        """The named stage, or None if this family has none such."""
        return next((stage for stage in self.stages if stage.stage == name), None)

    def can_be_felt(self, name: str) -> bool:
        """Whether a finger can tell that a film is at a stage before the table has it there."""
        return self.by_touch and name not in NOT_FELT

    def in_keeping(self, name: str, factor: float) -> float:
        """How many times as long a stage takes in a film that takes `factor` times as long as its profile says.

        Quicker never below the shortest time of the profile, nor what no finger can tell; and the end of a window
        does not move out because a film dries slowly.
        """
        stage = self.stage(name)
        if stage is None or not stage.typical or (factor > 1 and name == WINDOW_END):
            return 1.0
        if factor >= 1:
            return factor
        return max(factor, stage.low / stage.typical) if self.can_be_felt(name) else 1.0


WINDOW_END = "recoat_by"
"""The end of a window, which no slow film makes longer."""

NOT_FELT = frozenset({"use", "full"})
"""Stages that no finger can tell: the film may be soft below."""

CAUTION_KINDS = (
    "dusty",
    "noisy",
    "old paint",
    "old texture",
    "ladder",
    "lifting",
    "nailer",
    "wiring",
    "boxes",
    "structure",
    "solvent",
    "rags",
    "cement",
    "hidden lines",
    "floor sander",
)
"""What a step may be, or have to do with, that calls for a caution: `dusty` and `noisy` are its kind, `old paint` and
`old texture` what it disturbs, the rest what a method says of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """What to beware of wherever steps are of a kind, one of CAUTION_KINDS.

    With `built_before` it holds in houses built before that year, and where the job does not say when.
    """

    text: str
    kind: str
    source: str
    built_before: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KindOfWork:
    """What a person is quick or slow at as a whole, by what tells a step of it: the group of the film that it lays,
    its phase, or what it is ("dusty", "noisy", "wipes")."""

    id: str
    groups: tuple[str, ...] = ()
    phases: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()


OTHER_WORK = "other work"
"""Of a step that no kind claims."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trade:
    """The data of profiles/ that a job draws on.

    `known` names every family that there is, loaded or not; `shelf` says how things are sold, `order`
    what comes before what in a room.
    """

    materials: tuple[Material, ...]
    tape: Tape
    notes: tuple[str, ...] = ()
    known: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    shelf: Shelf = field(default_factory=Shelf)
    kinds: tuple[KindOfWork, ...] = ()
    order: tuple[Rule, ...] = ()

    def kind_of(self, group: str, phase: str, marks: frozenset[str]) -> str:
        """The kind of work of a step: by the group of its film, else by its phase, else by what it is."""
        for claims in (
            (kind.id for kind in self.kinds if group in kind.groups),
            (kind.id for kind in self.kinds if phase in kind.phases),
            (kind.id for kind in self.kinds if not phase and marks & set(kind.marks)),
        ):
            found = next(claims, None)
            if found is not None:
                return found
        return OTHER_WORK

    def material(self, name: str) -> Material | None:
        """The family of that id, or None."""
        return next((material for material in self.materials if material.id == name), None)

    def nearest(self, name: str) -> str | None:
        """The known family that a misspelt name comes nearest to, or None if none is near."""
        known = self.known or tuple(material.id for material in self.materials)
        return nearest(name, known)
