"""The table of rules: complete, sourced, dated, and said the same way in the cautions beside it."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from mullbed.domain.residue import Residue
from mullbed.errors import InputFault
from mullbed.reference.crops import all_crops
from mullbed.reference.hazards import all_hazards
from mullbed.reference.residues import all_residues
from mullbed.reference.safety_rules import all_safety_rules, read_rules
from mullbed.reference.tables import sources, toml_table

RULES = all_safety_rules()
#: Numbers of a rule that the caution beside it says too, in the caution's unit.
SAID_TWICE = [
    ("raw_manure_wait", "touching", "120"),
    ("raw_manure_wait", "clear", "90"),
    ("fire_strip", "bare", "1.5"),
    ("water_setback", "water", "10"),
    ("water_setback", "well", "50"),
    ("jumping_worms", "asked", "55"),
    ("lifting", "wet_barrow", "50"),
]


@pytest.mark.parametrize("key", RULES)
def test_a_rule_is_sourced_dated_and_speaks_of_what_is_in_the_tables(key: str) -> None:
    rule = RULES[key]
    assert rule.source in sources() and rule.checked <= date(2026, 11, 25)
    assert rule.says.endswith(".") and rule.place and rule.profiles
    assert rule.hazard in all_hazards()
    assert set(rule.residues) <= set(all_residues())
    families = {crop.family for crop in all_crops().values()}
    assert set(rule.crops) <= set(all_crops()) | families
    concerned: list[Residue] = [residue for residue in all_residues().values() if rule.concerns(residue)]
    assert bool(rule.cautions or rule.residues) == bool(concerned)


@pytest.mark.parametrize(("key", "name", "shown"), SAID_TWICE)
def test_a_caution_says_the_number_of_its_rule(key: str, name: str, shown: str) -> None:
    hazard = all_hazards()[RULES[key].hazard]
    assert RULES[key].number(name) == float(shown)
    assert re.search(rf"\b{re.escape(shown)}\b", f"{hazard.risk} {hazard.action}")


def test_the_numbers_a_rule_keeps_stand_in_its_sentence() -> None:
    for key in ("raw_manure_wait", "sprayed_lawn", "sow_after_green", "lead_no_food", "fire_strip", "heated_compost"):
        rule = RULES[key]
        for number in rule.numbers.values():
            assert f"{number.value:g}" in rule.says, key


def test_every_rule_that_cannot_be_set_aside_is_named_on_the_page(repository: Path) -> None:
    page = (repository / "docs" / "topics" / "safety.md").read_text(encoding="utf-8")
    assert {key for key, rule in RULES.items() if not rule.override_allowed} == {
        "herbicide_found",
        "lasting_weedkiller",
        "jumping_worms_seen",
        "scraps_near_livestock",
        "sewage_on_food",
        "lead_no_food",
    }
    assert "cannot be set aside" in page and "Local codes decide" in page


def test_a_row_without_source_hazard_or_mark_is_refused_with_every_fault() -> None:
    row = dict(toml_table("safety_rules.toml")["fire_strip"])
    with pytest.raises(InputFault) as refused:
        read_rules(
            {"one": {**row, "source": "nobody"}, "two": {**row, "hazard": "dragons"}, "three": {**row, "mark": "?"}}
        )
    assert [fault.place for fault in refused.value.faults] == [
        "safety_rules.toml, one",
        "safety_rules.toml, two",
        "safety_rules.toml, three",
    ]
