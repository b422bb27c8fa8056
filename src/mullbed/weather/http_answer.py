"""One seam to the network: an https address to its answer, with time limit, size cap, cache and an offline switch.

Nothing but what is asked for leaves this machine: the address holds coordinates and days, no name and no key. A
redirection is followed on the same host only. Plain http is taken from this machine itself alone.
"""

from __future__ import annotations

import json
import urllib.error
import urllib.request
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from http.client import HTTPException
from ipaddress import ip_address
from pathlib import Path
from typing import IO, Any
from urllib.parse import urlsplit

from mullbed.errors import Fault, InputFault
from mullbed.weather.bounded_text import LARGEST_BYTES
from mullbed.weather.station_file import write_whole

TIME_LIMIT = 30.0
"""[s]"""
AGENT = "mullbed (daily weather of a garden)"


@dataclass(frozen=True, slots=True)
class Answer:
    """What an address answered."""

    text: str
    from_cache: bool
    fetched_on: str
    """Day it came over the network, ISO 8601."""


class _SameHost(urllib.request.HTTPRedirectHandler):
    """Follow a redirection only where it stays on the host and is still https."""

    def redirect_request(
        self, req: urllib.request.Request, fp: IO[bytes], code: int, msg: str, headers: Any, newurl: str
    ) -> urllib.request.Request | None:
        before, after = urlsplit(req.full_url), urlsplit(newurl)
        if after.hostname != before.hostname or after.scheme != before.scheme:
            raise urllib.error.HTTPError(req.full_url, code, "sends to another host", headers, fp)
        return super().redirect_request(req, fp, code, msg, headers, newurl)


def answer_of(
    address: str,
    *,
    cache: Path | None,
    today: str,
    offline: bool = False,
    fresh: bool = False,
    sound: Callable[[str], None] = lambda text: None,
    largest: int = LARGEST_BYTES,
    seconds: float = TIME_LIMIT,
) -> Answer:
    """Return the answer of an address, from the cache where it is there.

    Parameters
    ----------
    address : str
        https; or http on this machine.
    cache : Path or None
        Folder that keeps answers; None keeps none.
    today : str
        Day to note with the answer.
    offline : bool
        Never ask the network.
    fresh : bool
        Ask again even where the cache has it; what has not changed is not sent again.
    sound : callable
        Raises InputFault for an answer that cannot be right, which is then not kept.
    largest : int
        Answers of more bytes are refused. [bytes]
    seconds : float
        [s]

    Raises
    ------
    InputFault
        When the address is none that may be asked, nobody answers, the answer is too large or no UTF-8 text, or it is
        asked offline for what the cache does not have.
    """
    host = _allowed(address)
    kept = None if cache is None else _Kept(cache, address)
    known = kept.read() if kept is not None else None
    if known is not None and (offline or not fresh):
        return Answer(known["text"], True, known["fetched_on"])
    if offline:
        remedy = "Ask once with the network, or save the answer in a browser and use mullbed weather read."
        raise InputFault(
            [Fault(host, "not kept from before, and the network is switched off", "a kept answer", remedy)]
        )
    tag = known.get("tag", "") if known is not None else ""
    text, new_tag = _fetched(address, host, tag, largest, seconds)
    if text is None and known is not None:
        return Answer(known["text"], True, known["fetched_on"])
    if text is None:
        raise InputFault([Fault(host, "no answer", "an answer", "Try again later.")])
    sound(text)
    if kept is not None:
        kept.write({"address": address, "tag": new_tag, "fetched_on": today, "text": text})
    return Answer(text, False, today)


def _allowed(address: str) -> str:
    """Return the host of an address that may be asked."""
    parts = urlsplit(address)
    host = parts.hostname or ""
    local = host == "localhost" or _is_loopback(host)
    if not host or parts.username or parts.scheme not in ("https", "http") or (parts.scheme == "http" and not local):
        allowed = "an https address without a name and password"
        raise InputFault([Fault("address", f"'{address[:60]}'", allowed, "Write https://...")])
    return host


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False


def _fetched(address: str, host: str, tag: str, largest: int, seconds: float) -> tuple[str | None, str]:
    """Return text and tag of an answer over the network; None where it has not changed."""
    headers = {"User-Agent": AGENT, "Accept": "application/json", **({"If-None-Match": tag} if tag else {})}
    request = urllib.request.Request(address, headers=headers)
    opener = urllib.request.build_opener(_SameHost)
    try:
        with opener.open(request, timeout=seconds) as stream:
            told = stream.headers.get("Content-Length", "")
            if told.isdigit() and int(told) > largest:
                raise _too_large(host, largest)
            content = stream.read(largest + 1)
            new_tag = str(stream.headers.get("ETag", ""))
    except urllib.error.HTTPError as error:
        with error:
            if error.code == 304:
                return None, tag
            raise InputFault([_refused(host, error)]) from error
    except (OSError, HTTPException, ValueError) as error:
        reason = getattr(error, "reason", None) or error
        found = f"cannot be reached ({str(reason)[:80] or type(error).__name__})"
        remedy = "Check the network and try again, or save the answer in a browser and use mullbed weather read."
        raise InputFault([Fault(host, found, "an answer", remedy)]) from error
    if len(content) > largest:
        raise _too_large(host, largest)
    try:
        return content.decode("utf-8"), new_tag
    except UnicodeDecodeError as error:
        raise InputFault([Fault(host, "the answer is no UTF-8 text", "JSON", "Try again later.")]) from error


def _refused(host: str, error: urllib.error.HTTPError) -> Fault:
    """Return the fault for an answer that says no, with what the service says."""
    try:
        said = error.read(2000).decode("utf-8", "replace")
    except (OSError, HTTPException, ValueError):
        said = ""
    try:
        answer = json.loads(said)
        said = str(answer.get("reason") or answer.get("detail") or answer.get("messages") or answer)
    except (ValueError, AttributeError):
        pass
    said = "".join(letter if letter.isprintable() else " " for letter in said)
    words = {429: "it was asked too often", 404: "it knows no such address", 503: "it is closed for the moment"}.get(
        error.code, f"it answered {error.code} {str(error.reason)[:40]}"
    )
    remedy = "Wait a minute and try again." if error.code in (429, 503) else "Check place and days, or try again later."
    return Fault(host, f"{words}: {' '.join(said.split())[:120]}".rstrip(": "), "daily values", remedy)


def _too_large(host: str, largest: int) -> InputFault:
    found = f"the answer is larger than {largest / 1e6:g} MB"
    return InputFault([Fault(host, found, "one place's daily values", "Ask for fewer years.")])


class _Kept:
    """One answer in the cache."""

    def __init__(self, folder: Path, address: str) -> None:
        self.address = address
        self.path = folder / f"{sha256(address.encode()).hexdigest()[:32]}.json"

    def read(self) -> dict[str, str] | None:
        """Return what was kept of this very address; None where there is none or it is damaged."""
        try:
            if self.path.stat().st_size > 3 * LARGEST_BYTES:
                return None
            kept = json.loads(self.path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return None
        keys = ("address", "tag", "fetched_on", "text")
        if not isinstance(kept, dict) or any(not isinstance(kept.get(key), str) for key in keys):
            return None
        return kept if kept["address"] == self.address else None

    def write(self, content: Mapping[str, str]) -> None:
        """Keep an answer; a cache that cannot be written is no reason to fail."""
        try:
            write_whole(self.path, json.dumps(content, ensure_ascii=False))
        except InputFault:
            return
