"""Trials against data sets that statistics packages ship: pairs, blocks, a Latin square, several seasons.

Barley of Immer, Hayes and Powers 1934, Journal of the American Society of Agronomy 26:403-419 (data set "immer" of the
package MASS), orchard sprays of Finney 1947, Probit Analysis (data set "OrchardSprays" of R), pigs of the Danish
feeding trial "dietox" and the investment data of Grunfeld 1958 (both shipped with statsmodels).
"""

from __future__ import annotations

import math
import warnings
from importlib.resources import files
from itertools import pairwise

import numpy as np
import pytest

from mullbed.domain.trial import (
    Arrangement,
    Contrast,
    Fairness,
    Measure,
    Plot,
    Reading,
    Scale,
    Treatment,
    TrialPlan,
    Way,
)
from mullbed.trials.analysis import analyse
from mullbed.trials.power import power_of_t

# Barley yield, five varieties at six places, two years.
BARLEY = {
    "UF": {"M": (81, 80.7), "S": (105.4, 82.3), "V": (119.7, 80.4), "T": (109.7, 87.2), "P": (98.3, 84.2)},
    "W": {"M": (146.6, 100.4), "S": (142, 115.5), "V": (150.7, 112.2), "T": (191.5, 147.7), "P": (145.7, 108.1)},
    "M": {"M": (82.3, 103.1), "S": (77.3, 105.1), "V": (78.4, 116.5), "T": (131.3, 139.9), "P": (89.6, 129.6)},
    "C": {"M": (119.8, 98.9), "S": (121.4, 61.9), "V": (124, 96.2), "T": (140.8, 125.5), "P": (124.8, 75.7)},
    "GR": {"M": (98.9, 66.4), "S": (89, 49.9), "V": (69.1, 96.7), "T": (89.3, 61.9), "P": (104.1, 80.3)},
    "D": {"M": (86.9, 67.7), "S": (77.1, 66.7), "V": (78.9, 67.4), "T": (101.8, 91.8), "P": (96, 94.1)},
}
# Honeybees kept off, eight sprays in rows and columns; columns one after the other, each from the first row down.
SPRAYS = (
    "D57 E95 B8 H69 G92 F90 C15 A2  C84 B6 H127 D36 E51 A2 F69 G71  F87 H72 A5 E39 D22 C16 G72 B4  "
    "H130 A4 E114 C9 F20 G24 B10 D51  E43 D28 G60 A5 C17 B7 H81 F71  A12 C29 F44 G77 B4 D27 E47 H76  "
    "B8 G72 C13 F57 A4 H81 D20 E61  G80 F114 D39 B14 H86 E55 A3 C19"
)


def a_plan(codes: str | list[str], blocks: int, arrangement: Arrangement, plots: list[Plot], scale: Scale) -> TrialPlan:
    return TrialPlan(
        "example", "?", tuple(Treatment(code, Way.OWN) for code in codes), codes[0], arrangement, Fairness.SAME_ORIGIN,
        blocks, (Measure("yield", "1", scale, 0.2, "published"),), 0.05, 0.3, 0.2, 1, tuple(plots),
    )  # fmt: skip


def judged(plan: TrialPlan, values: dict[tuple[str, str], float]) -> tuple[Contrast, ...]:
    """Return the contrasts of values by plot and season."""
    readings = [Reading(plot, "yield", season, value) for (plot, season), value in values.items()]
    return analyse(plan, readings).primary.contrasts


def columns_of(labels: list[object]) -> np.ndarray:
    """Return a 0/1 column for every label but the first."""
    return np.array([[float(one == level) for level in dict.fromkeys(labels)] for one in labels])[:, 1:]


def test_two_years_of_barley_are_pairs_with_their_well_known_t():
    """The textbook example of a paired test in R: t = 3.324, 29 degrees of freedom, p = 0.002413."""
    from scipy.stats import ttest_rel

    cells = [(place, variety) for place, row in BARLEY.items() for variety in row]
    plots = [Plot(f"{year}{k}", k + 1, year + 1, "ab"[year]) for k in range(30) for year in (0, 1)]
    values = {(f"{year}{k}", "x"): float(BARLEY[p][v][year]) for k, (p, v) in enumerate(cells) for year in (0, 1)}
    (found,) = judged(a_plan("ab", 30, Arrangement.PAIRS, plots, Scale.PLAIN), values)
    assert -found.difference == pytest.approx(15.91333, abs=1e-5)  # published mean of the differences
    assert -found.statistic == pytest.approx(3.324, abs=5e-4)
    assert found.chance == pytest.approx(0.002413, abs=5e-7)
    oracle = ttest_rel([values[f"0{k}", "x"] for k in range(30)], [values[f"1{k}", "x"] for k in range(30)])
    low, high = oracle.confidence_interval()
    assert (-found.high, -found.low) == pytest.approx((low, high))


