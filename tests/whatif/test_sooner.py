"""What would end a job sooner: every line is held against the changed file, planned from scratch."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from scheduler.model.foresight import Foreseen, Put, Sooner
from scheduler.reading.profiles import read_trade
from scheduler.reading.yamlfile import load_yaml
from scheduler.whatif.changes_hours import hour_changes
from scheduler.whatif.changes_work import work_changes
from scheduler.whatif.job_file import FileKeys
from scheduler.whatif.proposal import Situation
from tests.support.editing import apply_edit
from tests.whatif.jobs import HOBBY_ROOM, IDLE, STUDY, Case, case, written

KINDS = {
    "a part sooner",
    "another material",
    "caulk after the primer",
    "another order of colours",
    "a coat less",
    "warmer nights",
    "warmer day and night",
    "drier air",
    "one more evening",
    "an earlier morning",
    "a helper",
    "a free day",
    "not away",
}

EFFORT = 300
"""Activities placed at most: enough for these jobs, and what is tested is that both plans are sought alike."""


def finish_of(entry: Sooner, one: Case, folder: Path) -> int:
    """The finish of the file with that edit in it, planned from nothing but the file."""
    folder.mkdir(exist_ok=True)
    text = one.file.read_text("utf-8")
    changed = apply_edit(text, entry.edit)
    assert changed != text
    return written(changed, folder, "2027-01-05", EFFORT).made.plan.finish


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> tuple[Case, Foreseen]:
    """The study with all that would end it sooner."""
    one = written(STUDY, tmp_path_factory.mktemp("study"), effort=EFFORT)
    return one, one.foreseen(pairs=True)


def test_every_line_keeps_its_word(study: tuple[Case, Foreseen], tmp_path: Path) -> None:
    """Whoever makes the change in the file gets the finish that was promised, to the minute, or an earlier one."""
    one, found = study
    assert len(found.better) >= 8
    for entry in found.better:
        assert finish_of(entry, one, tmp_path) <= entry.finish, entry.change
        assert entry.saves == one.made.plan.finish - entry.finish > 0


def test_every_pair_keeps_its_word_and_is_better_than_either(study: tuple[Case, Foreseen], tmp_path: Path) -> None:
    """Two changes at once are told only where neither alone does as much."""
    one, found = study
    alone = {entry.change: entry.finish for entry in found.better}
    assert found.pairs
    assert found.pairs_tried >= len(found.pairs)
    for entry in found.pairs[:6]:
        assert finish_of(entry, one, tmp_path) <= entry.finish, entry.change
        assert all(entry.finish < alone[change] for change in entry.changes if change in alone)


@pytest.mark.long
def test_every_line_of_the_hobby_room_keeps_its_word(tmp_path: Path) -> None:
    """The same for a job whose steps come out of a measured room and methods."""
    one = case(HOBBY_ROOM, effort=EFFORT)
    found = one.foreseen()
    assert found.better
    for entry in found.better[::6]:  # some of a kind are as much, day by day
        assert finish_of(entry, one, tmp_path) <= entry.finish, entry.change


def test_all_kinds_of_changes_are_tried(study: tuple[Case, Foreseen]) -> None:
    """The study has a reason for each of them."""
    assert {kind for kind, _ in study[1].tried} >= KINDS


def test_the_best_comes_first(study: tuple[Case, Foreseen]) -> None:
    """By what it saves; of two that save alike the one that takes less of the person's time."""
    order = [(-entry.saves, entry.labour or 0) for entry in study[1].better]
    assert order == sorted(order)


def test_time_of_their_own_is_priced(study: tuple[Case, Foreseen]) -> None:
    """A day off from 9:00 to 18:00 with an hour's break is 8 h; Saturdays an hour earlier cost an hour each."""
    entries = [entry for entry in study[1].better if entry.kind == "a free day"]
    assert entries
    assert {entry.labour for entry in entries} <= {8 * 60}
    mornings = [entry for entry in study[1].better if entry.kind == "an earlier morning"]
    assert all(entry.labour is not None and entry.labour % 60 == 0 for entry in mornings)


def test_where_nothing_helps_that_is_said_with_what_holds(tmp_path: Path) -> None:
    """One hour of work that begins at once cannot end sooner, whatever is changed."""
    found = written(IDLE, tmp_path, "2027-01-11").foreseen(pairs=True)
    assert not found.better
    assert not found.pairs
    assert found.proven == sum(count for _, count in found.tried)
    assert [step.title for step in found.plan.chain()] == ["Put up the shelf"]


