"""A job that says `language: de` is told in German: on the terminal, on the page, in the calendar, step by step."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from scheduler.buying import shopping_list
from scheduler.calendar.write import calendar
from scheduler.living.paging import page_facts
from scheduler.model.asides import Asides
from scheduler.model.facts import Facts
from scheduler.model.plan import Plan
from scheduler.model.shopping import Shopping
from scheduler.model.tradewords import texts_of
from scheduler.pipeline import Made, Wish, make_plan, read
from scheduler.reading import starter_text
from scheduler.reading.profiles import read_trade
from scheduler.reading.tradewords import trade_words
from scheduler.telling.page import page
from scheduler.telling.text.agenda import agenda
from scheduler.telling.text.moves import moves_brief, moves_text, what_moves
from scheduler.telling.text.one_screen import ROWS, one_screen
from scheduler.telling.text.shopping import shopping_text
from scheduler.telling.words import PATTERNS
from tests.cli.running import run
from tests.telling.test_words import ENGLISH, shown

OWN = """
job: Kinderzimmer
start: 2027-03-06
zone: Europe/Berlin
language: de
measures: metric
built: 1958
done by: 2027-03-20
hours:
  - {on: Saturday, from: 9:00, to: 17:00, people: 2, break: 12:00 to 12:30}
  - {on: Sunday, from: 10:00, to: 15:00, quiet: yes}
set-up: 15 min
shared things: {step ladder: 1, nailer: 1}
rooms:
  Zimmer:
    length: 3.6 m
    width: 4.2 m
    height: 2.5 m
    openings:
      Tür: {on: north wall, width: 0.9 m, height: 2.05 m}
    air: {day: 19 °C, night: 15 °C, humidity: 50 %}
on order:
  Regalbrett: {comes: 2027-03-16, order time: 2 weeks}
appointments:
  Elektriker: {on: 2027-03-18, from: 16:00, to: 18:00, in: Zimmer}
scope:
  Zimmer: [clear and protect, put back]
  walls: [patch: {stains: 1}, sand, wipe down, prime]
  Leisten: {along: floor, do: [base, fill, caulk]}
colours:
  Grün: {material: acrylic-latex-wall-paint, on: walls, coats: 2}
  Lack: {material: solvent-alkyd-enamel, on: Leisten, coats: 2}
steps:
  Regal anschrauben: {room: Zimmer, work: 1 h, follows: Grün, needs: Regalbrett, kind: noisy}
