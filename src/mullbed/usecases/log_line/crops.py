"""Sowing and harvest."""

from __future__ import annotations

from dataclasses import replace

from mullbed.domain.bed import Bed
from mullbed.domain.layer import Layer
from mullbed.domain.record_batches import Answer
from mullbed.domain.record_crops import Harvested, Sown
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_work import LayerLaid
from mullbed.domain.refusal import Refusal, parted
from mullbed.domain.signing import Kept
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.files.noted_words import harvest_mass
from mullbed.reference.crops import find_crop
from mullbed.safety.refusals import sowing_is_refused
from mullbed.store.journal import entries
from mullbed.usecases.log_line.opening import Line, Open, keep, opened
from mullbed.usecases.log_line.refused import refuse, set_aside


def log_sown(
    line: Line,
    bed: str,
    crop: str,
    *,
    share: float | None = None,
    planted: bool | None = None,
    variety: str = "",
    cleared: bool = False,
    although: str | None = None,
) -> Kept:
    """Keep a sowing or planting; what is not said is as the garden file has it.

    Seed that goes in too soon after a soft fresh layer, or a crop that lead in the soil forbids, is kept only with a
    reason; ``cleared`` says that the slot was cleared of the layer.
    """
    with opened(line) as at:
        here = at.bed(bed)
        row = _crop(crop)
        meant = min(
            (one for one in here.crops if one.crop == row),
            key=lambda one: abs((one.planted - at.day).days),
            default=None,
        )
        direct = find_crop(row).sown_direct if meant is None else meant.sown_direct
        part = share if share is not None else (meant.share if meant is not None else 1.0)
        facts = Sown(row, direct if planted is None else not planted, part, variety, None, line.words)
        refused = _sowing_refused(at, here, row, seed=facts.direct, cleared=cleared)
        refuse(refused, although, what="sowing", otherwise="Take it out, and grow something else there.")
        kept = keep(at, Kind.SOWN, facts, bed=here)
        for one in refused:
            set_aside(at, one, although or "", kept.entry.id, here)
        return kept


def _sowing_refused(at: Open, bed: Bed, crop: str, *, seed: bool, cleared: bool) -> tuple[Refusal, ...]:
    """Return the rules that speak against a sowing, with the layers the record tells of."""
    told = entries(at.transaction, at.id, kinds=(Kind.LAYER,), bed=bed.name, last_day=at.day)
    laid = tuple(
        Layer(bed.name, one.day, tuple(lift.lift for lift in one.facts.lifts), one.facts.water)
        for one in told
        if isinstance(one.facts, LayerLaid)
    )
    here = replace(bed, layers=(*bed.layers, *laid))
    slot = Answer.YES if cleared or not seed else Answer.NO
    found = sowing_is_refused(crop, here, at.day, at.garden.site, at.garden.limits, in_cleared_slot=slot)
    return parted(found, at.garden.overrides)[0]


def log_harvest(line: Line, bed: str, crop: str, mass: str, *, last: bool = False, plot: str | None = None) -> Kept:
    """Keep a harvest, weighed; ``last`` when the crop is cleared."""
    with opened(line) as at:
        here = at.bed(bed)
        facts = Harvested(_crop(crop), harvest_mass(mass), plot, None, last, None, mass.strip(), line.words)
        return keep(at, Kind.HARVEST, facts, bed=here)


def _crop(name: str) -> str:
    try:
        return find_crop(name).key
    except NotFound as error:
        near = f"Did you mean {', '.join(error.nearest[:4])}?" if error.nearest else "`mullbed crops` lists them."
        raise InputFault([Fault("crop", f"'{name}'", "a crop of the table", near)]) from error
