#include "geometry/solid.hpp"

#include <BRepBndLib.hxx>
#include <BRepBuilderAPI_MakeVertex.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRepGProp.hxx>
#include <BRep_Builder.hxx>
#include <Bnd_Box.hxx>
#include <GProp_GProps.hxx>
#include <TopExp_Explorer.hxx>
#include <TopLoc_Location.hxx>
#include <TopoDS_Compound.hxx>
#include <gp_Quaternion.hxx>
#include <gp_Trsf.hxx>

#include "geometry/base/expects.hpp"
#include "geometry/occt/access.hpp"
#include "geometry/occt/guard.hpp"

namespace baywright {
namespace {

int count(const TopoDS_Shape& shape, TopAbs_ShapeEnum kind) {
  int n = 0;
  for (TopExp_Explorer it(shape, kind); it.More(); it.Next()) ++n;
  return n;
}

// The box by projection is tight but may fail on bad surfaces; the box by control points always encloses.
Aabb box_of(const TopoDS_Shape& shape) {
  Bnd_Box box;
  const auto tight = occt::guard("box", [&]() -> Result<void> {
    BRepBndLib::AddOptimal(shape, box, /*useTriangulation=*/false, /*useShapeTolerance=*/false);
    return {};
  });
  if (!tight || box.IsVoid()) {
    box.SetVoid();
    const auto loose = occt::guard("box", [&]() -> Result<void> {
      BRepBndLib::Add(shape, box, /*useTriangulation=*/false);
      return {};
    });
    EXPECTS(loose.has_value());
  }
  if (box.IsVoid()) return {};
  Aabb out;
  // Both of the kernel's algorithms widen the box by its gap; what remains is the surface itself.
  const double gap = tight ? box.GetGap() : 0;
  box.Get(out.lo.x(), out.lo.y(), out.lo.z(), out.hi.x(), out.hi.y(), out.hi.z());
  return gap > 0 ? out.inflated(-gap) : out;
}

// Volume counts solids only: free shells and faces beside them enclose nothing.
double volume_of(const TopoDS_Shape& shape) {
  double sum = 0;
  const auto done = occt::guard("volume", [&]() -> Result<void> {
    for (TopExp_Explorer it(shape, TopAbs_SOLID); it.More(); it.Next()) {
      GProp_GProps props;
      BRepGProp::VolumeProperties(it.Current(), props);
      sum += props.Mass();
    }
    return {};
  });
  EXPECTS(done.has_value());
  return sum;
}

double area_of(const TopoDS_Shape& shape) {
  GProp_GProps props;
  const auto done = occt::guard("area", [&]() -> Result<void> {
    BRepGProp::SurfaceProperties(shape, props);
    return {};
  });
  EXPECTS(done.has_value());
  return props.Mass();
}

Result<double> distance(const TopoDS_Shape& a, const TopoDS_Shape& b) {
  return occt::guard("distance", [&]() -> Result<double> {
    const BRepExtrema_DistShapeShape extrema(a, b);
    if (!extrema.IsDone() || extrema.NbSolution() == 0) {
      return fail(ErrorCode::kernel_failed, "distance", "the kernel found no nearest points");
    }
    return extrema.Value();
  });
}

/// Faces only, so that a point inside a solid is at its distance from the surface and not at 0.
TopoDS_Shape surface_of(const TopoDS_Shape& shape) {
  TopoDS_Compound faces;
  BRep_Builder builder;
  builder.MakeCompound(faces);
  for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) builder.Add(faces, it.Current());
  return faces;
}

}  // namespace

Solid occt::Access::make(const TopoDS_Shape& shape) {
  EXPECTS(!shape.IsNull() && TopExp_Explorer(shape, TopAbs_FACE).More());
  Solid solid;
  solid.impl_ = std::make_shared<const Solid::Impl>(shape);
  return solid;
}

const TopoDS_Shape& occt::Access::shape(const Solid& solid) {
  EXPECTS(!solid.empty());
  return solid.impl_->shape();
}

Solid::Solid() = default;

Result<void> Solid::ready() const {
  if (empty()) return {};
  return impl_->ready();
}

int Solid::face_count() const { return empty() ? 0 : count(impl_->shape(), TopAbs_FACE); }

int Solid::solid_count() const { return empty() ? 0 : count(impl_->shape(), TopAbs_SOLID); }

double Solid::volume_mm3() const {
  if (empty()) return 0;
  std::call_once(impl_->volume_once, [this] { impl_->volume_mm3 = volume_of(impl_->shape()); });
  return impl_->volume_mm3;
}

double Solid::area_mm2() const {
  if (empty()) return 0;
  std::call_once(impl_->area_once, [this] { impl_->area_mm2 = area_of(impl_->shape()); });
  return impl_->area_mm2;
}

Aabb Solid::bounds() const {
  if (empty()) return {};
  std::call_once(impl_->box_once, [this] { impl_->box = box_of(impl_->shape()); });
  return impl_->box;
}

Solid Solid::moved(const Pose& X) const {
  if (empty()) return *this;
  gp_Trsf trsf;
  trsf.SetTransformation(gp_Quaternion(X.R.x(), X.R.y(), X.R.z(), X.R.w()), gp_Vec(X.p.x(), X.p.y(), X.p.z()));
  return occt::Access::make(impl_->shape().Moved(TopLoc_Location(trsf)));
}

Result<double> exact_distance_mm(const Solid& solid, const Vec3& p) {
  const TopoDS_Shape& shape = occt::Access::shape(solid);
  return distance(surface_of(shape), BRepBuilderAPI_MakeVertex(gp_Pnt(p.x(), p.y(), p.z())).Vertex());
}

Result<double> exact_distance_mm(const Solid& a, const Solid& b) {
  return distance(surface_of(occt::Access::shape(a)), surface_of(occt::Access::shape(b)));
}

}  // namespace baywright
