"""What is wrong is said in the language of the job, however much of its file is wrong; of no job in the system's."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduler.errors import Fault, Place
from scheduler.told import either, in_words, told
from tests.cli.running import run
from tests.cli.test_loaded import loaded
from tests.support.english import QUOTED

JOB = """\
job: Flur
language: de
start: 2027-03-06
zone: Europe/Berlin
measures: metric
hours:
  - {on: Saturday, from: 9:00, to: 17:00}
rooms:
  Flur: {length: 4 m, width: 1.6 m, height: 2.5 m, air: {day: 20 °C, night: 18 °C, humidity: 50 %}}
scope:
  walls: {do: [prime]}
colours:
  kreideweiß: {on: walls, material: acrylic latex wall paint, coats: 2}
"""
WRONG = {
    "a date": (
        "start: 2027-03-06",
        "start: 2027-02-30",
        "3:8: `2027-02-30` ist kein Tag des Kalenders; Februar 2027 hat die Tage 01 bis 28",
    ),
    "a zone": (
        "Europe/Berlin",
        "Deutschland/Berlin",
        "4:7: `Deutschland/Berlin` ist keine Zeitzone; meint ihr `Europe/Berlin`?",
    ),
    "a key": ("hours:", "stunden:", None),
    "a comma": ("height: 2.5 m", 'height: "2,5 m"', "9:45: in `2,5 m` steht ein Komma; schreibt `2.5 m`"),
    "a unit": (
        "length: 4 m",
        "length: 4",
        "9:18: `4` hat keine Einheit; schreibt sie mit ihrer Einheit, etwa `3.9 m`, `0.1 mm`, `13 ft 2 in`",
    ),
    "a scale": ("night: 18 °C", "night: 18", None),
    "hours that end before": (
        "to: 17:00",
        "to: 9:00",
        "7:36: `to` ist nicht nach `from`; schreibt eine spätere Zeit am selben Tag; Mitternacht ist `24:00`",
    ),
    "a method": (
        "do: [prime]",
        "do: [grundieren]",
        "11:16: ein Verfahren `grundieren` gibt es nicht; tackfree methods listet alle auf",
    ),
    "a part": ("on: walls", "on: wände", None),
    "a material": ("acrylic latex wall paint", "dispersion", None),
    "coats": ("coats: 2", "coats: zwei", "13:70: `zwei` ist keine ganze Zahl; schreibt eine Zahl von 1 bis 10"),
    "a room": ("walls: {do", "walls: {room: Diele, do", "11:17: Raum `Diele` gibt es nicht; bekannt sind `Flur`"),
    "a tab": ("hours:", "\thours:", "6:1: hier steht ein Tabulator; rückt mit Leerzeichen ein"),
    "a quote": ("job: Flur", 'job: "Flur', None),
    "a list": (
        "job: Flur",
        "job: [Flur]",
        "1:6: hier steht eine Liste; schreibt einen Text von bis zu 500 Buchstaben",
    ),
    "nothing to do": (
        "scope:\n  walls: {do: [prime]}\ncolours:\n  kreideweiß: {on: walls, material: acrylic latex wall "
        "paint, coats: 2}\n",
        "",
        None,
    ),
}
"""A passage of the job, what stands there instead, and what is said: None where a list of names ends the line."""


@pytest.mark.parametrize(("old", "new", "said"), WRONG.values(), ids=WRONG)
def test_a_faulty_german_file_is_answered_in_german(old: str, new: str, said: str | None, tmp_path: Path) -> None:
    """Also where the file can't be read as keys and values: `language:` is found in its text. No English is left."""
    file = tmp_path / "job.yaml"
    file.write_text(JOB.replace(old, new, 1), "utf-8")
    done = run("plan", str(tmp_path))
    assert done.code == 2
    assert not done.out
    assert done.err.startswith(f"{file}:")
    assert list(english_in(done.err.replace(str(file), ""))) == []
    if said is not None:
        assert f"{file}:{said}\n" in done.err


def english_in(text: str) -> Iterator[str]:
    """Small words of English outside of quotation marks."""
    yield from re.findall(
        r"\b(?:the|is|no|and|or|write|of|it|this|did|you|here|stands|known)\b", QUOTED.sub("", text)
    )


def test_english_would_be_found() -> None:
    """The same fault in an English job."""
    assert set(english_in("job.yaml:3:8: `4` has no unit; write it with its unit, such as `3.9 m`")) == {
        "no",
        "write",
        "it",
    }


def test_of_no_job_the_system_says_the_language(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that is not there, and a job that says no language: LC_ALL goes before LC_MESSAGES, that before LANG."""
    file = tmp_path / "job.yaml"
    monkeypatch.setenv("LC_ALL", "de_AT.UTF-8")
    assert run("plan", str(file)).err == f"{file}: diese Datei gibt es nicht; prüft den Namen und den Ordner\n"
    file.write_text("job: [Flur]\n", "utf-8")
    assert "hier steht eine Liste" in run("plan", str(file)).err
    monkeypatch.setenv("LC_ALL", "en_GB.UTF-8")
    assert "a list stands here" in run("plan", str(file)).err


def test_an_english_job_is_answered_in_english_everywhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever runs it, and wherever."""
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    (tmp_path / "job.yaml").write_text(JOB.replace("language: de", "language: English").replace("4 m", "4"), "utf-8")
    assert "`4` has no unit" in run("plan", str(tmp_path)).err


def test_what_a_person_wrote_stays() -> None:
    """Between quotation marks nothing is turned, even a word of ours; outside of them ours is."""
    known = {"a {what} `{name}`": "ein {what} `{name}`", "room": "Raum", "{first} or {last}": "{first} oder {last}"}
    assert in_words(told("a {what} `{name}`", what="room", name="room"), known) == "ein Raum `room`"
    assert in_words(either(["`a`", "`b`", "`c`"]), known) == "`a`, `b` oder `c`"
    assert either(["`a`", "`b`", "`c`"]) == "`a`, `b` or `c`"


def test_a_translation_that_does_not_fit_is_refused() -> None:
    """The English sentence is better than none, and than a traceback."""
    sentence = told("no {what} here", what="wall")
    for wrong in ("kein {where}", "kein {what", "kein {0}", "kein {what.there}"):
        assert in_words(sentence, {"no {what} here": wrong}) == "no wall here"
    assert Fault(Place("job.yaml", 1, 2), sentence, "write one").said({}) == "job.yaml:1:2: no wall here; write one"


def test_english_costs_nothing(tmp_path: Path) -> None:
    """Where nothing is said in German, none of it is loaded."""
    (tmp_path / "job.yaml").write_text(JOB.replace("language: de\n", ""), "utf-8")
    assert "scheduler.telling.words.faults_de" not in loaded("check", tmp_path)
