"""Why a layer is where it is, what not to do with it, and which limits bite, as sentences."""

from __future__ import annotations

from mullbed.domain.garden import UnitSystem
from mullbed.domain.season_plan import PlannedLayer, Reason, SeasonPlan, Shortage
from mullbed.domain.spread import Spread
from mullbed.language import say
from mullbed.reports.amounts import (
    count_words,
    layer_thickness_mm,
    limit_words,
    millimetres_words,
    per_area_factor,
    per_area_unit,
    thickness_mm,
    thickness_words,
)
from mullbed.reports.names import bed_title, crop_name, residue_name
from mullbed.reports.words import (
    about_day,
    cannot_be_told,
    capital,
    counted,
    day_words,
    listed,
    month_words,
    number,
    spread_words,
)

METRIC = UnitSystem.METRIC


def reason_words(reason: Reason, units: UnitSystem = METRIC) -> str:
    """Return one reason as a sentence; a code without a sentence of its own is said as it stands."""
    code = reason.code.replace("_", " ")
    given = None if reason.amount is None else reason.amount * per_area_factor(units)
    amount = "" if given is None else f"{number(given)} {per_area_unit(units)}"
    day = day_words(reason.day) if reason.day else ""
    crop = say("the {crop} crop", crop=crop_name(reason.word)) if reason.word else say("the crop")
    thing = residue_name(reason.word) if reason.word else say("fresh matter")
    if "feeds" in code or "crop wants" in code:
        wants = (
            say("From about {day} the soil alone gives too little for {crop}", day=day, crop=crop)
            if day
            else say("The soil alone gives too little for {crop}", crop=crop)
        )
        return say("{wants}; this gives about {amount}.", wants=wants, amount=amount) if amount else f"{wants}."
    if "bare soil" in code or "cover" in code:
        if day:
            return say("It covers bare soil from {day}, and keeps the water in.", day=day)
        return say("It covers bare soil, and keeps the water in.")
    if "spoil" in code:
        if day:
            return say("It uses {thing} that would not keep past {day}.", thing=thing, day=day)
        return say("It uses {thing} that would not keep.", thing=thing)
    if "plenty" in code or "in hand" in code:
        return say("There is plenty of {thing} in hand.", thing=thing)
    if "drying" in code or "keeps water" in code:
        return say("It saves water through the dry weeks.")
    if "soil" in code and "build" in code:
        return say("It feeds the soil rather than this crop.")
    if "before sowing" in code:
        seed = crop_name(reason.word) if reason.word else say("seed")
        if day:
            return say("It has time to settle before {seed} is sown {day}.", seed=seed, day=day)
        return say("It has time to settle before {seed} is sown.", seed=seed)
    if "away" in code:
        return say("It is laid before you are away {day}.", day=day) if day else say("It is laid before you are away.")
    told = capital(code)
    extra = [part for part in (reason.word and reason.word.replace("_", " "), amount, day) if part]
    return f"{told} ({', '.join(extra)})." if extra else f"{told}."


def layer_why(planned: PlannedLayer, units: UnitSystem = METRIC) -> str:
    """Return why a layer is laid, its first two reasons; never empty."""
    if not planned.reasons:
        return say("It fits the limits and the plan gives more with it than without.")
    return " ".join(reason_words(reason, units) for reason in planned.reasons[:2])


def layer_gives(planned: PlannedLayer) -> str:
    """Return when the layer begins to give, with its doubt."""
    early, middle, late = planned.gives_from
    if middle is None and early is None:
        return say("Takes from the soil all season; it builds soil, it does not feed this crop.")
    day = planned.layer.day
    if middle is not None and (middle - day).days <= 3 and (late is None or (late - day).days <= 7):
        return say("Gives from the first days.")
    return say("Gives from {day}; takes until then.", day=about_day(planned.gives_from))


def layer_net(planned: PlannedLayer, units: UnitSystem) -> str:
    """Return in a sentence what four weeks give or take; no number when the doubt swamps it."""
    net = planned.net_nitrogen_28d
    if cannot_be_told(net):
        return say("Whether it feeds or takes within four weeks can't be told yet.")
    factor = per_area_factor(units)
    low, mid, high = net.low * factor, net.mid * factor, net.high * factor
    unit = per_area_unit(units)
    if mid < 0:
        taken = Spread(-high, -mid, -low, net.unit, net.evidence)
        return say("It takes {amount} {unit} within four weeks.", amount=spread_words(taken), unit=unit)
    given = Spread(low, mid, high, net.unit, net.evidence)
    return say("It gives {amount} {unit} within four weeks.", amount=spread_words(given), unit=unit)


