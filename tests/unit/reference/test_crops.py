"""The crop table: what each crop wants, when, and how well that is known."""

from __future__ import annotations

import pytest

from mullbed.domain.spread import Evidence
from mullbed.errors import InputFault, NotFound
from mullbed.processes.crop_uptake import wanted_by
from mullbed.reference import crops as room
from mullbed.reference.crops import all_crops, find_crop, matching_crops
from mullbed.reference.tables import csv_table, sources
from mullbed.units import from_canonical


def test_there_are_more_than_sixty_crops_each_with_a_want() -> None:
    table = all_crops()
    assert len(table) > 60
    for key, one in table.items():
        assert key == one.key
        assert one.nitrogen_want.low < one.nitrogen_want.mid < one.nitrogen_want.high, key
        assert one.phosphorus_removed.mid >= 0.0, key
        assert one.yield_goal.mid > 0.0, key


def test_every_crop_names_a_known_source_and_class() -> None:
    for key, one in all_crops().items():
        assert one.source in sources(), key
        numbers = [one.nitrogen_want, one.phosphorus_removed, one.yield_goal, one.potassium_removed]
        for spread in (number for number in numbers if number is not None):
            assert isinstance(spread.evidence, Evidence), key
            assert spread.source in sources(), key
            if spread.evidence is Evidence.PUBLISHED:
                assert spread.source not in {"from_memory", "common_practice", "mullbed_model"}, key
        assert one.timing, key
        assert one.timing_source in sources(), key
        if one.nitrogen_want.evidence is Evidence.PUBLISHED:
            assert one.source not in {"from_memory", "common_practice"}, key
    assert all(line["evidence"] and line["source"] for line in csv_table("crops.csv"))


