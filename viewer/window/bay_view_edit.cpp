// Intersection points over the bay: their handles, and a point that is held.

#include <algorithm>

#include <QKeyEvent>

#include "geometry/base/expects.hpp"
#include "viewer/scene/map_layer.hpp"
#include "viewer/scene/overlay.hpp"
#include "viewer/scene/scene.hpp"
#include "viewer/window/bay_view.hpp"

namespace baywright::viewer {

void BayView::set_points_shown(bool shown) {
  points_shown_ = shown;
  collect_handles();
  redraw();
}

void BayView::collect_handles() {
  handles_.clear();
  pointed_handle_ = -1;
  if (installation_ == nullptr || !points_shown_) return;
  for (std::size_t d = 0; d < installation_->ducts.size(); ++d) {
    if (!duct_shown_[d]) continue;
    const auto more = handles_of(installation_->ducts[d], static_cast<int>(d));
    handles_.insert(handles_.end(), more.begin(), more.end());
  }
}

int BayView::handle_under(const QPointF& at) const {
  return installation_ == nullptr ? -1 : handle_at(*overlay_, handles_, pixel_of(at));
}

/// The handle under the pointer comes before what lies behind it.
bool BayView::point_to_handle(const QPointF& at) {
  const int handle = handle_under(at);
  if (handle != pointed_handle_) {
    pointed_handle_ = handle;
    const bool moves =
        handle >= 0 && handles_[static_cast<std::size_t>(handle)].freedom.kind != session::PointFreedom::Kind::fixed;
    setCursor(moves ? Qt::OpenHandCursor : Qt::ArrowCursor);
    start_moving();
    redraw();
  }
  if (handle < 0) return false;
  const PointHandle& one = handles_[static_cast<std::size_t>(handle)];
  QString text = QString::fromStdString(one.point.value + "   " + place_text(one.p_mm, installation_->job.units));
  if (one.freedom.kind != session::PointFreedom::Kind::fixed)
    text += tr("   drag to move; Shift, X, Y, Z along an axis; Esc puts it back");
  else
    text += QStringLiteral("   ") + QString::fromStdString(one.freedom.why);
  Q_EMIT pointed(text);
  return true;
}

void BayView::draw_points() {
  int chosen = -1;
  for (std::size_t i = 0; i < handles_.size() && chosen_point_; ++i)
    if (handles_[i].duct == chosen_point_->first && handles_[i].point == chosen_point_->second)
      chosen = static_cast<int>(i);
  draw_handles(*overlay_, handles_, {pointed_handle_, chosen});
}

/// The point that is held or under the pointer, over everything else.
void BayView::draw_point_at_hand(const Box2& board, const Box2& page, const std::vector<Box2>& corners) {
  if (held_)
    draw_held_point(*overlay_, *installation_, held_->shown, board, page, corners);
  else if (pointed_handle_ >= 0)
    draw_pointed_handle(*overlay_, handles_[static_cast<std::size_t>(pointed_handle_)], installation_->job.units, page,
                        corners);
}

/// What a held point is told to be nearest to is seen, even where it was set aside: in outline, so that it hides
/// nothing.
void BayView::show_nearest_parts() {
  std::vector<int> nearest;
  if (held_ && held_->shown.step)
    for (const auto& tightest : {held_->shown.step->tightest_at_rest, held_->shown.step->tightest_over_motion})
      if (tightest) nearest.push_back(tightest->pair.part);
  for (const int part : lent_parts_)
    if (std::find(nearest.begin(), nearest.end(), part) == nearest.end() &&
        !part_shown_[static_cast<std::size_t>(part)])
      scene_->set_look(part, Scene::Look::hidden);
  lent_parts_.clear();
  for (const int part : nearest) {
    if (part_shown_[static_cast<std::size_t>(part)]) continue;
    scene_->set_look(part, Scene::Look::outline);
    lent_parts_.push_back(part);
  }
}

std::optional<QPointF> BayView::handle_place(int duct, const duct::PointId& point) const {
  for (const PointHandle& handle : handles_) {
    if (handle.duct != duct || handle.point != point) continue;
    const Pixel at = overlay_->project(handle.p_mm);
    return QPointF(at.x(), height() - at.y());
  }
  return std::nullopt;
}

void BayView::choose_point(int duct, const duct::PointId& point) {
  chosen_point_ = std::pair(duct, point);
  redraw();
}

void BayView::hold_point(int duct, const duct::PointId& point) {
  EXPECTS(installation_ != nullptr);
  const auto found = std::find_if(handles_.begin(), handles_.end(),
                                  [&](const PointHandle& h) { return h.duct == duct && h.point == point; });
  if (found == handles_.end()) return;
  Held held{{duct, *found, {}, {}, {}, false, {}, {}},
            PointDrag(found->p_mm, found->freedom, shot_, height(), installation_->job.units),
            false,
            {}};
  held_.emplace(std::move(held));
  setCursor(Qt::ClosedHandCursor);
}

void BayView::follow_pointer() {
  if (!held_) return;
  const double right = last_.x() - press_.x(), up = press_.y() - last_.y();
  held_->shown.lock_mm = held_->drag.axis(right, up);
  held_->shown.lock = held_->drag.axis_text(right, up);
  carry_point(held_->drag.at(right, up));
}

void BayView::carry_point(const Vec3& to_mm) {
  if (!held_) return;
  if (to_mm != held_->shown.handle.p_mm) {
    held_->shown.handle.p_mm = to_mm;
    if (!slow_.isActive()) slow_.start();
    Q_EMIT point_dragged(to_mm);
  }
  draw_soon();
}

void BayView::key_while_held(QKeyEvent* event) {
  if (event->type() == QEvent::KeyPress && event->key() == Qt::Key_Escape) {
    Q_EMIT point_drag_cancelled();
    return;
  }
  if (held_->dropped) return;
  if (event->key() == Qt::Key_Shift) held_->drag.hold_nearest(event->type() == QEvent::KeyPress);
  if (event->type() == QEvent::KeyPress && !event->isAutoRepeat()) {
    if (event->key() == Qt::Key_X) held_->drag.toggle_axis(0);
    if (event->key() == Qt::Key_Y) held_->drag.toggle_axis(1);
    if (event->key() == Qt::Key_Z) held_->drag.toggle_axis(2);
  }
  follow_pointer();
}

void BayView::show_step(const std::shared_ptr<const session::DragStep>& step, const Vec3& to_mm) {
  if (!held_) return;
  held_->shown.step = step;
  held_->shown.refusal.clear();
  held_->fresh = true;
  answered(to_mm);
}

void BayView::show_refusal(const QString& why, const Vec3& to_mm) {
  if (!held_) return;
  held_->shown.refusal = why.toStdString();
  held_->shown.refused_mm = to_mm;
  answered(to_mm);
}

void BayView::answered(const Vec3& to_mm) {
  held_->shown.measuring = false;
  slow_.stop();
  if (to_mm != held_->shown.handle.p_mm) slow_.start();
  draw_soon();
}

void BayView::let_point_go() {
  if (!held_) return;
  const int duct = held_->shown.duct;
  held_.reset();
  slow_.stop();
  grabbed_ = -1;
  dragging_ = false;
  held_map_layer_->clear();
  if (installation_ != nullptr) {
    scene_->show_moved(duct, nullptr);
    scene_->set_faded(duct, false);
    show_nearest_parts();
  }
  setCursor(Qt::ArrowCursor);
  draw_map();
  redraw();
}

/// Answers come faster than pictures can be drawn: the newest one is drawn when the rest has been heard.
void BayView::draw_soon() {
  if (drawing_soon_) return;
  drawing_soon_ = true;
  QTimer::singleShot(0, this, [this] {
    drawing_soon_ = false;
    if (!held_) return;
    start_moving();
    draw_held_duct();
    redraw();
  });
}

void BayView::draw_held_duct() {
  const int duct = held_->shown.duct;
  const bool refused = !held_->shown.refusal.empty();
  scene_->set_faded(duct, refused);
  if (refused) held_map_layer_->clear();  // no colours on what cannot be made as it is held
  if (!held_->fresh || !held_->shown.step || refused) return;
  held_->fresh = false;
  const session::DragStep& step = *held_->shown.step;
  scene_->show_moved(duct, &step.duct);
  show_nearest_parts();
  if (step.map.patches.empty())
    held_map_layer_->clear();
  else
    held_map_layer_->show({step.map}, kHeldMapRange_mm, installation_->job.units);
  if (step.clearance.shapes != held_->moved_shapes) {
    held_->moved_shapes = step.clearance.shapes;
    draw_map();
  }
}

void BayView::show_clamps(const checks::Evaluation& evaluation) {
  if (installation_ == nullptr) return;
  scene_->show_clamps(found_clamps(evaluation));
  redraw();
}

void BayView::show_ducts(const job::Installation& installation) {
  hide_map();
  held_.reset();
  show_nearest_parts();
  held_map_layer_->clear();
  slow_.stop();
  installation_ = &installation;
  scene_->show_ducts(installation);
  sight_.reset();
  // The camera and what was cut open for a finding stay; its numbers are those of the ducts before.
  finding_.reset();
  place_.reset();
  posed_.reset();
  scene_->highlight(-1, {-1, -1}, false);
  station_.reset();
  collect_handles();
  setCursor(Qt::ArrowCursor);
  redraw();
}

}  // namespace baywright::viewer
