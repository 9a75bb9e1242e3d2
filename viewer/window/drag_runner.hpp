#pragma once

#include <QObject>
#include <QString>

#include <condition_variable>
#include <mutex>
#include <optional>
#include <thread>

#include "session/drag.hpp"
#include "viewer/window/loader.hpp"

namespace baywright::viewer {

using SharedStep = std::shared_ptr<const session::DragStep>;
using SharedRelease = std::shared_ptr<const session::DragRelease>;

/// Measures a dragged point in a thread of its own. Of places that come in while it works only the newest is measured
/// next. Answers carry the place they are of; none arrive of a drag that is over.
class DragRunner : public QObject {
  Q_OBJECT

 public:
  explicit DragRunner(QObject* parent = nullptr);
  ~DragRunner() override;

  /// `evaluation` must be of `installation`, its clearances at least. A drag that runs is given up.
  void start(const SharedInstallation& installation, const SharedEvaluation& evaluation, const duct::DuctId& duct,
             const duct::PointId& point, const session::DragOptions& options);
  void move(const Vec3& to_mm);
  /// The point is let go at the last place it was moved to: measures that, then completes the whole duct.
  void finish();
  void cancel();

 Q_SIGNALS:
  void stepped(const baywright::viewer::SharedStep& step, const baywright::Vec3& to_mm);
  void refused(const QString& why, const baywright::Vec3& to_mm);  ///< the route cannot be made there
  void released(const baywright::viewer::SharedRelease& release);
  void given_up(const QString& why);  ///< after finish: nothing to complete

 private:
  struct Order {
    SharedInstallation installation;
    SharedEvaluation evaluation;
    duct::DuctId duct;
    duct::PointId point;
    session::DragOptions options;
  };
  void work();
  /// One drag; returns when it is over.
  void drag(const Order& order, int run);
  void complete(session::DragSession& session, const QString& refusal, bool moved, const Progress& progress, int run);
  template <class Action>
  void deliver(int run, Action action);

  std::thread thread_;
  std::mutex mutex_;
  std::condition_variable wake_;
  // Guarded by mutex_.
  std::optional<Order> order_;
  std::optional<Vec3> wanted_;
  bool finish_ = false, quit_ = false;
  int run_ = 0;        ///< counts starts and cancels
  Progress progress_;  ///< of the call that runs
};

}  // namespace baywright::viewer
