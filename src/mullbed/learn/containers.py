"""What containers hold, learnt from weighings: a known sum of two doubts, volume and density, updated exactly.

The logarithm of a filling's fresh mass is the sum of those of the container's volume and of the residue's density, and
of what is peculiar to this residue in this container. All are normal, so what is believed after any weighings is
normal too and worked out in one step. A weighing far off all others counts by the chance that it is no slip.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from math import exp, log, sqrt

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.doings import Weighed
from mullbed.domain.filling import (
    MOST_DENSITY_LOG_SD,
    OTHER_CONTAINER_LOG_SD,
    WEIGHING_LOG_SD,
    WILTED_DENSITY,
    dry_matter_share,
    log_sd,
)
from mullbed.domain.learnt import LearntContainers, LearntFilling, WeighedLook
from mullbed.domain.residue import Residue
from mullbed.domain.spread import Evidence, Spread, weakest
from mullbed.domain.supply import Container

Array = NDArray[np.float64]

#: What is peculiar to one residue in one container, as log-sd: half of the squared doubt with which a weighing is
#: carried from one container to another. Judgement.
PECULIAR_LOG_SD = OTHER_CONTAINER_LOG_SD / sqrt(2.0)
#: Chance that a weighing is a slip, such as pounds for kilograms or the container not taken off. Judgement.
SLIP = 0.03
#: A slip is anything from a twentieth to twenty times what is right, per unit of its logarithm.
SLIP_DENSITY = 1.0 / log(400.0)
#: Rounds in which weighings and the chance that each is a slip are settled.
ROUNDS = 6
NINETIETH = 1.2815515655446004


def learn_containers(
    containers: Mapping[str, Container],
    residues: Mapping[str, Residue],
    weighings: Sequence[Weighed],
    asked: Iterable[tuple[str, str]] = (),
) -> LearntContainers:
    """Return what is believed of fillings after weighings.

    Parameters
    ----------
    containers, residues : mapping
        By name and key; all that is weighed or asked for.
    weighings : sequence of Weighed
        In any order; of containers or residues nobody knows, and of nothing at all, are left out.
    asked : iterable of pairs
        Container and residue of further fillings to tell of.
    """
    weighings = [one for one in weighings if one.fresh_kg > 0.0 and one.residue in residues
                 and one.container in containers]  # fmt: skip
    weighings = sorted(weighings, key=lambda one: (one.container, one.residue, one.day, one.fresh_kg))
    weighed = list(dict.fromkeys((one.container, one.residue) for one in weighings))
    pairs = list(dict.fromkeys((*weighed, *asked)))
    column: dict[tuple[str, ...], int] = {}
    for container, residue in pairs:
        for doubt in _doubts(containers[container], residue):
            column.setdefault(doubt, len(column))
    mean, spread = np.zeros(len(column)), np.zeros(len(column))
    for container, residue in pairs:
        density = _density(residues[residue], containers[container])
        litres = containers[container].litres
        volume, heaviness, peculiar = (column[one] for one in _doubts(containers[container], residue))
        mean[volume], spread[volume] = log(litres.mid / 1000.0), log_sd(litres)
        mean[heaviness], spread[heaviness] = log(density.mid), min(MOST_DENSITY_LOG_SD, log_sd(density))
        spread[peculiar] = PECULIAR_LOG_SD
    rows = np.zeros((len(weighings), len(column)))
    for number, one in enumerate(weighings):
        rows[number, [column[doubt] for doubt in _doubts(containers[one.container], one.residue)]] = 1.0
    seen = np.array([log(one.fresh_kg) for one in weighings])
    right, expected = _settled(mean, spread, rows, seen)
    after, covariance = _updated(mean, spread, rows, seen, right)
    fillings = []
    for container, residue in pairs:
        columns = [column[doubt] for doubt in _doubts(containers[container], residue)]
        counted = [one.container == container and one.residue == residue and chance > 0.5
                   for one, chance in zip(weighings, right, strict=True)]  # fmt: skip
        count = int(sum(counted))
        told = Evidence.MEASURED if count else Evidence.WORKED_OUT
        fresh = _spread(after[columns].sum(), sqrt(covariance[np.ix_(columns, columns)].sum()), told)
        before = _spread(mean[columns].sum(), float(np.sqrt(np.sum(spread[columns] ** 2))), Evidence.WORKED_OUT)
        fillings.append(LearntFilling(container, residue, fresh, _dry(fresh, residues[residue]), before, count))
    litres_after = {
        name: _litres(containers[name], after[at], sqrt(covariance[at, at]))
        for (kind, name, *_), at in column.items()
        if kind == "volume"
    }
    looks = tuple(
        WeighedLook(one, exp(middle), 1.0 - float(chance))
        for one, middle, chance in zip(weighings, expected, right, strict=True)
    )
    return LearntContainers(tuple(fillings), litres_after, looks)


def containers_of(
    own: Sequence[Container], weighings: Iterable[Weighed], table: Callable[[str], Container]
) -> dict[str, Container]:
    """Return every container that was weighed, by the name it was weighed under: the grower's own, else the table's."""
    known = {one.name: one for one in own}
    for name in dict.fromkeys(one.container for one in weighings):
        if name not in known:
            known[name] = replace(table(name), name=name)
    return known


def with_learnt(containers: Sequence[Container], learnt: LearntContainers) -> tuple[Container, ...]:
    """Return a grower's containers as plans should fill them: volumes and masses as learnt, others as they were."""
    own = []
    for one in containers:
        masses = dict(one.weighed)
        for filling in learnt.fillings:
            if filling.container == one.name and filling.weighings:
                masses[filling.residue] = filling.fresh_kg.mid
        own.append(replace(one, litres=learnt.litres.get(one.name, one.litres), weighed=tuple(masses.items())))
    return tuple(own)