def test_wants_lie_where_the_german_ordinance_puts_them() -> None:
    # published: German Fertiliser Ordinance, Annex 4 Table 4: needs of 60-320 kg/ha, median about 155
    wants = sorted(
        from_canonical(one.nitrogen_want.mid, "kg/ha") for one in all_crops().values() if one.source == "duev2021"
    )
    assert len(wants) > 45
    assert wants[0] >= 60.0
    assert wants[-1] <= 320.0
    assert wants[len(wants) // 2] == pytest.approx(155.0, abs=25.0)


@pytest.mark.parametrize(
    ("name", "left"),  # published: the same ordinance, nitrogen credit of the crop's own residues, kg/ha
    [
        *(("brussels sprouts", 130), ("broccoli", 100), ("courgette (zucchini)", 85), ("cauliflower", 80)),
        *(("white cabbage, fresh", 75), ("pole bean", 70), ("peas", 65), ("savoy cabbage", 80)),
    ],
)
def test_what_a_crop_leaves_is_as_published(name: str, left: float) -> None:
    assert from_canonical(find_crop(name).residue_nitrogen, "kg/ha") == pytest.approx(left, abs=1.0)


def test_stages_add_up_to_a_season_and_cover_grows() -> None:
    for key, one in all_crops().items():
        assert len(one.stage_days) == 4, key
        assert all(days >= 1.0 for days in one.stage_days), key
        assert 25.0 <= sum(one.stage_days) <= 400.0, key
        assert 0.15 < one.basal_at_middle <= 1.2, key
        assert 0.15 < one.basal_at_end <= 1.2, key
        if one.days_to_maturity is not None:
            assert 20.0 < one.days_to_maturity[0] <= one.days_to_maturity[1] < 400.0, key
        if one.root_depth is not None:
            assert 0.1 <= one.root_depth <= 2.5, key


def test_fine_seed_is_always_sown_direct() -> None:
    assert all(one.sown_direct for one in all_crops().values() if one.fine_seed)
    assert find_crop("carrot").fine_seed
    assert not find_crop("broad bean").fine_seed
    assert find_crop("broad bean").sown_direct
    assert not find_crop("tomato").sown_direct
    assert find_crop("spring onions").fine_seed
    assert find_crop("lettuce, red loose-leaf").sown_direct == find_crop("lettuce, green loose-leaf").sown_direct


@pytest.mark.parametrize(
    ("name", "key"),
    [
        *(("tomatoes", "tomato"), ("Leeks", "leek"), ("onions", "onion_bulb"), ("zucchini", "courgette_zucchini")),
        *(("carrots", "carrot_bunched"), ("strawberries", "strawberry_fruiting_year_spring_dose")),
        *(
            ("courgettes", "courgette_zucchini"),
            ("winter rye", "cereal_rye_cover_crop"),
            ("tomatoe", "tomato"),
            ("red cabage", "red_cabbage"),
        ),
    ],
)
def test_a_crop_is_found_by_the_name_a_grower_uses(name: str, key: str) -> None:
    assert find_crop(name).key == key


def test_every_crop_is_found_by_its_key_and_its_name() -> None:
    for key, one in all_crops().items():
        assert find_crop(key).key == key
        assert find_crop(one.name).key == key


def test_a_range_holds_what_other_guides_say() -> None:
    # published: AHDB RB209 section 6 (2021) Table 6.27; derived: New England guide Table 4; kg N/ha
    carrot, broccoli, beet = (find_crop(name).nitrogen_want for name in ("carrot, washed", "broccoli", "beetroot"))
    assert from_canonical(carrot.high, "kg/ha") == pytest.approx(163.0, abs=1.0)
    assert from_canonical(broccoli.low, "kg/ha") == pytest.approx(185.0, abs=1.0)
    assert (beet.low, beet.high) == pytest.approx((0.8 * beet.mid, 1.25 * beet.mid))
    assert all(one.nitrogen_want.range_evidence is Evidence.GUESS for one in all_crops().values())


def test_lettuce_takes_most_of_its_nitrogen_in_the_last_four_weeks() -> None:
    # published: University of California, Davis, and CDFA, page on lettuce: 70-80 % between heading and harvest
    lettuce = find_crop("lettuce")
    assert lettuce.days_to_maturity is not None
    days = sum(lettuce.days_to_maturity) / 2.0
    before = wanted_by(1.0 - 28.0 / days, 1.0, lettuce.steepness, lettuce.steepest)
    assert 0.65 < 1.0 - before < 0.85
    assert wanted_by(1.0, 1.0, lettuce.steepness, lettuce.steepest) == pytest.approx(1.0)


def test_celery_is_slow_for_six_weeks_and_strawberries_take_evenly() -> None:
    # published: the same, pages on celery and strawberry
    celery, strawberry = find_crop("celery"), find_crop("strawberries")
    assert wanted_by(45.0 / 110.0, 1.0, celery.steepness, celery.steepest) < 0.15
    quarters = [wanted_by(share, 1.0, strawberry.steepness, strawberry.steepest) for share in (0.25, 0.5, 0.75)]
    assert quarters == pytest.approx([0.25, 0.5, 0.75], abs=0.02)


@pytest.mark.parametrize(
    ("family", "members", "stranger"),
    [
        ("brassicas", {"kale", "broccoli", "white_cabbage_fresh"}, "leek"),
        ("legumes", {"garden_pea_shelled", "pole_runner_bean"}, "kale"),
        ("alliums", {"leek", "garlic"}, "carrot_bunched"),
        ("nightshades", {"tomato", "potato_maincrop"}, "sweet_potato"),
    ],
)
def test_a_family_is_answered_with_its_members(family: str, members: set[str], stranger: str) -> None:
    found = {one.key for one in matching_crops(family)}
    assert members <= found
    assert stranger not in found
    with pytest.raises(NotFound) as caught:
        find_crop(family)
    assert set(caught.value.nearest) <= found


@pytest.mark.parametrize(
    ("column", "value"),
    [("source", ""), ("evidence", "sure"), ("phosphorus_source", "nobody1900"), ("timing_evidence", "")],
)
def test_a_crop_without_source_or_class_does_not_load(column: str, value: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(name: str) -> list[dict[str, str]]:
        return [line | {column: value} if number in (3, 9) else line for number, line in enumerate(csv_table(name))]

    monkeypatch.setattr(room, "csv_table", broken)
    all_crops.cache_clear()
    try:
        with pytest.raises(InputFault) as caught:
            all_crops()
    finally:
        monkeypatch.undo()
        all_crops.cache_clear()
    assert len(caught.value.faults) == 2
    assert all(fault.place.startswith("crops.csv") for fault in caught.value.faults)


def test_a_crop_nobody_knows_is_refused_with_what_is_near() -> None:
    with pytest.raises(NotFound) as caught:
        find_crop("lettuce loose")
    assert caught.value.kind == "crop"
    assert set(caught.value.nearest) == {"lettuce_green_loose_leaf", "lettuce_red_loose_leaf"}
    with pytest.raises(NotFound):
        find_crop("moonflower tree")


def test_words_list_crops() -> None:
    assert {"red_cabbage", "savoy_cabbage"} <= {one.key for one in matching_crops("cabbage")}
    assert len(matching_crops("")) == len(all_crops())
