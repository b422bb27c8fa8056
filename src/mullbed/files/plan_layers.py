"""Layers out of the JSON document of a plan, for what is computed on them later."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from mullbed.domain.layer import Layer, Lift
from mullbed.domain.residue import Residue
from mullbed.domain.spread import Evidence
from mullbed.errors import Fault, InputFault
from mullbed.files.plain_text import read_plain_text

#: Doubt of an amount that the document tells without one. Judgement.
MASS_DOUBT = 0.25


def read_plan_layers(path: Path, residues: Mapping[str, Residue]) -> tuple[Layer, ...]:
    """Return the layers of a plan.json; water within them is that of the residue table.

    Raises
    ------
    InputFault
        When it is no plan, or names a residue the table does not know.
    """
    text = read_plain_text(path, "a plan (JSON)")
    try:
        listed: Any = json.loads(text)["layers"]
        return tuple(
            Layer(
                str(one["bed"]),
                date.fromisoformat(one["date"]),
                tuple(_lift(lift, residues[lift["residue"]]) for lift in one["lifts"]),
                0.0,
            )
            for one in listed
        )
    except (ValueError, KeyError, TypeError) as error:
        told = " ".join(str(error).split())[:80] or type(error).__name__
        fault = Fault(str(path), told, "plan.json as mullbed plan --out writes it", "Make the plan again.")
        raise InputFault([fault]) from error


def _lift(told: Mapping[str, Any], residue: Residue) -> Lift:
    dry = float(told["dry_matter"])
    fresh = bool(told["fresh"])
    water = dry / 1000.0 * residue.moisture.mid / residue.dry_share
    return Lift(
        residue=residue.key,
        container=str(told["container"]),
        count=float(told["count"]),
        dry_matter=dry,
        dry_matter_log_sd=MASS_DOUBT,
        dry_matter_evidence=Evidence.WORKED_OUT,
        thickness=float(told["thickness_mm"]) / 1000.0,
        fresh=fresh,
        tissue_water=water if fresh else 0.0,
        free_water=0.0 if fresh else water,
    )
