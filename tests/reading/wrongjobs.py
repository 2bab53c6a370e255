"""Mistakes in a job: a passage of the good job, the wrong one in its place, and the sentence that it must bring.

HERE in the wrong passage marks the line and the column that the fault must name.
"""

from __future__ import annotations

HERE = "‸"

SHAPE = {
    "unknown key": (
        "    people: 2\n    break",
        "    ‸peple: 2\n    break",
        "`peple` is no key here; did you mean `people`?",
    ),
    "unknown key at the top": ("measures: US", "‸measure: US", "`measure` is no key here; did you mean `measures`?"),
    "unknown key in a short mapping": (
        "thickness: 1/16 in",
        "‸thikness: 1/16 in",
        "`thikness` is no key here; did you mean `thickness`?",
    ),
    "missing key, at its mapping": (
        "  fill:\n    room: hobby room\n    work: 45 min\n",
        "  ‸fill:\n    room: hobby room\n",
        "`work` is missing; write `work: 1 h 30 min`",
    ),
    "key without a value": ("work: 45 min", "‸work:", "`work` has no value; write `work: 1 h 30 min`"),
    "list for a text": (
        "title: Clear the room",
        "title: ‸[Clear, the room]",
        "a list stands here; write one text of up to 500 letters",
    ),
    "text for a mapping": (
        "  fill:\n    room: hobby room\n    work: 45 min\n"
        "    lays: {material: filler, thickness: 1/16 in}\n    follows: clear\n",
        "  fill: ‸45 min\n",
        "`45 min` stands here; write keys and values (title, room, work, people)",
    ),
    "two names in one entry": (
        "      - prime: recoat\n",
        "      - ‸{prime: recoat, fill: sand}\n",
        "2 names stand in one entry; write one step in an entry, such as `- glue backer: handle`",
    ),
}

