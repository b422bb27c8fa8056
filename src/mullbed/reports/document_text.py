"""A document as JSON text, the same for every command and for the files of a plan. Light to import."""

from __future__ import annotations

import json
from collections.abc import Mapping


def rendered(document: Mapping[str, object]) -> str:
    """Return a document as text: UTF-8, two spaces, keys as written, no number that JSON does not know."""
    return json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
