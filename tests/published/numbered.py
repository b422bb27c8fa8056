"""Read the numbered checks: expected values and tolerances come from the table, never from the test."""

from __future__ import annotations

import csv
import re
from functools import lru_cache
from pathlib import Path

_NUMBER = re.compile(r"(?<![A-Za-z0-9.])[-+]?(?:\d+\.\d+|\.\d+|\d+)(?:e-?\d+)?")


@lru_cache(maxsize=1)
def checks() -> dict[str, dict[str, str]]:
    """Return every check by its number."""
    lines = (Path(__file__).parent / "data" / "model_checks.csv").read_text(encoding="utf-8").splitlines()
    return {row["id"]: row for row in csv.DictReader(line for line in lines if not line.startswith("#"))}


def numbers(text: str) -> list[float]:
    """Return the numbers of a text in order; a hyphen between digits is a range, not a minus."""
    parted = re.sub(r"(?<=\d)-(?=\d)", " ", text)
    return [float(found) for found in _NUMBER.findall(parted)]


def expected(check: str) -> list[float]:
    """Return the expected values of a check in the order of its inputs."""
    return numbers(checks()[check]["expected"])


def tolerance(check: str) -> float:
    """Return the first number of a check's tolerance."""
    return numbers(checks()[check]["tolerance"])[0]
