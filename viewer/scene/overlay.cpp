#include "viewer/scene/overlay.hpp"

#include <algorithm>
#include <cmath>

#include <vtkActor.h>
#include <vtkCamera.h>
#include <vtkCellArray.h>
#include <vtkCellData.h>
#include <vtkMatrix4x4.h>
#include <vtkNew.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>
#include <vtkPolyDataMapper.h>
#include <vtkProperty.h>
#include <vtkProperty2D.h>
#include <vtkRenderWindow.h>
#include <vtkRenderer.h>
#include <vtkSmartPointer.h>
#include <vtkTextActor.h>
#include <vtkTextProperty.h>
#include <vtkTextRenderer.h>
#include <vtkUnsignedCharArray.h>

namespace baywright::viewer {

namespace {

/// Resolution text is measured and drawn at, so that a font size is a height in pixels.
constexpr int kDpi = 72;
/// Height of one primitive above the last, and of the whole stack, in layer units: 24 bits of depth tell 1e5 steps
/// apart with room to spare.
constexpr double kStep = 1;
constexpr double kStack = 1e5;

}  // namespace

struct Overlay::Impl {
  vtkRenderWindow* window = nullptr;
  vtkRenderer* scene = nullptr;
  vtkNew<vtkRenderer> layer;
  double scale = 1;
  double height = 0;  ///< of the next primitive above the ones before, in layer units
  vtkNew<vtkPoints> points;
  vtkNew<vtkCellArray> triangles;
  vtkNew<vtkUnsignedCharArray> colors;
  vtkNew<vtkPolyData> flat;
  vtkNew<vtkPolyDataMapper> mapper;
  vtkNew<vtkActor> actor;
  std::vector<vtkSmartPointer<vtkTextActor>> texts;
  std::size_t used_texts = 0;

