"""What a year's layers bring of phosphorus and potassium, what harvests carry off, and what that comes to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from mullbed.domain.bed import Bed, PhosphorusStatus
from mullbed.domain.crop import Crop
from mullbed.domain.layer import Layer
from mullbed.domain.residue import Residue
from mullbed.domain.soil_outlook import NutrientBalance, OutlookWarning
from mullbed.domain.spread import Evidence, Spread, weakest
from mullbed.plan.nutrient_account import CARRIED
from mullbed.plan.yearly_round import years_later

NOTHING = Spread(0.0, 0.0, 0.0, "g m-2", Evidence.WORKED_OUT)
#: Surplus below this is not worth a word. [g m-2 a-1] Judgement.
SMALL = 0.5
#: Potassium carried off beyond what is laid before it is spoken of. [g m-2 a-1] Judgement.
POTASSIUM_LOSS = 3.0


def nutrient_balances(
    bed: Bed, round_of: Sequence[Layer], last_day: date, crops: Mapping[str, Crop], residues: Mapping[str, Residue]
) -> tuple[NutrientBalance, ...]:
    """Return phosphorus and potassium of one year; ends of ranges are added as if all erred alike."""
    first = years_later(last_day, -1)
    grown = [one for one in bed.crops if first < one.harvested <= last_day]
    given = [one for one in bed.inputs if first < one.day <= last_day and one.name != CARRIED]
    balances = []
    for nutrient in ("phosphorus", "potassium"):
        unknown: set[str] = set()
        laid, removed = NOTHING, NOTHING
        for layer in round_of:
            for lift in layer.lifts:
                content = getattr(residues[lift.residue], nutrient)
                if content is None:
                    unknown.add(lift.residue)
                else:
                    laid = _plus(laid, content.scaled(lift.dry_matter, "g m-2"))
        if nutrient == "phosphorus":
            total = sum(one.phosphorus for one in given)
            laid = _plus(laid, Spread(total, total, total, "g m-2", Evidence.WORKED_OUT))
        elif given:
            unknown |= {one.name for one in given}
        for one in grown:
            row = crops[one.crop]
            taken = row.phosphorus_removed if nutrient == "phosphorus" else row.potassium_removed
            if taken is None:
                unknown.add(one.crop)
                continue
            scale = 1.0 if one.yield_goal is None else one.yield_goal / row.yield_goal.mid
            removed = _plus(removed, taken.scaled(scale * one.share, "g m-2"))
        surplus = Spread(
            laid.low - removed.high,
            laid.mid - removed.mid,
            laid.high - removed.low,
            "g m-2",
            weakest(laid.evidence, removed.evidence),
        )
        status = bed.soil.phosphorus_status if nutrient == "phosphorus" else None
        balances.append(NutrientBalance(nutrient, laid, removed, surplus, status, tuple(sorted(unknown))))
    return tuple(balances)


def _plus(one: Spread, other: Spread) -> Spread:
    return Spread(
        one.low + other.low,
        one.mid + other.mid,
        one.high + other.high,
        "g m-2",
        weakest(one.evidence, other.evidence),
        other.source or one.source,
    )


def nutrient_warnings(balances: Sequence[NutrientBalance]) -> tuple[OutlookWarning, ...]:
    """Return what a balance warns of."""
    found = []
    for one in balances:
        rich = one.status in (PhosphorusStatus.HIGH, PhosphorusStatus.VERY_HIGH)
        if one.nutrient == "phosphorus":
            if one.surplus.mid > SMALL:
                found.append(OutlookWarning("phosphorus rich" if rich else "phosphorus builds up", one.surplus.mid))
            if one.status is PhosphorusStatus.NOT_TESTED:
                found.append(OutlookWarning("phosphorus not tested"))
        elif one.surplus.mid < -POTASSIUM_LOSS:
            found.append(OutlookWarning("potassium falls", -one.surplus.mid))
        elif one.surplus.low > 4.0 * max(1.0, one.removed.mid):
            found.append(OutlookWarning("potassium builds up", one.surplus.mid))
    return tuple(found)
