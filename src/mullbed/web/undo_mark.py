"""A mark that says what stood before somebody's role was changed, so that it can be put back; signed, for an hour."""

from __future__ import annotations

import hmac
import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from datetime import datetime, timedelta
from hashlib import sha256

from mullbed.domain.people import Person, Role

LASTS = timedelta(hours=1)


def mark_of(before: Person, by: str, now: datetime, secret: str) -> str:
    """Return the mark of a person as they stood, good for the one who changed it."""
    beds = None if before.beds is None else sorted(before.beds)
    plain = [before.account, before.name, before.garden, str(before.role), beds, by, int(now.timestamp())]
    body = urlsafe_b64encode(json.dumps(plain).encode()).decode()
    return f"{body}.{_sign(body, secret)}"


def person_of(mark: str, by: str, now: datetime, secret: str) -> Person | None:
    """Return the person of a mark; None where it is not ours, another's, or over."""
    body, _, sign = mark.partition(".")
    if not hmac.compare_digest(sign.encode(), _sign(body, secret).encode()):
        return None
    account, name, garden, role, beds, whose, when = json.loads(urlsafe_b64decode(body))
    if whose != by or not 0 <= now.timestamp() - when <= LASTS.total_seconds():
        return None
    return Person(account, name, garden, Role(role), None if beds is None else frozenset(beds))


def _sign(body: str, secret: str) -> str:
    return hmac.new(secret.encode(), f"undo {body}".encode(), sha256).hexdigest()
