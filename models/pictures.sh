#!/usr/bin/env bash
# Draws the pictures of the documents anew from the demo's jobs as they are now: docs/pictures/*.png. Needs no display;
# the window is drawn on a virtual one.
set -euo pipefail
cd "$(dirname "$0")/.."
.ci/install_deps test
.ci/build release baywright baywright-view make_tarn40
work=$(mktemp -d); trap 'rm -rf "$work"' EXIT
program=build/release/src/app/baywright
"$program" demo --no-pictures --out "$work" >/dev/null
"$program" picture "$work/tarn40/fitted" --width 1200 --height 760 --out docs/pictures/tarn40-fitted.png
# Tube and rocker cover at rest: a gap, which one sees better than the overlap over the motion.
number=$(python3 -c 'import json, sys
for f in json.load(open(sys.argv[1]))["findings"]:
    if f["check"] == "cr.static" and f["part"] == "rocker-cover": sys.exit(print(f["number"]))
sys.exit("pictures: the first try has no such finding")' "$work/reports/first-try/findings.json")
"$program" picture "$work/tarn40/first-try" --finding "$number" --width 1000 --height 640 \
  --out docs/pictures/tarn40-first-try-close-up.png
# The window with a point held: up and inward, where the rocker cover has let go of the tube.
HOME=$work XDG_RUNTIME_DIR=$work QT_SCALE_FACTOR=1 xvfb-run -a -s "-screen 0 1280x800x24" \
  build/release/viewer/baywright-view "$work/tarn40/first-try" --hold intake,P3,-60,-120,545 \
  --screenshot docs/pictures/tarn40-point-held.png
