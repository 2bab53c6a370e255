"""What every shipped record comes to, by its sum: what a file of the cache has to match (`reading.remembered`).

    python -m tests.support.records

writes the list anew, after a profile was edited or a record got another form.
"""

from __future__ import annotations

import json
import os
from unittest.mock import patch

import scheduler.reading.remembered as memory
from scheduler.model.tradewords import ENGLISH, LANGUAGES
from scheduler.reading.methods import read_methods
from scheduler.reading.profiles import read_trade
from scheduler.reading.tradewords import trade_words


def sums() -> dict[str, str]:
    """The sum of each record by its name, read out of the profiles."""
    with patch.dict(os.environ, {memory.VARIABLE: ""}):
        trade, methods = read_trade(None), read_methods(None)
        words = {lang: trade_words(lang) for lang in LANGUAGES if lang != ENGLISH}
    records: dict[str, object] = {"tape": trade.tape, "cautions": trade.cautions, "wares": trade.shelf}
    records["kinds"] = trade.kinds
    records["order"] = trade.order
    records |= {f"words-{lang}": each for lang, each in words.items()}
    records |= {f"material-{material.id}": material for material in trade.materials}
    records |= {f"method-{name}": method for name, method in methods.loaded.items()}
    return {name: memory.sum_of(memory.body_of(record)) for name, record in sorted(records.items())}


if __name__ == "__main__":
    memory.LISTED.write_text(json.dumps(sums(), indent=1) + "\n", encoding="utf-8")
