#pragma once

#include <string>

#include "geometry/files/step_file.hpp"

namespace baywright::occt {

/// A model or error as bytes, exact to the last bit, for the way from the reading process to ours. Parts go on sharing
/// what they shared. `unpack` is for bytes from `pack` of the same program only.
/// Throw what the kernel throws: call inside guard().
std::string pack(const Result<StepModel>& model);
Result<StepModel> unpack(const std::string& bytes);

}  // namespace baywright::occt
