"""Field checks: what was read in the ground, with all that makes it comparable."""

from __future__ import annotations

from collections.abc import Sequence

from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_seen import FieldChecked
from mullbed.domain.signing import Kept
from mullbed.errors import Fault, InputFault
from mullbed.files.texture_triangle import texture_of
from mullbed.reference.field_checks import find_field_check
from mullbed.trials.field_checks import scored
from mullbed.trials.ground_readings import ground_reading, jar_shares
from mullbed.usecases.log_line.opening import Line, keep, opened


def log_check(
    line: Line,
    check: str,
    typed: Sequence[str],
    *,
    bed: str | None = None,
    bore: float | None = None,
    reads: str = "",
    depth: float | None = None,
    days_since_rain: int | None = None,
    operator: str = "",
) -> Kept:
    """Keep a field check of a bed, or of the garden where no bed is named.

    Parameters
    ----------
    line : Line
    check : str
        Key or name of the check.
    typed : sequence of str
        One a repeat, as :func:`mullbed.trials.ground_readings.ground_reading` reads it.
    bore, depth : float, optional
        Inner width of the ring; lower edge of what was tested. [m]
    reads : str
        What a nitrate strip or report gives.

    Raises
    ------
    InputFault
        With everything that cannot be understood.
    """
    row = find_field_check(check)
    faults: list[Fault] = []
    if days_since_rain is not None and not 0 <= days_since_rain <= 366:
        faults.append(Fault("days since rain", f"{days_since_rain}", "0 to 366", "Count from the last wet day."))
    if depth is not None and not 0.0 < depth <= 2.0:
        faults.append(Fault("depth", f"{depth:g} m", "above 0, up to 2 m", "Say how deep it was read."))
    try:
        read = ground_reading(row, typed, bore_m=bore, reads=reads)
    except InputFault as told:
        raise InputFault([*told.faults, *faults]) from told
    if faults:
        raise InputFault(faults)
    told_classes = scored(row, read.readings).classes
    texture = _texture(typed) if row.key == "jar" else None
    word = read.word or texture or (" or ".join(one.word for one in told_classes) or None)
    with opened(line) as at:
        here = at.bed(bed) if bed is not None else None
        facts = FieldChecked(
            row.key, row.unit, read.readings, read.method, depth, days_since_rain,
            operator.strip() or line.signed.author, None, word, line.words,
        )  # fmt: skip
        return keep(at, Kind.FIELD_CHECK, facts, bed=here)


def _texture(typed: Sequence[str]) -> str:
    """Return the texture class of the mean of the jars."""
    shares = [jar_shares(one) for one in typed if one.strip()]
    sand, clay = (sum(one[place] for one in shares) / len(shares) / 100.0 for place in (0, 2))
    return texture_of(sand, clay)
