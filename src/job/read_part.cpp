#include "job/read_part.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>

#include "geometry/base/expects.hpp"
#include "geometry/base/near_word.hpp"
#include "geometry/base/words.hpp"
#include "geometry/clearance/hidden.hpp"
#include "geometry/solid_pieces.hpp"
#include "job/made_of_model.hpp"
#include "job/node.hpp"
#include "job/one_error.hpp"

namespace baywright::job {
namespace {

constexpr double kDefaultChordError_mm = 0.1;  ///< target of the mesher; the result is measured

bool is_placed(const Placement& placement) { return !(placement == Placement{}); }

TriMesh moved(const TriMesh& mesh, const Pose& X) {
  TriMesh out = mesh;
  out.origin_mm = X * mesh.origin_mm;
  const Eigen::Matrix3d R = X.R.toRotationMatrix();
  for (Vec3f& v : out.vertices) v = (R * v.cast<double>()).cast<float>();
  return out;
}

PointCloud moved(const PointCloud& cloud, const Pose& X) {
  PointCloud out = cloud;
  out.origin_mm = X * cloud.origin_mm;
  const Eigen::Matrix3d R = X.R.toRotationMatrix();
  for (Vec3f& p : out.points) p = (R * p.cast<double>()).cast<float>();
  for (Vec3f& n : out.normals) n = (R * n.cast<double>()).cast<float>();
  return out;
}

/// A closed mesh with its facets outward has an inside that is occupied.
bool is_closed(const TriMesh& mesh) {
  const MeshCounts counts = count_mesh(mesh);
  return counts.boundary_edges == 0 && counts.non_manifold_edges == 0 && signed_volume_mm3(mesh) > 0;
}

/// Names in a STEP file, for a complaint.
std::string what_there_is(const StepModel& model) {
  constexpr std::size_t kMostNames = 20;
  std::string list;
  std::size_t count = 0;
  for (const StepPart& part : model.parts) {
    if (count++ >= kMostNames) return list + ", ... (" + std::to_string(model.parts.size()) + " in all)";
    list += (list.empty() ? "" : ", ") + in_quotes(part.path.empty() ? part.name : part.path);
  }
  return list;
}

/// Indices of the shapes a part selects, in the order of the file.
ResultAll<std::vector<std::size_t>> selected(const StepModel& model, const PartSpec& spec, const std::string& pointer) {
  std::vector<bool> taken(model.parts.size(), spec.select.empty());
  std::vector<Error> errors;
  for (std::size_t s = 0; s < spec.select.size(); ++s) {
    const std::string& wanted = spec.select[s];
    bool found = false;
    std::vector<std::string> known;
    for (std::size_t i = 0; i < model.parts.size(); ++i) {
      const StepPart& part = model.parts[i];
      known.push_back(part.name);
      known.push_back(part.path);
      if (part.name != wanted && part.path != wanted) continue;
      taken[i] = true;
      found = true;
    }
    if (found) continue;
    const std::string near = nearest_word(wanted, known);
    errors.push_back({ErrorCode::bad_value, place_in_job(pointer + "/select/" + std::to_string(s)),
                      in_quotes(spec.file) + " has no shape " + in_quotes(wanted) +
                          (near.empty() ? "; " : "; did you mean " + in_quotes(near) + "? ") +
                          "it has: " + what_there_is(model)});
  }
  if (!errors.empty()) return tl::unexpected(std::move(errors));
  std::vector<std::size_t> indices;
  for (std::size_t i = 0; i < taken.size(); ++i) {
    if (taken[i]) indices.push_back(i);
  }
  return indices;
}

Error cancelled() { return {ErrorCode::cancelled, "", "stopped"}; }

/// Fewer points than that are no scan of a surface.
constexpr std::size_t kFewestPoints = 3;

/// A file reader's complaint, with the file called as the job calls it: "bought/engine.step: line 12".
Error in_file(const Error& error, const std::string& file) {
  if (error.code == ErrorCode::cancelled) return error;
  const std::string name = std::filesystem::path(file).filename().string();
  const std::size_t at = error.where.rfind(name);
  if (at == std::string::npos) return {error.code, file, to_line(error)};
  return {error.code, file + error.where.substr(at + name.size()), error.message};
}

/// A shape that becomes triangles of its own.
struct Piece {
  ShapeOrigin origin;
  std::string name;
  Solid shape;  ///< placed
};

/// The chosen shapes, placed; taken apart into solids where hidden ones are to be left out.
std::vector<Piece> pieces_of_part(const PartSpec& spec, const StepModel& model,
                                  const std::vector<std::size_t>& chosen) {
  const Pose X = pose_of(spec.placement);
  std::vector<Piece> pieces;
  for (const std::size_t index : chosen) {
    const StepPart& leaf = model.parts[index];
    const std::string name = leaf.path.empty() ? leaf.name : leaf.path;
    const Solid placed = is_placed(spec.placement) ? leaf.shape.moved(X) : leaf.shape;
    if (!spec.drop_hidden) {
      pieces.push_back({{index, std::nullopt}, name, placed});
      continue;
    }
    const std::vector<Solid> apart = pieces_of(placed);
    if (apart.size() == 1) {
      pieces.push_back({{index, std::nullopt}, name, placed});
      continue;
    }
    for (std::size_t i = 0; i < apart.size(); ++i) {
      pieces.push_back({{index, i}, name + ", solid " + std::to_string(i + 1), apart[i]});
    }
  }
  return pieces;
}

/// One mesh of all; faces numbered on from shape to shape.
TriMesh numbered_through(const std::vector<TriMesh>& meshes, const std::vector<Solid>& shapes) {
  TriMesh all = merged(meshes);
  std::uint32_t first = 0;
  for (std::size_t i = 0; i < meshes.size(); ++i) {
    for (const std::uint32_t face : meshes[i].face) all.face.push_back(first + face);
    first += static_cast<std::uint32_t>(shapes[i].face_count());
  }
  return all;
}

/// Takes out the solids nothing outside sees and gives their names. Open surfaces stay: they enclose nothing that could
/// be said to be inside.
std::vector<std::string> drop_hidden(std::vector<Piece>& pieces, std::vector<TriMesh>& meshes,
                                     const Progress& progress) {
  const std::vector<bool> hidden = hidden_bodies(meshes, progress);
  std::vector<std::string> names;
  std::vector<Piece> kept;
  std::vector<TriMesh> kept_meshes;
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    if (hidden[i] && pieces[i].shape.solid_count() > 0) {
      names.push_back(pieces[i].name);
      continue;
    }
    kept.push_back(std::move(pieces[i]));
    kept_meshes.push_back(std::move(meshes[i]));
  }
  pieces = std::move(kept);
  meshes = std::move(kept_meshes);
  return names;
}

}  // namespace

