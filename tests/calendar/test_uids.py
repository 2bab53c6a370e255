"""Which UIDs are those of a job: every one that it gives, and none of a stranger or of another job."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.calendar.events import events, is_of, uid
from scheduler.model.ledger import Ledger
from scheduler.telling.views.index import Book
from tests.support.plans import hobby_room


def test_every_uid_of_a_plan_is_of_its_job() -> None:
    names = {event.uid for event in events(Book(hobby_room()), Ledger(), None, steps_too=True)}
    kinds = {name.removeprefix("hobby-room-").split("-")[0] for name in names}
    assert kinds >= {"session", "step", "film", "room", "item", "order"}
    assert all(is_of("hobby-room", name) for name in names)
    assert not any(is_of(other, name) for other in ("hobby-room-2", "room", "") for name in names)


def test_a_session_is_never_taken_for_one_of_another_job() -> None:
    """`hobby-room-room-den-use` could be of a job `hobby` as well; what takes up time can not."""
    assert is_of("hobby-room", "hobby-room-session-20270109-1@tackfree")
    assert not is_of("hobby", "hobby-room-session-20270109-1@tackfree")


@given(st.text(min_size=1, max_size=300), st.text(min_size=1, max_size=300))
def test_whatever_job_and_step_are_called(job: str, step: str) -> None:
    """Long names are cut and told apart by a sum; signs that no address holds are spelled out."""
    for name in (uid(job, "film", step, "use"), uid(job, "step", step, "1"), uid(job, "item", step)):
        assert is_of(job, name)
        assert len(name) <= 255
        assert "/" not in name


@pytest.mark.parametrize(
    "name",
    [
        "a1b2@elsewhere.example",
        "shelf@tackfree",
        "shelf-party@tackfree",
        "shelf-session-20270109-1@elsewhere.example",
        "shelf-session-20270109@tackfree",
        "shelf-2-session-20270109-1@tackfree",
        "my-shelf-session-20270109-1@tackfree",
    ],
)
def test_a_stranger_is_none_of_ours(name: str) -> None:
    assert not is_of("shelf", name)
