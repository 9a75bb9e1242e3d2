#include "measure/chord_error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "geometry/base/unit.hpp"
#include "measure/clearance_pairs.hpp"

namespace baywright::measure {
namespace {

constexpr int kRounds = 4;
constexpr double kFinerBy = 4;
constexpr std::size_t kMostFaces = 24;

using Faces = std::set<std::uint32_t>;  ///< numbers in the part's mesh

bool hangs_on(const PairClearance& pair, double need_mm, double chord_error_mm) {
  return !pair.inside && pair.value.lowest() < need_mm && pair.value.lowest() + chord_error_mm >= need_mm;
}

/// The part with some triangles of its mesh only.
bay::Part without(const bay::Part& part, const Faces& faces) {
  auto mesh = std::make_shared<TriMesh>(*part.mesh);
  mesh->triangles.clear();
  mesh->face.clear();
  for (std::size_t i = 0; i < part.mesh->triangles.size(); ++i) {
    if (faces.contains(part.mesh->face[i])) continue;
    mesh->triangles.push_back(part.mesh->triangles[i]);
    mesh->face.push_back(part.mesh->face[i]);
  }
  bay::Part out = part;
  out.tree = TriTree::over(*mesh);
  out.mesh = std::move(mesh);
  return out;
}

/// These faces of the part, meshed again.
Result<bay::Part> meshed_again(const bay::Part& part, const Faces& faces, double target_mm) {
  std::vector<TriMesh> meshes;
  std::uint32_t first = 0;
  for (const Solid& shape : part.shapes) {
    const auto count = static_cast<std::uint32_t>(shape.face_count());
    std::vector<std::uint32_t> own;
    for (const std::uint32_t face : faces) {
      if (face >= first && face < first + count) own.push_back(face - first);
    }
    first += count;
    if (own.empty()) continue;
    auto mesh = tessellate_faces(shape, own, target_mm);
    if (!mesh) return tl::unexpected(mesh.error());
    meshes.push_back(std::move(*mesh));
  }
  bay::Part out = part;
  out.mesh = std::make_shared<const TriMesh>(merged(meshes));
  out.tree = TriTree::over(*out.mesh);
  return out;
}

/// One pair whose verdict hangs on the chord error.
class Settling {
 public:
  Settling(const bay::Bay& bay, const duct::Duct& duct, const PairTask& task, bool over_motion,
           const ClearanceOptions& options, const Progress& progress)
      : bay_(bay),
        duct_(duct),
        task_(task),
        options_(options),
        progress_(progress),
        part_(bay.parts[static_cast<std::size_t>(task.part)]),
        kinematics_(running_kinematics(bay)),
        whole_(pair_setting(bay, kinematics_, duct, task, over_motion)) {}

  void run(PairClearance& pair, double need_mm) {
    const double coarse_mm = part_.chord_error_mm();
    Faces faces = {nearest_face(part_)};
    std::string trouble;
    double reached_mm = coarse_mm;
    for (int round = 1; round <= kRounds && hangs_on(pair, need_mm, bound_mm_); ++round) {
      const auto fine = meshed_again(part_, faces, coarse_mm / std::pow(kFinerBy, round));
      if (!fine) {
        trouble = fine.error().message;
        break;
      }
      reached_mm = fine->chord_error_mm();
      const Bracket near = bracket_of(*fine);
      if (!measure_rest(pair, *fine, near, faces, need_mm)) return;  // cancelled
    }
    if (!hangs_on(pair, need_mm, bound_mm_)) return;
    std::string line = "hangs on how finely the part is meshed: " + std::to_string(faces.size()) +
                       " faces near it were meshed to " + length_text(reached_mm, duct_.layout.units) +
                       " and it is still open";
    if (!trouble.empty()) line += " (" + trouble + ")";
    pair.value.note += (pair.value.note.empty() ? "" : "; ") + line;
  }

 private:
  PairSetting setting_of(const bay::Part& part) const {
    return {whole_.carriage, part, whole_.same_carrier, whole_.moving};
  }
  Bracket bracket_of(const bay::Part& part) const {
    return pair_bracket(kinematics_, setting_of(part), task_.shapes, options_, progress_);
  }
  std::uint32_t nearest_face(const bay::Part& part) const {
    const Bracket bracket = bracket_of(part);
    return bracket.beyond_range ? 0 : part.mesh->face[bracket.triangle];
  }

