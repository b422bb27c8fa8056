"""Renew docs/names.md from the docstrings of the equations: every name with its unit, direction and meaning."""

from __future__ import annotations

import sys
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(REPOSITORY / "tests" / "contracts"))

from source_files import UNIT, equations  # noqa: E402

PAGE = REPOSITORY / "docs" / "names.md"

#: Flows and signed names: which way is positive. All others are amounts or states without a direction.
DIRECTIONS = {
    "ammonia_lost": "from the bed to the air",
    "crop_nitrogen": "from the soil to the crop",
    "denitrified": "from the soil to the air",
    "drainage": "down",
    "drained": "down",
    "freed": "from residue or microbes to the mineral pool",
    "leached": "down, out of the column",
    "lost": "out of the bed",
    "net_nitrogen": "to the soil; negative is taken",
    "taken": "from the mineral pool to the microbes",
    "uptake": "from the soil to the crop",
}

HEAD = """# Names

One name, one meaning, one unit. Written by `python docs/renew_names.py` from the docstrings of the equations; a test
compares it with them. Inside, amounts of dry matter, carbon and nitrogen are g m-2, water is mm, thickness m,
temperature degC, time d, and shares are 0 to 1. Any other unit is part of the name.

A name that stands more than once is used with more than one unit; the test counts those and the count may only fall.

| name | unit | direction | meaning | where |
|---|---|---|---|---|
"""


def rows() -> list[tuple[str, str, str, str, str]]:
    """Return name, unit, direction, first meaning and the modules, one row for each name and unit."""
    found: dict[tuple[str, str], tuple[str, set[str]]] = {}
    for equation in equations():
        for title in ("Parameters", "Returns"):
            for name, text in equation.documented(title).items():
                units = UNIT.findall(text)
                unit = units[-1].strip("[]") if units else "?"
                meaning = " ".join(UNIT.sub("", text).split()).rstrip()
                place = equation.module.removeprefix("processes/").removesuffix(".py")
                found.setdefault((name, unit), (meaning, set()))[1].add(place)
    return [
        (name, unit, DIRECTIONS.get(name, ""), meaning.replace("|", "/"), ", ".join(sorted(places)))
        for (name, unit), (meaning, places) in sorted(found.items())
    ]


def page() -> str:
    """Return the whole page."""
    return HEAD + "".join("| `{}` | {} | {} | {} | {} |\n".format(*row) for row in rows())


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
