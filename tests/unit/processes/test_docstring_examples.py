"""Every equation shows an example, and the example holds in the compiled form as it does in the plain one."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import mullbed.processes
from mullbed.compiled import EQUATIONS

MODULES = sorted(module.name for module in pkgutil.iter_modules(mullbed.processes.__path__))
for _name in MODULES:
    importlib.import_module(f"mullbed.processes.{_name}")


def examples(module: str) -> list[doctest.DocTest]:
    imported = importlib.import_module(f"mullbed.processes.{module}")
    parser = doctest.DocTestParser()
    found = []
    for name, equation in EQUATIONS.items():
        home, _, own = name.partition(".")
        if home == module:
            found.append(parser.get_doctest(equation.__doc__ or "", dict(vars(imported)), own, module, 0))
    return found


@pytest.mark.parametrize("module", MODULES)
def test_every_equation_shows_an_example_that_holds_compiled(module: str) -> None:
    tests = examples(module)
    assert tests
    assert [one.name for one in tests if not one.examples] == []
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    told: list[str] = []
    for one in tests:
        runner.run(one, out=told.append)
    assert runner.summarize(verbose=False).failed == 0, "".join(told)
