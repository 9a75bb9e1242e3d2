#!/usr/bin/env bash
# Draws the pictures of README anew from the demo's jobs as they are now: docs/pictures/*.png. Needs no display.
set -euo pipefail
cd "$(dirname "$0")/.."
.ci/install_deps run
.ci/build release baywright make_tarn40
work=$(mktemp -d); trap 'rm -rf "$work"' EXIT
program=build/release/src/app/baywright
"$program" demo --no-pictures --out "$work" >/dev/null
"$program" picture "$work/tarn40/fitted" --width 1200 --height 760 --out docs/pictures/tarn40-fitted.png
# Finding 3: tube and rocker cover at rest, a gap that one sees better than the overlap of finding 1.
"$program" picture "$work/tarn40/first-try" --finding 3 --width 1000 --height 640 \
  --out docs/pictures/tarn40-first-try-close-up.png
