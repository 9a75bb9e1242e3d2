#pragma once

#include <QVTKOpenGLNativeWidget.h>

#include <QTimer>

#include <memory>
#include <optional>

#include <vtkNew.h>

#include "checks/finding.hpp"
#include "measure/surface_map.hpp"
#include "viewer/scene/drag_marks.hpp"
#include "viewer/scene/finding_pose.hpp"
#include "viewer/scene/sight.hpp"
#include "viewer/scene/views.hpp"
#include "viewer/window/point_drag.hpp"

class vtkGenericOpenGLRenderWindow;
class vtkRenderer;

namespace baywright::viewer {

class MapLayer;
class Overlay;
struct PartDrawings;
class Scene;

/// The bay in three dimensions. Left drag turns about the point under the pointer, middle, right or shift drag moves,
/// the wheel zooms to the pointer, a double click centres, a click chooses a part. A handle that is dragged takes its
/// intersection point along: the view says so and shows what it is told of it.
class BayView : public QVTKOpenGLNativeWidget {
  Q_OBJECT

 public:
  explicit BayView(QWidget* parent = nullptr);
  ~BayView() override;

  /// The installation must outlive the next call of show_bay or clear.
  void show_bay(const job::Installation& installation, const PartDrawings& drawings);
  void clear();
  void set_pose(const PosedState& state);
  /// Camera to the place, its pose, its dimension; false when the finding names no place. It stays chosen in whatever
  /// pose is set later: the dimension is then the one of that pose.
  bool show_finding(const checks::Finding& finding);
  void forget_finding();
  /// The chosen finding as it was measured again: its dimension in the pose shown, camera and cuts as they are.
  void renew_finding(const checks::Finding& finding);
  /// Camera to a station; what hides it is cut open until forget_finding.
  void show_station(int duct, double station_mm);
  bool cut_open() const { return place_.has_value() || opened_; }
  void set_part_shown(int part, bool shown);
  void set_duct_shown(int duct, bool shown);
  void set_stations_shown(bool shown);
  /// Clearance over the ducts' surfaces, one map per duct, in the pose shown; gone with the next pose.
  void show_map(std::vector<measure::SurfaceMap> maps, double range_mm);
  void hide_map();
  const PosedState& shown_pose() const;
  /// Station pointed at elsewhere; nullopt: none.
  void mark_station(std::optional<std::pair<int, double>> duct_and_station);

  /// Other ducts in the same bay. The installation must outlive the next call, or that of show_bay or clear.
  void show_ducts(const job::Installation& installation);
  /// Clamps whose positions the job does not state, drawn where they were found best reached.
  void show_clamps(const checks::Evaluation& evaluation);
  void set_points_shown(bool shown);
  void choose_point(int duct, const duct::PointId& point);  ///< marked as the one chosen elsewhere
  /// Where its handle is in this widget; nullopt: it has none that is shown.
  std::optional<QPointF> handle_place(int duct, const duct::PointId& point) const;
  /// The answer to pick_up_wanted: the point is held from now on. EXPECTS a bay at rest.
  void hold_point(int duct, const duct::PointId& point);
  void carry_point(const Vec3& to_mm);  ///< what is held is there, as if it had been dragged
  bool holds_point() const { return held_.has_value(); }
  void show_step(const std::shared_ptr<const session::DragStep>& step, const Vec3& to_mm);
  void show_refusal(const QString& why, const Vec3& to_mm);
  void let_point_go();

  /// View of everything from a direction toward the eye.
  void look_from(const Vec3& toward);
  void fit();        ///< everything, from where the camera is
  void fit_ducts();  ///< the ducts
  void redraw();

 Q_SIGNALS:
  void posed();                       ///< another pose is shown
  void pointed(const QString& text);  ///< what lies under the pointer
  void part_clicked(int part);
  void station_pointed(int duct, double station_mm);
  void left();                                          ///< the pointer is elsewhere
  void pick_up_wanted(int duct, const QString& point);  ///< answered at once by hold_point, or not
  void point_dragged(const baywright::Vec3& to_mm);
  void point_dropped();
  void point_drag_cancelled();
  void point_clicked(int duct, const QString& point);

 protected:
  bool event(QEvent* event) override;
  void resizeEvent(QResizeEvent* event) override;

 private:
  void pressed(QMouseEvent* event);
  void dragged(QMouseEvent* event);
  void released(QMouseEvent* event);
  void double_clicked(QMouseEvent* event);
  void wheeled(QWheelEvent* event);
  void hovered(const QPointF& at);
  void key_while_held(QKeyEvent* event);
  void drag_handle(QMouseEvent* event);
  Pixel pixel_of(const QPointF& at) const;
  void collect_handles();
  int handle_under(const QPointF& at) const;
  bool point_to_handle(const QPointF& at);
  void follow_pointer();
  void answered(const Vec3& to_mm);
  void draw_soon();
  void draw_held_duct();
  void draw_points();
  void draw_point_at_hand(const Box2& board, const Box2& page, const std::vector<Box2>& corners);
  void show_nearest_parts();
  void open_up(const Place& place, const Shot& shot);
  std::optional<Sight::Hit> hit_at(const QPointF& at) const;
  void move_to(const Shot& shot);
  void turn_to(const Shot& shot);  ///< the same as part of a movement: coarse until it rests
  void start_moving();
  void draw_overlay();
  void suit_theme();  ///< background for the light or the dark desktop
  void draw_map();
  double aspect() const;
  const Sight& sight() const;
  void pose(const PosedState& state);
  QString name_of(const Sight::Hit& hit) const;

  vtkNew<vtkGenericOpenGLRenderWindow> window_;
  vtkNew<vtkRenderer> renderer_;
  std::unique_ptr<Scene> scene_;
  std::unique_ptr<Overlay> overlay_;
  mutable std::unique_ptr<Sight> sight_;  ///< made when first asked for after a change of pose
  const job::Installation* installation_ = nullptr;
  std::vector<bool> part_shown_, duct_shown_;
  std::vector<int> lent_parts_;  ///< set aside, and yet in outline while a held point is nearest to them
  Shot shot_;
  std::optional<checks::Finding> finding_;
  std::optional<Place> place_;         ///< where it was measured
  std::optional<PosedFinding> posed_;  ///< the same in the pose shown
  std::optional<std::pair<int, double>> station_;
  bool stations_shown_ = true;
  std::unique_ptr<MapLayer> map_layer_;
  std::vector<measure::SurfaceMap> maps_;  ///< empty: none shown
  double map_range_mm_ = 0;

  static constexpr double kHeldMapRange_mm = 50;
  struct Held {
    HeldPoint shown;
    PointDrag drag;
    bool fresh = false;  ///< its step is not drawn yet
    std::vector<std::pair<int, int>> moved_shapes;
    bool dropped = false;  ///< let go; the last answer is awaited
  };
  std::vector<PointHandle> handles_;
  bool points_shown_ = true;
  int pointed_handle_ = -1, grabbed_ = -1;  ///< into handles_
  std::optional<std::pair<int, duct::PointId>> chosen_point_;
  std::optional<Held> held_;
  std::unique_ptr<MapLayer> held_map_layer_;
  QTimer slow_;  ///< runs while the newest answer is not of where the point is held
  bool drawing_soon_ = false;
  bool opened_ = false;  ///< something is cut open or outlined for a place that is not a finding's
  QPointF last_, press_;
  Vec3 pivot_ = Vec3::Zero();
  bool dragging_ = false;
  QTimer rest_;  ///< runs while the camera or the bay moves
};

}  // namespace baywright::viewer
