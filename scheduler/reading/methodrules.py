"""What must hold between the parts of a method: one small named check for each rule."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator

from scheduler.errors import Fault
from scheduler.model.method import COUNT, PHASES, PIECES
from scheduler.model.names import meant, slug
from scheduler.model.rule import DOES
from scheduler.reading.methodform import MethodForm, TemplateForm
from scheduler.reading.positions import Positions
from scheduler.told import told

Complaint = tuple[tuple[str | int, ...], str, str]
Rule = Callable[[MethodForm], Iterator[Complaint]]

EARLIER = "earlier"
_BRACED = re.compile(r"\{([^{}]*)\}")
_UNIT_OF = {
    **dict.fromkeys(("area", "floor area", "leaf area"), "m2"),
    **dict.fromkeys(("run", "top", "around", "edges", "cut in", "perimeter", "mouldings", "casings", "joints"), "m"),
    **dict.fromkeys(("batten run", "seam run", "inside edges", "fine joints"), "m"),
    **dict.fromkeys(("count", "walls", "doors", "windows", "leaves", "openings"), "piece"),
    **dict.fromkeys(("holes", "battens", "sheets", "scarfs", PIECES), "piece"),
}


def some_step(form: MethodForm) -> Iterator[Complaint]:
    """A method has at least one step."""
    if not form.steps:
        yield ("steps",), "there is no step here", "write a name, and `title:`, `phase:` and `work:` under it"


def options_exist(form: MethodForm) -> Iterator[Complaint]:
    """Words in braces, conditions and cycles name options of the method, and values that they have."""
    names = list(form.options)
    for name, option in form.options.items():
        if option.unless is not None and (option.unless not in names or option.number is None):
            said = told("`{name}` is no number that another option of this method stands for", name=name)
            yield ("options", name, "unless"), said, meant(option.unless, names)
    for key, step in form.steps.items():
        for path, text in _texts(step):
            for word in _BRACED.findall(text):
                if word not in (*names, "part", "n"):
                    yield (
                        ("steps", key, *path),
                        told("`{{{word}}}` is no option of this method", word=word),
                        meant(word, names),
                    )
        if step.cycle is not None and step.cycle not in names:
            yield (
                ("steps", key, "cycle"),
                told("`{cycle}` is no option of this method", cycle=step.cycle),
                meant(step.cycle, names),
            )
        for name, values in step.only.items():
            choices = form.options[name].choice if name in form.options else None
            if choices is None:
                yield (
                    ("steps", key, "only", name),
                    told("`{name}` is no choice of this method", name=name),
                    meant(name, names),
                )
                continue
            for value in values:
                if value not in choices:
                    yield (
                        ("steps", key, "only", name),
                        told("`{name}` is never `{value}`", name=name, value=value),
                        meant(value, choices),
                    )


def what_is_asked_exists(form: MethodForm) -> Iterator[Complaint]:
    """Only a material or a choice is another one beside another method; what must be said is an option or `count`."""
    known = [*form.options, COUNT]
    for name, option in form.options.items():
        if option.where and option.material is None and option.choice is None:
            yield (
                ("options", name, "where"),
                told("`{name}` is neither a material nor a choice", name=name),
                "leave `where` out",
            )
        for method, value in option.where.items():
            if option.choice is not None and value not in option.choice:
                yield (
                    ("options", name, "where", method),
                    told("`{name}` is never `{value}`", name=name, value=value),
                    meant(value, option.choice),
                )
    for name in form.asks:
        if name not in known:
            yield ("asks", name), told("`{name}` is no option of this method", name=name), meant(name, known)


def more_hands_are_quicker(form: MethodForm) -> Iterator[Complaint]:
    """Where more people may be at it, each of its works says how long it takes each further number: no longer than
    fewer need, in the same unit."""
    for key, step in form.steps.items():
        least, most = step.people
        wanted = set(range(least + 1, most + 1))
        for number, labour in enumerate(step.work):
            path = ("steps", key, "work", number)
            if set(labour.more) != wanted:
                said = ", ".join(map(str, sorted(wanted))) or told("no other number of")
                hint = "write `people: 1 to 2` and `more: {2: {takes: …, source: …}}` for each further number"
                yield path, told("`more` has to say how long it takes {said} people", said=said), hint
            before = labour.takes
            for people, more in sorted(labour.more.items()):
                quicker = all(b.minutes <= a.minutes for a, b in zip(before, more.takes, strict=True))
                if not quicker or before[0].unit != more.takes[0].unit:
                    said = told("{people} people take longer than fewer, or count in another unit", people=people)
                    yield (*path, "more", people, "takes"), said, "write quicker rates for the same unit"
                before = more.takes


def batches_hold(form: MethodForm) -> Iterator[Complaint]:
    """Batches are of a quantity of pieces, as large as a number among the options says; only they are done one by
    one, and in a room that an option names."""
    names = list(form.options)
    if form.batches is not None:
        of, size = form.batches.of, form.batches.size
        pieces = [name for name, unit in _units(form).items() if unit == "piece"]
        if of not in pieces:
            yield ("batches", "of"), told("`{of}` counts no pieces in this method", of=of), meant(of, pieces)
        if size not in names or form.options[size].number is None:
            yield (
                ("batches", "size"),
                told("`{size}` is no number among the options of this method", size=size),
                meant(size, names),
            )
    for key, step in form.steps.items():
        if step.each == "batch" and form.batches is None:
            hint = "write `batches: {of: count, size: batch, rack: drying rack}`, and the option `batch: {number: 0}`"
            yield ("steps", key, "each"), "nothing says what the batches of this method are", hint
        if step.room is not None and (step.room not in names or form.options[step.room].room is None):
            yield (
                ("steps", key, "room"),
                told("`{room}` is no room among the options", room=step.room),
                meant(step.room, names),
            )


def what_is_taken_is_given_back(form: MethodForm) -> Iterator[Complaint]:
    """A step keeps a thing until a stage of its own film, until another step of its method, or until what a step of
    another method does."""
    deeds = set(map(slug, DOES))
    ids = {slug(step.id or key) for key, step in form.steps.items()}
    for key, step in form.steps.items():
        for thing, places in step.takes.items():
            path, until = ("steps", key, "takes", thing), places.until
            if until.step is not None and until.step not in deeds | ids - {slug(step.id or key)}:
                hint = meant(until.until, [*sorted(ids), "handle", "use"])
                yield path, told("`{until}` is no other step here, and no stage", until=until.until), hint
            if until.stage is not None and step.lays is None:
                yield (
                    path,
                    told("the step lays no film, so it has no stage `{until}`", until=until.until),
                    "name another step, or a time",
                )


def _units(form: MethodForm) -> dict[str, str]:
    """The quantities that a method can ask for, and what each is counted in."""
    return {**_UNIT_OF, **{name: quantity.unit for name, quantity in form.quantities.items()}}


def _texts(step: TemplateForm) -> Iterator[tuple[tuple[str | int, ...], str]]:
    yield ("title",), step.title
    if step.lays is not None:
        yield ("lays", "material"), step.lays.material
    for number, amount in enumerate(step.uses):
        yield ("uses", number, "what"), amount.what


def quiet_is_of_a_loud_step(form: MethodForm) -> Iterator[Complaint]:
    """Only what is loud has a quiet share, and no share is all of it; what a trade does takes none of our hands."""
    for key, step in form.steps.items():
        if step.quiet is not None and "noisy" not in step.kind:
            yield ("steps", key, "quiet"), "this step is not loud", "write `kind: noisy`, or leave it out"
        if step.quiet is not None and not 0 < step.quiet.share < 1:
            yield ("steps", key, "quiet", "share"), "a share lies between nothing and all", "write one such as `60 %`"
        if step.trade is not None and step.people != (1, 1):
            yield ("steps", key, "people"), "a trade's work takes none of your hands", "leave `people` out"


def followed_steps_exist(form: MethodForm) -> Iterator[Complaint]:
    """A step follows steps of its own method, or what came earlier; in a cycle also itself, the round before."""
    ids = {slug(step.id or key) for key, step in form.steps.items()}
    for key, step in form.steps.items():
        for number, entry in enumerate(step.after or ()):
            for name in entry:
                others = ids if step.cycle is not None else ids - {slug(step.id or key)}
                if not _is_earlier(name) and slug(name) not in others:
                    hint = meant(name, [*sorted(ids), EARLIER])
                    yield (
                        ("steps", key, "after", number),
                        told("no other step here is called `{name}`", name=name),
                        hint,
                    )


def _is_earlier(name: str) -> bool:
    return name == EARLIER or name.removeprefix("phase ") in PHASES


def remedies_mend_something(form: MethodForm) -> Iterator[Complaint]:
    """A remedy is due once a time is over that `within` says."""
    for key, step in form.steps.items():
        for number, entry in enumerate(step.after or ()):
            for name, how in entry.items():
                if how.remedy is not None and how.within is None:
                    path = ("steps", key, "after", number, name, "remedy")
                    yield path, "nothing says when this remedy is due", "write `within: 24 h`, say, beside it"


def ids_are_apart(form: MethodForm) -> Iterator[Complaint]:
    """Steps that may be there together have names of their own."""
    counts = Counter(slug(step.id or key) for key, step in form.steps.items())
    for key, step in form.steps.items():
        if counts[slug(step.id or key)] > 1 and not step.only:
            yield (
                ("steps", key),
                told("`{part}` stands here twice", part=slug(step.id or key)),
                "name them apart, or add `only:`",
            )


def kinds_agree(form: MethodForm) -> Iterator[Complaint]:
    """A step that makes dust is neither wet nor the one that wipes it away, and lays no film."""
    for key, step in form.steps.items():
        if "dusty" in step.kind and ({"wet", "wipes"} & set(step.kind) or step.lays is not None):
            yield ("steps", key, "kind"), "a step can't be dusty and wet, or wipe", "make two steps of it"


def units_fit(form: MethodForm) -> Iterator[Complaint]:
    """A rate is for the unit in which its quantity is counted."""
    units = _units(form)
    for key, step in form.steps.items():
        for number, labour in enumerate(step.work):
            unit = units.get(labour.per.text)
            if unit is not None and unit != labour.takes[0].unit:
                said = told(
                    "`{text}` is counted in {unit}, the rate in {unit2}",
                    text=labour.per.text,
                    unit=unit,
                    unit2=labour.takes[0].unit,
                )
                yield ("steps", key, "work", number, "takes"), said, "write both for the same unit"


RULES: tuple[Rule, ...] = (
    some_step,
    options_exist,
    what_is_asked_exists,
    more_hands_are_quicker,
    batches_hold,
    what_is_taken_is_given_back,
    quiet_is_of_a_loud_step,
    followed_steps_exist,
    remedies_mend_something,
    ids_are_apart,
    kinds_agree,
    units_fit,
)


def broken_rules(form: MethodForm, positions: Positions) -> list[Fault]:
    """A fault for every rule that this method breaks, at its place."""
    complaints = (complaint for rule in RULES for complaint in rule(form))
    return [Fault(positions.value(path), message, hint) for path, message, hint in complaints]
