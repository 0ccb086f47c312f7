# demo, test, long, bench, lint: each sets up what it needs.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready

.PHONY: demo test long bench lint lock clean

$(READY): requirements.lock pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	$(BIN)/pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $(READY)

demo: $(READY)
	$(BIN)/onfold make examples/alto-1-sheath.yaml -o demo/alto-1-sheath
	$(BIN)/onfold make examples/soprano-2-skirt.yaml -o demo/soprano-2-skirt
	$(BIN)/onfold lay examples/alto-1-sheath.yaml -o demo/alto-1-sheath
	$(BIN)/onfold lay examples/soprano-2-skirt.yaml -o demo/soprano-2-skirt
	$(BIN)/onfold hang examples/alto-1-sheath.yaml -o demo/alto-1-sheath
	@echo
	@echo "Made in demo/: open lesson.html in a browser, print pattern.pdf at 100 %, read lay.pdf before buying cloth, look at hang.png before cutting it."
	@ls demo/alto-1-sheath demo/soprano-2-skirt

test: $(READY)
	$(BIN)/python -m pytest -m "not long" -n auto

long: $(READY)
	$(BIN)/python -m pytest -n auto

bench: $(READY)
	$(BIN)/python -m benchmarks

lint: $(READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

lock:
	$(PYTHON) -m venv $(VENV)
	$(BIN)/pip install --quiet pip-tools
	$(BIN)/pip-compile --quiet --generate-hashes --extra dev --no-emit-index-url --no-emit-trusted-host --no-emit-find-links --strip-extras --allow-unsafe -o requirements.lock pyproject.toml

clean:
	rm -rf $(VENV) demo build *.egg-info
