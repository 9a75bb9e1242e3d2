#pragma once

#include <string>

namespace baywright::checks {

/// The part of docs/checks.md that follows from the registry: one section for each check with its question, exact
/// definition, unit, sense, severity, services and inputs. Markdown, lines unwrapped.
std::string check_sections();

}  // namespace baywright::checks
