"""profiles/wares.yaml -> how things are sold: the shipped file, and a person's own beside the job file over it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from pydantic import AfterValidator, Field

from scheduler.errors import Fault, InputError, Place, brief, wrong_input
from scheduler.model.message import Message, message
from scheduler.model.names import slug
from scheduler.model.shopping import SOLD_BY, Shelf, Size, Ware
from scheduler.reading.positions import Positions
from scheduler.reading.profileparts import Form, Source, Texts, carried, form_of, one_of
from scheduler.reading.remembered import remembered
from scheduler.reading.scalars import Name, Share, Text, WholeDays, YesNo, reads
from scheduler.reading.shipped import shipped_profiles
from scheduler.reading.textfile import shown
from scheduler.reading.yamlfile import YamlValue, load_yaml
from scheduler.told import told
from scheduler.units import UnclearQuantityError, parse_area, parse_length, parse_mass, parse_volume

FILE = "wares.yaml"
OTHER = "anything else"
"""The key under `waste` for whatever belongs to no group."""
_MOST_DAYS = 3650
"""Ten years: of an order time or of how long a ware lies in the room first."""
_MOST_SPARE = 10
"""Cartridges that are bought on top."""


def _bulk(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not 0.1 <= value <= 0.99:
        raise UnclearQuantityError(
            told("`{text}` is not from 0.1 to 0.99", text=brief(text, 40)), "write a number such as `0.7`"
        )
    return value


def _some_length(text: str) -> float:
    metres = parse_length(text)
    if metres > 1:
        raise UnclearQuantityError(told("`{text}` is too much for a cut", text=text), "write one such as `1/8 in`")
    return metres


def _few(text: str) -> int:
    if not (text.isdecimal() and int(text) <= _MOST_SPARE):
        raise UnclearQuantityError(
            told("`{text}` is not from 0 to {most_spare}", text=brief(text, 40), most_spare=_MOST_SPARE),
            "write a number such as `1`",
        )
    return int(text)


def _days(days: int) -> int:
    if days > _MOST_DAYS:
        raise UnclearQuantityError(told("{days} days are too many", days=days), "write at most ten years")
    return days


Bulk = Annotated[float, reads(_bulk, "write a number such as `0.7`")]
Loss = Annotated[float, reads(_some_length, "write a length such as `1/8 in`")]
SoldBy = Annotated[str, one_of(SOLD_BY, "way of selling")]
Spare = Annotated[int, reads(_few, "write a number such as `1`")]
SomeDays = Annotated[WholeDays, AfterValidator(_days)]


class WareForm(Form):
    """One thing from the shelf."""

    title: Text
    sold_by: SoldBy
    pack: Text
    source: Source
    names: Texts = ()
    us: Texts = ()
    metric: Texts = ()
    waste: Share = 0.0
    cut: YesNo = False
    per_cut: Loss = 0.0
    settles: SomeDays = 0
    lead: SomeDays = 0
    hired: YesNo = False
    lasts: YesNo = False


class WaresForm(Form):
    """The whole file, an own one laid over the shipped one."""

    source: Source
    sources: dict[str, Source] = Field(default_factory=dict)
    margin: SomeDays
    saw_kerf: Loss
    bulk: Bulk
    waste: dict[Text, Share]
    packs: dict[Text, Text] = Field(default_factory=dict)
    wares: dict[Name, WareForm]
    small_things: dict[Text, Text] = Field(default_factory=dict)
    never_bought: Texts = ()
    spare_cartridges: Spare = 0


def read_wares(own_profiles: Path | None) -> Shelf:
    """How things are sold, `own_profiles` being the person's folder, if any. Raises InputError with every fault."""
    shipped = shipped_profiles() / FILE
    own = own_profiles / FILE if own_profiles is not None else None
    if own is None or not own.is_file():
        return remembered("wares", Shelf, lambda: _shelf(*load_mapping(shipped)))
    data, positions = load_mapping(own)
    notes = (message("own.wares", own=shown(own), file=FILE),)
    return _shelf(_over(load_mapping(shipped)[0], data), positions, notes)


