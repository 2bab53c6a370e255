"""What is put, removed and left, for any two states of plan and server."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from scheduler.calendar.server.differences import changes
from scheduler.calendar.server.resources import EventThere, Resource, found, resources, times_text
from tests.support.plans import hobby_room

OURS = [f"job-session-2027010{day}-1@tackfree" for day in range(1, 5)]
THEIRS = ["a@elsewhere.example", "other-session-20270101-1@tackfree"]
TIMES = st.sampled_from([(0, 60), (60, 120), (600, 660)])


def resource(uid: str, times: tuple[int, int], text: str) -> Resource:
    return Resource(uid=uid, times=times, digest=f"{times}{text}", body=b"")


def as_put(one: Resource) -> EventThere:
    return EventThere(
        href=one.uid,
        etag=None,
        uid=one.uid,
        times=one.times,
        sent_times=times_text(one.times),
        sent_digest=one.digest,
    )


@st.composite
def plans(draw: st.DrawFn) -> dict[str, Resource]:
    uids = draw(st.sets(st.sampled_from(OURS)))
    return {uid: resource(uid, draw(TIMES), draw(st.sampled_from("ab"))) for uid in sorted(uids)}


def apply(store: dict[str, EventThere], plan: dict[str, Resource], overwrite: bool = False) -> dict[str, EventThere]:
    todo = changes(plan, store.values(), lambda one: one.uid in OURS, {}, overwrite)
    after = dict(store)
    after |= {one.uid: as_put(one) for one, _ in todo.puts}
    for gone in todo.removals:
        del after[gone.uid]
    return after


@given(st.lists(plans(), min_size=1, max_size=4), st.data())
def test_after_any_plans_and_moves_by_hand(several: list[dict[str, Resource]], data: st.DataObject) -> None:
    """What nobody moved is where the last plan has it; what somebody moved is where they put it; strangers stay."""
    strangers = {uid: EventThere(href=uid, etag=None, uid=uid, times=(0, 60)) for uid in THEIRS}
    store, moved = dict(strangers), dict[str, tuple[int, int]]()
    for plan in several:
        store = apply(store, plan)
        assert apply(store, plan) == store  # once more changes nothing
        for uid in sorted(store.keys() & set(OURS)):
            if data.draw(st.integers(0, 3)) == 0:
                to = data.draw(TIMES)
                store[uid] = replace(store[uid], times=to)
                moved[uid] = to
    last = several[-1]
    store = apply(store, last)
    for uid, one in store.items():
        if uid in strangers:
            assert one == strangers[uid]
        elif one.times != (last[uid].times if uid in last else None):
            assert one.times == moved[uid]
    assert last.keys() <= store.keys()
    forced = apply(store, last, overwrite=True)
    assert {uid: one.times for uid, one in forced.items() if uid in OURS} == {
        uid: one.times for uid, one in last.items()
    }


def test_times_that_are_no_news_are_no_move() -> None:
    """A program dropped the mark: the event stands where it was handed out before, so nobody moved it."""
    there = EventThere(href="", etag=None, uid=OURS[0], times=(0, 60))
    plan = {OURS[0]: resource(OURS[0], (600, 660), "a")}
    assert changes(plan, [there], lambda one: True, {OURS[0]: [(0, 60)]}).moved == ()
    assert [move.uid for move in changes(plan, [there], lambda one: True, {}).moved] == OURS[:1]


def test_every_event_becomes_a_resource_that_knows_itself_again() -> None:
    from scheduler.calendar.write import calendar

    file, ledger = calendar(hobby_room(), remind=60)
    made = resources(file, "hobby-room")
    assert made.keys() == {entry.event.uid for entry in ledger.entries}
    for uid, one in made.items():
        back = found("/x", '"1"', one.body.decode())
        assert back is not None
        assert (back.uid, back.times, back.sent_times) == (uid, one.times, times_text(one.times))
        assert (back.job, back.sent_digest) == ("hobby-room", one.digest)
        event = ledger.by_uid()[uid].event
        assert one.times == (event.start, event.end)
    assert resources(file, "hobby-room") == made


BROKEN = {
    "not a calendar": "hello @tackfree",
    "no end": "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:x@tackfree",
    "two events": "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:a@tackfree\nEND:VEVENT\nBEGIN:VEVENT\nUID:b\n"
    "END:VEVENT\nEND:VCALENDAR",
    "somebody else's, who mentions us": "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:a\nSUMMARY:@tackfree\n"
    "END:VEVENT\nEND:VCALENDAR",
}


def test_what_cannot_be_read_is_not_ours() -> None:
    for text in BROKEN.values():
        assert found("/x", None, text) is None


def test_an_event_without_times_or_made_to_repeat_has_been_moved() -> None:
    for lines in ("", "DTSTART:20270101T000000\nDTEND:20270101T010000\n", "DTSTART:nonsense\n"):
        text = f"BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:{OURS[0]}\n{lines}END:VEVENT\nEND:VCALENDAR"
        back = found("/x", None, text)
        assert back is not None
        assert back.times is None
    text = (
        f"BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:{OURS[0]}\nDTSTART:20270101T000000Z\nDTEND:20270101T010000Z\n"
        "RRULE:FREQ=DAILY\nEND:VEVENT\nEND:VCALENDAR"
    )
    back = found("/x", None, text)
    assert back is not None
    assert back.times is None
