"""The garden in the record: its file kept whole, what was told since held over it, what was done read from entries."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from mullbed.domain.bed import PhosphorusStatus
from mullbed.domain.doings import Picked, Poured, SoilTested, Sown, TakenOff, Weighed
from mullbed.domain.plain_values import to_plain
from mullbed.domain.record import Entry, entry_id
from mullbed.domain.record_batches import BatchDecided, BatchTaken, ContainerWeighed, Decision
from mullbed.domain.record_codec import canonical
from mullbed.domain.record_crops import CropTold, Harvested
from mullbed.domain.record_crops import Sown as SownTold
from mullbed.domain.record_ground import BedTold, ContainerTold, SupplyTold
from mullbed.domain.record_kinds import Facts, Kind
from mullbed.domain.record_papers import Document, GardenFileKept
from mullbed.domain.record_seen import SoilTested as SoilTestTold
from mullbed.domain.record_seen import TestedValue, WeatherDay
from mullbed.domain.record_work import CoverDrawnBack, LayerLaid, LiftLaid, Watered
from mullbed.domain.supply import Container
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import read_garden
from mullbed.files.record_garden import (
    GARDEN_FILE,
    doings_in,
    garden_facts,
    kept_garden,
    newest_document,
    weather_in,
    whole_garden,
)
from mullbed.files.usual_weather import filled, read_usual, usual_text
from mullbed.weather.recorded_days import UsualDay

DATA = Path(__file__).parents[2] / "data"
START = datetime(2027, 5, 1, 8, tzinfo=UTC)
DAY = date(2027, 5, 1)


class Told:
    """Entries told one after the other, a second apart."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []

    def tell(
        self, kind: Kind, facts: Facts, *, day: date = DAY, bed: str | None = None, batch: str | None = None
    ) -> Entry:
        number = len(self.entries)
        moment = START + timedelta(seconds=number)
        entry = Entry(
            entry_id(moment, number.to_bytes(10, "big")), "g", kind, day, moment, "Ada", facts, bed=bed, batch=batch
        )
        self.entries.append(entry)
        return entry


@pytest.fixture
def told() -> Told:
    """Return the bundled garden as it is told to a record."""
    record = Told()
    for kind, facts, bed in garden_facts(whole_garden(bundled_garden())):
        record.tell(kind, facts, bed=bed)
    return record


def test_a_kept_garden_needs_no_file_beside_it(told: Told) -> None:
    kept = kept_garden(told.entries)
    filed = read_garden(bundled_garden())
    assert kept is not None
    assert replace(kept.garden, site=filed.site) == filed
    assert kept.garden.site.weather.daily_file == Path("weather.csv")
    assert kept.station_text == (bundled_garden().parent / "weather.csv").read_text(encoding="utf-8")
    assert kept.text == bundled_garden().read_text(encoding="utf-8")
    assert kept.carried_over_on is None


def test_a_garden_whose_beds_lie_in_a_list_is_written_whole(tmp_path: Path) -> None:
    text = (DATA / "sound_garden.toml").read_text(encoding="utf-8")
    (tmp_path / "beds.csv").write_text("name,size,texture\nListed,1 m x 2 m,loam\n", encoding="utf-8")
    (tmp_path / "garden.toml").write_text('beds_file = "beds.csv"\n' + text, encoding="utf-8")
    kept = whole_garden(tmp_path / "garden.toml")
    assert "beds_file" not in kept.text
    assert 'name = "Listed"' in kept.text


def test_no_garden_file_is_no_garden() -> None:
    assert kept_garden(()) is None


def test_g1_what_was_told_after_the_file_holds_over_it_and_a_new_file_over_all(told: Told) -> None:
    kept = kept_garden(told.entries)
    assert kept is not None
    bed = kept.garden.beds[0]
    told.tell(Kind.BED, replace(BedTold.of(bed), area=3.0), bed=bed.name)
    told.tell(Kind.BED, replace(BedTold.of(kept.garden.beds[1]), in_use=False), bed=kept.garden.beds[1].name)
    box = Container("box", kept.garden.containers[0].litres)
    told.tell(Kind.CONTAINER, ContainerTold(box))
    told.tell(Kind.SUPPLY, SupplyTold(kept.garden.supplies[0], ended=True))
    told.tell(Kind.CROP, CropTold(bed.crops[0], dropped=True), bed=bed.name)
    now = kept_garden(told.entries)
    assert now is not None
    assert now.garden.beds[0].area == 3.0
    assert now.garden.beds[0].crops == bed.crops[1:]
    assert now.garden.bed(kept.garden.beds[1].name) is None
    assert now.garden.containers[-1] == box
    assert now.garden.supplies == kept.garden.supplies[1:]
    told.tell(Kind.GARDEN_FILE, GardenFileKept(GARDEN_FILE, str(kept.text)))
    again = kept_garden(told.entries)
    assert again is not None
    assert again.garden == kept.garden


def test_g2_a_season_carried_over_stands_in_place_of_the_file_and_ends_what_was_done(told: Told) -> None:
    kept = kept_garden(told.entries)
    assert kept is not None
    coming = replace(kept.garden, first_day=date(2028, 3, 15), last_day=date(2028, 10, 31))
    told.tell(Kind.WATER, Watered(4.0), bed="Gate Bed", day=date(2027, 6, 1))
    content = canonical({"garden": to_plain(coming)})
    told.tell(Kind.CARRIED_OVER, Document("over", 1, content), day=date(2027, 10, 31))
    told.tell(Kind.WATER, Watered(5.0), bed="Gate Bed", day=date(2028, 4, 1))
    now = kept_garden(told.entries)
    assert now is not None
    assert (now.garden, now.text, now.carried_over_on) == (coming, None, date(2027, 10, 31))
    assert [one.depth for one in doings_in(told.entries, now.carried_over_on).poured] == [5.0]
    assert [one.depth for one in doings_in(told.entries).poured] == [4.0, 5.0]


