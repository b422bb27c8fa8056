"""The documents `--json` prints and plan.json holds; their keys are fixed and described in docs/reference/json.md.

Everywhere low, mid and high are the 10th, 50th and 90th percentile, per m2 of bed; a missing number is null.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from math import isfinite

from mullbed.domain.forecast import Band, BedForecast, RelativeBalance
from mullbed.domain.garden import Garden, UnitSystem
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.mix import MixCheck
from mullbed.domain.plan_changes import LayerChange
from mullbed.domain.refusal import Override, Refusal
from mullbed.domain.season_plan import Fed, PlannedLayer, SeasonPlan
from mullbed.domain.spread import Spread
from mullbed.reports.amounts import layer_thickness_mm, thickness_mm
from mullbed.reports.backing_words import backing_document
from mullbed.reports.cautions import caution_class, caution_words
from mullbed.reports.document_text import rendered as rendered
from mullbed.reports.findings import finding_words
from mullbed.reports.plan_change_words import changes_document
from mullbed.reports.reasons import layer_why, shortage_words
from mullbed.reports.safety_rules import aside_document, refusal_document
from mullbed.reports.what_else import instead_words, worth_words

Json = dict[str, object]

_FORECAST_SERIES = (
    "thickness_mm", "moisture", "layer_temperature", "soil_temperature",
    "mineral_nitrogen", "net_nitrogen", "ammonia_lost", "leached",
)  # fmt: skip


def check_document(check: MixCheck) -> Json:
    """Return the document of `mullbed check`."""
    return {
        "cn": _spread(check.carbon_to_nitrogen),
        "nitrogen": _spread(check.nitrogen),
        "phosphorus": _spread(check.phosphorus),
        "moisture": _spread(check.moisture),
        "dry_matter": _spread(check.dry_matter),
        "thickness": {
            "fresh_mm": _finite(check.fresh_thickness * 1000),
            "wilted_mm": _finite(check.wilted_thickness * 1000),
        },
        "water_needed_litres": _finite(check.water_needed_litres),
        "area_m2": _finite(check.area),
        "lifts": [_lift(lift) for lift in check.layer.lifts],
        "season": {
            "layers": check.visits,
            "nitrogen_kg_ha": _spread(check.season_nitrogen, 10.0),
            "phosphorus_kg_ha": _spread(check.season_phosphorus, 10.0),
        },
        "net_nitrogen": [
            {"day": day, **_spread(spread)}
            for day, spread in zip(check.net_nitrogen_days, check.net_nitrogen, strict=True)
        ],
        "ammonia_lost": _spread(check.ammonia_lost),
        "leached": _spread(check.leached),
        "weather": check.weather,
        "findings": [
            {
                "code": finding.code,
                "text": finding_words(finding, UnitSystem.METRIC),
                "evidence": str(finding.evidence),
                "values": {key: _value(value) for key, value in finding.values.items()},
            }
            for finding in check.findings
        ],
    }


def layer_document(
    planned: PlannedLayer,
    *,
    carbon_to_nitrogen: Spread,
    traded: Sequence[object],
    cautions_on: date,
    refusals: Sequence[Refusal] = (),
    set_aside: Sequence[tuple[Refusal, Override]] = (),
) -> Json:
    """Return the document of `mullbed layer`; `traded` is what the design gave up, as words or plain mappings."""
    return {
        "bed": planned.layer.bed,
        "date": planned.layer.day.isoformat(),
        "lifts": [_lift(lift) for lift in planned.layer.lifts],
        "water_litres": _finite(planned.litres),
        "water_cans": _finite(planned.cans),
        "thickness_mm": layer_thickness_mm(planned.layer),
        "cn": _spread(carbon_to_nitrogen),
        "nitrogen": _spread(planned.nitrogen_laid),
        "phosphorus": _spread(planned.phosphorus_laid),
        "net_nitrogen_28d": _spread(planned.net_nitrogen_28d),
        "gives_from": _gives_from(planned),
        "traded": list(traded),
        "cautions": [{"code": key, "text": caution_words(key), "how": caution_class(key)} for key in planned.cautions],
        "cautions_as_of": cautions_on.isoformat(),
        "why": layer_why(planned),
        "refusals": [refusal_document(one) for one in refusals],
        "set_aside": [aside_document(*one) for one in set_aside],
    }


def forecast_document(
    forecasts: Mapping[str, BedForecast], balance: RelativeBalance, taught: Mapping[str, Sequence[str]] | None = None
) -> Json:
    """Return the document of `mullbed forecast`; `taught` says by bed what the record taught, "" of the garden."""
    document: Json = {
        "beds": {name: _bed_forecast(forecast) for name, forecast in forecasts.items()},
        "balance": _balance(balance),
        "spread_by": _spread_by(forecasts),
    }
    if taught:
        document["learnt"] = {name: list(sentences) for name, sentences in taught.items()}
    return document


def plan_document(plan: SeasonPlan, garden: Garden, changes: Sequence[LayerChange] | None = None) -> Json:
    """Return the document of `mullbed plan`, which is plan.json too; with a plan before it, what changes, too."""
    return {
        "garden": plan.garden,
        "first_day": plan.first_day.isoformat(),
        "last_day": plan.last_day.isoformat(),
        "seed": plan.seed,
        "weather": plan.weather,
        "units": str(garden.site.units),
        "layers": [_planned_layer(planned) for planned in plan.layers],
        "gather": [
            {
                "week": item.week.isoformat(),
                "residue": item.residue,
                "container": item.container,
                "count": _finite(item.count),
                "supply": item.supply,
                "use_by": item.use_by.isoformat() if item.use_by else None,
            }
            for item in plan.gather
        ],
        "gap": _finite(plan.gap),
        "outcomes": {
            "classes": plan.outcomes.classes,
            "candidates": plan.outcomes.candidates,
            "members": plan.outcomes.members,
            "simulated_seasons": plan.outcomes.simulated_seasons,
        },
        "corrections": plan.corrections,
        "changes": changes_document(changes) if changes is not None else None,
        "scenarios": None
        if plan.scenarios is None
        else {
            "count": plan.scenarios.scenarios,
            "share_of_bad_tenth": _finite(plan.scenarios.share),
            "mean_cost": _finite(plan.scenarios.mean),
            "bad_tenth_cost": _finite(plan.scenarios.bad_tenth),
            "mean_season_plan_mean_cost": _finite(plan.scenarios.mean_season_mean),
            "mean_season_plan_bad_tenth_cost": _finite(plan.scenarios.mean_season_bad_tenth),
            "differs": plan.scenarios.differs,
        },
        "budget": {
            bed: {
                "nitrogen_laid": _finite(budget.nitrogen_laid),
                "nitrogen_ceiling": _finite(budget.nitrogen_ceiling),
                "nitrogen_fed_high": _finite(budget.nitrogen_fed_high),
                "nitrogen_fed_ceiling": _finite(budget.nitrogen_fed_ceiling),
                "phosphorus_laid": _finite(budget.phosphorus_laid),
                "phosphorus_ceiling": _finite(budget.phosphorus_ceiling),
                "phosphorus_removed": _finite(budget.phosphorus_removed),
            }
            for bed, budget in plan.budget.items()
        },
        "promise": {bed: _fed(fed) for bed, fed in plan.promise.items()},
        "rehearsal": {bed: _fed(fed) for bed, fed in plan.rehearsal.items()},
        "unmet": {
            bed: {month: _finite(amount) for month, amount in months.items()} for bed, months in plan.unmet.items()
        },
        "supply_left": {name: _finite(count) for name, count in plan.supply_left.items()},
        "shortages": [
            {
                "limit": shortage.limit,
                "bed": shortage.bed,
                "month": shortage.month,
                "amount": _finite(shortage.amount),
                "unit": shortage.unit,
                "text": shortage_words(shortage),
            }
            for shortage in plan.shortages
        ],
        "worth": [
            {
                "limit": one.limit,
                "what": one.what,
                "month": one.month,
                "unit": one.unit,
                "worth": _finite(one.worth),
                "text": worth_words(one),
            }
            for one in plan.worth
        ],
        "supply": [
            {
                "supply": one.supply,
                "residue": one.residue,
                "container": one.container,
                "came": list(one.came),
                "used": list(one.used),
                "left": list(one.left),
            }
            for one in plan.supply
        ],
        "held": [
            {"supply": name, "why": why, "until": until.isoformat() if until else None}
            for name, why, until in plan.held
        ],
        "refusals": [refusal_document(one) for one in plan.refusals],
        "set_aside": [aside_document(*one) for one in plan.set_aside],
        "balance": _balance(plan.balance),
    }


def _planned_layer(planned: PlannedLayer) -> Json:
    layer: Layer = planned.layer
    return {
        "bed": layer.bed,
        "date": layer.day.isoformat(),
        "lifts": [_lift(lift) for lift in layer.lifts],
        "water_litres": _finite(planned.litres),
        "water_cans": _finite(planned.cans),
        "thickness_mm": layer_thickness_mm(layer),
        "settled_mm": thickness_mm(planned.settled_thickness),
        "lying_before_mm": thickness_mm(planned.lying_before),
        "minutes": _finite(planned.minutes),
        "nitrogen": _spread(planned.nitrogen_laid),
        "phosphorus": _spread(planned.phosphorus_laid),
        "net_nitrogen_28d": _spread(planned.net_nitrogen_28d),
        "gives_from": _gives_from(planned),
        "why": layer_why(planned),
        "reasons": [
            {
                "code": reason.code,
                "amount": _value(reason.amount),
                "day": reason.day.isoformat() if reason.day else None,
                "word": reason.word,
            }
            for reason in planned.reasons
        ],
        "cautions": list(planned.cautions),
        "instead": None
        if planned.instead is None
        else {
            "date": planned.instead.layer.day.isoformat() if planned.instead.layer is not None else None,
            "lifts": [_lift(lift) for lift in planned.instead.layer.lifts] if planned.instead.layer is not None else [],
            "cost": _finite(planned.instead.cost),
            "text": instead_words(planned.instead),
        },
    }


def _lift(lift: Lift) -> Json:
    return {
        "residue": lift.residue,
        "container": lift.container,
        "count": _finite(lift.count),
        "thickness_mm": thickness_mm(lift.thickness),
        "dry_matter": _finite(lift.dry_matter),
        "fresh": lift.fresh,
    }


def _gives_from(planned: PlannedLayer) -> Json:
    early, mid, late = (day.isoformat() if day else None for day in planned.gives_from)
    return {"early": early, "mid": mid, "late": late}


def _bed_forecast(forecast: BedForecast) -> Json:
    count = next(iter(forecast.series.values())).p50.size
    document: Json = {"days": [(forecast.first_day + timedelta(days=day)).isoformat() for day in range(count)]}
    for name in _FORECAST_SERIES:
        band = forecast.series["thickness" if name == "thickness_mm" else name]
        document[name] = _band(band, 1000.0 if name == "thickness_mm" else 1.0)
    for name, band in forecast.series.items():
        if name != "thickness" and name not in document:
            document[name] = _band(band, 1.0)
    document["crop_want"] = [_finite(float(value)) for value in forecast.crop_want]
    document["balance"] = _balance(forecast.balance)
    document["spread_by"] = dict(forecast.spread_by)
    document["backing"] = backing_document(forecast.backing)
    return document


def _band(band: Band, factor: float) -> Json:
    return {
        "p10": [_finite(float(value) * factor) for value in band.p10],
        "p50": [_finite(float(value) * factor) for value in band.p50],
        "p90": [_finite(float(value) * factor) for value in band.p90],
    }


def _spread_by(forecasts: Mapping[str, BedForecast]) -> Json:
    """Share by cause, the mean over the beds; each bed holds its own too."""
    causes = sorted({cause for forecast in forecasts.values() for cause in forecast.spread_by})
    shares: Json = {}
    for cause in causes:
        values = [forecast.spread_by[cause] for forecast in forecasts.values() if cause in forecast.spread_by]
        shares[cause] = _finite(sum(values) / len(values))
    return shares


def _fed(fed: Fed) -> Json:
    return {
        "crop_want": _finite(fed.crop_want),
        "soil_alone": _spread(fed.soil_alone),
        "layers": _spread(fed.layers),
        "ammonia_lost": _spread(fed.ammonia_lost),
        "leached": _spread(fed.leached),
        "covered_days": _spread(fed.covered_days),
    }


def _balance(balance: RelativeBalance) -> Json:
    return {"carbon": _finite(balance.carbon), "nitrogen": _finite(balance.nitrogen), "water": _finite(balance.water)}


def _spread(spread: Spread, factor: float = 1.0) -> Json:
    return {
        "low": _finite(spread.low * factor),
        "mid": _finite(spread.mid * factor),
        "high": _finite(spread.high * factor),
    }


def _finite(value: float) -> float | None:
    """A number, or null where none is known; six significant digits are more than anything here carries."""
    value = float(value)
    return float(f"{value:.6g}") if isfinite(value) else None


def _value(value: float | str | None) -> float | str | None:
    return value if value is None or isinstance(value, str) else _finite(value)
