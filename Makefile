# Everything runs in .venv, made once and made anew when a lock or the project file changes.
# Needs on a fresh machine: python3 (3.11 or later, with venv), git, make, gcc.

SHELL := /bin/bash
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
GARDEN ?= src/mullbed/files/demo/garden.toml
OUT ?= demo-out
SEED ?= 1
WORKERS ?= auto
TESTS ?=

# Hashed locks without addresses: uv when it can be had, else pip; both refuse a package whose hash differs.
INSTALL = if [ -x $(BIN)/uv ]; then $(BIN)/uv pip install -q -p $(BIN)/python --require-hashes -r $(1) \
	|| $(BIN)/python -m pip install -q --require-hashes -r $(1); \
	else $(BIN)/python -m pip install -q --require-hashes -r $(1); fi
OURSELVES = $(BIN)/python -m pip install -q --no-deps --no-build-isolation --disable-pip-version-check -e .

.PHONY: help demo test check bench soak shape docs clean locks

help: ## Show what can be made.
	@grep -E '^[a-z]+:.*##' Makefile | sed -E 's/^([a-z]+):.*## /  make \1\t/'

$(VENV)/.made:
	@echo "Making $(VENV) ..." >&2
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Python 3.11 or later is needed; say PYTHON=python3.12 or the like")'
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	@$(BIN)/python -m pip install -q --disable-pip-version-check --require-hashes -r requirements/installer.txt \
		|| echo "uv could not be had; going on with pip" >&2
	@touch $@

$(VENV)/.run-stamp: $(VENV)/.made requirements/lock.txt pyproject.toml
	@echo "Installing what Mullbed runs on ..." >&2
	@$(call INSTALL,requirements/lock.txt)
	@$(OURSELVES)
	@touch $@

$(VENV)/.dev-stamp: $(VENV)/.made requirements/dev.txt pyproject.toml
	@echo "Installing what the checks and tests need ..." >&2
	@$(call INSTALL,requirements/dev.txt)
	@$(OURSELVES)
	@touch $@ $(VENV)/.run-stamp

demo: $(VENV)/.run-stamp ## Plan the bundled garden's season into demo-out/.
	@$(BIN)/mullbed plan $(GARDEN) --out $(OUT) --seed $(SEED)

test: $(VENV)/.dev-stamp ## Run the whole suite; the summary is the last thing printed.
	@$(BIN)/python -m pytest -n $(WORKERS) -q $(TESTS)

check: $(VENV)/.dev-stamp ## Run style, types, architecture, unused code and safety checks.
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/deptry src
	$(BIN)/vulture
	$(BIN)/bandit -q -r src -c pyproject.toml

bench: $(VENV)/.dev-stamp ## Measure speed and memory into benchmarks/results/latest.json.
	$(BIN)/python benchmarks/run.py
	$(BIN)/python benchmarks/planner_figures.py

soak: $(VENV)/.dev-stamp ## Run the long checks (make test runs a fiftieth of each).
	MULLBED_SOAK=1 $(BIN)/python -m pytest -n $(WORKERS) -q -m soak

shape: $(VENV)/.dev-stamp ## Show the sizes of files, bodies and modules; nothing is enforced.
	@$(BIN)/python benchmarks/shape.py

docs: $(VENV)/.dev-stamp ## Renew the page of the validation; run every piece of code in the pages.
	$(BIN)/python docs/renew_validation.py
	$(BIN)/python docs/renew_behaviour.py
	$(BIN)/python docs/renew_sensitivity.py
	$(BIN)/python -m pytest -q tests/contracts/test_documentation.py

locks: $(VENV)/.dev-stamp ## Renew the locks after the project file changed.
	$(BIN)/python benchmarks/renew_locks.py

clean: ## Remove everything that was made.
	rm -rf $(VENV) $(OUT) build dist htmlcov .coverage .mypy_cache .ruff_cache .pytest_cache .hypothesis \
		.import_linter_cache .benchmarks src/*.egg-info
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
