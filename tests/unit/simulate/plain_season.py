"""Run a season with every process and print its ledger; started in a process of its own, compiled or plain."""

from __future__ import annotations

import json
import sys

import numpy as np

from mullbed.simulate.case import BedCase, CropCover, DigIn, Feed, Lay, RakeOff
from mullbed.simulate.ensemble import draw_members
from mullbed.simulate.run import pack, run_packed
from season_bed import LEAVES, STRAW, column, fresh, lift, showers, weather

DAYS = 90


def main() -> None:
    sky = weather(DAYS, -3, 17, 3.0, showers(DAYS, 0.4, 8.0, 2))
    sky.low[0, :8], sky.high[0, :8] = -8.0, -2.0
    crop = CropCover(np.full(DAYS, 0.7), np.full(DAYS, 0.4), np.full(DAYS, 0.1))
    events = (
        Lay(0, (lift(LEAVES, 0.4, free=1.0), fresh(0.5), lift(LEAVES, 0.4, free=1.0)), 3.0),
        RakeOff(20, 0.2),
        Lay(30, (fresh(0.6, 3.0), lift(STRAW, 0.3))),
        Feed(35, 1.0, 2.0, 30.0, 2.0),
        DigIn(60, 0.2),
        Lay(65, (fresh(0.03), lift(LEAVES, 0.05))),
    )
    case = BedCase("a season", sky, column(5.0), events, crop, kept_moist=True)
    outcome = run_packed(pack(case), draw_members(case, 2, 1), tolerance=1e-12, per_lift=True)
    balance = outcome.balance
    json.dump(
        {
            "ledgers": outcome.ledgers.tolist(),
            "thickness": np.nan_to_num(outcome.daily["thickness"]).tolist(),
            "errors": [balance.carbon, balance.nitrogen, balance.water],
        },
        sys.stdout,
    )


if __name__ == "__main__":
    main()
