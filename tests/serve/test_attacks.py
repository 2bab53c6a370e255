"""A served job withstands every attack on the list; and each attack succeeds where its defence is taken away."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from scheduler.serve import app, wire
from tests.serve.attacks import ATTACKS
from tests.serve.serving import Served, new_job


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    served = Served(new_job(tmp_path_factory.mktemp("attacked")))
    yield served
    served.end()


@pytest.fixture
def served(house: Served, monkeypatch: pytest.MonkeyPatch) -> Iterator[Served]:
    """With less patience, so that nobody waits for the tests; and nothing remembered of whoever asked before."""
    monkeypatch.setattr(app, "BODY_SECONDS", 0.4)
    monkeypatch.setattr(wire, "HEAD_SECONDS", 0.8)
    house.forget()
    house.said.clear()
    yield house
    house.app.__dict__.pop("_answer", None)


@pytest.mark.parametrize("name", ATTACKS)
def test_an_attack_fails(served: Served, name: str) -> None:
    ATTACKS[name].run(served)


@pytest.mark.parametrize("name", ATTACKS)
def test_an_attack_succeeds_without_its_defence(served: Served, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Else the test above would prove nothing."""
    with monkeypatch.context() as patch:
        ATTACKS[name].broken(patch, served)
        with pytest.raises(AssertionError):
            ATTACKS[name].run(served)


def test_the_list_is_longer_than_that_of_the_reference() -> None:
    """Twenty-eight kinds of attack were known when this was begun."""
    assert len(ATTACKS) > 28
