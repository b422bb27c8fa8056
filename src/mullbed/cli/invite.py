"""``mullbed invite``: a link that lets one person into a shared garden, once."""

from __future__ import annotations

import json
from enum import StrEnum
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption
from mullbed.cli.signing import AuthorOption, RecordOption, WhichOption, signature, where


class RoleChoice(StrEnum):
    """What somebody may do."""

    LEAD = "lead"
    HELPER = "helper"
    VIEWER = "viewer"


def invite(
    role: Annotated[
        RoleChoice, typer.Option("--role", help="Lead changes all; helper writes; viewer looks on.")
    ] = RoleChoice.HELPER,
    bed: Annotated[
        list[str] | None, typer.Option("--bed", metavar="BED", help="Only this bed; may come more than once.")
    ] = None,
    address: Annotated[
        str, typer.Option("--address", metavar="ADDRESS", help="Where the page is reached.")
    ] = "http://127.0.0.1:8437",
    by: AuthorOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Make a link that lets one person in, once.

    It ends after seven days. For a garden that several people share.

    \b
    mullbed invite --role helper --bed "Wall Bed"
    mullbed invite --role lead
    """
    del plain
    from secrets import token_urlsafe

    from mullbed.domain.people import Role
    from mullbed.usecases.invite_person import invite_person

    signed, token = signature(by), token_urlsafe(32)
    beds = frozenset(bed) if bed else None
    made = invite_person(where(record, garden), token, Role(role.value), beds, (signed.author, signed.now))
    link = f"{address.rstrip('/')}/accept?code={token}"
    if as_json:
        print(json.dumps({"link": link, "role": str(made.role), "ends": made.expires.date().isoformat()}))
        return
    print(
        f"{link}\nOne person can come in by it, once, until {made.expires.date().isoformat()}. It is not shown again."
    )
