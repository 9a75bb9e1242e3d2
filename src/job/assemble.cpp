#include "job/assemble.hpp"

#include <algorithm>
#include <optional>
#include <set>

#include "checks/check.hpp"
#include "geometry/base/atomic_file.hpp"
#include "geometry/base/near_word.hpp"
#include "geometry/base/words.hpp"
#include "job/bore_doubt.hpp"
#include "job/duct_places.hpp"
#include "job/file_access.hpp"
#include "job/further_errors.hpp"
#include "job/job_file.hpp"
#include "job/job_problems.hpp"
#include "job/job_reading.hpp"
#include "job/lay_out_ducts.hpp"
#include "job/node.hpp"
#include "job/one_error.hpp"
#include "job/part_loader.hpp"
#include "job/port_of.hpp"
#include "job/stock_file.hpp"

namespace baywright::job {
namespace fs = std::filesystem;
namespace {

constexpr const char* kFileName = "job.json";

std::string at(const std::string& list, std::size_t index) {
  return std::string(kFileName) + ": " + list + "/" + std::to_string(index);
}

/// Puts an installation together, collecting every error on the way.
class Assembly {
 public:
  Assembly(const Job& job, const fs::path& folder, const Progress& progress, const Installation* previous,
           const ReadOptions& options)
      : progress_(progress),
        access_(folder, options.allowed_folders),
        cache_(options.cache ? std::optional(folder) : std::nullopt),
        loader_(access_, progress, previous, cache_) {
    out_.job = job;
    out_.bay.units = job.units;
    out_.folder = folder;
  }

  ResultAll<Installation> run() {
    for (const JobProblem& problem : problems_of(out_.job)) {
      errors_.push_back({ErrorCode::bad_value, std::string(kFileName) + ": " + problem.pointer, problem.message});
    }
    const bool consistent = errors_.empty();
    ask_for_folders();
    add_bodies();
    add_attitudes_and_openings();
    if (consistent) add_ports();
    add_parts();
    add_sheet();
    add_workshop();
    add_stock();
    if (consistent && bodies_good_) add_ducts();
    if (progress_.cancelled()) return stopped();
    if (!errors_.empty()) return tl::unexpected(std::move(errors_));
    keep_for_next_time();
    doubt_ports();
    doubt_bores();
    loader_.conclude();
    for (std::size_t i = 0; i < out_.bay.parts.size(); ++i) {
      const bool confirmed = out_.job.parts[i].size_confirmed;
      out_.bay.parts[i].incomplete = loader_.incomplete(out_.job.parts[i]);
      out_.bay.parts[i].doubt = confirmed ? "" : loader_.doubt(out_.job.parts[i]);
    }
    note_unstated();
    if (out_.job.ducts.empty()) out_.warnings.emplace_back("the job has no duct, so there is nothing to check");
    out_.files = loader_.files();
    const auto more = loader_.warnings();
    out_.warnings.insert(out_.warnings.end(), more.begin(), more.end());
    if (const std::size_t count = loader_.outside_count(); count > 0) {
      out_.warnings.push_back("reads " + std::to_string(count) + (count == 1 ? " file" : " files") +
                              " outside its folder, as --allow-dir permits");
    }
    return std::move(out_);
  }

 private:
  static tl::unexpected<std::vector<Error>> stopped() { return only({ErrorCode::cancelled, "", "stopped"}); }

  /// What the job says it wants from elsewhere, and may not have, is one complaint with the way out; the parts made of
  /// it are passed over.
  void ask_for_folders() {
    std::vector<fs::path> folders;
    for (const std::string& named : out_.job.outside_files) {
      if (const auto folder = access_.folder_to_allow(named)) {
        folders.push_back(*folder);
        withheld_.insert(named);
      }
    }
    if (folders.empty()) return;
    errors_.push_back({ErrorCode::bad_value, std::string(kFileName) + ": /outside_files",
                       "the job wants to read " + std::to_string(withheld_.size()) +
                           (withheld_.size() == 1 ? " file" : " files") +
                           " outside its folder; if you trust it, say so with " + allow_option(std::move(folders))});
  }

