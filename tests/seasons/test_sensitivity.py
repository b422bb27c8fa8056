"""The page of what to measure first, with few samples: indices keep their bounds, and known directions come out.

Bounds of Sobol indices (known): the first index is not above the total one, first indices add up to at most 1, all lie
from 0 to 1. Few samples miss them by their own half-width, so that much is allowed.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

pytest.importorskip("SALib", reason="SALIB ABSENT: it is in the dev group; this check did not run")


@pytest.fixture(scope="module")
def script(repository: Path) -> ModuleType:
    """Return the script that writes the page."""
    spec = importlib.util.spec_from_file_location("renew_sensitivity", repository / "docs" / "renew_sensitivity.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["renew_sensitivity"] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def found(script: ModuleType) -> dict[str, object]:
    """Return indices of two layers in spring from a quarter of the page's samples under one rain."""
    script.RAINS = script.RAINS[:1]
    return {layer: script.sensitivity(layer, "spring", 128) for layer in ("clippings alone", "clippings under leaves")}


def test_indices_keep_their_bounds_and_sums(script: ModuleType, found: dict[str, object]) -> None:
    for one in found.values():
        told = 0
        for key in script.QUESTIONS:
            total, first, doubt = one.total[key], one.first[key], one.doubt[key]
            there = np.isfinite(total)
            if not there.any():
                continue
            told += 1
            slack = doubt[there] + 0.15
            assert (total[there] >= -1e-9).all(), key
            assert (total[there] <= 1.0 + slack).all(), key
            assert (first[there] <= total[there] + slack).all(), key
            assert first[there].sum() <= 1.5, key
            assert total[there].sum() >= 0.7, key
        assert told >= 4


def test_an_unknown_that_is_not_in_the_layer_has_no_index(script: ModuleType, found: dict[str, object]) -> None:
    keys = [one.key for one in script.UNKNOWNS]
    alone, under = found["clippings alone"], found["clippings under leaves"]
    assert np.isnan(alone.total["fed_60"][keys.index("dry_nitrogen")])
    assert np.isfinite(under.total["fed_60"][keys.index("dry_nitrogen")])


def test_nitrogen_of_clippings_moves_what_they_feed_and_rain_the_water(script: ModuleType, found) -> None:
    keys = [one.key for one in script.UNKNOWNS]
    one = found["clippings alone"]
    assert keys[int(np.nanargmax(one.total["fed_60"]))] == "soft_nitrogen"
    assert keys[int(np.nanargmax(one.total["water_days"]))] in ("rain", "evaporation")


@pytest.mark.parametrize(("key", "question"), [("soft_nitrogen", "fed_60"), ("rain", "water_days")])
def test_more_nitrogen_feeds_more_and_more_rain_spares_more_days(script: ModuleType, key: str, question: str) -> None:
    middle = np.array([0.5 * (one.low + one.high) for one in script.UNKNOWNS])
    samples = np.repeat(middle[None], 2, axis=0)
    place = [one.key for one in script.UNKNOWNS].index(key)
    samples[:, place] = script.UNKNOWNS[place].low, script.UNKNOWNS[place].high
    low, high = script.answers("clippings alone", "spring", samples)[question]
    assert high > low


def test_every_unknown_has_a_range_and_a_source_and_stands_on_the_page(script: ModuleType, repository: Path) -> None:
    page = (repository / "docs" / "SENSITIVITY.md").read_text(encoding="utf-8")
    for one in script.UNKNOWNS:
        assert one.low < one.high
        assert one.source
        assert f"| {one.words} |" in page
    for words in script.QUESTIONS.values():
        assert words in page
