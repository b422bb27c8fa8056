"""Which heap a lift came from: said by name, or plain where no heap of its residue is held beside a free one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from mullbed.domain.garden import Garden
from mullbed.domain.layer import Layer
from mullbed.domain.record import Entry
from mullbed.domain.record_batches import Decision
from mullbed.domain.safety import BatchState
from mullbed.domain.supply import supply_names
from mullbed.errors import Fault, InputFault
from mullbed.safety.hygiene import batch_refusals
from mullbed.safety.record_states import batch_states


def heaps_meant(
    layer: Layer, said: Sequence[str | None], entries: Sequence[Entry], garden: Garden, day: date
) -> tuple[str | None, ...]:
    """Return the name of the heap or batch of each lift; None where none was said and none has to be.

    A lift must say its heap where one heap of its residue is held and another is not: a guess would let the held one
    through, or refuse the free one.

    Parameters
    ----------
    layer : Layer
    said : sequence of str or None
        What was said of each lift's heap; words that only one heap has will do.
    entries : sequence of Entry
        Batches, decisions and bean tests of the garden.
    garden : Garden
    day : date
        Day of laying.

    Raises
    ------
    InputFault
        With every lift whose heap is not known, or not said where it has to be.
    """
    coming = {
        name
        for name, supply in zip(supply_names(garden.supplies), garden.supplies, strict=True)
        if supply.first_day > day
    }
    states = {name: one for name, one in batch_states(entries, garden, day).items() if name not in coming}
    found: list[str | None] = []
    faults: list[Fault] = []
    for number, (lift, name) in enumerate(zip(layer.lifts, said, strict=True), start=1):
        alike = {key: one for key, one in sorted(states.items()) if one.residue == lift.residue}
        try:
            if name is None:
                _need_no_name(alike, day)
            found.append(None if name is None else _named(name, alike))
        except LookupError as error:
            allowed = "; ".join(f"of {_told(one, day)}" for one in alike.values()) or "a heap of this residue"
            known = next((key for key, one in alike.items() if not batch_refusals(one, day)), "lane heap")
            remedy = f'Write it so: "{lift.residue}: 1 {lift.container}, of {known}".'
            faults.append(Fault(f"lift {number}, {lift.residue}", str(error.args[0]), allowed, remedy))
    if faults:
        raise InputFault(faults)
    return tuple(found)


def _named(name: str, alike: Mapping[str, BatchState]) -> str:
    words = name.casefold().split()
    exact = [key for key in alike if key.casefold() == name.casefold()]
    near = exact or [key for key in alike if all(word in key.casefold() for word in words)]
    if len(near) != 1:
        raise LookupError(f"'{name}' could be {len(near)} heaps" if near else f"no heap of it is called '{name}'")
    return near[0]


def _need_no_name(alike: Mapping[str, BatchState], day: date) -> None:
    """Raise where the heap has to be said; what was sent back no longer lies there."""
    here = [one for one in alike.values() if one.decision is not Decision.SEND_BACK]
    held = [one for one in here if batch_refusals(one, day)]
    if held and len(held) < len(here):
        raise LookupError("not said of which heap, and one of them is held")


def _told(state: BatchState, day: date) -> str:
    return f"{state.name} (held)" if batch_refusals(state, day) else state.name
