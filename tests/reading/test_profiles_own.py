"""A person's own profiles/ beside the job file adds to the shipped families, or overrides them and says so."""

from pathlib import Path

import pytest

import scheduler.reading.shipped as shipped
from scheduler.errors import InputError
from scheduler.model.basics import Estimate
from scheduler.model.job import Colour, Job, Lay, Step
from scheduler.reading.profiles import named_in, read_trade
from tests.reading.test_profiles_faults import SOUND, write
from tests.support.spoken import spoken


def test_an_own_family_overrides_the_shipped_one_and_the_plan_can_say_so(tmp_path: Path):
    path = write(tmp_path, SOUND, "acrylic-latex-wall-paint.yaml")
    trade = read_trade(tmp_path, ["acrylic-latex-wall-paint"])
    (paint,) = trade.materials
    assert paint.title == "test paint"
    assert paint.origin == str(path)
    assert paint.replaces == "profiles/materials/acrylic-latex-wall-paint.yaml"
    said = f"{path} replaces the profile acrylic-latex-wall-paint that comes with this program."
    assert [*map(spoken, trade.notes)] == [said]


def test_without_own_families_there_is_nothing_to_say():
    trade = read_trade(None, ["shellac"])
    assert trade.notes == ()
    assert trade.materials[0].replaces is None
    assert trade.materials[0].origin == "profiles/materials/shellac.yaml"


def test_one_number_of_the_can_is_enough_if_the_rest_is_based_on_a_shipped_family(tmp_path: Path):
    write(
        tmp_path,
        "based_on: acrylic-latex-wall-paint\n"
        "stages:\n"
        "  recoat: {time: 4 h, law: film, exponent: 2, source: the can in my hand}\n",
        "acrylic-latex-wall-paint.yaml",
    )
    before = read_trade(None, ["acrylic-latex-wall-paint"]).materials[0]
    after = read_trade(tmp_path, ["acrylic-latex-wall-paint"]).materials[0]
    recoat = after.stage("recoat")
    assert recoat is not None
    assert (recoat.low, recoat.typical, recoat.high, recoat.source) == (240, 240, 240, "the can in my hand")
    assert after.stage("touch") == before.stage("touch")
    assert after.limits == before.limits


def test_an_own_number_that_contradicts_its_base_is_refused_at_its_own_line(tmp_path: Path):
    """The shipped wall paint is dust-free after 30 min to 2 h; coated again after 45 min it would still be wet."""
    write(
        tmp_path,
        "based_on: acrylic-latex-wall-paint\n"
        "title: hasty paint\n"
        "stages:\n"
        "  recoat: {time: 45 min, law: film, exponent: 2, source: the can in my hand}\n",
        "hasty-paint.yaml",
    )
    with pytest.raises(InputError, match=r"hasty-paint\.yaml:4:18: `recoat` comes before `dust_free`"):
        read_trade(tmp_path, [])


def test_a_shipped_family_stays_as_it_is_when_its_base_is_overridden(tmp_path: Path):
    """The siliconized caulk is based on the plain one; an own plain one must not change it."""
    write(tmp_path, SOUND, "acrylic-latex-caulk.yaml")
    names = ["siliconized-acrylic-caulk"]
    assert read_trade(tmp_path, names).material(names[0]) == read_trade(None, names).material(names[0])


def test_own_families_may_stand_on_each_other(tmp_path: Path):
    write(tmp_path, SOUND)
    write(tmp_path, "based_on: test-paint\ntitle: tinted test paint\n", "tinted.yaml")
    tinted = read_trade(tmp_path, []).material("tinted")
    assert tinted is not None
    assert (tinted.title, tinted.group) == ("tinted test paint", "paints")


def test_only_the_families_that_are_named_are_read_and_every_own_one(tmp_path: Path):
    write(tmp_path, SOUND)
    trade = read_trade(tmp_path, ["shellac", "penetrating-oil-floor"])
    assert {material.id for material in trade.materials} == {"shellac", "penetrating-oil-floor", "test-paint"}
    assert len(trade.known) > 30
    assert "test-paint" in trade.known


def test_a_job_names_what_its_steps_and_colours_lay():
    once = Estimate.sure(60)
    job = Job(
        id="j",
        name="j",
        zone="UTC",
        start=0,
        metric=True,
        clock24=True,
        hours=(),
        steps=(
            Step(id="fill", title="Fill", room="r", work=once, lays=Lay(material="vinyl-spackling")),
            Step(id="sand", title="Sand", room="r", work=once),
        ),
        colours=(Colour(id="c", title="C", room="r", material="shellac", coats=1, coat=once, tape=once, pull=once),),
    )
    assert named_in(job) == {"vinyl-spackling", "shellac"}


def test_an_unknown_name_loads_all_so_that_a_hint_can_choose_from_all():
    trade = read_trade(None, ["shelac"])
    assert len(trade.materials) == len(trade.known) > 30
    assert trade.material("shelac") is None


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("acrilic-latex-wal-paint", "acrylic-latex-wall-paint"),
        ("Acrylic latex wall paint", "acrylic-latex-wall-paint"),
        ("shelac", "shellac"),
        ("xyzzy", None),
    ],
)
def test_the_nearest_name_is_offered_and_none_if_none_is_near(typed: str, meant: str | None):
    assert read_trade(None, ["shellac"]).nearest(typed) == meant


def test_own_tape_and_cautions_take_the_place_of_the_shipped_ones(tmp_path: Path):
    folder = tmp_path / "profiles"
    folder.mkdir()
    (folder / "tape.yaml").write_text(
        "clean_for: 60 days\npull_by: 24 h\nsource: the roll\n"
        "remedy: {title: score it, work: 10 min, source: common practice}\n",
        encoding="utf-8",
    )
    trade = read_trade(tmp_path, [])
    assert trade.tape.clean_for == 60 * 24 * 60
    said = f"{folder / 'tape.yaml'} replaces the tape.yaml that comes with this program."
    assert [*map(spoken, trade.notes)] == [said]


def test_a_job_that_lies_beside_the_shipped_folder_overrides_nothing():
    trade = read_trade(shipped.shipped_profiles().parent, ["shellac"])
    assert trade.notes == ()


@pytest.mark.parametrize("inside", [True, False], ids=["in the wheel", "in a checkout"])
def test_the_shipped_folder_is_found_inside_the_package_or_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, inside: bool
):
    package = tmp_path / "scheduler"
    folder = (package if inside else tmp_path) / "profiles"
    folder.mkdir(parents=True)
    (folder / "tape.yaml").touch()
    monkeypatch.setattr(shipped, "_PACKAGE", package)
    assert shipped.shipped_profiles.__wrapped__() == folder


def test_an_installation_without_profiles_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(shipped, "_PACKAGE", tmp_path / "scheduler")
    with pytest.raises(InputError, match="the profiles are missing here; install the package again"):
        shipped.shipped_profiles.__wrapped__()
