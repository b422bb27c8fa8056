"""A trial in plain sentences: what it can show, how it lies, what came out and what it would take."""

from __future__ import annotations

import math

from mullbed.domain.trial import Contrast, Fairness, MeasureResult, Scale, TrialPlan, Verdict, Way
from mullbed.domain.trial_answers import AnalysedTrial, TrialDesign, TrialSize
from mullbed.language import marked, say
from mullbed.reports.words import EVIDENCE_WORDS, capital, chance_words, counted, day_words, listed, number


def percent(share: float) -> str:
    """Return a share as a whole percentage, two digits at most where it is large."""
    if not math.isfinite(share):
        return "–"
    value = 100.0 * share
    return f"{number(value) if abs(value) < 10 else number(round(value))} %"


def size_answer(size: TrialSize) -> str:
    """Return the heading of a trial's size: what so many pairs show."""
    what = "pairs" if size.treatments == 2 else "blocks"
    return (
        f"With {size.pairs} {what} you would only see a difference of {percent(size.detectable)} or more, "
        f"{round(10 * size.wanted)} times in 10."
    )


def size_more(size: TrialSize) -> list[str]:
    """Return the sentences beneath: the difference asked about, other numbers of pairs, what it rests on."""
    what = "pairs" if size.treatments == 2 else "blocks"
    told = []
    if size.effect is not None:
        told.append(
            f"A true difference of {percent(size.effect)} would be seen {chance_words(size.power)}."
            + (
                f" {size.needed} {what} see it 8 times in 10."
                if size.needed
                else f" Not even 400 {what} would show it."
            )
        )
    told.append("Other numbers: " + ", ".join(f"{pairs} {what} {percent(seen)}" for pairs, seen in size.more) + ".")
    told.append(
        f"Reckoned with plots treated alike that differ by {percent(size.variation)}, "
        f"likeness within a pair {number(size.correlation)}, and {percent(size.alpha)} false alarms."
    )
    if size.scale is Scale.LOG:
        told.append("Counts and rates are compared as ratios: a difference of 100 % means twice as much.")
    if 2.0 / 2.0**size.pairs > size.alpha and size.treatments == 2:
        told.append("Six pairs are the fewest whose signs alone can tell a difference; fewer lean on the bell curve.")
    return told


def design_answer(design: TrialDesign) -> str:
    """Return the heading of a drawn trial."""
    plan = design.plan
    seen = dict(design.detectable)[plan.primary.key]
    how_big = (
        say("a small difference")
        if seen <= 0.15
        else say("a middling difference")
        if seen <= 0.4
        else say("only a big difference")
    )
    blocks = counted(plan.blocks, "pair" if len(plan.treatments) == 2 else "block")
    return say(
        "{blocks} show {difference}: {share} or more in {measure}.",
        blocks=capital(blocks),
        difference=how_big,
        share=percent(seen),
        measure=say(plan.primary.key),
    )


def design_more(design: TrialDesign) -> list[str]:
    """Return what to know of a drawn trial before locking it."""
    plan = design.plan
    told = [
        f"The difference worth having, {percent(plan.worthwhile)}, would be seen {chance_words(design.power)}.",
        f"Fair means here: {plan.fairness.value}. {fairness_words(plan.fairness)}",
    ]
    others = [f"{key} {percent(seen)}" for key, seen in design.detectable[1:]]
    if others:
        told.append(
            f"Beside it you would see: {listed(others)}. These are looked at second; they can't rescue the first."
        )
    told += expected_words(design)
    told += list(design.warnings)
    if plan.locked_on is None:
        told.append("Not locked yet: lock it before the first reading.")
    else:
        told.append(f"Locked on {day_words(plan.locked_on, year=True)}, seal {plan.seal[:12]}.")
    return told


def expected_words(design: TrialDesign) -> list[str]:
    """Return what others found for the measure that decides, and whether so many pairs could see it."""
    told = []
    for one in design.expected:
        many = percent(one.low) if one.low == one.high else f"{percent(one.low)} / {percent(one.high)}"
        told.append(
            say(
                "Others found {share}: {when} ({known}).",
                share=many,
                when=say(one.when),
                known=say(EVIDENCE_WORDS[one.evidence]),
            )
        )
    if design.out_of_reach:
        told.append(say("That is less than you would see: take more pairs, or a measure that moves sooner."))
    return told


def verdict_heading(analysed: AnalysedTrial) -> str:
    """Return the verdict on the primary measure as a heading."""
    result = analysed.result.primary
    if result.verdict is Verdict.TOO_FEW:
        return f"Too few to say{needed_words(analysed.result.plan, result)}."
    if result.verdict is Verdict.NONE_SEEN:
        return f"No difference we can see in {result.measure.key}; one worth having is all but ruled out."
    surest = min(result.contrasts, key=lambda one: one.chance)
    return f"A real difference: {contrast_words(analysed.result.plan, surest)}"


def needed_words(plan: TrialPlan, result: MeasureResult) -> str:
    """Return ": six more pairs would show it", or an empty text where the number is not known."""
    blocks = len({plot.block for plot in plan.plots})
    what = "pair" if len(plan.treatments) == 2 else "block"
    if result.blocks_needed is None:
        return f": more than 400 {what}s would be needed for {percent(plan.worthwhile)}"
    more = max(1, result.blocks_needed - blocks)
    return f": {counted(more, 'more ' + what)} would show {percent(plan.worthwhile)}"


