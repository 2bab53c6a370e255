"""A job as a person writes it becomes the job of the model, field by field."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import jsonschema
import pytest

from scheduler.errors import InputError, Place
from scheduler.model.after import After
from scheduler.model.basics import Estimate
from scheduler.model.beware import Beware
from scheduler.model.job import Away, Border, Hours, Item, Job, QuietHours, Reading, SharedThing
from scheduler.reading import KINDS, job_schema, read_job, read_job_text, starter_text
from scheduler.reading.yamlfile import parse_yaml
from tests.reading.jobs import GOOD, changed, without

ROOT = Path(__file__).parents[2]
DENVER = ZoneInfo("America/Denver")


@pytest.fixture(scope="module")
def job() -> Job:
    """The good job."""
    return read_job_text(GOOD, "job.yaml")


def test_the_head(job: Job) -> None:
    """Name, start, zone and the rest of the head. Midnight of 9 January in Denver is 07:00 UTC (UTC−7)."""
    assert (job.id, job.name, job.zone) == ("hobby-room", "Hobby room", "America/Denver")
    assert job.start * 60 == datetime.fromisoformat("2027-01-09T07:00+00:00").timestamp()
    assert (job.metric, job.clock24, job.built) == (False, False, 1964)
    assert job.done_by == date(2027, 3, 15)
    assert (job.set_up, job.clear_up) == (15, 20)
    assert job.place == Place("job.yaml", 1, 1)


def test_hours_and_days_away(job: Job) -> None:
    """Hours in minutes of the day: 8:30 is 510, 17:00 is 1020, 6:30 pm is 1110, 21:00 is 1260."""
    assert job.hours == (
        Hours(weekdays=frozenset({5}), start=510, end=1020, people=2, breaks=((720, 765),)),
        Hours(
            weekdays=frozenset({1, 3}),
            start=1110,
            end=1260,
            quiet=True,
            first=date(2027, 1, 20),
            last=date(2027, 6, 30),
            counted_from=date(2027, 1, 20),
        ),
    )
    assert job.quiet == (QuietHours(weekdays=frozenset(range(7)), start=1200, end=480),)
    assert job.away == (
        Away(first=date(2027, 2, 13), last=date(2027, 2, 14)),
        Away(first=date(2027, 2, 20), last=date(2027, 2, 20), reason="wedding"),
    )


def test_rooms_and_their_air(job: Job) -> None:
    """68 °F is 20 °C; 60 °F is 15.56 °C; without a humidity of its own a night keeps the day's water."""
    room, hall = job.rooms
    assert (room.id, room.title, room.day_hours) == ("hobby-room", "hobby room", ((480, 1200),) * 7)
    (air,) = room.air
    assert (air.day_temp, air.night_temp) == (20, pytest.approx(15.556, abs=1e-3))
    assert (air.day_humidity, air.night_humidity, air.since) == (0.45, None, None)
    assert (hall.title, hall.day_hours) == ("The hall", ((420, 1320),) * 7)
    assert [air.night_humidity for air in hall.air] == [0.55, None]
    assert hall.air[1].since == date(2027, 2, 1)
    assert hall.place == Place("job.yaml", 35, 3)


def test_days_of_the_week_may_be_german() -> None:
    """A job in German says them so."""
    said = {
        "Samstag": {5}, "[Dienstag, Donnerstags]": {1, 3}, "Sa und So": {5, 6}, "Wochenende": {5, 6},
        "jeden Tag": set(range(7)),
    }  # fmt: skip
    for text, days in said.items():
        assert read_job_text(changed(("on: Saturday", f"on: {text}")), "job.yaml").hours[0].weekdays == days


def test_day_hours_by_the_day_of_the_week() -> None:
    """On the days that no entry names the day's values hold from 8 to 20, as where nothing is said."""
    hours = "day hours: [{on: weekends, hours: 9:00 to 23:00}, {on: [Monday, Friday], hours: 17:00 to 24:00}]"
    hall = read_job_text(changed(("day hours: 7:00 to 22:00", hours)), "job.yaml").rooms[1]
    evening, usual, weekend = (1020, 1440), (480, 1200), (540, 1380)
    assert hall.day_hours == (evening, usual, usual, usual, evening, weekend, weekend)


