#include "geometry/occt/step_check.hpp"

#include <Interface_Check.hxx>
#include <StepData_StepModel.hxx>
#include <string_view>

namespace baywright::occt {
namespace {

bool holds(std::string_view text, std::string_view part) { return text.find(part) != std::string_view::npos; }

/// Files in everyday use have these.
bool is_harmless(std::string_view type, std::string_view note) {
  if (holds(note, "not a quoted String")) return true;                        // names
  if (holds(note, "(dimensions)")) return true;                               // the unit's kind tells them already
  if (holds(type, "StepDimTol_") || holds(type, "StepVisual_")) return true;  // tolerances, texts, styles
  // Representations list whatever a part carries; what the kernel does not know there is no solid or surface.
  return holds(type, "Representation") && holds(note, "illegal type") && holds(note, "item");
}

}  // namespace

std::optional<Error> damaged_entity(const Handle(XSControl_WorkSession) & session, const std::string& place) {
  const Handle(StepData_StepModel) model = Handle(StepData_StepModel)::DownCast(session->Model());
  if (model.IsNull()) return std::nullopt;
  for (int i = 1; i <= model->NbEntities(); ++i) {
    if (!model->IsErrorEntity(i)) continue;
    const Handle(Standard_Transient) entity = model->Value(i);
    const Handle(Interface_Check) notes = model->Check(i, Standard_True);
    for (int k = 1; k <= notes->NbFails(); ++k) {
      const std::string note = notes->CFail(k);
      if (is_harmless(entity->DynamicType()->Name(), note)) continue;
      return Error{ErrorCode::file_damaged, place + ": #" + std::to_string(model->IdentLabel(entity)),
                   "this entity is damaged (" + note + "), so the model would be incomplete; export the file again"};
    }
  }
  return std::nullopt;
}

}  // namespace baywright::occt
