"""When nothing fits: the smallest set of limits that clash, none of which could be left out.

Limits are taken away one after another. Where the rest still clash, the limit had no part in it and stays away; where
the rest then fit together, it belongs to the clash and comes back. What remains clashes, and any one lifted would end
it (the deletion filter of Chinneck and Dravnieks 1991, ORSA Journal on Computing 3(2), 157-168 [M]). There may be
other such sets; limits that are physics are tried first, so that what remains is what a person has set where that is
possible.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf

from mullbed.plan.choice_model import Choice
from mullbed.plan.rows import Model, RowName
from mullbed.plan.season_facts import LIMIT_WORDS
from mullbed.plan.solve import Effort, clashing, minimised

#: Rows that only tell what follows from a choice; they never clash by themselves.
CONSEQUENCES = frozenset({"R19", "R20"})
#: Name of a layer somebody wants kept; it is a limit like any other. Ruling a layer out never makes a clash: laying
#: nothing keeps every rule.
FIX = "fix"
#: The order in which limits are tried: what cannot be lifted first, what somebody has set last.
LAST_TRIED = ("R6", "R1", "R2", "R12", "R10", "R11", "R21", "R17", "R16", "R3", "R26", FIX)
ENOUGH = Effort(gap=0.0, nodes=2000, seconds=10.0)


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit as a grower knows it."""

    rule: str
    bed: int | None = None
    stock: int | None = None
    week: int | None = None
    layer: int | None = None
    """The candidate that is fixed, by number in the bed's offers."""


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a limit stands in the model."""

    limit: Limit
    rows: tuple[int, ...]
    columns: tuple[int, ...]


def limit_of(name: RowName) -> Limit | None:
    """Return the limit a row belongs to; None for rows that no grower could lift."""
    if name.rule in CONSEQUENCES or (name.rule == "R3" and name.week is not None):
        return None
    week = name.week if name.rule in ("R16", "R17") else None
    return Limit(name.rule, name.bed, name.stock, week)


def limits_in(choice: Choice) -> tuple[Placed, ...]:
    """Return every limit of a model, what is physics first."""
    rows: dict[Limit, list[int]] = {}
    for row, name in enumerate(choice.model.names):
        limit = limit_of(name)
        if limit is not None:
            rows.setdefault(limit, []).append(row)
    found = [Placed(limit, tuple(of_limit), ()) for limit, of_limit in rows.items()]
    for number, bed in enumerate(choice.beds):
        for place, column in enumerate(bed.lay):
            if choice.model.lower[int(column)] > 0.0:
                found.append(Placed(Limit(FIX, number, layer=place), (), (int(column),)))
    order = {rule: number for number, rule in enumerate(LAST_TRIED)}
    return tuple(sorted(found, key=lambda one: order.get(one.limit.rule, -1)))


def without(model: Model, lifted: Sequence[Placed]) -> Model:
    """Return a model with some limits lifted, which asks for nothing but a plan."""
    row_lower, row_upper = list(model.row_lower), list(model.row_upper)
    lower = list(model.lower)
    for placed in lifted:
        for row in placed.rows:
            row_lower[row], row_upper[row] = -inf, inf
        for column in placed.columns:
            lower[column] = 0.0
    return replace(model, cost=[0.0] * model.columns, row_lower=row_lower, row_upper=row_upper, lower=lower)


def clash(model: Model, effort: Effort) -> bool:
    """Say whether no choice keeps a model's rows; the relaxed model is asked first, which is quick."""
    if minimised(model, effort, relaxed=True) is None:
        return True
    return minimised(model, effort) is None


def keeping(choice: Choice, kept: Mapping[int, Sequence[int]]) -> Choice:
    """Return a model in which some layers are laid whatever comes, by bed."""
    lower = list(choice.model.lower)
    for number, places in kept.items():
        for place in places:
            lower[int(choice.beds[number].lay[place])] = 1.0
    return replace(choice, model=replace(choice.model, lower=lower))


def smallest_clash(choice: Choice, effort: Effort = ENOUGH) -> tuple[Limit, ...]:
    """Return limits that clash, of which none can be left out; none where something fits.

    Parameters
    ----------
    choice : Choice
        A built model; the columns of layers somebody wants kept begin at one.
    effort : Effort
        When each attempt may stop.
    """
    if not clash(without(choice.model, ()), effort):
        return ()
    limits = limits_in(choice)
    lifted: list[Placed] = []
    for rule in dict.fromkeys(placed.limit.rule for placed in limits):  # whole rules at once, where that can be done
        together = [placed for placed in limits if placed.limit.rule == rule]
        if clash(without(choice.model, [*lifted, *together]), effort):
            lifted.extend(together)
    needed = []
    for placed in limits:
        if placed in lifted:
            continue
        if clash(without(choice.model, [*lifted, placed]), effort):
            lifted.append(placed)
        else:
            needed.append(placed.limit)
    return tuple(needed)


#: What limits are called that are not in `LIMIT_WORDS`.
OTHER_WORDS = {
    "R26": "the layer to be kept",
    "R1": "one layer a week",
    "R2": "days between layers",
    "R6": "thickness of the cover",
}


def clash_sentences(choice: Choice, limits: Sequence[Limit]) -> list[str]:
    """Return each limit of a clash in words, with its rule; lifting any one of them ends the clash."""
    return [in_words(choice, limit) for limit in limits]


def in_words(choice: Choice, limit: Limit) -> str:
    """Return one limit in words."""
    terms = choice.terms
    where = f" on {terms.beds[limit.bed].name}" if limit.bed is not None else ""
    if limit.rule == FIX and limit.bed is not None and limit.layer is not None:
        day = choice.offers[limit.bed].candidates[limit.layer].day
        return f"the layer of {day.isoformat()}{where} that is to be kept"
    words = OTHER_WORDS.get(limit.rule) or LIMIT_WORDS.get(limit.rule, (limit.rule, ""))[0]
    of_what = f" of {terms.stocks[limit.stock].name}" if limit.stock is not None else ""
    when = f" in the week of {terms.weeks[limit.week].monday.isoformat()}" if limit.week is not None else ""
    return f"{words}{of_what}{where}{when} ({limit.rule})"


def why_nothing_fits(choice: Choice, kept: Mapping[int, Sequence[int]]) -> list[str]:
    """Return in words the smallest clash of a model with layers to be kept; where none is found, what is passed most.

    Parameters
    ----------
    choice : Choice
        The model, without what beds that keep their layers need not keep.
    kept : mapping
        Layers to be kept, by bed.
    """
    fixed = keeping(choice, kept)
    found = smallest_clash(fixed)
    return clash_sentences(fixed, found) if found else clashing(fixed)
