#include "viewer/window/drag_runner.hpp"

#include <QMetaObject>

namespace baywright::viewer {

DragRunner::DragRunner(QObject* parent) : QObject(parent) {
  thread_ = std::thread([this] { work(); });
}

DragRunner::~DragRunner() {
  cancel();
  {
    const std::lock_guard lock(mutex_);
    quit_ = true;
  }
  wake_.notify_all();
  thread_.join();
}

void DragRunner::start(const SharedInstallation& installation, const SharedEvaluation& evaluation,
                       const duct::DuctId& duct, const duct::PointId& point, const session::DragOptions& options) {
  cancel();
  const std::lock_guard lock(mutex_);
  order_ = Order{installation, evaluation, duct, point, options};
  progress_ = Progress();
  wake_.notify_all();
}

void DragRunner::move(const Vec3& to_mm) {
  const std::lock_guard lock(mutex_);
  wanted_ = to_mm;
  wake_.notify_all();
}

void DragRunner::finish() {
  const std::lock_guard lock(mutex_);
  finish_ = true;
  wake_.notify_all();
}

void DragRunner::cancel() {
  const std::lock_guard lock(mutex_);
  ++run_;
  order_.reset();
  wanted_.reset();
  finish_ = false;
  progress_.cancel();
  wake_.notify_all();
}

template <class Action>
void DragRunner::deliver(int run, Action action) {
  QMetaObject::invokeMethod(
      this,
      [this, run, action] {
        {
          const std::lock_guard lock(mutex_);
          if (run != run_) return;
        }
        action();
      },
      Qt::QueuedConnection);
}

void DragRunner::work() {
  for (;;) {
    std::optional<Order> order;
    int run = 0;
    {
      std::unique_lock lock(mutex_);
      wake_.wait(lock, [this] { return quit_ || order_; });
      if (quit_) return;
      order = std::move(order_);
      order_.reset();
      run = run_;
    }
    drag(*order, run);
  }
}

void DragRunner::drag(const Order& order, int run) {
  auto session = session::DragSession::begin(order.installation, *order.evaluation, order.duct, order.options);
  QString refusal;  // of the newest place
  bool moved = false;
  for (;;) {
    std::optional<Vec3> to;
    Progress progress;
    {
      std::unique_lock lock(mutex_);
      wake_.wait(lock, [&] { return quit_ || run != run_ || wanted_ || finish_; });
      if (quit_ || run != run_) return;
      to = wanted_;
      wanted_.reset();
      // One for every call: the session cancels that of the call before.
      progress_ = progress;
    }
    if (!session) {
      const QString why = QString::fromStdString(to_line(session.error()));
      deliver(run, [this, why] { Q_EMIT given_up(why); });
      return;
    }
    if (!to) {  // let go
      complete(**session, refusal, moved, progress, run);
      return;
    }
    auto step = (*session)->move_point(order.point, *to, progress);
    if (!step && step.error().code == ErrorCode::cancelled) return;
    if (step) {
      refusal.clear();
      moved = true;
      const SharedStep shared = std::make_shared<const session::DragStep>(std::move(*step));
      deliver(run, [this, shared, to = *to] { Q_EMIT stepped(shared, to); });
    } else {
      refusal = QString::fromStdString(to_line(step.error()));
      deliver(run, [this, refusal, to = *to] { Q_EMIT refused(refusal, to); });
    }
  }
}

void DragRunner::complete(session::DragSession& session, const QString& refusal, bool moved, const Progress& progress,
                          int run) {
  if (!refusal.isEmpty() || !moved) {
    deliver(run, [this, refusal] { Q_EMIT given_up(refusal); });
    return;
  }
  auto release = session.release(progress);
  if (!release) return;  // cancelled
  const SharedRelease shared = std::make_shared<const session::DragRelease>(std::move(*release));
  deliver(run, [this, shared] { Q_EMIT released(shared); });
}

}  // namespace baywright::viewer
