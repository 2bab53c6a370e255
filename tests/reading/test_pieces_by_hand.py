"""Into which pieces a step written by hand may be split where nobody says it (common practice, no source)."""

from __future__ import annotations

import pytest

from scheduler.reading.jobfile import read_job_text

JOB = """\
job: Bath
start: 2027-01-09
zone: UTC
hours: {{on: every day, from: 18:00, to: 20:00}}
rooms: {{bath: {{air: {{day: 20 °C, night: 18 °C, humidity: 50 %}}}}}}
steps:
  connect the trap: {{work: {work}}}
"""


@pytest.mark.parametrize(
    ("work", "smallest"),
    [
        ("45 min", None),  # a trap that is begun is closed in the same evening
        ("1 h", None),
        ("1 h to 3 h, likely 60 min", None),
        ("65 min", 30),
        ("45 min, pause: 15 min", 15),  # as it is said
        ("2 h, pause: no", None),
    ],
)
def test_up_to_an_hour_of_work_is_one_piece_unless_the_person_says_otherwise(work: str, smallest: int | None) -> None:
    job = read_job_text(JOB.format(work=work if "likely" not in work else f'"{work}"'), "job.yaml")
    assert job.steps[0].smallest_piece == smallest
