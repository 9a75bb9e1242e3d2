#include <BRep_Builder.hxx>
#include <BinTools.hxx>
#include <Standard_Version.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS_Compound.hxx>
#include <TopoDS_Iterator.hxx>

#include <sstream>
#include <string_view>

#include "geometry/base/expects.hpp"
#include "geometry/occt/access.hpp"
#include "geometry/occt/guard.hpp"

namespace baywright {
namespace {

/// What such bytes begin with, in their first line. The kernel would print to standard output that it does not.
bool is_of_kernel(const std::string& bytes) {
  return std::string_view(bytes).substr(0, 64).find("Open CASCADE Topology V") != std::string_view::npos;
}

Result<std::vector<TopoDS_Shape>> parsed(const std::string& bytes, std::size_t count) {
  const auto nonsense = [] { return fail(ErrorCode::file_damaged, "stored solids", "their bytes are no shapes"); };
  if (!is_of_kernel(bytes)) return nonsense();
  return occt::guard("stored solids", [&]() -> Result<std::vector<TopoDS_Shape>> {
    std::istringstream in(bytes);
    TopoDS_Shape all;
    BinTools::Read(all, in);
    std::vector<TopoDS_Shape> shapes;
    if (all.IsNull()) return nonsense();
    for (TopoDS_Iterator it(all); it.More(); it.Next()) shapes.push_back(it.Value());
    for (const TopoDS_Shape& shape : shapes) {
      if (!TopExp_Explorer(shape, TopAbs_FACE).More()) return nonsense();
    }
    if (shapes.size() != count) return nonsense();
    return shapes;
  });
}

Result<std::vector<TopoDS_Shape>> made(const std::function<Result<std::vector<Solid>>()>& again, std::size_t count) {
  const auto solids = again();
  if (!solids) return tl::unexpected(solids.error());
  EXPECTS(solids->size() == count);
  std::vector<TopoDS_Shape> shapes;
  for (const Solid& solid : *solids) shapes.push_back(occt::Access::shape(solid));
  return shapes;
}

}  // namespace

const Result<std::vector<TopoDS_Shape>>& StoredShapes::shapes() const {
  std::call_once(once_, [this] {
    shapes_ = parsed(bytes_, count_);
    if (!shapes_) shapes_ = made(again_, count_);
    bytes_ = {};
    again_ = {};
  });
  return shapes_;
}

Result<void> Solid::Impl::ready() const {
  if (stored_ && !stored_->shapes()) return tl::unexpected(stored_->shapes().error());
  return {};
}

const TopoDS_Shape& Solid::Impl::shape() const {
  if (!stored_) return shape_;
  EXPECTS(stored_->shapes().has_value());
  return (*stored_->shapes())[number_];
}

Result<std::string> solid_bytes(const std::vector<Solid>& solids) {
  return occt::guard("stored solids", [&]() -> Result<std::string> {
    TopoDS_Compound all;
    const BRep_Builder builder;
    builder.MakeCompound(all);
    for (const Solid& solid : solids) builder.Add(all, occt::Access::shape(solid));
    std::ostringstream out;
    BinTools::Write(all, out, /*theWithTriangles=*/false, /*theWithNormals=*/false, BinTools_FormatVersion_CURRENT);
    if (!out) return fail(ErrorCode::kernel_failed, "stored solids", "the kernel cannot write these shapes");
    return std::move(out).str();
  });
}

std::vector<Solid> stored_solids(std::string bytes, std::size_t count,
                                 std::function<Result<std::vector<Solid>>()> again) {
  EXPECTS(again != nullptr);
  const auto shapes = std::make_shared<const StoredShapes>(std::move(bytes), count, std::move(again));
  std::vector<Solid> solids;
  for (std::size_t i = 0; i < count; ++i) solids.push_back(occt::Access::stored(shapes, i));
  return solids;
}

std::string kernel_version() { return OCC_VERSION_COMPLETE; }

}  // namespace baywright
