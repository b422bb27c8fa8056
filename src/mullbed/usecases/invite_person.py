"""Let people into a shared garden: sign in and out, invite, accept, change what somebody may do.

Reads and writes the record. Answers tell nothing about who has an account: an unknown name costs as much time as a
wrong phrase. Raises InputFault where an answer is at fault, RecordError when the record cannot be written.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

from mullbed.domain.pass_phrase import phrase_faults
from mullbed.domain.people import Invitation, Person, Role
from mullbed.domain.signing import Where
from mullbed.errors import Fault, InputFault
from mullbed.language import marked
from mullbed.store import people as kept
from mullbed.store.database import Transaction, open_record
from mullbed.store.journal import gardens

if TYPE_CHECKING:
    from argon2 import PasswordHasher

SESSION = timedelta(days=14)
INVITATION = timedelta(days=7)
WINDOW = timedelta(minutes=15)
MOST_BY_NAME = 10
"""Tries under one name in a window. [J]"""
MOST_BY_PLACE = 30
"""Tries from one address in a window. [J]"""
MOST_LETTERS = 200
NO_MATCH = marked("Name and phrase don't match. Try again, or ask your lead.")
NO_INVITATION = marked("This invitation is used or over. Ask your lead for another.")


class TooOften(Exception):
    """Somebody tried more often than a forgetful person would."""


@dataclass(frozen=True, slots=True)
class Attempt:
    """One try to sign in."""

    name: str
    phrase: str
    place: str
    """The address it came from."""


def sign_in(where: Where, attempt: Attempt, token: str, now: datetime) -> bool:
    """Open a session under a fresh token where name and phrase match; False where they do not.

    Raises
    ------
    TooOften
        When this name or address tried too often.
    """
    account = _account_of(where, attempt, now)
    if account is None:
        return False
    with open_record(where.record) as record, record.writing() as transaction:
        kept.open_session(transaction, token, account, now, now + SESSION)
    return True


def change_phrase(where: Where, attempt: Attempt, fresh: str, token: str, now: datetime) -> bool:
    """Put a new phrase in place of the old one and end every other session; False where the old one is wrong.

    Raises
    ------
    InputFault
        When the new phrase is short, or one that many have.
    TooOften
        When this name or address tried too often.
    """
    faults = phrase_faults(fresh, attempt.name)
    if faults:
        raise InputFault(faults)
    account = _account_of(where, attempt, now)
    if account is None:
        return False
    hashed = _hasher().hash(fresh)
    with open_record(where.record) as record, record.writing() as transaction:
        kept.set_phrase(transaction, account, hashed)
        kept.close_sessions(transaction, account)
        kept.open_session(transaction, token, account, now, now + SESSION)
    return True


def _account_of(where: Where, attempt: Attempt, now: datetime) -> str | None:
    """Return the account that name and phrase open; None where they do not match; every try is counted."""
    name, phrase = attempt.name[:MOST_LETTERS], attempt.phrase[:MOST_LETTERS]
    by_name, by_place = f"name {kept.folded(name)}", f"place {attempt.place}"
    with open_record(where.record) as record:
        with record.writing() as transaction:
            since = now - WINDOW
            if (
                kept.count_attempts(transaction, by_name, since) >= MOST_BY_NAME
                or kept.count_attempts(transaction, by_place, since) >= MOST_BY_PLACE
            ):
                raise TooOften
            for one in (by_name, by_place):
                kept.add_attempt(transaction, one, now, since)
            found = kept.phrase_of(transaction, name)
        right = _matches(found[1] if found else _nobodys(), phrase)
    return found[0] if found is not None and right else None


def sign_out(where: Where, token: str) -> None:
    """End a session."""
    with open_record(where.record) as record, record.writing() as transaction:
        kept.close_session(transaction, token)


def who_is(where: Where, token: str, now: datetime) -> Person | None:
    """Return whom a session belongs to in this garden; None where it is none, or they are not of this garden."""
    with open_record(where.record) as record, record.reading() as transaction:
        return kept.session_person(transaction, token, _garden(transaction, where), now)


def anybody(where: Where) -> bool:
    """Tell whether the garden has a lead who can sign in."""
    return any(person.role is Role.LEAD for person in list_people(where))


def list_people(where: Where) -> tuple[Person, ...]:
    """Return everybody of the garden."""
    with open_record(where.record) as record, record.reading() as transaction:
        return kept.people(transaction, _garden(transaction, where))


def invite_person(
    where: Where, token: str, role: Role, beds: frozenset[str] | None, signed: tuple[str, datetime]
) -> Invitation:
    """Keep an invitation for one person, for a while; the token itself is kept nowhere."""
    author, now = signed
    with open_record(where.record) as record, record.writing() as transaction:
        invitation = Invitation(
            _garden(transaction, where), role, None if role is Role.LEAD else beds, now + INVITATION
        )
        kept.add_invitation(transaction, token, invitation, author)
    return invitation


def is_open(where: Where, token: str, now: datetime) -> bool:
    """Tell whether an invitation can still be used."""
    with open_record(where.record) as record, record.reading() as transaction:
        return kept.open_invitation(transaction, token, now) is not None


def accept_invitation(where: Where, token: str, attempt: Attempt, account: str, now: datetime) -> None:
    """Make an account from an invitation, which is then used.

    Raises
    ------
    InputFault
        When the invitation is used or over, the name is taken, or the phrase is too short.
    """
    name = " ".join(attempt.name.split())
    faults = []
    if not 1 <= len(name) <= 60 or not name.isprintable():
        faults.append(Fault("Name", f"{len(name)} letters", "1 to 60", "Say what the others call you."))
    faults += phrase_faults(attempt.phrase, name)
    if faults:
        raise InputFault(faults)
    hashed = _hasher().hash(attempt.phrase)
    with open_record(where.record) as record, record.writing() as transaction:
        invitation = kept.open_invitation(transaction, token, now)
        if invitation is None or not kept.use_invitation(transaction, token, now):
            raise InputFault([Fault("Invitation", "used or over", "an open one", NO_INVITATION)])
        if kept.phrase_of(transaction, name) is not None:
            raise InputFault([Fault("Name", name, "a name nobody has here", "Add a letter or your second name.")])
        kept.add_account(transaction, account, name, hashed, now)
        kept.set_membership(transaction, Person(account, name, invitation.garden, invitation.role, invitation.beds))


def change_role(where: Where, account: str, role: Role | None, beds: frozenset[str] | None) -> None:
    """Change what somebody may do; None takes them out and signs them out at once.

    Raises
    ------
    InputFault
        When they are not of this garden, or the garden would be left without a lead.
    """
    with open_record(where.record) as record, record.writing() as transaction:
        garden = _garden(transaction, where)
        everybody = kept.people(transaction, garden)
        person = next((one for one in everybody if one.account == account), None)
        if person is None:
            raise InputFault([Fault("Person", "nobody of this garden", "somebody of it", "Choose from the list.")])
        leads = [one for one in everybody if one.role is Role.LEAD]
        if role is not Role.LEAD and [one.account for one in leads] == [account]:
            raise InputFault([Fault("Role", "the only lead", "one lead at least", "Make another the lead first.")])
        if role is None:
            kept.remove_membership(transaction, account, garden)
        else:
            kept.set_membership(
                transaction, Person(account, person.name, person.garden, role, None if role is Role.LEAD else beds)
            )


def take_in_again(where: Where, person: Person) -> None:
    """Give somebody back what they might do before they were taken out.

    Raises
    ------
    InputFault
        When nobody has that account.
    """
    with open_record(where.record) as record, record.writing() as transaction:
        name = kept.account_name(transaction, person.account)
        if name is None:
            raise InputFault([Fault("Person", "nobody known here", "somebody who was here", "Make a link for them.")])
        kept.set_membership(transaction, person)


def _garden(transaction: Transaction, where: Where) -> str:
    """Return the garden that is meant; empty where the record holds none yet."""
    if where.garden is not None:
        return where.garden
    known = gardens(transaction)
    return known[0] if len(known) == 1 else ""


@lru_cache(maxsize=1)
def _hasher() -> PasswordHasher:
    """Argon2id, 19 MiB, two passes: OWASP, Password Storage Cheat Sheet (from memory)."""
    from argon2 import PasswordHasher

    return PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)


@lru_cache(maxsize=1)
def _nobodys() -> str:
    """Return a hash that no phrase is checked against in earnest, so that unknown names take as long."""
    return _hasher().hash("nobody has this phrase")


def _matches(hashed: str, phrase: str) -> bool:
    from argon2.exceptions import InvalidHashError, VerificationError

    try:
        return _hasher().verify(hashed, phrase)
    except (VerificationError, InvalidHashError):
        return False
