"""The class of every output follows from what open data hold, and falls when a case leaves them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mullbed.domain.backing import Backing, CaseFacts
from mullbed.evidence.backing import backing_of
from mullbed.plan.bed_forecast import SERIES
from mullbed.reference.data_behind import data_behind
from mullbed.reports.backing_words import NAMES, backing_sentences

CLIPPINGS_ALONE = CaseFacts((2.8, 2.8), mixed=False, buried=False, warmth=(11.0, 13.0), days=200)


def test_clippings_alone_through_a_mild_season_are_backed_by_data():
    assert backing_of("net_nitrogen", CLIPPINGS_ALONE).backing is Backing.DATA
    assert "field_green_mulch" in backing_of("net_nitrogen", CLIPPINGS_ALONE).sets


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"mixed": True}, "one residue at a time"),
        ({"nitrogen": (0.1, 2.8)}, "nitrogen"),
        ({"nitrogen": (2.8, 9.0)}, "nitrogen"),
        ({"warmth": (11.0, 31.0)}, "temperature"),
        ({"warmth": (-9.0, 13.0)}, "temperature"),
        ({"days": 7000}, "years"),
    ],
)
def test_each_step_beyond_the_data_makes_it_an_extrapolation_and_is_named(change: dict[str, object], word: str):
    found = backing_of("net_nitrogen", replace(CLIPPINGS_ALONE, **change))  # type: ignore[arg-type]
    assert found.backing is Backing.BEYOND
    assert any(word in one for one in found.beyond)


def test_bare_soil_is_backed_for_its_warmth_and_covered_soil_is_not():
    bare = replace(CLIPPINGS_ALONE, nitrogen=None)
    assert backing_of("soil_temperature", bare).backing is Backing.DATA
    assert backing_of("soil_temperature", CLIPPINGS_ALONE).backing is Backing.BEYOND


def test_ammonia_and_the_height_of_a_cover_are_never_called_backed():
    for output in ("ammonia_lost", "thickness", "leached", "moisture"):
        assert backing_of(output, CLIPPINGS_ALONE).backing is Backing.BEYOND


def test_every_series_of_a_forecast_has_a_row_and_a_name():
    assert set(SERIES) <= set(data_behind())
    assert set(SERIES) <= set(NAMES)


def test_the_sets_named_are_sets_that_are_validated():
    from mullbed.evidence.yardsticks import yardsticks

    known = {one for rows in (yardsticks(),) for one in rows}
    named = {one for row in data_behind().values() for one in row.sets} - {"soil_temperature"}
    assert named <= known


def test_sentences_say_what_is_held_and_what_is_beyond():
    told = backing_sentences(tuple(backing_of(name, CLIPPINGS_ALONE) for name in SERIES))
    assert told[0].startswith("Nitrogen the layers give")
    assert "beyond any data" in told[1]
