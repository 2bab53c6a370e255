"""A step may be named by its id, its title, or a part of either that no other one has."""

from __future__ import annotations

import pytest

from scheduler.diary.naming import named
from scheduler.errors import InputError

TITLES = {
    "sand": "Sand the filler flush",
    "wipe": "Wipe down",
    "first-wipe": "Wipe down after the stripping",
    "white-coat-1": "Chalk white: coat 1 of 2",
    "white-coat-2": "Chalk white: coat 2 of 2",
}


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("sand", "sand"),
        ("Sand", "sand"),
        ("wipe", "wipe"),  # a whole id, though it is also a part of another
        ("Wipe down", "wipe"),  # a whole title, though it is also the beginning of another
        ("stripping", "first-wipe"),
        ("coat 2", "white-coat-2"),
        ("filler", "sand"),
        ("sand filler", "sand"),  # words of a title, in any order, with others between
        ("stripping wipe", "first-wipe"),
    ],
)
def test_a_part_that_only_one_has_is_enough(text: str, meant: str) -> None:
    assert named(text, TITLES, "step", "STEP") == meant


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "white",
            "“white” may be one of 2; name one by its id:\n  `white-coat-1` Chalk white: coat 1 of 2\n  ",
        ),
        ("snad", "the job has no step “snad”; did you mean `sand`?"),
        ("???", "the job has no step “???”; known are `first-wipe`, `sand`, `white-coat-1`, `white-coat-2`, `wipe`"),
        ("wіpe", "the job has no step “wіpe”; did you mean `wipe`? Yours is written with a CYRILLIC SMALL LETTER"),
        ("x" * 500, f"the job has no step “{'x' * 59}…”; known are `first-wipe`"),
    ],
)
def test_what_is_not_clear_is_asked_back(text: str, said: str) -> None:
    """Several: all of them by name. None: the nearest. Exit code 2 either way."""
    with pytest.raises(InputError) as caught:
        named(text, TITLES, "step", "STEP")
    assert str(caught.value).startswith(f"STEP: {said}")
    assert caught.value.exit_code == 2


def test_of_a_long_job_a_few_are_named_and_where_all_are() -> None:
    """Ninety titles fill no screen: three are named, and the command that shows all."""
    titles = {f"wall-{number}-paint": f"Paint wall {number} with everything on it" for number in range(90)}
    with pytest.raises(InputError) as caught:
        named("wallpaper", titles, "step", "STEP")
    assert str(caught.value) == (
        "STEP: the job has no step “wallpaper”; some are `wall-0-paint`, `wall-1-paint`, `wall-10-paint`; "
        "`tackfree plan JOB` shows them all"
    )


def test_what_a_title_quotes_of_another_step_is_not_that_step() -> None:
    """The remedy names in brackets what it mends; who names that means the step itself."""
    titles = {
        "wall-scrape": "Wet it and scrape it off: wall",
        "wall-wash-remedy": "Soak the paste that has dried (Wet it and scrape it off: wall)",
    }
    assert named("wet it and scrape", titles, "step", "STEP") == "wall-scrape"
    assert named("soak the paste", titles, "step", "STEP") == "wall-wash-remedy"
