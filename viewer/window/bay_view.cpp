#include "viewer/window/bay_view.hpp"

#include <algorithm>
#include <cmath>

#include <QMouseEvent>
#include <QResizeEvent>
#include <QWheelEvent>

#include <Eigen/Geometry>

#include <vtkGenericOpenGLRenderWindow.h>
#include <vtkRenderWindowInteractor.h>
#include <vtkRenderer.h>

#include "viewer/scene/lighting.hpp"
#include "viewer/scene/map_layer.hpp"
#include "viewer/scene/marks.hpp"
#include "viewer/scene/overlay.hpp"
#include "viewer/scene/scene.hpp"
#include "viewer/window/turntable.hpp"

namespace baywright::viewer {

namespace {

constexpr double kTurn_rad_per_px = 0.0075;
constexpr int kRest_ms = 250;  // after the last step of a movement full detail comes back
constexpr int kClick_px = 4;   // a press that moved less is a click

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
  map_layer_.reset();
  overlay_.reset();
  scene_.reset();
}

double BayView::aspect() const { return static_cast<double>(std::max(1, width())) / std::max(1, height()); }

void BayView::show_bay(const job::Installation& installation, const PartDrawings& drawings) {
  hide_map();
  installation_ = &installation;
  forget_finding();
  station_.reset();
  part_shown_.assign(installation.bay.parts.size(), true);
  duct_shown_.assign(installation.ducts.size(), true);
  scene_->set_line_scale(devicePixelRatioF());
  scene_->show(installation, &drawings);
  sight_.reset();
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
  if (maps_.empty()) return;
  std::vector<measure::SurfaceMap> shown;
  for (std::size_t i = 0; i < maps_.size(); ++i)
    if (duct_shown_[i]) shown.push_back(maps_[i]);
  map_layer_->set_line_scale(devicePixelRatioF());
  map_layer_->show(shown, map_range_mm_, installation_->job.units);
}

const PosedState& BayView::shown_pose() const { return scene_->pose(); }

void BayView::clear() {
  hide_map();
  forget_finding();
  station_.reset();
  scene_->clear();
  sight_.reset();
  installation_ = nullptr;
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
  // What was set aside stays so; what the finding is about is shown even then.
  for (const int part : shot.outlined)
    if (part_shown_[static_cast<std::size_t>(part)]) scene_->set_look(part, Scene::Look::outline);
  if (place->part >= 0) scene_->set_look(place->part, Scene::Look::solid);
  scene_->cut(shot.cuts);
  scene_->highlight(place->part, place->piece, place->interferes);
  move_to(shot);
  return true;
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
    constexpr double kEdge_px = 6, kAxesRoom_px = 175, kAxesHigh_px = 145, kBarRoom_px = 240, kBarHigh_px = 62;
    const Pixel size = overlay_->size();
    const Box2 page{{kEdge_px, kEdge_px}, size - Pixel(kEdge_px, kEdge_px)};
    const std::vector<Box2> corners = {{{0, 0}, {kAxesRoom_px, kAxesHigh_px}},
                                       {{size.x() - kBarRoom_px, 0}, {size.x(), kBarHigh_px}}};
    if (stations_shown_ && !place_)
      for (std::size_t d = 0; d < duct_shown_.size(); ++d)
        if (duct_shown_[d])
          draw_stations(*overlay_, *installation_, static_cast<int>(d), sight(), shot_.toward,
                        [this](int part) { return scene_->hides(part); });
    if (station_) draw_station_mark(*overlay_, *installation_, station_->first, station_->second, scene_->pose(), page);
    if (posed_) draw_finding(*overlay_, *installation_, *finding_, *posed_, page, corners);
    draw_axes(*overlay_, shot_.up.cross(shot_.toward), shot_.up, {86, 72}, 40);
    if (!maps_.empty()) draw_map_scale(*overlay_, map_range_mm_, installation_->job.units);
    draw_scale_bar(*overlay_, shot_.half_height_mm, installation_->job.units, 20);
  }
  overlay_->commit();
}

void BayView::resizeEvent(QResizeEvent* event) {
  QVTKOpenGLNativeWidget::resizeEvent(event);
  draw_overlay();
}

bool BayView::event(QEvent* event) {
  switch (event->type()) {
    case QEvent::MouseButtonPress:
      pressed(static_cast<QMouseEvent*>(event));
      return true;
    case QEvent::MouseMove:
      dragged(static_cast<QMouseEvent*>(event));
      return true;
    case QEvent::MouseButtonRelease:
      released(static_cast<QMouseEvent*>(event));
      return true;
    case QEvent::PaletteChange:
      suit_theme();
      return QVTKOpenGLNativeWidget::event(event);
    case QEvent::Leave:
      Q_EMIT left();
      return QVTKOpenGLNativeWidget::event(event);
    case QEvent::Wheel:
      wheeled(static_cast<QWheelEvent*>(event));
      return true;
    case QEvent::MouseButtonDblClick:
      double_clicked(static_cast<QMouseEvent*>(event));
      return true;
    case QEvent::KeyPress:
    case QEvent::KeyRelease:
      // The drawing library binds letters of its own; the window's keys are the only ones here.
      return QOpenGLWidget::event(event);
    default:
      return QVTKOpenGLNativeWidget::event(event);
  }
}

