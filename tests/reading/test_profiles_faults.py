"""A profile that is wrong is refused at its line and column, with the reason and what would be right."""

import json
from pathlib import Path

import pytest

from scheduler.errors import InputError
from scheduler.reading.profiles import read_trade
from scheduler.reading.shipped import shipped_profiles
from scheduler.reading.yamlfile import load_yaml

SOUND = """\
title: test paint
group: paints
source: the can in my hand
reference: {temp: 77 °F, humidity: 50 %, film: 4 mil}
stages:
  dust_free:
    time: 1 h
    law: water
    exponent: 1
    source: the can in my hand
  recoat:
    time: [2 h, 3 h, 4 h]
    law: film
    exponent: 2
    source: the can in my hand
"""


def write(folder: Path, text: str, name: str = "test-paint.yaml") -> Path:
    path = folder / "profiles" / "materials" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def said(folder: Path) -> list[str]:
    """The faults of a job folder, without the folder's own name."""
    with pytest.raises(InputError) as caught:
        read_trade(folder, [])
    assert caught.value.exit_code == 2
    return [str(fault).replace(f"{folder}/profiles/materials/", "") for fault in caught.value.faults]


def test_the_sound_one_is_read(tmp_path: Path):
    """What the broken siblings below differ from: one value stands for low, typical and high."""
    write(tmp_path, SOUND)
    paint = read_trade(tmp_path, []).material("test-paint")
    assert paint is not None
    dust_free, recoat = paint.stages
    assert (dust_free.low, dust_free.typical, dust_free.high) == (60, 60, 60)
    assert (recoat.low, recoat.typical, recoat.high) == (120, 180, 240)
    assert (paint.temp, paint.humidity) == (25.0, 0.5)
    assert paint.thickness == pytest.approx(4 * 25.4e-6)
    assert paint.limits is None
    assert paint.replaces is None


