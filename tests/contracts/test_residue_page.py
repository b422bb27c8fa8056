"""The page of the tables tells the rules the loader uses."""

from __future__ import annotations

import re

import pytest
from source_files import REPOSITORY

from mullbed.reference.tables import toml_table

PAGE = (REPOSITORY / "docs" / "topics" / "residues-and-crops.md").read_text(encoding="utf-8")
RULES = toml_table("residue_rules.toml")


def test_the_rules_for_a_missing_low_or_high_are_told() -> None:
    told: dict[str, tuple[float, float]] = {}
    for names, low, high in re.findall(r"^\| ([a-z ,]+) \| ([\d.]+) \| ([\d.]+) \|$", PAGE, re.M):
        for name in names.removesuffix(", on the smaller share").split(", "):
            told[name.replace(" ", "_")] = (float(low), float(high))
    assert told == {name: (row["low"], row["high"]) for name, row in RULES["range"].items()}


@pytest.mark.parametrize(
    ("words", "kind"),
    [("soft fresh", "soft fresh"), ("dry", "dry"), ("tree leaves", "leaves"), ("woody", "woody"), ("other", "other")],
)
def test_what_stands_in_for_missing_phosphorus_and_lignin_is_told(words: str, kind: str) -> None:
    found = re.search(
        rf"^\| {words}[^|]*\| ([\d.]+) to ([\d.]+), typically ([\d.]+) \| ([\d.]+) to ([\d.]+), typically ([\d.]+) \|$",
        PAGE, re.M,
    )  # fmt: skip
    assert found
    told = [float(one) / 100.0 for one in found.groups()]
    rows = [RULES["assumed"][kind][name] for name in ("phosphorus", "lignin")]
    assert told == pytest.approx([row[key] for row in rows for key in ("low", "high", "typical")])
