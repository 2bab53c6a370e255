"""What a form and its record call by one name is laid down once: nobody copies it by hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import pytest
from pydantic import ValidationError

from scheduler.reading.profileparts import Form, ReadBy, carried


@dataclass(frozen=True, slots=True)
class Brush:
    """A record with a field that the form lays down otherwise."""

    width: int
    bristle: str = "soft"
    grams: int = 0


class BrushForm(Form):
    """As it is written."""

    width: int
    bristle: str = "hard"
    weight: str = ""

    def weighed(self) -> dict[str, int]:
        """The weight in grams."""
        return {"grams": int(self.weight or 0)}


class BoxForm(Form):
    """A form with a record in it, and one with a form in it."""

    brush: Annotated[Brush, ReadBy(BrushForm, BrushForm.weighed)] | None = None
    unread: BrushForm | None = None


@dataclass(frozen=True, slots=True)
class Box:
    """The record of a box."""

    brush: Brush | None = None
    unread: Brush | None = None


def test_a_record_stands_in_a_form_once_it_is_read() -> None:
    """Same names are carried over, the form's default counts, and the rest is made."""
    form = BoxForm.model_validate({"brush": {"width": 50, "weight": "80"}})
    assert form.brush == Brush(width=50, bristle="hard", grams=80)
    assert carried(Box, form) == Box(brush=form.brush)


def test_a_field_that_is_still_a_form_is_noticed() -> None:
    """Whoever forgets to make the record of a new part is told its name."""
    form = BoxForm.model_validate({"unread": {"width": 50}})
    with pytest.raises(TypeError, match="unread"):
        carried(Box, form)


def test_a_fault_lies_where_it_would_lie_without_the_record() -> None:
    """The path to it has no step more, and keys are known from the form."""
    with pytest.raises(ValidationError) as caught:
        BoxForm.model_validate({"brush": {"width": "wide", "colour": "red"}})
    assert sorted(error["loc"] for error in caught.value.errors()) == [("brush", "colour"), ("brush", "width")]
    assert "bristle" in str(BoxForm.model_json_schema())
