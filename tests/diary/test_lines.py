"""A line of the diary says what happened, in a form that people and programs read alike."""

from __future__ import annotations

import json
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.diary.lines import entry_line, read_line
from scheduler.errors import InputError
from scheduler.model.basics import STAGES, Span
from scheduler.model.diary import (
    EVENTS,
    KINDS,
    Air,
    Arrived,
    Bought,
    Did,
    Entry,
    Event,
    Felt,
    Late,
    Left,
    Lost,
    Note,
    Ordered,
    Renamed,
    Skipped,
    Undone,
    by_todays_names,
    living,
)
from tests.support.lives import ZONE, moment

AT = moment("2027-01-09 14:00")
minutes = st.integers(moment("2001-01-01"), moment("2199-01-01"))
names = st.text(st.characters(exclude_categories=["Cs"]), min_size=1).filter(lambda text: bool(text.strip()))
days = st.dates(date(2000, 1, 1), date(2199, 12, 31))


@st.composite
def spans(draw: st.DrawFn) -> Span:
    start = draw(minutes)
    return Span(start, start + draw(st.integers(1, 10_000)))


@st.composite
def pieces(draw: st.DrawFn) -> tuple[Span, ...]:
    at = draw(minutes)
    found = []
    for length, gap in draw(st.lists(st.tuples(st.integers(1, 600), st.integers(0, 3000)), min_size=1, max_size=4)):
        found.append(Span(at, at + length))
        at += length + gap
    return tuple(found)


EACH = (
    st.builds(Did, step=names, pieces=pieces()),
    st.builds(Left, step=names, pieces=pieces(), left=st.integers(1, 9999)),
    st.builds(Felt, step=names, stage=st.sampled_from(STAGES), minute=minutes, reached=st.booleans()),
    st.builds(Undone, line=st.integers(1, 9999)),
    st.builds(Late, item=names, expected=days),
    st.builds(Arrived, item=names, on=days),
    st.builds(Ordered, thing=names, on=days),
    st.builds(Bought, thing=names, on=days, amount=st.one_of(st.none(), st.floats(0, 9000))),
    st.builds(Lost, span=spans()),
    st.builds(Skipped, step=names, span=spans()),
    st.builds(Air, room=names, minute=minutes, temp=st.floats(-40, 60), humidity=st.floats(0.01, 1)),
    st.builds(Note, text=names),
    st.builds(Renamed, kind=st.sampled_from(KINDS), old=names, new=names),
)
events = st.one_of(*EACH)


def test_each_kind_of_event_is_drawn() -> None:
    """So that what is written of a new one is read again as well."""
    assert len(EACH) == len(EVENTS)


@given(event=events, at=minutes, reason=st.one_of(st.just(""), names), command=st.sampled_from([None, 3, 7]))
def test_what_is_written_is_read_again(event: Event, at: int, reason: str, command: int | None) -> None:
    """Every entry survives its line, whatever names and reasons hold, and a line is one line."""
    entry = Entry(line=7, at=at, event=event, reason=reason, command=command)
    line = entry_line(entry, ZONE)
    assert "\n" not in line
    assert read_line(line, "job.diary.jsonl", 7) == entry


def test_a_line_shows_local_times_with_their_offset() -> None:
    """Denver in January is seven hours behind UTC."""
    entry = Entry(line=1, at=AT, event=Did(step="sand", pieces=(Span(AT - 60, AT),)))
    assert json.loads(entry_line(entry, ZONE)) == {
        "at": "2027-01-09T14:00:00-07:00",
        "what": "did",
        "step": "sand",
        "pieces": [["2027-01-09T13:00:00-07:00", "2027-01-09T14:00:00-07:00"]],
    }


GOOD = '{"at": "2027-01-09T14:00:00-07:00", "what": "late", "item": "boards", "expected": "2027-01-23"}'


