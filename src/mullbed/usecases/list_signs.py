"""List the signs a grower can notice, with what to do first on each alone; the table a page without signal carries.

Reads no garden, runs no model, writes nothing.
"""

from __future__ import annotations

from mullbed.diagnose.bed_diagnosis import first_actions
from mullbed.domain.diagnosis import FirstAction


def list_signs() -> tuple[FirstAction, ...]:
    """Return what to do first on each sign, in the order nose, eye, hand, crop, animals."""
    return first_actions()
