"""Labels to peg at the beds: a name to read from the path, and a square code that opens the bed's page."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from importlib import resources
from urllib.parse import quote

from mullbed.domain.bed import Bed
from mullbed.domain.garden import UnitSystem
from mullbed.language import say
from mullbed.reports import pigments
from mullbed.reports.amounts import area_words
from mullbed.reports.names import bed_title
from mullbed.reports.pdf import square_code, typeset


def label_book(beds: Sequence[Bed], garden: str, units: UnitSystem, address: str) -> dict[str, object]:
    """Return everything the labels print, as plain data.

    Parameters
    ----------
    address : str
        Of a bed's page; ``{bed}`` is put in.
    """
    labels = []
    for bed in beds:
        to = address.replace("{bed}", quote(bed.name, safe=""))
        labels.append(
            {"name": bed_title(bed.name), "area": area_words(bed.area, units), "address": to, "code": square_code(to)}
        )
    return {
        "title": say("{garden}: bed labels", garden=garden),
        "fonts": list(pigments.PRINT_FONTS),
        "garden": garden,
        "labels": labels,
        "words": {"code": say("Square code"), "point": say("Point a phone here: what lies on it, what it needs")},
    }


def labels_pdf(beds: Sequence[Bed], garden: str, units: UnitSystem, *, address: str, made_on: date) -> bytes:
    """Return labels.pdf: a label of 70 by 150 mm for every bed, its foot pointed to be cut."""
    source = resources.files("mullbed.reports").joinpath("bed_labels.typ").read_bytes()
    return typeset(source, label_book(beds, garden, units, address), made_on)
