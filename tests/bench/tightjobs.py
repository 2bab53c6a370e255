"""Random job files with few hours, steps in one piece and longest waits, all invented: many cannot be done."""

from __future__ import annotations

from random import Random

HEAD = """\
job: Tight {number}
zone: Europe/Berlin
measures: metric
start: 2027-05-01
"""
ROOM = "rooms:\n  shed: {air: {day: 20 °C, night: 12 °C, humidity: 50 %}}\n"


def tight_job(number: int) -> str:
    """The text of the job file with this number: two to six steps, one or two kinds of sessions."""
    random = Random(number)
    text = HEAD.format(number=number)
    if random.random() < 0.3:
        text += f"set-up: {random.choice((5, 10, 15))} min\nclear-up: {random.choice((5, 10))} min\n"
    text += "hours:\n"
    helped = random.random() < 0.35
    until = f", until: 2027-05-{random.choice((16, 23, 30))}" if random.random() < 0.25 else ""
    for place, day in enumerate(random.sample(("Saturday", "Sunday", "Wednesday"), random.randint(1, 2))):
        begin = random.choice((480, 510, 600, 1080))
        end = begin + random.choice((120, 180, 240, 300, 420, 510)) if begin < 1080 else begin + 180
        people = ", people: 2" if helped and (not place or random.random() < 0.6) else ""
        text += f"  - {{on: {day}, from: {_clock(begin)}, to: {_clock(end)}{people}{until}}}\n"
    if random.random() < 0.2:
        text += "quiet hours:\n  - {on: every day, from: 12:00, to: 15:00}\n"
    text += ROOM
    ladder = random.random() < 0.3
    if ladder:
        text += "shared things: {ladder: 1}\n"
    late = random.random() < 0.2
    if late:
        text += "on order:\n  board: {comes: 2027-05-" + random.choice(("05", "12", "29")) + "}\n"
    text += "steps:\n"
    names: list[str] = []
    for place in range(random.randint(2, 6)):
        name = f"s{place}"
        text += f"  {name}: {{{_step(random, names, helped=helped, ladder=ladder, late=late)}}}\n"
        names.append(name)
    return text


def _clock(minute: int) -> str:
    return f"{minute // 60}:{minute % 60:02}"


def _step(random: Random, names: list[str], *, helped: bool, ladder: bool, late: bool) -> str:
    said = [f"work: {random.choice((30, 45, 60, 90, 120, 150, 180, 240, 300, 420, 480))} min"]
    pause = random.choice(("no", "no", "no", "20 min", "30 min", "60 min"))
    said.append(f"pause: {pause}")
    if helped and random.random() < 0.25:
        said.append("people: 2")
    if random.random() < 0.15:
        said.append("kind: noisy")
    if ladder and random.random() < 0.4:
        said.append("takes: {ladder: 1}")
    if late and random.random() < 0.3:
        said.append("needs: board")
    if names and random.random() < 0.85:
        follows = []
        for name in random.sample(names, min(len(names), random.choice((1, 1, 1, 2)))):
            how = []
            if random.random() < 0.25:
                how.append(f"wait: {random.choice((30, 60, 120, 1200))} min")
            if random.random() < 0.7:
                least = 0 if not how else int(how[0].split()[1])
                how.append(f"within: {least + random.choice((5, 10, 20, 60, 120, 240))} min")
            follows.append(f"{name}: {{{', '.join(how)}}}" if how else name)
        said.append(f"follows: [{', '.join(follows)}]")
    return ", ".join(said)