def test_items_and_things(job: Job) -> None:
    """What is on order with its range; three weeks are 21 days."""
    assert job.items == (
        Item(
            id="doors",
            title="Pair of hinged doors",
            expected=date(2027, 2, 18),
            early=date(2027, 2, 15),
            late=date(2027, 3, 10),
            lead_days=21,
            place=Place("job.yaml", 48, 3),
        ),
    )
    assert job.things == (SharedThing(id="step-ladder", count=1, title="step ladder"),)


def test_steps(job: Job) -> None:
    """Estimates, pieces, kinds, films and what is followed, each with its place."""
    clear, fill, prime = job.steps
    assert clear.work == Estimate(60, 90, 180)
    assert (clear.title, clear.room, clear.people, clear.smallest_piece) == ("Clear the room", "hobby-room", 2, 30)
    assert (clear.dusty, clear.noisy, clear.wet, clear.wipes) == (True, True, False, False)
    assert (clear.needs, clear.takes, clear.cautions) == (
        ("doors",),
        (("step-ladder", 1),),
        (Beware("Wear a respirator."),),
    )
    assert fill.title == "fill"
    assert fill.smallest_piece is None  # it lays a film
    assert fill.lays is not None
    assert (fill.lays.material, fill.lays.coat) == ("filler", 1)
    assert fill.lays.thickness == pytest.approx(25.4e-3 / 16)
    assert fill.lays.place == Place("job.yaml", 66, 22)
    assert fill.after == (After(step="clear", place=Place("job.yaml", 67, 14)),)
    assert prime.after == (
        After(step="clear", place=Place("job.yaml", 73, 9)),
        After(step="fill", stage="sand", wait=60, within=14 * 24 * 60, place=Place("job.yaml", 74, 9)),
    )


def test_colours_and_borders(job: Job) -> None:
    """Colours with what is their own; names of materials become ids; a time left out is no time."""
    white, green = job.colours
    assert (white.id, white.material, white.coats, white.coat) == ("chalk-white", "wall-paint", 2, Estimate.sure(90))
    assert (white.tape, white.pull) == (Estimate.sure(20), Estimate.sure(0))
    assert (green.tape, green.pull) == (Estimate.sure(0), Estimate.sure(10))
    assert green.after == (After(step="prime", wait=240, place=Place("job.yaml", 91, 9)),)
    place = Place("job.yaml", 93, 5)
    assert job.borders == (Border(first="chalk-white", second="deep-green", tape=Estimate.sure(25), place=place),)
    assert job.colour_order == ("chalk-white", "deep-green")


@pytest.mark.parametrize(
    ("long", "short"),
    [
        ("  - on: Saturday\n", "  - on: [Sat]\n"),
        ("on: [Tuesday, Thursday]", "on: Tuesday and Thursday"),
        ("quiet: yes", "quiet: true"),
        ("from: 6:30 pm", "from: 18:30"),
        ("break: 12:00 to 12:45", "break: [noon to 12:45]"),
        ("  - on: 2027-02-20\n    why", "  - on: 2027-02-20 to 2027-02-20\n    why"),
        ("day: 68 °F", "day: 20 C"),
        ("needs: doors", "needs: [Doors]"),
        ("takes: {step ladder: 1}", "takes: step ladder"),
        ("caution: Wear a respirator.", "caution: [Wear a respirator.]"),
        ("lays: primer", "lays: {material: primer}"),
        ("work: 2 h", "work: 120 min"),
        ("    people: 2\n    kind", "    people: 2\n    pause: 30 min\n    kind"),
        ("between: [chalk white, deep green]", "between: chalk white and deep green"),
        ("  fill:\n", "  Fill:\n    title: fill\n"),
        ("start: 2027-01-09", "start: 2027-01-09 0:00"),
        ("measures: US", "measures: us"),
    ],
)
def test_ways_to_write_the_same(long: str, short: str) -> None:
    """Short and long forms, US and metric, capitals and small letters mean the same job."""
    assert _placeless(read_job_text(changed((long, short)), "job.yaml")) == _placeless(
        read_job_text(GOOD, "job.yaml")
    )


def _placeless(record: Any) -> Any:
    """A record as plain data without its places."""
    if hasattr(record, "__dataclass_fields__"):
        names = [name for name in record.__dataclass_fields__ if not name.endswith(("place", "places"))]
        return {name: _placeless(getattr(record, name)) for name in names}
    return [_placeless(part) for part in record] if isinstance(record, tuple) else record


