"""What must hold between the parts of a material profile: one small named check for each rule."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

from scheduler.errors import Fault
from scheduler.model.basics import STAGES
from scheduler.reading.positions import Positions
from scheduler.reading.profileform import THICKNESS_KINDS, MaterialForm, pack_litres
from scheduler.units import UnclearQuantityError

Complaint = tuple[tuple[str | int, ...], str, str]
"""Where in the form, what is wrong, what would be right."""
Rule = Callable[[MaterialForm], Iterator[Complaint]]

# What comes no later than what: along each chain the times do not fall, stages that a family lacks left out.
CHAINS = (
    ("touch", "dust_free", "recoat", "recoat_by"),
    *(("touch", "dust_free", later, "full") for later in ("handle", "sand", "recoat", "paint_over", "tape", "use")),
    ("handle", "use"),
)


def stages_in_order(form: MaterialForm) -> Iterator[Complaint]:
    """A later stage is reached no earlier than the one before it, at low, typical and high alike."""
    seen: set[tuple[str, str]] = set()
    for chain in CHAINS:
        there = [stage for stage in chain if stage in form.stages]
        for before, after in pairwise(there):
            pairs = zip(form.stages[before].time, form.stages[after].time, strict=True)
            if (before, after) not in seen and any(first > second for first, second in pairs):
                yield (
                    ("stages", after, "time"),
                    f"`{after}` comes before `{before}`",
                    f"make low, typical and high of `{after}` no shorter than those of `{before}`",
                )
            seen.add((before, after))


def some_stage(form: MaterialForm) -> Iterator[Complaint]:
    """A family has at least one stage."""
    if not form.stages:
        yield ("stages",), "there is no stage here", f"write at least one of {', '.join(STAGES)}"


def dust_free_if_exposed(form: MaterialForm) -> Iterator[Complaint]:
    """Where dust can settle in it, it says until when."""
    if form.exposed and "dust_free" not in form.stages:
        hint = "add it, or write `exposed: false` if no dust can reach it, as behind a panel"
        yield ("stages",), "`dust_free` is missing among the stages", hint


def window_has_remedy(form: MaterialForm) -> Iterator[Complaint]:
    """A recoat window says what is due when it was missed."""
    if "recoat_by" in form.stages and form.remedy is None:
        hint = "add a `remedy` with title, work and source, such as a scuff sand"
        yield ("stages", "recoat_by"), "the recoat window has no remedy", hint
    if "recoat_by" in form.stages and "recoat" not in form.stages:
        yield ("stages", "recoat_by"), "the recoat window has an end but no beginning", "add the stage `recoat`"


def named_stages_exist(form: MaterialForm) -> Iterator[Complaint]:
    """A stage that is named elsewhere is among the stages."""
    there = ", ".join(form.stages)
    held = form.limits.hold_until if form.limits else None
    if held and held not in form.stages:
        yield ("limits", "hold_until"), f"this family has no stage `{held}`", f"write one that it has: {there}"
    if form.room_closed_until and form.room_closed_until not in form.stages:
        yield (
            ("room_closed_until",),
            f"this family has no stage `{form.room_closed_until}`",
            f"write one that it has: {there}",
        )


def no_activation_of_water(form: MaterialForm) -> Iterator[Complaint]:
    """Evaporation of water takes its temperature from the saturation pressure."""
    for stage, said in form.stages.items():
        if said.law == "water" and said.activation is not None:
            yield ("stages", stage, "activation"), "the law `water` takes no activation", "leave this line out"


def covers_reference(form: MaterialForm) -> Iterator[Complaint]:
    """The range that the sources cover holds the reference itself, and measures the same thickness."""
    if form.covers is None:
        return
    kind, thickness = form.reference.thickness
    for other in THICKNESS_KINDS:
        if other != kind and form.covers.thicknesses(other) is not None:
            yield ("covers", other), f"the reference is a {kind}, this a {other}", f"write `{kind}` here"
    ranges = {
        "temp": (form.covers.temp, form.reference.temp),
        "humidity": (form.covers.humidity, form.reference.humidity),
        kind: (form.covers.thicknesses(kind), thickness),
    }
    for key, (span, value) in ranges.items():
        if span is not None and not span[0] - 1e-9 <= value <= span[1] + 1e-9:
            yield ("covers", key), "this range leaves out the reference", "let it hold the reference value"


def packs_are_sizes(form: MaterialForm) -> Iterator[Complaint]:
    """Each size is a volume, or for a powder a weight with what a kilogram makes."""
    if form.sold is None:
        return
    if form.sold.litres_per_kg is not None and form.sold.source is None:
        yield ("sold", "litres_per_kg"), "`litres_per_kg` has no source", "add a line `source: …` to `sold`"
    for key, labels in (("us", form.sold.us), ("metric", form.sold.metric)):
        for number, label in enumerate(labels):
            try:
                pack_litres(label, form.sold.litres_per_kg)
            except UnclearQuantityError as unclear:
                yield ("sold", key, number), unclear.message, unclear.hint


RULES: tuple[Rule, ...] = (
    some_stage,
    stages_in_order,
    dust_free_if_exposed,
    window_has_remedy,
    named_stages_exist,
    no_activation_of_water,
    covers_reference,
    packs_are_sizes,
)


def broken_rules(form: MaterialForm, positions: Positions) -> list[Fault]:
    """A fault for every rule that this profile breaks, at its place."""
    complaints = (complaint for rule in RULES for complaint in rule(form))
    return [Fault(positions.value(path), message, hint) for path, message, hint in complaints]
