"""What one more container is worth to a garden, out of the JSON document of its plan."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from mullbed.domain.neighbourhood import Matter, matter_of
from mullbed.domain.residue import Residue
from mullbed.domain.supply import Container
from mullbed.errors import Fault, InputFault
from mullbed.files.plain_text import read_plain_text


def read_plan_worth(
    path: Path, residues: Mapping[str, Residue], container: Callable[[str], Container]
) -> dict[Matter, float]:
    """Return the grams of nitrogen crops would miss less with one more litre of soft fresh and of dry matter.

    The plan tells it of each supply that is short; the highest of a kind counts. What the plan does not tell is worth
    too little to say: zero.

    Parameters
    ----------
    path : Path
        plan.json of `mullbed plan --out`.
    residues : mapping
        Residue table by key.
    container : callable
        Container by name; raises ValueError for one nobody knows.

    Raises
    ------
    InputFault
        When it is no plan, or counts in a container nobody knows.
    """
    text = read_plain_text(path, "a plan (JSON)")
    try:
        document: Any = json.loads(text)
        kinds = {str(one["supply"]): matter_of(residues[one["residue"]]) for one in document["supply"]}
        found = dict.fromkeys(Matter, 0.0)
        for one in document["worth"]:
            if one["limit"] == "supply" and one["what"] in kinds:
                kind = kinds[one["what"]]
                found[kind] = max(found[kind], float(one["worth"]) / container(str(one["unit"])).litres.mid)
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        told = " ".join(str(error).split())[:100] or type(error).__name__
        fault = Fault(str(path), told, "plan.json as mullbed plan --out writes it", "Make the plan again.")
        raise InputFault([fault]) from error
    return found
