# make demo   the whole study of the example rocket, into out/curlew
# make test   everything that has to hold before a change goes in
PYTHON ?= python3
BIN := .venv/bin

.PHONY: demo test tour browser package systems docs map

demo: .venv/ready
	$(BIN)/bottlewright study examples/curlew/rocket.toml --out out/curlew
	@echo
	@echo "Open the report in a browser:  $(CURDIR)/out/curlew/report.html"
	@mkdir -p out/pages && cp -n examples/curlew/*.* out/pages/ || true
	@echo "See a copy of it on pages that follow what you change:  $(BIN)/bottlewright open out/pages"
	@echo "Begin a rocket of your own:  $(BIN)/bottlewright open my-rockets"

# mypy works beside the tests, and what it said stands below theirs. The engine is compiled first, or each worker would
# compile it; and Python may keep what it has read of a module, for the tests start many a Python.
test: export PYTHONDONTWRITEBYTECODE =
test: .venv/ready browser
	$(BIN)/ruff check
	@said=$$(mktemp) || exit 1; $(BIN)/mypy >"$$said" 2>&1 & types=$$!; \
	$(BIN)/python tests/compiled.py && $(BIN)/pytest -n auto --dist loadgroup; tests=$$?; \
	wait $$types; types=$$?; echo "mypy:"; cat "$$said"; rm -f "$$said"; \
	[ $$tests = 0 ] && [ $$types = 0 ]

# The README's tour: its pictures and what it quotes of the program.
tour: .venv/ready
	$(BIN)/python docs/tour.py

# The docs as a site in out/docs, without a network; its notebooks are run.
docs: .venv/ready
	$(BIN)/mkdocs build

# The map of the packages in CONTRIBUTING.md, from the imports.
map: .venv/ready
	$(BIN)/python tools/package_map.py

# Source package and wheel into dist, with their hashes.
package: .venv/ready
	$(BIN)/python tools/package.py

# All of it as Windows and macOS have it; the tests look only at the modules that ask the system for something.
systems: .venv/ready
	$(BIN)/mypy --platform win32 --cache-dir .mypy_cache/win32 src
	$(BIN)/mypy --platform darwin --cache-dir .mypy_cache/darwin src

# Every file that is installed has to have the hash that constraints.txt says.
.venv/ready: pyproject.toml constraints.txt
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Python 3.11 or newer is needed: make PYTHON=python3.12")'
	$(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --require-hashes -r constraints.txt
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation -e .
	touch $@

# The page tests drive a Chromium of the system.
browser:
	@command -v chromium chromium-browser google-chrome >/dev/null && exit 0; \
	if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then \
		apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium; \
	else \
		echo "The tests of the pages need Chromium: install it with your system's package manager." >&2; exit 1; \
	fi
