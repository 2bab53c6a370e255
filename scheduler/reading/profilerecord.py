"""A form that holds -> the record that every other room knows."""

from __future__ import annotations

from scheduler.model.basics import STAGES
from scheduler.model.material import Caution, KindOfWork, Material, Pack, StageTime, Tape
from scheduler.model.names import slug
from scheduler.reading.profileform import (
    WET,
    CautionsForm,
    KindsForm,
    MaterialForm,
    SoldForm,
    TapeForm,
    pack_litres,
)
from scheduler.reading.profileparts import carried


def material_of(name: str, form: MaterialForm, origin: str, replaces: str | None) -> Material:
    """The family `name` out of its form."""
    kind, thickness = form.reference.thickness
    beside = (
        ("spread", form.spread),
        ("pot_life", form.pot_life),
        ("open_time", form.open_time),
        ("speed", form.speed),
        ("order", form.order),
    )
    apart = form.sources.model_dump() if form.sources else {}
    sourced = {
        **{what: part.source for what, part in beside if part is not None},
        "sold": form.sold.source if form.sold else None,
        **apart,
    }
    return carried(
        Material,
        form,
        id=name,
        temp=form.reference.temp,
        humidity=form.reference.humidity,
        thickness=thickness,
        thickness_kind=kind,
        stages=_stages_of(form),
        pot_life=form.pot_life.time if form.pot_life else None,
        open_time=form.open_time.time if form.open_time else None,
        speed=form.speed.share if form.speed else 1.0,
        spread=form.spread.area[1] if form.spread else None,
        spread_range=(form.spread.area[0], form.spread.area[2]) if form.spread else None,
        thicknesses=form.covers.thicknesses(kind) if form.covers else None,
        origin=origin,
        replaces=replaces,
        packs=_packs_of(form.sold) if form.sold else (),
        sources=tuple((what, source) for what, source in sourced.items() if source),
    )


def tape_of(form: TapeForm) -> Tape:
    """The tape out of its form."""
    return carried(Tape, form, pulled_wet=tuple(kind for kind, how in form.pull.items() if how == WET))


def cautions_of(form: CautionsForm) -> tuple[Caution, ...]:
    """The cautions out of their form."""
    return tuple(
        carried(
            Caution,
            one,
            wear=tuple(one.wear.items()),
            masks=tuple(one.mask.items()),
            cites=tuple(one.cite.items()),
            asks=tuple(one.ask.items()),
            rules=tuple((region, rule) for region, rules in one.rules.items() for rule in rules),
            densities=tuple(one.densities.items()),
            to_wear=f"{one.worn}: {{mask}}",
            years=tuple((region, year.before) for region, year in one.years.items()),
        )
        for one in form.cautions
    )


def kinds_of(form: KindsForm) -> tuple[KindOfWork, ...]:
    """The kinds of work out of their form."""
    return tuple(carried(KindOfWork, kind, id=slug(name)) for name, kind in form.kinds.items())


def _stages_of(form: MaterialForm) -> tuple[StageTime, ...]:
    """In the order of the vocabulary, each with the range that the family's sources cover."""
    covered = {"temps": form.covers.temp, "humidities": form.covers.humidity} if form.covers else {}
    return tuple(
        carried(
            StageTime,
            form.stages[stage],
            stage=stage,
            **dict(zip(("low", "typical", "high"), form.stages[stage].time, strict=True)),
            **covered,
        )
        for stage in STAGES
        if stage in form.stages
    )


def _packs_of(form: SoldForm) -> tuple[Pack, ...]:
    labels = [(label, False) for label in form.us] + [(label, True) for label in form.metric]
    return tuple(
        Pack(label=label, litres=pack_litres(label, form.litres_per_kg), metric=metric) for label, metric in labels
    )
