"""A child's bedroom next weekend, by somebody who has never seen a YAML file: from nothing to a calendar and a list.

In at most five commands and 120 keys, in the US and in Germany. The terminal is played: what is typed is counted with
its Enter.
"""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from tests.cli.running import run
from tests.living.test_commands import done

US = ("", "12 x 10 x 8 ft", "", "walls", "none", "yellow", "", "", "", "", "", "", "", "2 holes", "")
GERMANY = ("", "4,2 x 3,1 x 2,5 m", "", "walls", "none", "gelb", "", "", "", "", "", "", "", "2 holes", "")


@pytest.mark.parametrize(
    ("zone", "answers", "told"), [("America/Chicago", US, "12 ft"), ("Europe/Berlin", GERMANY, "4.2 m")]
)
def test_from_nothing_to_a_calendar_and_a_list(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, zone: str, answers: tuple[str, ...], told: str
) -> None:
    typed = list(answers)
    keys = sum(len(answer) + 1 for answer in answers)

    def answer(prompt: str) -> str:
        return typed.pop(0)

    for module in ("asking", "changing"):  # they take the real function before it is another one here
        import_module(f"scheduler.cli.{module}")
    monkeypatch.setattr("scheduler.cli.shared.is_asked", lambda: True)
    monkeypatch.setattr("scheduler.cli.questions.typed", answer)
    monkeypatch.setattr("scheduler.cli.localzone.local_zone", lambda: ZoneInfo(zone))
    monkeypatch.chdir(tmp_path)
    as_of = ("--as-of", "2026-12-03")
    ran = done(run("starter", "kid", *as_of))
    assert typed == [], "every question was put once: nothing was refused"
    assert f"Room: “kid”, {told}" in ran.out, "what was understood is read back"
    commands = [("plan", "kid", "--ics", "k.ics"), ("buy", "kid")]
    for command in commands:
        ran = done(run(*command, *as_of))
        keys += len(" ".join(("tackfree", *command))) + 1
    assert "to buy" in ran.out
    assert b"BEGIN:VEVENT" in Path("k.ics").read_bytes()
    assert keys + len("tackfree starter kid") + 1 <= 120
