"""A method of the trade as its profile says it: step templates with labour, materials, order and dangers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scheduler.model.after import After
from scheduler.model.beware import Beware
from scheduler.model.formula import Formula
from scheduler.model.message import Message

PHASES = (
    "protect",
    "strip",
    "wash",
    "board",
    "patch",
    "backer",
    "membrane",
    "tile",
    "boxes",
    "carpentry",
    "moulding",
    "fill",
    "sand",
    "wipe",
    "caulk",
    "prime",
    "late caulk",
    "mask",
    "paint",
    "level",
    "floor",
    "fixtures",
    "seal",
    "put back",
    "clean",
)
"""The trade's order on one surface. What was washed (`wash`) dries; `board` is hung on bare studs and taped; `boxes`
come forward before boards go around them; `carpentry` is nailed through to what bears; `moulding` hangs on the sheet
alone and so waits until its glue holds; `late caulk` is caulk over primer; `mask` comes just before the paint;
`level` makes a floor ready for what is laid on it; `fixtures` stay once tile and paint are there, sealed around."""

COATS = frozenset(
    {"membrane", "tile", "caulk", "prime", "late caulk", "mask", "paint", "level", "floor", "fixtures", "seal"}
)
"""Phases that cover what lies below, and so ask how far its film has come."""

STAGES_FOR = {
    "wash": ("touch", "handle", "use"),
    "board": ("recoat", "handle", "use"),
    "patch": ("recoat", "sand", "handle", "use"),
    "backer": ("sand", "handle", "use"),
    "membrane": ("recoat", "handle", "use"),
    "tile": ("paint_over", "handle", "use"),
    "boxes": ("handle", "sand", "paint_over", "touch"),
    "carpentry": ("handle", "sand", "paint_over", "touch"),
    "moulding": ("handle", "sand", "paint_over", "touch"),
    "fill": ("recoat", "sand", "handle"),
    "sand": ("sand", "recoat", "handle", "use"),
    "wipe": ("sand", "recoat", "dust_free", "handle"),
    "caulk": ("paint_over", "recoat", "handle", "use"),
    "prime": ("paint_over", "recoat", "handle", "use"),
    "late caulk": ("paint_over", "recoat", "handle", "use"),
    "mask": ("paint_over", "recoat", "handle", "use"),
    "paint": ("paint_over", "recoat", "handle", "use"),
    "level": ("handle", "recoat", "use"),
    "floor": ("recoat", "handle", "use"),
    "fixtures": ("handle", "recoat", "use"),
    "seal": ("handle", "recoat", "use"),
    "put back": ("use", "handle"),
    "clean": ("dust_free", "handle", "touch"),
}
"""For the step that follows, by its phase: the first of these stages that the film below has (common practice)."""

OPTION_KINDS = ("choice", "length", "number", "material", "word", "room")
"""What an option may be: one of some words, metres, a number, a family of material, free words (a ware), a room."""

PIECES = "pieces"
"""The quantity that says how many pieces the batch of a step has."""

COUNT = "count"
"""How many of a thing there are, as a job says of a surface."""

HERE = "here"
"""The room of the surface itself, as an option says it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodOption:
    """What a job may say of a method. `default` in the option's own kind; `choices` for a choice. The default of a
    number is nothing where the job says something of the option `unless`; that of a material or a choice is another
    one `where` one of the methods is done on the same part or the whole room, in a region, or with the floor alone:
    the first to hold."""

    name: str
    kind: str
    default: str | float
    choices: tuple[str, ...] = ()
    unless: str = ""
    where: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Labour:
    """So long for each unit of a quantity: minutes per metre, square metre, cubic metre or piece, low to high.

    `more` says the same for other numbers of hands: (people, low, likely, high).
    """

    per: Formula
    low: float
    likely: float
    high: float
    source: str
    more: tuple[tuple[int, float, float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """What a step uses up: `what` may hold options in braces.

    `how` is "covers" (area at the spread of the material), "bead" (a length at `width`, of shape `shape`), "volume"
    (m³), "count", "area", "run", "kg" or "lengths" (the name of a list of single lengths).
    """

    what: str
    how: str
    of: Formula
    width: Formula | None = None
    shape: str = "round"


@dataclass(frozen=True, slots=True, kw_only=True)
class Taking:
    """What a step takes of a shared thing, if the job has it: so many places, and until when, if for longer than it
    works: a stage of its own film, the end (or `at_start` the start) of another step of the method, or of whatever on
    the same part does something that rules of the order go by (`step` is the slug of that then), or so many minutes
    after its own start."""

    thing: str
    places: Formula
    stage: str | None = None
    step: str | None = None
    at_start: bool = False
    minutes: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Batches:
    """Many like pieces, done in batches: `of` is the quantity that counts them, `size` the option that says how many
    are one batch. Where it says nothing they are as many as `rack`, a shared thing, has places, or all."""

    of: str
    size: str
    rack: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """One step of a method, before a surface has been measured.

    `id` names it within the part. `people` to `most_people` are at it, as the planner chooses. `only` are options and
    the values of them under which it is there; `each` is "wall" for one step a wall, "batch" for one a batch; `cycle`
    an option that says how often it comes, with `between` not after the last. `room` is the option that names the
    room in which it is done (none: the surface's).
    `after` replaces what it would follow by its phase ("earlier" stands for that, "phase-strip" for all up to it).
    `side` is the one of several sides on which its film lies, for the plan to say.
    `units`: what must not show a seam is one wall, leaf, board or joint of the part; between them the work may rest.
    `abrades`: it rubs all of its surfaces down, so that a coat below needs no remedy when its recoat window is over.
    `buries`: its film lies over all of its surfaces, though its phase is none of coats: what is below is met no more.
    `does` are things that rules of the order go by. `ladder` is the height (metres) from which on it takes a ladder.
    `ready` maps phases that follow to the stage (or "end") from which they may. `dangers` are kinds of cautions;
    `disturbs` what old stuff it tears up.
    """

    key: str
    id: str
    title: str
    phase: str
    labour: tuple[Labour, ...]
    people: int = 1
    most_people: int = 1
    pause: int | None = 30
    units: bool = False
    dusty: bool = False
    noisy: bool = False
    wet: bool = False
    wipes: bool = False
    saw: bool = False
    material: str | None = None
    coat: int = 1
    thickness: Formula | None = None
    side: str = ""
    uses: tuple[Amount, ...] = ()
    takes: tuple[Taking, ...] = ()
    dangers: tuple[str, ...] = ()
    disturbs: tuple[str, ...] = ()
    cautions: tuple[Beware, ...] = ()
    delivered: bool = False
    does: tuple[str, ...] = ()
    abrades: bool = False
    buries: bool = False
    after: tuple[After, ...] | None = None
    ready: tuple[tuple[str, str], ...] = ()
    ladder: float | None = None
    only: tuple[tuple[str, tuple[str, ...]], ...] = ()
    each: str | None = None
    room: str | None = None
    cycle: str | None = None
    between: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Method:
    """A method. `quantities` are worked out in their order; `gives` adds to quantities that all on a surface share.

    `units` say what quantities are counted in: "m", "m2", "m3", "piece". `learning` is how much longer it takes
    whoever does it for the first time. `fits` are the kinds of surface that it is for (none: any). `sources` say of
    other numbers, by their names, where they come from. `asks` are options, or `count`, for which nothing is safe to
    take if the job says nothing, with what they are. `origin` is the file that it came from; `replaces` the
    shipped one that it overrides.
    """

    id: str
    title: str
    source: str
    templates: tuple[Template, ...]
    options: tuple[MethodOption, ...] = ()
    quantities: tuple[tuple[str, Formula], ...] = ()
    units: tuple[tuple[str, str], ...] = ()
    batches: Batches | None = None
    gives: tuple[tuple[str, Formula], ...] = ()
    learning: float = 1.5
    fits: tuple[str, ...] = ()
    sources: tuple[tuple[str, str], ...] = ()
    asks: tuple[tuple[str, str], ...] = ()
    origin: str = ""
    replaces: str | None = None

    def option(self, name: str) -> MethodOption | None:
        """The option of that name, or None."""
        return next((option for option in self.options if option.name == name), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Methods:
    """The methods that a job draws on, by id; `known` names every one that there is, loaded or not."""

    loaded: Mapping[str, Method]
    known: tuple[str, ...] = ()
    notes: tuple[Message, ...] = ()
