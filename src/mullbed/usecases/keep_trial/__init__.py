"""Keep a trial in the record: its plan in versions, its readings plot by plot, and what came out.

Reads and writes the record. Raises InputFault with everything at fault, NotFound for a trial nobody kept, RecordError
when the record cannot be read or written.
"""

from __future__ import annotations

from pathlib import Path

from mullbed.domain.signing import Kept, Signature, Where
from mullbed.files.trial_file import read_trial
from mullbed.reference.field_checks import all_field_checks
from mullbed.usecases.keep_trial.papers import draw_again, keep_plan, lock_kept, note_on_kept, trial_beds
from mullbed.usecases.keep_trial.readings import keep_readings, keep_table, typed_repeats
from mullbed.usecases.keep_trial.shown import list_trials, other_sizes, passed_on, plan_ahead, show_trial, work_on_beds

__all__ = [
    "draw_again",
    "keep_plan",
    "keep_readings",
    "keep_table",
    "keep_trial",
    "list_trials",
    "lock_kept",
    "note_on_kept",
    "other_sizes",
    "passed_on",
    "plan_ahead",
    "show_trial",
    "trial_beds",
    "typed_repeats",
    "work_on_beds",
]


def keep_trial(where: Where, signed: Signature, path: Path) -> Kept:
    """Keep the plan of a trial file, drawn first where it is not; raises InputFault with its faults."""
    plan, deviations = read_trial(path, all_field_checks())
    return keep_plan(where, signed, plan, deviations, f"from {path.name}")
