"""A small plan of the demo garden, kept in a record as if it had been made."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

from mullbed.domain.record import Entry
from mullbed.domain.record_codec import canonical
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.store.database import open_record
from mullbed.store.journal import append

LEAVES = {
    "residue": "leaf_municipal", "container": "leaf sack", "count": 2, "dry_matter": 900.0, "dry_matter_log_sd": 0.3,
    "dry_matter_evidence": "published", "thickness": 0.025, "fresh": False, "tissue_water": 0.0, "free_water": 0.4,
}  # fmt: skip
STRAW = {
    "residue": "straw_general", "container": "bale", "count": 1, "dry_matter": 700.0, "dry_matter_log_sd": 0.3,
    "dry_matter_evidence": "published", "thickness": 0.03, "fresh": False, "tissue_water": 0.0, "free_water": 0.1,
}  # fmt: skip


def planned(bed: str, day: date, *lifts: dict[str, object]) -> dict[str, object]:
    """Return a planned layer as plain values."""
    spread = {"low": 0.5, "mid": 1.0, "high": 2.0, "unit": "g m-2", "evidence": "worked out"}
    return {
        "layer": {"bed": bed, "day": day.isoformat(), "lifts": list(lifts) or [LEAVES, STRAW], "water": 2.5},
        "cans": 2, "litres": 18.0, "minutes": 14.0, "settled_thickness": 0.02, "lying_before": 0.0,
        "nitrogen_laid": spread, "phosphorus_laid": spread, "net_nitrogen_28d": spread,
        "gives_from": [None, None, None],
        "reasons": [{"code": "covers bare soil", "amount": None, "day": None, "word": None}], "cautions": [],
    }  # fmt: skip


def keep_plan(record: Path, *layers: dict[str, object], made_on: date = date(2027, 6, 1)) -> None:
    """Keep a plan with these layers."""
    content = {
        "garden": "Tanglewick", "first_day": "2027-03-15", "last_day": "2027-10-31", "seed": 1, "layers": list(layers),
        "gap": 0.02, "gather": [], "outcomes": {"classes": 1, "candidates": 1, "members": 16, "simulated_seasons": 16},
        "budget": {}, "promise": {}, "rehearsal": {}, "corrections": 0, "unmet": {}, "supply_left": {},
        "shortages": [], "held": [], "forecasts": {}, "balance": {"carbon": 0.0, "nitrogen": 0.0, "water": 0.0},
        "weather": "invented", "refusals": [], "set_aside": [],
    }  # fmt: skip
    entry = Entry(
        "0" * 25 + "2",
        "tanglewick",
        Kind.PLAN,
        made_on,
        datetime(2027, 6, 1, tzinfo=UTC),
        "Ada",
        Document("season plan", 1, canonical(content)),
    )
    with open_record(str(record)) as opened, opened.writing() as transaction:
        append(transaction, [entry])
