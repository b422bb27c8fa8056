"""How somebody reads: language, decimal sign, order of the day and units; their own choice first, then the browser's.

A choice is kept in a cookie of the browser. The answers for programs are always in English with a decimal point.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache, lru_cache

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from mullbed.domain.garden import UnitSystem
from mullbed.language import ENGLISH, Language, spoken
from mullbed.web.catalogue import ABOUT, translations

COOKIE = "mullbed_reading"
LANGUAGES = {"en": "English", "es": "Español"}
"""Languages there are, each by its own name."""
UNREVIEWED = frozenset({"es"})
"""Languages no grower who speaks them has read through yet."""
UNITS = {"metric": UnitSystem.METRIC, "us": UnitSystem.US}
DECIMALS = {"point": ".", "comma": ","}
MOST_LANGUAGES = 20
"""So many of a browser's languages are looked at."""

POINT_IN_SPANISH = frozenset({"mx", "us", "gt", "hn", "ni", "pa", "pe", "pr", "sv", "do", "cu"})
"""Where Spanish is written with a decimal point (Unicode CLDR; from memory)."""
COMMA_IN_ENGLISH = frozenset({"za", "at", "be", "ch", "de", "dk", "fi", "nl", "se", "si"})
"""Where English is written with a decimal comma, or is read by people who write one (CLDR; from memory)."""
US_UNITS = frozenset({"us", "lr"})
"""Where gardeners measure in feet and gallons (Unicode CLDR; from memory)."""
MONTH_FIRST = frozenset({"us", "ph", "pr"})
"""Where English puts the month before the day (Unicode CLDR; from memory)."""


@dataclass(frozen=True, slots=True)
class Reading:
    """How one request is answered."""

    language: Language = ENGLISH
    units: UnitSystem | None = None
    """Chosen by the reader; None for the garden's own."""
    likely_units: UnitSystem = UnitSystem.METRIC
    """Of a garden they begin."""
    chosen: tuple[str, str, str] = ("", "", "")
    """Language, units and decimal sign as the reader chose them; empty where they did not."""


AS_USUAL = Reading()
_READING: ContextVar[Reading] = ContextVar("mullbed_reading", default=AS_USUAL)


def reading() -> Reading:
    """Return how the one reads who is answered now."""
    return _READING.get()


def units_read(usual: UnitSystem) -> UnitSystem:
    """Return the units of the reader, which are the garden's unless they chose."""
    return _READING.get().units or usual


@contextmanager
def read_as(chosen: Reading) -> Iterator[None]:
    """Answer everything inside for a reader."""
    before = _READING.set(chosen)
    try:
        with spoken(chosen.language):
            yield
    finally:
        _READING.reset(before)


def kept_choice(language: str, units: str, decimal: str) -> str:
    """Return a choice as its cookie holds it; what is not known is not kept."""
    known = (language in LANGUAGES, units in UNITS, decimal in DECIMALS)
    return "-".join(one if here else "" for one, here in zip((language, units, decimal), known, strict=True))


def reading_of(cookies: str, accepted: str) -> Reading:
    """Return how somebody reads by their cookie and by what their browser accepts."""
    found = re.search(rf"(?:^|;) ?{COOKIE}=([a-z-]{{2,40}})(?:;|$)", cookies)
    return _reading(found.group(1) if found else "", accepted[:500])


@lru_cache(maxsize=256)
def _reading(choice: str, accepted: str) -> Reading:
    language, units, decimal = _chosen(choice)
    code, region = _accepted(accepted)
    if language and language != code:
        code, region = language, ""
    likely = UNITS.get(units) or (UnitSystem.US if region in US_UNITS else UnitSystem.METRIC)
    return Reading(_language(code, region, decimal), UNITS.get(units), likely, (language, units, decimal))


def _chosen(choice: str) -> tuple[str, str, str]:
    parts = choice.split("-")
    kept = kept_choice(*(parts if len(parts) == 3 else ("", "", ""))).split("-")
    return kept[0], kept[1], kept[2]


def _accepted(header: str) -> tuple[str, str]:
    """Return language and region a browser wants most among those there are; of a language there is not, the region."""
    wanted = []
    for place, part in enumerate(header.split(",")[:MOST_LANGUAGES]):
        tag, _, rest = part.strip().partition(";")
        quality = rest.strip().removeprefix("q=") if rest else "1"
        try:
            weight = float(quality)
        except ValueError:
            weight = 0.0
        if weight > 0.0 and tag.strip():
            wanted.append((-weight, place, tag.strip().casefold()))
    for _, _, tag in sorted(wanted):
        code, *others = tag.split("-")
        if code in LANGUAGES:
            return code, next((one for one in others if len(one) == 2), "")
    return "en", sorted(wanted)[0][2].partition("-")[0][:2] if wanted else ""


@cache
def _language(code: str, region: str, decimal: str) -> Language:
    comma = region not in POINT_IN_SPANISH if code == "es" else region in COMMA_IN_ENGLISH
    sign = DECIMALS.get(decimal) or ("," if comma else ".")
    first = code == "en" and region in MONTH_FIRST
    if code == "en":
        return Language(code, sign, first)
    told = translations(code)

    def words(about: str, plain: str) -> str:
        found = told.pgettext(about, plain) if about else told.gettext(plain)
        return plain if found.startswith(f"{about}{ABOUT}") else found

    def counted(about: str, one: str, many: str, count: int) -> str:
        return told.npgettext(about, one, many, count) if about else told.ngettext(one, many, count)

    return Language(code, sign, first, words, counted)


class Readers:
    """Stands before the pages and says how each request is answered."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer in the language, signs and units of who asks."""
        if scope["type"] != "http" or scope["path"].startswith(("/api/", "/static/")):
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        with read_as(reading_of(headers.get("cookie", ""), headers.get("accept-language", ""))):
            await self.app(scope, receive, send)
