"""Find the cheapest plans of one bed at given charges, exactly: a search in depth over layers in order of laying.

A layer gives nothing before it is laid. What a plan costs up to the next possible layer is therefore known, and the
rest is bounded from below by the straight lines that multipliers of the weekly balance draw (Lagrange's bound; it
equals the bed's relaxed model at that model's own prices). The best spaced continuation of those lines is a table made
once before the search. A branch whose bound does not beat the plans kept is left.

Arrays, for one bed: weeks W, candidates n in order of laying day, limited loads L, sets of multipliers k. Costs are in
grams of nitrogen missed, as in docs/topics/planning-rules.md. Pure loops over arrays, compiled when first run.
"""

from __future__ import annotations

import numpy as np

from mullbed.compiled import loop, step

#: No bed takes more layers in a season.
MOST_LAYERS = 24
#: A limit is kept when it is passed by no more.
SLACK = 1e-9


@step
def follow_weeks(weeks, first, last, pool, given, cover):
    """Return the cost of the weeks from first to before last, and the pool carried on (R19, R20).

    ``weeks`` holds by row: soil given, want, share kept, price of what is left, price of a gram missed,
    price of bare soil, cover missing.
    """
    cost = 0.0
    for week in range(first, last):
        there = pool + weeks[0, week] + given[week]
        if there < 0.0:
            cost -= weeks[4, week] * there
            there = 0.0
        taken = min(there, weeks[1, week])
        left = there - taken
        cost += weeks[4, week] * (weeks[1, week] - taken) + weeks[3, week] * left
        pool = left * weeks[2, week]
        bare = weeks[6, week] - cover[week]
        if bare > 0.0:
            cost += weeks[5, week] * min(1.0, bare)
    return cost, pool


@step
def straight_lines(weeks, first, pool, given, cover, balance_price, cover_price):
    """Return a lower bound on the cost from a week on by one set of multipliers, later layers apart."""
    bound = balance_price[first] * pool
    for week in range(first, weeks.shape[1]):
        bound += balance_price[week] * (weeks[0, week] - weeks[1, week] + given[week])
        bound += cover_price[week] * (weeks[6, week] - cover[week])
    return bound


@step
def loads_can_fit(loads, before, candidate, ease, following, room):
    """Say whether every limit can still be kept with a candidate laid; later layers may ease a load."""
    fit = True
    for load in range(room.shape[0]):
        fit &= before[load] + loads[load, candidate] + ease[load, following] <= room[load] + SLACK
    return fit


@step
def loads_fit(total, room):
    """Say whether every limit is kept."""
    fit = True
    for load in range(room.shape[0]):
        fit &= total[load] <= room[load] + SLACK
    return fit


@step
def kept_plan(cost, laid, depth, kept, best_cost, best_length, best_plan):
    """Keep a plan among the best; returns how many are kept and what a plan must cost less than to be kept next."""
    most = best_cost.shape[0]
    place = kept
    if kept < most:
        kept += 1
    else:
        place = np.argmax(best_cost)
    best_cost[place] = cost
    best_length[place] = depth
    for level in range(depth):
        best_plan[place, level] = laid[level]
    if kept < most:
        return kept, np.inf
    return kept, np.max(best_cost)


