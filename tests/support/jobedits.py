"""Edits that a person makes in a job file while the job is under way, at random; the file is a tree of plain values.

Each edit changes a tree in place and says what it did; a rename also says which names it changed, so that what was
recorded must be known again.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator, MutableMapping
from random import Random
from typing import Any

from ruamel.yaml import YAML

Tree = MutableMapping[str, Any]

NEW = ("street side", "new one", "sage", "fixture", "garden end")
"""Names that no job of `manyjobs` has."""


def read_tree(text: str) -> Tree:
    """The text of a job file as a tree, quoted values and comments kept."""
    yaml = YAML()
    yaml.preserve_quotes = True
    found: Tree = yaml.load(text)
    return found


def written(tree: Tree) -> str:
    """A tree as the text of a job file."""
    out, yaml = io.StringIO(), YAML()
    yaml.width = 4096
    yaml.dump(tree, out)
    return out.getvalue()


def _names(tree: Tree, key: str) -> list[str]:
    found = tree.get(key)
    return [name for name in found if isinstance(name, str)] if isinstance(found, MutableMapping) else []


def _rename(random: Random, tree: Tree, key: str) -> str:
    """Everywhere in the file, as a person does with search and replace."""
    names = [name for name in _names(tree, key) if not (key == "scope" and name in _names(tree, "rooms"))]
    old, new = random.choice(names), random.choice([name for name in NEW if name not in written(tree)])
    part = tree[key].get(old)
    if key == "scope" and not (isinstance(part, MutableMapping) and "surface" in part):
        if not isinstance(part, MutableMapping):
            tree[key][old] = part = {"do": part}
        part["surface"] = old
    text = written(tree)
    keep = re.compile(rf"(?<=surface: ){re.escape(old)}\b")
    text = keep.sub("\0", text)
    text = re.sub(rf"(?<![\w-]){re.escape(old)}(?![\w-])", new, text).replace("\0", old)
    fresh = read_tree(text)
    tree.clear()
    tree.update(fresh)
    return f"rename {key}: {old} -> {new}"


def _drop(random: Random, tree: Tree, key: str) -> str:
    old = random.choice(_names(tree, key))
    del tree[key][old]
    if not tree[key]:
        del tree[key]
    return f"drop {key}: {old}"


def _coats(random: Random, tree: Tree) -> str:
    old = random.choice(_names(tree, "colours"))
    coats = random.choice([n for n in (1, 2, 3, 4) if n != tree["colours"][old].get("coats")])
    tree["colours"][old]["coats"] = coats
    return f"coats of {old}: {coats}"


def _work(random: Random, tree: Tree) -> str:
    old = random.choice(_names(tree, "steps"))
    tree["steps"][old]["work"] = random.choice(("20 min", "2 h", "5 h"))
    return f"work of {old}"


def _add(random: Random, tree: Tree) -> str:
    after = _names(tree, "steps")
    step: dict[str, object] = {"work": "40 min", "room": random.choice(_names(tree, "rooms"))}
    if after and random.random() < 0.6:
        step["follows"] = [random.choice(after)]
    tree.setdefault("steps", {})["extra look"] = step
    return "a step more"


def _hours(random: Random, tree: Tree) -> str:
    tree["hours"] = [{"on": random.choice(("weekends", "every day", "Saturday")), "from": "8:00", "to": "18:00"}]
    return "other hours"


def _stains(random: Random, tree: Tree) -> str:
    for part in tree.get("scope", {}).values():
        calls = part.get("do", ()) if isinstance(part, MutableMapping) else part
        calls = [calls] if isinstance(calls, str) else calls
        for at, call in enumerate(calls):
            if call == "patch" and isinstance(calls, list):
                calls[at] = {"patch": {"stains": random.choice((1, 4)), "share": random.choice((2, 9))}}
            elif isinstance(call, MutableMapping) and "patch" in call and call["patch"] is not None:
                call["patch"]["stains"] = 0
    return "stains and patches"


def _retitle(random: Random, tree: Tree) -> str:
    old = random.choice(_names(tree, "steps"))
    tree["steps"][old]["title"] = "Something else to be done"
    return f"title of {old}"


EDITS: tuple[tuple[str, Callable[[Random, Tree], str]], ...] = (
    ("rename", lambda random, tree: _rename(random, tree, "scope")),
    ("rename", lambda random, tree: _rename(random, tree, "colours")),
    ("rename", lambda random, tree: _rename(random, tree, "steps")),
    ("rename", lambda random, tree: _rename(random, tree, "on order")),
    ("rename", lambda random, tree: _rename(random, tree, "rooms")),
    ("other", lambda random, tree: _drop(random, tree, "scope")),
    ("other", lambda random, tree: _drop(random, tree, "colours")),
    ("other", lambda random, tree: _drop(random, tree, "steps")),
    ("other", lambda random, tree: _drop(random, tree, "on order")),
    ("other", _coats),
    ("other", _work),
    ("other", _add),
    ("other", _hours),
    ("other", _stains),
    ("other", _retitle),
)


def edits(random: Random, text: str) -> Iterator[tuple[str, str, str]]:
    """Texts that one edit makes of a text, one after another without end: the kind, what was done, the text."""
    while True:
        kind, edit = random.choice(EDITS)
        tree = read_tree(text)
        try:
            said = edit(random, tree)
        except (IndexError, KeyError, TypeError, AttributeError):
            continue  # the job has nothing of the kind
        yield kind, said, written(tree)