def _doubts(container: Container, residue: str) -> tuple[tuple[str, ...], ...]:
    """Return the names of the three doubts a filling rests on; pressed matter has a density of its own."""
    state = "pressed" if container.pressed else "loose"
    return ("volume", container.name), ("density", residue, state), ("peculiar", container.name, residue)


def _density(residue: Residue, container: Container) -> Spread:
    if not container.pressed:
        return residue.loose_density
    return residue.settled_density or residue.loose_density.scaled(WILTED_DENSITY)


def _updated(mean: Array, spread: Array, rows: Array, seen: Array, right: Array) -> tuple[Array, Array]:
    """Return mean and covariance after weighings, each counted by the chance that it is right."""
    covariance = np.diag(spread**2)
    if not seen.size:
        return mean, covariance
    counted = np.maximum(right, 1e-9)
    total = rows @ covariance @ rows.T + np.diag(WEIGHING_LOG_SD**2 / counted)
    gain = np.linalg.solve(total, rows @ covariance).T
    after: Array = mean + gain @ (seen - rows @ mean)
    return after, covariance - gain @ rows @ covariance


def _settled(mean: Array, spread: Array, rows: Array, seen: Array) -> tuple[Array, Array]:
    """Return the chance that each weighing is right, and what all else says of it."""
    right, expected = np.ones(seen.size), np.zeros(seen.size)
    for _ in range(ROUNDS):
        chances = np.ones(seen.size)
        for number in range(seen.size):
            others = right.copy()
            others[number] = 0.0
            after, covariance = _updated(mean, spread, rows, seen, others)
            expected[number] = rows[number] @ after
            variance = WEIGHING_LOG_SD**2 + rows[number] @ covariance @ rows[number]
            away = (seen[number] - expected[number]) ** 2 / variance
            fits = (1.0 - SLIP) * exp(-0.5 * away) / sqrt(2.0 * np.pi * variance)
            chances[number] = fits / (fits + SLIP * SLIP_DENSITY)
        if np.allclose(chances, right, atol=1e-6):
            break
        right = chances
    return right, expected


def _spread(middle: float, deviation: float, evidence: Evidence) -> Spread:
    low, high = (exp(middle + sign * NINETIETH * deviation) for sign in (-1.0, 1.0))
    return Spread(low, exp(middle), high, "kg", evidence)


def _dry(fresh: Spread, residue: Residue) -> Spread:
    """Return the dry matter of a fresh mass, both doubts taken together."""
    share = dry_matter_share(residue)
    doubt = float(np.hypot(log_sd(fresh), log_sd(share)))
    found = _spread(log(fresh.mid * share.mid), doubt, weakest(fresh.evidence, share.evidence))
    return found


def _litres(container: Container, middle: float, deviation: float) -> Spread:
    low, mid, high = (1000.0 * exp(middle + sign * NINETIETH * deviation) for sign in (-1.0, 0.0, 1.0))
    return replace(container.litres, low=low, mid=mid, high=high, evidence=Evidence.WORKED_OUT)
