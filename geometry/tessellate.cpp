#include <tbb/parallel_for.h>
#include <BRepBndLib.hxx>
#include <BRepBuilderAPI_Copy.hxx>
#include <BRepMesh_IncrementalMesh.hxx>
#include <BRepTools.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>

#include <algorithm>
#include <cmath>

#include "geometry/base/expects.hpp"
#include "geometry/occt/access.hpp"
#include "geometry/occt/guard.hpp"
#include "geometry/occt/mesh_check.hpp"
#include "geometry/solid.hpp"
#include "geometry/vertex_weld.hpp"

namespace baywright {
namespace {

constexpr double kAngle_rad = 0.35;  // about 18 facets round a circle however small: common practice, no source
constexpr int kAttempts = 3;
// A mesh of this size is not made finer: free-form faces then cost minutes, and the check states what was reached.
constexpr std::size_t kFineEnough = 200'000;

struct MeshedFace {
  TopoDS_Face face;
  TopLoc_Location location;
  Handle(Poly_Triangulation) mesh;  // null: too small for the mesher
  std::vector<Vec3> corners;        // absolute; exact until round_corners()
  double negligible_mm = 0;         // size of a face without facets
};

std::string face_place(std::size_t index, std::size_t count) {
  return "face " + std::to_string(index + 1) + " of " + std::to_string(count);
}

Result<std::vector<MeshedFace>> collect(const TopoDS_Shape& shape, double target_mm) {
  std::vector<MeshedFace> faces;
  for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
    MeshedFace f;
    f.face = TopoDS::Face(it.Current());
    f.mesh = BRep_Tool::Triangulation(f.face, f.location);
    if (!f.mesh.IsNull() && (f.mesh->NbTriangles() == 0 || !f.mesh->HasUVNodes())) f.mesh.Nullify();
    if (f.mesh.IsNull()) {
      Bnd_Box box;
      BRepBndLib::Add(f.face, box, /*useTriangulation=*/false);
      f.negligible_mm = box.IsVoid() ? 0 : std::sqrt(box.SquareExtent());
      if (f.negligible_mm > target_mm) {
        return fail(ErrorCode::kernel_failed, "face " + std::to_string(faces.size() + 1),
                    "the mesher gives no triangles for a face of " + std::to_string(f.negligible_mm) + " mm");
      }
    } else {
      for (int i = 1; i <= f.mesh->NbNodes(); ++i) {
        const gp_Pnt p = f.mesh->Node(i).Transformed(f.location.Transformation());
        f.corners.emplace_back(p.X(), p.Y(), p.Z());
      }
    }
    faces.push_back(std::move(f));
  }
  return faces;
}

/// Corners as float32 about a common origin; they are replaced by what float32 keeps.
Vec3 round_corners(std::vector<MeshedFace>& faces) {
  Aabb box;
  for (const MeshedFace& f : faces) {
    for (const Vec3& p : f.corners) box.grow(p);
  }
  const Vec3 origin = box.empty() ? Vec3::Zero().eval() : box.center().array().round().matrix().eval();
  for (MeshedFace& f : faces) {
    for (Vec3& p : f.corners) p = origin + (p - origin).cast<float>().cast<double>();
  }
  return origin;
}

TriMesh assemble(const std::vector<MeshedFace>& faces, const Vec3& origin) {
  TriMesh out;
  out.origin_mm = origin;
  VertexWeld weld;
  for (std::size_t k = 0; k < faces.size(); ++k) {
    const MeshedFace& f = faces[k];
    if (f.mesh.IsNull()) continue;
    std::vector<std::uint32_t> index;
    index.reserve(f.corners.size());
    for (const Vec3& p : f.corners) index.push_back(weld.add((p - origin).cast<float>()));
    const bool flip = (f.face.Orientation() == TopAbs_REVERSED) != f.location.Transformation().IsNegative();
    for (int i = 1; i <= f.mesh->NbTriangles(); ++i) {
      std::array<int, 3> n{};
      f.mesh->Triangle(i).Get(n[0], n[1], n[2]);
      if (flip) std::swap(n[1], n[2]);
      TriMesh::Triangle t{};
      for (std::size_t c = 0; c < 3; ++c) t[c] = index[static_cast<std::size_t>(n[c] - 1)];
      if (t[0] == t[1] || t[1] == t[2] || t[2] == t[0]) continue;  // a seam's or pole's sliver: covers nothing
      out.triangles.push_back(t);
      out.face.push_back(static_cast<std::uint32_t>(k));
    }
  }
  out.vertices = weld.take();
  return out;
}

/// One round of meshing and checking. Facets of the shape are replaced.
Result<TriMesh> attempt(const TopoDS_Shape& shape, double deflection_mm, double target_mm) {
  BRepTools::Clean(shape);
  IMeshTools_Parameters wish;
  wish.Deflection = deflection_mm;
  wish.Angle = kAngle_rad;
  wish.InParallel = true;
  const BRepMesh_IncrementalMesh mesher(shape, wish);
  Result<std::vector<MeshedFace>> faces = collect(shape, target_mm);
  if (!faces) return tl::unexpected(faces.error());
  const Vec3 origin = round_corners(*faces);
  std::vector<Result<occt::FaceCheck>> checks(faces->size(), occt::FaceCheck{});
  tbb::parallel_for(std::size_t{0}, faces->size(), [&](std::size_t i) {
    const MeshedFace& f = (*faces)[i];
    if (f.mesh.IsNull()) return;
    checks[i] = occt::guard(face_place(i, faces->size()), [&]() -> Result<occt::FaceCheck> {
      return occt::check_face(f.face, f.mesh, f.location, f.corners, target_mm);
    });
  });
  TriMesh out = assemble(*faces, origin);
  for (std::size_t i = 0; i < checks.size(); ++i) {
    if (!checks[i]) return tl::unexpected(checks[i].error());
    if (!checks[i]->covered) {
      return fail(ErrorCode::kernel_failed, face_place(i, checks.size()),
                  "the mesher leaves holes in this face; repair the model where it was made");
    }
    // A face without facets lies within its own size of its neighbours' rims.
    out.chord_error_mm = std::max({out.chord_error_mm, checks[i]->deviation_mm, (*faces)[i].negligible_mm});
  }
  return out;
}

/// Meshes faces of its own until the target is reached or it is no use.
Result<TriMesh> meshed(const TopoDS_Shape& own, double target_mm) {
  double deflection = 0.8 * target_mm;  // the check's margin wants some room
  Result<TriMesh> best = attempt(own, deflection, target_mm);
  for (int i = 1; i < kAttempts; ++i) {
    if (best && (best->chord_error_mm <= target_mm || best->triangles.size() > kFineEnough)) break;
    deflection *= best ? std::clamp(0.8 * target_mm / best->chord_error_mm, 0.25, 0.7) : 0.5;
    Result<TriMesh> finer = attempt(own, deflection, target_mm);
    if (finer && (!best || finer->chord_error_mm < best->chord_error_mm)) best = std::move(finer);
  }
  return best;
}

/// Facets are stored in the kernel's faces: work on faces of our own so that threads may share the solid.
TopoDS_Shape copy_of(const TopoDS_Shape& shared) {
  return BRepBuilderAPI_Copy(shared, /*copyGeom=*/false, /*copyMesh=*/false).Shape();
}

}  // namespace

