"""What is answered: bytes with a validator, packed once; conditional requests are heard (RFC 9110, 8.8 and 13)."""

from __future__ import annotations

import gzip
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from email.utils import format_datetime, parsedate_to_datetime
from hashlib import sha256

from starlette.responses import Response

JSON = "application/json"
TEXT = "text/plain; charset=utf-8"
HTML = "text/html; charset=utf-8"
CALENDAR = "text/calendar; charset=utf-8"
POLICY = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
"""Of all that is no page (Content Security Policy Level 3)."""

WEEK = "private, max-age=604800"
"""A page comes out of the browser's own store where the laptop does not answer; its script asks all the same."""
FRESH = "private, no-cache"

PROTECTING: Mapping[str, str] = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
"""What every answer carries, refusals too, as long as it does not say better."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """One thing that is handed out: its bytes, also packed, each with a tag of its own (RFC 9110, 8.8.3.3)."""

    content: bytes
    kind: str
    cache: str
    policy: str = POLICY
    changed: datetime | None = None
    packed: bytes = field(default=b"", repr=False)
    tag: str = ""

    @classmethod
    def of(cls, content: bytes, kind: str, cache: str, policy: str = POLICY, changed: datetime | None = None) -> Body:
        """The body of these bytes; the same bytes give the same tags."""
        tag = sha256(content).hexdigest()[:24]
        packed = gzip.compress(content, mtime=0)
        return cls(content=content, kind=kind, cache=cache, policy=policy, changed=changed, packed=packed, tag=tag)

    def answer(self, method: str, headers: Mapping[str, str]) -> Response:
        """What a GET or HEAD with these headers is answered."""
        zipped = _takes_gzip(headers.get("accept-encoding", ""))
        tag = f'"{self.tag}-gz"' if zipped else f'"{self.tag}"'
        said = {
            "etag": tag,
            "vary": "Accept-Encoding",
            "cache-control": self.cache,
            "content-security-policy": self.policy,
        }
        if self.changed is not None:
            said["last-modified"] = format_datetime(self.changed.astimezone(UTC), usegmt=True)
        if self._is_known(headers, tag):
            return Response(status_code=304, headers=said)
        content = self.packed if zipped else self.content
        said |= {"content-type": self.kind, "content-length": str(len(content))}
        if zipped:
            said["content-encoding"] = "gzip"
        return Response(b"" if method == "HEAD" else content, headers=said)

    def _is_known(self, headers: Mapping[str, str], tag: str) -> bool:
        """Whether whoever asks has it: by tag, else by date (RFC 9110, 13.2.2)."""
        if "if-none-match" in headers:
            named = headers["if-none-match"]
            return named.strip() == "*" or tag in re.findall(r'"[\x21\x23-\x7e]*"', named)
        if self.changed is None or "if-modified-since" not in headers:
            return False
        try:
            return parsedate_to_datetime(headers["if-modified-since"]) >= self.changed
        except (ValueError, TypeError, OverflowError, IndexError):
            return False  # a date that is none is no condition (RFC 9110, 13.1.3)


def said(status: int, words: str, headers: Iterable[tuple[str, str]] = (), *, close: bool = False) -> Response:
    """A short answer in words."""
    found = dict(headers) | ({"connection": "close"} if close else {})
    return Response(words + "\n", status, {"content-type": TEXT, **found})


def _takes_gzip(accepted: str) -> bool:
    """Whether gzip is wanted (RFC 9110, 12.5.3); what is not named is not wanted."""
    weights: dict[str, float] = {}
    for part in accepted.lower().split(","):
        name, _, rest = part.partition(";")
        found = re.fullmatch(r"\s*q\s*=\s*(\d(?:\.\d*)?)\s*", rest)
        weights[name.strip()] = float(found[1]) if found else 1.0
    return weights.get("gzip", weights.get("*", 0.0)) > 0
