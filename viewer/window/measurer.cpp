#include "viewer/window/measurer.hpp"

#include <QMetaObject>

#include "session/evaluate.hpp"

namespace baywright::viewer {

Measurer::Measurer(QObject* parent) : QObject(parent) {
  thread_ = std::thread([this] { work(); });
}

Measurer::~Measurer() {
  cancel();
  {
    const std::lock_guard lock(mutex_);
    quit_ = true;
  }
  wake_.notify_all();
  thread_.join();
}

void Measurer::cancel() {
  ++run_;
  busy_ = false;
  progress_.cancel();
  const std::lock_guard lock(mutex_);
  order_.reset();
}

void Measurer::start(const SharedInstallation& installation, const SharedEvaluation& previous,
                     const std::set<std::string>& changed, bool ways_out) {
  cancel();
  busy_ = true;
  progress_ = Progress();
  const std::lock_guard lock(mutex_);
  order_ = Order{installation, previous, changed, ways_out, progress_, run_};
  wake_.notify_all();
}

void Measurer::work() {
  for (;;) {
    std::optional<Order> order;
    {
      std::unique_lock lock(mutex_);
      wake_.wait(lock, [this] { return quit_ || order_; });
      if (quit_) return;
      order.swap(order_);
    }
    // Findings alone are shown here: where a clamp's declared position is good, no other is asked for.
    auto result = session::evaluate(*order->installation, order->previous.get(), order->changed, order->progress,
                                    {.whole_charts = false, .ways_out = order->ways_out});
    if (!result) continue;  // cancelled; it fails for no other reason
    const SharedEvaluation evaluation = std::make_shared<const checks::Evaluation>(std::move(*result));
    QMetaObject::invokeMethod(
        this,
        [this, run = order->run, installation = order->installation, evaluation] {
          if (run != run_) return;
          busy_ = false;
          Q_EMIT measured(installation, evaluation);
        },
        Qt::QueuedConnection);
  }
}

}  // namespace baywright::viewer
