"""On what the numbers of a forecast rest: held against data, or beyond any, in sentences."""

from __future__ import annotations

from mullbed.domain.backing import Backed, Backing
from mullbed.language import marked, say
from mullbed.reports.words import capital, listed

NAMES = {
    "thickness": marked("height of the cover"),
    "moisture": marked("water in the cover"),
    "layer_temperature": marked("warmth of the cover"),
    "soil_temperature": marked("warmth of the soil"),
    "mineral_nitrogen": marked("ready nitrogen in the soil"),
    "net_nitrogen": marked("nitrogen the layers give"),
    "ammonia_lost": marked("nitrogen lost to the air"),
    "leached": marked("nitrogen washed down"),
    "cover": marked("ground covered"),
    "soil_nitrogen": marked("nitrogen the soil gives"),
    "carbon_left": marked("carbon left"),
}


def backing_sentences(backing: tuple[Backed, ...]) -> list[str]:
    """Return what is held against open data here and what reaches beyond them, and why for nitrogen given."""
    if not backing:
        return []
    held = [say(NAMES.get(one.output, one.output)) for one in backing if one.backing is Backing.DATA]
    beyond = [say(NAMES.get(one.output, one.output)) for one in backing if one.backing is Backing.BEYOND]
    told = []
    if held:
        told.append(
            say("{things}: like cases are held against open data (`mullbed validate`).", things=capital(listed(held)))
        )
    if beyond:
        told.append(say("{things}: worked out beyond any data known to us.", things=capital(listed(beyond))))
    first = next((one for one in backing if one.output == "net_nitrogen" and one.beyond), None)
    if first is not None:
        told.append(
            say(
                "Nitrogen the layers give reaches beyond the data by: {what}.",
                what="; ".join(say(one) for one in first.beyond),
            )
        )
    return told


def backing_document(backing: tuple[Backed, ...]) -> dict[str, object]:
    """Return the class of each output as a document."""
    return {
        one.output: {"class": one.backing.value, "sets": list(one.sets), "beyond": list(one.beyond)} for one in backing
    }
