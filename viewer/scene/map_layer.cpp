#include "viewer/scene/map_layer.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include <vtkActor.h>
#include <vtkCellArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>
#include <vtkPolyDataMapper.h>
#include <vtkProperty.h>
#include <vtkRenderer.h>
#include <vtkUnsignedCharArray.h>

#include "measure/map_isolines.hpp"
#include "viewer/scene/overlay.hpp"
#include "viewer/scene/palette.hpp"

namespace baywright::viewer {
namespace {

// Blue to yellow through grey; lightness rises evenly (sRGB).
constexpr std::array<Rgb, 5> kScale = {{{0.00F, 0.13F, 0.30F},
                                        {0.25F, 0.30F, 0.42F},
                                        {0.49F, 0.49F, 0.47F},
                                        {0.75F, 0.69F, 0.42F},
                                        {1.00F, 0.92F, 0.37F}}};
constexpr Rgb kMeets = {0.835F, 0.369F, 0.0F};  ///< vermillion of the same set as the palette
constexpr Rgb kBeyond = {0.87F, 0.88F, 0.89F};
/// Drawn off the surface by these, so that neither hides the other, mm.
constexpr double kLift_mm = 0.5, kLineLift_mm = 0.9;

// Place of the scale, pixels.
constexpr double kInside = 10, kWide = 122, kWidth = 16, kHeight = 190, kAbove = 40, kBelow = 64;

/// Points moved away from the middle of their row.
std::vector<Vec3> lifted(const measure::SurfaceMap& map, double lift_mm) {
  std::vector<Vec3> out(map.points.size());
  for (const measure::SurfacePatch& patch : map.patches) {
    for (int r = 0; r < patch.rows; ++r) {
      const std::size_t first = patch.first + static_cast<std::size_t>(r * patch.columns);
      const auto count = static_cast<std::size_t>(patch.columns);
      Vec3 middle = Vec3::Zero();
      for (std::size_t i = first; i < first + count; ++i) middle += map.points[i].p_mm / static_cast<double>(count);
      for (std::size_t i = first; i < first + count; ++i) {
        const Vec3 away = map.points[i].p_mm - middle;
        out[i] = map.points[i].p_mm + lift_mm * (away.norm() > 0 ? Vec3(away.normalized()) : away);
      }
    }
  }
  return out;
}

vtkSmartPointer<vtkPolyData> surface_of(const std::vector<measure::SurfaceMap>& maps, double range_mm) {
  const auto out = vtkSmartPointer<vtkPolyData>::New();
  vtkNew<vtkPoints> points;
  vtkNew<vtkCellArray> quads;
  vtkNew<vtkUnsignedCharArray> colors;
  colors->SetNumberOfComponents(3);
  for (const measure::SurfaceMap& map : maps) {
    const vtkIdType base = points->GetNumberOfPoints();
    const std::vector<Vec3> at = lifted(map, kLift_mm);
    for (std::size_t i = 0; i < at.size(); ++i) {
      points->InsertNextPoint(at[i].data());
      const Rgb c = map_color(map.points[i].clearance_mm, range_mm);
      for (const float part : c) colors->InsertNextValue(static_cast<unsigned char>(std::lround(255 * part)));
    }
    for (const measure::SurfacePatch& patch : map.patches) {
      const auto id = [&](int r, int c) {
        return base + static_cast<vtkIdType>(patch.first) + r * patch.columns + c % patch.columns;
      };
      for (int r = 0; r + 1 < patch.rows; ++r) {
        for (int c = 0; c < patch.columns; ++c) {
          const std::array<vtkIdType, 4> quad = {id(r, c), id(r, c + 1), id(r + 1, c + 1), id(r + 1, c)};
          quads->InsertNextCell(4, quad.data());
        }
      }
    }
  }
  out->SetPoints(points);
  out->SetPolys(quads);
  out->GetPointData()->SetScalars(colors);
  return out;
}

vtkSmartPointer<vtkPolyData> lines_of(const std::vector<measure::SurfaceMap>& maps, double range_mm, double step_mm) {
  std::vector<double> levels;
  for (int i = 0; i * step_mm < range_mm; ++i) levels.push_back(i * step_mm);
  const auto out = vtkSmartPointer<vtkPolyData>::New();
  vtkNew<vtkPoints> points;
  vtkNew<vtkCellArray> lines;
  for (const measure::SurfaceMap& map : maps) {
    measure::SurfaceMap above = map;
    const std::vector<Vec3> at = lifted(map, kLineLift_mm);
    for (std::size_t i = 0; i < at.size(); ++i) above.points[i].p_mm = at[i];
    for (const measure::Isoline& line : measure::isolines(above, levels, range_mm)) {
      for (const auto& [a, b] : line.segments) {
        const std::array<vtkIdType, 2> ends = {points->InsertNextPoint(a.data()), points->InsertNextPoint(b.data())};
        lines->InsertNextCell(2, ends.data());
      }
    }
  }
  out->SetPoints(points);
  out->SetLines(lines);
  return out;
}

}  // namespace

Rgb map_color(double clearance_mm, double range_mm) {
  if (clearance_mm <= 0) return kMeets;
  if (!(clearance_mm < range_mm)) return kBeyond;
  const double at = clearance_mm / range_mm * (kScale.size() - 1);
  const auto i = std::min(static_cast<std::size_t>(at), kScale.size() - 2);
  const auto share = static_cast<float>(at - static_cast<double>(i));
  Rgb out;
  for (std::size_t k = 0; k < 3; ++k) out[k] = kScale[i][k] + share * (kScale[i + 1][k] - kScale[i][k]);
  return out;
}

measure::SurfaceMap without_shapes(const measure::SurfaceMap& map, const std::vector<std::pair<int, int>>& shapes) {
  measure::SurfaceMap out;
  for (const measure::SurfacePatch& patch : map.patches) {
    if (std::find(shapes.begin(), shapes.end(), std::pair(patch.piece, patch.shape)) != shapes.end()) continue;
    const auto begin = map.points.begin() + static_cast<std::ptrdiff_t>(patch.first);
    measure::SurfacePatch kept = patch;
    kept.first = out.points.size();
    out.points.insert(out.points.end(), begin, begin + patch.rows * patch.columns);
    out.patches.push_back(kept);
  }
  return out;
}

double map_line_step_mm(const DisplayUnits& units) {
  return units.length == LengthUnit::inch ? 0.5 * kMillimetresPerInch : 10;
}

struct MapLayer::Impl {
  explicit Impl(vtkRenderer* into) : renderer(into) {
    surface->SetMapper(surface_mapper);
    surface->GetProperty()->SetAmbient(0.55);
    surface->GetProperty()->SetDiffuse(0.5);
    surface->GetProperty()->SetSpecular(0);
    surface->PickableOff();
    lines->SetMapper(line_mapper);
    lines->GetProperty()->SetColor(0, 0, 0);
    lines->GetProperty()->SetLighting(false);
    lines->PickableOff();
  }

