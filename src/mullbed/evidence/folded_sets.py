"""What fits in folds said of the sets, put together as comparisons with the reference models beside them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.validation import Comparison, FoldedSet
from mullbed.evidence.aridec import FARM, RICH_NITROGEN
from mullbed.evidence.calibrate import Calibration, errors_of
from mullbed.evidence.calibration_targets import EARLY, Target
from mullbed.evidence.gathering import Points, joined
from mullbed.evidence.reference_models import MODELS, held_out
from mullbed.evidence.scores import ranked_probability_normal, score

Array = NDArray[np.float64]
Kept = Callable[[Target], NDArray[np.bool_]]


def _every(target: Target) -> NDArray[np.bool_]:
    return np.ones(target.seen.size, dtype=bool)


def _if(asked: Callable[[Target], bool]) -> Kept:
    return lambda target: np.full(target.seen.size, asked(target))


def _green(target: Target) -> bool:
    return target.series.surface and target.series.chemistry.nitrogen >= RICH_NITROGEN


#: Sets by key: which targets they are made of, which of their values, and what the points are grouped by.
SETS: tuple[tuple[str, str, Kept, str], ...] = (
    ("lidet_mass", "lidet_mass", _every, "site"),
    ("lidet_mass_2y", "lidet_mass", lambda target: target.series.days <= EARLY, "site"),
    ("lidet_mass_weather", "lidet_mass_weather", _every, "site"),
    ("lidet_nitrogen", "lidet_nitrogen", _every, "site"),
    ("cidet_mass", "cidet_mass", _every, "site"),
    ("eurodeco_mass", "eurodeco_mass", _every, "site"),
    ("aridec_mass", "aridec", _every, "study"),
    ("aridec_surface_green", "aridec", _if(_green), "study"),
    ("aridec_surface_farm", "aridec", _if(lambda one: one.series.surface and one.series.land in FARM), "study"),
    ("aridec_buried", "aridec", _if(lambda one: not one.series.surface), "study"),
    ("field_green_mulch mass", "field_green_mulch", _if(lambda one: one.quantity == "mass"), "source"),
    ("field_green_mulch nitrogen", "field_green_mulch", _if(lambda one: one.quantity == "nitrogen"), "source"),
    ("nitrogen_mineralisation", "nitrogen_mineralisation", _every, "residue and warmth"),
)
#: Sets a reference model of mass is fitted to.
WITH_RIVAL = ("lidet_mass", "lidet_mass_weather", "cidet_mass", "eurodeco_mass", "aridec")


def folded_sets(found: Calibration) -> tuple[FoldedSet, ...]:
    """Return every set with its score in folds and the best reference model in the same folds."""
    by_key = {one.key: one for one in found.sets}
    rivals = {
        key: {model.name: held_out(model, by_key[key].targets, found.fold_of, found.folds) for model in MODELS}
        for key in WITH_RIVAL
        if key in by_key
    }
    sets = []
    for key, source, kept, grouped_by in SETS:
        if source not in by_key:
            continue
        folded = by_key[source]
        choice = [kept(target) for target in folded.targets]
        ours = _compared(key, grouped_by, list(folded.targets), list(folded.predicted), choice)
        if ours.seen.size == 0:
            continue
        best: tuple[str, float, float | None, float] | None = None
        for name, (said, spread) in rivals.get(source, {}).items():
            compared = _compared(key, grouped_by, list(folded.targets), said, choice)
            theirs = score(compared)
            if theirs.rmse is not None and (best is None or theirs.rmse < best[1]):
                own = np.concatenate([one[kept] for one, kept in zip(spread, choice, strict=True)])
                ranked = float(np.mean(ranked_probability_normal(compared.error, own)))
                best = (name, theirs.rmse, theirs.further.get(f"rmse_mean_{grouped_by}"), ranked)
        sets.append(FoldedSet(ours, score(ours), *(best or (None, None, None, None))))
    return tuple(sets)


def _compared(
    key: str, grouped_by: str, targets: list[Target], said: list[Array], choice: list[NDArray[np.bool_]]
) -> Comparison:
    points = [
        Points(target.series.group, target.series.days[target.told][kept].astype(float), target.seen[kept],
               found[kept][None, :])
        for target, found, kept in zip(targets, said, choice, strict=True)
    ]  # fmt: skip
    compared = joined(key, f"{key}, held out", grouped_by, points, lambda members: members)
    errors = np.concatenate(
        [errors_of(target, found)[kept] for target, found, kept in zip(targets, said, choice, strict=True)]
    )
    return Comparison(
        key, compared.title, compared.unit, grouped_by, compared.groups, compared.days, compared.seen,
        compared.predicted, None, {}, counts_bounds=True, errors=errors,
    )  # fmt: skip
