"""Chips on top, and the garden's residues dug in: two more ways a garden could go."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from mullbed.domain.filling import lift_from_depth
from mullbed.domain.layer import Layer
from mullbed.domain.residue import Residue
from mullbed.plan.acts import Act
from mullbed.plan.as_laid import AsLaid
from mullbed.plan.terms import BedTerms, PlanTerms, Week
from mullbed.plan.way_pile import BARROW_LITRES, MINUTES_A_BARROW, first_day_for
from mullbed.plan.way_rules import Rule, Setting, act_of, due, share_among
from mullbed.reference.pile import Pile

#: Depth chips are laid to. [m; common practice, no source]
CHIPS_DEPTH = 0.05
#: Depth of digging. [m; common practice, no source]
DUG_TO = 0.15
#: Weeks from one digging of a bed to the next, and what is dug in: what is in store, shared by area.
DUG_EVERY = Setting(None, 4)


def chips(terms: PlanTerms, residue: Residue) -> tuple[tuple[Act, ...], ...]:
    """Return five centimetres of bought-in wood chips on every bed, once."""
    return tuple(_chips_on(bed, terms, residue) for bed in terms.beds)


def _chips_on(bed: BedTerms, terms: PlanTerms, residue: Residue) -> tuple[Act, ...]:
    day = first_day_for(bed, terms)
    if day is None:
        return ()
    week = (day - terms.weeks[0].monday).days // 7
    if float(bed.thickness[week]) + CHIPS_DEPTH > terms.limits.thickest_cover:
        return ()
    lift = lift_from_depth(residue, CHIPS_DEPTH, bed.area)
    barrows = 1000.0 * CHIPS_DEPTH * bed.area / BARROW_LITRES
    minutes = terms.limits.minutes_per_visit + terms.limits.minutes_per_area * bed.area + MINUTES_A_BARROW * barrows
    return (Act(day, minutes, Layer(bed.name, day, (lift,), 0.0), bought=barrows),)


def free_on(bed: BedTerms, day: date, limit: int) -> bool:
    """Say whether a bed can be dug: no crop stands on it, and none comes within so many days."""
    return not any(
        crop.planted <= day <= crop.harvested or 0 <= (crop.planted - day).days <= limit for crop in bed.growing
    )


def share_where_free(laid: AsLaid, week: Week, setting: Setting) -> None:
    """Share what is in store among the beds that are free and due, by area."""
    beds, day = laid.terms.beds, week.laying_day
    if day is None:
        return
    wait = laid.terms.limits.days_before_direct_sowing
    free = [
        number for number, bed in enumerate(beds) if due(laid, number, week, setting.weeks) and free_on(bed, day, wait)
    ]
    share_among(free, laid, week)


DUG_IN = Rule("dug in", share_where_free, (DUG_EVERY,))


def dug_in(laid: AsLaid, pile: Pile) -> tuple[tuple[Act, ...], ...]:
    """Return what was laid as dug in the same day; no water is carried for it."""
    found = []
    for number, layers in enumerate(laid.layers):
        digging = pile.minutes_to_dig.mid * laid.terms.beds[number].area
        acts = []
        for one in layers:
            act = act_of(one, laid.terms)
            layer = None if act.layer is None else replace(act.layer, water=0.0)
            poured = act.litres / laid.terms.limits.litres_per_minute
            acts.append(replace(act, layer=layer, dug_to=DUG_TO, litres=0.0, minutes=act.minutes - poured + digging))
        found.append(tuple(acts))
    return tuple(found)
