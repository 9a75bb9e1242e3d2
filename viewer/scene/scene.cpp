#include "viewer/scene/scene.hpp"

#include <algorithm>
#include <map>

#include <vtkActor.h>
#include <vtkCamera.h>
#include <vtkFloatArray.h>
#include <vtkMath.h>
#include <vtkMatrix4x4.h>
#include <vtkPlane.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>
#include <vtkPolyDataMapper.h>
#include <vtkProperty.h>
#include <vtkRenderer.h>
#include <vtkSmartPointer.h>

#include "geometry/base/expects.hpp"
#include "viewer/scene/palette.hpp"
#include "viewer/scene/part_drawings.hpp"
#include "viewer/scene/part_shapes.hpp"

namespace baywright::viewer {

namespace {

constexpr double kSolidCrease_deg = 30;
/// Chord error of drawn ducts, mm: below a pixel at any sensible zoom of a bay.
constexpr double kDuctChord_mm = 0.15;
constexpr double kEdgeWidth_px = 1.1;
/// An outline with more lines than this hides more than it shows.
constexpr vtkIdType kMostGhostLines = 2500;

using Mapper = vtkSmartPointer<vtkPolyDataMapper>;

/// Mappers of one mesh or cloud, and the geometry that keeps its key unique.
struct Converted {
  std::shared_ptr<const void> keep;
  Mapper surface, edges, likeness;
};

struct Drawn {
  vtkSmartPointer<vtkActor> surface, edges;
  Mapper full, likeness;  ///< of the surface; likeness: null where the part is turned as it is
};

struct DrawnPiece {
  Drawn drawn;
  std::vector<Vec3> rest_surface, rest_edges;
  bool moved = false;
};

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

void paint(vtkProperty* property, const Rgb& color) { property->SetColor(color[0], color[1], color[2]); }

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

vtkSmartPointer<vtkMatrix4x4> matrix_of(const Pose& X) {
  auto matrix = vtkSmartPointer<vtkMatrix4x4>::New();
  const Eigen::Matrix3d R = X.R.toRotationMatrix();
  for (int r = 0; r < 3; ++r) {
    for (int c = 0; c < 3; ++c) matrix->SetElement(r, c, R(r, c));
    matrix->SetElement(r, 3, X.p[r]);
  }
  return matrix;
}

}  // namespace

struct Scene::Impl {
  vtkRenderer* renderer = nullptr;
  const job::Installation* installation = nullptr;
  PosedState state;
  std::map<const void*, Converted> converted;
  std::vector<Drawn> parts;
  std::vector<Look> looks;
  std::vector<Cut> cuts;
  std::vector<std::vector<DrawnPiece>> ducts;
  double line_scale = 1;
  int highlit_part = -1;
  PieceRef highlit_piece{-1, -1};
  bool see_through = false;

  bool coarse = false;

