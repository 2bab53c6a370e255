"""What is only shown plays no part in what is planned: an answer of before stands for the same question still."""

from __future__ import annotations

from scheduler.model.graph import Film
from scheduler.planning.reuse import mark_of


def test_the_surfaces_of_a_film_are_no_part_of_the_question() -> None:
    """Their titles are for the picture; a film of another room is another question."""
    film = Film(material="acrylic-primer", coat=1, ratio=1.0, room="den")
    named = Film(material="acrylic-primer", coat=1, ratio=1.0, room="den", surfaces=("walls", "ceiling"))
    other = Film(material="acrylic-primer", coat=1, ratio=1.0, room="hall", surfaces=("walls", "ceiling"))
    assert mark_of(film) == mark_of(named) != mark_of(other)
