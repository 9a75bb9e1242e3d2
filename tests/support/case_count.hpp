#pragma once

#include <algorithm>
#include <cstdlib>

namespace baywright::test {

/// How many random cases to run where a normal run has `usual`: BAYWRIGHT_CASES=10 asks for ten times as many, 0.1 for a
/// tenth (enough for sanitizers, which look at memory and not at odds). At least one.
inline long case_count(long usual) {
  const char* factor = std::getenv("BAYWRIGHT_CASES");
  return std::max(1L, static_cast<long>((factor ? std::atof(factor) : 1.0) * static_cast<double>(usual)));
}

}  // namespace baywright::test
