"""From signs and facts to chances: Bayes over none, one or two causes at once; and what to look at next.

A hypothesis is a set of at most two causes, each there or not whatever the other, or none of them ("unknown").
A sign is found unless every cause at work fails to bring it and it does not turn up by itself (noisy or); beside
"unknown" it is found by the chance that something outside the table brings it. The classes of a fact under two causes
are in proportion to the product of what each makes of it over what is usual. A fact the model knows as a band counts by
its chances; facts that no person looked at count less, because they hang together.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from math import log2

from mullbed.domain.diagnosis import UNKNOWN, Cause, Fact, Known, NextCheck, Sign

UNKNOWN_PRIOR = 0.2
"""Weight of "none of these" beside the sum of the priors of the causes. Judgement. [1]"""
UNKNOWN_FLOOR = 0.03
"""What is kept for "none of these" whatever is seen. Judgement. [1]"""
CEILING, CEILING_SETTLED = 0.90, 0.97
"""No cause is asserted above the first without an answer that settles it, nor above the second with one. Judgement."""
UNSEEN_WEIGHT = 0.7
"""Power of the likelihood of a fact that no person looked at. Judgement. [1]"""
LEAST_BITS = 0.03
"""A look that tells less, or less than a quarter of what the best one tells, is not offered. Judgement. [bit]"""
MODEL_MISSES = 0.05
"""What is added to the model's chance of each class when asking whether a look is worth it. Judgement. [1]"""
NEGLIGIBLE = 1e-5
"""Hypotheses below this chance are left out when looks are compared. [1]"""

Hypothesis = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Tables:
    """What the ranking reads."""

    signs: Mapping[str, Sign]
    facts: Mapping[str, Fact]
    causes: Mapping[str, Cause]
    worked_out: dict[str, dict[Hypothesis, Sequence[float]]] = field(default_factory=dict, compare=False, repr=False)
    """Chances of the classes by fact and hypothesis, kept once they were worked out."""

    def rows(self, fact: Fact) -> dict[Hypothesis, Sequence[float]]:
        """Return the chance of each class of a fact under every hypothesis."""
        if fact.key not in self.worked_out:
            self.worked_out[fact.key] = {one: class_chances(one, fact, self) for one in _hypotheses(self)}
        return self.worked_out[fact.key]


@dataclass(frozen=True, slots=True)
class Seen:
    """Everything known on a bed."""

    found: frozenset[str] = frozenset()
    absent: frozenset[str] = frozenset()
    known: tuple[Known, ...] = ()


@dataclass(frozen=True, slots=True)
class Ranking:
    """Chances after all that was seen."""

    hypotheses: dict[Hypothesis, float]
    """Chance of each set of causes; they sum to one."""
    shares: dict[str, float]
    """Chance of each cause, and of "unknown", to be the main one; they sum to one."""
    chances: dict[str, float]
    """Chance of each cause to be at work, alone or beside another."""
    settled: frozenset[str]
    """Causes an answer settled."""


def rank(
    seen: Seen, tables: Tables, *, unseen_weight: float = UNSEEN_WEIGHT, unknown_prior: float = UNKNOWN_PRIOR
) -> Ranking:
    """Return the chances of all causes and of none of them."""
    weights = {
        one: _prior(one, tables, unknown_prior) * _likelihood(one, seen, tables, unseen_weight)
        for one in _hypotheses(tables)
    }
    whole = sum(weights.values())
    posterior = {one: weight / whole for one, weight in weights.items()}
    settled = frozenset(key for key, cause in tables.causes.items() if cause.decisive & told_answers(seen, tables))
    return _held(posterior, weights, settled)


def told_answers(seen: Seen, tables: Tables) -> set[str]:
    """Return the answers "fact.class" a person gave."""
    return {
        f"{one.fact}.{word}"
        for one in seen.known
        if one.told
        for word, weight in zip(tables.facts[one.fact].words, one.weights, strict=True)
        if weight == 1.0
    }


def next_checks(ranking: Ranking, seen: Seen, tables: Tables, most: int = 3) -> tuple[NextCheck, ...]:
    """Return what to look at next: most expected information on the cause per minute first.

    What the model already says of a fact narrows the answer to expect, so that it is not counted twice.
    """
    asked = {one.fact for one in seen.known if one.told}
    guessed = {one.fact: one.weights for one in seen.known if not one.told}
    groups = _by_main(ranking)
    found = []
    for fact in tables.facts.values():
        if fact.key in asked or not fact.question:
            continue
        rows = tables.rows(fact)
        if fact.key in guessed:
            rows = {one: _narrowed(row, guessed[fact.key]) for one, row in rows.items()}
        bits = _information(groups, rows, len(fact.words))
        found.append(NextCheck(fact.key, fact.question, fact.words, fact.minutes, fact.days, bits))
    least = max(LEAST_BITS, 0.25 * max((one.bits for one in found), default=0.0))
    worth = [one for one in found if one.bits >= least]
    return tuple(sorted(worth, key=lambda one: (-one.bits_per_minute, one.key))[:most])


