"""What the record and the model know of a bed becomes facts; what a person saw beats them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from mullbed.diagnose.bed_diagnosis import diagnose, first_actions
from mullbed.diagnose.bed_facts import TOPSOIL_MASS, last_soft_layer, model_facts, record_facts, season_of
from mullbed.diagnose.remedies import DryStuff
from mullbed.diagnose.symptoms import all_facts, all_signs, known_word
from mullbed.domain.bed import Bed, BedCrop, Soil
from mullbed.domain.diagnosis import UNKNOWN, Diagnosis
from mullbed.domain.forecast import Band, BedForecast, RelativeBalance
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.observation import Observation
from mullbed.domain.spread import Evidence, Spread
from mullbed.reference.residues import all_residues, find_residue

DAY = date(2027, 6, 10)
BUCKETS = DryStuff("bucket", Spread(10.0, 14.0, 19.0, "L", Evidence.GUESS))
GRASS, LEAVES = find_residue("grass clippings").key, find_residue("dry leaves").key


def lift(residue: str, thickness: float, *, fresh: bool) -> Lift:
    return Lift(residue, "bucket", 2.0, 400.0, 0.2, Evidence.GUESS, thickness, fresh, 1.0 if fresh else 0.0, 0.0)


def bed(*layers: Layer, crops: tuple[BedCrop, ...] = ()) -> Bed:
    soil = Soil(0.4, 0.2, Spread(0.02, 0.03, 0.04, "fraction", Evidence.GUESS), "loam")
    return Bed("Low", 5.0, soil, crops=crops, layers=layers)


def layer(days_ago: int, *lifts: Lift) -> Layer:
    return Layer("Low", DAY - timedelta(days=days_ago), lifts, 0.0)


def word_of(known, fact: str) -> str:
    weights = known[fact].weights
    return all_facts()[fact].words[weights.index(max(weights))]


def judged(one: Bed, *signs: str, **more) -> Diagnosis:
    return diagnose(one, DAY, signs, latitude=50.0, residues=all_residues(), dry=BUCKETS, **more)


def test_a_fresh_uncapped_layer_is_told_by_the_record() -> None:
    known = record_facts(bed(layer(2, lift(GRASS, 0.04, fresh=True))), DAY, 50.0, all_residues())
    assert word_of(known, "days_since_soft") == "up to 3 days"
    assert word_of(known, "soft_thickness") == "thick"
    assert word_of(known, "cap") == "none"
    assert word_of(known, "carbon_to_nitrogen") == "rich"
    assert word_of(known, "season") == "summer"
    assert not any(one.told for one in known.values())


def test_a_cap_in_the_layer_or_laid_after_it_counts() -> None:
    within = bed(layer(2, lift(GRASS, 0.02, fresh=True), lift(LEAVES, 0.03, fresh=False)))
    later = bed(layer(6, lift(GRASS, 0.02, fresh=True)), layer(1, lift(LEAVES, 0.03, fresh=False)))
    for one in (within, later):
        assert word_of(record_facts(one, DAY, 50.0, all_residues()), "cap") == "good"
    assert last_soft_layer(later, DAY, all_residues()) == DAY - timedelta(days=6)


def test_what_was_never_told_is_not_known() -> None:
    known = record_facts(bed(), DAY, 50.0, all_residues())
    assert set(known) == {"season"}


def test_layers_of_later_days_and_picked_crops_do_not_count() -> None:
    crops = (BedCrop("lettuce", 1.0, DAY - timedelta(days=20), DAY + timedelta(days=30), False),)
    one = bed(layer(-5, lift(GRASS, 0.04, fresh=True)), crops=crops)
    known = record_facts(one, DAY, 50.0, all_residues())
    assert "days_since_soft" not in known
    assert word_of(known, "crop_age") == "seedling"
    assert "crop_age" not in record_facts(one, DAY + timedelta(days=40), 50.0, all_residues())


@pytest.mark.parametrize(
    ("day", "latitude", "season"),
    [(date(2027, 1, 5), 50.0, "winter"), (date(2027, 1, 5), -35.0, "summer"), (date(2027, 10, 1), 50.0, "autumn"),
     (date(2027, 10, 1), -35.0, "spring")],
)  # fmt: skip
def test_seasons_turn_round_south_of_the_equator(day: date, latitude: float, season: str) -> None:
    assert season_of(day, latitude) == season


def forecast(**series: float) -> BedForecast:
    bands = {
        name: Band(*(np.full(30, value * factor) for factor in (0.95, 1.0, 1.05))) for name, value in series.items()
    }
    return BedForecast("Low", DAY - timedelta(days=10), bands, (), np.zeros(30), RelativeBalance(0.0, 0.0, 0.0), {})


def test_the_models_state_becomes_facts_and_mineral_nitrogen_a_strip() -> None:
    known = model_facts(forecast(moisture=0.8, soil_temperature=15.0, mineral_nitrogen=3.25), DAY)
    assert word_of(known, "moisture") == "wet"
    assert known["soil_nitrate"].spread is not None
    assert known["soil_nitrate"].spread.mid == pytest.approx(3.25 / TOPSOIL_MASS)  # known: 10 mg/kg
    assert not model_facts(forecast(moisture=0.8), date(2020, 1, 1))
    assert "moisture" not in model_facts(forecast(moisture=float("nan")), DAY)


def test_what_a_person_saw_beats_the_model_and_the_model_beats_the_record() -> None:
    wet = forecast(moisture=0.8, thickness=0.2)
    one = bed(layer(2, lift(GRASS, 0.04, fresh=True)))
    by_model = {known.fact: known for known in judged(one, "no_change", forecast=wet).known}
    assert word_of(by_model, "moisture") == "wet"
    assert word_of(by_model, "cover_thickness") == "thick"
    squeezed = Observation("squeeze", "Low", DAY, word="crackles")
    seen = {known.fact: known for known in judged(one, "no_change", forecast=wet, observations=[squeezed]).known}
    assert word_of(seen, "moisture") == "dry"
    told = judged(one, "no_change", forecast=wet, observations=[squeezed], told=[known_word("moisture", "moist")])
    assert word_of({known.fact: known for known in told.known}, "moisture") == "moist"


def test_the_record_alone_changes_the_answer() -> None:
    fresh = bed(layer(2, lift(GRASS, 0.05, fresh=True)))
    capped = bed(layer(60, lift(GRASS, 0.02, fresh=True), lift(LEAVES, 0.04, fresh=False)))
    assert judged(fresh, "sharp").first.chance.mid > judged(capped, "sharp").first.chance.mid


def test_a_diagnosis_is_whole() -> None:
    found = judged(bed(layer(5, lift(GRASS, 0.06, fresh=True))), "sour", "slimy", absent=["dripping"])
    assert found.first.key == "matted"
    assert found.signs == ("sour", "slimy")
    assert found.absent == ("dripping",)
    assert found.unknown.key == UNKNOWN
    assert [one.share for one in found.causes] == sorted((one.share for one in found.causes), reverse=True)
    assert sum(one.share for one in found.causes) <= 1.0 + 1e-12
    for one in found.causes:
        assert one.chance.low <= one.chance.mid <= one.chance.high
        assert one.remedy.steps
    assert "slimy" in found.first.speaks_for
    assert not found.simulated
    assert found.nitrogen is None


def test_nothing_that_fits_leaves_the_first_place_to_none_of_these() -> None:
    found = judged(bed(), "spots")
    assert found.first.key == UNKNOWN
    assert found.first.remedy.avoid.startswith("Don't")


def test_a_sign_that_is_both_said_and_seen_counts_once() -> None:
    seen = Observation("smell", "Low", DAY, word="sour")
    once, twice = judged(bed(), "sour"), judged(bed(), "sour", observations=[seen])
    assert twice.signs == once.signs
    assert twice.first.key == once.first.key == "gone_sour"


def test_each_sign_has_a_first_action_for_a_page_without_signal() -> None:
    actions = first_actions()
    assert [one.sign for one in actions] == list(all_signs())
    for one in actions:
        assert 0.0 < one.chance < 0.91
        assert one.heading.endswith(".")
        assert one.steps
    by_sign = {one.sign: one.cause for one in actions}
    assert by_sign["sharp"] == "ammonia_lost"
    assert by_sign["spots"] == UNKNOWN
    assert replace(actions[0], heading="x") != actions[0]
