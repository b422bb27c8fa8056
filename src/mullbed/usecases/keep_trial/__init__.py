"""Keep a trial in the record: its plan in versions, its readings plot by plot, and what came out.

Reads and writes the record. Raises InputFault with everything at fault, NotFound for a trial nobody kept, RecordError
when the record cannot be read or written.
"""

from __future__ import annotations

from mullbed.usecases.keep_trial.papers import (
    draw_again,
    keep_plan,
    keep_trial_file,
    lock_kept,
    note_on_kept,
    trial_beds,
)
from mullbed.usecases.keep_trial.readings import keep_readings, typed_repeats
from mullbed.usecases.keep_trial.shown import list_trials, other_sizes, passed_on, plan_ahead, show_trial, work_on_beds

__all__ = [
    "draw_again",
    "keep_plan",
    "keep_readings",
    "keep_trial_file",
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
