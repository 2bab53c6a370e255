"""What is wrong with a text that should be JSON, in plain words and with its place."""

from __future__ import annotations

import json

# What the parser says -> what is wrong here. The first beginning that fits counts.
_SAID = (
    ("Expecting property name", "a name in double quotes is missing here"),
    ("Expecting ':'", "`:` is missing here"),
    ("Expecting ','", "`,` is missing here"),
    ("Expecting value", "a value is missing here"),
    ("Unterminated string", "a quote is opened here and never closed"),
    ("Invalid control character", "a text goes over the end of its line here"),
    ("Invalid \\", "`\\` stands here before a sign that never follows it"),
    ("Extra data", "more follows here after the end"),
    ("Illegal trailing comma", "one `,` too many stands here"),
    ("Unexpected UTF-8 BOM", "a mark that shows nothing stands here"),
)
TOO_MUCH = "it is nested too deep, or holds a number too long"


def said_of(error: json.JSONDecodeError) -> str:
    """The parser's complaint in plain words; its line and column are those of the error."""
    if error.pos >= len(error.doc.rstrip()):
        return "it breaks off here" if error.doc.strip() else "it is empty"
    return next((plain for theirs, plain in _SAID if error.msg.startswith(theirs)), "something else stands here")