std::optional<Sight::Hit> BayView::hit_at(const QPointF& at) const {
  if (installation_ == nullptr) return std::nullopt;
  constexpr double kFar_mm = 20000;
  const double mm_per_px = 2 * shot_.half_height_mm / std::max(1, height());
  const Vec3 eye =
      shot_.focal_mm + kFar_mm * shot_.toward +
      mm_per_px * ((at.x() - width() / 2.0) * shot_.up.cross(shot_.toward) + (height() / 2.0 - at.y()) * shot_.up);
  const auto start = [&](int part) {
    double from_mm = 0;
    for (const auto& cut : scene_->cuts())
      if (cut.part == part)
        from_mm = std::max(from_mm, (cut.point_mm - eye).dot(cut.normal) / -shot_.toward.dot(cut.normal));
    return from_mm;
  };
  return sight().first(
      eye, -shot_.toward, [&](int part) { return scene_->look(part) == Scene::Look::solid; },
      [&](int duct) { return static_cast<bool>(duct_shown_[static_cast<std::size_t>(duct)]); }, start);
}

QString BayView::name_of(const Sight::Hit& hit) const {
  if (hit.part >= 0) {
    const auto& part = installation_->bay.parts[static_cast<std::size_t>(hit.part)];
    return QString::fromStdString(part.name.empty() ? part.id.value : part.name);
  }
  const auto& duct = installation_->ducts[static_cast<std::size_t>(hit.piece.duct)];
  return QString::fromStdString((duct.spec.name.empty() ? duct.spec.id.value : duct.spec.name) + ": " +
                                duct.layout.pieces[static_cast<std::size_t>(hit.piece.piece)].name);
}

void BayView::hovered(const QPointF& at) {
  const auto hit = hit_at(at);
  if (!hit) {
    Q_EMIT pointed({});
    return;
  }
  const auto& units = installation_->job.units;
  const auto number = [&](double v) { return QString::fromStdString(format_number(v, Unit::mm, units)); };
  Q_EMIT pointed(tr("%1   x %2  y %3  z %4 %5")
                     .arg(name_of(*hit), number(hit->point_mm.x()), number(hit->point_mm.y()),
                          number(hit->point_mm.z()), QString::fromUtf8(symbol(Unit::mm, units).data())));
  if (hit->piece.duct >= 0)
    Q_EMIT station_pointed(hit->piece.duct, nearest_station(*installation_, hit->piece, hit->point_mm, scene_->pose()));
}

void BayView::pressed(QMouseEvent* event) {
  press_ = last_ = event->localPos();
  dragging_ = true;
  setFocus();
  const auto hit = hit_at(event->localPos());
  pivot_ = hit ? hit->point_mm : shot_.focal_mm;
}

void BayView::dragged(QMouseEvent* event) {
  if (!dragging_ || event->buttons() == Qt::NoButton) {
    hovered(event->localPos());
    return;
  }
  const QPointF step = event->localPos() - last_;
  last_ = event->localPos();
  const bool pan = event->buttons() & (Qt::RightButton | Qt::MiddleButton) || event->modifiers() & Qt::ShiftModifier;
  if (pan)
    turn_to(panned(shot_, step.x(), -step.y(), height()));
  else
    turn_to(orbited(shot_, pivot_, -kTurn_rad_per_px * step.x(), kTurn_rad_per_px * step.y()));
}

void BayView::released(QMouseEvent* event) {
  dragging_ = false;
  if ((event->localPos() - press_).manhattanLength() > kClick_px || event->button() != Qt::LeftButton) return;
  if (const auto hit = hit_at(event->localPos()); hit && hit->part >= 0) Q_EMIT part_clicked(hit->part);
}

void BayView::double_clicked(QMouseEvent* event) {
  if (event->button() != Qt::LeftButton) return;
  const auto hit = hit_at(event->localPos());
  if (!hit) return;
  Shot shot = shot_;
  shot.focal_mm = hit->point_mm;
  move_to(shot);
}

void BayView::wheeled(QWheelEvent* event) {
  constexpr double kStep = 1.0015;  // per eighth of a degree; a notch is 120 of them
  const QPointF at = event->position();
  turn_to(zoomed(shot_, std::pow(kStep, -event->angleDelta().y()), at.x() - width() / 2.0, height() / 2.0 - at.y(),
                 height()));
}

}  // namespace baywright::viewer