@pytest.mark.parametrize(
    ("line", "column", "said"),
    [
        ("nonsense", 1, "this is no entry of a diary: a value is missing here"),
        ('{"at": "2027-01-09T14:00:00-07:00", what}', 37, "this is no entry of a diary"),
        ("[1, 2]", 1, "it is not in { }"),
        ("[" * 100_000, 1, "nested too deep"),
        (GOOD.replace("late", "lata"), 45, "`lata` is no kind of entry; did you mean `late`?"),
        (GOOD.replace("expected", "expectd"), 71, "an entry `late` has no `expectd`; did you mean `expected`?"),
        (GOOD.replace(', "expected": "2027-01-23"', ""), 1, "`expected` is missing"),
        (GOOD.replace("2027-01-23", "23 January"), 83, "`expected` is no day"),
        (GOOD.replace("2027-01-23", "1927-01-23"), 83, "`expected` is no day"),
        (GOOD.replace('"boards"', "17"), 61, "`item` is no text"),
        (GOOD.replace("-07:00", ""), 8, "`at` holds what is no time"),
        (GOOD.replace('"item"', '"what": "late", "item"'), 45, "`what` stands twice"),
    ],
)
def test_what_is_wrong_in_a_line_is_said_with_its_column(line: str, column: int, said: str) -> None:
    """One fault: file, line, column, what is wrong. The columns are counted by hand, from 1."""
    with pytest.raises(InputError) as caught:
        read_line(line, "job.diary.jsonl", 3)
    (fault,) = caught.value.faults
    assert (fault.place.file, fault.place.line, fault.place.column) == ("job.diary.jsonl", 3, column), str(fault)
    assert said in str(fault)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ('"what": "did", "step": "sand", "pieces": []', "`pieces` is empty"),
        ('"what": "did", "step": "sand", "pieces": [["a"]]', "no list of pairs"),
        (
            '"what": "did", "step": "sand", "pieces": [["2027-01-09T14:00Z", "2027-01-09T13:00Z"]]',
            "ends before it begins",
        ),
        ('"what": "lost", "from": "2027-01-09T14:00Z", "to": "2027-01-09T14:00Z"', "ends before it begins"),
        (
            '"what": "felt", "step": "a", "stage": "toch", "time": "2027-01-09T14:00Z", "reached": true',
            "`toch` is no `stage`; did you mean `touch`?",
        ),
        ('"what": "renamed", "kind": "stop", "old": "a", "new": "b"', "`stop` is no `kind`; did you mean `step`?"),
        ('"what": "undone", "line": 0', "`line` is no whole number from 1 up; write such a number, without quotes"),
        (
            '"what": "undone", "line": true',
            "`line` is no whole number from 1 up; write such a number, without quotes",
        ),
        (
            '"what": "air", "room": "den", "time": "2027-01-09T14:00Z", "celsius": 20, "humidity": 45',
            "from 0.01 to 1",
        ),
    ],
)
def test_values_that_cannot_be_are_refused(fields: str, said: str) -> None:
    """A piece runs forwards, a line number counts from 1, a humidity is a fraction."""
    with pytest.raises(InputError, match=said):
        read_line('{"at": "2027-01-09T14:00Z", ' + fields + "}", "d", 1)


def test_what_is_taken_back_does_not_hold_any_more() -> None:
    """Line 3 takes line 1 back; line 4 takes line 3 back, so that line 1 holds again."""
    note = Note(text="x")
    lines = [Entry(line=n, at=AT, event=event) for n, event in enumerate((note, note, Undone(line=1)), 1)]
    assert [entry.line for entry in living(tuple(lines))] == [2]
    lines.append(Entry(line=4, at=AT, event=Undone(line=3)))
    assert [entry.line for entry in living(tuple(lines))] == [1, 2]


def entries(*events: Event) -> tuple[Entry, ...]:
    return tuple(Entry(line=line, at=AT, event=event) for line, event in enumerate(events, 1))


def arrived(name: str) -> Arrived:
    return Arrived(item=name, on=date(2027, 1, 9))


def items(found: tuple[Entry, ...]) -> list[str]:
    return [entry.event.item for entry in found if isinstance(entry.event, Arrived)]


def renamed(old: str, new: str) -> Renamed:
    return Renamed(kind="item", old=old, new=new)


def test_a_renaming_holds_for_what_was_recorded_before_it_and_one_after_the_other() -> None:
    """`a` was renamed to `b`, that to `c`; another `a` that came later is its own."""
    whole = entries(arrived("a"), renamed("a", "b"), arrived("b"), renamed("b", "c"), arrived("a"))
    assert items(by_todays_names(whole)) == ["c", "c", "a"]


def test_a_renaming_that_was_taken_back_holds_no_more() -> None:
    assert items(by_todays_names(entries(arrived("a"), renamed("a", "b"), Undone(line=2)))) == ["a"]


def test_a_step_and_an_item_of_one_name_are_two_things() -> None:
    assert items(by_todays_names(entries(arrived("a"), Renamed(kind="step", old="a", new="b")))) == ["a"]
