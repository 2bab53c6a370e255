"""What takes no paint is never painted over: a family without a stage for the next coat or for paint."""

from __future__ import annotations

import pytest

from scheduler.errors import InputError
from tests.support.scoped import graph_of, job_of

PAINTED = "colours: {white: {on: frame, material: waterborne-alkyd-enamel, coats: 1}}\n"
DOOR = "{door: {on: south wall, width: 32 in, height: 80 in}}"


@pytest.mark.parametrize(("also", "rest"), [(", prime", ""), (", paint trim", ""), ("", PAINTED)])
def test_silicone_under_primer_or_paint_is_a_fault_where_it_is_named(also: str, rest: str) -> None:
    """Paint does not hold on silicone (a caution of its sheets, common practice)."""
    frame = "frame: {{around: door, do: [caulk: {{caulk: {caulk}}}{also}], measured: {{joints: 17 ft}}}}"
    with pytest.raises(InputError) as refused:
        job_of(frame.format(caulk="neutral-silicone-sealant", also=also), rest, openings=DOOR)
    assert "job.yaml:16:" in str(refused.value)
    assert "`neutral-silicone-sealant` takes no paint" in str(refused.value)
    assert job_of(frame.format(caulk="acrylic-latex-caulk", also=also), rest, openings=DOOR)


def test_silicone_after_all_paint_is_right() -> None:
    graph = graph_of("walls: paint walls\njoint: {length: 9 ft, over: walls, do: seal}")
    assert any(link.before == "walls-coat-2" and link.after == "joint-seal" for link in graph.links)
