# Everything is done in .venv beside this file; nothing outside the folder is changed.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin

.PHONY: run test check lint types contracts docs bench clean

run: $(VENV)/.run-ready
	$(BIN)/slurwright demo --into out/demo

test: $(VENV)/.test-ready
	$(BIN)/python -m pytest -n auto --dist worksteal

check: lint types contracts test docs

lint: $(VENV)/.test-ready
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: $(VENV)/.test-ready
	$(BIN)/mypy

contracts: $(VENV)/.test-ready
	$(BIN)/lint-imports

docs: $(VENV)/.test-ready
	$(BIN)/mkdocs build --strict --quiet

bench: $(VENV)/.test-ready
	$(BIN)/python -m benchmarks

clean:
	rm -rf $(VENV) site build out

$(VENV)/.run-ready: pyproject.toml
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Slurwright needs Python 3.11 or newer")'
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable .
	touch $@

$(VENV)/.test-ready: $(VENV)/.run-ready pyproject.toml
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[dev]'
	touch $@
