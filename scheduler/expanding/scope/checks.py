"""What must hold between a scope and the methods of the trade, before anything is worked out."""

from __future__ import annotations

from collections.abc import Mapping

from scheduler.expanding.scope.options import Faults
from scheduler.model.material import Trade
from scheduler.model.method import COUNT, HERE, Method, Methods
from scheduler.model.names import meant, slug
from scheduler.model.scope import ALL_WORK, Call, Part, Scope
from scheduler.told import told


def find_mistakes(scope: Scope, methods: Methods, painted: frozenset[str], faults: Faults) -> None:
    """A fault for every method that is not there, not for such a surface, or used twice on one part.

    `painted` are the methods by which the colours of the job are laid and taped off.
    """
    for part in scope.parts:
        seen: set[str] = set()
        for call in part.calls:
            method = methods.loaded.get(call.method)
            if method is None and call.method in methods.known:
                continue  # its own file is faulty
            if method is None:
                faults.add(
                    call.place,
                    told("no method is called `{method}`", method=call.method),
                    _meant(call.method, methods),
                )
            elif method.fits and part.id not in faults.doubts.parts and not _fits(method.fits, part, scope):
                fits = ", ".join(method.fits)
                hint = told("it is for {fits}", fits=fits)
                if part.kind == "other" and not part.of:  # a name of its own: nothing says what it is
                    hint = told(
                        "it is for {fits}; write `surface: {first}` if it is that", fits=fits, first=method.fits[0]
                    )
                elif part.kind == "trim" and part.around and "doors" in method.fits:  # the leaf, not what cases it
                    hint = told(
                        "write `surface: doors` beside `around` for the door itself, or name the part `doors`; else "
                        "`around` is the trim"
                    )
                faults.add(
                    call.place, told("`{title}` is not for `{title2}`", title=method.title, title2=part.title), hint
                )
            elif method is not None and part.id not in faults.doubts.parts:
                _find_unasked(part, call, method, scope, faults)
            if call.method in seen:
                hint = "put the second one on a part of its own, under another name"
                faults.add(
                    call.place,
                    told("`{method}` is done twice to `{title}`", method=call.method, title=part.title),
                    hint,
                )
            seen.add(call.method)
    used = {call.method for part in scope.parts for call in part.calls} | painted
    for name, place in scope.first_time:
        if slug(name) not in methods.known:
            faults.add(place, told("no method is called `{name}`", name=name), _meant(name, methods))
        elif slug(name) not in used:
            hint = told("leave it out, or name one that is: {names}", names=", ".join(sorted(used)))
            faults.add(place, told("`{name}` is not done in this job", name=name), hint)


def _find_unasked(part: Part, call: Call, method: Method, scope: Scope, faults: Faults) -> None:
    """A fault for what a method can't know by itself and nobody says: how many treads a stair has."""
    members = [one for one in scope.parts if one.id in part.of] or [part]
    for name, what in method.asks:
        option = next((said for said in call.options if slug(said.name) == slug(name)), None)
        counted = name == COUNT and (part.count is not None or all(one.count is not None for one in members))
        if option is None and not counted and name not in dict(part.given):
            said = told(
                "`{title}` goes by {what}, and nothing says it of `{title2}`",
                title=method.title,
                what=what,
                title2=part.title,
            )
            hint = (
                told("write `{name}: 12` beside `do`, say", name=name)
                if name == COUNT
                else told("write `{name}: …` under the method", name=name)
            )
            faults.add(call.place, said, hint)


def find_unknown_rooms(scope: Scope, methods: Methods, rooms: Mapping[str, str], faults: Faults) -> None:
    """A fault for every option that names a room which is none of the job. `rooms` are their titles, by id."""
    for part in scope.parts:
        for call in part.calls:
            method = methods.loaded.get(call.method)
            asked = {slug(option.name) for option in method.options if option.kind == "room"} if method else set()
            for said in call.options:
                if slug(said.name) in asked and slug(said.text) not in {*rooms, HERE}:
                    hint = meant(said.text, [*rooms.values()])
                    faults.add(said.place, told("no room is called `{text}`", text=said.text), hint)


def find_mistaken_paces(scope: Scope, trade: Trade, faults: Faults) -> None:
    """A fault for every pace of what is no kind of work."""
    known = [*(kind.id for kind in trade.kinds), ALL_WORK]
    for name in scope.pace:
        if name not in known:
            words = [each.replace("-", " ") for each in known]
            faults.add(
                scope.place("pace", name), told("no kind of work is called `{name}`", name=name), meant(name, words)
            )


def _meant(name: str, methods: Methods) -> str:
    return meant(name, [each.replace("-", " ") for each in methods.known], "tackfree methods lists them all")


def _fits(fits: tuple[str, ...], part: Part, scope: Scope) -> bool:
    """Whether a surface, or each of those that a part stands for, is of a kind that the method is for."""
    if part.of:
        members = [one for one in scope.parts if one.id in part.of]
        return all(_fits(fits, member, scope) for member in members)
    return part.kind in fits
