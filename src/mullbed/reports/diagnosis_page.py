"""What the page of a diagnosis tells beside the card: the cost of waiting, signs by sense, what a sign alone says."""

from __future__ import annotations

from mullbed.domain.diagnosis import UNKNOWN, Diagnosis, FirstAction
from mullbed.domain.garden import UnitSystem
from mullbed.language import say
from mullbed.reference.tables import toml_table
from mullbed.reports.amounts import per_area_words
from mullbed.reports.words import chance_words, day_words


def sign_words() -> tuple[tuple[str, str, str], ...]:
    """Return key, name and sense of every sign, in the order of the table."""
    return tuple((key, say(row["name"]), row["sense"]) for key, row in toml_table("trouble_signs.toml").items())


def first_words(one: FirstAction) -> str:
    """Return how sure one is of a cause by the sign alone."""
    if one.cause == UNKNOWN:
        return say("The sign alone fits no cause known here better than another.")
    return say(
        "By this sign alone {cause} is {chance}.", cause=uncapped(say(one.cause_name)), chance=chance_words(one.chance)
    )


def cost_of_waiting(found: Diagnosis, units: UnitSystem) -> str:
    """Return what it costs to wait, as far as it is worked out; says so where it is not."""
    first = found.first
    if first.key == "nitrogen_short" and found.nitrogen is not None and found.nitrogen.shortage.mid > 0.0:
        short = per_area_words(found.nitrogen.shortage, units)
        return say(
            "Waiting {days} days leaves the crop short of {amount} of nitrogen. Worked out.",
            days=found.nitrogen.days,
            amount=short,
        )
    early = first.remedy.expect_from
    if (early - found.day).days <= 3:
        return say(
            "Waiting costs: what is lost in the first days does not come back. Look again by {day}.",
            day=day_words(early),
        )
    return say("Waiting until {day} costs little as far as is known; look then. A guess.", day=day_words(early))


def uncapped(sentence: str) -> str:
    """Return a sentence that follows a word, its first letter small."""
    return sentence[:1].lower() + sentence[1:]
