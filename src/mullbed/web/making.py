"""A plan being made: long work in a thread of its own, one for each garden, that tells how far it is and can stop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from threading import Lock, Thread
from time import monotonic

from fastapi import FastAPI, Request

from mullbed.domain.signing import Where
from mullbed.errors import Fault, InputFault, MullbedError


class Stage(StrEnum):
    """How far it is."""

    WORKING = "working"
    DONE = "done"
    STOPPED = "stopped"
    FAILED = "failed"


class Stopped(Exception):
    """Somebody wants it no longer."""


@dataclass
class Making:
    """One plan being made. Written by its own thread and by the one who stops it."""

    leads_to: str = "/season"
    """Where its outcome is shown."""
    began: float = field(default_factory=monotonic)
    stage: Stage = Stage.WORKING
    sentence: str = "Reading the garden."
    faults: tuple[Fault, ...] = ()
    unwanted: bool = False

    @property
    def seconds(self) -> int:
        """Since it began. [s]"""
        return int(monotonic() - self.began)

    def told(self, sentence: str) -> None:
        """Take the next sentence; ends the work where it is no longer wanted.

        Raises
        ------
        Stopped
            When somebody stopped it.
        """
        if self.unwanted:
            raise Stopped
        self.sentence = sentence

    def run(self, work: Callable[[Callable[[str], None]], object]) -> None:
        """Do the work and tell how it ended."""
        try:
            work(self.told)
            self.stage = Stage.DONE
        except Stopped:
            self.stage = Stage.STOPPED
        except InputFault as error:
            self.faults, self.stage = tuple(error.faults), Stage.FAILED
        except MullbedError as error:
            self.faults = (Fault("Plan", str(error), "", "Change what is in hand or the beds, then plan again."),)
            self.stage = Stage.FAILED
        except Exception:
            self.stage = Stage.FAILED
            raise


_LOCK = Lock()


def _kept(request: Request) -> dict[Where, Making]:
    state = request.app.state
    if not hasattr(state, "making"):
        state.making = {}
    kept: dict[Where, Making] = state.making
    return kept


def making_of(request: Request, where: Where) -> Making | None:
    """Return the newest plan being made for a garden, or how it ended."""
    with _LOCK:
        return _kept(request).get(where)


def begin_making(
    request: Request, where: Where, work: Callable[[Callable[[str], None]], object], *, leads_to: str = "/season"
) -> Making:
    """Begin, unless one is being made already; return the one at work."""
    with _LOCK:
        kept = _kept(request)
        known = kept.get(where)
        if known is not None and known.stage is Stage.WORKING and not known.unwanted:
            return known
        made = kept[where] = Making(leads_to)
    Thread(target=made.run, args=(work,), name="plan", daemon=True).start()
    return made


def at_work_here(app: FastAPI) -> bool:
    """Tell whether a plan is being made in this process for any garden."""
    kept: dict[Where, Making] = getattr(app.state, "making", {})
    return any(one.stage is Stage.WORKING for one in list(kept.values()))


def ended_here(app: FastAPI) -> tuple[tuple[float, Stage], ...]:
    """Return how the plans made in this process ended, which pages tell of."""
    kept: dict[Where, Making] = getattr(app.state, "making", {})
    return tuple((one.began, one.stage) for one in list(kept.values()))