def test_every_kind_of_work_is_read(told: Told) -> None:
    kept = kept_garden(told.entries)
    assert kept is not None
    lift = next(bed for bed in kept.garden.beds if bed.layers).layers[0].lifts[0]
    told.tell(Kind.LAYER, LayerLaid((LiftLaid(lift, "6 leaf sacks"),), 2.0), bed="Gate Bed")
    told.tell(Kind.SOWN, SownTold("radish", share=0.5), bed="Gate Bed")
    told.tell(Kind.HARVEST, Harvested("radish", 2.0, last=True), bed="Gate Bed")
    told.tell(Kind.WEIGHING, ContainerWeighed("leaf sack", "leaf_municipal", 7.0))
    told.tell(Kind.WEIGHING, ContainerWeighed("leaf sack", "leaf_municipal", 12.0, packed=True))
    values = (TestedValue("Organic matter", 4.0, "%"), TestedValue("phosphorus class", None, "", "high"))
    told.tell(Kind.SOIL_TEST, SoilTestTold(values), bed="Gate Bed")
    done = doings_in(told.entries)
    assert (done.layers[0].bed, done.layers[0].lifts, done.layers[0].water) == ("Gate Bed", (lift,), 2.0)
    assert done.sown == (Sown("Gate Bed", DAY, "radish", 0.5, True),)
    assert done.picked == (Picked("Gate Bed", DAY, "radish", 2.0, True),)
    assert done.weighed == (Weighed(DAY, "leaf sack", "leaf_municipal", 7.0),)  # known: a trodden sack tells nothing
    assert done.soil_tests == (SoilTested("Gate Bed", DAY, 0.04, phosphorus_status=PhosphorusStatus.HIGH),)
    assert done.poured == ()
    assert Poured("Gate Bed", DAY, 1.0) not in done.poured


def test_cover_that_was_put_back_was_never_carried_off(told: Told) -> None:
    told.tell(Kind.DRAWN_BACK, CoverDrawnBack(0.5), bed="Gate Bed")
    told.tell(Kind.DRAWN_BACK, CoverDrawnBack(1.0), bed="Plum Bed")
    told.tell(Kind.DRAWN_BACK, CoverDrawnBack(put_back=True), bed="Plum Bed", day=DAY + timedelta(days=20))
    shares = {(one.bed, one.day): one.share for one in doings_in(told.entries).taken_off}
    assert shares[("Gate Bed", DAY)] == 0.5
    assert shares[("Plum Bed", DAY)] == 0.0
    assert TakenOff("Gate Bed", DAY, 0.5) in doings_in(told.entries).taken_off


@pytest.mark.parametrize(
    ("later", "held"),
    [(None, "sprayed?"), (Decision.KEEP, None), (Decision.SEND_BACK, "gone"), (Decision.HOLD_AND_TEST, "x")],
)
def test_the_last_decision_on_a_batch_holds(later: Decision | None, held: str | None, told: Told) -> None:
    taken = BatchTaken("hay_grass", "bale", 3.0, Decision.HOLD_AND_TEST, "sprayed?", "Ada", hold_until=date(2027, 6, 1))
    told.tell(Kind.BATCH, taken, batch="lane hay")
    if later is not None:
        told.tell(Kind.BATCH_DECISION, BatchDecided(later, "x", "Ada"), batch="lane hay")
    came = doings_in(told.entries).came_in
    if held == "gone":
        assert came == ()
        return
    (batch,) = came
    assert (batch.supply.name, batch.supply.count, batch.supply.held_because) == ("lane hay", 3.0, held)


def test_weather_and_documents_come_in_the_order_they_were_written(told: Told) -> None:
    told.tell(Kind.WEATHER, WeatherDay(rain=3.0))
    told.tell(Kind.WEATHER, WeatherDay(rain=4.0))
    assert [day.rain for _, day in weather_in(told.entries)] == [3.0, 4.0]
    told.tell(Kind.PLAN, Document("season plan", 1, "{}"))
    newest = told.tell(Kind.PLAN, Document("season plan", 2, '{"a":1}'))
    found = newest_document(told.entries, Kind.PLAN)
    assert found is not None
    assert found[0] == newest
    assert newest_document(told.entries, Kind.FORECAST) is None


def test_a_day_not_read_is_filled_from_the_usual_and_marked() -> None:
    usual = read_usual(usual_text([UsualDay(DAY, 5.04, 14.96, 2.26), UsualDay(DAY.replace(year=2028), 9.0, 9.0, 9.0)]))
    assert usual == {"05-01": (5.0, 15.0, 2.3)}  # known: the first of equal days, one digit
    whole = filled(WeatherDay(rain=7.0), DAY, usual)
    assert (whole.rain, whole.low, whole.high, whole.filled) == (7.0, 5.0, 15.0, ("low", "high"))
    cold = filled(WeatherDay(high=2.0), DAY, usual)
    assert (cold.low, cold.high, cold.filled) == (2.0, 2.0, ("rain", "low"))
    hot = filled(WeatherDay(low=20.0), DAY, usual)
    assert (hot.low, hot.high) == (20.0, 20.0)
    assert filled(WeatherDay(rain=1.0), date(2027, 8, 1), usual) == WeatherDay(rain=1.0)
