"""What is in hand, in sentences: the answer, how long each thing keeps, why something is held."""

from __future__ import annotations

from datetime import date

from mullbed.domain.in_hand import BeanTest, Heap, InHand
from mullbed.domain.layer_preview import LayerPreview
from mullbed.language import say
from mullbed.reports.amounts import count_words
from mullbed.reports.lay_words import dont_sentences, feeds_words, known_words, water_words
from mullbed.reports.names import bed_title, residue_name
from mullbed.reports.terminal_style import Style, columns, paragraph, said
from mullbed.reports.words import capital, counted, day_words, number, weekday_name


def in_hand_heading(found: InHand) -> str:
    """Return the answer of the page."""
    if not found.heaps:
        return say("Nothing counted yet. Start with the biggest heap.")
    if found.layers_enough is None:
        things = capital(counted(len(found.heaps), "thing"))
        return say("{things} in hand. No plan yet says how far it goes.", things=things)
    if found.layers_enough == 0 and found.short_first:
        return say("Short for the next layer: {thing}.", thing=residue_name(found.short_first))
    if not found.short_first:
        return say("Enough for every layer planned, {layers}.", layers=counted(found.layers_enough, "layer"))
    return say(
        "Enough for {layers}. {thing} runs out first.",
        layers=counted(found.layers_enough, "layer"),
        thing=capital(residue_name(found.short_first)),
    )


def counted_words(found: InHand) -> str:
    """Return when something was last counted or came in."""
    if found.counted_on is None:
        return say("Never counted")
    days = (found.today - found.counted_on).days
    if days <= 0:
        return say("Counted today")
    return say("Counted yesterday") if days == 1 else say("Counted {days} days ago", days=days)


def keeps_words(heap: Heap, today: date) -> str:
    """Return until when a heap can be laid."""
    if heap.keeps_until is None:
        return say("keeps if dry")
    days = (heap.keeps_until - today).days
    if days <= 0:
        return say("lay it today")
    if days == 1:
        return say("lay by tomorrow")
    if days < 7:
        return say("lay by {weekday}", weekday=weekday_name(heap.keeps_until))
    return say("lay by {day}", day=day_words(heap.keeps_until))


def heap_title(heap: Heap) -> str:
    """Return what a heap is called."""
    name = capital(residue_name(heap.residue))
    return say("{thing}, dried", thing=name) if heap.dried else name


def source_words(heap: Heap) -> str:
    """Return where it comes from, in the grower's words; nothing where they say no more than the residue."""
    own = heap.name.casefold().replace("_", " ")
    return "" if own in (heap.residue.replace("_", " "), residue_name(heap.residue).casefold()) else heap.name


def held_words(heap: Heap, tests: tuple[BeanTest, ...], today: date) -> str:
    """Return why a heap is held and how far its test is, after the word Don't."""
    because = say(heap.held_because or "it is held").rstrip(".")
    text = say("lay it yet: {because}.", because=because)
    test = next((one for one in tests if one.batch == heap.name), None)
    if test is not None:
        days = (today - test.sown).days
        if test.due is None:
            return text + " " + say("Bean test, day {days}.", days=days)
        return text + " " + say("Bean test, day {days}, read it {due}.", days=days, due=day_words(test.due))
    if heap.held_until is None:
        return text
    return text + " " + say("Held until {day}.", day=day_words(heap.held_until))


def amount_words(heap: Heap) -> str:
    """Return how much of it there is."""
    return count_words(heap.count, heap.container)


def number_of(count: float) -> str:
    """Return a count with its halves."""
    whole, rest = int(count), count - int(count)
    if abs(rest - 0.5) < 0.01:
        return f"{whole or ''}½"
    return f"{count:.0f}" if rest < 0.01 or rest > 0.99 else number(count)


def in_hand_text(found: InHand, style: Style | None = None) -> str:
    """Return the page of what is in hand."""
    style = style or Style()
    lines = [style.bold(line) for line in paragraph(in_hand_heading(found), indent=0)]
    lines += [*paragraph(f"{counted_words(found)}.", indent=0), ""]
    rows = [(one.name, heap_title(one), amount_words(one), keeps_words(one, found.today)) for one in found.heaps]
    lines += columns(rows, indent=0)
    for one in found.held:
        lines += ["", *paragraph(f"Held: {heap_title(one)}, {amount_words(one)}.", indent=0)]
        lines += said("DON'T", capital(held_words(one, found.tests, found.today)), style)
    return style.finished(lines)


def in_hand_document(found: InHand) -> dict[str, object]:
    """Return what is in hand as one document."""
    return {
        "date": found.today.isoformat(),
        "heaps": [_heap_document(one) for one in found.heaps],
        "held": [_heap_document(one) for one in found.held],
        "layers_enough": found.layers_enough,
        "short_first": found.short_first,
    }


def _heap_document(heap: Heap) -> dict[str, object]:
    return {
        "name": heap.name,
        "residue": heap.residue,
        "container": heap.container,
        "count": heap.count,
        "volume_L": heap.volume,
        "since": heap.since.isoformat(),
        "keeps_until": heap.keeps_until.isoformat() if heap.keeps_until is not None else None,
        "held_because": heap.held_because,
    }


def preview_text(found: LayerPreview, style: Style | None = None) -> str:
    """Return what a layer would do."""
    style = style or Style()
    lines = [style.bold(f"A layer on {bed_title(found.bed.name)}, {day_words(found.hand.today)}"), ""]
    for lift in found.planned.layer.lifts if found.planned is not None else ():
        lines += said("LAY", f"{count_words(lift.count, lift.container)} of {residue_name(lift.residue)}", style)
    lines += said("FEEDS", feeds_words(found), style)
    lines += said("WATER", water_words(found), style) if found.planned is not None else []
    for sentence in dont_sentences(found):
        lines += said("DON'T", capital(sentence), style)
    for one in found.refusals:
        lines += said("DON'T", one.told(), style)
    lines += paragraph(known_words(found)) if found.planned is not None else []
    return style.finished(lines)


def preview_document(found: LayerPreview) -> dict[str, object]:
    """Return what a layer would do as one document."""
    planned = found.planned
    net = planned.net_nitrogen_28d if planned is not None else None
    return {
        "bed": found.bed.name,
        "date": found.hand.today.isoformat(),
        "counts": dict(found.counts),
        "cans": found.cans,
        "net_nitrogen_28d_g_per_m2": [net.low, net.mid, net.high] if net is not None else None,
        "gives_from": [day.isoformat() if day is not None else None for day in planned.gives_from] if planned else None,
        "refusals": [one.told() for one in found.refusals],
    }