  void add_bodies() {
    bay::Body vehicle;
    vehicle.id = bay::kVehicle;
    vehicle.name = "Vehicle";
    out_.bay.bodies.push_back(std::move(vehicle));
    for (std::size_t i = 0; i < out_.job.bodies.size(); ++i) {
      const BodySpec& spec = out_.job.bodies[i];
      if (spec.id == bay::kVehicle) {
        if (!spec.name.empty()) out_.bay.bodies.front().name = spec.name;
        continue;
      }
      auto built = bay::build_motion(spec.motion, out_.job.units);
      if (!built) {
        bodies_good_ = false;
        errors_.push_back({built.error().code, at("/bodies", i) + "/motion", to_line(built.error())});
        continue;
      }
      bay::Body body;
      body.id = spec.id;
      body.name = spec.name.empty() ? spec.id.value : spec.name;
      body.spec = spec.motion;
      body.motion = std::move(built->set);
      body.motion_assumed = built->assumed;
      body.motion_fit_residual_mm = built->fit_residual_mm;
      for (const std::string& line : built->warnings) out_.warnings.push_back(spec.id.value + ": " + line);
      out_.bay.bodies.push_back(std::move(body));
    }
    out_.bay.motions_combined = out_.job.motions_combined;
  }

  void add_attitudes_and_openings() {
    out_.bay.attitudes.push_back({"level", Angle(), Angle()});
    out_.bay.ground = out_.job.ground;
    out_.bay.attitudes_stated = !out_.job.attitudes.empty();
    for (const bay::Attitude& attitude : out_.job.attitudes) out_.bay.attitudes.push_back(attitude);
    for (const OpeningSpec& spec : out_.job.openings) {
      out_.bay.openings.push_back({spec.id, spec.name.empty() ? spec.id.value : spec.name, spec.outline_mm});
    }
  }

  void add_ports() {
    for (std::size_t i = 0; i < out_.job.ports.size(); ++i) {
      const PortSpec& spec = out_.job.ports[i];
      rides_with_its_part(spec, at("/ports", i));
      // A body missing here has been complained about.
      out_.bay.ports.push_back(port_of(spec, out_.bay));
    }
  }

  /// What belongs to a part moves with it; two bodies for them would make one of the two motions wrong.
  void rides_with_its_part(const PortSpec& spec, const std::string& where) {
    if (!spec.part) return;
    const auto body = [&](const bay::BodyId& id) { return out_.bay.find_body(id).value_or(0); };
    const auto name = [&](const bay::BodyId& id) {
      return out_.bay.bodies[static_cast<std::size_t>(body(id))].id.value;
    };
    for (const PartSpec& part : out_.job.parts) {
      if (part.id != *spec.part || body(part.body) == body(spec.body)) continue;
      errors_.push_back({ErrorCode::bad_value, where + "/body",
                         "the port rides on " + name(spec.body) + ", its part " + part.id.value + " on " +
                             name(part.body) + "; a port moves with its part, name the same body for both"});
    }
  }

  void add_parts() {
    std::vector<PartLoader::Wish> wishes;
    for (std::size_t i = 0; i < out_.job.parts.size(); ++i) {
      const PartSpec& spec = out_.job.parts[i];
      if (!withheld_.contains(spec.file)) wishes.push_back({&spec, "/parts/" + std::to_string(i)});
    }
    auto parts = loader_.load(wishes);
    for (std::size_t i = 0; i < parts.size(); ++i) {
      const PartSpec& spec = *wishes[i].spec;
      auto& part = parts[i];
      if (!part) {
        // Parts of one file have its mistakes in common.
        for (const Error& error : part.error()) {
          if (std::find(errors_.begin(), errors_.end(), error) == errors_.end()) errors_.push_back(error);
        }
        continue;
      }
      part->id = spec.id;
      part->name = spec.name.empty() ? spec.id.value : spec.name;
      part->body = out_.bay.find_body(spec.body).value_or(0);
      part->part_class = spec.part_class;
      part->surface_temperature = spec.surface_temperature;
      part->uncertainty_mm = spec.uncertainty_mm;
      part->uncertainty_source = spec.uncertainty_source;
      part->alignment = spec.alignment;
      part->removed_first = spec.removed_first;
      out_.bay.parts.push_back(std::move(*part));
    }
  }

  void keep_for_next_time() {
    progress_.report("keeping shapes for the next opening");
    cache_.write();
    out_.notes = cache_.notes();
    out_.cached_parts = loader_.cached_count();
  }

  void add_sheet() {
    if (out_.job.sheet.empty()) {
      out_.warnings.emplace_back("the job names no requirement sheet, so there are no limits to check against");
      return;
    }
    if (withheld_.contains(out_.job.sheet)) return;
    std::string text = default_sheet_text();
    if (out_.job.sheet != "default") {
      auto bytes = loader_.read_text(out_.job.sheet, "/sheet", kLargestText);
      if (!bytes) {
        errors_.push_back(about_sheet(bytes.error()));
        return;
      }
      text = std::move(*bytes);
    }
    auto sheet = read_sheet(text, out_.job.sheet == "default" ? "default sheet" : out_.job.sheet);
    if (sheet) {
      out_.sheet = std::move(*sheet);
    } else {
      errors_.insert(errors_.end(), sheet.error().begin(), sheet.error().end());
    }
  }

