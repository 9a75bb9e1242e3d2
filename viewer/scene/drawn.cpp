#include "viewer/scene/drawn.hpp"

#include <vtkPoints.h>
#include <vtkPolyData.h>
#include <vtkProperty.h>
#include <vtkRenderer.h>

namespace baywright::viewer {

namespace {

void paint(vtkProperty* property, const Rgb& color) { property->SetColor(color[0], color[1], color[2]); }

}  // namespace

void add(vtkRenderer* renderer, const Drawn& drawn) {
  renderer->AddActor(drawn.surface);
  if (drawn.edges) renderer->AddActor(drawn.edges);
}

void remove(vtkRenderer* renderer, const Drawn& drawn) {
  if (drawn.surface) renderer->RemoveActor(drawn.surface);
  if (drawn.edges) renderer->RemoveActor(drawn.edges);
}

Mapper mapper_of(vtkPolyData* data) {
  auto mapper = Mapper::New();
  mapper->SetInputData(data);
  mapper->ScalarVisibilityOff();
  mapper->SetStatic(1);
  mapper->SetResolveCoincidentTopologyToPolygonOffset();
  return mapper;
}

vtkSmartPointer<vtkActor> actor_of(vtkPolyDataMapper* mapper) {
  auto actor = vtkSmartPointer<vtkActor>::New();
  actor->SetMapper(mapper);
  return actor;
}

void matte(vtkProperty* property, const Rgb& color) {
  paint(property, color);
  property->SetInterpolationToPhong();
  property->SetAmbient(0.22);
  property->SetDiffuse(0.78);
  property->SetSpecular(0);
}

void glossy(vtkProperty* property, const Rgb& color) {
  matte(property, color);
  property->SetSpecular(0.22);
  property->SetSpecularPower(24);
}

void ink_lines(vtkProperty* property, const Rgb& color, double width) {
  paint(property, color);
  property->LightingOff();
  property->SetLineWidth(static_cast<float>(width));
}

std::vector<Vec3> points_of(vtkPolyData* data) {
  std::vector<Vec3> points(static_cast<std::size_t>(data->GetNumberOfPoints()));
  for (std::size_t i = 0; i < points.size(); ++i) data->GetPoint(static_cast<vtkIdType>(i), points[i].data());
  return points;
}

void put_points(vtkActor* actor, const std::vector<Vec3>& points) {
  auto* data = vtkPolyData::SafeDownCast(actor->GetMapper()->GetInput());
  auto* target = data->GetPoints();
  for (std::size_t i = 0; i < points.size(); ++i) target->SetPoint(static_cast<vtkIdType>(i), points[i].data());
  target->Modified();
  data->Modified();
  actor->GetMapper()->Modified();
}

}  // namespace baywright::viewer
