"""Arithmetic on sets of spans: sorted, disjoint, not touching."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scheduler.model.basics import Span


def union(spans: Iterable[Span]) -> tuple[Span, ...]:
    """The minutes that any of the spans holds; empty ones vanish, touching ones become one."""
    merged: list[Span] = []
    for span in sorted(span for span in spans if span.minutes > 0):
        if merged and span.start <= merged[-1].end:
            merged[-1] = Span(merged[-1].start, max(merged[-1].end, span.end))
        else:
            merged.append(span)
    return tuple(merged)


def without(spans: Sequence[Span], taken: Sequence[Span]) -> tuple[Span, ...]:
    """The minutes of `spans` that none of `taken` holds. `taken` is sorted and disjoint, as `union` makes it."""
    left: list[Span] = []
    for span in spans:
        start = span.start
        for hole in taken:
            if hole.end <= start:
                continue
            if hole.start >= span.end:
                break
            left.append(Span(start, hole.start))
            start = hole.end
        left.append(Span(start, span.end))
    return tuple(span for span in left if span.minutes > 0)


def clip(span: Span, bounds: Span) -> Span:
    """The part of a span inside the bounds; empty (or turned round) if there is none."""
    return Span(max(span.start, bounds.start), min(span.end, bounds.end))