GROUPS = """\
job: Trim
start: 2027-01-11
zone: UTC
measures: metric
hours: {on: every day, from: 8:00, to: 18:00}
rooms:
  room: {air: {day: 20 °C, night: 20 °C, humidity: 50 %}}
steps:
  glue: {work: 1 h, lays: polyurethane-wood-glue}
  gaps: {work: 1 h, lays: {material: siliconized-acrylic-caulk, thickness: 6 mm}}
  holes: {work: 1 h, lays: {material: vinyl-spackling, thickness: 3 mm}}
  prime: {work: 1 h, lays: solvent-alkyd-primer}
  trim: {work: 1 h, lays: solvent-alkyd-enamel}
  seal: {work: 1 h, lays: oil-modified-polyurethane}
"""
WAITED = {
    "glue": "handle", "gaps": "paint_over", "holes": "sand", "prime": "recoat", "trim": "touch", "seal": "recoat",
}  # fmt: skip
"""Of each there is a quicker one, as a clear finish of 3 h for one of 9 h. Of those left out nobody says what for."""


def scene_of(one: Case, waited: Mapping[str, str] | None = None) -> Situation:
    """What changes are looked for in: the file as it stands, its plan, and which stage of a step is waited for."""
    data, _ = load_yaml(one.file, typed=False)
    assert isinstance(data, dict)
    keys, trade = FileKeys(data), read_trade(None, None)
    stages = {step: frozenset({stage}) for step, stage in (waited or {}).items()}
    return Situation(job=one.job, filed=one.job, keys=keys, trade=trade, plan=one.made.plan, stages=stages)


def test_only_what_has_no_use_of_its_own_gives_way_to_another_material(tmp_path: Path) -> None:
    """Another caulk, filler, primer or paint does the same. An adhesive and a clear finish were chosen for what they
    are."""
    changed = work_changes(scene_of(written(GROUPS, tmp_path, effort=1), WAITED))
    paths = {part.path[1] for each in changed if each.kind == "another material" for part in each.edit}
    assert paths == {"gaps", "holes", "prime", "trim"}


def test_no_day_off_work_is_asked_for_where_somebody_is_away(tmp_path: Path) -> None:
    """From Monday the 18th to Tuesday the 19th, both included; Wednesday has hours of its own."""
    more = STUDY.replace("away:\n", "away:\n  - 2027-01-18 to 2027-01-19\n")
    changed = hour_changes(scene_of(written(more, tmp_path, effort=1)))
    free = [each.words.partition(" off")[0] for each in changed if each.kind == "a free day"]
    assert free[4:6] == ["Thursday 21 January", "Friday 22 January"]
    assert free[3] == "Friday 15 January"


def test_an_item_that_the_diary_has_moved_is_moved_in_the_diary(tmp_path: Path) -> None:
    """What `late` recorded counts more than the file, so there the advice is the command."""
    from dataclasses import replace
    from datetime import date

    one = written(STUDY, tmp_path)
    data, _ = load_yaml(one.file, typed=False)
    assert isinstance(data, dict)
    later = replace(one.job, items=tuple(replace(item, expected=date(2027, 2, 5)) for item in one.job.items))
    scene = Situation(
        job=later,
        filed=one.job,
        keys=FileKeys(data),
        trade=one.made.ground.trade,
        plan=one.made.plan,
        name="study",
    )
    change = next(change for change in work_changes(scene) if change.kind == "a part sooner")
    assert change.said(scene.words) == "tackfree late study paint 2027-01-29"
    assert change.edit == ()


def test_nothing_is_changed_in_what_has_begun(tmp_path: Path) -> None:
    """A film that is being laid stays of the material that it is."""
    one = written(STUDY, tmp_path)
    data, _ = load_yaml(one.file, typed=False)
    assert isinstance(data, dict)
    scene = Situation(
        job=one.job,
        filed=one.job,
        keys=FileKeys(data),
        trade=read_trade(None, None),
        plan=one.made.plan,
        begun=frozenset({"gaps", "white-coat-1"}),
    )
    changes = list(work_changes(scene))
    assert not [change for change in changes if change.kind == "caulk after the primer"]
    paths = {part.path for change in changes for part in change.edit if isinstance(part, Put)}
    changed = ("lays", "material", "coats", "tape off")
    assert not {path for path in paths if path[1] in ("gaps", "white") and path[-1] in changed}


PATCHED = """\
job: Dents
start: 2027-01-11
zone: UTC
measures: US
hours: {on: every day, from: 8:00, to: 18:00}
rooms:
  room: {length: 3 ft, width: 3 ft, height: 3 ft, air: {day: 20 °C, night: 20 °C, humidity: 50 %}}
scope: {walls: [patch: {share: 10}]}
"""


def test_a_thickness_of_a_method_is_written_as_people_of_these_measures_do(tmp_path: Path) -> None:
    """A dent is filled 1/16 in (1.5875 mm) deep by the method; its step has no `lays` in the file yet."""
    changed = work_changes(scene_of(written(PATCHED, tmp_path, effort=1), {"walls-patch": "sand"}))
    edits = [part for each in changed if each.kind == "another material" for part in each.edit]
    assert {part.value["thickness"] for part in edits if isinstance(part.value, dict)} == {"1/16 in"}
