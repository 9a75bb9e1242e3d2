#include "app/shapes_command.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <filesystem>
#include <map>
#include <optional>
#include <set>

#include "app/console.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "geometry/files/mesh_file.hpp"
#include "geometry/files/step_file.hpp"
#include "geometry/files/step_name.hpp"
#include "job/node.hpp"

namespace baywright::app {
namespace {

using job::Node;

struct FileUnit {
  const char* word;
  double mm;
};
constexpr std::array kFileUnits{FileUnit{"mm", 1}, FileUnit{"cm", 10}, FileUnit{"m", 1000},
                                FileUnit{"in", kMillimetresPerInch}, FileUnit{"ft", 12 * kMillimetresPerInch}};
/// How finely a shape is turned into triangles when a part does not say.
constexpr double kChordError_mm = 0.1;

std::optional<double> mm_per_unit(const std::string& word) {
  for (const FileUnit& unit : kFileUnits) {
    if (word == unit.word) return unit.mm;
  }
  return std::nullopt;
}

DisplayUnits shown_in(const std::string& word) {
  DisplayUnits units;
  if (word == "in" || word == "ft") units.length = LengthUnit::inch;
  return units;
}

std::string size_text(const Aabb& box, const DisplayUnits& units) {
  if (box.empty()) return "no extent";
  const Vec3 size = box.size();
  return format_number(size.x(), Unit::mm, units) + " x " + format_number(size.y(), Unit::mm, units) + " x " +
         format(size.z(), Unit::mm, units);
}

std::string point_text(const Vec3& p, const DisplayUnits& units) {
  std::string text = "(";
  text += format_number(p.x(), Unit::mm, units) + ", " + format_number(p.y(), Unit::mm, units) + ", ";
  return text += format_number(p.z(), Unit::mm, units) + ")";
}

/// ", from (0.0, 0.0, 0.0) to (10.0, 20.0, 30.0)": its box, in the file's own frame.
std::string place_text(const Aabb& box, const DisplayUnits& units) {
  return box.empty() ? "" : ", from " + point_text(box.lo, units) + " to " + point_text(box.hi, units);
}

/// "Rocker cover (left)" -> "rocker-cover-left"; unique among `taken`.
std::string id_of(const std::string& name, std::set<std::string>& taken) {
  constexpr std::size_t kLongest = 56;
  std::string id;
  for (const char c : name) {
    if (std::isalnum(static_cast<unsigned char>(c))) {
      id += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    } else if (!id.empty() && id.back() != '-') {
      id += '-';
    }
  }
  id = id.substr(0, kLongest);
  while (!id.empty() && id.back() == '-') id.pop_back();
  if (id.empty()) id = "part";
  std::string unique = id;
  for (int i = 2; !taken.insert(unique).second; ++i) unique = id + "-" + std::to_string(i);
  return unique;
}

/// One entry of the job's list of parts, on one line.
std::string entry(const std::string& id, const std::string& file, const std::string& select,
                  std::optional<double> mm_per_unit) {
  const auto text = [](const std::string& value) {
    std::string out = job::to_json(Node::of(value));
    while (!out.empty() && out.back() == '\n') out.pop_back();
    return out;
  };
  std::string line = "{ \"id\": " + text(id) + ", \"file\": " + text(file);
  if (!select.empty()) line += ", \"select\": [" + text(select) + "]";
  if (mm_per_unit) {
    std::string number = job::to_json(Node::of(*mm_per_unit));
    while (!number.empty() && number.back() == '\n') number.pop_back();
    line += ", \"mm_per_unit\": " + number;
  }
  return line + " }";
}

std::string padded(std::string text, std::size_t width) {
  text.resize(std::max(width, text.size()), ' ');
  return text;
}

int show_step(const ShapesOptions& options, const std::string& file, const Progress& progress) {
  const Result<StepModel> model = read_step(options.file, progress);
  if (!model) return report_failure({model.error()});
  const DisplayUnits units = shown_in(options.unit);
  std::map<std::string, int> named;
  for (const StepPart& part : model->parts) ++named[part.name];
  std::set<std::string> ids;
  std::vector<std::string> selects, entries;
  std::size_t widest = 0;
  for (const StepPart& part : model->parts) {
    // The name where it tells the shape, else the path, which always does.
    selects.push_back(!part.name.empty() && named[part.name] == 1 ? part.name : part.path);
    entries.push_back(entry(id_of(part.name.empty() ? part.path : part.name, ids), file, selects.back(), std::nullopt));
    widest = std::max(widest, in_quotes(selects.back()).size());
  }
  if (options.entries) {
    end_progress();
    print(joined(entries, ",\n") + "\n");
    return 0;
  }
  const std::size_t count = model->parts.size();
  std::string text = file + ": STEP model, unit " + (model->unit.empty() ? "not declared" : model->unit) +
                     " (read as declared), " + std::to_string(count) + (count == 1 ? " shape" : " shapes") + "\n";
  for (std::size_t i = 0; i < count; ++i) {
    progress.report("triangles", static_cast<double>(i) / static_cast<double>(count));
    if (progress.cancelled()) return report_failure({{ErrorCode::cancelled, "", "stopped"}});
    const Solid& shape = model->parts[i].shape;
    const auto mesh = tessellate(shape, kChordError_mm);
    const int solids = shape.solid_count();
    text += "  " + padded(in_quotes(selects[i]), widest) + "  " + size_text(shape.bounds(), units) +
            place_text(shape.bounds(), units) + ", " +
            (solids == 0 ? "open surface" : std::to_string(solids) + (solids == 1 ? " solid" : " solids")) + ", " +
            std::to_string(shape.face_count()) + " faces, " +
            (mesh ? std::to_string(mesh->triangles.size()) + " triangles" : "no triangles: " + mesh.error().message) +
            "\n";
  }
  for (const std::string& warning : model->warnings) text += "! " + warning + "\n";
  end_progress();
  print(text + "A part of the job takes what \"select\" names, without it all shapes. Entries to paste: --entries\n");
  return 0;
}

int show_scan(const ShapesOptions& options, const std::string& file, const Progress& progress) {
  const std::optional<double> stated = mm_per_unit(options.unit);
  const Result<ScanFile> scan = read_scan(options.file, {.mm_per_unit = stated.value_or(1)}, progress);
  if (!scan) return report_failure({scan.error()});
  end_progress();
  const auto* mesh = std::get_if<TriMesh>(&scan->shape);
  const auto* cloud = std::get_if<PointCloud>(&scan->shape);
  const Aabb box = mesh ? bounds(*mesh) : bounds(*cloud);
  std::set<std::string> ids;
  if (options.entries) {
    if (!stated) {
      return report_failure(
          {{ErrorCode::bad_usage, options.file,
            "states no unit, and an entry needs one; say it with --unit (" + joined(shape_units()) + ")"}});
    }
    print(entry(id_of(std::filesystem::path(file).stem().string(), ids), file, "", stated) + "\n");
    return 0;
  }
  std::string text = file + ": " + scan->format + ", " +
                     (mesh ? std::to_string(mesh->triangles.size()) + " triangles"
                           : std::to_string(cloud->points.size()) + " points") +
                     ", no unit declared\n";
  if (stated) {
    text += "  read in " + options.unit + ": " + size_text(box, shown_in(options.unit)) +
            place_text(box, shown_in(options.unit)) + "\n";
    const std::string doubt = size_doubt(box, *stated);
    if (!doubt.empty()) text += "! " + doubt + "\n";
  } else {
    for (const FileUnit& unit : kFileUnits) {
      Aabb scaled;
      scaled.grow(Vec3(unit.mm * box.lo));
      scaled.grow(Vec3(unit.mm * box.hi));
      const bool likely = size_doubt(scaled, unit.mm).empty();
      text += "  if in " + padded(unit.word, 2) + "  " + size_text(scaled, shown_in(unit.word)) +
              (likely ? place_text(scaled, shown_in(unit.word)) : "   (unlikely for a vehicle bay)") + "\n";
    }
  }
  for (const std::string& warning : scan->warnings) text += "! " + warning + "\n";
  print(text +
        "A part of the job takes the whole file and states the unit in mm_per_unit. Entry to paste: --unit U "
        "--entries\n");
  return 0;
}

}  // namespace

std::vector<std::string> shape_units() {
  std::vector<std::string> words;
  for (const FileUnit& unit : kFileUnits) words.emplace_back(unit.word);
  return words;
}

int run_shapes(const ShapesOptions& options) {
  const Progress progress = console_progress();
  const std::string file = std::filesystem::path(options.file).filename().string();
  return is_step_name(options.file) ? show_step(options, file, progress) : show_scan(options, file, progress);
}

}  // namespace baywright::app
