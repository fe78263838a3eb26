# pluckweigh: what a newcomer needs is `make demo` and `make test`. Both install
# what is missing with apt-get on Debian and its kin; elsewhere they say what to
# install.

GO       ?= go
BIN      := bin/pluckweigh
# Counted runs: a time limit can end a run in "context deadline exceeded".
FUZZTIME ?= 1000x

# What it takes to build the microphone in, and what the tests play and compare with.
BUILD_PACKAGES := gcc libc6-dev pkg-config portaudio19-dev
TEST_PACKAGES  := $(BUILD_PACKAGES) pulseaudio pulseaudio-utils libasound2-plugins sox libsox-fmt-mp3 flac \
	sndfile-programs fluid-soundfont-gm aubio-tools praat espeak-ng chromium

.PHONY: help build demo test browser bench fuzz deps-go deps-build deps-test clean

help:
	@echo 'make demo    build, and weigh an invented string that is heard from its sound'
	@echo 'make test    run every test, in both builds, and each fuzz target briefly'
	@echo 'make browser drive the page in Chromium, as make test does too'
	@echo 'make bench   run the benchmarks, and the detector against its bound and against'
	@echo '             general libraries on the same takes (some minutes; TAKES=300)'
	@echo 'make build   build $(BIN); with CGO_ENABLED=0 for files only, without a microphone'

build: deps-build
	$(GO) build -o $(BIN) ./cmd/pluckweigh

demo: build
	@$(BIN) demo

test: deps-test
	@test -z "$$(gofmt -l .)" || { echo 'gofmt would change:'; gofmt -l .; exit 1; }
	$(GO) vet ./...
	CGO_ENABLED=0 $(GO) vet ./...
	$(TOOLS) $(GO) test -timeout 20m ./...
	$(TOOLS) CGO_ENABLED=0 $(GO) test -short ./audio/mic ./cmd/pluckweigh
	$(MAKE) --no-print-directory browser
	$(MAKE) --no-print-directory fuzz

# The page in a browser, a module of its own. Accessibility is looked over by axe-core,
# which is fetched where that can be done, for this test alone.
AXE := bin/axe/package/axe.min.js
browser: deps-test
	@command -v npm >/dev/null && $(MAKE) --no-print-directory $(AXE) || \
		echo 'axe-core cannot be fetched here (it takes npm and a network): accessibility is not looked over'
	cd web/browsertest && test -z "$$(gofmt -l .)" && $(GO) vet . && \
		env $(TOOLS) $$(test -f $(CURDIR)/$(AXE) && echo PLUCKWEIGH_AXE=$(CURDIR)/$(AXE)) $(GO) test -timeout 10m -count 1 .

$(AXE):
	mkdir -p bin/axe
	npm pack --silent axe-core@4.14.1 --pack-destination bin/axe
	tar -xzf bin/axe/axe-core-4.14.1.tgz -C bin/axe
	touch $@

# Every native fuzz target for a moment; raise FUZZTIME to search longer.
fuzz: deps-go
	@set -e; for pkg in $$($(GO) list ./...); do \
		for f in $$($(GO) test -list '^Fuzz' $$pkg | grep '^Fuzz' || true); do \
			echo "fuzz $$pkg $$f"; \
			$(GO) test -run '^$$' -fuzz "^$$f$$" -fuzztime $(FUZZTIME) $$pkg; \
		done; \
	done

# Takes of the stream that no threshold was tuned on; the document and its two
# pictures go to bin/bench.
TAKES ?= 100
bench: deps-test
	$(TOOLS) $(GO) test -run '^$$' -bench . -benchmem ./...
	$(GO) run ./cmd/pluckbench all --stream reporting --takes $(TAKES) --out bin/bench

clean:
	rm -rf bin

# The tests skip what needs a tool that is missing; where make has installed the
# tools, a missing one is a failure.
TOOLS = $(if $(APT),PLUCKWEIGH_REQUIRE_TOOLS=1)
APT  := $(shell command -v apt-get)
SUDO := $(shell test "$$(id -u)" = 0 || echo sudo)

deps-go:
	@command -v $(GO) >/dev/null || { echo 'Go is missing: install Go 1.26 or later (https://go.dev/doc/install).' >&2; exit 1; }

deps-build: deps-go
ifneq ($(CGO_ENABLED),0)
	$(call install,$(BUILD_PACKAGES),$(PORTAUDIO_ELSEWHERE))
endif

deps-test: deps-go
	$(call install,$(TEST_PACKAGES),$(TOOLS_ELSEWHERE))

PORTAUDIO_ELSEWHERE := test -n "$$(command -v pkg-config)" && pkg-config --exists portaudio-2.0 || { \
	echo 'The microphone needs PortAudio and pkg-config.' >&2; \
	echo '  macOS:   brew install portaudio pkg-config' >&2; \
	echo '  Windows: in an MSYS2 shell, pacman -S mingw-w64-x86_64-portaudio mingw-w64-x86_64-pkgconf mingw-w64-x86_64-gcc' >&2; \
	echo '  Fedora:  dnf install gcc pkgconf-pkg-config portaudio-devel' >&2; \
	echo 'Without them, for files only: make build CGO_ENABLED=0' >&2; exit 1; }
TOOLS_ELSEWHERE := echo 'Not Debian: tests that need pulseaudio, sox, flac, libsndfile, a SoundFont, aubio, Praat, espeak-ng or Chromium are skipped where it is missing.'

# install PACKAGES, or say what to do: $(1) packages, $(2) what to run without apt-get
define install
@if [ -n "$(APT)" ]; then \
	missing=; for p in $(1); do dpkg -s $$p >/dev/null 2>&1 || missing="$$missing $$p"; done; \
	if [ -n "$$missing" ]; then \
		if [ "$$(id -u)" != 0 ] && ! command -v sudo >/dev/null; then \
			echo "missing packages; as root, run: apt-get install$$missing" >&2; exit 1; fi; \
		echo "installing$$missing"; \
		$(SUDO) apt-get update -qq && DEBIAN_FRONTEND=noninteractive $(SUDO) apt-get install -y -qq --no-install-recommends $$missing >/dev/null; \
	fi; \
else $(2); fi
endef
