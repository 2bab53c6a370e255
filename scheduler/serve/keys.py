"""The secrets of a job that is served, and its port: in a file beside the job, for its owner alone.

An address holds a secret of 128 bits, because a calendar program can send nothing else and a QR code opens nothing
else (the OWASP ASVS 5.0, 14.2.1, would have it elsewhere; W3C TAG, Good Practices for Capability URLs). Two secrets
are drawn, one that may write and one that may only look; the others are made of the first, and none tells another.
"""

from __future__ import annotations

import hmac
import json
import os
import secrets
from base64 import urlsafe_b64encode
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256
from pathlib import Path

from scheduler.errors import UnwrittenError, wrong_input
from scheduler.files import sync_folder, write_whole
from scheduler.model.plainform import plain, rich

PORT = 8765
"""Where a job is served that has no port of its own yet."""
SECRET = 16
"""Bytes of a secret; ASVS 7.2.3 asks for 128 bits."""
SIGNS = 22
"""Signs of it in base64url."""
MOST_BYTES = 4096
"""Of the file."""


@dataclass(frozen=True)
class Keys:
    """What opens the pages of one job. `write` and `look` are the secrets of its two addresses. Raises ValueError for
    a port that there is not, or a secret that is too short."""

    port: int
    write: str
    look: str

    def __post_init__(self) -> None:
        if not 0 < self.port < 1 << 16 or min(len(self.write), len(self.look)) < SIGNS:
            raise ValueError

    @cached_property
    def token(self) -> str:
        """What a page sends with each tap. It outlives the server, so that a page left open need not be reloaded."""
        return _made_of(self.write, "token")

    @cached_property
    def house(self) -> str:
        """The secret of the household's feed."""
        return _made_of(self.write, "household")

    @cached_property
    def helper(self) -> str:
        """The secret of the feed of whoever helps in the sessions for two."""
        return _made_of(self.write, "helper")


def keys_file(job: Path) -> Path:
    """Where the keys of a job lie."""
    return job.with_name(f".{job.stem}.serve.json")


def keys_of(job: Path, *, port: int | None, anew: bool) -> Keys:
    """The keys of a job: those that it has, with the port if one is named, or fresh ones.

    Raises InputError for a file that this program did not write, UnwrittenError where none can be written.
    """
    path = keys_file(job)
    known = _read(path)
    if known is not None and not anew and port in (None, known.port):
        with suppress(OSError):
            path.chmod(0o600)
        return known
    usual = known.port if known is not None else PORT
    if known is None or anew:
        fresh = (secrets.token_urlsafe(SECRET), secrets.token_urlsafe(SECRET))
    else:
        fresh = (known.write, known.look)
    keys = Keys(usual if port is None else port, *fresh)
    try:
        _write(path, keys)
    except OSError as error:
        raise UnwrittenError(error, "nothing is served", "see to the rights of the folder, or make room") from None
    return keys


def _made_of(secret: str, what: str) -> str:
    made = hmac.new(secret.encode(), what.encode(), sha256).digest()[:SECRET]
    return urlsafe_b64encode(made).rstrip(b"=").decode()


def _read(path: Path) -> Keys | None:
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES)
    except FileNotFoundError:
        return None
    try:
        return rich(Keys, json.loads(data))
    except (ValueError, RecursionError):
        said, hint = "these are no secrets of a served job", "move the file away: new ones are then made"
        raise wrong_input(str(path), said, hint) from None


def _write(path: Path, keys: Keys) -> None:
    """Never readable for anybody else, not even for the moment in which it is made."""
    content = json.dumps(plain(keys)).encode() + b"\n"
    if not path.exists():
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        os.close(handle)
        sync_folder(path.parent)
    path.chmod(0o600)
    write_whole(path, content)
