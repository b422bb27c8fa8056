"""A layer as one types it, lift by lift, so that what a page shows is what is written down."""

from __future__ import annotations

from mullbed.domain.in_hand import Heap
from mullbed.domain.layer_preview import LayerPreview


def lift_texts(found: LayerPreview) -> tuple[str, ...]:
    """Return the layer as one types it, from the soil up, in the order it is drawn."""
    if found.planned is None:
        return ()
    heaps = {one.name: one for one in (*found.hand.heaps, *found.hand.held)}
    return tuple(
        f"{lift.residue}: {lift.count:g} {written_container(heaps[name])}"
        for lift, name in zip(found.planned.layer.lifts, found.heaps, strict=True)
    )


def written_container(heap: Heap) -> str:
    """Return a heap's container as one types it."""
    return heap.container + (", dried" if heap.dried else "") + f", of {heap.name}"
