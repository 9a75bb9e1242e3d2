#pragma once

#include <string>
#include <vector>

#include "geometry/base/progress.hpp"
#include "geometry/base/result.hpp"

namespace baywright::app {

/// Writes to standard output; a closed pipe is not an error.
void print(const std::string& text);
/// Whether something that was printed could not be written, for another reason than a closed pipe.
bool output_was_lost();
/// Errors, one line each, on standard error.
void print_errors(const std::vector<Error>& errors);
/// Notes about the work, not about its result: one line each, on standard error.
void print_notes(const std::vector<std::string>& notes);
/// Whether standard output is a terminal that wants colour (NO_COLOR and TERM=dumb switch it off).
bool wants_color();
/// Progress on standard error: one line that rewrites itself on a terminal, one line per step elsewhere. Ctrl+C
/// cancels it.
Progress console_progress();
/// Clears the progress line, so that what follows starts at the left.
void end_progress();

/// Ends the progress line, prints the errors, and gives the exit code: 130 when cancelled, else 2.
int report_failure(const std::vector<Error>& errors);

}  // namespace baywright::app
