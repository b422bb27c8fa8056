"""A link for anybody is made at the command line, too."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from mullbed.domain.signing import Where
from mullbed.files.bundled_garden import bundled_garden
from mullbed.usecases.share_look import look_by
from mullbed.web.visitor import now


def test_a_link_for_anybody_opens_one_bed(tmp_path: Path, mullbed: Callable[..., object]) -> None:
    record = str(tmp_path / "record.sqlite")
    assert mullbed("garden", "new", str(bundled_garden()), "--record", record).code == 0
    made = mullbed("invite", "--role", "anybody", "--bed", "Gate Bed", "--record", record, "--json")
    assert made.code == 0, made.err
    token = json.loads(made.out)["link"].rsplit("/look/", 1)[1]
    opened = look_by(Where(record), token, now())
    assert opened is not None and opened.bed == "Gate Bed"
    two = mullbed("invite", "--role", "anybody", "--bed", "Gate Bed", "--bed", "Wren Bed", "--record", record)
    assert two.code == 2 and "one bed" in two.err
