#include <Interface_Static.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <STEPControl_Reader.hxx>
#include <TColStd_SequenceOfAsciiString.hxx>
#include <TDocStd_Document.hxx>
#include <XCAFDoc_ShapeTool.hxx>

#include "geometry/files/step_file.hpp"
#include "geometry/files/step_precheck.hpp"
#include "geometry/occt/guard.hpp"
#include "geometry/occt/step_progress.hpp"
#include "geometry/occt/step_walk.hpp"

namespace baywright {
namespace {

std::string declared_unit(STEPCAFControl_Reader& reader) {
  TColStd_SequenceOfAsciiString lengths, angles, solid_angles;
  reader.ChangeReader().FileUnits(lengths, angles, solid_angles);
  return lengths.IsEmpty() ? std::string() : lengths.First().ToCString();
}

Result<StepModel> read(const std::filesystem::path& path, const Progress& progress) {
  const std::string place = path.filename().string();
  const std::scoped_lock lock(occt::step_mutex());
  Interface_Static::SetCVal("xstep.cascade.unit", "MM");
  XCAFDoc_ShapeTool::SetAutoNaming(Standard_False);  // a name nobody gave is no name
  STEPCAFControl_Reader reader;
  reader.SetColorMode(Standard_True);
  reader.SetNameMode(Standard_True);
  reader.SetLayerMode(Standard_True);
  reader.SetPropsMode(Standard_False);
  progress.report("reading " + place);
  if (reader.ReadFile(path.c_str()) != IFSelect_RetDone) {
    return fail(ErrorCode::file_damaged, place, "the text of this STEP file cannot be parsed; export it again");
  }
  if (progress.cancelled()) return fail(ErrorCode::cancelled, place, "reading was stopped");
  StepModel model;
  model.unit = declared_unit(reader);
  const Handle(TDocStd_Document) document = new TDocStd_Document("BinXCAF");
  const Handle(occt::KernelProgress) indicator = new occt::KernelProgress(progress);
  Handle(TDocStd_Document) target = document;
  const bool transferred = reader.Transfer(target, indicator->Start());
  if (progress.cancelled()) return fail(ErrorCode::cancelled, place, "reading was stopped");
  if (transferred) occt::walk_document(document, model);
  if (model.parts.empty()) {
    return fail(ErrorCode::no_shape, place,
                "holds no surface or solid; export the model as solids (AP203, AP214, AP242)");
  }
  return model;
}

}  // namespace

int StepModel::solid_count() const {
  int n = 0;
  for (const StepPart& part : parts) n += part.shape.solid_count();
  return n;
}

int StepModel::face_count() const {
  int n = 0;
  for (const StepPart& part : parts) n += part.shape.face_count();
  return n;
}

Result<StepModel> read_step(const std::filesystem::path& path, const Progress& progress) {
  const Result<StepText> text = precheck_step(path);
  if (!text) return tl::unexpected(text.error());
  const Result<StepReferences> references = check_references(path, *text);
  if (!references) return tl::unexpected(references.error());
  Result<StepModel> model = occt::guard(path.filename().string(), [&] { return read(path, progress); });
  if (!model) {
    if (model.error().code == ErrorCode::no_shape && !references->missing.empty()) {
      return fail(
          ErrorCode::no_shape, path.filename().string(),
          "refers to \"" + references->missing.front() + "\", which is not in its folder; put it beside this file");
    }
    return model;
  }
  for (const std::string& name : references->missing) {
    model->warnings.push_back("refers to \"" + name +
                              "\", which is not in its folder: that part of the model is missing");
  }
  return model;
}

}  // namespace baywright
