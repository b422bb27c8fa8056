"""The application of one of several server processes, built from what the first process was started with.

The first process hands its settings on in its environment, which only its own user can read.
"""

from __future__ import annotations

import json
import os
from dataclasses import asdict
from datetime import date
from threading import Thread

from fastapi import FastAPI

from mullbed.domain.signing import Where
from mullbed.web.app import build_app
from mullbed.web.settings import Settings

HANDED_ON = "MULLBED_SERVED"


def hand_on(settings: Settings) -> None:
    """Leave the settings where the processes started from here find them."""
    plain = asdict(settings) | {"today": settings.today.isoformat() if settings.today else None}
    os.environ[HANDED_ON] = json.dumps(plain)


def handed_on() -> Settings:
    """Return the settings of the process that started this one."""
    plain = json.loads(os.environ[HANDED_ON])
    plain |= {
        "where": Where(**plain["where"]),
        "names": tuple(plain["names"]),
        "today": date.fromisoformat(plain["today"]) if plain["today"] else None,
    }
    return Settings(**plain)


def application() -> FastAPI:
    """Return the application of this process, its engine being loaded meanwhile."""
    from mullbed.usecases.warm_up import warm_up
    from mullbed.web.request_log import write_lines
    from mullbed.web.warm_pages import warm_garden

    settings = handed_on()
    if settings.log:
        write_lines()

    def warm() -> None:
        warm_up()
        warm_garden(settings)

    Thread(target=warm, name="warm up", daemon=True).start()
    return build_app(settings)