def reasons(cause: str, seen: Seen, tables: Tables) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what speaks for a cause and what against it, strongest first, by how much each multiplies its odds."""
    others = [key for key in tables.causes if key != cause]
    total = sum(tables.causes[key].prior for key in others)

    def ratio(part: Seen) -> float:
        mine = _likelihood((cause,), part, tables, 1.0)
        rest = sum(tables.causes[key].prior * _likelihood((key,), part, tables, 1.0) for key in others) / total
        return mine / rest

    parts = [(sign, ratio(Seen(frozenset({sign})))) for sign in sorted(seen.found)]
    parts += [(f"not {sign}", ratio(Seen(absent=frozenset({sign})))) for sign in sorted(seen.absent)]
    for one in seen.known:
        word = tables.facts[one.fact].words[max(range(len(one.weights)), key=lambda index: one.weights[index])]
        parts.append((f"{one.fact}.{word}", ratio(Seen(known=(one,)))))
    speaks_for = sorted((part for part in parts if part[1] > 1.25), key=lambda part: -part[1])
    against = sorted((part for part in parts if part[1] < 0.8), key=lambda part: part[1])
    return tuple(key for key, _ in speaks_for), tuple(key for key, _ in against)


def sign_chance(hypothesis: Hypothesis, sign: Sign, tables: Tables) -> float:
    """Return the chance that a sign is found where these causes are at work."""
    if not hypothesis:
        return sign.elsewhere
    fails = 1.0 - sign.leak
    for key in hypothesis:
        fails *= 1.0 - tables.causes[key].signs.get(sign.key, 0.0)
    return 1.0 - fails


def class_chances(hypothesis: Hypothesis, fact: Fact, tables: Tables) -> Sequence[float]:
    """Return the chance of each class of a fact where these causes are at work."""
    rows = [tables.causes[key].facts[fact.key] for key in hypothesis if fact.key in tables.causes[key].facts]
    if not rows:
        return fact.usual
    if len(rows) == 1:
        return rows[0]
    product = [one * other / usual for one, other, usual in zip(*rows, fact.usual, strict=True)]
    whole = sum(product)
    return [one / whole for one in product]


def _hypotheses(tables: Tables) -> list[Hypothesis]:
    keys = list(tables.causes)
    return [(), *((key,) for key in keys), *combinations(keys, 2)]


def _prior(hypothesis: Hypothesis, tables: Tables, unknown_prior: float) -> float:
    if not hypothesis:
        return unknown_prior
    weight = 1.0
    for key in hypothesis:
        weight *= tables.causes[key].prior
    return weight


def _likelihood(hypothesis: Hypothesis, seen: Seen, tables: Tables, unseen_weight: float) -> float:
    value = 1.0
    for sign in seen.found:
        value *= sign_chance(hypothesis, tables.signs[sign], tables)
    for sign in seen.absent:
        value *= 1.0 - sign_chance(hypothesis, tables.signs[sign], tables)
    for one in seen.known:
        chances = tables.rows(tables.facts[one.fact])[hypothesis]
        there = sum(weight * chance for weight, chance in zip(one.weights, chances, strict=True))
        value *= there if one.told else float(there**unseen_weight)
    return value


def _held(posterior: dict[Hypothesis, float], weights: Mapping[Hypothesis, float], settled: Collection[str]) -> Ranking:
    """Return the chances with the share kept for "unknown" and no cause above its ceiling.

    Each cause's hypotheses shrink until its chance meets the ceiling; what is taken goes to "none of these".
    """
    held = {one: chance * (1.0 - UNKNOWN_FLOOR) for one, chance in posterior.items()}
    keys = {key for one in held for key in one}
    for key in sorted(keys):
        chance = sum(value for one, value in held.items() if key in one)
        most = CEILING_SETTLED if key in settled else CEILING
        if chance > most:
            held = {one: value * (most / chance if key in one else 1.0) for one, value in held.items()}
    held[()] += 1.0 - sum(held.values())
    shares = dict.fromkeys(sorted(keys), 0.0)
    chances = dict(shares)
    for one, value in held.items():
        singles = [weights[(key,)] for key in one]
        for key, single in zip(one, singles, strict=True):
            chances[key] += value
            shares[key] += value * (single / sum(singles) if sum(singles) > 0.0 else 1.0 / len(one))
    shares[UNKNOWN] = chances[UNKNOWN] = held[()]
    return Ranking(held, shares, chances, frozenset(settled))


def _narrowed(chances: Sequence[float], expected: Sequence[float]) -> Sequence[float]:
    product = [chance * (weight + MODEL_MISSES) for chance, weight in zip(chances, expected, strict=True)]
    whole = sum(product)
    return [one / whole for one in product]


def _by_main(ranking: Ranking) -> list[list[tuple[Hypothesis, float]]]:
    """Return the hypotheses that matter, grouped by their main cause: of two at work the likelier one."""
    groups: dict[str, list[tuple[Hypothesis, float]]] = {}
    for one, chance in ranking.hypotheses.items():
        if chance >= NEGLIGIBLE:
            main = max(one, key=lambda key: ranking.chances[key]) if one else UNKNOWN
            groups.setdefault(main, []).append((one, chance))
    return list(groups.values())


def _information(
    groups: Sequence[Sequence[tuple[Hypothesis, float]]], rows: Mapping[Hypothesis, Sequence[float]], classes: int
) -> float:
    """Return the expected information of a question about the main cause. [bit]"""
    mixed = [0.0] * classes
    within = 0.0
    for group in groups:
        sums = [sum([chance * rows[one][index] for one, chance in group]) for index in range(classes)]
        whole = sum(sums)
        within += whole * _entropy([one / whole for one in sums])
        mixed = [one + more for one, more in zip(mixed, sums, strict=True)]
    total = sum(mixed)
    return max(0.0, total * _entropy([one / total for one in mixed]) - within)


def _entropy(chances: Sequence[float]) -> float:
    return -sum(chance * log2(chance) for chance in chances if chance > 0.0)
