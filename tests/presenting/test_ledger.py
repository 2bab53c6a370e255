from __future__ import annotations

import json

import pytest
from hypothesis import given, settings

from scheduler.model.ledger import Ledger, from_json, to_json
from scheduler.presenting.calendar import calendar
from tests.presenting.texts import titles
from tests.support.plans import hobby_room, with_step


def test_a_ledger_comes_back_from_its_text() -> None:
    ledger = calendar(hobby_room(), remind=30)[1]
    assert from_json(to_json(ledger)) == ledger
    assert from_json(to_json(Ledger())) == Ledger()


@settings(derandomize=True, max_examples=40, deadline=None)
@given(titles)
def test_whatever_the_titles(title: str) -> None:
    ledger = calendar(with_step(hobby_room(), "sand-the-filler", title=title))[1]
    assert from_json(to_json(ledger)) == ledger
    assert to_json(ledger).isascii()


def broken(**fields: object) -> str:
    whole = json.loads(to_json(calendar(hobby_room())[1]))
    whole["exported"][1].update(fields)
    return json.dumps(whole)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "is not JSON"),
        ("[" * 100000, "is not JSON"),
        ("[]", "is not of format 1"),
        ('{"format": 2, "exported": []}', "is not of format 1"),
        ('{"format": 1, "exported": [3]}', "entry 1 is no object"),
        (broken(uid=None), "entry 2 has no text as 'uid'"),
        (broken(uid="a\r\nb"), "entry 2 has no UID"),
        (broken(kind="party"), "entry 2 is of an unknown kind 'party'"),
        (broken(sequence=True), "entry 2 has no whole number as 'sequence'"),
        (broken(changed="x"), "entry 2 has no whole number as 'changed'"),
        (broken(withdrawn=0), "entry 2 has no true or false as 'withdrawn'"),
        (broken(steps="abc"), "entry 2 has no list of texts as 'steps'"),
        (broken(start="yesterday"), "entry 2 has no date as 'start'"),
        (broken(start=5, end=5), "does not end after it starts"),
    ],
)
def test_a_spoiled_record_is_refused_in_one_sentence(text: str, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        from_json(text)


def test_one_thing_twice_is_refused() -> None:
    whole = json.loads(to_json(calendar(hobby_room())[1]))
    whole["exported"].append(whole["exported"][0])
    with pytest.raises(ValueError, match="names one event twice"):
        from_json(json.dumps(whole))
