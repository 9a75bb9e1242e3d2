#pragma once

#include <XSControl_WorkSession.hxx>
#include <optional>
#include <string>

#include "geometry/base/result.hpp"

// Only for .cpp files of geometry.

namespace baywright::occt {

/// First entity of a parsed file that is damaged: a reference to nothing or to something of a wrong kind, a missing or
/// wrong parameter. The kernel goes on after such a note and leaves out what hangs on the entity, so a model with one
/// may be incomplete. Notes that cost nothing (names, dimensions of units, PMI, texts of drawings) do not count.
std::optional<Error> damaged_entity(const Handle(XSControl_WorkSession) & session, const std::string& place);

}  // namespace baywright::occt
