#!/usr/bin/env bash
# Builds the page and tests it in a real browser. It installs what it needs and skips nothing.
#   bash tests/browser/run.sh
set -euo pipefail
cd "$(dirname "$0")/../.."
say() { printf '%s\n' "$*" >&2; }

# Debian packages behind each program: the browser, and the two that look into a PDF.
missing=()
{ [ -n "${CHROMIUM:-}" ] || command -v chromium > /dev/null; } || missing+=(chromium)
command -v pdftotext > /dev/null || missing+=(poppler-utils)
command -v npm > /dev/null || missing+=(npm)
if [ ${#missing[@]} -gt 0 ]; then
  command -v apt-get > /dev/null || { say "install ${missing[*]} first; CHROMIUM names another browser"; exit 2; }
  as_root=()
  [ "$(id -u)" = 0 ] || as_root=(sudo)
  "${as_root[@]}" apt-get update -qq >&2
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >&2
fi
CHROMIUM=${CHROMIUM:-$(command -v chromium)}
export CHROMIUM

npm ci --prefix tests/browser --no-audit --no-fund --silent
bash src/web/build.sh
cargo build --locked --quiet --release
for it in page papers; do
  if [ -e "tests/browser/$it.mjs" ]; then node "tests/browser/$it.mjs"; fi
done
