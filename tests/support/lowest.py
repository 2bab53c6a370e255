"""The lowest version that pyproject.toml allows of each dependency, as constraints for pip.

python -m tests.support.lowest > lowest.txt && pip install -c lowest.txt -e '.[test]'
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

PROJECT = Path(__file__).parents[2] / "pyproject.toml"


def constraints(text: str) -> Iterator[str]:
    """`name==lowest` for every `name>=lowest` of a pyproject.toml; what names no lowest version is left open."""
    project = tomllib.loads(text)["project"]
    groups = project.get("optional-dependencies", {}).values()
    for requirement in dict.fromkeys([*project["dependencies"], *(each for group in groups for each in group)]):
        found = re.fullmatch(r"([A-Za-z0-9._-]+)>=([0-9][0-9A-Za-z.]*)", requirement)
        if found:
            yield f"{found[1]}=={found[2]}"


if __name__ == "__main__":
    print(*constraints(PROJECT.read_text("utf-8")), sep="\n")