@pytest.mark.parametrize("key", ["done by", "built", "quiet hours", "away", "borders", "colour order"])
def test_an_empty_key_is_a_key_left_out(key: str) -> None:
    """Who comments out all that stands under a key need not comment out the key."""
    left = without(key)
    if key == "borders":  # then nothing is taped off for the second colour, and none touches another
        left = left.replace("    pull tape: 10 min\n", "").replace("colour order: [chalk white, deep green]\n", "")
    assert read_job_text(f"{left}{key}:\n", "job.yaml") == read_job_text(left, "job.yaml")


@pytest.mark.parametrize(
    ("pause", "piece"), [("", 30), ("\n    pause: no", None), ("\n    pause: 1 h", 60), ("\n    pause: 9 h", 120)]
)
def test_pieces(pause: str, piece: int | None) -> None:
    """A step without film may be split into half hours; `no` keeps it whole; no piece is longer than the work."""
    job = read_job_text(
        changed(
            ("    work: 2 h\n    lays: primer\n", f"    work: 2 h{pause}\n"),
            ("- prime: recoat", "- prime"),
        ),
        "j",
    )
    assert job.steps[2].smallest_piece == piece


def test_a_film_is_split_only_where_the_person_says_so() -> None:
    """A wet edge does not wait."""
    job = read_job_text(changed(("    work: 2 h\n", "    work: 2 h\n    pause: 45 min\n")), "j")
    assert [step.smallest_piece for step in job.steps] == [30, None, 45]


def test_one_room_need_not_be_named() -> None:
    """Where there is one room every step is in it."""
    text = (
        "job: x\nstart: 2027-01-09 08:00\nzone: UTC\nmeasures: metric\nhours: {on: weekends, from: 8:30, to: 24:00}\n"
        "rooms: {den: {air: {day: 20 °C, night: 15 °C, humidity: 50 %}}}\nsteps: {a: {work: 1 h}}\n"
    )
    job = read_job_text(text, "j")
    assert job.steps[0].room == "den"
    assert (job.metric, job.clock24) == (True, True)
    assert job.start * 60 == datetime.fromisoformat("2027-01-09T08:00+00:00").timestamp()
    assert job.hours[0].end == 1440


def test_the_clock_is_its_own_choice() -> None:
    """US measures bring the 12-hour clock unless the person wants the other."""
    assert read_job_text(without("clock"), "j").clock24 is False
    assert read_job_text(changed(("clock: 12 h", "clock: 24 h")), "j").clock24 is True


@pytest.mark.parametrize(
    ("zone", "metric"),
    [
        ("America/New_York", False),
        ("Pacific/Honolulu", False),
        ("America/Puerto_Rico", False),
        ("US/Central", False),
        ("America/Belize", False),
        ("Europe/Berlin", True),
        ("Europe/London", True),
        ("America/Toronto", True),
        ("Asia/Yangon", True),
        ("UTC", True),
    ],
)
def test_what_is_printed_is_what_the_country_of_the_zone_uses(zone: str, metric: bool) -> None:
    """°F and 12 h where the country tells its air so (Unicode Technical Standard #35, part 2: US; temperature: BS BZ
    KY PR PW), °C and 24 h elsewhere; what the person says comes first."""
    text = without("measures").replace("clock: 12 h\n", "")
    text = text.replace("zone: America/Denver", f"zone: {zone}")
    left_out = read_job_text(text, "j")
    assert (left_out.metric, left_out.clock24) == (metric, metric)
    said = read_job_text(f"{text}measures: {'US' if metric else 'metric'}\n", "j")
    assert (said.metric, said.clock24) == (not metric, not metric)


def test_a_colour_may_be_followed_by_its_name() -> None:
    """A colour ends when its tape is off: its name alone will do; a stage is that of its last coat."""
    step = "  hang:\n    room: hall\n    work: 1 h\n    follows:\n      - chalk white\n      - deep green: use\n"
    job = read_job_text(changed(("colours:\n", f"{step}colours:\n")), "j")
    assert [(after.step, after.stage) for after in job.steps[3].after] == [
        ("chalk-white", None),
        ("deep-green", "use"),
    ]


