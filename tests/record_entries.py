"""Entries of a garden that never was, for tests of the record."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np

from mullbed.domain.bed import Bed, Soil
from mullbed.domain.layer import Lift
from mullbed.domain.record import Entry, entry_id
from mullbed.domain.record_batches import Answer, BatchTaken, ContainerWeighed, Decision
from mullbed.domain.record_crops import Harvested, Sown
from mullbed.domain.record_ground import BedTold
from mullbed.domain.record_kinds import Facts, Kind
from mullbed.domain.record_seen import Noted, Observed, WeatherDay
from mullbed.domain.record_work import LayerLaid, LiftLaid, Watered
from mullbed.domain.spread import Evidence, Spread

GARDEN = "hollow-lane"
START = datetime(2026, 3, 1, 8, 0, tzinfo=UTC)
FIRST_DAY = date(2026, 3, 1)
SOIL = Soil(0.4, 0.2, Spread(0.02, 0.03, 0.045, "1", Evidence.MEASURED), "loam")


def id_of(number: int, salt: str = "") -> str:
    """Return the id of the entry of a number: always the same for the same number and salt."""
    chance = hashlib.sha256(f"{salt}{number}".encode()).digest()[:10]
    return entry_id(START + timedelta(seconds=number), chance)


def an_entry(
    number: int,
    facts: Facts | None = None,
    *,
    kind: str = Kind.SEEN,
    bed: str | None = "North",
    salt: str = "",
    garden: str = GARDEN,
    **more: object,
) -> Entry:
    """Return the entry of a number; without facts a handful that was squeezed."""
    given: dict[str, Any] = {
        "id": id_of(number, salt),
        "garden": garden,
        "kind": kind,
        "day": FIRST_DAY + timedelta(days=number % 200),
        "written_at": START + timedelta(seconds=number),
        "author": "Ada",
        "facts": facts or Observed("squeeze", "a few drops", words=f"number {number}"),
        "bed": bed,
    }
    return Entry(**(given | more))


def a_lift(count: float, residue: str = "grass clippings") -> Lift:
    """Return a lift of so many buckets."""
    return Lift(residue, "bucket", count, 120.0 * count, 0.2, Evidence.PUBLISHED, 0.01 * count, True, 1.5, 0.1)


def some_facts(chance: np.random.Generator) -> tuple[Kind, Facts, str | None, str | None]:
    """Return facts of a kind drawn by chance, with the bed and the batch they need."""
    bed = f"bed {chance.integers(1, 7)}"
    drawn: tuple[tuple[Kind, Facts, str | None, str | None], ...] = (
        (Kind.LAYER, LayerLaid((LiftLaid(a_lift(float(chance.integers(1, 5))), "buckets"),), water=3.0), bed, None),
        (Kind.WATER, Watered(float(chance.integers(1, 9)), said="two cans"), bed, None),
        (Kind.SEEN, Observed("thickness by finger", value=round(float(chance.uniform(0.01, 0.1)), 3)), bed, None),
        (Kind.SEEN, Observed("smell", "earthy"), bed, None),
        (Kind.NOTE, Noted("rain on the way, Grüße, 🌧", ("slugs",)), bed, None),
        (Kind.HARVEST, Harvested("lettuce", float(chance.integers(1, 5)), plot="a"), bed, None),
        (Kind.SOWN, Sown("carrot"), bed, None),
        (Kind.WEATHER, WeatherDay(float(chance.integers(0, 20)), 3.5, 15.0), None, None),
        (Kind.WEIGHING, ContainerWeighed("bucket", "grass clippings", 3.2), None, None),
        (
            Kind.BATCH,
            BatchTaken("hay", "bale", 2.0, Decision.HOLD_AND_TEST, "sprayed?", "Ada", sprayed=Answer.NOT_KNOWN),
            None,
            f"hay {chance.integers(1, 4)}",
        ),
        (Kind.BED, BedTold.of(Bed(bed, 4.0, SOIL)), bed, None),
    )
    return drawn[int(chance.integers(len(drawn)))]
