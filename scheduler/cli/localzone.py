"""The time zone that this machine's clock on the wall shows."""

from __future__ import annotations

import os
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

_LOCALTIME = Path("/etc/localtime")


def local_zone() -> ZoneInfo:
    """The zone that TZ names, or the one that the system is set to; UTC where neither can be told."""
    for name in (os.environ.get("TZ", "").removeprefix(":"), _system_name()):
        try:
            if name:
                return ZoneInfo(name)
        except (ZoneInfoNotFoundError, OSError, ValueError):
            continue
    return ZoneInfo("UTC")


def _system_name() -> str:
    """The name in the system's link to its zone file: what follows `zoneinfo/`."""
    try:
        return str(_LOCALTIME.resolve(strict=True)).partition("/zoneinfo/")[2]
    except OSError:
        return ""
