#pragma once

#include <vector>

#include <vtkActor.h>
#include <vtkPolyDataMapper.h>
#include <vtkSmartPointer.h>

#include "geometry/files/step_file.hpp"
#include "geometry/vec.hpp"

class vtkPolyData;
class vtkProperty;
class vtkRenderer;

namespace baywright::viewer {

// Actors of a scene and how they look.

using Mapper = vtkSmartPointer<vtkPolyDataMapper>;

inline constexpr double kEdgeWidth_px = 1.1;
/// Facets that turn by more are drawn with an edge between them.
inline constexpr double kSolidCrease_deg = 30;

/// One thing as it is drawn.
struct Drawn {
  vtkSmartPointer<vtkActor> surface, edges;
  Mapper full, likeness;  ///< of the surface; likeness: null where the part is turned as it is
};
void add(vtkRenderer* renderer, const Drawn& drawn);
void remove(vtkRenderer* renderer, const Drawn& drawn);

Mapper mapper_of(vtkPolyData* data);
vtkSmartPointer<vtkActor> actor_of(vtkPolyDataMapper* mapper);

void matte(vtkProperty* property, const Rgb& color);
void glossy(vtkProperty* property, const Rgb& color);
void ink_lines(vtkProperty* property, const Rgb& color, double width);

std::vector<Vec3> points_of(vtkPolyData* data);
void put_points(vtkActor* actor, const std::vector<Vec3>& points);

}  // namespace baywright::viewer
