"""The answer of `tackfree dry` for other programs, as the schema `dry` in the package has it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from zoneinfo import ZoneInfo

from scheduler.model.drytable import DryAnswer, DryStage
from scheduler.model.material import Material
from scheduler.model.message import Message
from scheduler.model.tradewords import ENGLISH
from scheduler.telling.dates import face_of
from scheduler.telling.machine.json_text import json_text, moment
from scheduler.telling.words import Clocked, Words


def dry_json(answer: DryAnswer, lang: str = ENGLISH) -> str:
    """The stages of the last coat as JSON text; hours count from the start of the first coat."""
    zone, say = ZoneInfo(answer.zone), Words(Clocked(face_of(answer.zone, answer.clock24, lang)), lang).say
    return json_text(
        {
            "material": answer.material.id,
            "family": answer.material.title,
            "start": moment(answer.start, zone),
            "stages": {stage.stage: _stage(answer, stage, zone) for stage in answer.table.stages},
            "spoilt": _spoilt(answer, zone, say),
            "warnings": [
                *map(say, answer.warnings),
                *(f"{say(broken.said)}; {say(broken.cure)}" for broken in answer.hindrances),
            ],
        }
    )


def _spoilt(answer: DryAnswer, zone: ZoneInfo, say: Callable[[Message], str]) -> dict[str, object] | None:
    lost = answer.table.spoilt
    if lost is None or answer.spoilt is None:
        return None
    return {
        "kind": lost.kind,
        "at": moment(lost.at, zone),
        "until_stage": lost.until,
        "said": say(answer.spoilt),
        "source": lost.source,
    }


def families_json(materials: Iterable[Material]) -> str:
    """The families that there are, as JSON text."""
    return json_text([{"material": each.id, "family": each.title, "group": each.group} for each in materials])


def _stage(answer: DryAnswer, stage: DryStage, zone: ZoneInfo) -> dict[str, object]:
    there = stage.reached and answer.complete
    return {
        "hours": round((stage.at - answer.start) / 60, 4) if there else None,
        "at": moment(stage.at, zone) if there else None,
        "law": stage.clock.law,
        "source": stage.clock.source,
    }
