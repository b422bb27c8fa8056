"""Share the residues of a neighbourhood: who brings what to which garden, in which week, and what stays.

Reads the neighbourhood file and the lists it names. What a giver's answers put on hold by the rules of safety is never
brought. Raises InputFault when the file is at fault.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from mullbed.domain.neighbourhood import Giver, Sharing
from mullbed.domain.record_batches import Decision
from mullbed.domain.residue import Residue
from mullbed.files.neighbourhood_file import read_neighbourhood
from mullbed.plan.neighbourhood import shared_residues
from mullbed.reference.residues import all_residues
from mullbed.safety.hygiene import intake_verdict


def share_residues(path: Path, *, progress: Callable[[str], None] = lambda sentence: None) -> Sharing:
    """Return who brings what to whom.

    Parameters
    ----------
    path : Path
        The neighbourhood file.
    progress : callable

    Raises
    ------
    InputFault
        With every fault of the file.
    """
    neighbourhood, residues = read_neighbourhood(path), all_residues()
    givers = tuple(_checked(giver, residues[giver.residue]) for giver in neighbourhood.givers)
    progress(f"Sharing the residues of {len(givers)} givers among {len(neighbourhood.takers)} gardens.")
    return shared_residues(replace(neighbourhood, givers=givers), residues)


def _checked(giver: Giver, residue: Residue) -> Giver:
    """Return the giver, held where the rules of safety hold what it gives; its own hold and day stay."""
    if giver.held_because is not None:
        return giver
    verdict = intake_verdict(giver.answers, residue, giver.name)
    if verdict.decision is Decision.KEEP:
        return giver
    return replace(giver, held_because=verdict.short, held_until=None)
