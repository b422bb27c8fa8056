"""Accounts, memberships, invitations, sessions and attempts; every secret is kept as a hash."""

from __future__ import annotations

import json
from datetime import datetime

from sqlalchemy import bindparam, delete, func, insert, or_, select, update

from mullbed.domain.people import Invitation, Person, Role
from mullbed.domain.record_papers import digest_of
from mullbed.store.database import Transaction
from mullbed.store.tables import accounts, attempts, invitations, memberships, sessions


def folded(name: str) -> str:
    """Return a name as it is looked for."""
    return " ".join(name.split()).casefold()


def token_digest(token: str) -> str:
    """Return what is kept of a token."""
    return digest_of(token.encode("utf-8", "replace"))


def phrase_of(transaction: Transaction, name: str) -> tuple[str, str] | None:
    """Return account and hashed phrase of a name; None where nobody has it."""
    found = transaction.execute(select(accounts.c.id, accounts.c.phrase).where(accounts.c.folded == folded(name)))
    row = found.first()
    return None if row is None else (row.id, row.phrase)


def add_account(transaction: Transaction, account: str, name: str, phrase: str, moment: datetime) -> None:
    """Keep a new account."""
    row = {"id": account, "name": name, "folded": folded(name), "phrase": phrase, "made_at": moment}
    transaction.execute(insert(accounts), [row])


def set_phrase(transaction: Transaction, account: str, phrase: str) -> None:
    """Keep another hashed phrase of an account."""
    transaction.execute(update(accounts).where(accounts.c.id == account).values(phrase=phrase))


def account_name(transaction: Transaction, account: str) -> str | None:
    """Return the name of an account; None where nobody has it."""
    row = transaction.execute(select(accounts.c.name).where(accounts.c.id == account)).first()
    return None if row is None else str(row.name)


def set_membership(transaction: Transaction, person: Person) -> None:
    """Keep what somebody may do in a garden, in place of what they might before."""
    ours = (memberships.c.account == person.account) & (memberships.c.garden == person.garden)
    transaction.execute(delete(memberships).where(ours))
    row = {"account": person.account, "garden": person.garden, "role": str(person.role), "beds": _told(person.beds)}
    transaction.execute(insert(memberships), [row])


def remove_membership(transaction: Transaction, account: str, garden: str) -> None:
    """Take somebody out of a garden and sign them out everywhere."""
    ours = (memberships.c.account == account) & memberships.c.garden.in_((garden, ""))
    transaction.execute(delete(memberships).where(ours))
    transaction.execute(delete(sessions).where(sessions.c.account == account))


def people(transaction: Transaction, garden: str) -> tuple[Person, ...]:
    """Return everybody of a garden, by name."""
    joined = select(accounts.c.id, accounts.c.name, memberships.c.garden, memberships.c.role, memberships.c.beds)
    asked = joined.join(memberships, memberships.c.account == accounts.c.id)
    rows = transaction.execute(asked.where(memberships.c.garden.in_((garden, ""))).order_by(accounts.c.folded))
    return tuple(Person(row.id, row.name, row.garden, Role(row.role), _read(row.beds)) for row in rows)


def open_session(transaction: Transaction, token: str, account: str, now: datetime, until: datetime) -> None:
    """Keep a new session; those that have ended go."""
    transaction.execute(delete(sessions).where(sessions.c.expires_at <= now))
    transaction.execute(insert(sessions), [{"digest": token_digest(token), "account": account, "expires_at": until}])


def close_session(transaction: Transaction, token: str) -> None:
    """End a session."""
    transaction.execute(delete(sessions).where(sessions.c.digest == token_digest(token)))


def close_sessions(transaction: Transaction, account: str) -> None:
    """End every session of an account."""
    transaction.execute(delete(sessions).where(sessions.c.account == account))


_SESSION = (
    select(accounts.c.id, accounts.c.name, memberships.c.garden, memberships.c.role, memberships.c.beds)
    .select_from(
        sessions.join(accounts, accounts.c.id == sessions.c.account).join(
            memberships, memberships.c.account == accounts.c.id
        )
    )
    .where(sessions.c.digest == bindparam("token"), sessions.c.expires_at > bindparam("now"))
    .where(or_(memberships.c.garden == bindparam("of"), memberships.c.garden == ""))
    .order_by(memberships.c.garden.desc())
)
"""Asked at every look at a page of a shared garden, so it is put together once."""


def session_person(transaction: Transaction, token: str, garden: str, now: datetime) -> Person | None:
    """Return whose session a token opens, as they stand in a garden; None where it ended or they are not of it."""
    row = transaction.execute(_SESSION, {"token": token_digest(token), "now": now, "of": garden}).first()
    return None if row is None else Person(row.id, row.name, row.garden, Role(row.role), _read(row.beds))


def add_invitation(transaction: Transaction, token: str, invitation: Invitation, made_by: str) -> None:
    """Keep an invitation."""
    row = {
        "digest": token_digest(token),
        "garden": invitation.garden,
        "role": str(invitation.role),
        "beds": _told(invitation.beds),
        "made_by": made_by,
        "expires_at": invitation.expires,
    }
    transaction.execute(insert(invitations), [row])


def open_invitation(transaction: Transaction, token: str, now: datetime) -> Invitation | None:
    """Return an invitation that is neither used nor over."""
    ours = (invitations.c.digest == token_digest(token)) & (invitations.c.expires_at > now)
    row = transaction.execute(select(invitations).where(ours & invitations.c.used_at.is_(None))).first()
    return None if row is None else Invitation(row.garden, Role(row.role), _read(row.beds), row.expires_at)


def use_invitation(transaction: Transaction, token: str, now: datetime) -> bool:
    """Mark an invitation as used; False where another was quicker."""
    ours = (invitations.c.digest == token_digest(token)) & invitations.c.used_at.is_(None)
    return transaction.execute(update(invitations).where(ours).values(used_at=now)).rowcount == 1


def count_attempts(transaction: Transaction, who: str, since: datetime) -> int:
    """Return how often somebody tried since a moment."""
    ours = (attempts.c.who == token_digest(who)) & (attempts.c.at > since)
    return int(transaction.execute(select(func.count()).select_from(attempts).where(ours)).scalar() or 0)


def add_attempt(transaction: Transaction, who: str, now: datetime, forget: datetime) -> None:
    """Keep that somebody tried; old attempts go."""
    transaction.execute(delete(attempts).where(attempts.c.at <= forget))
    transaction.execute(insert(attempts), [{"who": token_digest(who), "at": now}])


def _told(beds: frozenset[str] | None) -> str | None:
    return None if beds is None else json.dumps(sorted(beds), ensure_ascii=False)


def _read(beds: str | None) -> frozenset[str] | None:
    return None if beds is None else frozenset(json.loads(beds))
