#include <Interface_Static.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <STEPControl_Reader.hxx>
#include <TColStd_SequenceOfAsciiString.hxx>
#include <TDocStd_Document.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XSControl_WorkSession.hxx>

#include <algorithm>
#include <optional>
#include <thread>

#include "geometry/files/apart.hpp"
#include "geometry/files/step_file.hpp"
#include "geometry/files/step_precheck.hpp"
#include "geometry/files/step_several.hpp"
#include "geometry/occt/guard.hpp"
#include "geometry/occt/step_check.hpp"
#include "geometry/occt/step_pack.hpp"
#include "geometry/occt/step_progress.hpp"
#include "geometry/occt/step_walk.hpp"

namespace baywright {
namespace {

std::string declared_unit(STEPCAFControl_Reader& reader) {
  TColStd_SequenceOfAsciiString lengths, angles, solid_angles;
  reader.ChangeReader().FileUnits(lengths, angles, solid_angles);
  return lengths.IsEmpty() ? std::string() : lengths.First().ToCString();
}

tl::unexpected<Error> unparsable(const std::string& place) {
  return fail(ErrorCode::file_damaged, place, "the text of this STEP file cannot be parsed; export it again");
}

/// Files referred to are read by the kernel on its own, and what is wrong in them is not told.
std::optional<Error> damaged_reference(const std::filesystem::path& folder, const std::vector<std::string>& names) {
  for (const std::string& name : names) {
    STEPControl_Reader reader;
    if (reader.ReadFile((folder / name).c_str()) != IFSelect_RetDone) return unparsable(name).value();
    if (auto damage = occt::damaged_entity(reader.WS(), name)) return damage;
  }
  return std::nullopt;
}

/// Runs in a process of its own.
Result<StepModel> read(const std::filesystem::path& path, const StepReferences& references, const Progress& progress) {
  const std::string place = path.filename().string();
  STEPCAFControl_Reader reader;  // first: it registers the setting below
  Interface_Static::SetCVal("xstep.cascade.unit", "MM");
  XCAFDoc_ShapeTool::SetAutoNaming(Standard_False);  // a name nobody gave is no name
  reader.SetColorMode(Standard_True);
  reader.SetNameMode(Standard_True);
  reader.SetLayerMode(Standard_True);
  reader.SetPropsMode(Standard_False);
  if (reader.ReadFile(path.c_str()) != IFSelect_RetDone) return unparsable(place);
  StepModel model;
  model.unit = declared_unit(reader);
  const Handle(occt::KernelProgress) indicator = new occt::KernelProgress(progress);
  Handle(TDocStd_Document) document = new TDocStd_Document("BinXCAF");
  if (reader.Transfer(document, indicator->Start())) occt::walk_document(document, model);
  if (model.parts.empty()) {
    return fail(ErrorCode::no_shape, place,
                "holds no surface or solid; export the model as solids (AP203, AP214, AP242)");
  }
  // Only now: a file of another schema has no shape, whatever else may be said of it.
  if (auto damage = occt::damaged_entity(reader.Reader().WS(), place)) return tl::unexpected(*std::move(damage));
  if (auto damage = damaged_reference(path.parent_path(), references.present)) {
    return tl::unexpected(*std::move(damage));
  }
  return model;
}

/// Processor time after which the kernel is taken to hang: measured reading takes about 1 s per MB.
double limit_s(const std::filesystem::path& path, const StepReferences& references) {
  std::error_code ignored;
  auto bytes = static_cast<double>(std::filesystem::file_size(path, ignored));
  for (const std::string& name : references.present) {
    bytes += static_cast<double>(std::filesystem::file_size(path.parent_path() / name, ignored));
  }
  return 60 + 30e-6 * bytes;
}

Error broken(const std::string& place) {
  return {ErrorCode::file_damaged, place,
          "this STEP file is damaged in a way that breaks the kernel's reader; export it again"};
}

/// Second look at a file that broke the reader: parsed only, to name the entity.
Result<StepModel> look_again(const std::filesystem::path& path, const StepReferences& references,
                             const Progress& /*progress*/) {
  const std::string place = path.filename().string();
  STEPControl_Reader reader;
  if (reader.ReadFile(path.c_str()) != IFSelect_RetDone) return unparsable(place);
  if (auto damage = occt::damaged_entity(reader.WS(), place)) return tl::unexpected(*std::move(damage));
  if (auto damage = damaged_reference(path.parent_path(), references.present)) {
    return tl::unexpected(*std::move(damage));
  }
  return tl::unexpected(broken(place));
}

/// A file on its way through the kernel.
struct Reading {
  std::filesystem::path path;
  StepReferences references;
  std::optional<Result<StepModel>> model;
  std::string place() const { return path.filename().string(); }
};

using Step = Result<StepModel> (*)(const std::filesystem::path&, const StepReferences&, const Progress&);

/// Takes a step, each in a process of its own, with all files that are not settled yet.
void step_apart(std::vector<Reading>& readings, Step step, const Progress& progress) {
  std::vector<ApartWork> works;
  std::vector<Reading*> of_work;
  for (Reading& reading : readings) {
    if (reading.model) continue;
    const auto work = [&reading, step](const Progress& passed_on) {
      return occt::pack(
          occt::guard(reading.place(), [&] { return step(reading.path, reading.references, passed_on); }));
    };
    works.push_back({work, limit_s(reading.path, reading.references)});
    of_work.push_back(&reading);
  }
  const std::size_t cores = std::max(1U, std::thread::hardware_concurrency());
  const auto ends = run_each_apart(works, cores, occt::step_mutex(), progress);
  for (std::size_t i = 0; i < ends.size(); ++i) {
    Reading& reading = *of_work[i];
    if (!ends[i]) {
      reading.model = fail(ends[i].error().code, reading.place(), ends[i].error().message);
    } else if (ends[i]->cancelled) {
      reading.model = fail(ErrorCode::cancelled, reading.place(), "reading was stopped");
    } else if (ends[i]->finished) {
      reading.model = occt::guard(reading.place(), [&] { return occt::unpack(ends[i]->bytes); });
    }
  }
}

/// What is said about files that are not there.
void tell_missing(Reading& reading) {
  Result<StepModel>& model = *reading.model;
  const std::vector<std::string>& missing = reading.references.missing;
  if (!model && model.error().code == ErrorCode::no_shape && !missing.empty()) {
    model = fail(ErrorCode::no_shape, reading.place(),
                 "refers to \"" + missing.front() + "\", which is not in its folder; put it beside this file");
  }
  if (!model) return;
  for (const std::string& name : missing) {
    model->warnings.push_back("refers to \"" + name + "\", which is not in its folder: " + std::string(kPartMissing));
  }
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

Result<std::vector<std::string>> step_siblings(const std::filesystem::path& path) {
  const Result<StepText> text = precheck_step(path);
  if (!text) return tl::unexpected(text.error());
  Result<StepReferences> references = check_references(path, *text);
  if (!references) return tl::unexpected(references.error());
  return std::move(references->present);
}

std::vector<Result<StepModel>> read_steps(const std::vector<std::filesystem::path>& paths, const Progress& progress) {
  std::vector<Reading> readings;
  for (const std::filesystem::path& path : paths) {
    Reading reading{path, {}, {}};
    Result<StepReferences> references = [&]() -> Result<StepReferences> {
      const Result<StepText> text = precheck_step(path);
      if (!text) return tl::unexpected(text.error());
      return check_references(path, *text);
    }();
    if (references) reading.references = std::move(*references);
    if (!references) reading.model = tl::unexpected(references.error());
    progress.report("reading " + reading.place());
    readings.push_back(std::move(reading));
  }
  // The kernel follows empty pointers on damaged files: it must not be our process that dies of it.
  step_apart(readings, &read, progress);
  step_apart(readings, &look_again, progress);
  std::vector<Result<StepModel>> models;
  for (Reading& reading : readings) {
    if (!reading.model) reading.model = tl::unexpected(broken(reading.place()));
    tell_missing(reading);
    models.push_back(std::move(*reading.model));
  }
  return models;
}

Result<StepModel> read_step(const std::filesystem::path& path, const Progress& progress) {
  return std::move(read_steps({path}, progress).front());
}

}  // namespace baywright
