"""Work that takes a page longer than one waits for: a plan of the season, a look ahead over every bed."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from fastapi import Request

from mullbed.domain.signing import Signature, Where
from mullbed.errors import MullbedError
from mullbed.web.making import Stopped, begin_making
from mullbed.web.visitor import Visitor, signature, today

Told = Callable[[str], None]
MEMBERS = 16
"""Each candidate layer of a plan is priced with so many."""


def begin_plan(request: Request, asking: Visitor) -> None:
    """Begin a plan from what was really done; the look ahead that the round stands on follows it."""
    where, day, signed, later = _asked(request, asking)

    def work(told: Told) -> None:
        from mullbed.usecases.make_season_plan import make_season_plan

        make_season_plan(Path(), where=where, today=day, signed=signed, members=MEMBERS, threads=1, progress=told)
        with suppress(Stopped, MullbedError):  # the plan is kept; the round says that no look ahead is
            _look_ahead(where, day, later, told)

    begin_making(request, where, work)


def begin_look_ahead(request: Request, asking: Visitor) -> None:
    """Begin to run every bed forward with what was written down since."""
    where, day, signed, _ = _asked(request, asking)
    begin_making(request, where, lambda told: _look_ahead(where, day, signed, told), leads_to="/")


def _asked(request: Request, asking: Visitor) -> tuple[Where, date, Signature, Signature]:
    return asking.where, today(request), signature(request, asking), signature(request, asking)


def _look_ahead(where: Where, day: date, signed: Signature, told: Told) -> None:
    from mullbed.usecases.forecast_garden import forecast_garden
    from mullbed.usecases.write_garden import write_garden

    written = write_garden(where)
    with TemporaryDirectory() as folder:
        for name, text in written.files.items():
            (Path(folder) / name).write_text(text, encoding="utf-8")
        forecast_garden(Path(folder) / "garden.toml", where=where, today=day, signed=signed, progress=told)
