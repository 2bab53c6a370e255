"""Where the calendar is and who asks: an address that may be shown, and credentials that never are."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import SplitResult, unquote, urlsplit, urlunsplit

from scheduler.errors import wrong_input
from scheduler.told import told

USER, PASSWORD = "TACKFREE_CALDAV_USER", "TACKFREE_CALDAV_PASSWORD"
"""The environment variables that hold the credentials."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """The address of a calendar collection without credentials, ending in a slash; and the credentials, if any.

    `ca` is a file of the authority that signed the certificate of one's own server.
    """

    url: str
    ca: str | None = None
    user: str | None = None
    password: str | None = field(default=None, repr=False)

    @property
    def bare(self) -> bool:
        """Whether a password would cross a network for all to read."""
        parts = urlsplit(self.url)
        local = parts.hostname in ("localhost", "::1") or (parts.hostname or "").startswith("127.")
        return self.password is not None and parts.scheme == "http" and not local


def access(url: str, environment: Mapping[str, str], option: str = "--publish", ca: str | None = None) -> Access:
    """The access for an address that a person wrote: credentials out of the environment, else out of the keyring.

    A `user:password@` in the address is used if the environment names no user, and taken out of it in any case.
    `option` is what named it. Raises InputError for what is no address of a server.
    """
    parts = _parts(url, option)
    user = environment.get(USER) or (unquote(parts.username) if parts.username else None)
    password = environment.get(PASSWORD) or None
    if password is None and parts.password and not environment.get(USER):
        password = unquote(parts.password)
    host = parts.hostname or ""
    if password is None:
        user, password = _from_keyring(host, user)
    if password is not None and user is None:
        raise wrong_input(option, "there is a password for it and no user", told("set {user} as well", user=USER))
    where = f"[{host}]" if ":" in host else host
    netloc = where if parts.port is None else f"{where}:{parts.port}"
    path = parts.path if parts.path.endswith("/") else f"{parts.path}/"
    return Access(url=urlunsplit((parts.scheme, netloc, path, "", "")), ca=ca, user=user, password=password)


def _parts(url: str, option: str) -> SplitResult:
    try:
        parts = urlsplit(url.strip())
        known = parts.scheme in ("http", "https") and parts.hostname and (parts.port is None or parts.port > 0)
    except ValueError:
        known = False
    if not known or not url.isprintable():
        raise wrong_input(
            option,
            "that is no address of a calendar",
            "write one such as https://calendar.example/sam/hobby-room/",
        )
    return parts


def _from_keyring(host: str, user: str | None) -> tuple[str | None, str | None]:
    """User and password from the system's keyring, where the package `keyring` is installed and knows the host."""
    try:
        keyring: Any = importlib.import_module("keyring")  # an optional package
    except ImportError:
        return user, None
    try:
        found = keyring.get_credential(f"tackfree {host}", user)
    except Exception:  # whatever a locked or missing keyring raises: there are no credentials in it then
        return user, None
    return (user, None) if found is None else (found.username or user, found.password)