def contrast_words(plan: TrialPlan, contrast: Contrast) -> str:
    """Return one contrast as a sentence with its interval."""
    names = {one.code: one.name for one in plan.treatments}
    share, low, high = relative(contrast)
    way = "more" if contrast.difference >= 0 else "less"
    ends = sorted((low, high)) if contrast.difference >= 0 else sorted((-low, -high))
    return (
        f"{names[contrast.treatment]} gave {percent(abs(share))} {way} {contrast.measure} than "
        f"{names[contrast.control]} ({_signed(ends[0])} to {_signed(ends[1])})."
    )


def _signed(share: float) -> str:
    """Return a percentage with its sign where it is negative."""
    return percent(share)


def relative(contrast: Contrast) -> tuple[float, float, float]:
    """Return a difference and the ends of its interval as shares of the control."""
    if contrast.scale is Scale.LOG:
        middle, low, high = (math.expm1(min(20.0, one)) for one in (contrast.difference, contrast.low, contrast.high))
        return middle, low, high
    whole = abs(contrast.control_mean)
    if not whole > 0.0:
        return math.nan, math.nan, math.nan
    return contrast.difference / whole, contrast.low / whole, contrast.high / whole


def result_more(analysed: AnalysedTrial, result: MeasureResult) -> list[str]:
    """Return the sentences beneath a measure's verdict."""
    plan = analysed.result.plan
    told = [capital(contrast_words(plan, one)) for one in result.contrasts]
    for contrast in result.contrasts:
        if contrast.probability_positive is not None and contrast.probability_worthwhile is not None:
            told.append(
                f"Seen as belief: more rather than less {chance_words(contrast.probability_positive)}; "
                f"worth having {chance_words(contrast.probability_worthwhile)}."
            )
    told.append(
        f"Plots treated alike differed by {percent(result.spread)}; "
        f"differences of {percent(result.detectable)} and more would have been seen."
    )
    if result.verdict is not Verdict.REAL:
        told.append(f"What it would take{needed_words(plan, result)}.")
    if result.season_chance is not None:
        changes = "changes from season to season" if result.season_chance < plan.alpha else "held from season to season"
        told.append(f"The difference {changes}, as far as can be told.")
    if result.lost:
        told.append(f"Lost: {listed(list(result.lost))}; left out; its neighbours still count where they can.")
    told += list(result.notes)
    return told


def honesty(analysed: AnalysedTrial) -> list[str]:
    """Return what a sceptic should be told first: locking, changes, secondary measures."""
    plan = analysed.result.plan
    told = []
    if not analysed.locked:
        told.append("This plan was never locked, so nobody can tell whether it was changed after looking.")
    elif not analysed.seal_holds:
        told.append("This plan is not what was locked: something was changed afterwards.")
    elif plan.locked_on is not None:
        told.append(f"Planned and locked on {day_words(plan.locked_on, year=True)}; analysed as planned.")
    for one in analysed.result.deviations:
        day = f", on {day_words(one.day)}" if one.day else ""
        told.append(f"Changed after locking{day}: {one.what}, because {one.why}.")
    told += [f"Otherwise than planned: {one[:1].lower()}{one[1:]}" for one in analysed.seen]
    return told


FAIR = {
    Fairness.SAME_ORIGIN: marked(
        "Every plot gets what the same residues become: as much is gathered for each. It asks: what is the best use of "
        "this heap? Losses on the way count."
    ),
    Fairness.SAME_NITROGEN: marked(
        "Every plot gets the same nitrogen, whatever it weighs. It asks: does the way itself matter, beside what it "
        "feeds? Weigh or test what you lay."
    ),
    Fairness.SAME_WORK: marked(
        "Every plot gets the same hours of work. It asks: what is an hour best spent on? Write the minutes down."
    ),
}
"""What each kind of fairness asks. Judgement."""
WAYS = {
    Way.LAYERS: marked("Thin layers of soft fresh and dry residues, as the plan of the bed says."),
    Way.PILE: marked("The same residues, gathered on the same days, rotted in a pile and spread when it is ripe."),
    Way.CHIPS: marked("A cover of coarse wood chips, as thick as the layers are when they have settled."),
    Way.BARE_FED: marked("Bare soil with as much plant-available nitrogen as the layers bring, from a bag."),
    Way.BARE: marked("Bare soil, nothing added: shows all that cover and feeding do together, not which of them."),
    Way.OWN: marked("What you have always done, written down so that another could do it."),
}
"""What each way to compare is, so that two gardens do the same."""


def fairness_words(fairness: Fairness) -> str:
    """Return what a kind of fairness asks, and what to do for it."""
    return say(FAIR[fairness])


def way_words(way: str) -> str:
    """Return a way in the reader's words."""
    return say(way)


def ways_explained(plan: TrialPlan) -> list[str]:
    """Return what each way of a plan is, by its letter."""
    return [
        f"{one.code}, {one.words}. {say(WAYS[one.way])}"
        if one.words
        else f"{one.code}, {say(one.way.value)}. {say(WAYS[one.way])}"
        for one in plan.treatments
    ]
