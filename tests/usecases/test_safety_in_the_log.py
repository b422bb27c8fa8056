"""A layer noted in the record is refused by rules of safety, kept with a reason, and the reason is kept beside it."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from tests.unit.safety.invented import rules_without
from tests.usecases.test_safety_binds import STOCK, TEXT, names_all, written

from mullbed.domain.record_batches import Decision
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import RuleOverridden
from mullbed.domain.record_work import LayerLaid
from mullbed.domain.signing import Signature, Where
from mullbed.errors import InputFault
from mullbed.store.database import open_record
from mullbed.store.journal import entries
from mullbed.usecases.create_garden import create_garden
from mullbed.usecases.log_line import Line, log_batch, log_decision, log_layer, log_sown

DAY = date(2027, 5, 20)
SIGNED = Signature("Ada", datetime(2027, 5, 20, 8, tzinfo=UTC), DAY, lambda: os.urandom(10))
SCRAPS = ("kitchen scraps: 1 bucket", "dry leaves: 1 bag")


def line_in(folder: Path, text: str) -> Line:
    where = Where(str(folder / "record.db"))
    create_garden(written(folder, text), where, SIGNED)
    return Line(where, SIGNED)


def kinds_kept(line: Line) -> list[str]:
    with open_record(line.where.record) as record, record.reading() as transaction:
        return [str(one.kind) for one in entries(transaction, "mill-field")]


def test_what_no_reason_lets_through_is_not_noted(tmp_path: Path) -> None:
    line = line_in(tmp_path, STOCK)
    for although in (None, "They were peelings."):
        with pytest.raises(InputFault) as refused:
            log_layer(line, "wall", SCRAPS, although=although)
        assert names_all(str(refused.value), "scraps_near_livestock")
    assert "layer" not in kinds_kept(line)
    with rules_without("scraps_near_livestock"):
        assert log_layer(line, "wall", SCRAPS).entry.kind == Kind.LAYER


def test_a_held_batch_is_noted_with_a_reason_and_the_reason_is_kept(tmp_path: Path) -> None:
    line = line_in(tmp_path, TEXT)
    log_batch(line, "hay: 2 bales", name="lane hay")
    with pytest.raises(InputFault) as refused:
        log_layer(line, "wall", ("hay: 1 bale",))
    assert names_all(str(refused.value), "suspect_batch")
    assert "lane hay is held" in str(refused.value)
    kept = log_layer(line, "wall", ("hay: 1 bale",), although="The farmer told me it was never sprayed.")
    with open_record(line.where.record) as record, record.reading() as transaction:
        (aside,) = entries(transaction, kept.entry.garden, kinds=(Kind.OVERRIDE,))
    assert isinstance(aside.facts, RuleOverridden)
    assert (aside.facts.rule, aside.facts.decided_by, aside.facts.for_entry) == ("suspect_batch", "Ada", kept.entry.id)
    assert aside.facts.reason == "The farmer told me it was never sprayed."


def test_a_layer_no_rule_speaks_against_is_noted(tmp_path: Path) -> None:
    assert log_layer(line_in(tmp_path, TEXT), "wall", SCRAPS).entry.kind == Kind.LAYER


def test_seed_too_soon_after_soft_fresh_matter_is_noted_only_with_a_reason_or_in_a_cleared_slot(tmp_path: Path) -> None:
    line = line_in(tmp_path, TEXT)
    log_layer(line, "wall", ("grass clippings: 1 bucket", "dry leaves: 1 bag"))
    with pytest.raises(InputFault) as refused:
        log_sown(line, "wall", "carrot", planted=False)
    assert names_all(str(refused.value), "sow_after_green")
    assert log_sown(line, "wall", "carrot", planted=False, cleared=True).entry.kind == Kind.SOWN
    kept = log_sown(line, "wall", "carrot", planted=False, although="A test row.")
    with open_record(line.where.record) as record, record.reading() as transaction:
        rules = [one.facts for one in entries(transaction, kept.entry.garden, kinds=(Kind.OVERRIDE,))]
    assert [one.rule for one in rules if isinstance(one, RuleOverridden)] == ["sow_after_green"]
    with rules_without("sow_after_green"):
        assert log_sown(line, "wall", "carrot", planted=False).entry.kind == Kind.SOWN


def test_a_lift_says_its_heap_where_one_heap_is_held_and_another_is_not(tmp_path: Path) -> None:
    line = line_in(tmp_path, TEXT)
    later, last = (
        replace(line, signed=replace(SIGNED, now=SIGNED.now + timedelta(minutes=minutes))) for minutes in (5, 10)
    )
    log_batch(line, "hay: 2 bales", name="lane hay")
    log_batch(line, "hay: 3 bales", name="own hay")
    log_decision(later, "own hay", Decision.KEEP, "Our own meadow, never sprayed.")
    with pytest.raises(InputFault) as unsaid:
        log_layer(line, "wall", ("hay: 1 bale",))
    assert "of lane hay (held); of own hay" in str(unsaid.value)
    assert 'Write it so: "hay_grass: 1 bale, of own hay"' in str(unsaid.value)
    with pytest.raises(InputFault) as held:
        log_layer(line, "wall", ("hay: 1 bale, of lane hay",))
    assert names_all(str(held.value), "suspect_batch")
    with pytest.raises(InputFault, match="no heap of it is called 'barn hay'"):
        log_layer(line, "wall", ("hay: 1 bale, of barn hay",))
    kept = log_layer(line, "wall", ("hay: 1 bale, of own",))
    assert isinstance(kept.entry.facts, LayerLaid)
    assert [(one.said, one.batch) for one in kept.entry.facts.lifts] == [("1 bale", "own hay")]
    log_decision(last, "lane hay", Decision.SEND_BACK, "The farmer took it back.")
    assert log_layer(line, "wall", ("hay: 1 bale",)).entry.kind == Kind.LAYER