  vtkIdType put(const Pixel& p) { return points->InsertNextPoint(p.x() * scale, p.y() * scale, height); }
  void put_triangle(vtkIdType a, vtkIdType b, vtkIdType c, const Rgb& color) {
    const vtkIdType ids[3] = {a, b, c};
    triangles->InsertNextCell(3, ids);
    for (const float channel : color) colors->InsertNextValue(static_cast<unsigned char>(std::lround(255 * channel)));
  }
  void apply(const Font& font, vtkTextProperty* property) const {
    property->SetFontFamilyToArial();
    property->SetBold(font.bold);
    property->SetFontSize(static_cast<int>(std::lround(font.size * scale)));
    property->SetColor(font.color[0], font.color[1], font.color[2]);
    property->SetJustificationToLeft();
    property->SetVerticalJustificationToBottom();
  }
};

Overlay::Overlay(vtkRenderWindow* window, vtkRenderer* scene) : impl_(std::make_unique<Impl>()) {
  impl_->window = window;
  impl_->scene = scene;
  impl_->colors->SetNumberOfComponents(3);
  impl_->points->SetDataTypeToFloat();
  impl_->flat->SetPoints(impl_->points);
  impl_->flat->SetPolys(impl_->triangles);
  impl_->flat->GetCellData()->SetScalars(impl_->colors);
  impl_->mapper->SetInputData(impl_->flat);
  impl_->actor->SetMapper(impl_->mapper);
  impl_->actor->GetProperty()->LightingOff();
  impl_->layer->AddActor(impl_->actor);
  impl_->layer->InteractiveOff();
  if (window->GetNumberOfLayers() < 2) window->SetNumberOfLayers(2);
  impl_->layer->SetLayer(1);
  window->AddRenderer(impl_->layer);
}

Overlay::~Overlay() { impl_->window->RemoveRenderer(impl_->layer); }

void Overlay::set_scale(double scale) { impl_->scale = scale; }

Pixel Overlay::size() const {
  // Not GetSize(): that is of the last picture drawn, which may be before the window changed its size.
  int width = 0, height = 0;
  impl_->scene->GetTiledSize(&width, &height);
  return Pixel(width, height) / impl_->scale;
}

Pixel Overlay::project(const Vec3& p) const {
  const Pixel extent = size();
  auto* matrix = impl_->scene->GetActiveCamera()->GetCompositeProjectionTransformMatrix(extent.x() / extent.y(), -1, 1);
  const double in[4] = {p.x(), p.y(), p.z(), 1};
  double out[4] = {0, 0, 0, 1};
  matrix->MultiplyPoint(in, out);
  return {(out[0] / out[3] + 1) / 2 * extent.x(), (out[1] / out[3] + 1) / 2 * extent.y()};
}

void Overlay::clear() {
  impl_->points->Reset();
  impl_->triangles->Reset();
  impl_->colors->Reset();
  for (const auto& text : impl_->texts) text->VisibilityOff();
  impl_->used_texts = 0;
  impl_->height = 0;
}

void Overlay::triangle(const Pixel& a, const Pixel& b, const Pixel& c, const Rgb& color) {
  impl_->height += kStep;
  impl_->put_triangle(impl_->put(a), impl_->put(b), impl_->put(c), color);
}

void Overlay::line(const Pixel& a, const Pixel& b, double width, const Rgb& color) {
  const Pixel along = b - a;
  if (along.norm() < 1e-9) return;
  const Pixel side = Pixel(-along.y(), along.x()).normalized() * (width / 2);
  impl_->height += kStep;
  const auto p = impl_->put(a + side), q = impl_->put(a - side), r = impl_->put(b - side), s = impl_->put(b + side);
  impl_->put_triangle(p, q, r, color);
  impl_->put_triangle(p, r, s, color);
}

void Overlay::box(const Box2& box, const Rgb& fill, const Rgb& border, double border_width) {
  const Pixel lo = box.lo, hi = box.hi;
  triangle(lo, {hi.x(), lo.y()}, hi, fill);
  triangle(lo, hi, {lo.x(), hi.y()}, fill);
  if (border_width <= 0) return;
  const double w = border_width / 2;
  line({lo.x() - w, lo.y()}, {hi.x() + w, lo.y()}, border_width, border);
  line({lo.x() - w, hi.y()}, {hi.x() + w, hi.y()}, border_width, border);
  line({lo.x(), lo.y()}, {lo.x(), hi.y()}, border_width, border);
  line({hi.x(), lo.y()}, {hi.x(), hi.y()}, border_width, border);
}

Pixel Overlay::extent(const std::string& text, const Font& font) const {
  vtkNew<vtkTextProperty> property;
  impl_->apply(font, property);
  int box[4] = {0, 0, 0, 0};
  vtkTextRenderer::GetInstance()->GetBoundingBox(property, text, box, kDpi);
  return Pixel(box[1] - box[0] + 1, font.size * impl_->scale) / impl_->scale;
}

void Overlay::text(const Pixel& at, const std::string& text, const Font& font) {
  if (impl_->used_texts == impl_->texts.size()) {
    auto made = vtkSmartPointer<vtkTextActor>::New();
    made->GetProperty()->SetDisplayLocationToForeground();
    made->SetTextScaleModeToNone();
    impl_->layer->AddActor2D(made);
    impl_->texts.push_back(made);
  }
  auto* actor = impl_->texts[impl_->used_texts++].Get();
  actor->VisibilityOn();
  actor->SetInput(text.c_str());
  impl_->apply(font, actor->GetTextProperty());
  actor->SetDisplayPosition(static_cast<int>(std::lround(at.x() * impl_->scale)),
                            static_cast<int>(std::lround(at.y() * impl_->scale)));
}

void Overlay::commit() {
  // A window on a dense screen brings a resolution of its own; sizes here are scaled already.
  impl_->window->SetDPI(kDpi);
  impl_->points->Modified();
  impl_->triangles->Modified();
  impl_->colors->Modified();
  impl_->flat->Modified();
  const Pixel extent = impl_->scale * size();
  auto* camera = impl_->layer->GetActiveCamera();
  camera->ParallelProjectionOn();
  camera->SetParallelScale(extent.y() / 2);
  camera->SetFocalPoint(extent.x() / 2, extent.y() / 2, 0);
  camera->SetPosition(extent.x() / 2, extent.y() / 2, kStack + 10);
  camera->SetViewUp(0, 1, 0);
  camera->SetClippingRange(1, kStack + 20);
}

}  // namespace baywright::viewer