  const Converted& convert(const bay::Part& part, const PartDrawings* drawings);
  void add(const Drawn& drawn) const;
  void remove_all();
  void add_piece(const duct::Piece& piece, std::vector<DrawnPiece>& into);
  void dress_part(std::size_t i);
  void dress_piece(int duct, int piece);
  void dress_all();
};

const Converted& Scene::Impl::convert(const bay::Part& part, const PartDrawings* drawings) {
  const std::shared_ptr<const void> geometry = part.mesh ? std::shared_ptr<const void>(part.mesh) : part.cloud;
  auto& made = converted[geometry.get()];
  if (made.surface) return made;
  PartDrawing drawing;
  if (drawings != nullptr)
    if (const auto found = drawings->by_geometry.find(geometry.get()); found != drawings->by_geometry.end())
      drawing = found->second;
  if (!drawing.surface) drawing = draw_part(part);
  made.keep = geometry;
  made.surface = mapper_of(drawing.surface);
  if (drawing.edges) made.edges = mapper_of(drawing.edges);
  if (drawing.likeness) made.likeness = mapper_of(drawing.likeness);
  return made;
}

void Scene::Impl::add(const Drawn& drawn) const {
  renderer->AddActor(drawn.surface);
  if (drawn.edges) renderer->AddActor(drawn.edges);
}

void Scene::Impl::remove_all() {
  const auto remove = [&](const Drawn& drawn) {
    if (drawn.surface) renderer->RemoveActor(drawn.surface);
    if (drawn.edges) renderer->RemoveActor(drawn.edges);
  };
  for (const auto& part : parts) remove(part);
  for (const auto& pieces : ducts)
    for (const auto& piece : pieces) remove(piece.drawn);
  parts.clear();
  ducts.clear();
  looks.clear();
}

void Scene::Impl::add_piece(const duct::Piece& piece, std::vector<DrawnPiece>& into) {
  const TriMesh mesh = piece_mesh(piece, kDuctChord_mm);
  DrawnPiece made;
  made.drawn.surface = actor_of(mapper_of(shaded_surface(mesh, kSolidCrease_deg)));
  made.drawn.edges = actor_of(mapper_of(polylines(piece_rims(piece))));
  made.drawn.surface->GetMapper()->SetStatic(0);
  made.drawn.edges->GetMapper()->SetStatic(0);
  made.rest_surface = points_of(vtkPolyData::SafeDownCast(made.drawn.surface->GetMapper()->GetInput()));
  made.rest_edges = points_of(vtkPolyData::SafeDownCast(made.drawn.edges->GetMapper()->GetInput()));
  add(made.drawn);
  into.push_back(std::move(made));
}

void Scene::Impl::dress_part(std::size_t i) {
  const auto& part = installation->bay.parts[i];
  const auto& drawn = parts[i];
  if (!drawn.surface) return;
  const bool marked = static_cast<int>(i) == highlit_part;
  // A scan is the whole bay in one mesh: colouring it would point at nothing.
  matte(drawn.surface->GetProperty(), marked && !is_scan(part) ? kHighlight : part_color(part));
  if (part.cloud) drawn.surface->GetProperty()->SetPointSize(static_cast<float>(2 * line_scale));
  drawn.surface->SetVisibility(looks[i] == Look::solid);
  if (!drawn.edges) return;
  const bool ghost = looks[i] == Look::outline;
  ink_lines(drawn.edges->GetProperty(), ghost ? kGhost : kInk,
            line_scale * kEdgeWidth_px *
                (marked  ? 2.0
                 : ghost ? 0.8
                         : 1.0));
  const auto lines = vtkPolyData::SafeDownCast(drawn.edges->GetMapper()->GetInput())->GetNumberOfLines();
  drawn.edges->SetVisibility(looks[i] == Look::solid || (ghost && lines <= kMostGhostLines));
}

void Scene::Impl::dress_piece(int duct, int piece) {
  const auto& drawn = ducts[static_cast<std::size_t>(duct)][static_cast<std::size_t>(piece)].drawn;
  const auto& spec = installation->ducts[static_cast<std::size_t>(duct)].layout.pieces[static_cast<std::size_t>(piece)];
  const bool marked = highlit_piece == PieceRef{duct, piece};
  glossy(drawn.surface->GetProperty(), piece_color(spec, piece));
  drawn.surface->GetProperty()->SetOpacity(marked && see_through ? 0.5 : 1.0);
  drawn.surface->GetProperty()->SetBackfaceCulling(marked && see_through);
  ink_lines(drawn.edges->GetProperty(), kInk, line_scale * kEdgeWidth_px * (marked ? 1.8 : 1.0));
}

void Scene::Impl::dress_all() {
  for (std::size_t i = 0; i < parts.size(); ++i) dress_part(i);
  for (std::size_t d = 0; d < ducts.size(); ++d)
    for (std::size_t p = 0; p < ducts[d].size(); ++p) dress_piece(static_cast<int>(d), static_cast<int>(p));
}

Scene::Scene(vtkRenderer* renderer) : impl_(std::make_unique<Impl>()) { impl_->renderer = renderer; }
Scene::~Scene() { impl_->remove_all(); }

void Scene::clear() {
  impl_->remove_all();
  impl_->installation = nullptr;
  impl_->converted.clear();
}

void Scene::show(const job::Installation& installation, const PartDrawings* drawings) {
  impl_->remove_all();
  impl_->installation = &installation;
  impl_->state = at_rest(installation);
  impl_->highlit_part = -1;
  impl_->highlit_piece = {-1, -1};
  impl_->see_through = false;
  impl_->coarse = false;
  std::map<const void*, Converted> used;
  for (const auto& part : installation.bay.parts) {
    Drawn drawn;
    if (part.mesh || part.cloud) {
      const auto& made = impl_->convert(part, drawings);
      used[made.keep.get()] = made;
      drawn.surface = actor_of(made.surface);
      drawn.full = made.surface;
      drawn.likeness = made.likeness;
      if (made.edges) drawn.edges = actor_of(made.edges);
      impl_->add(drawn);
    }
    impl_->parts.push_back(drawn);
  }
  impl_->converted = std::move(used);
  impl_->looks.assign(impl_->parts.size(), Look::solid);
  for (const auto& duct : installation.ducts) {
    std::vector<DrawnPiece> pieces;
    for (const auto& piece : duct.layout.pieces) impl_->add_piece(piece, pieces);
    impl_->ducts.push_back(std::move(pieces));
  }
  cut({});
  impl_->dress_all();
}

void Scene::set_pose(const PosedState& state) {
  if (impl_->installation == nullptr) return;
  const auto& installation = *impl_->installation;
  impl_->state = state;
  for (std::size_t i = 0; i < impl_->parts.size(); ++i) {
    const auto& drawn = impl_->parts[i];
    if (!drawn.surface) continue;
    const auto matrix = matrix_of(body_pose(installation.bay, installation.bay.parts[i].body, state));
    drawn.surface->SetUserMatrix(matrix);
    if (drawn.edges) drawn.edges->SetUserMatrix(matrix);
  }
  const bool moves = !is_at_rest(state);
  for (std::size_t d = 0; d < impl_->ducts.size(); ++d) {
    for (std::size_t p = 0; p < impl_->ducts[d].size(); ++p) {
      auto& drawn = impl_->ducts[d][p];
      if (!moves && !drawn.moved) continue;
      const auto& piece = installation.ducts[d].layout.pieces[p];
      put_points(drawn.drawn.surface, carried(installation, piece, state, drawn.rest_surface));
      put_points(drawn.drawn.edges, carried(installation, piece, state, drawn.rest_edges));
      drawn.moved = moves;
    }
  }
}

void Scene::also_in(vtkRenderer* renderer, const std::vector<int>& without) const {
  const auto add = [&](const Drawn& drawn) {
    if (drawn.surface) renderer->AddActor(drawn.surface);
    if (drawn.edges) renderer->AddActor(drawn.edges);
  };
  for (std::size_t i = 0; i < impl_->parts.size(); ++i)
    if (std::find(without.begin(), without.end(), static_cast<int>(i)) == without.end()) add(impl_->parts[i]);
  for (const auto& pieces : impl_->ducts)
    for (const auto& piece : pieces) add(piece.drawn);
}

Scene::Look Scene::look(int part) const {
  EXPECTS(static_cast<std::size_t>(part) < impl_->looks.size());
  return impl_->looks[static_cast<std::size_t>(part)];
}
bool Scene::hides(int part) const {
  const auto& all = impl_->cuts;
  return look(part) == Look::solid &&
         std::none_of(all.begin(), all.end(), [&](const Cut& cut) { return cut.part == part; });
}
const std::vector<Cut>& Scene::cuts() const { return impl_->cuts; }
const PosedState& Scene::pose() const { return impl_->state; }
const job::Installation* Scene::installation() const { return impl_->installation; }

void Scene::set_look(int part, Look look) {
  const auto i = static_cast<std::size_t>(part);
  EXPECTS(i < impl_->looks.size());
  impl_->looks[i] = look;
  impl_->dress_part(i);
}

void Scene::set_duct_visible(int duct, bool visible) {
  EXPECTS(static_cast<std::size_t>(duct) < impl_->ducts.size());
  for (const auto& piece : impl_->ducts[static_cast<std::size_t>(duct)]) {
    piece.drawn.surface->SetVisibility(visible);
    piece.drawn.edges->SetVisibility(visible);
  }
}

void Scene::cut(const std::vector<Cut>& cuts) {
  impl_->cuts = cuts;
  const auto all_mappers = [](const Drawn& part, auto apply) {
    if (part.full) apply(part.full.Get());
    if (part.likeness) apply(part.likeness.Get());
    if (part.edges) apply(vtkPolyDataMapper::SafeDownCast(part.edges->GetMapper()));
  };
  for (const auto& part : impl_->parts) all_mappers(part, [](vtkPolyDataMapper* m) { m->RemoveAllClippingPlanes(); });
  for (const auto& one : cuts) {
    const auto& part = impl_->parts[static_cast<std::size_t>(one.part)];
    vtkSmartPointer<vtkPlane> plane = vtkSmartPointer<vtkPlane>::New();
    plane->SetOrigin(one.point_mm.x(), one.point_mm.y(), one.point_mm.z());
    plane->SetNormal(one.normal.x(), one.normal.y(), one.normal.z());
    all_mappers(part, [&](vtkPolyDataMapper* m) { m->AddClippingPlane(plane); });
  }
}

bool Scene::set_coarse(bool coarse) {
  if (coarse == impl_->coarse) return false;
  impl_->coarse = coarse;
  bool changed = false;
  for (const auto& part : impl_->parts) {
    if (!part.likeness) continue;
    part.surface->SetMapper(coarse ? part.likeness : part.full);
    changed = true;
  }
  return changed;
}

void Scene::highlight(int part, PieceRef piece, bool see_through) {
  impl_->highlit_part = part;
  impl_->highlit_piece = piece;
  impl_->see_through = see_through;
  impl_->dress_all();
}

void Scene::set_line_scale(double scale) {
  impl_->line_scale = scale;
  if (impl_->installation != nullptr) impl_->dress_all();
}

void Scene::aim(const Shot& shot) { viewer::aim(impl_->renderer, shot); }

void aim(vtkRenderer* renderer, const Shot& shot) {
  // Parallel projection: any eye outside the bay sees the same. The nearer one gives finer depths.
  constexpr double kRoom_mm = 100;
  double nearest_mm = 0;
  double box[6];
  renderer->ComputeVisiblePropBounds(box);
  for (int i = 0; i < 8 && vtkMath::AreBoundsInitialized(box) != 0; ++i)
    nearest_mm = std::max(
        nearest_mm, (Vec3(box[i & 1], box[2 + (i >> 1 & 1)], box[4 + (i >> 2)]) - shot.focal_mm).dot(shot.toward));
  auto* camera = renderer->GetActiveCamera();
  const Vec3 eye = shot.focal_mm + (nearest_mm + kRoom_mm) * shot.toward;
  camera->ParallelProjectionOn();
  camera->SetFocalPoint(shot.focal_mm.data());
  camera->SetPosition(eye.data());
  camera->SetViewUp(shot.up.data());
  camera->SetParallelScale(shot.half_height_mm);
  renderer->ResetCameraClippingRange();
}

}  // namespace baywright::viewer
