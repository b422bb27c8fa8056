"""What became of each layer of the plan before: it stays, moves, takes other amounts, drops out; or it is new."""

from __future__ import annotations

from datetime import date, timedelta

from mullbed.domain.filling import lift_from_depth
from mullbed.domain.layer import Layer
from mullbed.domain.plan_changes import Change, LayerChange, plan_changes
from mullbed.reference.residues import find_residue
from mullbed.reports.plan_change_words import change_sentences, changes_document

DAY = date(2027, 6, 5)


def layer(days: int, *residues: str, bed: str = "Gate Bed", depth: float = 0.02) -> Layer:
    lifts = tuple(lift_from_depth(find_residue(name), depth, 6.0) for name in residues)
    return Layer(bed, DAY + timedelta(days=days), lifts, 2.0)


def told(*changes: LayerChange) -> list[Change]:
    return [one.change for one in changes]


def test_an_equal_plan_changes_nothing() -> None:
    plan = (layer(0, "grass clippings", "dry leaves"), layer(28, "straw"))
    found = plan_changes(plan, plan, DAY)
    assert told(*found) == [Change.STAYS, Change.STAYS]
    assert change_sentences(found) == ["Nothing changes: two layers as planned before."]


def test_each_layer_is_told_once_with_what_became_of_it() -> None:
    before = (layer(0, "straw"), layer(7, "grass clippings", "dry leaves"), layer(40, "hay"), layer(60, "straw"))
    after = (
        layer(0, "straw"),
        layer(14, "grass clippings", "dry leaves"),
        layer(40, "hay", depth=0.04),
        layer(80, "straw", bed="Wren Bed"),
    )
    found = plan_changes(before, after, DAY)
    assert told(*found) == [Change.STAYS, Change.MOVED, Change.OTHER_AMOUNT, Change.DROPPED, Change.NEW]
    sentences = change_sentences(found)
    assert sentences[0] == "One layer as planned before."
    assert sentences[1] == "Gate Bed: 19 June instead of 12 June, later; the same layer."
    assert "instead of" in sentences[2] and "15 July" in sentences[2]
    assert sentences[3].startswith("Gate Bed: nothing on 4 August any more")
    assert sentences[4].startswith("Wren Bed: new on 24 August")
    assert [row["change"] for row in changes_document(found)] == [str(one.change) for one in found]


def test_what_was_to_be_laid_before_the_day_is_left_out() -> None:
    assert plan_changes((layer(-3, "straw"),), (layer(5, "straw"),), DAY)[0].change is Change.NEW


def test_another_bed_or_a_month_away_is_another_layer() -> None:
    assert told(*plan_changes((layer(0, "straw"),), (layer(0, "straw", bed="Wren Bed"),), DAY)) == [
        Change.DROPPED,
        Change.NEW,
    ]
    assert told(*plan_changes((layer(0, "straw"),), (layer(30, "straw"),), DAY)) == [Change.DROPPED, Change.NEW]
