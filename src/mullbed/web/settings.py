"""What one server is started with."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from secrets import token_hex

from mullbed.domain.signing import Where

LOCAL_NAMES = ("127.0.0.1", "localhost", "[::1]", "::1")


@dataclass(frozen=True, slots=True)
class Settings:
    """How a server behaves; made once by the command line."""

    where: Where
    """The record, and the garden in it."""
    author: str
    """Who writes while nobody needs to sign in."""
    sign_in: bool = False
    """Whether people must sign in; always True when shared."""
    names: tuple[str, ...] = LOCAL_NAMES
    """Host names this server answers to; others are refused, against rebinding."""
    secure: bool = False
    """Whether it is reached over https, so that cookies may say so."""
    secret: str = field(default_factory=lambda: token_hex(32))
    """Signs sessions; a new one signs everybody out."""
    today: date | None = None
    """The day it is taken to be; None for the clock's."""
    log: bool = False
    """Whether each answer is told as a line of JSON."""
    behind_proxy: bool = False
    """Whether addresses are taken from X-Forwarded-For, set by a proxy of our own."""