VALUES = {
    "temperature without scale": (
        "night: 60 °F",
        "night: ‸60",
        "`60` does not say of which scale; write its scale, such as `68 °F` or `20 °C`",
    ),
    "temperature in the other scale": (
        "night: 60 °F",
        "night: ‸60.5 °C",
        "`60.5 °C` is no air to work in; write one from -40 °C to 60 °C; `60.5 °C` in the other scale?",
    ),
    "humidity without percent": (
        "night humidity: 55 %",
        "night humidity: ‸55",
        "`55` has no unit; write it in percent, such as `45 %`",
    ),
    "decimal comma": (
        "work: 2 h",
        "work: ‸1,5 h",
        "a comma stands in `1,5 h`; write `1.5 h`",
    ),
    "clock for a duration": (
        "work: 2 h",
        "work: ‸1:30",
        "`1:30` is a time of day; write a duration such as `1 h 30 min`",
    ),
    "minutes or metres": ("set-up: 15 min", "set-up: ‸15 m", "`m` may be minutes or metres; write `min` for minutes"),
    "work in days": (
        "work: 2 h",
        "work: ‸2 days",
        "`2 days`: a day of work has no fixed length; write hours, such as `6 h`",
    ),
    "no work": ("work: 2 h", "work: ‸0 h", "`0 h` is no time at all; write at least `1 min`"),
    "negative work": ("work: 2 h", "work: ‸-2 h", "`-2 h` is negative; write it without the minus"),
    "far too much work": ("work: 2 h", "work: ‸1001 h", "`1001 h` is more than 1000 h of work; split the step"),
    "a number beyond reason": (
        "work: 2 h",
        "work: ‸999999999999999 h",
        "`999999999999999 h` is longer than ten years; check the number and its unit",
    ),
    "range without the likely value": (
        "1 h to 3 h, likely 90 min",
        "‸1 h to 3 h",
        "`1 h to 3 h` does not say what is likely; write it as `1 h to 3 h, likely 90 min`",
    ),
    "likely outside the range": (
        "1 h to 3 h, likely 90 min",
        "‸1 h to 3 h, likely 4 h",
        "4 h is not between 1 h and 3 h; write the shortest time, the longest, and a likely one between them",
    ),
    "part of a person": (
        "    people: 2\n    kind",
        "    people: ‸1.5\n    kind",
        "`1.5` is no whole number; write a number from 1 to 20",
    ),
    "no coat": (
        "    coats: 2\n    one coat: 1 h 30 min",
        "    coats: ‸0\n    one coat: 1 h 30 min",
        "`0` is less than 1; write a number from 1 to 10",
    ),
    "day or month": (
        "start: 2027-01-09",
        "start: ‸03/04/2027",
        "`03/04/2027` leaves open which number is the day and which the month; "
        "write `3 April 2027` or `4 March 2027`",
    ),
    "day that is not in the calendar": (
        "    comes: 2027-02-18",
        "    comes: ‸2027-02-30",
        "`2027-02-30` is no day of the calendar; February 2027 has the days 01 to 28",
    ),
    "month 13": (
        "since: 2027-02-01",
        "since: ‸2027-13-01",
        "`2027-13-01` has no month of the year; months are 01 to 12",
    ),
    "past century": (
        "done by: 2027-03-15",
        "done by: ‸1927-03-15",
        "`1927-03-15` is before 2000; write a year from 2000 to 2199",
    ),
    "year 1": (
        "start: 2027-01-09",
        "start: ‸0001-01-01",
        "`0001-01-01` is before 2000; write a year from 2000 to 2199",
    ),
    "year 9999": (
        "until: 2027-06-30",
        "until: ‸9999-12-31",
        "`9999-12-31` is after 2199; write a year from 2000 to 2199",
    ),
    "after 9999": (
        "start: 2027-01-09",
        "start: ‸10000-01-01",
        "`10000-01-01` is after 2199; write a year from 2000 to 2199",
    ),
    "away backwards": (
        "2027-02-13 to 2027-02-14",
        "‸2027-02-14 to 2027-02-13",
        "`2027-02-14 to 2027-02-13` ends before it begins; write `2027-02-13 to 2027-02-14`",
    ),
    "bare hour": ("from: 8:30", "from: ‸8", "`8` leaves open which half of the day; write `8:00` or `8 pm`"),
    "hour 25": ("to: 17:00", "to: ‸25:00", "`25:00` is no time of day; write it as `8:30`, `18:30` or `6:30 pm`"),
    "noon or midnight": ("from: 6:30 pm", "from: ‸12 pm", "`12 pm` may be noon or midnight; write `noon` or `24:00`"),
    "unknown weekday": (
        "on: [Tuesday, Thursday]",
        "on: [Tuesday, ‸Thirsday]",
        "`Thirsday` is no day of the week; did you mean `Thursday`?",
    ),
    "unknown zone": (
        "America/Denver",
        "‸America/Dever",
        "`America/Dever` is no time zone; did you mean `America/Denver`?",
    ),
    "zone that leads out of its folder": (
        "zone: America/Denver",
        "zone: ‸../../../etc/passwd",
        "`../../../etc/passwd` is no time zone; write its IANA name, such as `America/Denver`",
    ),
    "unknown measures": (
        "measures: US",
        "measures: ‸imperial",
        "`imperial` is not known here; known are `US`, `metric`",
    ),
    "neither yes nor no": ("quiet: yes", "quiet: ‸maybe", "`maybe` is neither yes nor no; write `yes` or `no`"),
    "unknown kind": (
        "kind: [dusty, noisy]",
        "kind: [dusty, ‸noisey]",
        "`noisey` is not known here; did you mean `noisy`?",
    ),
    "unknown stage": ("prime: recoat", "prime: ‸recaot", "`recaot` is no stage of a film; did you mean `recoat`?"),
    "stage at which nothing begins": (
        "prime: recoat",
        "prime: ‸recoat by",
        "at `recoat by` a window closes, nothing begins; write `recoat`",
    ),
    "no thickness": (
        "thickness: 1/16 in",
        "thickness: ‸0 in",
        "`0 in` is no thickness of a film; write one such as `4 mil`, `1/16 in`, `0.1 mm`",
    ),
    "order time of part of a day": (
        "order time: 3 weeks",
        "order time: ‸36 h",
        "`36 h` is no whole number of days; write days or weeks, such as `3 weeks`",
    ),
    "name without a letter": (
        "  hall:",
        "  ‸'***':",
        "`***` has no letter and no digit; write a name of letters or digits",
    ),
    "name of two alphabets": (
        "  hall:",
        "  ‸hаll:",
        "`hаll` mixes alphabets: it holds a CYRILLIC SMALL LETTER A; write the name in one alphabet",
    ),
}

