"""The methods with what a job may say of each: for a person who writes a job, and for other programs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scheduler.model.method import Method, Option
from scheduler.telling.machine.json_text import json_text
from scheduler.telling.text.sheet import Line, Sheet, point
from scheduler.telling.wording import counted, one_line
from scheduler.units import format_length

_LAST = (
    "An option is written behind its method: `- prime: {primer: shellac-based-primer}`. Every method takes `needs:` "
    "with an item on order."
)


def methods_sheet(
    methods: Sequence[Method],
    *,
    metric: bool,
    steps: bool,
    width: int = 80,
    colour: bool = False,
    plain: bool = False,
) -> str:
    """Each method with its options and, if `steps`, what it does; `plain` keeps to ASCII."""
    sheet = Sheet(width, plain)
    for method in methods:
        fits = f" (for {', '.join(method.fits)})" if method.fits else ""
        sheet.add(Line(f"{name_of(method)}{fits}", kind="heading"))
        wide = max((len(name) for name in (*(each.name for each in method.options), *dict(method.asks))), default=0)
        for name, what in method.asks:
            sheet.add(Line(f"{one_line(what)}; to be said", first=f"  {name:<{wide}}  "))
        for option in method.options:
            sheet.add(Line(_said(option, metric), first=f"  {option.name:<{wide}}  "))
        if steps:
            sheet.gap()
            for template in method.templates:
                sheet.add(point(f"{template.phase}: {one_line(template.title)}{_only(template.only)}"))
            sheet.add(point(f"from: {one_line(method.source)}"))
            for what, source in method.sources:
                sheet.add(Line(one_line(source), first=f"    {one_line(what)}: ", rest="      "))
    sheet.gap()
    tail = "" if steps else " What one of them does: tackfree methods NAME. The materials: tackfree dry."
    sheet.add(Line(f"{counted(len(methods), 'method')}. {_LAST}{tail}"))
    return sheet.text(colour)


def name_of(method: Method) -> str:
    """What a job file calls it."""
    return method.id.replace("-", " ")


def methods_json(methods: Iterable[Method]) -> str:
    """The methods as the schema `methods` in the package has them."""
    return json_text([_record(method) for method in methods])


def _said(option: Option, metric: bool) -> str:
    """What an option may be, and what it is if it is left out."""
    if option.kind == "choice":
        return f"{', '.join(option.choices)}; {option.default} if left out"
    default = option.default
    if option.kind == "length" and isinstance(default, float | int):
        default = format_length(default, metric=metric)
    elif isinstance(default, float):
        default = f"{default:g}"
    there = "".join(f", {material} with `{method.replace('-', ' ')}`" for method, material in option.where)
    return f"a {option.kind}; {default} if left out{there}"


def _only(only: Iterable[tuple[str, tuple[str, ...]]]) -> str:
    said = " and ".join(f"{name}: {' or '.join(values)}" for name, values in only)
    return f" (only with {said})" if said else ""


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
