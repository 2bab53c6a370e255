"""What must hold between the parts of a material profile: one small named check for each rule."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from scheduler.errors import Fault
from scheduler.model.basics import STAGES, STANDS_ON
from scheduler.reading.positions import Positions
from scheduler.reading.profileform import THICKNESS_KINDS, MaterialForm, pack_litres
from scheduler.told import told
from scheduler.units import UnclearQuantityError

Complaint = tuple[tuple[str | int, ...], str, str]
"""Where in the form, what is wrong, what would be right."""
Rule = Callable[[MaterialForm], Iterator[Complaint]]

# A sheet may have them the other way round, though it is against all practice: what is read stays readable.
_LOOSE = {("handle", "tape")}


def stages_in_order(form: MaterialForm) -> Iterator[Complaint]:
    """A stage is reached no earlier than what it stands on, at low, typical and high alike.

    Of `touch` and `dust_free` either may be first, by what a sheet means by them.
    """
    for after, stands_on in STANDS_ON.items():
        for before in reversed(stands_on):
            if after not in form.stages or before not in form.stages or (before, after) in _LOOSE:
                continue
            pairs = zip(form.stages[before].time, form.stages[after].time, strict=True)
            if any(first > second for first, second in pairs):
                yield (
                    ("stages", after, "time"),
                    told("`{after}` comes before `{before}`", after=after, before=before),
                    told(
                        "make low, typical and high of `{after}` no shorter than those of `{before}`",
                        after=after,
                        before=before,
                    ),
                )
                break


def said_order_holds(form: MaterialForm) -> Iterator[Complaint]:
    """What `order` says of `dust_free` and `touch` is what their times say."""
    first, second = form.stages.get("dust_free"), form.stages.get("touch")
    if form.order is None:
        return
    if first is None or second is None:
        yield ("order",), "the order of `dust_free` and `touch` is said, but one of them is missing", "leave it out"
        return
    pairs = list(zip(first.time, second.time, strict=True))
    holds = {
        "before touch": all(dust <= touch for dust, touch in pairs),
        "with touch": all(dust == touch for dust, touch in pairs),
        "after touch": all(dust >= touch for dust, touch in pairs),
    }
    if not holds[form.order.dust_free]:
        said = told(
            "the times of `dust_free` and `touch` are not in the order `{dust_free}`", dust_free=form.order.dust_free
        )
        yield ("order", "dust_free"), said, "change the times, or say another order"


def spoilt_outside_limits(form: MaterialForm) -> Iterator[Complaint]:
    """What spoils a film lies outside its limits, for as long as it spoils it: so no plan lays one that is lost."""
    if form.spoils is None:
        return
    until = form.spoils.until
    if until not in form.stages:
        yield (
            ("spoils", "until"),
            told("this family has no stage `{until}`", until=until),
            told("write one of {names}", names=", ".join(form.stages)),
        )
        return
    if form.limits is None:
        yield ("spoils",), "what spoils it is said, but no limits", "add `limits`, with `hold_until`"
        return
    held = form.limits.hold_until
    if held not in form.stages or form.stages[held].time < form.stages[until].time:
        said = told("it can be spoilt until `{until}`, and the limits hold until it is laid", until=until)
        if held:
            said = told(
                "it can be spoilt until `{until}`, and the limits hold until `{held}`", until=until, held=held
            )
        yield ("spoils", "until"), said, told("write `hold_until: {until}` or a later stage in `limits`", until=until)
    if form.spoils.below is not None and form.spoils.below > form.limits.temp_low + 1e-9:
        yield ("spoils", "below"), "it may be laid where it is spoilt", "write the lowest temperature of `limits`"
    if form.spoils.wet and form.limits.dew_margin is None:
        yield ("spoils", "wet"), "it may be laid where water comes on it", "write a `dew_margin` in `limits`"


def some_stage(form: MaterialForm) -> Iterator[Complaint]:
    """A family has at least one stage."""
    if not form.stages:
        yield ("stages",), "there is no stage here", told("write at least one of {names}", names=", ".join(STAGES))


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
        yield (
            ("limits", "hold_until"),
            told("this family has no stage `{held}`", held=held),
            told("write one that it has: {there}", there=there),
        )
    if form.room_closed_until and form.room_closed_until not in form.stages:
        yield (
            ("room_closed_until",),
            told("this family has no stage `{room_closed_until}`", room_closed_until=form.room_closed_until),
            told("write one that it has: {there}", there=there),
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
            yield (
                ("covers", other),
                told("the reference is a {kind}, this a {other}", kind=kind, other=other),
                told("write `{kind}` here", kind=kind),
            )
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
    said_order_holds,
    spoilt_outside_limits,
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