def test_barley_varieties_in_blocks_agree_with_a_statistics_library():
    import statsmodels.api as sm

    codes = ["M", "S", "V", "T", "P"]
    plots = [
        Plot(f"{place}{code}", b, k, code)
        for b, place in enumerate(BARLEY, start=1)
        for k, code in enumerate(codes, start=1)
    ]
    values = {(f"{place}{code}", "1931"): float(BARLEY[place][code][0]) for place in BARLEY for code in codes}
    found = judged(a_plan(codes, 6, Arrangement.BLOCKS, plots, Scale.PLAIN), values)
    places, ways = [one.block for one in plots], [one.treatment for one in plots]
    design = np.hstack([np.ones((30, 1)), columns_of(places), columns_of(ways)])
    oracle = sm.OLS(np.array([values[one.code, "1931"] for one in plots]), design).fit()
    assert [one.difference for one in found] == pytest.approx(list(oracle.params[-4:]))
    assert [one.error for one in found] == pytest.approx(list(oracle.bse[-4:]))
    assert [one.chance for one in found] == pytest.approx(list(oracle.pvalues[-4:]))
    assert found[0].degrees == 20


@pytest.mark.parametrize("scale", [Scale.PLAIN, Scale.LOG])
def test_orchard_sprays_in_a_latin_square_agree_with_a_statistics_library(scale: Scale):
    import statsmodels.api as sm

    cells = SPRAYS.split()
    plots = [Plot(f"c{k}", k % 8 + 1, k // 8 + 1, cell[0]) for k, cell in enumerate(cells)]
    values = {(f"c{k}", "1"): float(cell[1:]) for k, cell in enumerate(cells)}
    plan = a_plan(list("ABCDEFGH"), 8, Arrangement.SQUARE, plots, scale)
    found = judged(plan, values)
    turned = np.array([math.log(v) if scale is Scale.LOG else v for v in values.values()])
    ways = sorted(range(64), key=lambda k: plots[k].treatment)  # A first, so that it is the one left out
    design = np.hstack(
        [
            np.ones((64, 1)),
            columns_of([plots[k].block for k in ways]),
            columns_of([plots[k].position for k in ways]),
            columns_of([plots[k].treatment for k in ways]),
        ]
    )
    oracle = sm.OLS(turned[ways], design).fit()
    assert [one.difference for one in found] == pytest.approx(list(oracle.params[-7:]))
    assert [one.error for one in found] == pytest.approx(list(oracle.bse[-7:]))
    assert found[0].degrees == oracle.df_resid == 42
    restricted = sm.OLS(turned[ways], design[:, :-7]).fit()
    ratio, chance, _ = oracle.compare_f_test(restricted)
    overall = analyse(plan, [Reading(p, "yield", s, v) for (p, s), v in values.items()]).primary.overall_chance
    assert ratio > 5.0
    assert overall == pytest.approx(chance, rel=1e-6)


def test_barley_of_two_years_agrees_with_the_mixed_model_of_a_statistics_library():
    codes = ["T", "P"]
    plots = [
        Plot(f"{place}{code}", b, k, code)
        for b, place in enumerate(BARLEY, start=1)
        for k, code in enumerate(codes, start=1)
    ]
    values = {
        (f"{place}{code}", year): float(BARLEY[place][code][k])
        for k, year in enumerate(("1931", "1932"))
        for place in BARLEY
        for code in codes
    }
    (found,) = judged(a_plan(codes, 6, Arrangement.PAIRS, plots, Scale.PLAIN), values)
    by_code = {one.code: one for one in plots}
    keys = list(values)
    cells = [(season, by_code[code].block) for code, season in keys]
    treated = np.array([[float(by_code[code].treatment == "P")] for code, _ in keys])
    oracle = mixed(np.array(list(values.values())), np.hstack([columns_of(cells), treated]), [code for code, _ in keys])
    assert found.difference == pytest.approx(oracle[0], rel=1e-5)
    assert found.error == pytest.approx(oracle[1], rel=1e-3)
    assert found.degrees == 5  # places less one, whatever the years


def test_pigs_weighed_week_after_week_agree_with_the_mixed_model_of_a_statistics_library():
    import pandas as pd

    table = pd.read_csv(str(files("statsmodels.regression").joinpath("tests/results/dietox.csv")))
    table = table[(table.Evit == 1) & table.Cu.isin([1, 3]) & table.Time.isin([1, 4, 8, 12])].dropna(subset=["Weight"])
    pigs = table.drop_duplicates("Pig")
    plots = [
        Plot(str(pig), 1, k, f"Cu{cu}") for k, (pig, cu) in enumerate(zip(pigs.Pig, pigs.Cu, strict=True), start=1)
    ]
    values = {
        (str(pig), f"week {time}"): float(weight)
        for pig, time, weight in zip(table.Pig, table.Time, table.Weight, strict=True)
    }
    (found,) = judged(a_plan(["Cu1", "Cu3"], 1, Arrangement.BLOCKS, plots, Scale.PLAIN), values)
    treated = np.array([[float(cu == 3)] for cu in table.Cu])
    design = np.hstack([columns_of(list(table.Time)), treated])
    oracle = mixed(table.Weight.to_numpy(), design, [str(one) for one in table.Pig])
    assert found.difference == pytest.approx(oracle[0], rel=1e-4)
    assert found.error == pytest.approx(oracle[1], rel=2e-3)
    assert found.degrees == len(pigs) - 2


def test_firms_in_blocks_of_years_agree_with_a_statistics_library():
    import statsmodels.api as sm

    table = sm.datasets.grunfeld.load_pandas().data
    firms = ["IBM", "US Steel", "General Motors", "Chrysler"]
    table = table[table.firm.isin(firms)]
    years = sorted(table.year.unique())
    plots = [Plot(f"{f}{y:.0f}", years.index(y) + 1, firms.index(f) + 1, f) for f in firms for y in years]
    values = {(f"{f}{y:.0f}", "1"): float(v) for f, y, v in zip(table.firm, table.year, table.invest, strict=True)}
    found = judged(a_plan(firms, len(years), Arrangement.BLOCKS, plots, Scale.LOG), values)
    turned = np.log([values[one.code, "1"] for one in plots])
    design = np.hstack(
        [
            np.ones((len(plots), 1)),
            columns_of([one.block for one in plots]),
            columns_of([one.treatment for one in plots]),
        ]
    )
    oracle = sm.OLS(turned, design).fit()
    assert [one.difference for one in found] == pytest.approx(list(oracle.params[-3:]))
    assert [one.chance for one in found] == pytest.approx(list(oracle.pvalues[-3:]))


def mixed(values: np.ndarray, design: np.ndarray, groups: list[str]) -> tuple[float, float]:
    """Return the last coefficient of a mixed model and its standard error."""
    from statsmodels.regression.mixed_linear_model import MixedLM

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        whole = np.hstack([np.ones((len(values), 1)), design])
        fitted = MixedLM(values, whole, groups=np.array(groups)).fit(reml=True, method=["powell", "lbfgs"], gtol=1e-9)
    return float(fitted.params[whole.shape[1] - 1]), float(fitted.bse[whole.shape[1] - 1])


@pytest.mark.parametrize("shift", [0.5, 3.0, 8.0, 20.0, 45.0])
@pytest.mark.parametrize("degrees", [1, 2, 3, 5])
def test_power_at_few_degrees_agrees_with_the_integral_it_is_defined_by(degrees: int, shift: float):
    """The trap: tails of the noncentral t fail in libraries where few degrees meet a large shift."""
    from scipy.integrate import quad
    from scipy.stats import chi, norm
    from scipy.stats import t as student

    table = float(student.ppf(0.975, degrees))

    def seen(s: float) -> float:
        reach = table * s
        density = chi.pdf(s * math.sqrt(degrees), degrees) * math.sqrt(degrees)
        return float((norm.sf(reach - shift) + norm.cdf(-reach - shift)) * density)

    edges = [0.0, 0.5, 1.0, 2.0, 4.0, 12.0]
    whole = sum(quad(seen, a, b, limit=200, epsabs=1e-12)[0] for a, b in pairwise(edges))
    assert power_of_t(shift, degrees) == pytest.approx(whole, abs=2e-7)
