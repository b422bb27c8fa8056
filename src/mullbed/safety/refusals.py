"""Everything that speaks against a layer that is about to be noted as laid, or against a crop that is about to be sown.

These are the calls of the log; nothing is read or written here.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from mullbed.domain.bed import Bed
from mullbed.domain.garden import Limits, Site
from mullbed.domain.record_batches import Answer
from mullbed.domain.record_work import LayerLaid
from mullbed.domain.refusal import Refusal
from mullbed.domain.residue import Residue
from mullbed.domain.safety import BatchState
from mullbed.reference.residues import all_residues
from mullbed.safety.hygiene import batch_refusals
from mullbed.safety.lead import lead_refusals
from mullbed.safety.residue_risks import is_rich, juglone_refusal, site_refusals
from mullbed.safety.surroundings import building_refusals, water_refusals
from mullbed.safety.waits import harvest_refusals, is_hot_enough, seed_too_soon, sowing_refusals


def refusals(
    laid: LayerLaid,
    batches: Mapping[str, BatchState],
    bed: Bed,
    day: date,
    site: Site,
    limits: Limits | None = None,
    residues: Mapping[str, Residue] | None = None,
) -> tuple[Refusal, ...]:
    """Return every rule a layer breaks on its day and bed, each once; nothing when it breaks none.

    Parameters
    ----------
    laid : LayerLaid
        As it is about to be noted.
    batches : mapping
        State on that day of every batch the lifts name; a lift without a known batch is judged by its residue.
    bed : Bed
        With its crops and surroundings.
    day : date
        Day of laying.
    site : Site
    limits : Limits, optional
        The garden's own waits before sowing; the rule's where left out.
    residues : mapping, optional
        Residue table by key; the whole table where left out.
    """
    table = residues or all_residues()
    found = list(building_refusals(bed, site))
    rich = False
    for one in laid.lifts:
        residue = table[one.lift.residue]
        rich = rich or is_rich(residue)
        batch = batches.get(one.batch) if one.batch is not None else None
        if batch is not None:
            found += batch_refusals(batch, day)
        found += _lift_refusals(residue, batch, bed, day, site)
    if rich:
        found += water_refusals(bed, site)
    if any(one.lift.fresh for one in laid.lifts):
        found += sowing_refusals(bed, site, day, limits or Limits())
    return tuple(dict.fromkeys(found))


def _lift_refusals(residue: Residue, batch: BatchState | None, bed: Bed, day: date, site: Site) -> list[Refusal]:
    heated = batch is not None and is_hot_enough(batch.answers.heated)
    brought_in = batch is not None and batch.bought_in and not batch.answers.own
    name = batch.name if batch is not None else residue.key
    found = list(site_refusals(residue, site, name=name, brought_in=brought_in, heated=heated))
    found += harvest_refusals(residue, bed, site, day, name=name, heated=heated)
    coming = tuple(crop for crop in bed.crops if crop.harvested >= day)
    walnut = juglone_refusal(residue, bed, site, coming, name)
    return found if walnut is None else [*found, walnut]


def sowing_is_refused(
    crop: str, bed: Bed, day: date, site: Site, limits: Limits | None = None, *, in_cleared_slot: Answer = Answer.NO
) -> tuple[Refusal, ...]:
    """Return every rule that speaks against sowing a crop where it grows, on a day.

    A slot cleared of the layer needs no wait; lead in the soil stays what it is.
    """
    found = list(lead_refusals(bed, crop, site))
    if in_cleared_slot is not Answer.YES:
        found += seed_too_soon(bed, site, crop, day, limits or Limits())
    return tuple(found)
