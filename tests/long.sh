#!/usr/bin/env bash
# What takes longer than a normal test run: ten times the random cases, the suites under the address, the
# undefined-behaviour and the thread sanitizers, the fuzzer, warnings as errors, clang-tidy. Run before a release and
# after any change to geometry/clearance.
set -euo pipefail
cd "$(dirname "$0")/.."
tests/run.sh
echo "== ten times the random cases"
BAYWRIGHT_CASES=10 ctest --test-dir build/release --output-on-failure -j 2 -L 'clearance|files|job|duct' --timeout 7200
echo "== hundreds of planted bays"
BAYWRIGHT_CASES=40 build/release/tests/unit/routing/routing_test
build/release/tests/unit/routing/routing_test "[share]"
build/release/tests/unit/demo/demo_test "[scratch]"
echo "== address and undefined-behaviour sanitizers"
.ci/build asan access_test clearance_test clearance_fuzz files_test job_test duct_test bay_test measure_test base_test session_test routing_test
# A tenth of the cases: sanitizers look at memory, not at odds, and take a hundred times as long.
export BAYWRIGHT_CASES=0.1
ctest --test-dir build/asan --output-on-failure -j 2 -L 'access|base|bay|clearance|files|job|duct|measure|session|routing' --timeout 7200
echo "== thread sanitizer"
.ci/build tsan clearance_test clearance_fuzz session_test measure_test bay_test routing_test
# Its shadow memory does not fit beside addresses as random as some kernels make them.
fixed=()
setarch -R true 2>/dev/null && fixed=(setarch -R)
BAYWRIGHT_CASES=0.02 "${fixed[@]}" ctest --preset tsan -j 2 -L 'clearance|session|measure|bay|routing' --timeout 7200
unset BAYWRIGHT_CASES
echo "== fuzzer, ten minutes"
if command -v clang++ >/dev/null; then
  .ci/build fuzz clearance_fuzz
  build/fuzz/tests/fuzz/clearance_fuzz -max_total_time="${BAYWRIGHT_FUZZ_SECONDS:-600}" -max_len=600 -print_final_stats=1
else
  echo "skipped: clang++ is not installed; tests/run.sh has tried 2,000 cases from bytes without it"
fi
echo "== warnings are errors"
.ci/build dev
echo "== clang-tidy"
.ci/install_deps tidy
.ci/tidy
