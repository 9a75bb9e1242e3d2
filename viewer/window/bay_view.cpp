#include "viewer/window/bay_view.hpp"

#include <algorithm>
#include <cmath>

#include <QResizeEvent>

#include <Eigen/Geometry>

#include <vtkGenericOpenGLRenderWindow.h>
#include <vtkRenderWindowInteractor.h>
#include <vtkRenderer.h>

#include "viewer/scene/lighting.hpp"
#include "viewer/scene/map_layer.hpp"
#include "viewer/scene/marks.hpp"
#include "viewer/scene/overlay.hpp"
#include "viewer/scene/scene.hpp"

namespace baywright::viewer {

namespace {

constexpr int kSlow_ms = 200;  // an answer that takes longer is said to be on its way
constexpr int kRest_ms = 250;  // after the last step of a movement full detail comes back

}  // namespace

BayView::BayView(QWidget* parent) : QVTKOpenGLNativeWidget(parent) {
  window_->SetMultiSamples(0);
  setRenderWindow(window_);
  window_->GetInteractor()->SetInteractorStyle(nullptr);
  renderer_->GradientBackgroundOn();
  suit_theme();
  renderer_->SetUseFXAA(true);
  light(renderer_);
  window_->AddRenderer(renderer_);
  scene_ = std::make_unique<Scene>(renderer_);
  overlay_ = std::make_unique<Overlay>(window_, renderer_);
  map_layer_ = std::make_unique<MapLayer>(renderer_);
  held_map_layer_ = std::make_unique<MapLayer>(renderer_);
  slow_.setSingleShot(true);
  slow_.setInterval(kSlow_ms);
  connect(&slow_, &QTimer::timeout, this, [this] {
    if (!held_) return;
    held_->shown.measuring = true;
    draw_soon();
  });
  rest_.setSingleShot(true);
  rest_.setInterval(kRest_ms);
  connect(&rest_, &QTimer::timeout, this, [this] {
    if (scene_->set_coarse(false)) redraw();
  });
  setMouseTracking(true);
  setFocusPolicy(Qt::StrongFocus);
  setAccessibleName(tr("Bay, three-dimensional view"));
  setMinimumSize(320, 240);
}

void BayView::suit_theme() {
  // Edges and tubes are drawn dark: the dark theme gets a middle grey, on which they still stand out.
  const bool dark = palette().color(QPalette::Window).lightness() < 128;
  const Rgb low = dark ? Rgb{0.50F, 0.52F, 0.55F} : Rgb{1.0F, 1.0F, 1.0F};
  const Rgb high = dark ? Rgb{0.38F, 0.40F, 0.43F} : Rgb{0.90F, 0.92F, 0.94F};
  renderer_->SetBackground(low[0], low[1], low[2]);
  renderer_->SetBackground2(high[0], high[1], high[2]);
}

BayView::~BayView() {
  held_map_layer_.reset();
  map_layer_.reset();
  overlay_.reset();
  scene_.reset();
}

double BayView::aspect() const { return static_cast<double>(std::max(1, width())) / std::max(1, height()); }

void BayView::show_bay(const job::Installation& installation, const PartDrawings& drawings) {
  hide_map();
  held_.reset();
  held_map_layer_->clear();
  chosen_point_.reset();
  installation_ = &installation;
  finding_.reset();
  place_.reset();
  posed_.reset();
  opened_ = false;
  station_.reset();
  lent_parts_.clear();
  part_shown_.assign(installation.bay.parts.size(), true);
  duct_shown_.assign(installation.ducts.size(), true);
  scene_->set_line_scale(devicePixelRatioF());
  scene_->show(installation, &drawings);
  sight_.reset();
  collect_handles();
  look_from(Vec3(0.75, 0.55, 0.62));
}

void BayView::show_map(std::vector<measure::SurfaceMap> maps, double range_mm) {
  if (installation_ == nullptr || maps.size() != duct_shown_.size()) return;
  maps_ = std::move(maps);
  map_range_mm_ = range_mm;
  draw_map();
  redraw();
}

void BayView::hide_map() {
  maps_.clear();
  map_layer_->clear();
}

/// Of the ducts that are shown.
void BayView::draw_map() {
  held_map_layer_->set_line_scale(devicePixelRatioF());
  if (maps_.empty()) return;
  std::vector<measure::SurfaceMap> shown;
  for (std::size_t i = 0; i < maps_.size(); ++i) {
    if (!duct_shown_[i]) continue;
    const bool held = held_ && held_->shown.duct == static_cast<int>(i);
    shown.push_back(held ? without_shapes(maps_[i], held_->moved_shapes) : maps_[i]);
  }
  map_layer_->set_line_scale(devicePixelRatioF());
  map_layer_->show(shown, map_range_mm_, installation_->job.units);
}

const PosedState& BayView::shown_pose() const { return scene_->pose(); }

void BayView::clear() {
  hide_map();
  held_.reset();
  held_map_layer_->clear();
  slow_.stop();
  chosen_point_.reset();
  forget_finding();
  station_.reset();
  scene_->clear();
  sight_.reset();
  installation_ = nullptr;
  collect_handles();
  redraw();
}

const Sight& BayView::sight() const {
  if (!sight_) sight_ = std::make_unique<Sight>(*installation_, scene_->pose());
  return *sight_;
}

void BayView::pose(const PosedState& state) {
  scene_->set_pose(state);
  sight_.reset();
  hide_map();  // it was that of another pose
  Q_EMIT posed();
}

void BayView::set_pose(const PosedState& state) {
  if (installation_ == nullptr) return;
  start_moving();
  pose(state);
  if (finding_ && place_) {
    posed_ = finding_at(*installation_, *finding_, *place_, state);
    scene_->highlight(place_->part, place_->piece, posed_->place.interferes);
  }
  redraw();
}

void BayView::forget_finding() {
  finding_.reset();
  place_.reset();
  posed_.reset();
  opened_ = false;
  if (installation_ == nullptr) return;
  scene_->highlight(-1, {-1, -1}, false);
  scene_->cut({});
  for (std::size_t i = 0; i < part_shown_.size(); ++i)
    scene_->set_look(static_cast<int>(i), part_shown_[i] ? Scene::Look::solid : Scene::Look::hidden);
}

bool BayView::show_finding(const checks::Finding& finding) {
  if (installation_ == nullptr) return false;
  forget_finding();
  const auto place = place_of(*installation_, finding);
  if (!place) {
    redraw();
    return false;
  }
  finding_ = finding;
  place_ = place;
  posed_ = PosedFinding{*place, true, {}};
  pose(place->state);
  const Shot shot = close_up(*installation_, *place, aspect());
  open_up(*place, shot);
  move_to(shot);
  return true;
}

void BayView::open_up(const Place& place, const Shot& shot) {
  // What was set aside stays so; what the finding is about is shown even then.
  for (const int part : shot.outlined)
    if (part_shown_[static_cast<std::size_t>(part)]) scene_->set_look(part, Scene::Look::outline);
  if (place.part >= 0) scene_->set_look(place.part, Scene::Look::solid);
  scene_->cut(shot.cuts);
  scene_->highlight(place.part, place.piece, place.interferes);
  opened_ = true;
}

void BayView::renew_finding(const checks::Finding& finding) {
  if (installation_ == nullptr) return;
  const auto place = place_of(*installation_, finding);
  if (!place) return;
  finding_ = finding;
  place_ = place;
  posed_ = finding_at(*installation_, finding, *place, scene_->pose());
  scene_->highlight(place->part, place->piece, posed_->place.interferes);
  redraw();
}

void BayView::show_station(int duct, double station_mm) {
  if (installation_ == nullptr) return;
  forget_finding();
  const auto& one = installation_->ducts[static_cast<std::size_t>(duct)];
  Place place;
  place.state = scene_->pose();
  place.focus_mm = posed_station(*installation_, one, station_mm, place.state);
  place.piece = {duct, piece_at(one.layout, station_mm)};
  constexpr double kSeen_diameters = 2.5;  // of what lies around; the tube alone tells little
  Shot shot = close_up(*installation_, place, aspect());
  shot.half_height_mm =
      std::max(shot.half_height_mm, kSeen_diameters * one.layout.tube_at(station_mm).outer_diameter_mm);
  open_up(place, shot);
  station_ = std::pair(duct, station_mm);
  move_to(shot);
}

void BayView::set_part_shown(int part, bool shown) {
  if (static_cast<std::size_t>(part) >= part_shown_.size()) return;
  part_shown_[static_cast<std::size_t>(part)] = shown;
  scene_->set_look(part, shown ? Scene::Look::solid : Scene::Look::hidden);
  redraw();
}

void BayView::set_duct_shown(int duct, bool shown) {
  if (static_cast<std::size_t>(duct) >= duct_shown_.size()) return;
  duct_shown_[static_cast<std::size_t>(duct)] = shown;
  scene_->set_duct_visible(duct, shown);
  collect_handles();
  draw_map();
  redraw();
}

void BayView::set_stations_shown(bool shown) {
  stations_shown_ = shown;
  redraw();
}

void BayView::mark_station(std::optional<std::pair<int, double>> duct_and_station) {
  station_ = duct_and_station;
  redraw();
}

void BayView::look_from(const Vec3& toward) {
  if (installation_ == nullptr) return;
  move_to(whole_bay(*installation_, toward, aspect()));
}

void BayView::fit() { look_from(shot_.toward); }

void BayView::fit_ducts() {
  if (installation_ == nullptr) return;
  Shot shot = ducts_framed(*installation_, shot_.toward, aspect(), scene_->pose());
  move_to(shot);
}

void BayView::move_to(const Shot& shot) {
  shot_ = shot;
  scene_->aim(shot_);
  redraw();
}

void BayView::start_moving() {
  scene_->set_coarse(true);
  rest_.start();
}

void BayView::turn_to(const Shot& shot) {
  start_moving();
  move_to(shot);
}

void BayView::redraw() {
  draw_overlay();
  window_->Render();
}

void BayView::draw_overlay() {
  overlay_->set_scale(devicePixelRatioF());
  overlay_->clear();
  if (installation_ != nullptr) {
    constexpr double kEdge_px = 6, kAxesRoom_px = 175, kAxesHigh_px = 145, kBarRoom_px = 240, kBarHigh_px = 62,
                     kFocus_px = 60;
    const Pixel size = overlay_->size();
    const Box2 page{{kEdge_px, kEdge_px}, size - Pixel(kEdge_px, kEdge_px)};
    std::vector<Box2> corners = {{{0, 0}, {kAxesRoom_px, kAxesHigh_px}},
                                 {{size.x() - kBarRoom_px, 0}, {size.x(), kBarHigh_px}}};
    const Box2 board = held_ ? board_of(*overlay_, *installation_, held_->shown, page, corners) : Box2();
    std::optional<Box2> scale;
    if (!maps_.empty() || held_) {
      std::vector<Box2> seen;  // what the scale must not cover
      if (held_) seen = {board, room_of(*overlay_, held_->shown)};
      if (posed_ && !held_) {
        const Pixel focus = overlay_->project(posed_->place.focus_mm);
        seen.push_back({focus - Pixel(kFocus_px, kFocus_px), focus + Pixel(kFocus_px, kFocus_px)});
      }
      scale = map_scale_box(*overlay_, seen);
      corners.push_back(*scale);
    }
    if (stations_shown_ && !place_ && !held_)
      for (std::size_t d = 0; d < duct_shown_.size(); ++d)
        if (duct_shown_[d])
          draw_stations(
              *overlay_, *installation_, static_cast<int>(d), sight(), shot_.toward,
              [this](int part) { return scene_->hides(part); }, boxes_of(*overlay_, handles_));
    if (station_) draw_station_mark(*overlay_, *installation_, station_->first, station_->second, scene_->pose(), page);
    if (!held_) draw_points();
    if (posed_ && !held_) {
      std::vector<Box2> keep_off = boxes_of(*overlay_, handles_);
      keep_off.insert(keep_off.end(), corners.begin(), corners.end());
      draw_finding(*overlay_, *installation_, *finding_, *posed_, page, keep_off);
    }
    draw_point_at_hand(board, page, corners);
    draw_axes(*overlay_, shot_.up.cross(shot_.toward), shot_.up, {86, 72}, 40);
    if (scale) {
      const bool some_hidden = std::find(part_shown_.begin(), part_shown_.end(), false) != part_shown_.end();
      draw_map_scale(*overlay_, *scale, held_ ? kHeldMapRange_mm : map_range_mm_, installation_->job.units,
                     some_hidden);
    }
    draw_scale_bar(*overlay_, shot_.half_height_mm, installation_->job.units, 20);
  }
  overlay_->commit();
}

void BayView::resizeEvent(QResizeEvent* event) {
  QVTKOpenGLNativeWidget::resizeEvent(event);
  // The library learns its size when it is first drawn; handles are looked for before, and where nothing can be drawn.
  const double scale = devicePixelRatioF();
  window_->SetSize(static_cast<int>(std::lround(width() * scale)), static_cast<int>(std::lround(height() * scale)));
  draw_overlay();
  // The library draws a picture of the new size before this, with the marks of the old one.
  if (installation_ != nullptr) QTimer::singleShot(0, this, [this] { redraw(); });
}

}  // namespace baywright::viewer