def _shelf(whole: dict[str, YamlValue], positions: Positions, notes: tuple[Message, ...] = ()) -> Shelf:
    form = form_of(WaresForm, whole, positions)
    faults = list(_faults(form, positions))
    if faults:
        raise InputError(faults)
    return Shelf(
        wares=tuple(_ware(name, each) for name, each in form.wares.items()),
        waste={group: share for group, share in form.waste.items() if group != OTHER},
        packs=form.packs,
        small_things={group: said for group, said in form.small_things.items() if group != OTHER},
        other_small_things=form.small_things.get(OTHER, ""),
        other_waste=form.waste.get(OTHER, 0.0),
        bulk=form.bulk,
        kerf=form.saw_kerf,
        margin=form.margin,
        never_bought=form.never_bought,
        spare=form.spare_cartridges,
        notes=notes,
    )


def load_mapping(path: Path) -> tuple[dict[str, YamlValue], Positions]:
    """The one mapping of a file, every value as it was written. Raises InputError."""
    data, positions = load_yaml(path, typed=False)
    if not isinstance(data, dict):
        raise wrong_input(positions.value(), "this says nothing of wares", "write `wares: …`, `margin: …`")
    return data, positions


def _over(below: dict[str, YamlValue], above: dict[str, YamlValue]) -> dict[str, YamlValue]:
    """The upper file's values instead of the lower one's; those of groups and wares entry by entry."""
    whole = {**below, **above}
    for key in ("waste", "packs", "small_things", "wares"):
        lower, upper = below.get(key), above.get(key)
        if isinstance(lower, dict) and isinstance(upper, dict):
            names = {slug(name) for name in upper}
            whole[key] = {**upper, **{name: value for name, value in lower.items() if slug(name) not in names}}
    return whole


def _faults(form: WaresForm, positions: Positions) -> Iterator[Fault]:
    for name, ware in form.wares.items():
        if ware.cut and ware.sold_by != "length":
            hint = "write `sold_by: length`, or leave `cut` out"
            yield _fault(
                positions, name, "cut", told("`{name}` is cut to length, but not sold by it", name=name), hint
            )
        for key, labels in (("us", ware.us), ("metric", ware.metric)):
            for label in labels:
                try:
                    _amount(ware.sold_by, label)
                except UnclearQuantityError as unclear:
                    yield _fault(positions, name, key, unclear.message, unclear.hint)
        if not ware.us and not ware.metric:
            yield _fault(
                positions,
                name,
                "sold_by",
                told("`{name}` is sold in no size", name=name),
                "write `us: […]`, `metric: […]`",
            )


def _fault(positions: Positions, name: str, key: str, message: str, hint: str) -> Fault:
    place: Place = positions.value(["wares", name, key])
    return Fault(place, message, hint)


def _ware(name: str, form: WareForm) -> Ware:
    return carried(
        Ware,
        form,
        id=slug(name),
        unit=SOLD_BY[form.sold_by],
        sizes=tuple(
            Size(label=label, amount=_amount(form.sold_by, label), metric=metric)
            for labels, metric in ((form.us, False), (form.metric, True))
            for label in labels
        ),
    )


@dataclass(frozen=True, slots=True)
class _Measure:
    """How a size is read, and how it is rightly written."""

    read: Callable[[str], float]
    write: str


def _area(text: str) -> float:
    """`4 ft x 8 ft`, `10 sq ft`."""
    width, times, length = text.replace("×", " x ").partition(" x ")
    return parse_length(width) * parse_length(length) if times else parse_area(text)


def _count(text: str) -> float:
    if not text.strip().isascii() or not text.strip().isdigit():
        raise UnclearQuantityError(
            told("`{text}` is no whole number", text=brief(text, 40)), "write one such as `1000`"
        )
    return float(text)


_MEASURES = {
    "length": _Measure(parse_length, "write a length such as `8 ft`"),
    "area": _Measure(_area, "write it as `4 ft x 8 ft` or `10 sq ft`"),
    "count": _Measure(_count, "write a number such as `1000`"),
    "weight": _Measure(parse_mass, "write a weight such as `5 lb`"),
    "volume": _Measure(parse_volume, "write a volume such as `1 gal`"),
}


def _amount(sold_by: str, label: str) -> float:
    """The amount of a size in the unit it is sold by. Raises UnclearQuantityError."""
    measure = _MEASURES[sold_by]
    amount = measure.read(label)
    if not 0.001 <= amount <= 1e6:
        raise UnclearQuantityError(told("`{label}` can't be a size", label=brief(label, 40)), measure.write)
    return amount
