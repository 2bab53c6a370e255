"""What may be meant by a name that is no time zone: one spelt nearly so, or those of the country that it names.

A zone bears the name of one large town. Which time another town keeps stands in no table here, and a zone that only
looks like its name would shift every night of the plan: then none is suggested.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import cache
from importlib import resources
from pathlib import Path
from zoneinfo import TZPATH, ZoneInfo, available_timezones

from scheduler.model.names import slips, slug
from scheduler.told import either, told

NO_ZONES = ("right/", "posix/", "posixrules", "localtime", "Factory")
"""What lies among the zones and is none, or counts leap seconds."""
_MOST = 8
_LONG = 9
"""Letters of a town from which on two slips are forgiven; Bern is not Perth, nor Munich Zurich."""
_OTHER_NAMES = {
    "usa": "US",
    "uk": "GB",
    "great-britain": "GB",
    "england": "GB",
    "scotland": "GB",
    "wales": "GB",
    "holland": "NL",
}
"""Names of countries that iso3166.tab spells otherwise, and their codes there (from memory)."""

_OLD_ZONES = {"US": "US", "Canada": "CA", "Australia": "AU", "Brazil": "BR", "Chile": "CL", "Mexico": "MX"}
_OLD_ZONES |= {"GB": "GB", "GB-Eire": "GB", "Eire": "IE", "NZ": "NZ", "Poland": "PL", "Portugal": "PT", "Japan": "JP"}
_OLD_ZONES |= dict.fromkeys(("EST5EDT", "CST6CDT", "MST7MDT", "PST8PDT", "HST", "Navajo"), "US")
"""Zones by names of before 1993, or what they begin with, and their countries (file `backward` of the tz database,
from memory)."""

_FAHRENHEIT = frozenset({"US", "AS", "GU", "MP", "PR", "UM", "VI", "BS", "BZ", "KY", "PW"})
"""The countries that tell the air in °F: the United States, by Unicode Technical Standard #35, part 2 (General),
"Measurement System Data" (2024), with Puerto Rico and the four others that the table there has for the temperature
alone; the other territories of the United States by their codes in iso3166.tab (common practice, no source)."""


def country_of(zone: str) -> str | None:
    """The country (ISO 3166-1, two letters) whose time a zone is; None if no table says it, as of `Etc/UTC`."""
    known = {row[2]: row[0] for row in _rows("zone.tab")}
    return known.get(zone) or _OLD_ZONES.get(zone.partition("/")[0] if "/" in zone else zone)


def in_fahrenheit(zone: str) -> bool:
    """Whether °F, feet and a clock of 12 hours are usual in the country of a zone; False where no table knows it."""
    return country_of(zone) in _FAHRENHEIT


def country_said(name: str) -> str | None:
    """The country that is meant by its name or its two letters; None if it is none."""
    said = slug(name)
    codes = {slug(country): code for code, country in _rows("iso3166.tab")}
    code = said.upper() if said.upper() in codes.values() else None
    return _OTHER_NAMES.get(said) or codes.get(said) or code


def countries() -> tuple[str, ...]:
    """The names of the countries that there are."""
    return tuple(country for _, country in _rows("iso3166.tab"))


def zone_meant(name: str) -> str:
    """What to write instead of a name that is no zone."""
    near = _spelt_nearly(name)
    if near is not None:
        return told("did you mean `{near}`?", near=near)
    found = _of_country(name)
    if found:
        some = either(f"`{zone}`" for zone in found[:_MOST])
        return (
            told("write the one of your part of that country: {some}", some=some)
            if len(found) > 1
            else told("did you mean {some}?", some=some)
        )
    if "/" in name and name.partition("/")[0] in {zone.partition("/")[0] for zone in _zones()}:
        return "write the zone of the large town in the same country whose time is kept there"
    return "write its IANA name, such as `America/Denver`"


def _zones() -> list[str]:
    return sorted(zone for zone in available_timezones() if not zone.startswith(NO_ZONES))


def _spelt_nearly(name: str) -> str | None:
    """The zone whose town is spelt so, or nearly so; in the same part of the world if it names one that there is."""
    area, _, town = name.rpartition("/")
    wrong = slug(town)
    if not wrong:
        return None
    allowed = 2 if len(wrong) >= _LONG else 1 if len(wrong) > len("UTC") else 0
    zones = [zone for zone in _zones() if "/" in zone or not area]
    areas = {slug(zone.rpartition("/")[0]) for zone in zones}
    found = [
        (off, slug(area) != slug(zone.rpartition("/")[0]), zone)
        for zone in zones
        if (off := slips(wrong, slug(zone.rpartition("/")[2]))) <= allowed
    ]
    if area and slug(area) in areas:  # where that is right, a town that is not spelt just so lies there too
        found = [each for each in found if each[0] == 0 or not each[1]]
    return min(found)[2] if found else None


def _of_country(name: str) -> list[str]:
    """The zones of the country that a name or the last part of it says, one for each time that is kept there."""
    said = slug(name.rpartition("/")[2])
    codes = {slug(country): code for code, country in _rows("iso3166.tab")}
    code = codes.get(said) or _OTHER_NAMES.get(said)
    there = set(_zones())
    clocks: dict[tuple[timedelta | None, ...], str] = {}
    for row in _rows("zone.tab"):
        if row[0] == code and row[2] in there:
            clocks.setdefault(_clock(row[2]), row[2])  # of a country the table has the zones of most people first
    return list(clocks.values())


def _clock(zone: str) -> tuple[timedelta | None, ...]:
    """How far a zone is from UTC in winter and in summer."""
    return tuple(datetime(2027, month, 15, tzinfo=ZoneInfo(zone)).utcoffset() for month in (1, 7))


@cache
def _rows(table: str) -> tuple[tuple[str, ...], ...]:
    """The lines of a table that comes with the zones, wherever those are; none if it is not there."""
    return tuple(_lines(table))


def _lines(table: str) -> Iterator[tuple[str, ...]]:
    for text in _texts(table):
        yield from (tuple(line.split("\t")) for line in text.splitlines() if line and not line.startswith("#"))
        return


def _texts(table: str) -> Iterator[str]:
    for folder in TZPATH:
        try:
            yield (Path(folder) / table).read_text("utf-8")
        except OSError:
            continue
    try:
        yield resources.files("tzdata.zoneinfo").joinpath(table).read_text("utf-8")
    except (OSError, ModuleNotFoundError):
        return
