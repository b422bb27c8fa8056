"""What the record taught, in sentences: beds, buckets, odd entries, and how much doubt is gone."""

from __future__ import annotations

from mullbed.domain.garden import UnitSystem
from mullbed.domain.honesty import ForecastCheck
from mullbed.domain.learnt import EntryLook, LearntBed, LearntFilling, LearntGarden, Surprise, WeighedLook
from mullbed.reports.amounts import is_us
from mullbed.reports.names import residue_name
from mullbed.reports.seen_words import answer_words, name_words, values_words, with_unit
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import capital, counted, day_words, evenly, listed, number
from mullbed.units import from_canonical

#: Shares of doubt that are told in words, from the smallest.
_SHARES = ((0.08, "hardly any"), (0.17, "a tenth"), (0.29, "a quarter"), (0.42, "a third"), (0.58, "half"),
           (0.71, "two thirds"), (0.85, "three quarters"))  # fmt: skip
#: A cover thinner than this is none. [m]
LEAST_COVER = 0.002
#: Factors on all rates from which a bed is called slow or quick.
SLOW, QUICK = 0.8, 1.25


def learnt_text(learnt: LearntGarden, *, units: UnitSystem, style: Style | None = None) -> str:
    """Return the page of `mullbed learnt`."""
    style = style or Style()
    lines: list[str] = []
    for bed in learnt.beds:
        lines.append(style.bold(bed.bed))
        lines += paragraph(pace_sentence(bed))
        odd = odd_entries(bed)
        for one in odd:
            lines += paragraph(surprise_sentence(one, units))
        if not odd:
            lines += paragraph(f"{capital(counted(len(bed.entries), 'entry'))}, all as could be expected.")
        lines.append("")
    if not learnt.beds:
        lines += [*paragraph("Nothing has been seen on any bed yet. Write it down: mullbed log seen"), ""]
    weighed = [one for one in learnt.containers.fillings if one.weighings]
    if weighed:
        lines.append(style.bold("What containers hold"))
        lines += columns([("Container", "Residue", "Fresh", "Dry", "Weighed"),
                          *(_filling(one, units) for one in weighed)], right=frozenset({2, 3}))  # fmt: skip
        for look in learnt.containers.looks:
            if look.slip >= 0.5:
                lines += paragraph(weighing_sentence(look, units))
        lines.append("")
    if learnt.unused:
        lie = "lies" if len(learnt.unused) == 1 else "lie"
        count = capital(counted(len(learnt.unused), "entry"))
        lines += paragraph(f"{count} {lie} outside of what was run: other beds, or days before or after the season.")
    return style.finished(lines)


def odd_entries(bed: LearntBed) -> list[EntryLook]:
    """Return entries that surprised, the oddest first."""
    odd = [one for one in bed.entries if one.surprise is not Surprise.EXPECTED]
    return sorted(odd, key=lambda one: (-one.slip, one.chance))


def pace_sentence(bed: LearntBed) -> str:
    """Return how quick a bed is."""
    low, mid, high = evenly((bed.place_rate.low, bed.place_rate.mid, bed.place_rate.high))
    band = f"{mid} ({low} to {high}) times as quick as beds like it; worked out from what you saw"
    if bed.place_rate.high < 1.0 or bed.place_rate.mid < SLOW:
        return f"This bed is slow: {band}."
    if bed.place_rate.low > 1.0 or bed.place_rate.mid > QUICK:
        return f"This bed is quick: {band}."
    return f"This bed is about {band}."


def surprise_sentence(one: EntryLook, units: UnitSystem) -> str:
    """Return one entry against what was expected of it."""
    seen = one.observation
    head = f"{capital(day_words(seen.day))}, {name_words(seen.what)}: {answer_words(seen, units)}"
    expected = "by what was written down nothing lies there. Was a layer left out?"
    if one.likely_word is not None:
        expected = f"“{one.likely_word}” was most likely"
    elif one.expected is not None and seen.what.startswith("thickness") and one.expected.high < LEAST_COVER:
        pass
    elif one.expected is not None:
        low, high = values_words(seen.what, (one.expected.low, one.expected.high), units)
        expected = f"{with_unit(f'{low} to {high}', seen.what, units)} was expected"
    stop = "" if expected.endswith("?") else "."
    if one.surprise is Surprise.SLIP:
        return f"{head}; {expected}{stop} Taken for a slip; it says nothing here. Look again, or put it right."
    if one.surprise is Surprise.ODD:
        return f"{head}; {expected}{stop} Odd, and it changed what we believe."
    return f"{head}; {expected}{stop} A little out of the ordinary."


