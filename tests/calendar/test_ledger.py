from __future__ import annotations

import dataclasses
import json
from typing import Any

import pytest
from hypothesis import given, settings

from scheduler.calendar.write import calendar
from scheduler.model.ledger import CalendarEvent, Ledger, from_kept, kept_form
from tests.support.plans import hobby_room, with_step
from tests.telling.texts import titles


def kept(ledger: Ledger) -> Any:
    """As it stands in the file."""
    return json.loads(json.dumps(kept_form(ledger)))


def test_a_ledger_comes_back_from_its_kept_form() -> None:
    ledger = calendar(hobby_room(), remind=30)[1]
    assert from_kept(kept(ledger)) == ledger
    assert from_kept(kept(Ledger())) == Ledger()


@settings(derandomize=True, max_examples=40, deadline=None)
@given(titles)
def test_whatever_the_titles(title: str) -> None:
    ledger = calendar(with_step(hobby_room(), "sand-the-filler", title=title))[1]
    assert from_kept(kept(ledger)) == ledger


def broken(**fields: object) -> object:
    whole = kept(calendar(hobby_room())[1])
    whole["exported"][1].update(fields)
    return whole


@pytest.mark.parametrize(
    ("whole", "why"),
    [
        ([], "is not written as this tackfree writes it"),
        ({"format": 2, "exported": []}, "is not written as this tackfree writes it"),
        ({"format": 1, "exported": [3]}, "under `exported`, `1` is not"),
        (broken(uid=None), "under `exported`, `2`, `uid` is not"),
        (broken(uid="a\r\nb"), "under `exported`, `2` is not"),
        (broken(uid="a b"), "under `exported`, `2` is not"),
        (broken(kind="party"), "under `exported`, `2`, `kind` is not"),
        (broken(sequence=True), "under `exported`, `2`, `sequence` is not"),
        (broken(sequence=1 << 31), "under `exported`, `2`, `sequence` is not"),
        (broken(sequence=-1), "under `exported`, `2` is not"),
        (broken(changed="x"), "under `exported`, `2`, `changed` is not"),
        (broken(withdrawn=0), "under `exported`, `2`, `withdrawn` is not"),
        (broken(steps="abc"), "under `exported`, `2`, `steps` is not"),
        (broken(start="yesterday"), "under `exported`, `2`, `start` is not"),
        (broken(start=5, end=5), "under `exported`, `2` is not"),
    ],
)
def test_a_spoiled_record_is_refused_in_one_sentence(whole: object, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        from_kept(whole)


def test_one_thing_twice_is_refused() -> None:
    whole = kept(calendar(hobby_room())[1])
    whole["exported"].append(whole["exported"][0])
    with pytest.raises(ValueError, match="stands there twice"):
        from_kept(whole)


def test_what_an_earlier_tackfree_kept_is_read() -> None:
    """A field that came later has a default, and takes it: no kept file is refused for a property that is new."""
    ledger = calendar(hobby_room())[1]
    whole = kept(ledger)
    known = {"uid", "kind", "start", "end", "summary", "description", "busy", "steps", "sequence", "changed"}
    for entry in whole["exported"]:
        for name in entry.keys() - known:
            del entry[name]
    again = from_kept(whole)
    assert [each.event.uid for each in again.entries] == [each.event.uid for each in ledger.entries]
    later = [each for each in dataclasses.fields(CalendarEvent) if each.name not in known]
    assert all(each.default is not dataclasses.MISSING for each in later)
