"""A form as it was sent: plain fields, bounded, nothing trusted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated
from urllib.parse import parse_qsl

from fastapi import Depends, Request

from mullbed.errors import Fault, InputFault
from mullbed.language import in_signs
from mullbed.units import parse_number

LONGEST = 2000
"""Longest text of one field."""
MOST_FIELDS = 400


@dataclass(frozen=True, slots=True)
class Answers:
    """The fields of a form, each with every value it came with."""

    fields: Mapping[str, tuple[str, ...]]

    def one(self, name: str, default: str = "") -> str:
        """Return the last value of a field, without blanks around it."""
        values = self.fields.get(name, ())
        return values[-1].strip() if values else default

    def all(self, name: str) -> tuple[str, ...]:
        """Return every value of a field that is not empty."""
        return tuple(value.strip() for value in self.fields.get(name, ()) if value.strip())

    def number(self, name: str, default: float = 0.0) -> float:
        """Return a field as a number; an empty one is the default, a decimal comma is understood.

        Raises
        ------
        InputFault
            When it is no number.
        """
        text = self.one(name)
        return parse_number(text, name) if text else default

    def after(self, start: str) -> dict[str, str]:
        """Return the fields whose name begins so, by the rest of their name."""
        return {name[len(start) :]: self.one(name) for name in self.fields if name.startswith(start)}


def answers_of(pairs: Sequence[tuple[str, str]]) -> Answers:
    """Return fields from pairs of name and value.

    Raises
    ------
    InputFault
        When there are too many, or one is too long.
    """
    fields: dict[str, tuple[str, ...]] = {}
    for name, value in pairs:
        if len(value) > LONGEST or len(name) > LONGEST or "\0" in value or "\0" in name:
            raise InputFault([Fault(name[:40], f"{len(value)} letters", f"up to {LONGEST}", "Say it in fewer words.")])
        if not (_whole(name) and _whole(value)):
            raise InputFault([Fault("form", "half of a sign", "whole letters", "Write it anew.")])
        fields[name] = (*fields.get(name, ()), value)
    if len(fields) > MOST_FIELDS:
        raise InputFault([Fault("form", f"{len(fields)} fields", f"up to {MOST_FIELDS}", "Send the page's own form.")])
    return Answers(fields)


def _whole(text: str) -> bool:
    """Tell whether a text can be written down: JSON can hold halves of signs, which no file can."""
    return not any("\ud800" <= letter <= "\udfff" for letter in text)


async def sent_form(request: Request) -> Answers:
    """Return the form of a request.

    Raises
    ------
    InputFault
        When there are too many fields, or one is too long.
    """
    body = (await request.body()).decode("utf-8", "replace")
    try:
        pairs = parse_qsl(body, keep_blank_values=True, max_num_fields=2 * MOST_FIELDS)
    except ValueError:
        fault = Fault("form", "very many fields", f"up to {MOST_FIELDS}", "Send the page's own form.")
        raise InputFault([fault]) from None
    return answers_of(pairs)


def asked_form(request: Request) -> Answers:
    """Return what was asked in the address."""
    return answers_of(request.query_params.multi_items())


def shown_number(value: float) -> str:
    """Return a number as it stands in a field: with the reader's decimal sign, never with three digits behind it.

    Three digits behind a comma could be thousands, so they would be refused when the field is sent.
    """
    return in_signs(f"{round(value, 2):g}")


Sent = Annotated[Answers, Depends(sent_form)]
Asked = Annotated[Answers, Depends(asked_form)]
