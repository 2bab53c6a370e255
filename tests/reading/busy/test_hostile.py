"""Hostile and broken files: each is read or refused by a process that has 500 MB and 5 seconds of processor time.

The limits are those of the operating system, so nothing here looks at a clock. Wherever a file is read, the one plain
appointment that stands in it is still found.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.reading.busy.calendars import JANUARY, NEW_YORK, calendar
from tests.support.builders import minute
from tests.support.lives import shelf

pytestmark = pytest.mark.long

resource = pytest.importorskip("resource", reason="limits of a process are known to POSIX systems only")

MEMORY = 500 << 20
SECONDS = 5
PLAIN = "UID:plain\nDTSTART:20270109T140000Z\nDTEND:20270109T150000Z"
PLAIN_MINUTES = [minute("2027-01-09 14:00"), minute("2027-01-09 15:00")]

CHILD = """
import json, sys
from pathlib import Path
from zoneinfo import ZoneInfo
from scheduler.errors import InputError
from scheduler.model.basics import Span
from scheduler.reading.busy import read_busy
start, end, *paths = sys.argv[1:]
for path in paths:
    try:
        found = read_busy([Path(path)], Span(int(start), int(end)), ZoneInfo("America/New_York"))
        print(json.dumps({"spans": found.spans, "told": found.warnings}))
    except InputError as error:
        print(json.dumps({"faults": [[fault.message, fault.hint] for fault in error.faults]}))
