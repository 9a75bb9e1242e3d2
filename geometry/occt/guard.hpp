#pragma once

#include <Standard_Failure.hxx>
#include <new>
#include <string>
#include <utility>

#include "geometry/base/result.hpp"
#include "geometry/occt/quiet.hpp"

// Only for .cpp files of geometry.

namespace baywright::occt {

/// Runs `work` (which returns a Result) and turns what the kernel throws into an Error: the one place where its
/// exceptions are caught. Mistakes of this program (ContractViolation) pass through.
template <class Work>
auto guard(const std::string& where, Work&& work) -> decltype(work()) {
  be_quiet();
  try {
    return std::forward<Work>(work)();
  } catch (const Standard_Failure& failure) {
    const char* text = failure.GetMessageString();
    std::string why = failure.DynamicType()->Name();
    if (text != nullptr && *text != '\0') why += std::string(": ") + text;
    return fail(ErrorCode::kernel_failed, where, "the solid-modelling kernel gave up (" + why + ")");
  } catch (const std::bad_alloc&) {
    return fail(ErrorCode::kernel_failed, where, "the solid-modelling kernel ran out of memory");
  }
}

}  // namespace baywright::occt
