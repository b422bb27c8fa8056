"""A layer before it is laid, in sentences: Feeds, Water, Don't, how it is known; where to go on after it."""

from __future__ import annotations

from mullbed.domain.garden import UnitSystem
from mullbed.domain.layer_preview import LayerPreview
from mullbed.domain.spread import Evidence
from mullbed.domain.walk import BedVisit, Job
from mullbed.language import say
from mullbed.reports.amounts import cans_words, limit_words
from mullbed.reports.names import bed_title, residue_name
from mullbed.reports.reasons import layer_gives, layer_net
from mullbed.reports.round_list import do_words, number_parts, why_words


def feeds_words(found: LayerPreview) -> str:
    """Return when it feeds and how much in four weeks."""
    if found.planned is None:
        return say("Tap + to put a layer together; what it will do stands here.")
    return f"{layer_gives(found.planned)} {layer_net(found.planned, found.units)}"


def water_words(found: LayerPreview) -> str:
    """Return how much water it wants."""
    if found.planned is None:
        return ""
    if found.cans <= 0.0:
        return say("None: what lies here is moist enough.")
    dry = next((one for one in reversed(found.planned.layer.lifts) if not one.fresh), None)
    cans = cans_words(found.cans)
    if dry is None:
        return say("{amount}, in three passes", amount=cans)
    return say("{amount} over the {thing}, in three passes", amount=cans, thing=residue_name(dry.residue))


def dont_sentences(found: LayerPreview) -> tuple[str, ...]:
    """Return what not to do with this layer, gravest first; each follows the word Don't."""
    if found.planned is None:
        return ()
    told = []
    lifts = found.planned.layer.lifts
    soft = [one for one in lifts if one.fresh]
    thickest = max(soft, key=lambda one: one.thickness, default=None)
    if thickest is not None and thickest.thickness > found.thickest_soft + 1e-9:
        limit = limit_words(found.thickest_soft)
        thing = residue_name(thickest.residue)
        told.append(say("lay the {thing} thicker than {limit}. It goes slimy.", thing=thing, limit=limit))
    if soft and lifts[-1].fresh:
        told.append(say("leave it open: put dry stuff on top the same day, or its nitrogen goes up as gas."))
    taken = dict(found.counts)
    for heap in found.hand.heaps:
        if taken.get(heap.name, 0.0) > heap.count + 0.01:
            told.append(say("count on more {thing} than there is.", thing=residue_name(heap.residue)))
    told.append(say("crowd the stems: one hand clear."))
    return tuple(told[:2])


def known_words(found: LayerPreview) -> str:
    """Return how it is known."""
    if found.planned is None:
        return ""
    measured = any(one.dry_matter_evidence is Evidence.MEASURED for one in found.planned.layer.lifts)
    if measured:
        return say("Worked out, not measured. You weighed your bucket: that helps.")
    return say("Worked out, not measured. Weigh one full bucket to halve the doubt.")


def next_stop_words(visit: BedVisit, units: UnitSystem) -> tuple[str, str, str]:
    """Return the number, the words and the reason of the next stop."""
    stop = visit.stops[0]
    if stop.job not in (Job.LAY, Job.WATER, Job.CAP, Job.USE_UP):
        return (
            "",
            say("Next, at {bed}: {job}.", bed=bed_title(visit.bed), job=do_words(stop, units)),
            why_words(stop, units),
        )
    figure, unit, _ = number_parts(stop, units)
    return figure, say("{amount} next, at {bed}", amount=unit, bed=bed_title(visit.bed)), why_words(stop, units)
