"""The compiled and the plain form of every equation give the same number."""

from __future__ import annotations

import importlib
import inspect
import math
import os
import pkgutil
from zlib import crc32

import numpy as np
import pytest

import mullbed.processes
from mullbed.compiled import EQUATIONS

for _module in pkgutil.iter_modules(mullbed.processes.__path__):
    importlib.import_module(f"mullbed.processes.{_module.name}")

TIMES = 60
ROUNDING = 1e-12
"""[1] Relative; the compiler may contract a product and a sum into one rounding."""

#: Where an argument must stay for the equation to mean anything. Everything else is drawn from 0 to 5 or 0 to 1.
RANGES = {
    "temperature": (-15.0, 60.0),
    "air": (-15.0, 35.0),
    "soil": (-5.0, 35.0),
    "surface": (-15.0, 35.0),
    "high": (10.0, 40.0),
    "low": (-20.0, 10.0),
    "latitude": (-89.0, 89.0),
    "day_of_year": (1.0, 366.0),
    "elevation": (-100.0, 4000.0),
    "pressure": (50.0, 105.0),
    "height": (0.5, 20.0),
    "sand": (0.05, 0.6),
    "clay": (0.05, 0.35),
    "organic_matter": (0.5, 8.0),
    "deficit": (-60.0, 0.0),
    "highest_deficit": (-80.0, -61.0),
    "nitrogen": (0.1, 6.0),
    "lignin": (1.0, 50.0),
    "carbon": (0.2, 0.6),
    "saturated": (0.40, 0.55),
    "capacity": (0.15, 0.35),
    "wilting": (0.03, 0.14),
    "field_capacity": (1.0, 4.0),
    "dry_water": (0.0, 0.4),
    "full": (20.0, 60.0),
    "dry_limit": (1.0, 15.0),
    "depth": (2.0, 300.0),
    "density": (10.0, 300.0),
    "laid_density": (10.0, 200.0),
    "loss_rate": (0.01, 0.2),
    "turnover_rate": (0.004, 0.009),
    "product_rate": (0.0005, 0.002),
    "product_ratio": (6.0, 14.0),
    "total": (10.0, 150.0),
    "day": (0.0, 150.0),
    "initial": (1.0, 40.0),
    "development": (1.0, 40.0),
    "middle": (1.0, 40.0),
    "late": (1.0, 40.0),
    "radiation": (0.0, 35.0),
    "extraterrestrial": (5.0, 42.0),
    "daylight": (8.0, 16.0),
    "mass": (0.01, 0.5),
    "upper_mass": (0.02, 0.25),
    "lower_mass": (0.0, 0.25),
}
SHARES = (
    "cover",
    "crop_cover",
    "covering",
    "moisture",
    "share",
    "stage",
    "rich",
    "alkaline",
    "position",
    "wet",
    "on_surface",
)


def drawn(arguments: list[str], chance: np.random.Generator) -> list[float]:
    values = []
    for name in arguments:
        low, high = RANGES.get(name, (0.0, 1.0) if name in SHARES else (0.0, 5.0))
        values.append(float(chance.uniform(low, high)))
    return values


def as_tuple(found: object) -> tuple[float, ...]:
    return tuple(float(one) for one in found) if isinstance(found, tuple) else (float(found),)  # type: ignore[arg-type]


def plain_and_compiled(name: str):
    compiled = EQUATIONS[name]
    return getattr(compiled, "py_func", compiled), compiled


@pytest.mark.skipif(os.environ.get("NUMBA_DISABLE_JIT") == "1", reason="both forms are the plain one")
def test_every_equation_of_the_package_is_registered_and_compiles() -> None:
    assert len(EQUATIONS) >= 60
    assert all(hasattr(compiled, "py_func") for compiled in EQUATIONS.values())


@pytest.mark.parametrize("name", sorted(EQUATIONS))
def test_both_forms_agree_on_random_inputs(name: str) -> None:
    plain, compiled = plain_and_compiled(name)
    parameters = inspect.signature(plain).parameters.values()
    defaults = [float(one.default) for one in parameters if one.default is not inspect.Parameter.empty]
    arguments = [one.name for one in parameters if one.default is inspect.Parameter.empty]
    chance = np.random.default_rng(crc32(name.encode()))
    finite = 0
    for _ in range(TIMES):
        values = drawn(arguments, chance)
        assert as_tuple(plain(*values, *defaults)) == pytest.approx(as_tuple(plain(*values)), rel=0.0, nan_ok=True)
        by_hand, by_machine = as_tuple(plain(*values)), as_tuple(compiled(*values, *defaults))
        for one, other in zip(by_hand, by_machine, strict=True):
            assert math.isnan(one) == math.isnan(other), values
            finite += math.isfinite(one)
            # nothing here is meant to be read below 1e-15 of the largest input: differences of nearly equal numbers
            assert one == pytest.approx(other, rel=ROUNDING, abs=1e-15 * max(map(abs, values)), nan_ok=True), values
    assert finite >= TIMES, "no draw gave a number: widen RANGES"