std::string place_in_job(const std::string& pointer) { return "job.json: " + pointer; }

Pose pose_of(const Placement& placement) {
  const Vec3 origin = Vec3::Zero();
  return Pose::translation(placement.shift_mm) * Pose::rotation(Vec3::UnitZ(), origin, placement.yaw.si()) *
         Pose::rotation(Vec3::UnitY(), origin, placement.pitch.si()) *
         Pose::rotation(Vec3::UnitX(), origin, placement.roll.si());
}

Result<std::vector<Solid>> shapes_of(const StepModel& model, const std::vector<ShapeOrigin>& origins,
                                     const Placement& placement) {
  const auto fewer = [] { return fail(ErrorCode::file_damaged, "STEP file", "has fewer shapes than it had"); };
  const Pose X = pose_of(placement);
  std::vector<Solid> shapes;
  for (const ShapeOrigin& origin : origins) {
    if (origin.leaf >= model.parts.size()) return fewer();
    const Solid& leaf = model.parts[origin.leaf].shape;
    const Solid placed = is_placed(placement) ? leaf.moved(X) : leaf;
    const std::vector<Solid> apart = origin.piece ? pieces_of(placed) : std::vector<Solid>{placed};
    if (origin.piece.value_or(0) >= apart.size()) return fewer();
    shapes.push_back(apart[origin.piece.value_or(0)]);
  }
  return shapes;
}

Result<ReadScan> read_scan_file(const std::filesystem::path& path, double mm_per_unit, const Progress& progress) {
  auto file = read_scan(path, {.mm_per_unit = mm_per_unit}, progress);
  if (!file) return tl::unexpected(file.error());
  ReadScan out;
  const Aabb box = std::visit([](const auto& shape) { return bounds(shape); }, file->shape);
  if (std::string doubt = size_doubt(box, mm_per_unit); !doubt.empty()) out.about_file.push_back(std::move(doubt));
  out.about_file.insert(out.about_file.end(), file->warnings.begin(), file->warnings.end());
  if (auto* mesh = std::get_if<TriMesh>(&file->shape)) {
    out.mesh = std::make_shared<const TriMesh>(std::move(*mesh));
  } else {
    out.cloud = std::make_shared<const PointCloud>(std::move(std::get<PointCloud>(file->shape)));
  }
  return out;
}

std::string scan_doubt(const bay::Part& part, double mm_per_unit) {
  if (part.cloud && part.cloud->points.size() < kFewestPoints) {
    return "has only " + std::to_string(part.cloud->points.size()) + " points";
  }
  if (part.mesh && !(area_mm2(*part.mesh) > 0)) return "has triangles of no area only";
  return size_doubt(part.mesh ? bounds(*part.mesh) : bounds(*part.cloud), mm_per_unit);
}

