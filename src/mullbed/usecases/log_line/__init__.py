"""Keep one line in the record: work done, things seen, weather, batches.

Reads the garden as the record tells it, writes one entry. Raises InputFault with everything in the line that cannot
be understood, RecordError when the record cannot be written. Each kind of line has its file here; they share `opening`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from mullbed.domain.record_kinds import Kind
from mullbed.domain.signing import Kept
from mullbed.errors import Fault, InputFault
from mullbed.usecases.log_line.away import log_away
from mullbed.usecases.log_line.batches import (
    log_batch,
    log_decision,
    log_missed,
    log_test_read,
    log_test_set_up,
    log_weighed,
)
from mullbed.usecases.log_line.bed_work import log_drawn_back, log_dug_in, log_fed, log_irrigation, log_water
from mullbed.usecases.log_line.crops import log_harvest, log_sown
from mullbed.usecases.log_line.field_checks import log_check
from mullbed.usecases.log_line.layers import log_layer
from mullbed.usecases.log_line.notes import kept_entries, list_notes, take_back
from mullbed.usecases.log_line.opening import Line
from mullbed.usecases.log_line.papers import log_cost, log_hours, log_incident
from mullbed.usecases.log_line.sights import log_note, log_photo, log_seen, log_signs, log_weather
from mullbed.usecases.log_line.soil_tests import log_soil_test

__all__ = [
    "KEEPERS",
    "Line",
    "kept_entries",
    "list_notes",
    "log_away",
    "log_batch",
    "log_check",
    "log_cost",
    "log_decision",
    "log_drawn_back",
    "log_dug_in",
    "log_fed",
    "log_harvest",
    "log_hours",
    "log_incident",
    "log_irrigation",
    "log_layer",
    "log_line",
    "log_missed",
    "log_note",
    "log_photo",
    "log_seen",
    "log_signs",
    "log_soil_test",
    "log_sown",
    "log_test_read",
    "log_test_set_up",
    "log_water",
    "log_weather",
    "log_weighed",
    "take_back",
]

#: What keeps a line of each kind; a door that knows only the kind, such as a form, goes through :func:`log_line`.
KEEPERS: Mapping[Kind, Callable[..., Kept]] = MappingProxyType(
    {
        Kind.LAYER: log_layer,
        Kind.WATER: log_water,
        Kind.DRAWN_BACK: log_drawn_back,
        Kind.IRRIGATION: log_irrigation,
        Kind.FED: log_fed,
        Kind.DUG_IN: log_dug_in,
        Kind.SEEN: log_seen,
        Kind.NOTE: log_note,
        Kind.PHOTO: log_photo,
        Kind.WEIGHING: log_weighed,
        Kind.SOWN: log_sown,
        Kind.HARVEST: log_harvest,
        Kind.WEATHER: log_weather,
        Kind.BATCH: log_batch,
        Kind.BATCH_DECISION: log_decision,
        Kind.TEST_SET_UP: log_test_set_up,
        Kind.TEST_READ: log_test_read,
        Kind.SOIL_TEST: log_soil_test,
        Kind.FIELD_CHECK: log_check,
        Kind.HOURS: log_hours,
        Kind.COST: log_cost,
        Kind.INCIDENT: log_incident,
        Kind.TAKEN_BACK: take_back,
    }
)


def log_line(line: Line, kind: Kind, **given: object) -> Kept:
    """Keep one line of a kind, with the words its own function takes.

    Raises
    ------
    InputFault
        When lines of that kind are not typed, or something in it cannot be understood.
    """
    if kind not in KEEPERS:
        raise InputFault([Fault("kind", str(kind), ", ".join(KEEPERS), "Choose one of these.")])
    return KEEPERS[kind](line, **given)
