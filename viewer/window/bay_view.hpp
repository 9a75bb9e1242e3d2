#pragma once

#include <QVTKOpenGLNativeWidget.h>

#include <memory>
#include <optional>

#include <vtkNew.h>

#include "checks/finding.hpp"
#include "viewer/scene/sight.hpp"
#include "viewer/scene/views.hpp"

class vtkGenericOpenGLRenderWindow;
class vtkRenderer;

namespace baywright::viewer {

class Overlay;
class Scene;

/// The bay in three dimensions. Left drag turns about the point under the pointer, right or shift drag moves, the
/// wheel zooms to the pointer, a click chooses a part.
class BayView : public QVTKOpenGLNativeWidget {
  Q_OBJECT

 public:
  explicit BayView(QWidget* parent = nullptr);
  ~BayView() override;

  /// The installation must outlive the next call of show_bay or clear.
  void show_bay(const job::Installation& installation);
  void clear();
  void set_pose(const PosedState& state);
  /// Camera to the place, its pose, its dimension; false when the finding names no place.
  bool show_finding(const checks::Finding& finding);
  void forget_finding();
  void set_part_shown(int part, bool shown);
  void set_duct_shown(int duct, bool shown);
  void set_stations_shown(bool shown);
  /// Station pointed at elsewhere; nullopt: none.
  void mark_station(std::optional<std::pair<int, double>> duct_and_station);

  /// View of everything from a direction toward the eye.
  void look_from(const Vec3& toward);
  void fit();        ///< everything, from where the camera is
  void fit_ducts();  ///< the ducts
  void redraw();

 Q_SIGNALS:
  void pointed(const QString& text);  ///< what lies under the pointer
  void part_clicked(int part);
  void station_pointed(int duct, double station_mm);

 protected:
  bool event(QEvent* event) override;
  void resizeEvent(QResizeEvent* event) override;

 private:
  void pressed(QMouseEvent* event);
  void dragged(QMouseEvent* event);
  void released(QMouseEvent* event);
  void wheeled(QWheelEvent* event);
  void hovered(const QPointF& at);
  std::optional<Sight::Hit> hit_at(const QPointF& at) const;
  void move_to(const Shot& shot);
  void draw_overlay();
  double aspect() const;
  QString name_of(const Sight::Hit& hit) const;

  vtkNew<vtkGenericOpenGLRenderWindow> window_;
  vtkNew<vtkRenderer> renderer_;
  std::unique_ptr<Scene> scene_;
  std::unique_ptr<Overlay> overlay_;
  std::unique_ptr<Sight> sight_;
  const job::Installation* installation_ = nullptr;
  std::vector<bool> part_shown_, duct_shown_;
  Shot shot_;
  std::optional<checks::Finding> finding_;
  std::optional<Place> place_;
  std::optional<std::pair<int, double>> station_;
  bool stations_shown_ = true;
  QPointF last_, press_;
  Vec3 pivot_ = Vec3::Zero();
  bool dragging_ = false;
};

}  // namespace baywright::viewer
