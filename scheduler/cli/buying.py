"""`tackfree buy`: quantities, containers, and what must be in the house before which weekend."""

from __future__ import annotations

import sys

from scheduler.cli.changing import clock_of, say_found, say_passed
from scheduler.cli.shared import AsOfOption, JobArgument, JsonOption, is_coloured, is_plain, width
from scheduler.cli.waiting import Waiting


def buy(job: JobArgument, as_of: AsOfOption = None, as_json: JsonOption = False) -> None:
    """What to buy, how much of it, and what must be in the house before which weekend.

    What is used once a step has begun counts as bought.

    Example: tackfree buy examples/hobby-room
    """
    from scheduler.living.buying import to_buy
    from scheduler.living.change import opened
    from scheduler.telling.text.shopping import shopping_json, shopping_text

    with opened(job, clock_of(as_of), keep=False) as (site, now), Waiting() as waiting:
        plan, found = to_buy(site, now, waiting)
    if as_json:
        sys.stdout.write(shopping_json(found))
    else:
        print(shopping_text(found, plan, width(), is_coloured(), is_plain()), end="")
    say_found(site)
    say_passed(site, now)