  void add_workshop() {
    out_.workshop = catalog::usual_workshop();
    if (!out_.job.tools.empty() && out_.job.tools != "default") {
      if (withheld_.contains(out_.job.tools)) return;
      const auto bytes = loader_.read_text(out_.job.tools, "/tools", kLargestText);
      if (!bytes) {
        errors_.push_back(about_tools(bytes.error()));
        return;
      }
      auto shop = read_workshop(*bytes, out_.job.tools);
      if (!shop) {
        errors_.insert(errors_.end(), shop.error().begin(), shop.error().end());
        return;
      }
      out_.workshop = std::move(*shop);
    }
    for (const JobProblem& problem : not_in_workshop(out_.job, out_.workshop)) {
      errors_.push_back({ErrorCode::bad_value, place_in_job(problem.pointer), problem.message});
    }
  }

  /// After the workshop, which has the clamps it names.
  void add_stock() {
    const std::string& named = out_.job.routing.stock;
    if (named.empty() || withheld_.contains(named)) return;
    const auto bytes = loader_.read_text(named, "/routing/stock", kLargestText);
    if (!bytes) {
      errors_.push_back(bytes.error());
      return;
    }
    auto stock = read_stock(*bytes, named, out_.workshop);
    if (stock) {
      out_.stock = std::move(*stock);
    } else {
      errors_.insert(errors_.end(), stock.error().begin(), stock.error().end());
    }
  }

  void add_ducts() {
    auto ducts = lay_out_ducts(out_.job.ducts, out_.bay);
    if (ducts) {
      out_.ducts = std::move(*ducts);
    } else {
      errors_.insert(errors_.end(), ducts.error().begin(), ducts.error().end());
    }
  }

  /// Uncertainties the job leaves out. Usual figures stand in for them (measure/tolerances.hpp); a reader has to know.
  void note_unstated() {
    const std::string end =
        " is not stated; a usual figure stands in for it, and a finding that hangs on it is undecided";
    std::vector<std::string> parts;
    for (const bay::Part& part : out_.bay.parts) {
      if (!part.uncertainty_mm) parts.push_back(part.id.value);
    }
    if (!parts.empty()) {
      out_.warnings.push_back("uncertainty_mm of " + std::string(parts.size() == 1 ? "part " : "parts ") +
                              joined(parts) + end);
    }
    for (const duct::DuctSpec& spec : out_.job.ducts) {
      if (!spec.bend_tolerance_mm) out_.warnings.push_back("bend_tolerance_mm of duct " + spec.id.value + end);
      if (!spec.fitting_tolerance_mm) out_.warnings.push_back("fitting_tolerance_mm of duct " + spec.id.value + end);
    }
    note_unstated_bodies();
  }

  /// What nobody said to move stands with the vehicle: the wrong way round for a part of the engine.
  void note_unstated_bodies() {
    const bool moving = std::any_of(out_.bay.bodies.begin(), out_.bay.bodies.end(),
                                    [](const bay::Body& body) { return body.motion.moves(); });
    if (!moving) return;
    std::vector<std::string> parts, ports;
    for (const PartSpec& spec : out_.job.parts) {
      if (spec.body.empty()) parts.push_back(spec.id.value);
    }
    for (const PortSpec& spec : out_.job.ports) {
      if (spec.body.empty()) ports.push_back(spec.id.value);
    }
    note_without_body("part", parts);
    note_without_body("port", ports);
  }

  void note_without_body(const std::string& what, const std::vector<std::string>& ids) {
    if (ids.empty()) return;
    out_.warnings.push_back("no body is stated for " + what + (ids.size() == 1 ? " " : "s ") + joined(ids) +
                            ", taken to stand still with the vehicle; say \"body\": \"vehicle\" or name "
                            "the body that carries it");
  }

  /// Ports that do not fit the part they are said to belong to.
  void doubt_ports() {
    for (const bay::Port& port : out_.bay.ports) {
      const bay::Part* part = port.part ? out_.bay.find_part(*port.part) : nullptr;
      if (!part) continue;
      const double near_enough = port.outer_diameter_mm + 4 * part->uncertainty_mm.value_or(0);
      const auto nearest = part->tree.nearest(port.center_mm);
      if (nearest && nearest->distance_mm > near_enough) {
        out_.warnings.push_back("port " + port.id.value + " is " + length_text(nearest->distance_mm, out_.bay.units) +
                                " away from its part " + part->id.value + "; is one of them misplaced?");
      }
    }
  }

