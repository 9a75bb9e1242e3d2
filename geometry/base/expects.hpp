#pragma once

#include <stdexcept>

namespace baywright {

/// Thrown by EXPECTS: a mistake in this program, never bad input. Caught only in the two `main`s (exit code 70).
class ContractViolation : public std::logic_error {
 public:
  using std::logic_error::logic_error;
};

[[noreturn]] void contract_violated(const char* condition, const char* file, int line);

}  // namespace baywright

/// Armed in every build: states what the caller must guarantee.
#define EXPECTS(condition) \
  ((condition) ? static_cast<void>(0) : ::baywright::contract_violated(#condition, __FILE__, __LINE__))