def layer_dont(planned: PlannedLayer) -> tuple[str, str]:
    """Return what not to do with this layer: the sentence after "Don't", and a second one."""
    lifts = planned.layer.lifts
    fresh = [lift for lift in lifts if lift.fresh]
    if fresh and not planned.layer.cap.fresh:
        depth = limit_words(max(lift.thickness for lift in fresh))
        told = say(
            "lay the {thing} deeper than {depth}. It goes slimy.", thing=residue_name(fresh[0].residue), depth=depth
        )
        return told, say("Leave one hand clear round the stems.")
    if fresh:
        return say("heap it: thin is quick, thick is slimy."), say("Leave one hand clear round the stems.")
    return say("touch the stems: leave one hand clear all round."), say("Not on a day of hard rain.")


def lay_words(planned: PlannedLayer) -> str:
    """Return what to lay, from the soil up, in one line."""
    parts = [
        say("{amount} of {thing}", amount=count_words(lift.count, lift.container), thing=residue_name(lift.residue))
        for lift in planned.layer.lifts
    ]
    return say(", then ").join(parts)


def shortage_words(shortage: Shortage) -> str:
    """Return which limit bites, where, when and by how much."""
    what = say(shortage.limit.replace("_", " "))
    known = residue_name(shortage.limit) if " " not in shortage.limit else what
    when = say(" in {month}", month=month_words(shortage.month)) if shortage.month else ""
    if shortage.unit in {"g m-2", "g/m2"}:
        bed = say(" of {bed}", bed=bed_title(shortage.bed)) if shortage.bed else ""
        return say(
            "The ceiling on {what} holds the plan back: {amount} g a square metre more would be used.",
            what=what + bed + when,
            amount=number(shortage.amount),
        )
    where = say(" on {bed}", bed=bed_title(shortage.bed)) if shortage.bed else ""
    amount = count_words(shortage.amount, shortage.unit)
    return say("More {thing} would help: {amount}.", thing=known + where + when, amount=amount)


def answer_words(plan: SeasonPlan) -> str:
    """Return the answer of the whole plan as a heading."""
    beds = {planned.layer.bed for planned in plan.layers}
    if not plan.layers:
        left = any(count >= 1.0 for count in plan.supply_left.values())
        return say("Leave every bed be this season.") if left else say("Nothing is in hand to lay this season.")
    for shortage in plan.shortages:
        if shortage.month and shortage.unit not in {"g m-2", "g/m2"} and _used_up(plan, shortage.limit):
            name = residue_name(shortage.limit) if " " not in shortage.limit else shortage.limit
            amount = count_words(shortage.amount, shortage.unit)
            told = {"thing": capital(name), "month": month_words(shortage.month), "amount": amount}
            if name.endswith("s"):
                return say("{thing} run short in {month}: {amount}.", **told)
            return say("{thing} runs short in {month}: {amount}.", **told)
    first = min(plan.layers, key=lambda planned: planned.layer.day)
    return say(
        "{layers} on {beds}. Begin on {day}.",
        layers=capital(counted(len(plan.layers), "layer")),
        beds=counted(len(beds), "bed"),
        day=day_words(first.layer.day),
    )


def _used_up(plan: SeasonPlan, residue: str) -> bool:
    """Return whether the plan uses every supply of a residue to its last container."""
    names = {item.supply for item in plan.gather if item.residue == residue}
    return bool(names) and all(plan.supply_left.get(name, 0.0) < 1.0 for name in names)


def unmet_words(bed: str, months: dict[str, float], units: UnitSystem) -> str:
    """Return what stays short on a bed by month, or that nothing does."""
    factor = per_area_factor(units)
    parts = [
        say("{amount} in {month}", amount=number(amount * factor), month=month_words(month))
        for month, amount in months.items()
        if amount * factor >= 0.05 * max(1.0, factor)
    ]
    if not parts:
        return say("{bed}: nothing stays short.", bed=bed_title(bed))
    return say(
        "{bed} stays short of nitrogen: {amounts} {unit}.",
        bed=bed_title(bed),
        amounts=listed(parts),
        unit=per_area_unit(units),
    )


def thickness_line(planned: PlannedLayer, units: UnitSystem) -> str:
    """Return how thick it lies and how far it sinks."""
    laid, lying = layer_thickness_mm(planned.layer), thickness_mm(planned.lying_before)
    settled = thickness_words(planned.settled_thickness, units)
    if lying == 0:
        return f"{millimetres_words(laid, units)} as laid, on bare soil; it sinks to {settled} in two weeks."
    return (
        f"{millimetres_words(laid, units)} as laid, on the {millimetres_words(lying, units)} that lie there; "
        f"the whole cover sinks to {settled} in two weeks."
    )
