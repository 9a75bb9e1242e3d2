#!/usr/bin/env bash
# Sets up, builds and runs all tests. Works on a bare Debian 12 with only git; quick the second time.
# Usage: tests/run.sh [CTEST_ARGS...]   for example: tests/run.sh -L duct
set -euo pipefail
cd "$(dirname "$0")/.."
.ci/install_deps test
python3 .ci/check_layers.py
.ci/build release
python3 .ci/check_headers.py
ctest --test-dir build/release --no-tests=error --output-on-failure -j 2 "$@"
