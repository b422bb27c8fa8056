"""On what the numbers of a forecast rest: held against data, or beyond any, in sentences."""

from __future__ import annotations

from mullbed.domain.backing import Backed, Backing
from mullbed.reports.words import capital, listed

NAMES = {
    "thickness": "height of the cover",
    "moisture": "water in the cover",
    "layer_temperature": "warmth of the cover",
    "soil_temperature": "warmth of the soil",
    "mineral_nitrogen": "ready nitrogen in the soil",
    "net_nitrogen": "nitrogen the layers give",
    "ammonia_lost": "nitrogen lost to the air",
    "leached": "nitrogen washed down",
    "cover": "ground covered",
    "soil_nitrogen": "nitrogen the soil gives",
    "carbon_left": "carbon left",
}


def backing_sentences(backing: tuple[Backed, ...]) -> list[str]:
    """Return what is held against open data here and what reaches beyond them, and why for nitrogen given."""
    if not backing:
        return []
    held = [NAMES.get(one.output, one.output) for one in backing if one.backing is Backing.DATA]
    beyond = [NAMES.get(one.output, one.output) for one in backing if one.backing is Backing.BEYOND]
    told = []
    if held:
        told.append(f"{capital(listed(held))}: like cases are held against open data (`mullbed validate`).")
    if beyond:
        told.append(f"{capital(listed(beyond))}: worked out beyond any data known to us.")
    first = next((one for one in backing if one.output == "net_nitrogen" and one.beyond), None)
    if first is not None:
        told.append(f"Nitrogen the layers give reaches beyond the data by: {'; '.join(first.beyond)}.")
    return told


def backing_document(backing: tuple[Backed, ...]) -> dict[str, object]:
    """Return the class of each output as a document."""
    return {
        one.output: {"class": one.backing.value, "sets": list(one.sets), "beyond": list(one.beyond)} for one in backing
    }
