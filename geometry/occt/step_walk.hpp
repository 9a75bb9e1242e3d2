#pragma once

#include <TDocStd_Document.hxx>

#include "geometry/files/step_file.hpp"

// Only for .cpp files of geometry.

namespace baywright::occt {

/// Flattens the kernel's document into placed leaves: names, colours, layers, transforms. Leaves without faces and
/// loose curves are left out; `warnings` says so. `unit` stays as it is.
/// Throws what the kernel throws: call inside guard().
void walk_document(const Handle(TDocStd_Document) & document, StepModel& model);

}  // namespace baywright::occt