@pytest.mark.parametrize(
    ("change", "into", "place", "reason", "right"),
    [
        ("source: the can in my hand\nreference", "reference", "1:1", "`source` is missing", "write `source: "),
        (
            "  exponent: 1\n    source: the can in my hand",
            "  exponent: 1",
            "6:3",
            "`source` is missing",
            "write `source: ",
        ),
        ("source: the can in my hand\n  recoat", 'source: "?"\n  recoat', "10:13", "source is empty", "from memory"),
        ("law: film", "law: flim", "13:10", "`flim` is no rate law", "did you mean `film`?"),
        ("  recoat:", "  recaot:", "11:3", "`recaot` is no stage", "did you mean `recoat`?"),
        ("group: paints", "grupo: paints", "2:1", "`grupo` is no key here", "did you mean `group`?"),
        ("    law: film", "    laws: film", "13:5", "`laws` is no key here", "did you mean `law`?"),
        ("[2 h, 3 h, 4 h]", "[2 h, 5 h, 4 h]", "12:11", "do not rise", "the lowest first"),
        ("[2 h, 3 h, 4 h]", "[2 h, 4 h]", "12:11", "neither one value nor three", "low, typical and high"),
        ("[2 h, 3 h, 4 h]", "[2 h, 3 m, 4 h]", "12:17", "`m` may be minutes or metres", "write `min`"),
        ("[2 h, 3 h, 4 h]", "0 min", "12:11", "no time at all", "at least"),
        ("[2 h, 3 h, 4 h]", "30 min", "12:11", "`recoat` comes before `dust_free`", "no shorter than"),
        ("exponent: 2", "exponent: two", "14:15", "`two` is no number", "1.5"),
        ("exponent: 2", "exponent: 7", "14:15", "not from 0 to 3", "check the number"),
        ("77 °F", "77", "4:19", "does not say of which scale", "68 °F"),
        ("50 %", "50", "4:36", "has no unit", "45 %"),
        (", film: 4 mil", "", "4:12", "one of `film`, `depth` and `bead`", "film: 4 mil"),
        ("film: 4 mil", "film: 4 mil, depth: 1 mm", "4:12", "one of `film`, `depth` and `bead`", "film: 4 mil"),
        ("  dust_free:", "  touch:", "6:3", "`dust_free` is missing", "exposed: false"),
        ("law: water", "law: water\n    activation: 48 kJ/mol", "9:17", "takes no activation", "leave this line out"),
        ("law: film", "law: film\n    activation: 48", "14:17", "`48` is no activation", "48 kJ/mol"),
        ("group: paints", "group: paints\nexposed: perhaps", "3:10", "neither yes nor no", "write `yes` or `no`"),
        ("group: paints", "group: paints\nroom_closed_until: use", "3:20", "no stage `use`", "it has: dust_free"),
        ("group: paints", "group: paints\ntitle: again", "3:1", "stands here twice", "keep one"),
        (
            "group: paints",
            "group: paints\nbased_on: acrylic-latex-wal-paint",
            "3:11",
            "no other family",
            "wall-paint`?",
        ),
        (
            "group: paints",
            "group: paints\nbased_on: test-paint",
            "3:11",
            "no other family is called",
            "acrylic-latex-",
        ),
        (
            "stages:",
            "order: {dust_free: after touch, source: x y}\nstages:",
            "5:8",
            "one of them is missing",
            "leave it out",
        ),
        (
            "stages:",
            "spoils: {below: 41 °F, until: dust_free, source: x y}\nstages:",
            "5:9",
            "but no limits",
            "`hold_until`",
        ),
        ("stages:", "spoils: {until: dust_free, source: x y}\nstages:", "5:9", "nothing is said", "`wet: yes`"),
        (
            "stages:",
            "spoils: {below: 41 °F, until: recoat, source: x y}\n"
            "limits: {temp: [50 °F, 90 °F], humidity: 85 %, dew_margin: none, source: x y, hold_until: dust_free}\n"
            "stages:",
            "5:31",
            "it can be spoilt until `recoat`, and the limits hold until `dust_free`",
            "write `hold_until: recoat`",
        ),
        (
            "stages:",
            "spoils: {below: 55 °F, until: recoat, source: x y}\n"
            "limits: {temp: [50 °F, 90 °F], humidity: 85 %, dew_margin: none, source: x y, hold_until: recoat}\n"
            "stages:",
            "5:17",
            "it may be laid where it is spoilt",
            "the lowest temperature of `limits`",
        ),
        (
            "stages:",
            "spoils: {wet: yes, until: recoat, source: x y}\n"
            "limits: {temp: [50 °F, 90 °F], humidity: 85 %, dew_margin: none, source: x y, hold_until: recoat}\n"
            "stages:",
            "5:15",
            "it may be laid where water comes on it",
            "`dew_margin`",
        ),
        ("group: paints", "group: paints\nsold: {us: [1 bucket]}", "3:13", "`bucket` is no unit", "1 gal"),
        ("group: paints", "group: paints\nsold: {litres_per_kg: 1}", "3:23", "has no source", "add a line"),
        (
            "group: paints",
            "group: paints\ncovers: {temp: [80 °F, 90 °F], humidity: 85 %}",
            "3:16",
            "leaves out the reference",
            "hold the reference value",
        ),
        (
            "group: paints",
            "group: paints\nlimits: {temp: [1 C, 9 C], humidity: 85 %, dew_margin: none, source: x, hold_until: use}",
            "3:85",
            "no stage `use`",
            "write one that it has: dust_free, recoat",
        ),
        (
            "  dust_free:",
            "  recoat_by: {time: 7 days, law: film, exponent: 0, source: x}\n  dust_free:",
            "6:14",
            "no remedy",
            "scuff",
        ),
    ],
)
def test_one_mistake_is_shown_where_it_stands(
    tmp_path: Path, change: str, into: str, place: str, reason: str, right: str
):
    assert SOUND.count(change) == 1, "the sibling differs in one place"
    write(tmp_path, SOUND.replace(change, into))
    faults = said(tmp_path)
    (fault,) = (fault for fault in faults if reason in fault)
    where, _, sentence = fault.partition(": ")
    assert where == f"test-paint.yaml:{place}"
    assert right in sentence.partition("; ")[2]
    others = [other for other in faults if other != fault]
    assert all("is missing" in other for other in others), "a key misspelt is a key left out as well"


