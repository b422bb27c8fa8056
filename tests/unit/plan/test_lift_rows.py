"""A layer's lifts are found among a crop's own tops, whichever was laid first."""

from __future__ import annotations

from datetime import timedelta

from mullbed.domain.layer import Layer, Lift
from mullbed.domain.spread import Evidence
from mullbed.plan.lift_rows import rows_of_layers
from mullbed.simulate.case import BedCase, Lay
from season_bed import LEAVES, STRAW, column, fresh, lift, weather


def test_tops_between_two_layers_do_not_shift_their_rows() -> None:
    """Known: rows by day are leaves 0, tops 1, straw 2."""
    sky = weather(40, 10, 20, 2.0, 1.0)
    events = (Lay(30, (lift(STRAW, 0.3),)), Lay(5, (lift(LEAVES, 0.3),)), Lay(20, (fresh(0.1),)))
    case = BedCase("a bed", sky, column(), events)

    def laid(residue: str, day: int) -> Layer:
        one = Lift(residue, "bag", 1.0, 300.0, 0.1, Evidence.GUESS, 0.01, False, 0.0, 0.0)
        return Layer("a bed", sky.first_day + timedelta(days=day), (one,), 0.0)

    found = rows_of_layers(case, [laid("leaves", 5), laid("straw", 30)])
    assert found == [slice(0, 1), slice(2, 3)]