  vtkRenderer* renderer;
  vtkNew<vtkPolyDataMapper> surface_mapper, line_mapper;
  vtkNew<vtkActor> surface, lines;
  bool shown = false;
};

MapLayer::MapLayer(vtkRenderer* renderer) : impl_(std::make_unique<Impl>(renderer)) {}
MapLayer::~MapLayer() { clear(); }

void MapLayer::show(const std::vector<measure::SurfaceMap>& maps, double range_mm, const DisplayUnits& units) {
  const double step_mm = map_line_step_mm(units);
  impl_->surface_mapper->SetInputData(surface_of(maps, range_mm));
  impl_->surface_mapper->SetScalarModeToUsePointData();
  impl_->line_mapper->SetInputData(lines_of(maps, range_mm, step_mm));
  if (impl_->shown) return;
  impl_->renderer->AddActor(impl_->surface);
  impl_->renderer->AddActor(impl_->lines);
  impl_->shown = true;
}

void MapLayer::clear() {
  if (!impl_->shown) return;
  impl_->renderer->RemoveActor(impl_->surface);
  impl_->renderer->RemoveActor(impl_->lines);
  impl_->shown = false;
}

Box2 map_scale_box(const Overlay& overlay, const std::vector<Box2>& keep_off) {
  constexpr double kEdge = 8, kAxes_px = 152, kBar_px = 70;  // what stands in the lower corners
  const Pixel page = overlay.size(), size(kWide, kBelow + kHeight + kAbove);
  const double top = page.y() - kEdge - size.y(), right = page.x() - kEdge - size.x();
  const Pixel at_first(kEdge, std::max(kAxes_px, top));
  for (const Pixel& lo :
       {at_first, Pixel(kEdge, kAxes_px), Pixel(right, std::max(kBar_px, top)), Pixel(right, kBar_px)}) {
    const Box2 box{lo, lo + size};
    if (std::none_of(keep_off.begin(), keep_off.end(), [&](const Box2& b) { return b.overlaps(box); })) return box;
  }
  return {at_first, at_first + size};
}

void draw_map_scale(Overlay& overlay, const Box2& box, double range_mm, const DisplayUnits& units, bool some_hidden) {
  constexpr int kShades = 48;
  const double step_mm = map_line_step_mm(units), left = box.lo.x() + kInside, bottom = box.lo.y() + kBelow;
  const auto y = [&](double clearance_mm) { return bottom + kHeight * clearance_mm / range_mm; };
  const auto put = [&](double from, double to, const Rgb& color) {
    overlay.box({Pixel(left, from), Pixel(left + kWidth, to)}, color, color, 0);
  };
  overlay.box(box, kPaper, kGhost, 1);
  for (int i = 0; i < kShades; ++i) {
    put(y(i * range_mm / kShades), y((i + 1) * range_mm / kShades) + 0.5,
        map_color((i + 0.5) * range_mm / kShades, range_mm));
  }
  put(bottom - 22, bottom - 4, map_color(0, range_mm));
  put(bottom + kHeight + 4, bottom + kHeight + 12, map_color(2 * range_mm, range_mm));
  const Overlay::Font font{12, false, kInk};
  overlay.text(Pixel(left + kWidth + 10, bottom - 19), "overlap", font);
  for (int i = 0; i * step_mm <= range_mm + 1e-9; ++i) {
    const double at = y(i * step_mm);
    overlay.line(Pixel(left, at), Pixel(left + kWidth + 6, at), 1, kInk);
    overlay.text(Pixel(left + kWidth + 10, at - 5), format(i * step_mm, Unit::mm, units), font);
  }
  overlay.text(Pixel(left - 4, bottom + kHeight + 20), "Clearance", Overlay::Font{12, true, kInk});
  if (!some_hidden) return;
  overlay.text(Pixel(left - 4, bottom - 40), "to all parts, also", font);
  overlay.text(Pixel(left - 4, bottom - 56), "those not shown", font);
}

void MapLayer::set_line_scale(double scale) {
  impl_->lines->GetProperty()->SetLineWidth(static_cast<float>(1.3 * scale));
}

}  // namespace baywright::viewer
