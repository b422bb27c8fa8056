"""Who may listen where, and how answers travel."""

from __future__ import annotations

from datetime import date

import pytest
from fastapi.testclient import TestClient

from mullbed.domain.signing import Where
from mullbed.errors import InputFault
from mullbed.web.served import hand_on, handed_on
from mullbed.web.serving import Door, run_server
from mullbed.web.settings import Settings


def test_a_page_nobody_signs_in_to_listens_at_this_machine_alone():
    with pytest.raises(InputFault, match="sign in to"):
        run_server(Where(None), "Ada", Door(8437, listen="0.0.0.0"), say=lambda _: None)


def test_every_setting_reaches_the_other_processes_unchanged(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("MULLBED_SERVED", "")
    given = Settings(
        Where("postgresql:///x", "ours"),
        "Ada",
        True,
        ("a", "b"),
        True,
        today=date(2027, 6, 9),
        log=True,
        behind_proxy=True,
    )
    hand_on(given)
    assert handed_on() == given


def test_pages_travel_packed_and_come_out_as_they_were(client: TestClient):
    plain = client.get("/", headers={"accept-encoding": "identity"})
    for _ in range(2):  # made, and kept
        packed = client.get("/", headers={"accept-encoding": "gzip"})
        assert packed.headers["content-encoding"] == "gzip" and packed.text == plain.text
        assert int(packed.headers["content-length"]) < 0.5 * len(plain.content)
    assert "content-encoding" not in plain.headers
