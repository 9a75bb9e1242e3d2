#!/usr/bin/env bash
# What takes longer than a normal test run: ten times the random cases, then the geometry suite under the address and
# undefined-behaviour sanitizers. Run before a release and after any change to geometry/clearance.
set -euo pipefail
cd "$(dirname "$0")/.."
tests/run.sh
echo "== ten times the random cases"
BAYWRIGHT_CASES=10 ctest --test-dir build/release --output-on-failure -L 'clearance|files|job|duct' --timeout 7200
echo "== sanitizers"
.ci/build asan clearance_test files_test job_test duct_test bay_test measure_test base_test session_test
ctest --test-dir build/asan --output-on-failure -L 'base|bay|clearance|files|job|duct|measure|session' --timeout 7200
