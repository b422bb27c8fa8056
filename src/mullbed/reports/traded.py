"""What a designed layer gave up for the sake of its other goals: as sentences and as plain mappings."""

from __future__ import annotations

from mullbed.domain.garden import UnitSystem
from mullbed.domain.layer_design import Traded
from mullbed.reports.amounts import millimetres_words, per_area_factor, per_area_unit
from mullbed.reports.words import capital, number


def traded_words(traded: Traded, units: UnitSystem) -> str:
    """Return one missed goal as a sentence."""
    low = traded.got < traded.lowest
    edge = traded.lowest if low else traded.highest
    if traded.unit == "m":
        got, wanted = millimetres_words(1000.0 * traded.got, units), millimetres_words(1000.0 * edge, units)
    elif traded.unit == "g m-2":
        factor, unit = per_area_factor(units), per_area_unit(units)
        got, wanted = f"{number(traded.got * factor)} {unit}", f"{number(edge * factor)} {unit}"
    elif traded.unit == "1":
        got, wanted = f"{100.0 * traded.got:.0f} %", f"{100.0 * edge:.0f} %"
    else:
        got, wanted = number(traded.got), number(edge)
    return f"{capital(traded.goal)}: {got}, wanted {'at least' if low else 'at most'} {wanted}."


def traded_document(traded: Traded) -> dict[str, object]:
    """Return one missed goal as a plain mapping."""
    return {
        "goal": traded.goal,
        "got": traded.got,
        "lowest": traded.lowest,
        "highest": traded.highest,
        "unit": traded.unit,
    }
