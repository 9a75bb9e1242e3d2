#!/usr/bin/env bash
# Sets up, builds and runs the main job on the demo: the Tarn 40 snow-clearing truck (invented).
# Works on a bare Debian 12 with only git; quick the second time.
# Results: build/demo/reports/*/report.html; the jobs to play with: build/demo/tarn40.
set -euo pipefail
cd "$(dirname "$0")/.."
.ci/install_deps run
.ci/build release baywright baywright-view make_tarn40
exec build/release/src/app/baywright demo --out build/demo
