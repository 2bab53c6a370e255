"""The methods with what a job may say of each: for a person who writes a job, and for other programs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scheduler.model.method import Method, MethodOption
from scheduler.model.region import is_region
from scheduler.telling.machine.json_text import json_text
from scheduler.telling.text.sheet import Line, Sheet, point
from scheduler.telling.wording import one_line
from scheduler.telling.words import Words
from scheduler.units import format_length


def methods_sheet(
    methods: Sequence[Method],
    *,
    metric: bool,
    steps: bool,
    width: int = 80,
    colour: bool = False,
    plain: bool = False,
    lang: str = "en",
) -> str:
    """Each method with its options and, if `steps`, what it does; `plain` keeps to ASCII. What a profile says is
    said as it stands in `methods`, all else in the language."""
    sheet, words = Sheet(width, plain), Words(lang=lang)
    for method in methods:
        fits = words.tell("methods.for", kinds=", ".join(method.fits)) if method.fits else ""
        sheet.add(Line(f"{name_of(method)}{fits}", kind="heading"))
        wide = max((len(name) for name in (*(each.name for each in method.options), *dict(method.asks))), default=0)
        for name, what in method.asks:
            sheet.add(Line(words.tell("methods.asked", what=one_line(what)), first=f"  {name:<{wide}}  "))
        for option in method.options:
            sheet.add(Line(_said(option, metric, words), first=f"  {option.name:<{wide}}  "))
        if steps:
            sheet.gap()
            for template in method.templates:
                sheet.add(point(f"{template.phase}: {one_line(template.title)}{_only(template.only, words)}"))
            sheet.add(point(words.tell("methods.from", source=one_line(method.source))))
            for what, source in method.sources:
                sheet.add(Line(one_line(source), first=f"    {one_line(what)}: ", rest="      "))
    sheet.gap()
    tail = "" if steps else words.tell("methods.more")
    sheet.add(Line(words.tell("methods.last", count=words.counted("method", len(methods)), tail=tail)))
    return sheet.text(colour)


def name_of(method: Method) -> str:
    """What a job file calls it."""
    return method.id.replace("-", " ")


def methods_json(methods: Iterable[Method]) -> str:
    """The methods as the schema `methods` in the package has them."""
    return json_text([_record(method) for method in methods])


def _said(option: MethodOption, metric: bool, words: Words) -> str:
    """What an option may be, and what it is if it is left out."""
    there = "".join(
        words.tell("methods.in", said=said, region=where.upper())
        if is_region(where)
        else words.tell("methods.with", material=said, method=where.replace("-", " "))
        for where, said in option.where
    )
    default = option.default
    if option.kind == "choice":
        return words.tell("methods.choice", choices=", ".join(option.choices), default=default, there=there)
    if option.kind == "length" and isinstance(default, float | int):
        default = format_length(default, metric=metric)
    elif isinstance(default, float):
        default = f"{default:g}"
    return words.tell("methods.option", kind=words.of("methods.kind", option.kind), default=default, there=there)


def _only(only: Iterable[tuple[str, tuple[str, ...]]], words: Words) -> str:
    either, both = words.tell("methods.either"), words.tell("and")
    said = both.join(f"{name}: {either.join(values)}" for name, values in only)
    return words.tell("methods.only", said=said) if said else ""


def _record(method: Method) -> dict[str, object]:
    return {
        "method": name_of(method),
        "title": method.title,
        "for": list(method.fits),
        "source": method.source,
        "sources": dict(method.sources),
        "options": [
            {
                "option": option.name,
                "kind": option.kind,
                "default": option.default,
                "unit": "m" if option.kind == "length" else None,
                "choices": list(option.choices),
                **({"where": dict(option.where)} if option.where else {}),
            }
            for option in method.options
        ],
        **({"asks": dict(method.asks)} if method.asks else {}),
        "steps": [
            {
                "id": template.id,
                "title": template.title,
                "phase": template.phase,
                "only": {name: list(values) for name, values in template.only},
            }
            for template in method.templates
        ],
    }
