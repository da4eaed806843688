#!/usr/bin/env bash
# Builds the page and tests it in a real browser. It installs what it needs and skips nothing.
#   bash tests/browser/run.sh            the page and the papers in Chromium
#   bash tests/browser/run.sh --others   one walk through the page in Firefox and WebKit
#   bash tests/browser/run.sh --install  only what they need
set -euo pipefail
cd "$(dirname "$0")/../.."
say() { printf '%s\n' "$*" >&2; }

# Debian packages behind each program: the browser, and the two that look into a PDF.
missing=()
{ [ -n "${CHROMIUM:-}" ] || command -v chromium > /dev/null; } || missing+=(chromium)
command -v pdftotext > /dev/null || missing+=(poppler-utils)
command -v npm > /dev/null || missing+=(npm)
if [ "${1:-}" = --others ]; then
  [ -e "${FIREFOX:-/usr/bin/firefox-esr}" ] || missing+=(firefox-esr)
  [ -e "${WEBKIT_DRIVER:-/usr/bin/WebKitWebDriver}" ] || missing+=(webkit2gtk-driver)
  command -v xvfb-run > /dev/null || missing+=(xvfb xauth)
fi
if [ ${#missing[@]} -gt 0 ]; then
  command -v apt-get > /dev/null || { say "install ${missing[*]} first; CHROMIUM names another browser"; exit 2; }
  as_root=()
  [ "$(id -u)" = 0 ] || as_root=(sudo)
  "${as_root[@]}" apt-get update -qq >&2
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >&2
fi
CHROMIUM=${CHROMIUM:-$(command -v chromium)}
export CHROMIUM

# What `--install` has brought is not brought again.
[ tests/browser/node_modules/.package-lock.json -nt tests/browser/package-lock.json ] || npm ci --prefix tests/browser --no-audit --no-fund --silent
if [ "${1:-}" = --install ]; then exit; fi
bash src/web/build.sh
if [ "${1:-}" = --others ]; then exec node tests/browser/others.mjs; fi
# SLABSEASON names a program that is built already: the digits of every build are the same.
[ -n "${SLABSEASON:-}" ] || cargo build --locked --quiet
for it in page papers; do
  if [ -e "tests/browser/$it.mjs" ]; then node "tests/browser/$it.mjs"; fi
done
