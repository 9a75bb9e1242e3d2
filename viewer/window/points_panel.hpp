#pragma once

#include <QWidget>

#include <optional>

#include "job/assemble.hpp"
#include "session/point_freedom.hpp"

class QLabel;
class QTableWidget;

namespace baywright::viewer {

/// Intersection points of one duct as a table: places and bend radii, to be typed in the job's unit or with another
/// ("3 1/2 in"). Says what was typed and shows what it is told to.
class PointsPanel : public QWidget {
  Q_OBJECT

 public:
  enum Column { name, x, y, z, radius, columns };

  explicit PointsPanel(QWidget* parent = nullptr);
  void show_duct(const duct::Duct& duct, const DisplayUnits& units);
  void clear();
  /// Where a point is while it is dragged; nullopt: where the duct has it.
  void show_place(const duct::PointId& point, const std::optional<Vec3>& p_mm);
  /// Chooses the row; no signal.
  void choose(const duct::PointId& point);
  /// Why nothing can be typed; "" when it can.
  void set_locked(const QString& why);

 Q_SIGNALS:
  void point_chosen(const QString& point);
  void point_moved(const QString& point, const baywright::Vec3& to_mm);
  void radius_set(const QString& point, double radius_mm);
  void not_understood(const QString& text);

 private:
  struct Row {
    duct::RoutePoint point;
    session::PointFreedom freedom;
    bool inner = false;
    QString tip;
  };
  void fill(int row);
  void typed(int row, int column);
  bool editable(const Row& row, int column) const;
  std::optional<double> length_of(const QString& text) const;

  QTableWidget* table_;
  QLabel* note_;
  std::vector<Row> rows_;
  DisplayUnits units_;
  bool locked_ = false;
};

}  // namespace baywright::viewer
