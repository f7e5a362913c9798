# Everything runs on a fresh machine that has Go, Node and Debian's packages.
GO ?= go

.PHONY: all demo test lint bench fuzz clean web test-web
all: bin/sinew

bin/sinew: FORCE
	$(GO) build -trimpath -o $@ ./cmd/sinew
.PHONY: FORCE
FORCE:

# Two designed parts: the textbook strip with a hole, then the hanger.
demo: bin/sinew
	./bin/sinew run examples/open-hole
	./bin/sinew run examples/hanger

test: bin/sinew
	$(GO) vet ./...
	$(GO) test ./...
	sh browsertest/run.sh

# The page: built from web/src into web/dist, which is committed.
web:
	cd web && npm ci && npm run check && npm test && npx vite build

# The page as committed is the page as built, and does its work in a browser.
test-web: bin/sinew
	sh browsertest/run.sh

STATICCHECK = honnef.co/go/tools/cmd/staticcheck@v0.8.2
lint:
	@out=$$(gofmt -l $$(git ls-files '*.go')); if [ -n "$$out" ]; then echo "gofmt would change:"; echo "$$out"; exit 1; fi
	$(GO) vet ./...
	$(GO) run $(STATICCHECK) ./...

bench:
	$(GO) test -run '^$$' -bench . -benchmem ./...

# Every reader of outside bytes against bytes made up for it, one target after
# another at low priority: make fuzz TIME=10m.
TIME ?= 1m
fuzz:
	sh bench/fuzz.sh $(TIME)

clean:
	rm -rf bin examples/*/out
