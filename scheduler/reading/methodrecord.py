"""A form of a method that holds -> the record that every other room knows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from scheduler.model.after import After
from scheduler.model.method import Labour, Method, MethodOption, Taking, Template
from scheduler.model.names import slug
from scheduler.reading.methodform import LabourForm, MethodForm, OptionForm, TemplateForm
from scheduler.reading.methodparts import PlacesUntil
from scheduler.reading.shapebase import carried


def method_of(name: str, form: MethodForm, origin: str, replaces: str | None) -> Method:
    """The method `name` out of its form."""
    return carried(
        Method,
        form,
        id=name,
        templates=tuple(each for key, step in form.steps.items() for each in _templates(key, step)),
        options=tuple(_option(key, option) for key, option in form.options.items()),
        quantities=tuple((key, quantity.of) for key, quantity in form.quantities.items()),
        units=tuple((key, quantity.unit) for key, quantity in form.quantities.items()),
        gives=tuple(form.gives.items()),
        learning=max(1.0, form.learning),
        sources=tuple(form.sources.items()),
        asks=tuple(form.asks.items()),
        origin=origin,
        replaces=replaces,
    )


def _there(form: OptionForm, value: str) -> str:
    """What an option is beside another method: the id of a material, or a choice as it is written."""
    return value if form.choice is not None else slug(value)


def _option(name: str, form: OptionForm) -> MethodOption:
    kind, value = form.given()[0]
    where = tuple((slug(method), _there(form, value)) for method, value in form.where.items())
    if isinstance(value, tuple):
        return MethodOption(name=name, kind=kind, default=value[0], choices=value, where=where)
    assert isinstance(value, str | float)
    default = slug(str(value)) if kind in ("material", "room") else value
    return MethodOption(name=name, kind=kind, default=default, unless=form.unless or "", where=where)


QUIET = "quiet"
"""Ends the id of the quiet share of a step."""


def _templates(key: str, form: TemplateForm) -> Iterator[Template]:
    """The step; before it the share of its time in which it is not loud."""
    whole = _template(key, form)
    if form.quiet is None:
        yield whole
        return
    quiet = replace(
        whole,
        key=f"{key} {QUIET}",
        id=f"{whole.id}-{QUIET}",
        title=form.quiet.title,
        labour=_shared(whole.labour, form.quiet.share),
        noisy=False,
        dusty=False,
        saw=False,
        abrades=False,
        buries=False,
        material=None,
        uses=(),
        takes=(),
        ready=(),
        cautions=(),
    )
    yield quiet
    yield replace(whole, labour=_shared(whole.labour, 1 - form.quiet.share), after=(After(step=quiet.id),))


def _shared(labour: tuple[Labour, ...], share: float) -> tuple[Labour, ...]:
    """So much of a step's time."""
    return tuple(
        replace(
            each,
            low=each.low * share,
            likely=each.likely * share,
            high=each.high * share,
            more=tuple((hands, low * share, likely * share, high * share) for hands, low, likely, high in each.more),
        )
        for each in labour
    )


def _template(key: str, form: TemplateForm) -> Template:
    lays = form.lays
    return carried(
        Template,
        form,
        key=key,
        id=slug(form.id or key),
        title=form.title if form.trade is None else f"{form.title} ({form.trade})",
        labour=tuple(_labour(each) for each in form.work),
        people=form.people[0] if form.trade is None else 0,
        most_people=form.people[1] if form.trade is None else 0,
        pause=form.pause or None,
        **{kind: kind in form.kind for kind in ("dusty", "noisy", "wet", "wipes")},
        **({"material": lays.material, "coat": lays.coat, "thickness": lays.thickness} if lays else {}),
        side=(lays.side if lays else None) or "",
        takes=tuple(_taking(thing, places) for thing, places in form.takes.items()),
        after=_after(form),
        ready=tuple(form.ready.items()),
        only=tuple(form.only.items()),
    )


def _taking(thing: str, places: PlacesUntil) -> Taking:
    until = places.until
    return Taking(
        thing=thing,
        places=places.count,
        stage=until.stage,
        step=until.step,
        at_start=until.at_start,
        minutes=until.minutes,
    )


def _labour(form: LabourForm) -> Labour:
    low, likely, high = (rate.minutes for rate in form.takes)
    more = (
        (people, quick.minutes, usual.minutes, slow.minutes)
        for people, (quick, usual, slow) in ((people, each.takes) for people, each in sorted(form.more.items()))
    )
    return Labour(per=form.per, low=low, likely=likely, high=high, source=form.source, more=tuple(more))


def _after(form: TemplateForm) -> tuple[After, ...] | None:
    if form.after is None:
        return None
    return tuple(
        After(
            step=slug(name),
            stage=how.stage,
            on=how.on,
            wait=how.wait or 0,
            within=how.within,
            remedy=how.remedy,
            first=how.first,
        )
        for entry in form.after
        for name, how in entry.items()
    )
