"""List popular claims, how they stand, and the trial that would settle each; reads tables only."""

from __future__ import annotations

from dataclasses import replace

from mullbed.domain.teaching import Claim
from mullbed.reference.claims import all_claims
from mullbed.reference.field_checks import all_field_checks
from mullbed.trials.power import blocks_needed


def list_claims() -> tuple[Claim, ...]:
    """Return every claim; pairs follow from the usual variation of its measure, None where no table knows it."""
    checks = all_field_checks()
    found = []
    for claim in all_claims():
        check = checks.get(claim.settling.measure)
        if check is not None:
            pairs = blocks_needed(claim.settling.difference, check.variation, scale=check.scale)
            claim = replace(claim, settling=replace(claim.settling, pairs=pairs))
        found.append(claim)
    return tuple(found)