def doubt_sentence(bed: LearntBed) -> str | None:
    """Return how much doubt the entries took away; None where nothing is told of it."""
    if all(one.surprise is Surprise.SLIP for one in bed.entries):
        return None
    told = next((one for one in bed.removed if one.what == "net_nitrogen" and one.before > 0.0), None)
    told = told or next((one for one in bed.removed if one.before > 0.0), None)
    if told is None:
        return None
    about = "what the layers give" if told.what == "net_nitrogen" else "how thick the cover stays"
    notes = counted(len(bed.entries), "note")
    if told.share < -0.08:
        return f"Your {notes} made us less sure of {about}: they fit badly with what was believed."
    return f"Your {notes} took away {share_words(told.share)} of the doubt about {about}."


def learning_sentences(learnt: LearntGarden | None, check: ForecastCheck | None) -> dict[str, list[str]]:
    """Return what a forecast says of the record it learnt from: by bed, and under "" of the whole garden."""
    if learnt is None:
        return {}
    told: dict[str, list[str]] = {}
    for bed in learnt.beds:
        slips = sum(one.surprise is Surprise.SLIP for one in bed.entries)
        found = [sentence for sentence in (doubt_sentence(bed),) if sentence]
        if slips:
            verb = "was" if slips == 1 else "were"
            found.append(f"{capital(counted(slips, 'note'))} fitted nothing and {verb} left out: mullbed learnt tells.")
        if found:
            told[bed.bed] = found
    garden = [] if learnt.beds else ["Nothing has been seen on these beds yet; the record taught nothing of them."]
    if check is not None and check.widening > 1.0:
        garden.append(
            f"Bands are {number(check.widening)} times as wide as the runs alone say: those were too narrow here. "
            "mullbed honest tells more."
        )
    if garden:
        told[""] = garden
    return told


def layer_learning_sentences(learnt: LearntGarden | None, bed: str) -> list[str]:
    """Return what the design of a layer rests on beside the garden file."""
    if learnt is None:
        return []
    found = next((one for one in learnt.beds if one.bed.casefold() == bed.casefold()), None)
    told = [] if found is None else [pace_sentence(found)]
    known = [one for one in learnt.containers.fillings if one.known]
    if known:
        what = listed([f"{one.container} of {residue_name(one.residue)}" for one in known])
        told.append(f"You weighed it: {what}.")
    return told or ["Nothing has been seen on this bed or weighed yet; the record taught nothing of it."]


def share_words(share: float) -> str:
    """Return a share of doubt in words."""
    return next((word for edge, word in _SHARES if share < edge), "nearly all")


def weighing_sentence(look: WeighedLook, units: UnitSystem) -> str:
    """Return a weighing that is taken for a slip."""
    seen, expected = (number(_mass(one, units)) for one in (look.weighed.fresh_kg, look.expected_kg))
    unit = "lb" if is_us(units) else "kg"
    filling = f"{look.weighed.container} of {residue_name(look.weighed.residue)}"
    return (
        f"{capital(day_words(look.weighed.day))}, {filling}: {seen} {unit} where about {expected} was expected. "
        "Taken for a slip; weigh it again."
    )


def _filling(one: LearntFilling, units: UnitSystem) -> tuple[str, ...]:
    unit = "lb" if is_us(units) else "kg"
    fresh, dry = (evenly([_mass(each, units) for each in (spread.mid, spread.low, spread.high)])
                  for spread in (one.fresh_kg, one.dry_kg))  # fmt: skip
    known = "known" if one.known else f"{one.weighings} of 3 times"
    return (one.container, residue_name(one.residue), f"{fresh[0]} ({fresh[1]} to {fresh[2]}) {unit}",
            f"{dry[0]} ({dry[1]} to {dry[2]}) {unit}", known)  # fmt: skip


def _mass(kilograms: float, units: UnitSystem) -> float:
    return from_canonical(kilograms, "lb") if is_us(units) else kilograms
