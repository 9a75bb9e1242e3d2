// Mouse and keys over the bay: camera, choosing, and taking hold of points.

#include <algorithm>
#include <cmath>

#include <QKeyEvent>
#include <QMouseEvent>
#include <QWheelEvent>

#include "viewer/scene/overlay.hpp"
#include "viewer/scene/scene.hpp"
#include "viewer/window/bay_view.hpp"
#include "viewer/window/turntable.hpp"

namespace baywright::viewer {

namespace {

constexpr double kTurn_rad_per_px = 0.0075;
constexpr int kClick_px = 4;  // a press that moved less is a click

}  // namespace

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
    case QEvent::ShortcutOverride:
      // Nothing else must happen while a point is held: not another view, not another job.
      if (!held_) return QVTKOpenGLNativeWidget::event(event);
      event->accept();
      return true;
    case QEvent::KeyPress:
    case QEvent::KeyRelease:
      if (held_) {
        key_while_held(static_cast<QKeyEvent*>(event));
        return true;
      }
      // The drawing library binds letters of its own; the window's keys are the only ones here.
      return QOpenGLWidget::event(event);  // NOLINT(bugprone-parent-virtual-call)
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

Pixel BayView::pixel_of(const QPointF& at) const { return {at.x(), height() - at.y()}; }

void BayView::hovered(const QPointF& at) {
  if (point_to_handle(at)) return;
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
  if (held_) {
    if (event->button() == Qt::RightButton) Q_EMIT point_drag_cancelled();
    return;
  }
  grabbed_ =
      event->button() == Qt::LeftButton && event->modifiers() == Qt::NoModifier ? handle_under(event->localPos()) : -1;
  press_ = last_ = event->localPos();
  dragging_ = true;
  setFocus();
  const auto hit = hit_at(event->localPos());
  pivot_ = hit ? hit->point_mm : shot_.focal_mm;
}

void BayView::dragged(QMouseEvent* event) {
  if (held_ && held_->dropped) return;  // its last answer is on the way
  if (!dragging_ || event->buttons() == Qt::NoButton) {
    hovered(event->localPos());
    return;
  }
  const QPointF step = event->localPos() - last_;
  last_ = event->localPos();
  if (grabbed_ >= 0) {
    drag_handle(event);
    return;
  }
  const bool pan = event->buttons() & (Qt::RightButton | Qt::MiddleButton) || event->modifiers() & Qt::ShiftModifier;
  if (pan)
    turn_to(panned(shot_, step.x(), -step.y(), height()));
  else
    turn_to(orbited(shot_, pivot_, -kTurn_rad_per_px * step.x(), kTurn_rad_per_px * step.y()));
}

void BayView::drag_handle(QMouseEvent* event) {
  if (!held_) {
    if ((event->localPos() - press_).manhattanLength() <= kClick_px) return;
    const PointHandle handle = handles_[static_cast<std::size_t>(grabbed_)];
    if (handle.freedom.kind == session::PointFreedom::Kind::fixed) return;  // its label says why
    Q_EMIT pick_up_wanted(handle.duct, QString::fromStdString(handle.point.value));
    if (!held_) {  // not now; the status bar says why
      grabbed_ = -1;
      dragging_ = false;
      return;
    }
  }
  held_->drag.hold_nearest(event->modifiers() & Qt::ShiftModifier);
  follow_pointer();
}

void BayView::released(QMouseEvent* event) {
  if (held_) {
    if (event->button() != Qt::LeftButton) return;
    dragging_ = false;
    grabbed_ = -1;
    held_->dropped = true;
    Q_EMIT point_dropped();
    return;
  }
  dragging_ = false;
  if (grabbed_ >= 0) {
    const PointHandle& handle = handles_[static_cast<std::size_t>(grabbed_)];
    grabbed_ = -1;
    if ((event->localPos() - press_).manhattanLength() <= kClick_px)
      Q_EMIT point_clicked(handle.duct, QString::fromStdString(handle.point.value));
    return;
  }
  if ((event->localPos() - press_).manhattanLength() > kClick_px || event->button() != Qt::LeftButton) return;
  if (const auto hit = hit_at(event->localPos()); hit && hit->part >= 0) Q_EMIT part_clicked(hit->part);
}

void BayView::double_clicked(QMouseEvent* event) {
  if (event->button() != Qt::LeftButton || held_ || handle_under(event->localPos()) >= 0) return;
  const auto hit = hit_at(event->localPos());
  if (!hit) return;
  Shot shot = shot_;
  shot.focal_mm = hit->point_mm;
  move_to(shot);
}

void BayView::wheeled(QWheelEvent* event) {
  if (held_) return;                // the way of the pointer is counted in pixels of one camera
  constexpr double kStep = 1.0015;  // per eighth of a degree; a notch is 120 of them
  const QPointF at = event->position();
  turn_to(zoomed(shot_, std::pow(kStep, -event->angleDelta().y()), at.x() - width() / 2.0, height() / 2.0 - at.y(),
                 height()));
}

}  // namespace baywright::viewer