Result<TriMesh> tessellate(const Solid& solid, double target_chord_error_mm) {
  EXPECTS(target_chord_error_mm > 0);
  const TopoDS_Shape& shared = occt::Access::shape(solid);
  return occt::guard("tessellation",
                     [&]() -> Result<TriMesh> { return meshed(copy_of(shared), target_chord_error_mm); });
}

Result<TriMesh> tessellate_faces(const Solid& solid, std::span<const std::uint32_t> faces,
                                 double target_chord_error_mm) {
  EXPECTS(target_chord_error_mm > 0 && !faces.empty());
  const TopoDS_Shape& shared = occt::Access::shape(solid);
  return occt::guard("tessellation of faces", [&]() -> Result<TriMesh> {
    TopoDS_Compound some;
    BRep_Builder builder;
    builder.MakeCompound(some);
    std::vector<std::uint32_t> taken;
    std::uint32_t number = 0;
    for (TopExp_Explorer it(shared, TopAbs_FACE); it.More(); it.Next(), ++number) {
      if (std::find(faces.begin(), faces.end(), number) == faces.end()) continue;
      builder.Add(some, it.Current());
      taken.push_back(number);
    }
    EXPECTS(taken.size() == faces.size());
    Result<TriMesh> mesh = meshed(copy_of(some), target_chord_error_mm);
    if (mesh) {
      for (std::uint32_t& face : mesh->face) face = taken[face];
    }
    return mesh;
  });
}

}  // namespace baywright