  /// The rest of the part beside the finer faces; while it is the rest that hangs, its nearest faces join them for the
  /// next round. Writes what is known now.
  bool measure_rest(PairClearance& pair, const bay::Part& fine, const Bracket& near, Faces& faces, double need_mm) {
    const double fine_mm = fine.chord_error_mm(), coarse_mm = part_.chord_error_mm();
    bool first = true;
    while (true) {
      if (progress_.cancelled()) return false;
      const bay::Part rest = without(part_, faces);
      const Bracket far = rest.tree.empty() ? beyond() : bracket_of(rest);
      if (first) take(pair, fine, near, fine_mm, rest, far, coarse_mm);
      first = false;
      const double guarded = far.lo_mm - coarse_mm - (pair.value.band.low() - bound_mm_);
      if (far.beyond_range || guarded >= need_mm || faces.size() >= kMostFaces) break;
      faces.insert(rest.mesh->face[far.triangle]);
    }
    return true;
  }

  Bracket beyond() const {
    Bracket out;
    out.lo_mm = options_.range_mm;
    out.hi_mm = std::numeric_limits<double>::infinity();
    out.beyond_range = true;
    return out;
  }

  void take(PairClearance& pair, const bay::Part& fine, const Bracket& near, double fine_mm, const bay::Part& rest,
            const Bracket& far, double coarse_mm) {
    const bool by_near = near.hi_mm <= far.hi_mm;
    Bracket both = by_near ? near : far;
    both.lo_mm = std::min(near.lo_mm, far.lo_mm);
    both.beyond_range = near.beyond_range && far.beyond_range;
    // The true surface lies at most fine_mm outside the one and coarse_mm outside the other.
    bound_mm_ = std::max({0.0, both.lo_mm - (near.lo_mm - fine_mm), both.lo_mm - (far.lo_mm - coarse_mm)});
    const std::string before = pair.value.note;
    const bool inside = pair.inside;
    pair = pair_clearance(bay_, kinematics_, duct_, task_, setting_of(by_near ? fine : rest), both);
    pair.inside = inside;
    pair.value.note = before;
    Band band;
    for (const Contribution& c : pair.value.band.contributions()) {
      if (c.kind != Contribution::Kind::bound) band.add(c);
    }
    band.add({"chord error of the triangles, those near it meshed finer", Contribution::Kind::bound, bound_mm_, 0, ""});
    pair.value.band = band;
  }

  const bay::Bay& bay_;
  const duct::Duct& duct_;
  const PairTask& task_;
  const ClearanceOptions& options_;
  const Progress& progress_;
  const bay::Part& part_;
  const Kinematics kinematics_;
  const PairSetting whole_;
  double bound_mm_ = part_.chord_error_mm();
};

}  // namespace

void settle_chord_error(const bay::Bay& bay, const duct::Duct& duct, bool over_motion, const ClearanceNeedOf& need,
                        const ClearanceOptions& options, ClearanceReport& report, const Progress& progress) {
  std::vector<PairTask> tasks;
  for (PairClearance& pair : report.pairs) {
    const bay::Part& part = bay.parts[static_cast<std::size_t>(pair.part)];
    if (part.shapes.empty() || !part.mesh || part.mesh->face.size() != part.mesh->triangles.size()) continue;
    const std::optional<double> needed = need ? need(pair) : std::nullopt;
    if (!needed || !hangs_on(pair, *needed, part.chord_error_mm())) continue;
    if (tasks.empty()) {
      ClearanceReport notes;
      tasks = pair_tasks(bay, duct, notes);
    }
    const auto task = std::find_if(tasks.begin(), tasks.end(),
                                   [&](const PairTask& t) { return t.piece == pair.piece && t.part == pair.part; });
    progress.report("meshing faces of " + part.id.value + " finer");
    Settling(bay, duct, *task, over_motion, options, progress).run(pair, *needed);
    if (progress.cancelled()) return;
  }
}

}  // namespace baywright::measure
