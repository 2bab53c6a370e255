"""What our own files say of who made them: by this alone a file is known that may be written over."""

from __future__ import annotations

import re

CALENDAR = "-//tackfree//plan to calendar 1//EN"
"""PRODID of every calendar file (RFC 5545, section 3.7.3)."""
PAGE = '<meta name="generator" content="tackfree">'
"""In the head of every page (HTML Living Standard, section 4.2.5.1)."""
GRAPH = "tackfree"
"""`made_by` of every graph."""
GRAPH_ENDINGS = (".graphml", ".json")
"""What the name of a file for a graph ends with."""

_CALENDAR = re.compile(rb"(?:\xef\xbb\xbf)?BEGIN:VCALENDAR\r?\n(?:(?!BEGIN:)[^\n]*\n)*?PRODID:-//tackfree//")
"""Before the first event: a calendar of somebody else may hold events of ours."""
_PAGE = re.compile(rb"<!DOCTYPE html>\s*<html[^>]*>\s*<head>\s*<meta charset=[^>]*>\s*" + re.escape(PAGE.encode()))
_PAGE_WITHOUT = re.compile(
    rb'<!DOCTYPE html>\s*<html lang="\w\w">\s*<head>.*<body data-job=".*'
    rb'const key = "tackfree:" \+ document\.body\.dataset\.job;',
    re.DOTALL,
)
"""A page as it was before it had the mark: by the name under which its script keeps what was ticked off."""


_GRAPH = re.compile(
    rb'<graphml .*<key id="\w+" for="graph" attr\.name="made_by" .*<data key="\w+">tackfree</data>'
    rb'|\A{\s*"directed": true,\s*"multigraph": true,\s*"graph": {\s*"made_by": "tackfree"',
    re.DOTALL,
)


def is_graph(content: bytes) -> bool:
    """Whether a file is a graph that this program wrote."""
    return _GRAPH.search(content) is not None


def is_calendar(content: bytes) -> bool:
    """Whether a file is a calendar that this program wrote, in this or an earlier version."""
    return _CALENDAR.match(content) is not None


def is_page(content: bytes) -> bool:
    """Whether a file is a page that this program wrote, in this or an earlier version."""
    return _PAGE.match(content) is not None or _PAGE_WITHOUT.match(content) is not None
