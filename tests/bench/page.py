"""How long a page takes on top of planning, and what it weighs: `python -m tests.bench.page`.

The first page of a process also loads Jinja2 and compiles the templates, as every `tackfree plan --page` does.
Seconds are those of the processor, so that a busy machine measures the same. The last line is the same as JSON.
"""

from __future__ import annotations

import json
from pathlib import Path
from time import process_time

from scheduler.living.paging import page_facts
from scheduler.model.facts import Facts
from scheduler.pipeline import Wish, make_plan, read
from tests.support.manysteps import many_steps, some_air

EXAMPLE = Path(__file__).parents[2] / "examples" / "hobby-room"
TIMES = 5


def main() -> None:
    """Measure and print."""
    job, trade = read(EXAMPLE)[:2]
    made = make_plan(job, trade, Facts(now=job.start - 2 * 1440), Wish(effort=1500))

    start = process_time()
    from scheduler.telling.page import page  # loading it is part of what is measured

    first = page(made.plan, page_facts(made))
    figures: dict[str, float] = {"first_page_s": process_time() - start, "kilobytes": len(first.encode()) / 1000}
    runs = []
    for _ in range(TIMES):
        start = process_time()
        page(made.plan, page_facts(made))
        runs.append(process_time() - start)
    figures["later_page_s"] = min(runs)
    for count in (20, 60, 120):
        crowded = many_steps(count)
        start = process_time()
        text = page(crowded, some_air(crowded))
        figures[f"steps_{count}_s"] = process_time() - start
        figures[f"steps_{count}_kilobytes"] = len(text.encode()) / 1000
    for name, figure in figures.items():
        print(f"{name:24} {figure:10.3f}")
    print(json.dumps({name: round(figure, 3) for name, figure in figures.items()}))


if __name__ == "__main__":
    main()