@loop
def best_plans(
    weeks, week_of, following, own, given, cover, height, height_room, loads, room, ease,
    balance_price, cover_price, load_price, line, rest, beyond, closer, most_nodes, best_cost, best_length, best_plan,
):  # fmt: skip
    """Fill in the cheapest plans of a bed; returns nodes visited, plans kept and whether the search was finished.

    Parameters
    ----------
    weeks : array (7, W)
        As `follow_weeks` reads it.
    week_of, following : array (n,)
        Week of laying; first candidate that may be laid after this one, n for none (R1, R2).
    own : array (n,)
        Cost of laying, charges included.
    given, cover, height : array (n, W)
        Nitrogen given, cover as a share of what covers soil, settled height [m].
    height_room : array (W,)
        Height there is room for (R6); infinite where no limit holds.
    loads, room, ease : arrays (L, n), (L,), (L, n + 1)
        Limited loads (R10-R12), their limits, and by how much the best continuation can ease each.
    balance_price, cover_price, load_price : arrays (k, W + 1), (k, W), (k, L)
        Multipliers: of the weekly balance, of the cover missing, of the limited loads.
    line, rest : arrays (k, n), (k, n + 1)
        What each candidate adds to a bound, and the least its continuation from a place on adds, prices of the loads'
        limits taken off.
    beyond : float
        Plans that cost this or more are of no use.
    closer : float
        With one plan asked for, the next must be cheaper by this.
    most_nodes : int
        Where the search gives up.
    best_cost, best_length, best_plan : arrays (m,), (m,), (m, MOST_LAYERS)
        Filled in: costs, numbers of layers, candidates; unused places keep their infinite cost.
    """
    candidates, season, sets, asked = own.shape[0], weeks.shape[1], line.shape[0], best_cost.shape[0]
    sum_given, sum_cover = np.zeros((MOST_LAYERS + 1, season)), np.zeros((MOST_LAYERS + 1, season))
    sum_height, sum_load = np.zeros((MOST_LAYERS + 1, season)), np.zeros((MOST_LAYERS + 1, room.shape[0]))
    sum_own, bound = np.zeros(MOST_LAYERS + 1), np.zeros((MOST_LAYERS + 1, sets))
    past_cost, past_pool = np.zeros(MOST_LAYERS + 1), np.zeros(MOST_LAYERS + 1)
    past_week, at = np.zeros(MOST_LAYERS + 1, np.int64), np.zeros(MOST_LAYERS + 1, np.int64)
    laid = np.zeros(MOST_LAYERS + 1, np.int64)
    nodes, kept, below = 0, 0, beyond
    nothing, _ = follow_weeks(weeks, 0, season, 0.0, sum_given[0], sum_cover[0])
    if nothing < below and loads_fit(sum_load[0], room):
        kept, worst = kept_plan(nothing, laid, 0, kept, best_cost, best_length, best_plan)
        below = min(below, worst - closer) if asked == 1 else min(below, worst)
    for one in range(sets):
        bound[0, one] = straight_lines(weeks, 0, 0.0, sum_given[0], sum_cover[0], balance_price[one], cover_price[one])
    depth = 0
    while depth >= 0:
        candidate = at[depth]
        if candidate >= candidates:
            depth -= 1
            continue
        at[depth] = candidate + 1
        after = following[candidate]
        hopeless, worse = False, False
        for one in range(sets):
            hopeless |= bound[depth, one] + rest[one, candidate] >= below
            worse |= bound[depth, one] + line[one, candidate] + rest[one, after] >= below
        if hopeless:
            at[depth] = candidates
            continue
        if worse or not loads_can_fit(loads, sum_load[depth], candidate, ease, after, room):
            continue
        nodes += 1
        if nodes > most_nodes:
            return nodes, kept, False
        deeper = depth + 1
        too_high = False
        for week in range(season):
            sum_height[deeper, week] = sum_height[depth, week] + height[candidate, week]
            too_high |= sum_height[deeper, week] > height_room[week] + SLACK
        if too_high:
            continue
        for week in range(season):
            sum_given[deeper, week] = sum_given[depth, week] + given[candidate, week]
            sum_cover[deeper, week] = sum_cover[depth, week] + cover[candidate, week]
        for load in range(room.shape[0]):
            sum_load[deeper, load] = sum_load[depth, load] + loads[load, candidate]
        sum_own[deeper] = sum_own[depth] + own[candidate]
        laid[depth] = candidate
        until = week_of[after] if after < candidates else season
        more, pool = follow_weeks(
            weeks, past_week[depth], until, past_pool[depth], sum_given[deeper], sum_cover[deeper]
        )
        past_cost[deeper], past_pool[deeper], past_week[deeper] = past_cost[depth] + more, pool, until
        if loads_fit(sum_load[deeper], room):
            later, _ = follow_weeks(weeks, until, season, pool, sum_given[deeper], sum_cover[deeper])
            cost = past_cost[deeper] + later + sum_own[deeper]
            if cost < below:
                kept, worst = kept_plan(cost, laid, deeper, kept, best_cost, best_length, best_plan)
                below = min(below, worst - closer) if asked == 1 else min(below, worst)
        if after >= candidates or deeper >= MOST_LAYERS:
            continue
        worse = False
        for one in range(sets):
            ahead = (
                past_cost[deeper]
                + sum_own[deeper]
                + straight_lines(
                    weeks, until, pool, sum_given[deeper], sum_cover[deeper], balance_price[one], cover_price[one]
                )
            )
            for load in range(room.shape[0]):
                ahead += load_price[one, load] * sum_load[deeper, load]
            bound[deeper, one] = max(bound[depth, one] + line[one, candidate], ahead)
            worse |= bound[deeper, one] + rest[one, after] >= below
        if not worse:
            depth = deeper
            at[depth] = after
    return nodes, kept, True
