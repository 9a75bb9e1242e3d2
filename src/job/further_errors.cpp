#include "job/further_errors.hpp"

#include <algorithm>
#include <set>

#include "geometry/base/atomic_file.hpp"
#include "geometry/base/words.hpp"
#include "job/file_access.hpp"
#include "job/job_file.hpp"
#include "job/job_problems.hpp"
#include "job/lay_out_ducts.hpp"
#include "job/port_of.hpp"
#include "job/read_part.hpp"

namespace baywright::job {
namespace {

class SecondLook {
 public:
  SecondLook(const JobReading& reading, const std::filesystem::path& folder, const ReadOptions& options)
      : reading_(reading), job_(reading.job), access_(folder, options.allowed_folders) {}

  std::vector<Error> run() {
    bodies();
    ports();
    files();
    sheet();
    clamps();
    ducts();
    return std::move(errors_);
  }

 private:
  /// Every body stands in the bay, moving or not: only its name is needed below.
  void bodies() {
    bay::Body vehicle;
    vehicle.id = bay::kVehicle;
    bay_.bodies.push_back(vehicle);
    bay_.units = job_.units;
    for (std::size_t i = 0; i < job_.bodies.size(); ++i) {
      const BodySpec& spec = job_.bodies[i];
      if (spec.id.empty() || spec.id == bay::kVehicle) continue;
      bay::Body body;
      body.id = spec.id;
      bay_.bodies.push_back(body);
      const std::string motion = item("/bodies", i) + "/motion";
      if (reading_.touches(motion)) continue;
      const auto built = bay::build_motion(spec.motion, job_.units);
      if (!built) errors_.push_back({built.error().code, place_in_job(motion), to_line(built.error())});
    }
  }

  void ports() {
    for (std::size_t i = 0; i < job_.ports.size(); ++i) {
      const PortSpec& spec = job_.ports[i];
      if (!reading_.touches(item("/ports", i)) && bay_.find_body(spec.body)) {
        bay_.ports.push_back(port_of(spec, bay_));
      }
    }
  }

  /// A file the job asks for from elsewhere is a matter of permission, not a mistake.
  bool may_be_looked_at(const std::string& file) const {
    const auto& outside = job_.outside_files;
    return !file.empty() &&
           (std::find(outside.begin(), outside.end(), file) == outside.end() || !access_.folder_to_allow(file));
  }

  void files() {
    for (std::size_t i = 0; i < job_.parts.size(); ++i) {
      const std::string pointer = item("/parts", i) + "/file";
      if (reading_.touches(pointer) || !may_be_looked_at(job_.parts[i].file)) continue;
      const auto found = access_.find(job_.parts[i].file, place_in_job(pointer));
      if (!found) errors_.push_back(found.error());
    }
  }

  void sheet() {
    if (reading_.touches("/sheet") || job_.sheet == "default" || !may_be_looked_at(job_.sheet)) return;
    const auto found = access_.find(job_.sheet, place_in_job("/sheet"));
    if (!found) {
      errors_.push_back(about_sheet(found.error()));
      return;
    }
    const auto text = read_file(found->path, kLargestText);
    if (!text) {
      errors_.push_back({text.error().code, job_.sheet, text.error().message});
      return;
    }
    const auto sheet = read_sheet(*text, job_.sheet);
    if (!sheet) errors_.insert(errors_.end(), sheet.error().begin(), sheet.error().end());
  }

  /// The table of tools and clamps, and the clamps of the job that are told by their places to be right.
  void clamps() {
    const bool built_in = job_.tools.empty() || job_.tools == "default";
    if (reading_.touches("/tools") || (!built_in && !may_be_looked_at(job_.tools))) return;
    catalog::Workshop workshop = catalog::usual_workshop();
    if (!built_in) {
      const auto found = access_.find(job_.tools, place_in_job("/tools"));
      if (!found) {
        errors_.push_back(about_tools(found.error()));
        return;
      }
      const auto text = read_file(found->path, kLargestText);
      if (!text) {
        errors_.push_back({text.error().code, job_.tools, text.error().message});
        return;
      }
      auto shop = read_workshop(*text, job_.tools);
      if (!shop) {
        errors_.insert(errors_.end(), shop.error().begin(), shop.error().end());
        return;
      }
      workshop = std::move(*shop);
    }
    for (const JobProblem& problem : not_in_workshop(job_, workshop)) {
      if (reading_.touches(problem.pointer)) continue;
      errors_.push_back({ErrorCode::bad_value, place_in_job(problem.pointer), problem.message});
    }
  }

  /// A duct can be laid out when all that is said of it is right and what it ends on is there.
  void ducts() {
    std::set<duct::DuctId> leave_out;
    const auto is_port = [&](const bay::PortId& id) {
      return std::any_of(bay_.ports.begin(), bay_.ports.end(), [&](const bay::Port& p) { return p.id == id; });
    };
    const auto is_duct = [&](const duct::DuctId& id) {
      return std::any_of(job_.ducts.begin(), job_.ducts.end(), [&](const duct::DuctSpec& d) { return d.id == id; });
    };
    for (std::size_t i = 0; i < job_.ducts.size(); ++i) {
      const duct::DuctSpec& spec = job_.ducts[i];
      bool good = !reading_.touches(item("/ducts", i));
      for (const duct::PortRef* end : {&spec.from, &spec.to}) {
        good = good && (end->duct.empty() ? is_port(end->port) : is_duct(end->duct));
      }
      if (!good) leave_out.insert(spec.id);
    }
    const auto laid_out = lay_out_ducts(job_.ducts, bay_, leave_out);
    if (!laid_out) errors_.insert(errors_.end(), laid_out.error().begin(), laid_out.error().end());
  }

  const JobReading& reading_;
  const Job& job_;
  FileAccess access_;
  bay::Bay bay_;
  std::vector<Error> errors_;
};

}  // namespace

std::vector<Error> further_errors(const JobReading& reading, const std::filesystem::path& folder,
                                  const ReadOptions& options) {
  if (!reading.examined) return {};
  return SecondLook(reading, folder, options).run();
}

}  // namespace baywright::job
