"""Run what is expected of a bed against the model and tell where they agree.

Reads and writes nothing. Raises InputFault when no case is called so.
"""

from __future__ import annotations

from collections.abc import Callable

from mullbed.domain.behaviour import Catalogue
from mullbed.errors import Fault, InputFault
from mullbed.evidence.behaviour import case_keys, run_behaviour


def show_behaviour(
    *,
    only: str | None = None,
    members: int | None = None,
    seed: int = 1,
    progress: Callable[[str], None] = lambda sentence: None,
) -> Catalogue:
    """Return every case, or only one, with what was expected and what came.

    Raises
    ------
    InputFault
        When no case is called so.
    """
    keys = case_keys()
    if only is not None and only not in keys:
        raise InputFault([Fault("--case", f"no case is called '{only}'", ", ".join(keys), "Choose one of these.")])
    found = []
    for key in keys if only is None else (only,):
        progress(f"Running {key} ...")
        found.append(run_behaviour(key, seed, members))
    return Catalogue(tuple(found), seed)
