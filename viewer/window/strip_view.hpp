#pragma once

#include <QWidget>

#include <vector>

#include "checks/profile_steps.hpp"
#include "flow/pressure_line.hpp"
#include "viewer/window/loader.hpp"

namespace baywright::viewer {

/// A duct unrolled along its stations: pieces and fittings, bends, and clearance: the nearest part as a band from at
/// rest down to the worst of the motion, the part with the least room as a line, what the sheet asks there as a dashed
/// one, and the findings as bars against their limits; of an intake, where there is room, the total and static pressure
/// along it below outside, with a clean filter or, where that is not known, a dirty one. Pointing at a station marks it
/// in the bay and says what is there; a click on a bar chooses its finding, elsewhere it takes the camera to the
/// station.
class StripView : public QWidget {
  Q_OBJECT

 public:
  explicit StripView(QWidget* parent = nullptr);
  void show_duct(const SharedInstallation& installation, const SharedEvaluation& evaluation, int duct);
  void clear();
  void mark_station(std::optional<double> station_mm);
  /// Nothing of what is shown holds any more, and why; "": it does.
  void set_outdated(const QString& why);
  void mark_finding(int number);  ///< in the worst-first order; -1: none
  QSize sizeHint() const override { return {900, 250}; }
  QSize minimumSizeHint() const override { return {360, 170}; }

 Q_SIGNALS:
  void pointed(int duct, double station_mm);
  void left();
  void finding_chosen(int number);
  void station_chosen(int duct, double station_mm);

 protected:
  void paintEvent(QPaintEvent* event) override;
  void mouseMoveEvent(QMouseEvent* event) override;
  void mousePressEvent(QMouseEvent* event) override;
  void leaveEvent(QEvent* event) override;

 private:
  /// A clearance finding to draw.
  struct Bar {
    int number = 0;
    double station_mm = 0;
    double lo_mm = 0, hi_mm = 0;           ///< bracket
    double lowest_mm = 0, highest_mm = 0;  ///< with the uncertainty
    double limit_mm = 0;
    checks::Verdict verdict = checks::Verdict::met;
    double x_px = 0;  ///< where it is drawn: moved aside from its neighbours
  };
  QString tick_text(double mm) const;  ///< in the job's unit, without idle decimals
  double x_of(double station_mm) const;
  double station_of(double x_px) const;
  double y_of(double clearance_mm) const;
  void collect_bars();
  void spread_bars();
  void paint_axis(QPainter& painter) const;
  void paint_pieces(QPainter& painter) const;
  void paint_bends(QPainter& painter) const;
  void paint_profile(QPainter& painter) const;
  void paint_clearance(QPainter& painter) const;
  void collect_pressure();
  double pressure_height() const;  ///< pixels; 0: it is not shown
  double y_of_pressure(double below_outside_Pa) const;
  void paint_pressure(QPainter& painter) const;
  void paint_outdated(QPainter& painter) const;
  QString profile_text(double station_mm) const;
  QString pressure_text(double station_mm) const;
  void paint_pointer(QPainter& painter) const;
  int bar_at(const QPointF& at) const;

  SharedInstallation installation_;
  SharedEvaluation evaluation_;
  int duct_ = -1;
  std::vector<Bar> bars_;
  std::vector<checks::ProfileStep> profile_;
  std::vector<flow::PressurePoint> pressure_;
  bool pressure_is_clean_ = true;
  QString outdated_;
  std::optional<double> station_mm_;
  int finding_ = -1;
};

}  // namespace baywright::viewer