  /// Bores that can be, but hardly are.
  void doubt_bores() {
    const auto doubt = [&](const std::string& whose, double bore_mm, double outer_diameter_mm) {
      const std::string line = bore_doubt(bore_mm, outer_diameter_mm, out_.bay.units);
      if (!line.empty()) out_.warnings.push_back(whose + ": " + line);
    };
    for (const PortSpec& port : out_.job.ports) doubt("port " + port.id.value, port.bore_mm, port.outer_diameter_mm);
    for (const duct::DuctSpec& duct : out_.job.ducts) {
      for (const duct::Fitting& fitting : duct.fittings) {
        const auto* branch = std::get_if<duct::BranchPort>(&fitting.kind);
        if (!branch) continue;
        doubt("branch port " + fitting.id.value + " of duct " + duct.id.value, branch->bore_mm,
              branch->outer_diameter_mm);
      }
    }
  }

  const Progress& progress_;
  FileAccess access_;
  PartCache cache_;
  PartLoader loader_;
  Installation out_;
  std::vector<Error> errors_;
  std::set<std::string> withheld_;  ///< files outside that the job asks for and the user has not allowed
  bool bodies_good_ = true;
};

std::optional<Error> not_a_folder(const ReadOptions& options) {
  std::error_code ignored;
  for (const fs::path& path : options.allowed_folders) {
    if (!fs::is_directory(path, ignored)) {
      return Error{ErrorCode::file_missing, path.string(), "is to be allowed for reading, but there is no such folder"};
    }
  }
  return std::nullopt;
}

/// Adds the line of the file to places that are JSON pointers, and the pointer to errors that name a duct's parts.
void add_lines(std::vector<Error>& errors, const Job& job, const std::string& text) {
  const auto root = parse_json(text, kFileName);
  if (!root) return;
  const std::string prefix = std::string(kFileName) + ": ";
  for (Error& error : errors) {
    if (const auto place = place_in_ducts(job, error)) {
      error.message = to_line(error);
      error.where = prefix + *place;
    }
    if (!error.where.starts_with(prefix + '/')) continue;
    error.where += " (line " + std::to_string(line_of(*root, error.where.substr(prefix.size()))) + ")";
  }
}

/// A job file may have any name; complaints begin with it.
tl::unexpected<std::vector<Error>> about_file(std::vector<Error> errors, const fs::path& file) {
  const std::string prefix = std::string(kFileName) + ": ";
  for (Error& error : errors) {
    if (error.where.starts_with(prefix)) error.where.replace(0, prefix.size() - 2, file.filename().string());
  }
  return tl::unexpected(std::move(errors));
}

}  // namespace

checks::Judged Installation::judged() const {
  checks::Surroundings surroundings{job.service_points, job.filter_elements, {}};
  for (const PartSpec& part : job.parts) {
    if (part.shielded_by) surroundings.shields.push_back({part.id, *part.shielded_by});
  }
  return {bay, ducts, job.flow, sheet, workshop, job.answers, std::move(surroundings)};
}

ResultAll<Installation> assemble(const Job& job, const fs::path& folder, const Progress& progress,
                                 const Installation* previous, const ReadOptions& options) {
  if (auto problem = not_a_folder(options)) return only(*std::move(problem));
  const bool same_folder = previous && previous->folder == folder;
  return Assembly(job, folder, progress, same_folder ? previous : nullptr, options).run();
}

ResultAll<Installation> open_job(const fs::path& folder, const Progress& progress, const ReadOptions& options) {
  std::error_code error;
  const bool is_folder = fs::is_directory(folder, error);
  const fs::path file = is_folder ? folder / kFileName : folder;
  const fs::path home = is_folder ? folder : file.parent_path();
  progress.report("reading " + file.filename().string());
  const auto text = read_file(file, kLargestText);
  if (!text) return only(text.error());
  const fs::path base = home.empty() ? fs::path(".") : home;
  const JobReading reading = read_as_far_as_possible(*text, kFileName);
  if (!reading.errors.empty()) {
    std::vector<Error> further = further_errors(reading, base, options);
    add_lines(further, reading.job, *text);
    std::vector<Error> errors = reading.errors;
    errors.insert(errors.end(), further.begin(), further.end());
    return about_file(std::move(errors), file);
  }
  auto installation = assemble(reading.job, base, progress, nullptr, options);
  if (!installation) {
    std::vector<Error> errors = installation.error();
    add_lines(errors, reading.job, *text);
    return about_file(std::move(errors), file);
  }
  InputFile own{file.filename().string(), sha256_hex(*text), text->size(), fs::last_write_time(file, error), {}, {}};
  installation->files.insert(installation->files.begin(), std::move(own));
  return installation;
}

}  // namespace baywright::job