ResultAll<ReadPart> part_of_step(const PartSpec& spec, const std::string& pointer, const Result<StepModel>& model,
                                 const Progress& progress) {
  std::vector<Error> errors;
  if (spec.mm_per_unit) {
    errors.push_back({ErrorCode::bad_value, place_in_job(pointer + "/mm_per_unit"),
                      "is given for a STEP file, which states its unit itself; remove it"});
  }
  if (!model) {
    errors.push_back(in_file(model.error(), spec.file));
    return tl::unexpected(std::move(errors));
  }
  const auto chosen = selected(*model, spec, pointer);
  if (!chosen) errors.insert(errors.end(), chosen.error().begin(), chosen.error().end());
  if (!errors.empty()) return tl::unexpected(std::move(errors));

  std::vector<Piece> pieces = pieces_of_part(spec, *model, *chosen);
  std::vector<Result<TriMesh>> meshes(pieces.size());
  tbb::parallel_for(std::size_t{0}, pieces.size(), [&](std::size_t i) {
    if (progress.cancelled()) return;
    const std::string& name = model->parts[pieces[i].origin.leaf].name;
    progress.report("triangles of " + (name.empty() ? spec.id.value : name));
    meshes[i] = tessellate(pieces[i].shape, spec.chord_error_mm.value_or(kDefaultChordError_mm));
  });
  if (progress.cancelled()) return only(cancelled());
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    if (meshes[i]) continue;
    Error error = in_file(meshes[i].error(), spec.file);
    error.message += " (shape " + in_quotes(model->parts[pieces[i].origin.leaf].path) + ")";
    errors.push_back(std::move(error));
  }
  if (!errors.empty()) return tl::unexpected(std::move(errors));

  ReadPart out;
  out.about_file = model->warnings;
  std::vector<TriMesh> good;
  for (auto& mesh : meshes) good.push_back(std::move(*mesh));
  if (spec.drop_hidden) {
    progress.report("what of " + spec.id.value + " is seen from outside");
    out.part.hidden = drop_hidden(pieces, good, progress);
    if (progress.cancelled()) return only(cancelled());
  }
  out.part.modelled = true;
  out.part.encloses = true;
  for (const Piece& piece : pieces) {
    out.part.encloses = out.part.encloses && piece.shape.solid_count() > 0;
    if (!out.part.color) out.part.color = model->parts[piece.origin.leaf].color;
  }
  for (const Piece& piece : pieces) {
    out.part.shapes.push_back(piece.shape);
    out.origins.push_back(piece.origin);
  }
  if (pieces.size() == 1) out.part.solid = pieces.front().shape;
  out.part.mesh = std::make_shared<const TriMesh>(good.size() == 1 ? std::move(good.front())
                                                                   : numbered_through(good, out.part.shapes));
  out.part.tree = TriTree::over(*out.part.mesh);
  return out;
}

ResultAll<ReadPart> part_of_scan(const PartSpec& spec, const std::string& pointer, const Result<ReadScan>* scan,
                                 const Progress& progress) {
  std::vector<Error> errors;
  if (!spec.select.empty()) {
    errors.push_back({ErrorCode::bad_value, place_in_job(pointer + "/select"),
                      "only shapes in STEP files have names; remove it, or split the mesh into files"});
  }
  if (spec.drop_hidden) {
    errors.push_back({ErrorCode::bad_value, place_in_job(pointer + "/drop_hidden"),
                      "only STEP files have solids that can be left out one by one; remove it"});
  }
  if (!spec.mm_per_unit) {
    errors.push_back(
        {ErrorCode::bad_value, place_in_job(pointer + "/mm_per_unit"),
         in_quotes(spec.file) + " does not state its unit; give mm_per_unit (1 for mm, 25.4 for inches, 1000 for m)"});
    return tl::unexpected(std::move(errors));
  }
  EXPECTS(scan != nullptr);
  if (!*scan) errors.push_back(in_file(scan->error(), spec.file));
  if (!errors.empty()) return tl::unexpected(std::move(errors));
  progress.report("tree of " + spec.id.value);
  const Pose X = pose_of(spec.placement);
  const ReadScan& from = **scan;
  ReadPart out;
  out.about_file = from.about_file;
  bay::Part& part = out.part;
  if (from.mesh) {
    part.mesh = is_placed(spec.placement) ? std::make_shared<const TriMesh>(moved(*from.mesh, X)) : from.mesh;
    part.tree = TriTree::over(*part.mesh);
    part.encloses = is_closed(*part.mesh);
    part.modelled = part.encloses && looks_made_of_model(*part.mesh);
  } else {
    part.cloud = is_placed(spec.placement) ? std::make_shared<const PointCloud>(moved(*from.cloud, X)) : from.cloud;
    std::vector<float> radius = local_spacing_mm(*part.cloud);
    for (float& r : radius) r *= 0.5F;
    part.tree = TriTree::over(*part.cloud, radius);
  }
  out.doubt = scan_doubt(part, *spec.mm_per_unit);
  return out;
}

}  // namespace baywright::job
