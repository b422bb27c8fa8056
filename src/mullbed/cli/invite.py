"""``mullbed invite``: a link that lets one person into a shared garden, once."""

from __future__ import annotations

import json
from enum import StrEnum
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption
from mullbed.cli.signing import AuthorOption, RecordOption, WhichOption, signature, where
from mullbed.domain.signing import Signature, Where
from mullbed.errors import Fault, InputFault


class RoleChoice(StrEnum):
    """What somebody may do."""

    LEAD = "lead"
    HELPER = "helper"
    VIEWER = "viewer"
    ANYBODY = "anybody"


def invite(
    role: Annotated[
        RoleChoice,
        typer.Option(
            "--role", help="Lead changes all; helper writes; viewer looks on; anybody may look by the link, unsigned."
        ),
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

    It ends after seven days. For a garden that several people share. A link for anybody shows the garden, or one bed,
    without names, for fourteen days; the page takes it back.

    \b
    mullbed invite --role helper --bed "Wall Bed"
    mullbed invite --role lead
    mullbed invite --role anybody --bed "Wall Bed"
    """
    del plain
    if role is RoleChoice.ANYBODY:
        _to_look(bed, address, where(record, garden), signature(by), as_json=as_json)
        return
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


def _to_look(bed: list[str] | None, address: str, at: Where, signed: Signature, *, as_json: bool) -> None:
    """Make a link by which anybody can look, and print it."""
    from datetime import timedelta
    from secrets import token_urlsafe

    from mullbed.usecases.share_look import share_look

    if bed is not None and len(bed) > 1:
        remedy = "Make a link for each, or leave --bed out for the whole garden."
        raise InputFault([Fault("--bed", f"{len(bed)} beds", "one bed", remedy)])
    token = token_urlsafe(32)
    made = share_look(at, token, bed[0] if bed else None, timedelta(days=14), (signed.author, signed.now))
    link = f"{address.rstrip('/')}/look/{token}"
    ends = made.expires.date().isoformat()
    if as_json:
        print(json.dumps({"link": link, "role": "anybody", "ends": ends}))
        return
    print(f"{link}\nAnybody can look by it until {ends}; nobody can change. It is not shown again.")