"""
"""Written by hand: its words are German, its keys and the names of methods and materials those of the program."""

STARTED = starter_text("panel-wall").replace("measures: US", "measures: metric\nlanguage: de")
"""As `tackfree starter` writes it; its names of the room and its parts are ours."""


@cache
def planned(text: str) -> tuple[Made, Shopping]:
    """The plan of a job file eight days before it begins, with what to buy for it."""
    with TemporaryDirectory() as folder:
        file = Path(folder) / "job.yaml"
        file.write_text(text.replace("den", "Flur") if text == STARTED else text, encoding="utf-8")
        job, trade = read(file)
    made = make_plan(job, trade, Facts(now=job.start - 8 * 1440), Wish(effort=200))
    colours = {colour.id: colour.title for colour in job.colours}
    return made, shopping_list(made.ground.graph, made.plan, made.ground.trade, colours)


def told(text: str) -> Iterator[tuple[str, str]]:
    """All that is told of a job: where, and the words."""
    made, shopping = planned(text)
    plan, asides = made.plan, Asides(shopping=shopping)
    yield "the first screen", one_screen(plan, asides)
    yield "plan --all", agenda(plan)
    yield "buy", shopping_text(shopping, plan)
    later = _later(plan)
    yield "late, in few words", moves_brief(what_moves(plan, later), later)
    yield "late --all", moves_text(what_moves(plan, later), later)
    content, _ = calendar(plan, remind=30, detail="steps", lots=shopping.lots)
    unfolded = content.decode().replace("\r\n ", "")
    for line in unfolded.splitlines():
        name, _, value = line.partition(":")
        if name.partition(";")[0] in ("SUMMARY", "DESCRIPTION", "LOCATION", "CATEGORIES"):
            yield f"the calendar, {name}", value.replace("\\n", " ").replace("\\", "")
    facts = page_facts(made)
    without_sources = re.sub(r'<(span|td) lang="en">.*?</\1>', "", page(plan, facts))
    for words in shown(without_sources):
        yield "the page", html.unescape(words)


def _later(plan: Plan) -> Plan:
    """Another plan of the same job: what began last is not there any more."""
    from dataclasses import replace

    return replace(plan, finish=plan.finish + 1440, steps=plan.steps[:-1])


@cache
def ours() -> tuple[str, ...]:
    """English texts of ours that no German one may hold: those of the trade, and of the sentences, of four words."""
    german, whole = trade_words("de"), PATTERNS["en"].values()
    trade = {text for text in texts_of(read_trade(None).cautions) if len(text.split()) > 3 and german(text) != text}
    pieces = {piece.strip(" .,;:") for pattern in whole for piece in re.split("{[^}]*}", pattern)}
    return tuple(sorted(trade | {piece for piece in pieces if len(piece.split()) > 3}))


@pytest.mark.parametrize("text", [OWN, STARTED], ids=["by hand", "of a starter"])
def test_no_english_is_told_of_a_german_job(text: str) -> None:
    """Neither a sentence of ours nor a single word that German has not, wherever somebody reads or hears it."""
    for place, words in told(text):
        _none_is_english(place, words)


PLAIN = OWN.replace("done by: 2027-03-20\n", "")
COLD = PLAIN.replace("night: 15 °C", "night: 7 °C")
"""Nights in which no coat may lie: there is no plan, and much to say of its air."""

NEVER = PLAIN.replace("quiet: yes}", "quiet: yes, until: 2027-03-07}").replace(
    "break: 12:00 to 12:30}", "until: 2027-03-06}"
)
"""The shelf comes after the last of its hours."""

COMMANDS = (
    "check job.yaml",
    "plan job.yaml --ics plan.ics --all",
    "odds job.yaml --draws 20",
    "sooner job.yaml",
    "leeway job.yaml --weeks 1",
    "late job.yaml regalbrett 2027-03-20 --by-hand",
    "did job.yaml walls-patch --at 2027-03-06T10:00 --took 5h",
    "felt job.yaml walls-patch sand --not-yet --at 2027-03-06T12:00",
    "diary job.yaml",
    "diary job.yaml --note Test",
    "buy job.yaml",
)
AIR = (
    "plan job.yaml",
    "dry acrylic-latex-wall-paint --job job.yaml --from 2027-03-06T12:00",
    "dry acrylic-latex-wall-paint --job job.yaml --from 2027-01-06T12:00 --coats 2 --depth 1mm",
)
"""In their order, on one folder; what they say in English are sources, keys of the file, and what is typed."""


def answers(folder: Path, job: str, *commands: str) -> Iterator[tuple[str, str]]:
    """What each command says on both streams, but for what is typed, written in a file, or cited."""
    folder.mkdir(exist_ok=True)
    (folder / "job.yaml").write_text(job, encoding="utf-8")
    for number, command in enumerate(commands):
        day = "2027-02-26" if number < 6 else "2027-03-06T13:00"
        more = () if command.startswith(("dry", "check")) else ("--as-of", day)
        words = [str(folder / word) if word in ("job.yaml", "plan.ics") else word for word in command.split()]
        ran = run(*words, *more)
        assert ran.code == (job != PLAIN and command.startswith("plan")), ran.err
        text = f"{ran.out}\n{ran.err}".partition("Woher die Zahlen kommen")[0]
        if command.startswith("check"):
            text = "\n".join(line for line in text.splitlines() if not line.startswith("  "))
        text = re.sub(r"in der Auftragsdatei: .*(\n      .*)*", "", text)
        text = re.sub(
            r"tackfree .*|^(touch|dust free|handle|sand|recoat by|recoat|tape|use|full) .*", "", text, flags=re.M
        )
        yield command, text.replace(str(folder), "").replace("job.yaml", "")


@pytest.mark.long
def test_no_command_answers_a_german_job_in_english(tmp_path: Path) -> None:
    """Refused or planned: what is said on the terminal, and beside it, by every command that a job is handed to."""
    never = list(answers(tmp_path / "never", NEVER, "plan job.yaml"))
    said = [*answers(tmp_path, PLAIN, *COMMANDS), *answers(tmp_path / "cold", COLD, *AIR), *never]
    assert "Kein Plan ist möglich." in never[0][1]
    for place, words in said:
        _none_is_english(place, words)


def _none_is_english(place: str, words: str) -> None:
    for line in words.splitlines():
        plain = re.sub(r"`[^`]*`|tackfree \w+|--\w+|[\w.-]+@tackfree", " ", line)
        stray = (ENGLISH - {"person", "film"}) & set(re.findall(r"[a-zäöüß]+", plain.lower()))
        assert not stray, f"{place}: {line.strip()} ({', '.join(sorted(stray))})"
    found = [english for english in ours() if english in words]
    assert not found, f"{place}: {found}"


def test_a_german_job_is_planned_as_the_same_one_in_english() -> None:
    """The language changes words alone: the same steps at the same minutes, the same things to buy."""
    german, bought = planned(OWN)
    english, wanted = planned(OWN.replace("language: de", "language: en"))
    assert [(step.id, step.pieces) for step in german.plan.steps] == [
        (step.id, step.pieces) for step in english.plan.steps
    ]
    assert {(lot.name, lot.net) for lot in bought.lots} == {(lot.name, lot.net) for lot in wanted.lots}


def test_what_a_person_wrote_stays_as_it_is() -> None:
    """Names of the file, whatever language they are in; a part that bears a name of ours has that in German."""
    made, _ = planned(OWN)
    titles = {step.id: step.title for step in made.plan.steps}
    assert titles["regal-anschrauben"] == "Regal anschrauben"
    assert titles["walls-patch"] == "Risse und Dellen spachteln: Wände"
    assert titles["grun-coat-1"] == "Grün: Anstrich 1 von 2"


def test_the_first_screen_fits_in_german_too() -> None:
    """As in English: whoever opens it sees all of it."""
    made, shopping = planned(OWN)
    assert len(one_screen(made.plan, Asides(shopping=shopping)).splitlines()) <= ROWS


def test_a_page_in_another_language_than_its_job_says_so_and_marks_it() -> None:
    """Titles stand in the language of the job: the page says how to have them in its own, a screen reader is told."""
    made, _ = planned(OWN)
    english = page(made.plan, page_facts(made), "en")
    assert "Steps, materials and cautions are in German, the language of the job." in english
    assert "`language: en` in the job file has them in this one." in english
    assert '<h1 id="h-now" lang="de">Kinderzimmer</h1>' in english
    german = page(made.plan, page_facts(made))
    assert '<html lang="de">' in german and ' lang="de"' not in german.partition(">")[2].partition("<body")[2]
