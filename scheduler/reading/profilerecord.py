"""A form that holds -> the record that every other room knows."""

from __future__ import annotations

from scheduler.model.basics import STAGES
from scheduler.model.material import (
    Acclimation,
    Caution,
    KindOfWork,
    Limits,
    Material,
    Pack,
    Remedy,
    Spoils,
    StageTime,
    Tape,
)
from scheduler.model.names import slug
from scheduler.reading.profileform import (
    WET,
    AcclimationForm,
    CautionsForm,
    KindsForm,
    LimitsForm,
    MaterialForm,
    RemedyForm,
    SoldForm,
    SpoilsForm,
    TapeForm,
    pack_litres,
)


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
    return Material(
        id=name,
        title=form.title,
        group=form.group,
        temp=form.reference.temp,
        humidity=form.reference.humidity,
        thickness=thickness,
        thickness_kind=kind,
        stages=_stages_of(form),
        limits=_limits_of(form.limits) if form.limits else None,
        source=form.source,
        remedy=remedy_of(form.remedy) if form.remedy else None,
        pot_life=form.pot_life.time if form.pot_life else None,
        open_time=form.open_time.time if form.open_time else None,
        speed=form.speed.share if form.speed else 1.0,
        spread=form.spread.area[1] if form.spread else None,
        spread_range=(form.spread.area[0], form.spread.area[2]) if form.spread else None,
        clean_up=form.clean_up,
        cautions=tuple(each.said for each in form.cautions),
        dangers=form.dangers,
        thicknesses=form.covers.thicknesses(kind) if form.covers else None,
        room_closed_until=form.room_closed_until,
        exposed=form.exposed,
        by_touch=form.by_touch,
        origin=origin,
        replaces=replaces,
        packs=_packs_of(form.sold) if form.sold else (),
        fit_for=form.fit_for,
        sources=tuple((what, source) for what, source in sourced.items() if source),
        spoils=_spoils_of(form.spoils) if form.spoils else None,
        acclimates=_acclimation_of(form.acclimates) if form.acclimates else None,
    )


def tape_of(form: TapeForm) -> Tape:
    """The tape out of its form."""
    return Tape(
        clean_for=form.clean_for,
        pull_by=form.pull_by,
        wet_by=form.wet_by,
        pulled_wet=tuple(kind for kind, how in form.pull.items() if how == WET),
        remedy=remedy_of(form.remedy),
        source=form.source,
        overdue=remedy_of(form.overdue) if form.overdue else None,
    )


def cautions_of(form: CautionsForm) -> tuple[Caution, ...]:
    """The cautions out of their form."""
    return tuple(
        Caution(
            text=one.text,
            kind=one.kind,
            source=one.source,
            built_before=one.built_before,
            name=one.name,
            short=one.short,
            wear=tuple(one.wear.items()),
            also=one.also,
            masks=tuple(one.mask.items()),
            cites=tuple(one.cite.items()),
            asks=tuple(one.ask.items()),
            rules=tuple((region, rule) for region, rules in one.rules.items() for rule in rules),
            densities=tuple(one.densities.items()),
            to_wear=f"{one.worn}: {{mask}}",
            not_in=one.not_in,
            years=tuple((region, year.before) for region, year in one.years.items()),
        )
        for one in form.cautions
    )


def kinds_of(form: KindsForm) -> tuple[KindOfWork, ...]:
    """The kinds of work out of their form."""
    return tuple(
        KindOfWork(id=slug(name), groups=kind.groups, phases=kind.phases, marks=kind.marks)
        for name, kind in form.kinds.items()
    )


def _stages_of(form: MaterialForm) -> tuple[StageTime, ...]:
    """In the order of the vocabulary, each with the range that the family's sources cover."""
    covered = {"temps": form.covers.temp, "humidities": form.covers.humidity} if form.covers else {}
    return tuple(
        StageTime(
            stage=stage,
            low=form.stages[stage].time[0],
            typical=form.stages[stage].time[1],
            high=form.stages[stage].time[2],
            law=form.stages[stage].law,
            exponent=form.stages[stage].exponent,
            source=form.stages[stage].source,
            activation=form.stages[stage].activation,
            **covered,
        )
        for stage in STAGES
        if stage in form.stages
    )


def _spoils_of(form: SpoilsForm) -> Spoils:
    return Spoils(until=form.until, source=form.source, below=form.below, wet=form.wet)


def _acclimation_of(form: AcclimationForm) -> Acclimation:
    return Acclimation(share=form.share, allowed=form.allowed, source=form.source)


def _limits_of(form: LimitsForm) -> Limits:
    return Limits(
        temp_low=form.temp[0],
        temp_high=form.temp[1],
        humidity_low=form.humidity[0],
        humidity_high=form.humidity[1],
        dew_margin=form.dew_margin,
        hold_until=form.hold_until,
        source=form.source,
    )


def remedy_of(form: RemedyForm) -> Remedy:
    """The step that is due once a window has been missed."""
    return Remedy(
        title=form.title,
        work=form.work,
        source=form.source,
        wait=form.wait or 0,
        dusty=form.dusty,
        noisy=form.noisy,
        cautions=tuple(each.said for each in form.cautions),
    )


def _packs_of(form: SoldForm) -> tuple[Pack, ...]:
    labels = [(label, False) for label in form.us] + [(label, True) for label in form.metric]
    return tuple(
        Pack(label=label, litres=pack_litres(label, form.litres_per_kg), metric=metric) for label, metric in labels
    )
