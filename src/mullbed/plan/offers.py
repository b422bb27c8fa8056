"""What the simulation says of each candidate, week by week, for one bed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from mullbed.plan.candidates import Candidate
from mullbed.plan.scenarios import MemberWeeks
from mullbed.plan.terms import Index, Mask, Series


@dataclass(frozen=True, slots=True, eq=False)
class BedOffers:
    """Candidates of one bed with their outcomes; weeks are those of the season, zero before the laying week."""

    candidates: tuple[Candidate, ...]
    given: Series
    """Nitrogen given to the soil in each week, mean over members; negative is taken. (candidates, weeks) [g m-2]"""
    given_by_member: Series
    """Nitrogen given until the end of the season. (candidates, members) [g m-2]"""
    ammonia: Series
    """Lost to the air, mean. (candidates,) [g m-2]"""
    leached: Series
    """Washed down until the end of the season, mean. (candidates,) [g m-2]"""
    cover_depth: Series
    """Cover, as -ln(bare share). (candidates, weeks) [1]"""
    thickness: Series
    """Settled thickness. (candidates, weeks) [m]"""
    by_member: MemberWeeks | None = None
    """What `given` is the mean of; None where only the mean is known."""

    def keep(self, chosen: Index | Mask) -> BedOffers:
        """Return the offers of some candidates only, by a mask or by indices."""
        index = np.flatnonzero(chosen) if chosen.dtype == np.bool_ else np.asarray(chosen, dtype=np.int64)
        return replace(
            self,
            candidates=tuple(self.candidates[i] for i in index),
            given=self.given[index],
            given_by_member=self.given_by_member[index],
            ammonia=self.ammonia[index],
            leached=self.leached[index],
            cover_depth=self.cover_depth[index],
            thickness=self.thickness[index],
            by_member=None if self.by_member is None else self.by_member.keep(index),
        )

    @property
    def weeks_of_laying(self) -> Index:
        """Laying week of each candidate. (candidates,)"""
        return np.array([candidate.week for candidate in self.candidates], dtype=np.int64)
