#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <GeomAPI_PointsToBSplineSurface.hxx>
#include <Geom_BSplineSurface.hxx>
#include <TColgp_Array2OfPnt.hxx>

#include "parts.hpp"

namespace baywright::tarn40 {
namespace {

constexpr std::array<float, 3> kOrange{0.93F, 0.45F, 0.06F};
constexpr std::array<float, 3> kPrimer{0.55F, 0.55F, 0.52F};

/// Underside of the bonnet.
double underside_z(double x, double y) { return 640 - 0.0816 * (x + 580) - 0.00045 * y * y; }

/// Sheet of `thickness` over a rectangle whose lower face is the underside raised by `raise(x, y)`.
template <class Raise>
TopoDS_Shape sheet(double x0, double x1, double y0, double y1, double thickness, Raise raise) {
  constexpr int kColumns = 9;
  constexpr int kRows = 13;
  TColgp_Array2OfPnt grid(1, kColumns, 1, kRows);
  for (int i = 1; i <= kColumns; ++i) {
    for (int j = 1; j <= kRows; ++j) {
      const double x = x0 + (x1 - x0) * (i - 1) / (kColumns - 1);
      const double y = y0 + (y1 - y0) * (j - 1) / (kRows - 1);
      grid(i, j) = gp_Pnt(x, y, underside_z(x, y) + raise(x, y));
    }
  }
  GeomAPI_PointsToBSplineSurface fit;
  fit.Interpolate(grid);
  const TopoDS_Face face = BRepBuilderAPI_MakeFace(fit.Surface(), 1e-6).Face();
  return BRepPrimAPI_MakePrism(face, gp_Vec(0, 0, thickness)).Shape();
}

constexpr double kFrom = -578;
constexpr double kTo = 384;
constexpr double kHalf = 535;

}  // namespace

std::vector<Drawn> draw_bonnet() {
  const auto flat = [](double, double) { return 0.0; };
  // The outer skin rises to a flat power bulge in the middle and meets the inner panel at the edges.
  const auto bulge = [](double x, double y) {
    const double across = 1 - std::pow(y / kHalf, 4);
    const double along = 1 - std::pow((2 * x - kFrom - kTo) / (kTo - kFrom), 4);
    return 4 + 26 * across * along;
  };
  // Low enough to lie under the skin as far as they reach: 7.4 mm are left at their ends.
  constexpr double kStiffener = 5;
  Shapes stiffeners;
  for (const double x : {-500.0, -340.0, -180.0, -20.0, 140.0, 300.0})
    stiffeners.push_back(sheet(x - 25, x + 25, -480, 480, kStiffener, [](double, double) { return 1.5; }));
  for (const double y : {-420.0, -140.0, 140.0, 420.0})
    stiffeners.push_back(sheet(-540, 350, y - 22, y + 22, kStiffener, [](double, double) { return 1.5; }));
  return {{"bonnet inner panel", kPrimer, sheet(kFrom, kTo, -kHalf, kHalf, 1.5, flat)},
          {"bonnet stiffeners", kPrimer, group(stiffeners)},
          {"bonnet outer skin", kOrange, sheet(kFrom, kTo, -kHalf, kHalf, 1.2, bulge)}};
}

}  // namespace baywright::tarn40
