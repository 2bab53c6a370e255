from __future__ import annotations

import json

import pytest
from hypothesis import given, settings

from scheduler.calendar.write import calendar
from scheduler.model.ledger import Ledger, from_json, to_json
from tests.support.plans import hobby_room, with_step
from tests.telling.texts import titles


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
        ("", "can't be read"),
        ("[" * 100000, "can't be read"),
        ("[]", "is not written as this tackfree writes it"),
        ('{"format": 2, "exported": []}', "is not written as this tackfree writes it"),
        ('{"format": 1, "exported": [3]}', "event 1 is not in { }"),
        (broken(uid=None), "event 2 has under `uid`"),
        (broken(uid="a\r\nb"), "event 2 has under `uid`"),
        (broken(kind="party"), "event 2 has under `kind`"),
        (broken(sequence=True), "event 2 has under `sequence`"),
        (broken(sequence=1 << 31), "event 2 has under `sequence`"),
        (broken(changed="x"), "event 2 has under `changed`"),
        (broken(withdrawn=0), "event 2 has under `withdrawn`"),
        (broken(steps="abc"), "event 2 has under `steps`"),
        (broken(start="yesterday"), "event 2 has under `start`"),
        (broken(start=5, end=5), "does not end after it starts"),
    ],
)
def test_a_spoiled_record_is_refused_in_one_sentence(text: str, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        from_json(text)


def test_one_thing_twice_is_refused() -> None:
    whole = json.loads(to_json(calendar(hobby_room())[1]))
    whole["exported"].append(whole["exported"][0])
    with pytest.raises(ValueError, match="stands there twice"):
        from_json(json.dumps(whole))
