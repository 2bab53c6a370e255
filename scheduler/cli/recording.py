"""`tackfree did`, `felt`, `late`, `arrived`, `ordered`, `bought`, `lost`: what happened is recorded, the job planned
anew, and the moves shown."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import wraps
from inspect import Signature, signature
from pathlib import Path
from typing import TYPE_CHECKING, Annotated
from zoneinfo import ZoneInfo

import typer

from scheduler.cli import completing
from scheduler.cli.again import NoFilesOption, NoPublishOption
from scheduler.cli.changing import Asked, ByHandOption, clock_from, day_from, length_from, record, when_from
from scheduler.cli.shared import AsOfOption, JobArgument, JsonOption, say_sentence
from scheduler.cli.waiting import WithinOption, seconds_of
from scheduler.errors import Fault, InputError, wrong_input
from scheduler.model.diary import Arrived, Bought, Event, Late, Ordered
from scheduler.told import listing, told
from scheduler.wallclock import local_date

if TYPE_CHECKING:
    from scheduler.living.site import Site

StepArguments = Annotated[
    list[str] | None,
    typer.Argument(
        help="The id of a step, or a part of its title; several if several are done.",
        metavar="STEP...",
        autocompletion=completing.steps,
    ),
]
ItemArgument = Annotated[
    str,
    typer.Argument(
        help="The id of an item on order, or a part of its title.", metavar="ITEM", autocompletion=completing.items
    ),
]
ComingArgument = Annotated[
    str,
    typer.Argument(
        help="The id of an item on order or of an appointment, or a part of its title.",
        metavar="ITEM",
        autocompletion=completing.comings,
    ),
]
ReasonOption = Annotated[str, typer.Option("--reason", help="Why; it is kept in the diary.", metavar="TEXT")]
DryRunOption = Annotated[bool, typer.Option("--dry-run", help="Show what would move; record and write nothing.")]
UndoOption = Annotated[
    bool, typer.Option("--undo", help="Take the newest such entry back, with all its command wrote about that.")
]
IcsOption = Annotated[
    Path | None, typer.Option("--ics", help="Write the calendar file again, each event at its place.", metavar="FILE")
]
AllOption = Annotated[bool, typer.Option("--all", help="Name every step and session that moves, from when to when.")]


Request = Callable[..., Sequence[Event]]
"""From a job as it stands at a moment to the events to be recorded (see `living.change`)."""


@dataclass(frozen=True)
class Each:
    """The request for several steps by their names: one that is unclear keeps the others from nothing.

    `unclear` are, once it was asked, the faults of the names that were left out.
    """

    names: Sequence[str]
    events: Callable[[Site, int, Sequence[str]], Sequence[Event]]
    unclear: list[Fault] = field(default_factory=list)

    def __call__(self, site: Site, now: int) -> Sequence[Event]:
        """The events of the names that are clear. Raises InputError if none is."""
        from scheduler.living import requests

        found: list[str] = []
        for name in self.names:
            try:
                found.append(requests.open_step(site, name))
            except InputError as error:
                self.unclear.extend(error.faults)
        if self.unclear and not found:
            raise InputError(self.unclear)
        return self.events(site, now, found)


def _recording(ask: Callable[..., Request]) -> Callable[..., None]:
    """The command that records what `ask` makes of its own arguments.

    The job comes before them, the options that all such commands share come after them.
    """

    @wraps(ask, assigned=("__name__", "__doc__"))  # the annotations are those of `command`
    def command(
        job: JobArgument,
        reason: ReasonOption = "",
        dry_run: DryRunOption = False,
        as_of: AsOfOption = None,
        ics: IcsOption = None,
        by_hand: ByHandOption = False,
        every: AllOption = False,
        within: WithinOption = None,
        as_json: JsonOption = False,
        no_files: NoFilesOption = False,
        no_publish: NoPublishOption = False,
        **own: object,
    ) -> None:
        request = ask(**own)
        wait = seconds_of(within)
        asked = Asked(as_of, reason, dry_run, ics, by_hand, as_json, no_files, no_publish, every, wait)
        record(job, request, asked)
        if isinstance(request, Each) and request.unclear:
            raise InputError(
                [
                    replace(fault, message=told("not recorded: {message}", message=fault.message))
                    for fault in request.unclear
                ]
            )

    job, *shared, _ = signature(command, follow_wrapped=False, eval_str=True).parameters.values()
    own = signature(ask, eval_str=True).parameters.values()
    command.__signature__ = Signature([job, *own, *shared])  # type: ignore[attr-defined]
    return command


@_recording
def did(
    step: StepArguments = None,
    at: Annotated[
        str | None,
        typer.Option("--at", help="When it ended (else as planned, or now): 16:40, 'sunday 16:40'.", metavar="TIME"),
    ] = None,
    left: Annotated[
        str | None, typer.Option("--left", help="It was begun, and so much work is left: '1 h'.", metavar="LENGTH")
    ] = None,
    session: Annotated[
        bool, typer.Option("--session", help="All of the session that has just been, or is on, as planned.")
    ] = False,
    but: Annotated[
        list[str] | None, typer.Option("--but", help="With --session: all but this step.", metavar="STEP")
    ] = None,
    took: Annotated[
        str | None,
        typer.Option(
            "--took", help="Minutes of work it took in all, breaks left out: '2 h 10 min'.", metavar="LENGTH"
        ),
    ] = None,
    begun: Annotated[
        str | None, typer.Option("--from", help="When it was begun, instead of --took: 14:10.", metavar="TIME")
    ] = None,
    undo: UndoOption = False,
) -> Request:
    """A step was finished, or begun: record it, plan anew, show what moves.

    Its film dries from when it really ended. Said again with another time or length, it puts right what was recorded.
    Of a part of a title only a step that is not done yet is meant.
    How long steps took (--took, or --from and --at) corrects the minutes of those to come.

    Example: tackfree did examples/hobby-room "furniture out"
    """
    step = step or []
    if session:
        return _session(step, at, left, but or [], undo)
    if but:
        raise wrong_input("--but", "it leaves steps of a session out", "add --session")
    if not step:
        raise wrong_input("STEP", "it is missing", "name the steps that are done, or say --session for all of it")
    if left is not None and len(step) > 1:
        raise wrong_input("STEP", "--left goes for one step at a time", "name one")
    _undo_stands_alone(undo, {"--at": at, "--left": left, "--took": took, "--from": begun})
    if (took is not None or begun is not None) and len(step) > 1:
        raise wrong_input("STEP", "how long it took is said of one step at a time", "name one")
    if took is not None and begun is not None:
        raise wrong_input("--took", "--from says how long it took as well", "give one of them")
    spent = None if took is None else length_from(took, "--took")
    minutes = None if left is None else length_from(left, "--left")

    def request(site: Site, now: int) -> Sequence[Event]:
        from scheduler.living import requests, takeback

        if undo:
            about = [takeback.step_entries(site, name) for name in dict.fromkeys(step)]
            return [event for each in about for event in takeback.undo(site, each, "STEP")]
        moment = None if at is None else when_from(at, site, now, "--at")
        name = requests.open_step(site, step[0])
        if spent is not None or begun is not None:
            from scheduler.living.spent import Spent

            since = None if begun is None else clock_from(begun, site, now, "--from", moment)
            return requests.did(site, now, name, moment, minutes, said=Spent(took=spent, begun=since))
        return requests.did(site, now, name, moment, minutes)

    def several(site: Site, now: int, names: Sequence[str]) -> Sequence[Event]:
        from scheduler.living import requests

        return requests.did_all(site, now, names, None if at is None else when_from(at, site, now, "--at"))

    one = undo or minutes is not None or spent is not None or begun is not None
    return request if one else Each(step, several)


def _session(
    step: Sequence[str], at: str | None, left: str | None, but: Sequence[str], undo: bool
) -> Callable[..., Sequence[Event]]:
    """What --session records."""
    idle = [name for name, given in (("STEP", step), ("--left", left), ("--undo", undo)) if given]
    if idle:
        raise wrong_input(
            "--session", "it takes the session as planned", told("leave {names} out", names=listing(idle))
        )

    def request(site: Site, now: int) -> Sequence[Event]:
        from scheduler.living import requests

        day = None if at is None else when_from(at, site, now, "--at").day
        return requests.session_done(site, now, day, but)

    return request


@_recording
def felt(
    step: Annotated[
        str,
        typer.Argument(
            help="The step that laid the film: its id, or a part of its title.",
            metavar="STEP",
            autocompletion=completing.steps,
        ),
    ],
    stage: Annotated[
        str | None, typer.Argument(help="The stage: touch, handle, sand, recoat, paint_over, tape …", metavar="STAGE")
    ] = None,
    not_yet: Annotated[bool, typer.Option("--not-yet", help="It was not at that stage yet.")] = False,
    at: Annotated[
        str | None, typer.Option("--at", help="When you looked (else now): 18:40, 2027-01-16 18:40.", metavar="TIME")
    ] = None,
    undo: UndoOption = False,
) -> Request:
    """How a film felt: at a stage by now, or not yet. Its clock is corrected at once, and those of films to come.

    Only both together, what was not yet dry and what was, make a plan quicker.

    Example: tackfree felt examples/hobby-room white-coat-1 recoat --not-yet
    """
    _undo_stands_alone(undo, {"--at": at, "--not-yet": "yes" if not_yet else None})
    if stage is None and not undo:
        raise wrong_input("STAGE", "it is missing", "name the stage that you tried, such as `recoat`")

    def request(site: Site, now: int) -> Sequence[Event]:
        from scheduler.living import spent, takeback

        if undo or stage is None:
            return takeback.undo(site, takeback.felt_entries(site, step, stage), "STEP")
        minute = now if at is None else when_from(at, site, now, "--at").minute
        if minute is None:
            raise wrong_input("--at", "a look has a time of day", "add it: `2027-01-16 18:40`")
        return spent.felt(site, step, stage, minute, reached=not not_yet)

    return request


@_recording
def late(
    item: ComingArgument,
    date: Annotated[
        str | None, typer.Argument(help="The day on which it comes: 2027-03-04, friday, '2 weeks'.", metavar="DATE")
    ] = None,
    undo: UndoOption = False,
) -> Request:
    """An item on order, or an appointment, comes on another day: record it, plan anew, show what moves and what not.

    Example: tackfree late examples/hobby-room doors 2027-03-04 --dry-run
    """
    if date is None and not undo:
        raise wrong_input("DATE", "it is missing", "name the day on which it comes, such as 2027-03-04 or `2 weeks`")
    _undo_stands_alone(undo, {"DATE": date})

    def request(site: Site, now: int) -> Sequence[Event]:
        from scheduler.living import requests, takeback

        if undo or date is None:
            return takeback.undo(site, takeback.item_entries(site, item, Late), "ITEM")
        event = requests.late(site, item, day_from(date, "DATE", site, now, "ahead"))
        _say_from_today(site, event, date, now)
        return [event]

    return request


def _say_from_today(site: Site, event: Late, said: str, now: int) -> None:
    """That `2 weeks` were counted from today, where so much later than expected is another day: it may be meant."""
    from scheduler.reading.saiddays import is_length

    expected = {item.id: item.expected for item in site.standing.job.items}.get(event.item)
    today = local_date(now, ZoneInfo(site.job.zone))
    if expected is not None and expected > today and is_length(said):
        later = expected + (event.expected - today)
        say_sentence("cli.from today", said=said, command=f"tackfree late {site.files.job} {event.item} {later}")


@_recording
def arrived(
    item: ItemArgument,
    at: Annotated[
        str | None, typer.Option("--at", help="The day on which it came (else today).", metavar="DATE")
    ] = None,
    undo: UndoOption = False,
) -> Request:
    """An item on order is there: record it, plan anew, show what moves.

    Example: tackfree arrived examples/hobby-room doors
    """
    _undo_stands_alone(undo, {"--at": at})

    def request(site: Site, now: int) -> Sequence[Event]:
        from scheduler.living import requests, takeback

        if undo:
            return takeback.undo(site, takeback.item_entries(site, item, Arrived), "ITEM")
        return requests.arrived(site, item, when_from(at, site, now, "--at").day, told=at is not None)

    return request


ThingArguments = Annotated[
    list[str] | None,
    typer.Argument(
        help="What it is, as the list calls it, or a part of that; several if several are.",
        metavar="THING...",
        autocompletion=completing.things,
    ),
]
SinceOption = Annotated[
    str | None, typer.Option("--at", help="The day on which it was (else today): friday, 5.12.", metavar="DAY")
]


@_recording
def ordered(
    thing: ThingArguments = None,
    at: SinceOption = None,
    comes: Annotated[
        str | None, typer.Option("--comes", help="The day on which the shop says it comes.", metavar="DATE")
    ] = None,
    undo: UndoOption = False,
) -> Request:
    """A thing that the shop takes time for was ordered: record it, and nobody is told to order it again.

    Example: tackfree ordered examples/hobby-room doors
    """
    _undo_stands_alone(undo, {"--at": at, "--comes": comes})
    if not thing:
        raise wrong_input("THING", "it is missing", "name what was ordered")

    def request(site: Site, now: int) -> Sequence[Event]:
        from scheduler.living import requests, takeback

        if undo:
            about = [takeback.thing_entries(site, name, Ordered) for name in thing]
            return [event for each in about for event in takeback.undo(site, each, "THING")]
        day = when_from(at, site, now, "--at").day
        then = None if comes is None else day_from(comes, "--comes", site, now, "ahead")
        return [event for name in thing for event in requests.ordered(site, now, name, day, then)]

    return request


@_recording
def bought(
    thing: ThingArguments = None,
    everything: Annotated[bool, typer.Option("--list", help="Everything that `tackfree buy` lists.")] = False,
    at: SinceOption = None,
    undo: UndoOption = False,
) -> Request:
    """A thing is in the house, as much of it as the job needs: record it, and it is off the list.

    What has to settle in the room does so from that day on.

    Example: tackfree bought examples/hobby-room --list
    """
    _undo_stands_alone(undo, {"--at": at, "--list": "" if everything else None})
    if bool(thing) == everything:
        raise wrong_input("THING", "it is missing" if not thing else "--list takes it in", "name it, or say --list")

    def request(site: Site, now: int) -> Sequence[Event]:
        from scheduler.living import requests, takeback

        if undo:
            about = [takeback.thing_entries(site, name, Bought) for name in thing or []]
            return [event for each in about for event in takeback.undo(site, each, "THING")]
        day = when_from(at, site, now, "--at").day
        names = requests.whole_list(site, now) if everything else thing or []
        if not names:
            raise wrong_input("--list", "nothing is on the list", "nothing is to be recorded")
        return [event for name in names for event in requests.bought(site, now, name, day)]

    return request


@_recording
def lost(
    day: Annotated[
        str, typer.Argument(help="The day on which nobody worked, or will: 2027-01-23, sunday.", metavar="DAY")
    ],
    session: Annotated[
        int | None, typer.Option("--session", help="Only this session of the day, counted from 1.", min=1)
    ] = None,
    undo: UndoOption = False,
) -> Request:
    """A day, or a session of it, that did not happen or will not: record it, plan anew, show what moves.

    After work that is recorded on that day, the rest of it is lost.

    Example: tackfree lost examples/hobby-room 2027-01-23
    """

    def request(site: Site, now: int) -> Sequence[Event]:
        from scheduler.living import requests, takeback

        which = day_from(day, "DAY", site, now, "near")
        if undo:
            return takeback.undo(site, takeback.lost_entries(site, which), "DAY")
        return requests.lost(site, now, which, session)

    return request


def _undo_stands_alone(undo: bool, given: Mapping[str, str | None]) -> None:
    """Refuses, beside --undo, what would be of no effect."""
    idle = [name for name, value in given.items() if value is not None]
    if undo and idle:
        raise wrong_input(
            "--undo",
            "it takes the newest such entry back as a whole",
            told("leave {names} out", names=listing(idle)),
        )
