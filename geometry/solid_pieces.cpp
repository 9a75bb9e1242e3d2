#include "geometry/solid_pieces.hpp"

#include <BRep_Builder.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS_Compound.hxx>

#include "geometry/base/expects.hpp"
#include "geometry/occt/access.hpp"
#include "geometry/occt/guard.hpp"

namespace baywright {

std::vector<Solid> pieces_of(const Solid& shape) {
  const TopoDS_Shape& whole = occt::Access::shape(shape);
  std::vector<Solid> pieces;
  const auto done = occt::guard("pieces", [&]() -> Result<void> {
    for (TopExp_Explorer it(whole, TopAbs_SOLID); it.More(); it.Next()) {
      // A solid without a face is nothing that could be seen or met.
      if (TopExp_Explorer(it.Current(), TopAbs_FACE).More()) pieces.push_back(occt::Access::make(it.Current()));
    }
    TopoDS_Compound loose;
    const BRep_Builder builder;
    builder.MakeCompound(loose);
    bool any = false;
    for (TopExp_Explorer it(whole, TopAbs_FACE, TopAbs_SOLID); it.More(); it.Next()) {
      builder.Add(loose, it.Current());
      any = true;
    }
    if (any) pieces.push_back(occt::Access::make(loose));
    return {};
  });
  EXPECTS(done.has_value());
  return pieces.size() > 1 ? pieces : std::vector<Solid>{shape};
}

}  // namespace baywright
