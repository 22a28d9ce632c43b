# One word for each chore. Needs CPython 3.11 or newer with venv and pip, and make; nothing else.
# `make demo` and `make test` share one .venv; a stamp file in it says what is installed already.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --quiet --disable-pip-version-check --no-input
WORKERS ?= 2
BENCHES ?= $(wildcard benchmarks/bench_*.py)

.PHONY: demo test lint types pytest format bench pictures clean

demo: $(VENV)/.installed
	$(BIN)/noonwall demo --out made/

# the tests come last, so that their closing lines are the last thing printed
test: lint types pytest

lint: $(VENV)/.for-tests
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: $(VENV)/.for-tests
	$(BIN)/mypy --strict src

pytest: $(VENV)/.for-tests
	$(BIN)/python -m pytest -n $(WORKERS) -v

format: $(VENV)/.for-tests
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

bench: $(VENV)/.for-tests
	@test -n "$(BENCHES)" || { echo "There is no benchmarks/bench_*.py to run."; exit 1; }
	for file in $(BENCHES); do echo "== $$file"; $(BIN)/python $$file || exit 1; done

pictures: $(VENV)/.for-tests
	$(BIN)/python docs/pictures/take.py

clean:
	rm -rf $(VENV) made build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis
	find src tests benchmarks docs -name __pycache__ -type d -prune -exec rm -rf {} +

$(VENV)/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
		{ echo "noonwall needs Python 3.11 or newer: run make PYTHON=/path/to/python3.11"; exit 1; }
	$(PYTHON) -m venv $(VENV)

# the package is installed in place: a changed source file needs no new installation
$(VENV)/.installed: pyproject.toml | $(VENV)/bin/python
	$(PIP) install --editable .
	touch $@

$(VENV)/.for-tests: pyproject.toml | $(VENV)/bin/python
	$(PIP) install --editable '.[test,dev]'
	touch $@ $(VENV)/.installed
