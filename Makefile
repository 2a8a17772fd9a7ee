# Needs Python 3.11 or newer and make; everything else goes into .venv, at the versions in .ci/lock.txt.
PYTHON ?= python3
BIN := .venv/bin
FUZZ_SECONDS ?= 60
PIP := $(BIN)/python -m pip --disable-pip-version-check --quiet --quiet
export PYTHONUTF8 = 1

.DEFAULT_GOAL := help
.PHONY: help demo test lint bench verify relock clean

help:  ## this list
	@sed -n 's/^\([a-z]*\):.*  ## \(.*\)/  make \1\t\2/p' $(MAKEFILE_LIST)

demo: .venv/.run  ## a lift from call to capture, on the screen
	@$(BIN)/liftcadence demo

test: lint  ## lint, then every test but the slow ones
	@$(BIN)/python -m pytest -n 4 --dist loadfile  # what a file has set up serves all its tests

lint: .venv/.ready  ## ruff, mypy and the import contract
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check .
	@$(BIN)/mypy --strict sim reports cli.py
	@$(BIN)/lint-imports --no-logo

bench: .venv/.ready  ## how long things take on this machine
	@$(BIN)/python -m tests.bench

verify: .venv/.ready  ## all tests, the slow ones too, many more drawn examples; fuzzes (FUZZ_SECONDS=60 each)
	@HYPOTHESIS_PROFILE=verify $(BIN)/python -m pytest -n auto -m "slow or not slow"
	@$(BIN)/python -m tests.fuzz $(FUZZ_SECONDS)

relock:  ## remake .ci/lock.txt and .ci/lock-run.txt (UP=1: newest versions)
	@UP=$(UP) .ci/relock

clean:  ## remove .venv and caches; runs/ stays
	@rm -rf .venv build dist *.egg-info .pytest_cache .hypothesis .mypy_cache .ruff_cache .import_linter_cache .fuzz
	@find . -name __pycache__ -type d -prune -exec rm -rf {} +

# What running needs, then the project itself, editable.
.venv/.run: .ci/lock-run.txt pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "error: Python 3.11 or newer is needed; hint: make PYTHON=python3.12")'
	@test -x $(BIN)/python || { echo "making .venv: a minute, once"; $(PYTHON) -m venv .venv; }
	@$(PIP) install --require-hashes -r .ci/lock-run.txt
	@$(PIP) install --no-deps --no-build-isolation --config-settings editable_mode=compat -e .
	@rm -rf liftcadence.egg-info
	@touch $@

# What the tests need, on top.
.venv/.ready: .venv/.run .ci/lock.txt
	@echo "adding the test tools to .venv: a minute, once"
	@$(PIP) install --require-hashes --use-pep517 --no-build-isolation -r .ci/lock.txt
	@touch $@
