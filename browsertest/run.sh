#!/bin/sh
# The page: types checked, its logic tested, built and compared with what is
# committed, then used in a real browser. Needs Node and Chromium; what is
# missing is said, and installed where this machine lets us.
set -eu
cd "$(dirname "$0")/.."

if ! command -v node >/dev/null || ! command -v npm >/dev/null; then
	echo "test-web: Node 20 or later is missing; the page is not tested" >&2
	exit "${WEB_MISSING:-0}"
fi
(cd web && npm ci --no-audit --no-fund --loglevel=error && npm run -s check && npm test -s)

built=$(mktemp -d)
trap 'rm -rf "$built"' EXIT
(cd web && npx vite build --logLevel warn --outDir "$built" --emptyOutDir)
if ! diff -r "$built" web/dist >/dev/null; then
	diff -rq "$built" web/dist >&2 || true
	echo "test-web: web/dist is not what web/src builds; run make web and commit it" >&2
	exit 1
fi

if ! command -v chromium >/dev/null && [ -z "${CHROMIUM:-}" ]; then
	if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
		echo "test-web: installing chromium for the browser tests" >&2
		apt-get install -y --no-install-recommends chromium >/dev/null || true
	fi
fi
if ! command -v "${CHROMIUM:-chromium}" >/dev/null; then
	echo "test-web: chromium is missing (apt-get install chromium, or name one in CHROMIUM); the browser tests are left out" >&2
	exit "${WEB_MISSING:-0}"
fi
cd browsertest
npm ci --no-audit --no-fund --loglevel=error
node --test --test-concurrency=1 --test-reporter=spec ./*.test.mjs