def test_all_mistakes_of_all_files_are_shown_at_once(tmp_path: Path):
    write(tmp_path, SOUND.replace("law: water", "law: watre").replace("77 °F", "77"))
    write(tmp_path, "- a list\n", "list.yaml")
    write(tmp_path, "", "nothing.yaml")
    write(tmp_path, "a: [1\n", "torn.yaml")
    write(tmp_path, SOUND, "Test Paint.yaml")
    places = [fault.partition(": ")[0] for fault in said(tmp_path)]
    assert places == [
        "Test Paint.yaml",
        "list.yaml:1:1",
        "nothing.yaml:1:1",
        "test-paint.yaml:4:19",
        "test-paint.yaml:8:10",
        "torn.yaml:1:4",
    ]


def test_two_files_of_one_family_and_files_in_the_wrong_place_are_not_passed_over(tmp_path: Path):
    write(tmp_path, SOUND)
    write(tmp_path, SOUND, "test-paint.yml")
    (tmp_path / "profiles" / "other.yaml").write_text(SOUND, encoding="utf-8")
    faults = said(tmp_path)
    assert any("there are two files of `test-paint`" in fault for fault in faults)
    assert any("other.yaml: nothing is read from this place" in fault for fault in faults)


def test_families_that_are_based_on_each_other_are_refused(tmp_path: Path):
    write(tmp_path, "based_on: second\n", "first.yaml")
    write(tmp_path, "based_on: first\n", "second.yaml")
    assert said(tmp_path)[0].startswith("first.yaml:1:11: `") or "based on this family" in said(tmp_path)[0]


def test_a_wrong_tape_or_caution_is_refused(tmp_path: Path):
    folder = tmp_path / "profiles"
    folder.mkdir()
    (folder / "tape.yaml").write_text("clean_for: 14 days\npull_by: 24 h\nsource: x\n", encoding="utf-8")
    (folder / "cautions.yaml").write_text("cautions: [{text: a, kind: dsty, source: b}]\n", encoding="utf-8")
    faults = said(tmp_path)
    assert any("tape.yaml:1:1: `remedy` is missing" in fault for fault in faults)
    assert any("cautions.yaml:1:28: `dsty` is no kind of caution; did you mean `dusty`?" in fault for fault in faults)


JUNK = [None, "x", "-1", "nan", "1e400", "50 °F", [], {}, ["a", "b", "c"], [["1 h"]]]


def paths_in(data: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    found = [path] if path else []
    if isinstance(data, dict):
        for key, part in data.items():
            found += paths_in(part, (*path, key))
    elif isinstance(data, list):
        for number, part in enumerate(data):
            found += paths_in(part, (*path, number))
    return found


def put(data: object, path: tuple[str | int, ...], value: object) -> object:
    if not path:
        return value
    step, *rest = path
    if isinstance(data, dict):
        return {key: put(part, tuple(rest), value) if key == step else part for key, part in data.items()}
    assert isinstance(data, list)
    return [put(part, tuple(rest), value) if number == step else part for number, part in enumerate(data)]


@pytest.mark.long
@pytest.mark.parametrize("junk", JUNK, ids=repr)
def test_whatever_stands_in_a_profile_the_answer_is_a_trade_or_faults_with_a_place(tmp_path: Path, junk: object):
    """Every value of the shipped waterborne alkyd enamel, which has every part, in turn replaced by junk."""
    data, _ = load_yaml(shipped_profiles() / "materials" / "waterborne-alkyd-enamel.yaml", typed=False)
    assert isinstance(data, dict)
    assert isinstance(data["stages"], dict)
    stages = {stage: data["stages"][stage] for stage in ("dust_free", "recoat")}
    refused = 0
    for path in paths_in(data := {**data, "stages": stages}):
        file = write(tmp_path, json.dumps(put(data, path, junk), ensure_ascii=False))
        try:
            read_trade(tmp_path, [])
        except InputError as error:
            refused += 1
            assert error.faults
            assert all(fault.place.file == str(file) and fault.place.line == 1 for fault in error.faults)
            assert all(fault.message and fault.hint for fault in error.faults)
    assert refused
