"""Who is at the page: somebody at their own machine, somebody signed in, or nobody yet."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import Annotated

from fastapi import Depends, Request

from mullbed.domain.signing import Signature, Where
from mullbed.web.settings import Settings


@dataclass(frozen=True, slots=True)
class Visitor:
    """One person at one garden."""

    name: str
    where: Where
    may_write: bool = True
    leads: bool = True
    """Whether beds, plan and people may be changed."""
    beds: frozenset[str] | None = None
    """Beds a helper sees; None for all."""

    def sees(self, bed: str) -> bool:
        """Tell whether a bed is theirs to see."""
        return self.beds is None or bed in self.beds


def settings_of(request: Request) -> Settings:
    """Return what the server was started with."""
    settings = request.app.state.settings
    if not isinstance(settings, Settings):
        raise TypeError("the application was built without settings")
    return settings


def visitor_of(request: Request) -> Visitor:
    """Return who asks; the sign-in layer has put them there, else it is the owner at their own machine."""
    known = getattr(request.state, "visitor", None)
    if isinstance(known, Visitor):
        return known
    settings = settings_of(request)
    return Visitor(settings.author, settings.where)


def now() -> datetime:
    """Return this moment; the front door is where the clock is read."""
    return datetime.now(UTC)


def today(request: Request) -> date:
    """Return the day it is where the server stands, or the day it was told."""
    return settings_of(request).today or datetime.now().astimezone().date()


def signature(request: Request, visitor: Visitor) -> Signature:
    """Return who writes, at this moment."""
    return Signature(visitor.name, now(), today(request), lambda: os.urandom(10))


def in_garden(visitor: Visitor, garden: str | None) -> Visitor:
    """Return the visitor in another garden of the same record."""
    return replace(visitor, where=replace(visitor.where, garden=garden))


Asking = Annotated[Visitor, Depends(visitor_of)]