CHECKS = {
    "hours that hold on no day": (
        "    since: 2027-01-20\n    until: 2027-06-30",
        "    since: 2027-01-20\n    until: ‸2027-01-20",
        "there is no such day from 2027-01-20 to 2027-01-20; leave these hours out, or write a later day",
    ),
    "hours that end before the start": (
        "    since: 2027-01-20\n    until: 2027-06-30",
        "    until: ‸2027-01-08",
        "this is before the start on 2027-01-09; leave these hours out, or write a later day",
    ),
    "hours written twice": (
        "    since: 2027-01-20\n    until: 2027-06-30\n",
        "    since: 2027-01-20\n    until: 2027-06-30\n"
        "  - {on: Friday, from: 14:00, to: 16:00}\n  - ‸on: [Friday]\n    from: 14:00\n    to: 16:00\n",
        "these hours are those of entry 3 already; leave them out; `people` says how many are there altogether",
    ),
    "margin without a calendar": (
        "set-up: 15 min",
        "set-up: 15 min\n‸travel margin: 30 min",
        "`travel margin` is for the calendars under `busy`, and there is none; write `busy: ` and a file",
    ),
    "tape to pull where none is": (
        "    tape off: 20 min\n    follows:\n      - prime: recoat\n",
        "    tape off: none\n    follows:\n      - prime: recoat\n"
        "  pale:\n    {room: hall, material: wall paint, coats: 1, one coat: 1 h, ‸pull tape: 5 min}\n",
        "nothing is taped off for `pale`; write `tape off` as well, or leave it out",
    ),
    "colour of the order that touches none": (
        "borders:\n  - between: [chalk white, deep green]\n    tape off: 25 min\n"
        "colour order: [chalk white, deep green]",
        "  pale: {room: hall, material: wall paint, coats: 1, one coat: 1 h}\n"
        "borders:\n  - between: [chalk white, deep green]\n    tape off: 25 min\n"
        "colour order: [chalk white, deep green, ‸pale]",
        "`pale` touches no other colour of the order, so nothing is settled by it; "
        "leave it out of the order, or say where it touches one under `borders`",
    ),
    "name twice in a list": (
        "kind: [dusty, noisy]",
        "kind: [dusty, noisy, ‸dusty]",
        "`dusty` stands here twice; leave one of the two out",
    ),
    "coat of a colour followed while wet": (
        "      - prime: 4 h\n",
        "      - prime: 4 h\n      - ‸chalk white coat 1\n",
        "`chalk white coat 1` lays a film, and nothing says how dry it must be; write `chalk white coat 1: recoat` "
        "or another stage, a time such as `chalk white coat 1: 2 h`, or `chalk white coat 1: end`",
    ),
    "hours that end before they begin": (
        "from: 8:30\n    to: 17:00\n    people: 2\n    break: 12:00 to 12:45",
        "from: 17:00\n    to: ‸8:30\n    people: 2",
        "`to` is not after `from`; write a later time of the same day; midnight is `24:00`",
    ),
    "break outside the hours": (
        "12:00 to 12:45",
        "‸17:30 to 18:00",
        "this break is not inside the hours; write one between `from` and `to`",
    ),
    "hours until before since": (
        "until: 2027-06-30",
        "until: ‸2027-01-19",
        "`until` is before `since`; write the later day under `until`",
    ),
    "quiet that never ends": (
        "from: 20:00\n    to: 8:00",
        "from: 20:00\n    to: ‸20:00",
        "`to` is the same time as `from`; for the whole day write 0:00 and 24:00",
    ),
    "done before the start": (
        "done by: 2027-03-15",
        "done by: ‸2027-01-08",
        "this is before the start on 2027-01-09; write a later day",
    ),
    "built after the start": (
        "built: 1964",
        "built: ‸2064",
        "this is after the start in 2027; write the year of the house",
    ),
    "a day of the week with two day hours": (
        "day hours: 7:00 to 22:00",
        "day hours: [{on: weekdays, hours: 7:00 to 22:00}, {on: ‸Friday, hours: 8:00 to 22:00}]",
        "a day of these has day hours already; name each day of the week once",
    ),
    "second air without a date": (
        "      - day: 70 °F\n        night: 65 °F\n        humidity: 40 %\n        since: 2027-02-01\n",
        "      - ‸day: 70 °F\n        night: 65 °F\n        humidity: 40 %\n",
        "`since` is missing; write `since: ` and the first day of this air",
    ),
    "nothing says when it comes": (
        "  doors:\n    title: Pair of hinged doors\n    comes: 2027-02-18\n"
        "    between: 2027-02-15 and 2027-03-10\n    order time: 3 weeks\n",
        "  ‸doors:\n    title: Pair of hinged doors\n",
        "nothing says when `doors` comes; write `comes: ` and a day",
    ),
    "expected outside its range": (
        "comes: 2027-02-18",
        "comes: ‸2027-03-11",
        "this is not between 2027-02-15 and 2027-03-10; write a day between them, or change `between`",
    ),
    "two names with one id": (
        "  hall:",
        "  ‸Hobby-Room:",
        "`Hobby-Room` is the same name as `hobby room`; name one of them otherwise",
    ),
    "a step and a colour of one name": (
        "colours:\n  chalk white:\n",
        "  Chalk White: {room: hall, work: 1 h}\ncolours:\n  ‸chalk white:\n",
        "`chalk white` is the same name as `Chalk White`; name one of them otherwise",
    ),
    "unknown room": (
        "    title: Clear the room\n    room: hobby room",
        "    title: Clear the room\n    room: ‸hoby room",
        "no room is called `hoby room`; did you mean `hobby room`?",
    ),
    "room left out where there are two": (
        "  clear:\n    title: Clear the room\n    room: hobby room\n",
        "  ‸clear:\n    title: Clear the room\n",
        "`room` is missing, and there is more than one; write `room: hall` or `room: hobby room`",
    ),
    "needs what is not on order": (
        "needs: doors",
        "needs: [doors, ‸hinges]",
        "no item on order is called `hinges`; known are `doors`",
    ),
    "unknown thing": (
        "takes: {step ladder: 1}",
        "takes: {‸step lader: 1}",
        "no shared thing is called `step lader`; did you mean `step ladder`?",
    ),
    "more things than there are": (
        "takes: {step ladder: 1}",
        "takes: {step ladder: ‸2}",
        "this takes 2 of `step ladder`, and there is 1; take fewer, or add to `shared things`",
    ),
    "more people than any hours have": (
        "    people: 2\n    kind",
        "    people: ‸3\n    kind",
        "this takes 3 people, and no hours have more than 2; write fewer, or add hours with more people",
    ),
    "dusty and wet": (
        "kind: [dusty, noisy]",
        "kind: ‸[dusty, wet]",
        "a step can't be dusty and wet; make two steps of it",
    ),
    "unknown step": (
        "      - clear\n",
        "      - ‸claer\n",
        "no step or colour is called `claer`; did you mean `clear`?",
    ),
    "step that follows itself": (
        "      - clear\n",
        "      - ‸prime\n",
        "`prime` follows itself; name the step that comes before it",
    ),
    "film followed without a stage": (
        "prime: recoat",
        "‸prime",
        "`prime` lays a film, and nothing says how dry it must be; "
        "write `prime: recoat` or another stage, a time such as `prime: 2 h`, or `prime: end`",
    ),
    "stage of a step without a film": (
        "      - clear\n",
        "      - clear: ‸handle\n",
        "`clear` lays no film, so it has no stage; write `clear` alone, or a time such as `clear: 2 h`",
    ),
    "window shorter than the wait": (
        "within: 14 days",
        "within: ‸30 min",
        "`within` is shorter than `wait`; write a longer time under `within`",
    ),
    "border with itself": (
        "between: [chalk white, deep green]",
        "between: [chalk white, ‸Chalk White]",
        "`chalk white` has no border with itself; name two colours",
    ),
    "border with an unknown colour": (
        "between: [chalk white, deep green]",
        "between: [chalk white, ‸deep grene]",
        "no colour is called `deep grene`; did you mean `deep green`?",
    ),
    "border between three": (
        "between: [chalk white, deep green]",
        "between: ‸[chalk white, deep green, red]",
        "a border lies between two colours; write `[chalk white, deep green]`",
    ),
    "order of one colour": (
        "colour order: [chalk white, deep green]",
        "‸colour order: [chalk white]",
        "one colour is no order; name two colours or more, or no order",
    ),
}
