"""Titles as nobody should write them, and as somebody will."""

from __future__ import annotations

import unicodedata

from hypothesis import strategies as st

HOSTILE = (
    "Prime, sand; \\wipe\\ and: caulk",
    "Two\nlines and a\r\nthird\rfourth",
    "X\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nUID:evil\r\nSUMMARY:Evil\r\nEND:VEVENT",
    "Ring\x07 the bell, \x1b[31mred\x1b[0m, \x00 nothing, \x0b\x0c\x1c\x7f",
    "C1 \x85\x9b31m and \u2028 lines \u2029",
    "\u202egnippilf the order\u202c of signs",
    "Paint 🖌️ the 👨‍👩‍👧‍👦 wall 壁を塗る",
    "e\u0301\u0301\u0301 accents \ud800 alone",
    "   blanks   at   both   ends   ",
    "Verylongwordwithoutanyblank" * 12,
    "=cmd|' /C calc'!A0",
    '"quoted" ^n ^^ ^\' text',
    "\ufeff\ufffe\uffff",
    "TZID=Nowhere:20270101T000000",
    "",
)

titles = st.one_of(st.sampled_from(HOSTILE), st.text(max_size=60))


def shows_cleanly(line: str) -> bool:
    """Whether a line holds no control character, line end, lone surrogate or mark that turns the direction."""
    turning = "\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
    return not any(unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp") or sign in turning for sign in line)
