"""Carry a garden into its next season: layers, soil, the account of phosphorus and potassium, containers, trials.

Reads and writes the record. Raises InputFault when the season was carried over already.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from mullbed.domain.doings import BedAccount
from mullbed.domain.garden import Garden
from mullbed.domain.plain_values import from_plain, to_plain
from mullbed.domain.record import Entry
from mullbed.domain.record_codec import canonical
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.record_seen import SoilTested
from mullbed.domain.signing import Signature, Where
from mullbed.errors import Fault, InputFault
from mullbed.files.kept_forecast import read_forecast
from mullbed.files.record_garden import (
    DONE_KINDS,
    GARDEN_KINDS,
    KeptGarden,
    document_content,
    doings_in,
    kept_garden,
    newest_document,
)
from mullbed.plan.garden_as_done import garden_as_done
from mullbed.plan.next_season import next_season
from mullbed.plan.nutrient_account import bed_account
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.store.database import open_record
from mullbed.store.journal import append, entries, latest_by_bed
from mullbed.store.which_garden import which_garden

Band = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class CarriedOver:
    """What was carried into the next season."""

    garden: Garden
    entry: Entry
    as_of: date
    accounts: tuple[BedAccount, ...]
    mineral_nitrogen: dict[str, Band]
    """By bed, of 0-25 cm on that day by the stored forecast: low, middle, high. [g m-2]"""
    trials: tuple[str, ...]
    """Names of trials whose plots go on."""


def next_year(where: Where, signed: Signature, *, as_of: date | None = None, same_crops: bool = False) -> CarriedOver:
    """Carry the garden over, as of a day; without one, today or the season's last day, whichever is first.

    Raises
    ------
    InputFault
        When the record holds no garden, or the season was carried over already.
    RecordError
        When the record cannot be written.
    """
    crops, residues = all_crops(), all_residues()
    with open_record(where.record) as record, record.writing() as transaction:
        identity = which_garden(transaction, where.garden)
        told = entries(transaction, identity, kinds=(*GARDEN_KINDS, *DONE_KINDS, Kind.TRIAL))
        kept = kept_garden(told)
        if kept is None:
            remedy = "Begin with: mullbed garden new garden.toml"
            raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
        day = as_of or min(signed.today, kept.garden.last_day)
        _check(kept, day)
        doings = doings_in(told, kept.carried_over_on)
        now = garden_as_done(
            kept.garden, doings, day, crops=crops, residues=residues, container=find_container, from_today=False
        )
        before = _accounts_before(told)
        season = (kept.garden.first_day, day)
        accounts = tuple(
            bed_account(bed, season, doings.picked, crops, residues, before.get(bed.name)) for bed in now.beds
        )
        tested = {
            entry.bed: entry.day for entry in told if isinstance(entry.facts, SoilTested) and entry.bed is not None
        }
        coming = next_season(kept.garden, now, accounts, day, residues, same_crops=same_crops, tested=tested)
        names = tuple(bed.name for bed in now.beds)
        forecasts = latest_by_bed(transaction, identity, (Kind.FORECAST,), names)
        nitrogen = _mineral_nitrogen({bed: entry for (bed, _), entry in forecasts.items()}, day)
        kept_trials = [one.facts for one in told if one.kind == Kind.TRIAL]
        trials = tuple(dict.fromkeys(one.name for one in kept_trials if isinstance(one, Document)))
        content = {
            "as_of": day.isoformat(),
            "garden": to_plain(coming),
            "accounts": [to_plain(one) for one in accounts],
            "mineral_nitrogen": {bed: list(band) for bed, band in nitrogen.items()},
            "trials": list(trials),
        }
        over = newest_document(told, Kind.CARRIED_OVER)
        version = 1 if over is None else over[1].version + 1
        facts = Document("season carried over", version, canonical(content))
        entry = Entry(signed.new_id(), identity, Kind.CARRIED_OVER, day, signed.now, signed.author, facts)
        append(transaction, [entry])
    return CarriedOver(coming, entry, day, accounts, nitrogen, trials)


def _check(kept: KeptGarden, day: date) -> None:
    if kept.carried_over_on is not None and day <= kept.carried_over_on:
        remedy = "Take that back first, with mullbed log take-back and its id, or carry over as of a later day."
        found = f"carried over as of {kept.carried_over_on} already"
        raise InputFault([Fault("season", found, "a day after that", remedy)])
    if day < kept.garden.first_day:
        remedy = "Wait until the season has begun, or give --as-of."
        raise InputFault([Fault("--as-of", f"{day}", f"from {kept.garden.first_day} on", remedy)])


def _accounts_before(told: Sequence[Entry]) -> dict[str, BedAccount]:
    """Return what was carried in, by bed."""
    over = newest_document(told, Kind.CARRIED_OVER)
    if over is None:
        return {}
    listed: Any = document_content(over[1]).get("accounts", [])
    accounts = [from_plain(BedAccount, one, "account") for one in listed]
    return {one.bed: one for one in accounts}


def _mineral_nitrogen(forecasts: dict[str, Entry], day: date) -> dict[str, Band]:
    found: dict[str, Band] = {}
    for bed, entry in forecasts.items():
        if isinstance(entry.facts, Document):
            band = read_forecast(entry.facts.content).at("mineral_nitrogen", day)
            if band is not None:
                found[bed] = band
    return found
