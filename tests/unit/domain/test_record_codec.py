"""Entries written as JSON read the same; what a newer program wrote is kept word for word."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.bed import Bed, BedCrop, CropResidues, Irrigation, Watering
from mullbed.domain.garden import Profile, Site, WeatherSource
from mullbed.domain.record import Entry
from mullbed.domain.record_batches import (
    Answer,
    BatchDecided,
    BatchTaken,
    BeanTestRead,
    BeanTestSetUp,
    ContainerWeighed,
    Decision,
    TestVerdict,
)
from mullbed.domain.record_codec import canonical, digest, entry_from_plain, entry_to_plain
from mullbed.domain.record_crops import CropTold, Harvested, Sown
from mullbed.domain.record_ground import BedTold, ContainerTold, SiteTold, SupplyTold
from mullbed.domain.record_kinds import FORMS, Facts, Kind
from mullbed.domain.record_papers import (
    Document,
    GardenFileKept,
    Incident,
    KeptVerbatim,
    PhotoTaken,
    RuleOverridden,
    TakenBack,
)
from mullbed.domain.record_seen import FieldChecked, Noted, Observed, RainExpected, SoilTested, TestedValue, WeatherDay
from mullbed.domain.record_work import (
    Cost,
    CoverDrawnBack,
    DugIn,
    Fed,
    HoursWorked,
    IrrigationSet,
    LayerLaid,
    LiftLaid,
    Watered,
)
from mullbed.domain.spread import Evidence, Spread
from mullbed.domain.supply import Container, Supply
from mullbed.errors import InputFault
from record_entries import SOIL, START, a_lift, an_entry, id_of, some_facts

LITRES = Spread(9.0, 10.0, 11.0, "L", Evidence.MEASURED)
DOCUMENT = Document("season 2026", 2, '{"a": [1, 2.5, null]}', "a bed was added")
EVERY: dict[Kind, Facts] = {
    Kind.SITE: SiteTold(
        Site(
            "Hollow Lane", 51.5, WeatherSource(daily_file=Path("weather/own.csv")), 40.0, "Europe/London",
            profile=Profile.SCHOOL, weeks_away=((date(2026, 8, 1), date(2026, 8, 14)),), longitude=-1.2,
        )
    ),
    Kind.BED: BedTold.of(Bed("North", 4.5, SOIL, outline=((0.0, 0.0), (3.0, 0.0), (3.0, 1.5), (0.0, 1.5)))),
    Kind.CONTAINER: ContainerTold(Container("blue tub", LITRES, (("hay", 1.25),))),
    Kind.SUPPLY: SupplyTold(Supply("hay", "bale", 3.0, date(2026, 4, 1), every_days=14)),
    Kind.BATCH: BatchTaken(
        "hay", "bale", 3.0, Decision.HOLD_AND_TEST, "sprayed hay", "Ada", Answer.YES, Answer.NO, Answer.NOT_KNOWN,
        Answer.NO, "the farm by the brook", 45.0, date(2026, 5, 1),
    ),
    Kind.BATCH_DECISION: BatchDecided(Decision.KEEP, "beans grew", "Ada", id_of(3)),
    Kind.TEST_SET_UP: BeanTestSetUp(4, 4, 3, (date(2026, 4, 21), date(2026, 4, 28))),
    Kind.TEST_READ: BeanTestRead(id_of(4), TestVerdict.CLEAR, 0, 12, 0, 11, last=True),
    Kind.WEIGHING: ContainerWeighed("blue tub", "hay", 1.35, packed=True, moisture_words="dry", dry_kg=1.2),
    Kind.LAYER: LayerLaid(
        (LiftLaid(a_lift(3.0), "3 buckets", "hay 1", 9.9),), 6.5, id_of(5), date(2026, 5, 2), 25.0, "a"
    ),
    Kind.DRAWN_BACK: CoverDrawnBack(0.4, "sowing carrots"),
    Kind.WATER: Watered(5.0, Irrigation.DRIP, "40 L"),
    Kind.IRRIGATION: IrrigationSet(Watering(Irrigation.DRIP, 12.0, True)),
    Kind.FED: Fed("fish meal", 4.0, 0.3, 1.0, None, "2 handfuls"),
    Kind.DUG_IN: DugIn(0.1),
    Kind.SEEN: Observed("thickness by ruler", value=0.034, error=0.004, repeats=3, said="34 mm", plot="b"),
    Kind.NOTE: Noted("slugs under the board, ☔", ("slugs",)),
    Kind.FIELD_CHECK: FieldChecked("ring infiltration", "min", (3.5, 4.0), "6-in ring", 0.1, 2, "Bo", "c", "rapid"),
    Kind.SOIL_TEST: SoilTested(
        (TestedValue("P Olsen", 24.0, "mg/kg", "Olsen"), TestedValue("Pb", 10.0, "mg/kg", below_limit=True)),
        "Lab", "S1", 0.0, 0.15, 12,
    ),
    Kind.WEATHER: WeatherDay(12.5, None, 18.0, RainExpected.MUCH, ("high",)),
    Kind.CROP: CropTold(BedCrop("carrot", 0.5, date(2026, 4, 1), date(2026, 9, 1), True, CropResidues.LEFT, 3.0)),
    Kind.SOWN: Sown("carrot", False, 0.5, "Early Short", "a"),
    Kind.HARVEST: Harvested("carrot", 3.25, "a", 2.0, True, CropResidues.CUT_IN_PLACE, "3 and a quarter kilos"),
    Kind.HOURS: HoursWorked("laying", 95.0, 3),
    Kind.COST: Cost("straw", "12.50", "EUR"),
    Kind.INCIDENT: Incident("cut", "cut on a tin", "washed", ("the teacher",)),
    Kind.OVERRIDE: RuleOverridden("raw manure", "no harvest this year", "Ada", "cfr205", id_of(6)),
    Kind.PHOTO: PhotoTaken("0f" * 32, "image/png", 12345, "the slimy corner", "gate"),
    Kind.GARDEN_FILE: GardenFileKept("garden.toml", "[site]\nname = 'Hollow Lane'\n"),
    Kind.TAKEN_BACK: TakenBack("wrong bed"),
} | dict.fromkeys(
    (Kind.PLAN, Kind.FORECAST, Kind.LEARNT, Kind.DIAGNOSIS, Kind.TRIAL, Kind.TRIAL_RESULT, Kind.CARRIED_OVER), DOCUMENT
)  # fmt: skip


def of_kind(kind: Kind) -> Entry:
    form = FORMS[kind]
    more = {"withdraws": id_of(9)} if kind is Kind.TAKEN_BACK else {}
    return an_entry(
        1,
        EVERY[kind],
        kind=kind,
        bed="North" if form.needs_bed else None,
        batch="hay 1" if form.needs_batch else None,
        **more,
    )


def test_every_kind_is_tried_here() -> None:
    assert set(EVERY) == set(Kind)


@pytest.mark.parametrize("kind", list(Kind))
def test_every_kind_written_reads_the_same(kind: Kind) -> None:
    entry = of_kind(kind)
    text = json.dumps(entry_to_plain(entry))
    again = entry_from_plain(json.loads(text))
    assert again == entry
    assert digest(again) == digest(entry)
    assert type(again.facts) is FORMS[kind].facts


def test_entries_of_any_chance_read_the_same() -> None:
    chance = np.random.default_rng(20260301)
    for number in range(200):
        kind, facts, bed, batch = some_facts(chance)
        entry = an_entry(number, facts, kind=kind, bed=bed, batch=batch)
        assert entry_from_plain(json.loads(canonical(entry_to_plain(entry)))) == entry


def test_a_digest_differs_when_anything_differs() -> None:
    first = an_entry(1)
    others = [
        an_entry(2), an_entry(1, bed="South"), an_entry(1, author="Bo"), an_entry(1, subject=id_of(5)),
        an_entry(1, Observed("squeeze", "crackles")), an_entry(1, written_at=START), an_entry(1, garden="else"),
    ]  # fmt: skip
    assert len({digest(one) for one in [first, *others]}) == len(others) + 1


def test_a_kind_of_a_newer_program_is_kept_word_for_word() -> None:
    plain = entry_to_plain(an_entry(1)) | {"kind": "moon phase", "version": 7, "facts": {"phase": "full", "b": [1]}}
    entry = entry_from_plain(plain)
    assert entry.facts == KeptVerbatim(7, '{"b":[1],"phase":"full"}')
    assert entry_to_plain(entry) == plain


def test_a_newer_version_of_a_known_kind_is_kept_word_for_word() -> None:
    plain = entry_to_plain(an_entry(1)) | {"version": 99, "facts": {"what": "squeeze", "grip": "left"}}
    entry = entry_from_plain(plain)
    assert not entry.known
    assert entry_to_plain(entry) == plain


@pytest.mark.parametrize(
    "change",
    [
        {"id": "nonsense"}, {"id": None}, {"day": "first of May"}, {"written_at": "2026-05-01T10:00:00"},
        {"version": 0}, {"version": True}, {"colour": "red"}, {"facts": {"what": "squeeze"}}, {"facts": {}},
        {"facts": {"what": "squeeze", "word": "crackles", "grip": "left"}}, {"bed": 3},
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused_with_its_place(change: dict[str, object]) -> None:
    with pytest.raises(InputFault) as refused:
        entry_from_plain(entry_to_plain(an_entry(1)) | change, "entries[3]")
    assert refused.value.faults


def test_what_is_missing_is_named() -> None:
    plain = entry_to_plain(an_entry(1))
    del plain["author"], plain["day"]
    with pytest.raises(InputFault, match=r"(?s)entry\.day.*entry\.author"):
        entry_from_plain(plain)
