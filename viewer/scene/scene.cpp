#include "viewer/scene/scene.hpp"

#include <algorithm>
#include <map>
#include <optional>

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
#include "viewer/scene/drawn_duct.hpp"
#include "viewer/scene/palette.hpp"
#include "viewer/scene/part_drawings.hpp"
#include "viewer/scene/part_shapes.hpp"

namespace baywright::viewer {

namespace {

/// Chord error of drawn ducts, mm: below a pixel at any sensible zoom of a bay.
constexpr double kDuctChord_mm = 0.15;
/// The same while one is moved: half a pixel where a duct of a metre fills the view.
constexpr double kMovedChord_mm = 0.5;
/// An outline with more lines than this hides more than it shows.
constexpr vtkIdType kMostGhostLines = 2500;

/// Mappers of one mesh or cloud, and the geometry that keeps its key unique.
struct Converted {
  std::shared_ptr<const void> keep;
  Mapper surface, edges, likeness;
};

vtkSmartPointer<vtkMatrix4x4> matrix_of(const Pose& X) {
  auto matrix = vtkSmartPointer<vtkMatrix4x4>::New();
  const Eigen::Matrix3d R = X.R.toRotationMatrix();
  for (int r = 0; r < 3; ++r) {
    for (int c = 0; c < 3; ++c) matrix->SetElement(r, c, R(r, c));
    matrix->SetElement(r, 3, X.p[r]);
  }
  return matrix;
}

struct ShownDuct {
  DrawnDuct drawn;
  std::optional<duct::Duct> as;  ///< shown in the place of the installation's
};

}  // namespace

struct Scene::Impl {
  vtkRenderer* renderer = nullptr;
  const job::Installation* installation = nullptr;
  PosedState state;
  std::map<const void*, Converted> converted;
  std::vector<Drawn> parts;
  std::vector<Look> looks;
  std::vector<Cut> cuts;
  std::vector<ShownDuct> ducts;
  std::vector<FoundClamp> found_clamps;
  double line_scale = 1;
  int highlit_part = -1;
  PieceRef highlit_piece{-1, -1};
  bool see_through = false;

  bool coarse = false;

  const Converted& convert(const bay::Part& part, const PartDrawings* drawings);
  void remove_all();
  const duct::Duct& duct_of(std::size_t duct) const;
  void draw_duct(std::size_t duct, double chord_mm);
  void dress_part(std::size_t i);
  void dress_duct(std::size_t duct);
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

void Scene::Impl::remove_all() {
  for (const auto& part : parts) remove(renderer, part);
  for (auto& duct : ducts) duct.drawn.remove();
  parts.clear();
  ducts.clear();
  looks.clear();
}

const duct::Duct& Scene::Impl::duct_of(std::size_t duct) const {
  return ducts[duct].as ? *ducts[duct].as : installation->ducts[duct];
}

void Scene::Impl::draw_duct(std::size_t duct, double chord_mm) {
  ducts[duct].drawn.draw(duct_of(duct), chord_mm);
  ducts[duct].drawn.draw_clamps(placed_clamps(installation->workshop, duct_of(duct), found_clamps));
  dress_duct(duct);
}

void Scene::Impl::dress_duct(std::size_t duct) {
  const bool marked = highlit_piece.duct == static_cast<int>(duct);
  ducts[duct].drawn.dress(duct_of(duct), {marked ? highlit_piece.piece : -1, see_through, line_scale});
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

void Scene::Impl::dress_all() {
  for (std::size_t i = 0; i < parts.size(); ++i) dress_part(i);
  for (std::size_t d = 0; d < ducts.size(); ++d) dress_duct(d);
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
  impl_->found_clamps.clear();
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
      add(impl_->renderer, drawn);
    }
    impl_->parts.push_back(drawn);
  }
  impl_->converted = std::move(used);
  impl_->looks.assign(impl_->parts.size(), Look::solid);
  for (std::size_t d = 0; d < installation.ducts.size(); ++d) {
    impl_->ducts.push_back({DrawnDuct(impl_->renderer), std::nullopt});
    impl_->draw_duct(d, kDuctChord_mm);
  }
  cut({});
  impl_->dress_all();
}

void Scene::show_ducts(const job::Installation& installation) {
  EXPECTS(installation.bay.parts.size() == impl_->parts.size());
  EXPECTS(installation.ducts.size() == impl_->ducts.size());
  impl_->installation = &installation;
  impl_->highlit_piece = {-1, -1};
  for (std::size_t d = 0; d < impl_->ducts.size(); ++d) {
    auto& shown = impl_->ducts[d];
    if (shown.as) shown.drawn.forget_shapes();  // drawn coarsely while it moved
    shown.as.reset();
    shown.drawn.set_faded(false);
    impl_->draw_duct(d, kDuctChord_mm);
    shown.drawn.pose(installation, impl_->duct_of(d), impl_->state);
  }
}

void Scene::show_moved(int duct, const duct::Duct* as) {
  const auto d = static_cast<std::size_t>(duct);
  EXPECTS(d < impl_->ducts.size());
  auto& shown = impl_->ducts[d];
  if (as == nullptr && !shown.as) return;
  if (as == nullptr) shown.drawn.forget_shapes();
  shown.as = as ? std::optional(*as) : std::nullopt;
  impl_->draw_duct(d, as ? kMovedChord_mm : kDuctChord_mm);
  if (as == nullptr) shown.drawn.pose(*impl_->installation, impl_->duct_of(d), impl_->state);
}

void Scene::set_faded(int duct, bool faded) {
  const auto d = static_cast<std::size_t>(duct);
  EXPECTS(d < impl_->ducts.size());
  if (impl_->ducts[d].drawn.faded() == faded) return;
  impl_->ducts[d].drawn.set_faded(faded);
  impl_->dress_duct(d);
}

void Scene::show_clamps(std::vector<FoundClamp> found) {
  if (impl_->installation == nullptr) return;
  impl_->found_clamps = std::move(found);
  for (std::size_t d = 0; d < impl_->ducts.size(); ++d) {
    auto& shown = impl_->ducts[d].drawn;
    shown.draw_clamps(placed_clamps(impl_->installation->workshop, impl_->duct_of(d), impl_->found_clamps));
    impl_->dress_duct(d);
    if (!impl_->ducts[d].as) shown.pose(*impl_->installation, impl_->duct_of(d), impl_->state);
  }
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
  for (std::size_t d = 0; d < impl_->ducts.size(); ++d)
    impl_->ducts[d].drawn.pose(installation, impl_->duct_of(d), state);
}

void Scene::also_in(vtkRenderer* renderer, const std::vector<int>& without) const {
  for (std::size_t i = 0; i < impl_->parts.size(); ++i)
    if (std::find(without.begin(), without.end(), static_cast<int>(i)) == without.end()) add(renderer, impl_->parts[i]);
  for (const auto& duct : impl_->ducts) duct.drawn.also_in(renderer);
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
  impl_->ducts[static_cast<std::size_t>(duct)].drawn.set_visible(visible);
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
