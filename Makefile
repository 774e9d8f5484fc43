# Two commands for a fresh machine: make demo, make test.
PYTHON ?= python3
VENV ?= .venv
BIN := $(VENV)/bin
OUT ?= demo-out

.PHONY: demo test prove setup clean format

$(VENV)/.core: pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "pinwright needs Python 3.11 or newer; set PYTHON=... to one."; exit 2; }
	@echo "Setting up (once) ..."
	@$(PYTHON) -m venv $(VENV)
	@$(BIN)/python -m pip install -q --disable-pip-version-check -e '.[drape]' || { echo "Without the drape, then ..."; $(BIN)/python -m pip install -q --disable-pip-version-check -e .; }
	@touch $@

$(VENV)/.test: $(VENV)/.core
	@$(BIN)/python -m pip install -q --disable-pip-version-check -e '.[test]'
	@touch $@

setup: $(VENV)/.core

demo: $(VENV)/.core
	@$(BIN)/python -m pinwright.workshop.demo --out $(OUT)

test: $(VENV)/.test
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/python -m pytest -n auto

format: $(VENV)/.test
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

prove: $(VENV)/.test
	PINWRIGHT_PROVE=1 $(BIN)/python -m pytest -n auto -m prove
	$(BIN)/python -m pinwright.workshop.prove --out prove-out --page docs/validation/matrix.md

clean:
	rm -rf $(VENV) $(OUT) prove-out
