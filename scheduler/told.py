"""A sentence in English that knows how it was made, so that whoever shows it can say it in another language.

A fault is found far below the rooms that know languages. So its sentence stands, in English, beside the condition
that makes it, and is the key under which a language has its own; this is how GNU gettext does it (GNU gettext manual,
section 1.3, "Aspects in native language support", from memory). What is filled in travels along.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache, reduce
from string import Formatter

_QUOTES = {"`": "`", "“": "”", '"': '"', "‘": "’"}


class Told(str):
    """An English sentence, and with it its template and the values that were filled in."""

    __slots__ = ("template", "values")
    template: str
    values: dict[str, object]


def told(template: str, /, **values: object) -> str:
    """The sentence of a template with its values, as `str.format` fills them in.

    What is filled in between quotation marks is what a person wrote, or a word to write: it stays as it is in every
    language. Any other text that is filled in is a word or a sentence of ours, and may be told itself.
    """
    made = Told(template.format(**values))
    made.template, made.values = template, values
    return made


def one_line(text: str) -> str:
    """The sentence with single blanks: what a person wrote over several lines is told in one."""
    plain = " ".join(text.split())
    if not isinstance(text, Told) or plain == text:
        return text if plain == text else plain
    return told(text.template, **{name: one_line(v) if isinstance(v, str) else v for name, v in text.values.items()})


def row(parts: Iterable[str]) -> str:
    """`a, b, c`."""
    first, *rest = [*parts] or [""]
    return reduce(lambda said, each: told("{said}, {each}", said=said, each=each), rest, first)


def listing(parts: Iterable[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return _joined([*parts], "{first} and {last}")


def either(parts: Iterable[str]) -> str:
    """`a`, `a or b`, `a, b or c`."""
    return _joined([*parts], "{first} or {last}")


def _joined(parts: list[str], template: str) -> str:
    *most, last = parts or [""]
    return told(template, first=row(most), last=last) if most else last


def in_words(text: str, known: Mapping[str, str]) -> str:
    """The text in the language whose sentences are handed in by their English ones; as it is where there is none.

    A sentence of the language that does not fit its template is not used: the English one is better than none.
    """
    if not isinstance(text, Told):
        return known.get(text, text)
    pattern = known.get(text.template, text.template)
    try:
        return pattern.format(
            **{name: _said(value, name, text.template, known) for name, value in text.values.items()}
        )
    except (AttributeError, KeyError, IndexError, TypeError, ValueError):
        return str(text)


def _said(value: object, name: str, template: str, known: Mapping[str, str]) -> object:
    if isinstance(value, Told):
        return in_words(value, known)
    return in_words(value, known) if isinstance(value, str) and name not in quoted(template) else value


@cache
def quoted(template: str) -> frozenset[str]:
    """The names that stand between quotation marks in a template, with or without more beside them."""
    found, end = set(), ""
    for text, name, _, _ in Formatter().parse(template):
        for sign in text:
            end = ("" if sign == end else end) if end else _QUOTES.get(sign, "")
        if name and end:
            found.add(name)
    return frozenset(found)
