#pragma once

#include <string>
#include <vector>

#include "geometry/base/result.hpp"
#include "job/job.hpp"

namespace baywright::job {

/// A job file as far as it can be read: what is right in it, and what is wrong.
struct JobReading {
  Job job;                    ///< fields that could not be read stand at their default
  bool examined = false;      ///< the text is JSON of a version this program knows
  std::vector<Error> errors;  ///< all that the text alone shows, in the order of its lines; empty: the job is good
  std::vector<std::string> places;  ///< JSON pointers of what is wrong

  /// Something at this pointer, or below it, is wrong.
  bool touches(const std::string& pointer) const;
};
JobReading read_as_far_as_possible(const std::string& text, const std::string& file_name);

}  // namespace baywright::job
