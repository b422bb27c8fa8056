"""From everything known of a bed to its diagnosis, and what to do first on a sign alone."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

from mullbed.diagnose.bed_facts import last_soft_layer, model_facts, record_facts
from mullbed.diagnose.causes import all_causes
from mullbed.diagnose.rank import Ranking, Seen, Tables, next_checks, rank, reasons
from mullbed.diagnose.remedies import DryStuff, nitrogen_account, remedy
from mullbed.diagnose.symptoms import all_facts, all_signs, from_observations
from mullbed.domain.bed import Bed
from mullbed.domain.diagnosis import UNKNOWN, Diagnosis, FirstAction, FoundCause, Known, NitrogenAccount, Remedy
from mullbed.domain.observation import Observation
from mullbed.domain.residue import Residue
from mullbed.domain.spread import Evidence, Spread
from mullbed.language import marked

if TYPE_CHECKING:  # brings the array library, which a table of signs does not need
    from mullbed.domain.forecast import BedForecast

SHOWN_FROM = 0.03
"""A cause below this chance is left out of the list. Judgement. [1]"""
PAIR_FROM = 0.10
"""Two causes at once are told from this chance. Judgement. [1]"""
#: Other judgements of the weights, (facts nobody looked at, "none of these"), that make the range of a chance.
OTHER_JUDGEMENTS = ((0.4, 0.1), (0.4, 0.4), (1.0, 0.1), (1.0, 0.4))


@lru_cache(maxsize=1)
def tables() -> Tables:
    """Return the tables of signs, facts and causes."""
    return Tables(all_signs(), all_facts(), all_causes())


def diagnose(
    bed: Bed,
    day: date,
    signs: Iterable[str] = (),
    *,
    latitude: float,
    residues: Mapping[str, Residue],
    dry: DryStuff,
    absent: Iterable[str] = (),
    told: Iterable[Known] = (),
    observations: Iterable[Observation] = (),
    forecast: BedForecast | None = None,
    rain_week: Spread | None = None,
) -> Diagnosis:
    """Return what may be behind what was noticed on a bed, likeliest first, and what to do.

    What a person looked at beats the model, and the model beats what follows from the record alone.

    Parameters
    ----------
    bed : Bed
        With the layers really laid.
    day : date
    signs : iterable of str
        Keys of signs found.
    latitude : float
        North positive. [degrees]
    residues : mapping
        The residue table.
    dry : DryStuff
        What dry cover is counted in here.
    absent : iterable of str
        Keys of signs looked for and not found.
    told : iterable of Known
        Answers of the grower.
    observations : iterable of Observation
        Of this bed; the last week counts.
    forecast : BedForecast or None
        The bed's forecast; None leaves the state to the record.
    rain_week : Spread or None
        Rain of the last seven days. [mm]
    """
    noticed, missing, measured = from_observations(observations, day)
    found = frozenset({*signs, *noticed})
    known = record_facts(bed, day, latitude, residues)
    if forecast is not None:
        known |= model_facts(forecast, day, rain_week)
    known |= measured | {one.fact: one for one in told}
    seen = Seen(found, frozenset({*absent, *missing}) - found, tuple(known.values()))
    ranking = rank(seen, tables())
    strip = known.get("soil_nitrate")
    reading = strip.spread.mid if strip is not None and strip.told and strip.spread is not None else None
    account = nitrogen_account(forecast, day, reading) if forecast is not None else None
    ranges = _ranges(seen, ranking)
    last_soft = last_soft_layer(bed, day, residues)
    listed = sorted(ranking.shares, key=lambda key: (-ranking.shares[key], key))
    return Diagnosis(
        bed=bed.name,
        day=day,
        signs=tuple(key for key in all_signs() if key in seen.found),
        absent=tuple(key for key in all_signs() if key in seen.absent),
        known=tuple(known[key] for key in all_facts() if key in known),
        causes=tuple(
            _found(key, seen, ranking, ranges[key], bed.area, day, dry, account, last_soft)
            for number, key in enumerate(listed)
            if number == 0 or key == UNKNOWN or ranking.chances[key] >= SHOWN_FROM
        ),
        together=_pairs(ranking),
        checks=next_checks(ranking, seen, tables()),
        simulated=forecast is not None,
        nitrogen=account,
    )


@lru_cache(maxsize=1)
def first_actions() -> tuple[FirstAction, ...]:
    """Return what to do first on each sign alone, knowing nothing of the bed, in the order of the senses."""
    found = []
    for sign in all_signs().values():
        seen = Seen(frozenset({sign.key}))
        ranking = rank(seen, tables())
        leading = max((key for key in ranking.shares if key != UNKNOWN), key=lambda key: ranking.shares[key])
        checks = next_checks(ranking, seen, tables(), 1)
        question = checks[0].question if checks else ""
        cause = tables().causes[leading]
        if ranking.shares[UNKNOWN] >= ranking.shares[leading]:
            found.append(
                FirstAction(
                    sign.key,
                    sign.name,
                    sign.sense,
                    UNKNOWN,
                    _UNKNOWN_NAME,
                    ranking.shares[UNKNOWN],
                    _UNKNOWN_HEADING,
                    _UNKNOWN_STEPS,
                    _UNKNOWN_AVOID,
                    _UNKNOWN_CHANGE,
                    _UNKNOWN_TELLS,
                    question,
                    (),
                    Evidence.GUESS,
                    "common_practice",
                )
            )
            continue
        found.append(
            FirstAction(
                sign.key,
                sign.name,
                sign.sense,
                cause.key,
                cause.name,
                ranking.chances[leading],
                cause.heading,
                cause.steps,
                cause.avoid,
                cause.change,
                cause.tells_apart,
                question,
                cause.cautions,
                cause.evidence,
                cause.source,
            )
        )
    return tuple(found)


_UNKNOWN_NAME = marked("None of these")
_UNKNOWN_HEADING = marked("Look closer before you do anything.")
_UNKNOWN_STEPS = (
    marked("Photograph it and look again in three days."),
    marked("Show it to a neighbour or an adviser."),
)
_UNKNOWN_AVOID = marked("Don't feed, water or spray on a guess.")
_UNKNOWN_CHANGE = marked("One more sign, or the look below, may tell.")
_UNKNOWN_TELLS = marked("Leaf spots, virus, weather and poor seed are not among the causes known here.")


def _found(
    key: str,
    seen: Seen,
    ranking: Ranking,
    chance: Spread,
    area: float,
    day: date,
    dry: DryStuff,
    account: NitrogenAccount | None,
    last_soft: date | None,
) -> FoundCause:
    share, settled = ranking.shares[key], key in ranking.settled
    if key == UNKNOWN:
        looking = Remedy(
            heading=_UNKNOWN_HEADING,
            steps=_UNKNOWN_STEPS,
            avoid=_UNKNOWN_AVOID,
            expect=marked("It is plainer in a few days."),
            expect_from=day + timedelta(days=3),
            expect_until=day + timedelta(days=7),
        )
        return FoundCause(
            key,
            _UNKNOWN_NAME,
            share,
            chance,
            settled,
            (),
            (),
            "What was noticed fits no cause known here well.",
            _UNKNOWN_CHANGE,
            _UNKNOWN_TELLS,
            looking,
            (),
            Evidence.GUESS,
            "common_practice",
        )
    cause = tables().causes[key]
    speaks_for, against = reasons(key, seen, tables())
    doing = remedy(cause, area=area, day=day, dry=dry, account=account, last_soft=last_soft)
    return FoundCause(
        key,
        cause.name,
        share,
        chance,
        settled,
        speaks_for,
        against,
        cause.because,
        cause.change,
        cause.tells_apart,
        doing,
        cause.cautions,
        cause.evidence,
        cause.source,
    )


def _ranges(seen: Seen, ranking: Ranking) -> dict[str, Spread]:
    """Return the chance of each cause with its range over other judgements of the weights."""
    others = [
        rank(seen, tables(), unseen_weight=unseen, unknown_prior=unknown).chances
        for unseen, unknown in OTHER_JUDGEMENTS
    ]
    return {
        key: Spread(
            min(chance, *(one[key] for one in others)),
            chance,
            max(chance, *(one[key] for one in others)),
            "1",
            Evidence.WORKED_OUT,
            "mullbed_model",
        )
        for key, chance in ranking.chances.items()
    }


def _pairs(ranking: Ranking) -> tuple[tuple[str, str, float], ...]:
    pairs: Collection[tuple[str, str, float]] = [
        (one[0], one[1], chance) for one, chance in ranking.hypotheses.items() if len(one) == 2 and chance >= PAIR_FROM
    ]
    return tuple(sorted(pairs, key=lambda pair: -pair[2]))
