"""One line typed at the bed becomes domain words, or sentences that say how to write it."""

from __future__ import annotations

from datetime import date

import pytest

from mullbed.domain.bed import Bed
from mullbed.domain.filling import fill
from mullbed.domain.garden import Garden
from mullbed.errors import InputFault
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import read_garden
from mullbed.files.noted_words import (
    batch_typed,
    bed_named,
    depth_of_water,
    harvest_mass,
    layer_typed,
    observation_typed,
    rain_typed,
    temperature_typed,
    weighing_typed,
)
from mullbed.reference.containers import find_container
from mullbed.reference.residues import find_residue

DAY = date(2027, 6, 10)


@pytest.fixture(scope="module")
def garden() -> Garden:
    return read_garden(bundled_garden())


@pytest.fixture(scope="module")
def gate(garden: Garden) -> Bed:
    bed = garden.bed("Gate Bed")
    assert bed is not None
    return bed


def test_a_bed_is_meant_by_its_name_or_by_words_only_it_has(garden: Garden) -> None:
    assert bed_named(garden, "gate bed").name == "Gate Bed"
    assert bed_named(garden, "potato").name == "Long Potato"
    with pytest.raises(InputFault, match="could be 2 beds"):
        bed_named(garden, "market")
    with pytest.raises(InputFault, match="Did you mean 'gate bed'"):
        bed_named(garden, "Gate Bad")


def test_a_layer_is_read_from_the_soil_up_in_the_containers_of_the_garden(garden: Garden, gate: Bed) -> None:
    lifts = ["grass clippings: 2 green buckets", "dry leaves: 1 leaf sack"]
    layer = layer_typed(gate, DAY, lifts, "2 cans", garden.containers)
    bucket = next(one for one in garden.containers if one.name == "green bucket")
    assert layer.lifts[0] == fill(find_residue("grass clippings"), bucket, 2.0, gate.area, others=garden.containers)
    assert layer.lifts[1].container == "leaf sack"
    assert layer.water == pytest.approx(2.0 * find_container("can").litres.mid / gate.area)


def test_a_lift_that_was_dried_first_is_no_longer_fresh(garden: Garden, gate: Bed) -> None:
    fresh, dried = (
        layer_typed(gate, DAY, [text], None, garden.containers).lifts[0]
        for text in ("grass clippings: 2 green bucket", "grass clippings: 2 green bucket, dried")
    )
    assert (fresh.fresh, dried.fresh) == (True, False)
    assert fresh.dry_matter == dried.dry_matter


def test_every_lift_that_cannot_be_read_is_told_at_once(garden: Garden, gate: Bed) -> None:
    with pytest.raises(InputFault) as refused:
        layer_typed(gate, DAY, ["grass", "moonbeams: 2 bucket", "straw: 2 grams of it"], "3 kg", garden.containers)
    told = str(refused.value)
    assert [f"lift {number}" in told for number in (1, 2, 3)] == [True, True, True]
    assert "water" in told
    with pytest.raises(InputFault, match="at least one"):
        layer_typed(gate, DAY, [], None, garden.containers)
    with pytest.raises(InputFault, match="m thick"):
        layer_typed(gate, DAY, ["straw: 80 bale"], None, garden.containers)


@pytest.mark.parametrize(("text", "depth"), [("18 L", 2.5), ("5 mm", 5.0), ("0.5 in", 12.7), ("2 cans", 2.5)])
def test_water_is_a_depth_from_cans_litres_or_millimetres(text: str, depth: float) -> None:
    assert depth_of_water(text, 7.2) == pytest.approx(depth)  # known: a can holds 9 L


@pytest.mark.parametrize("text", ["3 kg", "lots", "9000 L", "2 moons"])
def test_what_is_no_water_is_refused(text: str) -> None:
    with pytest.raises(InputFault):
        depth_of_water(text, 7.2)


@pytest.mark.parametrize(
    ("words", "what", "word", "value"),
    [
        (["smell", "sour"], "smell", "sour", None),
        (["sour"], "smell", "sour", None),
        (["Crackles"], "squeeze", "crackles", None),
        (["squeeze", "drips"], "squeeze", "drips freely", None),
        (["worms", "9"], "worms", None, 9.0),
        (["thickness", "3", "cm"], "thickness by finger", None, 0.03),
        (["thickness by ruler", "3,2"], "thickness by ruler", None, 0.032),
        (["soil temperature 50 F"], "soil temperature", None, 10.0),
        (["cover", "80 %"], "cover", None, 0.8),
        (["nitrate-N", "50", "NO3"], "nitrate-N", None, 11.3),
        (["nitrate-N", "11.3", "mg/kg", "NO3-N"], "nitrate-N", None, 11.3),
    ],
)
def test_an_observation_is_read_from_plain_words(
    words: list[str], what: str, word: str | None, value: float | None
) -> None:
    seen = observation_typed("Gate Bed", DAY, words)
    assert (seen.what, seen.word) == (what, word)
    assert seen.value == (pytest.approx(value) if value is not None else None)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([], "nothing"),
        (["smell", "lovely"], "earthy"),
        (["smel", "sour"], "Did you mean 'smell'"),
        (["nitrate-N", "50"], "NO3 or NO3-N"),
        (["worms", "-3"], "worms"),
        (["thickness", "3 kg"], "length"),
        (["none"], "threads"),
    ],
)
def test_an_observation_that_cannot_be_read_says_how(words: list[str], told: str) -> None:
    if words == ["none"]:
        assert observation_typed("Gate Bed", DAY, words).what == told
        return
    with pytest.raises(InputFault) as refused:
        observation_typed("Gate Bed", DAY, words)
    assert told in str(refused.value)


def test_a_weighing_is_the_mass_of_one_full_container(garden: Garden) -> None:
    residue, container, kilograms = weighing_typed("grass clippings: 3 green buckets 9.3 kg", garden.containers)
    assert (residue.key, container.name, kilograms) == ("grass_clip", "green bucket", pytest.approx(3.1))
    assert weighing_typed("straw: barrow 4,5 kg", ())[2] == 4.5
    with pytest.raises(InputFault, match="kg/m3"):
        weighing_typed("straw: bucket 90 kg", ())
    with pytest.raises(InputFault) as refused:
        weighing_typed("moonbeams: thimble 3 weeks", ())
    assert len(refused.value.faults) == 3


def test_a_batch_is_counted_in_containers() -> None:
    residue, container, count = batch_typed("hay: 3 bales", ())
    assert (residue.key, container.name, count) == ("hay_grass", "bale", 3.0)
    with pytest.raises(InputFault, match="a count of containers"):
        batch_typed("hay: 3 kg", ())


def test_harvest_temperature_and_rain_take_metric_and_us_units() -> None:
    assert harvest_mass("3.2") == 3.2
    assert harvest_mass("7 lb") == pytest.approx(3.17514659)
    assert temperature_typed("-4", "low") == -4.0
    assert temperature_typed("50 F", "high") == pytest.approx(10.0)
    assert rain_typed("12") == 12.0
    assert rain_typed("0.5 in") == pytest.approx(12.7)
    for wrong in ("99", "3 mm"):
        with pytest.raises(InputFault):
            temperature_typed(wrong, "low")
    with pytest.raises(InputFault):
        rain_typed("2 m")