def test_readings_lie_beside_the_job(tmp_path: Path) -> None:
    """The readings of a room are looked for in the folder of the job file."""
    (tmp_path / "air.csv").write_text("time,temperature °F,humidity %\n2027-01-09 08:00,68,45\n", "utf-8")
    text = changed(("    title: The hall\n", "    title: The hall\n    readings: air.csv\n"))
    (tmp_path / "job.yaml").write_text(text, "utf-8")
    # 08:00 in Denver in January is 15:00 UTC.
    minute = int(datetime.fromisoformat("2027-01-09T15:00+00:00").timestamp()) // 60
    assert read_job(tmp_path / "job.yaml").rooms[1].readings == (Reading(minute=minute, temp=20, humidity=0.45),)


def test_missing_readings_are_a_fault_of_the_line_that_names_them(tmp_path: Path) -> None:
    """A file that is not there is shown where it is named; a bad line in it where it stands."""
    path = tmp_path / "job.yaml"
    path.write_text(changed(("    title: The hall\n", "    title: The hall\n    readings: air.csv\n")), "utf-8")
    with pytest.raises(InputError) as caught:
        read_job(path)
    assert str(caught.value) == f"{path}:37:15: `air.csv`: there is no such file; check the name and the folder"
    (tmp_path / "air.csv").write_text("time,temperature °F,humidity %\n2027-01-09 08:00,68,145\n", "utf-8")
    with pytest.raises(InputError) as caught:
        read_job(path)
    assert str(caught.value) == (
        f"{tmp_path / 'air.csv'}:2:1: `145 %` is more than 100 %; write it in percent, such as `45 %`"
    )


@pytest.mark.parametrize("kind", KINDS)
def test_every_starter_reads(kind: str) -> None:
    """A starter job reads without fault, begins on the day that is asked for, and explains itself."""
    job = read_job_text(starter_text(kind, date(2028, 3, 4)), "starter.yaml")
    assert job.start == int(datetime(2028, 3, 4, tzinfo=DENVER).timestamp()) // 60
    assert starter_text(kind).count("#") > 20


@pytest.mark.parametrize("kind", KINDS)
def test_what_a_starter_leaves_commented_out_reads_too(kind: str) -> None:
    """Every key that the starter shows behind a # is right when the # is taken away."""
    lines = starter_text(kind).splitlines()
    shown = [
        line.replace("# ", "", 1) if line.lstrip().startswith("# ") and _is_key(line) else line for line in lines
    ]
    text = "\n".join(line for line in shown if "readings:" not in line)
    job = read_job_text(text, "starter.yaml")
    assert job.done_by and job.built and job.quiet and job.away and job.items
    assert bool(job.colour_order) == (len(job.colours) > 1)


def _is_key(line: str) -> bool:
    plain = line.lstrip("# ")
    return (
        plain.startswith("- ") or plain.split("#")[0].rstrip().endswith(":") or (": " in plain and plain[0].islower())
    )


def test_an_unknown_starter() -> None:
    """An unknown kind brings the nearest one."""
    with pytest.raises(InputError) as caught:
        starter_text("repaint room")
    assert str(caught.value) == "starter: no starter job is called `repaint room`; did you mean `repaint a room`?"


def test_the_schema_accepts_what_the_reader_accepts() -> None:
    """The JSON Schema is one, describes every key, and accepts good jobs, typed as editors do."""
    schema = job_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    examples = [path.read_text("utf-8") for path in sorted((ROOT / "examples").glob("*/job.yaml"))]
    for text in (GOOD, *(starter_text(kind) for kind in KINDS), *examples):
        data, _ = parse_yaml(text, "job.yaml")
        assert [error.message for error in validator.iter_errors(data)] == []
    shapes = [schema, *schema["$defs"].values()]
    assert all("description" in key for shape in shapes for key in shape["properties"].values())


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("measures: US", "measure: US"),
        ("kind: [dusty, noisy]", "kind: [dusty, nosy]"),
        ("coats: 2\n    one coat: 1 h 30", "coats: 0\n    one coat: 1 h 30"),
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(old: str, new: str) -> None:
    """Unknown keys and words, and numbers out of range, are refused in the editor already."""
    data, _ = parse_yaml(changed((old, new)), "job.yaml")
    assert not jsonschema.Draft202012Validator(job_schema()).is_valid(data)
