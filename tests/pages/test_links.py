"""Every link and form of every page a grower can come to leads somewhere."""

from __future__ import annotations

import html
import re
from pathlib import Path

from fastapi.testclient import TestClient

from pages.conftest import DAY
from pages.kept_plan import keep_plan, planned

EACH = 2
"""So many addresses of one kind are tried."""


def kind(path: str) -> str:
    """Return an address without what differs from bed to bed."""
    return re.sub(r"/bed/[^/?]+", "/bed/*", path.partition("?")[0]) + ("?" if "?" in path else "")


def test_no_link_is_dead_from_wherever_one_starts(client: TestClient, record: Path):
    keep_plan(record, planned("Gate Bed", DAY))
    tried: dict[str, int] = {}
    waiting, seen, forms = ["/"], {"/"}, set()
    while waiting:
        path = waiting.pop(0)
        if tried.get(kind(path), 0) >= EACH:
            continue
        tried[kind(path)] = tried.get(kind(path), 0) + 1
        answer = client.get(path)
        assert answer.status_code in (200, 303), f"{path}: {answer.status_code}"
        if not answer.headers.get("content-type", "").startswith("text/html"):
            continue
        forms |= {html.unescape(one) for one in re.findall(r'action="(/[^"#?]*)', answer.text)}
        for target in re.findall(r'href="(/[^"#]*)', answer.text):
            plain = html.unescape(target)
            if plain not in seen and not plain.startswith("/static"):
                seen.add(plain)
                waiting.append(plain)
    assert "/print/away" in forms
    for action in forms:
        assert client.get(action).status_code in (200, 303, 405), action
    for reached in ("/map", "/print", "/print/cards.pdf", "/show", "/season", "/bed/*/card", "/bed/*/lay"):
        assert any(one.rstrip("?") == reached for one in tried), reached
