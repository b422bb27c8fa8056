"""Every fact has its sentence."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from season_sample import PLANNED

import mullbed
from mullbed.domain.garden import UnitSystem
from mullbed.domain.mix import Finding
from mullbed.domain.season_plan import Reason, Shortage
from mullbed.domain.spread import Evidence
from mullbed.reports.cautions import caution_words, dated_line
from mullbed.reports.findings import _SENTENCES, finding_words
from mullbed.reports.reasons import layer_dont, layer_gives, layer_net, layer_why, reason_words, shortage_words

METRIC, US = UnitSystem.METRIC, UnitSystem.US


class Whatever(dict[str, float | str]):
    """Every value a sentence may ask for."""

    def __missing__(self, key: str) -> float | str:
        return "Grass clippings, fresh" if key in {"residue", "deep", "counted"} else 2.0


def codes_raised() -> set[str]:
    source = (Path(mullbed.__file__).parent / "plan" / "mix_findings.py").read_text(encoding="utf-8")
    return set(re.findall(r'Finding\(\s*"(\w+)"', source)) | {"lost_to_air", "washed_down"}


@pytest.mark.parametrize("code", sorted(codes_raised()))
def test_every_finding_of_the_check_has_its_own_sentence(code: str) -> None:
    assert code in _SENTENCES


@pytest.mark.parametrize("units", [METRIC, US])
@pytest.mark.parametrize("code", sorted(_SENTENCES))
def test_a_finding_is_a_sentence_in_the_growers_units(code: str, units: UnitSystem) -> None:
    words = finding_words(Finding(code, Whatever(), Evidence.GUESS), units)
    assert words[0].isupper() and words.endswith((".", ")."))
    assert "–" not in words
    assert not re.search(r"\d (cm|L|g)\b" if units is US else r"\d (in|gal|lb)\b", words)
    assert finding_words(Finding(code, {}, Evidence.GUESS), units).endswith(".")


def test_an_unknown_code_is_said_with_its_values() -> None:
    words = finding_words(Finding("odd_thing", {"share": 0.25}, Evidence.GUESS), METRIC)
    assert words == "Odd thing: share 0.25."
    assert reason_words(Reason("odd_thing", None, date(2027, 6, 1), "Wall")) == "Odd thing (Wall, 1 June)."


def test_a_layer_always_says_why_and_what_not_to_do() -> None:
    for planned in PLANNED:
        assert len(layer_why(planned)) > 10
        assert all(layer_dont(planned))
        assert layer_gives(planned).endswith(".")


def test_more_spread_than_value_gives_no_number() -> None:
    assert "can't be told yet" in layer_net(PLANNED[0], METRIC)
    assert not re.search(r"\d", layer_net(PLANNED[0], METRIC).replace("four", ""))


def test_a_shortage_says_what_where_when_and_how_much() -> None:
    words = shortage_words(Shortage("leaf_shredded", "Wall", "2027-07", 2.0, "bag"))
    assert words == "More shredded autumn leaves on Wall bed in July would help: 2 bags."


def test_cautions_are_dated_and_defer_to_local_rules() -> None:
    line = dated_line(("persistent_herbicide",))
    assert re.match(r"Checked on \d+ \w+ \d{4}\. Local rules come first", line)
    assert "weedkiller" in caution_words("persistent_herbicide")
    assert caution_words("not_in_the_table") == "Not in the table."
