"""The jar test: viscosity and sinking (stokes1851), both from memory, and hand-worked times."""

from __future__ import annotations

import pytest

from mullbed.processes.settling_tube import sinking_seconds, water_viscosity
from mullbed.trials.field_checks import jar_reading_seconds


def test_jar_times_are_those_of_stokes():
    """Derived: 10 cm at 20 degrees: 0.05 mm 45 s, 0.02 mm 278 s, clay 7.7 h; clay at 10 degrees 10.1 h."""
    assert jar_reading_seconds(0.1, 20.0, 5e-5) == pytest.approx(45, abs=1)
    assert jar_reading_seconds(0.1, 20.0, 2e-5) == pytest.approx(278, abs=2)
    assert jar_reading_seconds(0.1, 20.0, 2e-6) / 3600 == pytest.approx(7.7, abs=0.06)
    assert jar_reading_seconds(0.1, 10.0, 2e-6) / 3600 == pytest.approx(10.1, abs=0.1)
    assert jar_reading_seconds(0.026, 20.0, 2e-6) / 3600 == pytest.approx(2.0, abs=0.02)  # the 2 h rule fits 2.6 cm


def test_viscosity_and_sinking_are_those_of_stokes1851_and_a_table():
    assert water_viscosity.py_func(20.0) == pytest.approx(1.002e-3, rel=0.002)  # from_memory: water at 20 degC
    assert sinking_seconds.py_func(0.2, 5e-5, 1.002e-3, 2650.0) == pytest.approx(
        2 * sinking_seconds.py_func(0.1, 5e-5, 1.002e-3, 2650.0)
    )