"""


def limit() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))


def in_a_child(*paths: Path) -> list[dict[str, list[list[object]]]]:
    """What one child makes of the files; it must not die of its limits, nor print anything else."""
    span = (str(minute(day, NEW_YORK)) for day in JANUARY)
    done = subprocess.run(
        [sys.executable, "-c", CHILD, *span, *map(str, paths)],
        capture_output=True,
        text=True,
        preexec_fn=limit,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    return [json.loads(line) for line in done.stdout.splitlines()]


def repeating(rule: str, start: str = "20270101T090000Z", more: str = "") -> str:
    return f"UID:evil\nDTSTART:{start}\nDURATION:PT1H\nRRULE:{rule}{more}"


def numbers(low: int, high: int) -> str:
    return ",".join(map(str, range(low, high)))


def zone(onset: str) -> str:
    return f"BEGIN:VTIMEZONE\nTZID:Z1\n{onset}\nEND:VTIMEZONE"


DAYS = numbers(1, 300)
IN_ZONE = "UID:z\nDTSTART;TZID=Z1:20270301T090000\nDURATION:PT1H"
STANDARD = "BEGIN:STANDARD\nDTSTART:19700101T000000\nTZOFFSETFROM:{0}\nTZOFFSETTO:{0}\n{1}\nEND:STANDARD"
DATES = ",".join(
    f"2027{month:02}{day:02}T{hour:02}0000Z" for month in (1, 2, 3, 4) for day in range(1, 29) for hour in range(24)
)

LEFT_OUT: dict[str, tuple[Callable[[], str], str]] = {
    "by the second": (lambda: calendar(PLAIN, repeating("FREQ=SECONDLY")), "by the minute or second"),
    "by the minute, a billion times": (
        lambda: calendar(PLAIN, repeating("FREQ=MINUTELY;COUNT=1000000000")),
        "by the minute or second",
    ),
    "by the hour since the year 1600": (
        lambda: calendar(PLAIN, repeating("FREQ=HOURLY;UNTIL=99990101T000000Z", "16000101T000000Z")),
        "more than 5000 times",
    ),
    "a billion days": (lambda: calendar(PLAIN, repeating("FREQ=DAILY;COUNT=1000000000")), "COUNT"),
    "an interval of nothing": (lambda: calendar(PLAIN, repeating("FREQ=DAILY;INTERVAL=0")), "INTERVAL"),
    "a rule of exceptions that takes all out": (
        lambda: calendar(PLAIN, repeating("FREQ=DAILY", more="\nEXRULE:FREQ=DAILY")),
        "EXRULE",
    ),
    "lists that multiply": (
        lambda: calendar(
            PLAIN,
            repeating(
                f"FREQ=YEARLY;BYMONTH={numbers(1, 13)};BYMONTHDAY={numbers(1, 32)};BYHOUR={numbers(0, 24)};"
                f"BYMINUTE={numbers(0, 60)};BYSECOND={numbers(0, 60)}"
            ),
        ),
        "too long",
    ),
    "every minute of the day within the limit of lists": (
        lambda: calendar(PLAIN, repeating(f"FREQ=DAILY;BYHOUR={numbers(0, 24)};BYMINUTE={numbers(0, 60)}")),
        "more than 5000 times",
    ),
    "a rule of a million letters": (
        lambda: calendar(PLAIN, repeating("FREQ=DAILY;BYDAY=" + "MO," * 333_333)),
        "2000 characters",
    ),
    "an event of a thousand years": (
        lambda: calendar(PLAIN, "UID:evil\nDTSTART:20270101T000000Z\nDTEND:30270101T000000Z"),
        "400 days",
    ),
    "a duration beyond all numbers": (
        lambda: calendar(PLAIN, f"UID:evil\nDTSTART:20270101T000000Z\nDURATION:P{'9' * 50_000}D"),
        "duration",
    ),
    "a negative duration": (lambda: calendar(PLAIN, "UID:evil\nDTSTART:20270101T000000Z\nDURATION:-P1D"), "duration"),
    "the end of the calendar": (
        lambda: calendar(PLAIN, "UID:evil\nDTSTART:99991231T235959Z\nDURATION:P1D\nRRULE:FREQ=DAILY"),
        "years",
    ),
    "the year nought": (lambda: calendar(PLAIN, repeating("FREQ=DAILY", "00000101T000000Z")), "years"),
    "the 30th of February": (lambda: calendar(PLAIN, "UID:evil\nDTSTART:20270230T000000Z"), "not in the calendar"),
    "digits of another script": (lambda: calendar(PLAIN, "UID:evil\nDTSTART:٢٠٢٧٠١٠١"), "is none"),
    "two and a half thousand dates": (
        lambda: calendar(PLAIN, f"UID:evil\nDTSTART:20270101T000000Z\nDURATION:PT1H\nRDATE:{DATES}"),
        "2000 single dates",
    ),
    "a thousand and one changed dates": (
        lambda: calendar(
            PLAIN,
            *[f"UID:evil\nRECURRENCE-ID:2027010{day}T{hour:02}{minute:02}00Z\nDTSTART:20270101T000000Z\nDURATION:PT1H"
              for day in range(1, 8) for hour in range(24) for minute in range(0, 60, 10)][:1001],
        ),
        "1000 single dates",
    ),
    "a zone that is a way to a file": (
        lambda: calendar(PLAIN, "UID:e\nDTSTART;TZID=../../../../etc/passwd:20270301T090000\nDURATION:PT1H"),
        "nobody knows",
    ),
    "a zone that is a folder": (
        lambda: calendar(PLAIN, "UID:e\nDTSTART;TZID=America:20270301T090000\nDURATION:PT1H"),
        "nobody knows",
    ),
    "a zone with a name of a megabyte": (
        lambda: calendar(PLAIN, f"UID:e\nDTSTART;TZID={'A/' * 500_000}:20270301T090000\nDURATION:PT1H"),
        "no DTSTART",
    ),
    "a clock that changes by the second": (
        lambda: calendar(PLAIN, IN_ZONE, before=zone(STANDARD.format("+0100", "RRULE:FREQ=SECONDLY"))),
        "can't be followed",
    ),
    "a clock that is 99 hours ahead": (
        lambda: calendar(PLAIN, IN_ZONE, before=zone(STANDARD.format("+9900", "X-A:1"))),
        "can't be followed",
    ),
    "a clock without a change": (
        lambda: calendar(PLAIN, IN_ZONE, before=zone("X-A:1")),
        "can't be followed",
    ),
    "a clock with a hundred thousand changes": (
        lambda: calendar(
            PLAIN,
            IN_ZONE,
            before=zone(STANDARD.format("+0100", "\n".join([f"RDATE:{DATES[:50_000]}"] * 33))),
        ),
        "can't be followed",
    ),
}  # fmt: skip

HARMLESS: dict[str, Callable[[], str]] = {
    "a rule that never matches": lambda: calendar(PLAIN, repeating("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30")),
    "two thousand rules that never match": lambda: calendar(
        PLAIN, *[repeating("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30").replace("evil", f"e{n}") for n in range(2000)]
    ),
    "every day since 1600, a thousand times": lambda: calendar(
        PLAIN,
        *[repeating("FREQ=DAILY", "16000101T180000Z").replace("evil", f"e{n}") for n in range(1000)],
    ),
    "an attachment of eight megabytes": lambda: calendar(
        PLAIN + "\nATTACH;ENCODING=BASE64;VALUE=BINARY:" + "\n ".join(["QUFB" * 18] * 100_000)
    ),
    "a title of nine megabytes in one line": lambda: calendar(PLAIN + "\nSUMMARY:" + "x" * 9_000_000),
    "quotes that are never closed": lambda: calendar(
        PLAIN, 'UID:q\nDTSTART;X="' + ':;"' * 20_000 + ":20270301T000000Z\nDTSTART:20270301T000000Z"
    ),
    "things to fetch and to run": lambda: calendar(
        PLAIN + "\nURL:http://127.0.0.1:1/\nATTACH:file:///dev/zero\nIMAGE;VALUE=URI:http://127.0.0.1:1/a.png\n"
        "BEGIN:VALARM\nACTION:PROCEDURE\nTRIGGER:-PT0S\nATTACH:file:///bin/sh\nEND:VALARM",
    ),
    "ends of what never began": lambda: calendar(PLAIN, before="END:VEVENT\nEND:VALARM\n" * 1000),
    "nineteen thousand plain events": lambda: calendar(
        PLAIN, *[f"UID:{n}\nDTSTART:20260{n % 9 + 1}0{n % 7 + 1}T140000Z\nDURATION:PT1H" for n in range(19_000)]
    ),
    "three thousand weekly series": lambda: calendar(
        PLAIN,
        *[
            f"UID:{n}\nDTSTART;TZID=Europe/Berlin:20260107T1{n % 10}0000\nDURATION:PT1H\nRRULE:FREQ=WEEKLY;BYDAY=WE\n"
            "EXDATE;TZID=Europe/Berlin:20261230T120000"
            for n in range(3_000)
        ],
    ),
    "seven thousand zones that nobody knows": lambda: calendar(
        PLAIN, *[f"UID:{n}\nDTSTART;TZID=Zone {n}:20270301T140000\nDURATION:PT1H" for n in range(7_000)]
    ),
}

REFUSED: dict[str, tuple[Callable[[], str | bytes], str]] = {
    "eleven megabytes": (lambda: calendar(PLAIN, "SUMMARY:" + "x" * (11 << 20)), "larger than"),
    "a million empty lines": (lambda: b"BEGIN:VCALENDAR\n" + b"\n" * 1_000_000, "lines"),
    "ten million line ends of an old kind": (lambda: b"BEGIN:VCALENDAR\r" + b"\r" * 9_000_000, "lines"),
    "a pit of parts": (lambda: "BEGIN:VCALENDAR\n" + "BEGIN:X\n" * 100_000, "inside one another"),
    "twenty thousand parts and one": (lambda: "BEGIN:VCALENDAR\n" + "BEGIN:X\nEND:X\n" * 20_000, "20000 parts"),
    "six thousand series of the planned time": (
        lambda: calendar(PLAIN, *[repeating("FREQ=WEEKLY").replace("evil", f"e{n}") for n in range(6_000)]),
        "repeat in the planned time",
    ),
    "counted rules that take a million steps": (
        lambda: calendar(
            PLAIN,
            *[repeating("FREQ=DAILY;COUNT=100000", "17000101T090000Z").replace("evil", f"e{n}") for n in range(999)],
        ),
        "too long to follow",
    ),
    "hundreds of clocks with rules": (
        lambda: calendar(
            PLAIN,
            *[IN_ZONE.replace("Z1", f"Y{n}") for n in range(2_000)],
            before="\n".join(
                zone(STANDARD.format("+0100", f"RRULE:FREQ=YEARLY;BYYEARDAY={DAYS}")).replace("Z1", f"Y{n}")
                for n in range(2_000)
            ),
        ),
        "too long to follow",
    ),
    "lines of dates without end": (
        lambda: calendar(PLAIN, "DTSTART:20270101T000000Z\n" + "RDATE:20270102T000000Z\n" * 300_000),
        "lines of dates",
    ),
    "UTF-16": (lambda: calendar(PLAIN).encode("utf-16"), "UTF-16"),
    "UTF-16 without a mark": (lambda: calendar(PLAIN).encode("utf-16-le"), "UTF-16"),
    "noise": (lambda: bytes(range(1, 256)) * 1000, "no calendar"),
}  # fmt: skip


CHANGES = ",".join(f"20{year}0{month}01T000000" for year in range(10, 60) for month in range(1, 10))
WORST: dict[str, Callable[[], str]] = {
    "three hundred thousand periods in lists of busy times": lambda: calendar(
        PLAIN,
        before="\n".join(
            "BEGIN:VFREEBUSY\nFREEBUSY:"
            + ",".join(f"202701{1 + n % 28:02}T{n % 24:02}{n % 60:02}00Z/PT1H" for n in range(2_700))
            + "\nEND:VFREEBUSY"
            for _ in range(130)
        ),
    ),
    "a clock of the file's own with hundreds of changes, under three thousand series": lambda: calendar(
        PLAIN,
        *[f"UID:e{n}\nDTSTART;TZID=Z1:20270101T090000\nDURATION:PT1H\nRRULE:FREQ=DAILY" for n in range(3_000)],
        before=zone(STANDARD.format("+0100", f"RDATE:{CHANGES}")),
    ),
    "every day of every week of the year, four thousand times": lambda: many(
        4_000, f"FREQ=YEARLY;BYWEEKNO={numbers(1, 54)};BYDAY=MO,TU,WE,TH,FR,SA,SU"
    ),
    "every day of the year since 1601, a thousand times": lambda: many(
        1_000, f"FREQ=YEARLY;BYYEARDAY={numbers(-366, 0)}", ":16010101T090000Z"
    ),
    "every day in Berlin, five thousand times": lambda: many(
        4_900, "FREQ=DAILY", ";TZID=Europe/Berlin:20270101T090000"
    ),
    "every hour, three hundred times": lambda: many(300, "FREQ=HOURLY;COUNT=4999"),
    "thirty days of February in the calendar named, two thousand times": lambda: many(
        2_000, "RSCALE=GREGORIAN;FREQ=YEARLY;SKIP=FORWARD;BYMONTH=2;BYMONTHDAY=30"
    ),
    "hours that are kept by the day, four thousand times": lambda: calendar(
        PLAIN,
        before="\n".join(
            f"BEGIN:VAVAILABILITY\nPRIORITY:{n % 9}\nDTSTART:20270101T000000Z\nBEGIN:AVAILABLE\nUID:a{n}\n"
            "DTSTART:20270101T090000Z\nDTEND:20270101T170000Z\nRRULE:FREQ=DAILY\nEND:AVAILABLE\nEND:VAVAILABILITY"
            for n in range(4_000)
        ),
    ),
    "many thousand zones with names of cities": lambda: calendar(
        PLAIN,
        *[f'UID:{n}\nDTSTART;TZID="(UTC+01:00) Rome, Bern {n}":20270301T140000\nDURATION:PT1H' for n in range(6_900)],
    ),
    "six thousand zones that are written out": lambda: calendar(
        PLAIN,
        *[IN_ZONE.replace("Z1", f"Y{n}") for n in range(6_000)],
        before="\n".join(
            zone(STANDARD.format("+0100", "RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU")).replace("Z1", f"Y{n}")
            for n in range(6_000)
        ),
    ),
    "zones inside one another": lambda: calendar(PLAIN, before="BEGIN:VTIMEZONE\nTZID:Z\n" * 19_000),
    "lines of ten megabytes in folds and quotes": lambda: calendar(
        PLAIN, "UID:q\n" + "\n".join('DTSTART;X="' + '":"' * 21_000 + ":20270301T000000Z\n  " for _ in range(150))
    ),
    "a hundred and fifty thousand invitations": lambda: calendar(
        PLAIN,
        *[
            f"UID:{n}\nDTSTART:20270301T140000Z\nDURATION:PT1H\n"
            + "\n".join(f"ATTENDEE;PARTSTAT=DECLINED:mailto:a{n}-{who}@x.example" for who in range(8))
            for n in range(19_000)
        ],
    ),
}  # fmt: skip
"""What takes longest of all that was thought of; each is below the limits on its size."""


def many(series: int, rule: str, start: str = ":20270101T090000Z") -> str:
    """So many series of an hour each, by one rule; `start` is what stands behind DTSTART."""
    return calendar(PLAIN, *[f"UID:e{n}\nDTSTART{start}\nDURATION:PT1H\nRRULE:{rule}" for n in range(series)])


def put(folder: Path, text: str | bytes, name: str = "evil") -> Path:
    path = folder / f"{name}.ics"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


@pytest.fixture(scope="module")
def left_out(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, list[list[object]]]]:
    """All files of LEFT_OUT, read by one child: together they keep the limits of one."""
    folder = tmp_path_factory.mktemp("hostile")
    paths = [put(folder, make(), str(number)) for number, (make, _) in enumerate(LEFT_OUT.values())]
    return dict(zip(LEFT_OUT, in_a_child(*paths), strict=True))


@pytest.mark.parametrize("name", LEFT_OUT)
def test_what_can_t_be_used_is_left_out_with_a_warning(
    left_out: dict[str, dict[str, list[list[object]]]], name: str
) -> None:
    found, word = left_out[name], LEFT_OUT[name][1]
    assert found["spans"] == [PLAIN_MINUTES]
    assert len(found["told"]) == 1
    assert word in str(found["told"][0])


@pytest.mark.parametrize("name", HARMLESS)
def test_what_costs_much_elsewhere_is_read(tmp_path: Path, name: str) -> None:
    [found] = in_a_child(put(tmp_path, HARMLESS[name]()))
    assert PLAIN_MINUTES in found["spans"]


@pytest.mark.parametrize("name", REFUSED)
def test_what_no_household_has_is_refused_in_one_fault(tmp_path: Path, name: str) -> None:
    make, word = REFUSED[name]
    [found] = in_a_child(put(tmp_path, make()))
    assert len(found["faults"]) == 1
    message, hint = found["faults"][0]
    assert word in str(message)
    assert hint != ""


def test_no_calendar_takes_longer_than_three_plans(tmp_path: Path) -> None:
    """Whatever is in it, and for as long as a plan may ever look ahead (260 weeks): seconds of the processor, of
    whole processes, against those of the plan of six steps that the calendar would be read for."""
    job = shelf(tmp_path)
    plan = seconds_of(
        "-c", "from scheduler.cli import main; main()", "plan", str(job), "--as-of", "2027-01-04", "--anew"
    )
    span = (str(minute(day, NEW_YORK)) for day in ("2027-01-01", "2032-01-01"))
    code = ["-c", CHILD, *span]
    took = {name: seconds_of(*code, str(put(tmp_path, make()))) for name, make in WORST.items()}
    slow = {name: f"{one / plan:.1f} plans" for name, one in took.items() if one > 3 * plan}
    assert not slow


def seconds_of(*words: str) -> float:
    """What a Python process takes of the processor."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, *words], capture_output=True, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return float(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)


def test_the_limits_do_bite(tmp_path: Path) -> None:
    """The check of the checks: a child that takes more memory or more time does not come back with an answer."""
    for greedy in ("x = bytearray(600 << 20)", "while True: pass"):
        done = subprocess.run([sys.executable, "-c", greedy], capture_output=True, preexec_fn=quick_limit)  # noqa: PLW1510
        assert done.returncode != 0


def quick_limit() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (1, 1))
