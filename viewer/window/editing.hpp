#pragma once

#include <QObject>
#include <QStringList>
#include <QTimer>

#include <optional>
#include <set>

#include "session/job_document.hpp"
#include "viewer/window/drag_runner.hpp"
#include "viewer/window/measurer.hpp"

namespace baywright::viewer {

/// Editing of the open job: takes edits, has them measured, keeps what is not saved. Knows nothing of widgets. What it
/// says arrives in its own thread.
class Editing : public QObject {
  Q_OBJECT

 public:
  explicit Editing(QObject* parent = nullptr);

  /// A job that was opened. Where its file cannot be edited, `why_not` says why.
  void open(const SharedInstallation& installation);
  /// Its first evaluation.
  void set_evaluation(const SharedEvaluation& evaluation);
  void close();

  /// One line: why nothing can be edited now; "" when it can.
  QString why_not() const;
  const session::JobDocument* document() const { return document_ ? &*document_ : nullptr; }
  bool unsaved() const { return document_ && document_->unsaved(); }
  bool dragging() const { return held_.has_value(); }
  duct::PointId held_point() const { return held_ ? held_->point : duct::PointId(); }
  bool measuring() const { return measurer_->busy(); }
  /// Looks for the way out of every tube and hose of the job as it is; `evaluated` brings it. An edit ends it. False
  /// when it is not possible now: something is held or measured, or the job has not been measured yet.
  bool look_for_ways();
  void stop_looking();
  bool looking() const { return looking_ && measurer_->busy(); }

  /// A point is taken hold of; false when that is not possible now (why_not).
  bool pick_up(int duct, const duct::PointId& point);
  void drag_to(const Vec3& to_mm);
  /// It is let go: becomes an edit when the route can be made there, else nothing has changed.
  void drop();
  void cancel_drag();

  /// Typed. Says why when the route cannot be made so.
  void move_point(int duct, const duct::PointId& point, const Vec3& to_mm);
  void set_radius(int duct, const duct::PointId& point, double radius_mm);
  void undo();
  void redo();
  Result<void> save(bool over_others);
  /// Changes an earlier session left beside the job become edits.
  void take_over(const job::Job& unsaved);
  void drop_unsaved();

 Q_SIGNALS:
  void stepped(const baywright::viewer::SharedStep& step, const baywright::Vec3& to_mm);
  void refused(const QString& why, const baywright::Vec3& to_mm);
  void drag_over();  ///< nothing is held any more; ducts_changed came before it when something changed
  /// Other ducts in the same bay; what was measured of the old ones holds no longer.
  void ducts_changed(const baywright::viewer::SharedInstallation& installation);
  void evaluated(const baywright::viewer::SharedEvaluation& evaluation);  ///< of the newest ducts
  void state_changed();                                                   ///< unsaved, undo, redo
  void complained(const QString& headline, const QStringList& lines);

 private:
  void apply(const session::Edit& edit);
  /// Shows the document's job and has it measured. `provisional`: clearances good enough to start a drag from.
  void show_job(const job::Installation& laid_out, const std::set<std::string>& changed,
                const SharedEvaluation& provisional);
  void go(const std::set<std::string>& changed);
  void released(const session::DragRelease& release);
  void keep_unsaved();

  SharedInstallation installation_;
  SharedEvaluation evaluation_;  ///< newest complete one
  SharedEvaluation base_;        ///< of installation_, for drags; null while none is known
  std::set<std::string> stale_;  ///< ducts that changed since evaluation_
  std::optional<session::JobDocument> document_;
  QString not_editable_;
  struct Held {
    int duct = 0;
    duct::PointId point;
  };
  std::optional<Held> held_;
  DragRunner* runner_;
  Measurer* measurer_;
  QTimer keep_;
  bool keeping_failed_ = false;  ///< said once
  bool looking_ = false;         ///< for ways out, while the measurer is busy
};

}  // namespace baywright::viewer
