"""Signs and facts as data, and from numbers, words and observations to what is known of a bed."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from datetime import date
from functools import lru_cache
from itertools import pairwise

from mullbed.domain.diagnosis import Fact, Known, Sign
from mullbed.domain.observation import Observation
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import Fault, InputFault
from mullbed.reference.naming import find_key, index_of
from mullbed.reference.tables import provenance, toml_table

SENSES = ("nose", "eye", "hand", "crop", "animals")
LEAK, ELSEWHERE = 0.015, 0.08
"""Where a sign does not say otherwise. Judgement. [1]"""
FRESH_DAYS = 7
"""An observation older than this no longer tells how a bed is today. Judgement. [d]"""

#: Observables that are the same number as a fact.
_MEASURED = {
    "layer temperature": "layer_temperature",
    "soil temperature": "soil_temperature",
    "nitrate-N": "soil_nitrate",
    "thickness by finger": "cover_thickness",
    "thickness by ruler": "cover_thickness",
    "cover": "cover",
}
#: Words of a class that are a class of a fact.
_WORDS = {
    ("squeeze", "crackles"): ("moisture", "dry"),
    ("squeeze", "damp, no drops"): ("moisture", "moist"),
    ("squeeze", "a few drops"): ("moisture", "moist"),
    ("squeeze", "drips freely"): ("moisture", "wet"),
    ("soil moisture", "dry and crumbly"): ("soil_moisture", "dry"),
    ("soil moisture", "a little moist"): ("soil_moisture", "moist"),
    ("soil moisture", "moist, makes a ball"): ("soil_moisture", "moist"),
    ("soil moisture", "wet, leaves a film"): ("soil_moisture", "wet"),
    ("soil moisture", "water comes out"): ("soil_moisture", "wet"),
}
FEW_WORMS = 3.0
"""None to three worms in a 20 cm pit are few. Judgement. [1]"""


@lru_cache(maxsize=1)
def all_signs() -> Mapping[str, Sign]:
    """Return every sign by key, in the order of the senses."""
    rows = {
        key: Sign(
            key,
            row["name"],
            row["sense"],
            tuple(row["also"]),
            float(row.get("leak", LEAK)),
            float(row.get("elsewhere", ELSEWHERE)),
            tuple(row.get("observed", {}).items()),
        )
        for key, row in toml_table("trouble_signs.toml").items()
    }
    return dict(sorted(rows.items(), key=lambda pair: SENSES.index(pair[1].sense)))


@lru_cache(maxsize=1)
def all_facts() -> Mapping[str, Fact]:
    """Return every fact by key.

    Raises
    ------
    InputFault
        When a row lacks source or evidence class.
    """
    found = {}
    for key, row in toml_table("trouble_facts.toml").items():
        evidence, source = provenance(f"trouble_facts.toml, {key}", row.get("evidence"), row.get("source"))
        found[key] = Fact(
            key,
            tuple(row["words"]),
            tuple(float(edge) for edge in row.get("edges", ())),
            row.get("unit", ""),
            tuple(float(share) for share in row["usual"]),
            row.get("question", ""),
            float(row.get("minutes", 0.0)),
            float(row.get("days", 0.0)),
            evidence,
            source,
        )
    return found


def find_sign(name: str) -> str:
    """Return the key of the sign a grower means.

    Raises
    ------
    NotFound
        When none is called so; holds the nearest names.
    """
    index = index_of((one.key, (one.name, *one.also_called)) for one in all_signs().values())
    return find_key("sign", name, index)


def known_word(fact: str, word: str, evidence: Evidence = Evidence.MEASURED) -> Known:
    """Return a fact known as one of its words.

    Raises
    ------
    InputFault
        When there is no such fact or it has no such class.
    """
    row = _fact(fact)
    if word not in row.words:
        raise InputFault([Fault(fact, word, ", ".join(row.words), "Choose one of these words.")])
    return Known(fact, tuple(1.0 if one == word else 0.0 for one in row.words), evidence)


def known_number(fact: str, value: float, evidence: Evidence = Evidence.MEASURED) -> Known:
    """Return a fact known as a number. [unit of the fact]

    Raises
    ------
    InputFault
        When there is no such fact or it is no number.
    """
    row = _fact(fact)
    if not row.edges:
        raise InputFault([Fault(fact, f"{value:g}", ", ".join(row.words), "Choose one of these words.")])
    weights = tuple(1.0 if index == _class_of(row, value) else 0.0 for index in range(len(row.words)))
    return Known(fact, weights, evidence, Spread(value, value, value, row.unit, evidence))


def known_band(fact: str, spread: Spread) -> Known:
    """Return a fact the model knows as a band: each class gets the chance that lies in it.

    Between the percentiles the chance is spread evenly; a tenth lies on each side beyond them, within half a band.
    """
    row = _fact(fact)
    below, above = spread.mid - spread.low, spread.high - spread.mid
    ends = [
        spread.low - max(0.5 * below, 1e-9),
        spread.low,
        spread.mid,
        spread.high,
        spread.high + max(0.5 * above, 1e-9),
    ]
    chances = [0.0, 0.1, 0.5, 0.9, 1.0]

    def below_edge(edge: float) -> float:
        if edge <= ends[0]:
            return 0.0
        for (left, low), (right, high) in pairwise(zip(ends, chances, strict=True)):
            if edge <= right:
                return low + (high - low) * ((edge - left) / (right - left) if right > left else 1.0)
        return 1.0

    cuts = [0.0, *(below_edge(edge) for edge in row.edges), 1.0]
    return Known(fact, tuple(high - low for low, high in pairwise(cuts)), Evidence.WORKED_OUT, spread)


def read_answer(text: str) -> Known:
    """Return what "fact=answer" tells, the answer a word of the fact or a number.

    Raises
    ------
    InputFault
        When it cannot be read.
    NotFound
        When no fact is called so.
    """
    name, found, answer = text.partition("=")
    if not found or not answer.strip():
        raise InputFault([Fault("--know", text, "FACT=ANSWER, such as soil_ph=7.8", "Write it with an equals sign.")])
    key = find_key("fact", name, index_of((one, ()) for one in all_facts()))
    try:
        value = float(answer)
    except ValueError:
        return known_word(key, answer.strip().casefold())
    if not -50.0 <= value <= 1000.0:
        raise InputFault([Fault(key, answer, "a number from -50 to 1000", "Check the reading and its unit.")])
    return known_number(key, value)


def from_observations(observations: Iterable[Observation], day: date) -> tuple[set[str], set[str], dict[str, Known]]:
    """Return signs found, signs looked for and not found, and facts, out of what was observed in the last week.

    The newest answer of each thing counts.
    """
    newest: dict[str, Observation] = {}
    for one in sorted(observations, key=lambda each: each.day):
        if 0 <= (day - one.day).days <= FRESH_DAYS:
            newest[one.what] = one
    found: set[str] = set()
    absent: set[str] = set()
    known: dict[str, Known] = {}
    for what, one in newest.items():
        for sign in all_signs().values():
            for observable, word in sign.observed:
                if observable == what and what != "crop colour":
                    (found if one.word == word else absent).add(sign.key)
                elif observable == what and one.word == word:
                    found.add(sign.key)
        if what in _MEASURED and one.value is not None:
            known[_MEASURED[what]] = known_number(_MEASURED[what], one.value)
        if (pair := _WORDS.get((what, one.word or ""))) is not None:
            known[pair[0]] = known_word(*pair)
        if what == "worms" and one.value is not None:
            (found if one.value <= FEW_WORMS else absent).add("few_worms")
    return found, absent - found, known


def _fact(key: str) -> Fact:
    if key not in all_facts():
        raise InputFault([Fault("fact", key, ", ".join(all_facts()), "Choose one of these.")])
    return all_facts()[key]


def _class_of(row: Fact, value: float) -> int:
    """Return the class of a number; on an edge it belongs above, but nothing laid at all is class "none"."""
    if row.words[0] == "none" and value <= row.edges[0]:
        return 0
    return bisect_right(row.edges, value)
